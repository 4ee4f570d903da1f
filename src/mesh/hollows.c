/* Closed shells within others. */
#include "base/alloc.h"
#include "mesh/facet.h"
#include "mesh/inside.h"

enum { RAYS = 3 };

typedef struct crossing_count {
    const mesh_edges *edges;
    uint8_t *closed; /* by shell: 1 for those listed and closed */
    uint32_t self;
    long depth;
} crossing_count;

static bool count_crossing(void *context, uint32_t facet, bool out)
{
    crossing_count *c = context;
    uint32_t shell = c->edges->shell[facet];
    if (shell != c->self && c->closed[shell]) c->depth += out ? 1 : -1;
    return true;
}

/* Number of closed shells around a point, hollows counting as less than none; the middle of three
 * rays, since one may graze an edge. */
static long depth_at(const mesh_bvh *bvh, crossing_count *count, tks_vec3 point)
{
    static const tks_vec3 ways[RAYS] = {
        {0.5773, 0.5211, 0.6287}, {-0.31, 0.8713, 0.3801}, {0.1734, -0.6329, 0.7546}};
    long depth[RAYS];
    for (int i = 0; i < RAYS; i++) {
        count->depth = 0;
        mesh_bvh_all(bvh, point, ways[i], count_crossing, count);
        depth[i] = count->depth;
    }
    if (depth[0] == depth[1] || depth[0] == depth[2]) return depth[0];
    return depth[1];
}

static void judge(tks_mesh_health *h, tks_mesh_shell *s, long depth)
{
    bool hollow = s->volume < 0;
    if (depth < 1) return;
    if (s->kind == TKS_SHELL_SPECK) {
        h->specks--;
        h->speck_area -= s->area;
    } else {
        h->parts--;
    }
    s->kind = hollow ? TKS_SHELL_VOID : TKS_SHELL_BURIED;
    *(hollow ? &h->voids : &h->buried) += 1;
    *(hollow ? &h->void_area : &h->buried_area) += s->area;
}

bool mesh_find_hollows(const mesh_bvh *bvh, const mesh_edges *edges, tks_mesh_health *health)
{
    if (health->shell_count < 2) return true;
    crossing_count count = {.edges = edges, .closed = base_alloc(health->shell_count, 1)};
    if (!count.closed) return false;
    for (size_t i = 0; i < health->shells_listed; i++)
        count.closed[edges->shell[health->shells[i].first]] = !health->shells[i].open_edges;
    for (size_t i = 0; i < health->shells_listed; i++) {
        tks_mesh_shell *s = &health->shells[i];
        if (s->open_edges) continue;
        count.self = edges->shell[s->first];
        judge(health, s, depth_at(bvh, &count, mesh_facet_centre(bvh->mesh, s->first)));
    }
    base_free(count.closed);
    return true;
}
