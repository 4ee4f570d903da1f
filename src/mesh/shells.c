/* Bodies, specks and hollows: the shells of a mesh. */
#include "base/alloc.h"
#include "base/vec.h"
#include "mesh/edges.h"
#include "mesh/facet.h"

enum { LISTED = 64 };

static const double speck_share = 1e-3; /* of the largest shell's area */

typedef struct totals {
    double area, volume;
    uint32_t facets, open, first;
} totals;

static void add_up(const tks_mesh *mesh, const mesh_edges *e, totals *all)
{
    tks_vec3 origin = mesh_corner(mesh, 0);
    for (size_t f = 0; f < mesh->count; f++) {
        totals *t = &all[e->shell[f]];
        tks_vec3 twice = mesh_twice_area(mesh, f);
        if (!t->facets) t->first = (uint32_t)f;
        t->facets++;
        t->area += vec3_length(twice) / 2;
        t->volume += vec3_dot(vec3_sub(mesh_corner(mesh, 3 * f), origin), twice) / 6;
        for (size_t c = 0; c < 3; c++)
            t->open += e->opposite[3 * f + c] == MESH_OPEN || e->opposite[3 * f + c] == MESH_ODD;
    }
}

static void keep_shell(tks_mesh_health *h, const totals *t)
{
    size_t at = h->shells_listed;
    if (at == LISTED && t->area <= h->shells[LISTED - 1].area) return;
    if (at == LISTED)
        at--;
    else
        h->shells_listed++;
    for (; at && h->shells[at - 1].area < t->area; at--) h->shells[at] = h->shells[at - 1];
    h->shells[at] = (tks_mesh_shell){.facets = t->facets,
                                     .open_edges = t->open,
                                     .area = t->area,
                                     .volume = t->volume,
                                     .first = t->first};
}

/* Specks are counted among all shells, not only those listed. */
static void count_specks(tks_mesh_health *h, const totals *all)
{
    double least = h->shells[0].area * speck_share;
    for (size_t i = 0; i < h->shell_count; i++)
        if (all[i].area < least) {
            h->specks++;
            h->speck_area += all[i].area;
        }
    for (size_t i = 0; i < h->shells_listed; i++)
        h->shells[i].kind = h->shells[i].area < least ? TKS_SHELL_SPECK : TKS_SHELL_PART;
    h->parts = h->shell_count - h->specks;
}

static bool find_bounds(const tks_mesh *mesh, const mesh_edges *e, tks_mesh_health *h)
{
    uint8_t *rank = base_alloc(h->shell_count, 1); /* place in the list + 1 */
    if (!rank) return false;
    for (size_t i = 0; i < h->shells_listed; i++) {
        rank[e->shell[h->shells[i].first]] = (uint8_t)(i + 1);
        h->shells[i].low = h->shells[i].high = mesh_corner(mesh, 3 * (size_t)h->shells[i].first);
    }
    for (size_t half = 0; half < 3 * mesh->count; half++) {
        uint8_t listed = rank[e->shell[half / 3]];
        if (!listed) continue;
        tks_mesh_shell *s = &h->shells[listed - 1];
        s->low = vec3_lesser(s->low, mesh_corner(mesh, half));
        s->high = vec3_greater(s->high, mesh_corner(mesh, half));
    }
    base_free(rank);
    return true;
}

/* The usual case: the shell is the mesh, whose sums are known. */
static bool only_shell(const tks_mesh *mesh, const mesh_edges *e, tks_mesh_health *h)
{
    h->shells_listed = h->parts = 1;
    h->shells[0] = (tks_mesh_shell){.facets = mesh->count,
                                    .open_edges = e->open,
                                    .area = h->size.area,
                                    .volume = h->size.volume,
                                    .low = h->size.low,
                                    .high = h->size.high,
                                    .kind = TKS_SHELL_PART};
    return true;
}

bool mesh_find_shells(const tks_mesh *mesh, const mesh_edges *edges, tks_mesh_health *health)
{
    health->shell_count = edges->shell_count;
    health->shells = base_alloc(LISTED, sizeof *health->shells);
    if (health->shells && edges->shell_count == 1 && !edges->odd)
        return only_shell(mesh, edges, health);
    totals *all = base_alloc(edges->shell_count, sizeof *all);
    bool done = health->shells && all;
    if (done) {
        add_up(mesh, edges, all);
        for (size_t i = 0; i < edges->shell_count; i++) keep_shell(health, &all[i]);
        count_specks(health, all);
    }
    base_free(all);
    return done && find_bounds(mesh, edges, health);
}
