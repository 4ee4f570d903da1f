/* The health of a mesh. */
#include "base/alloc.h"
#include "mesh/both.h"
#include "mesh/facet.h"
#include "mesh/file.h"
#include "mesh/inside.h"
#include "mesh/rough.h"
#include "mesh/sampling.h"
#include "mesh/verdict.h"

#include <math.h>

static const double flat_height = 1e-7; /* of the longest side: about a float's rounding */

/* ------------------------------------------------------------------ facets one by one */

static size_t count_degenerate(const tks_mesh *mesh)
{
    size_t count = 0;
    for (size_t f = 0; f < mesh->count; f++) {
        tks_vec3 a = mesh_corner(mesh, 3 * f), b = mesh_corner(mesh, 3 * f + 1);
        tks_vec3 c = mesh_corner(mesh, 3 * f + 2), u = vec3_sub(b, a), v = vec3_sub(c, a);
        tks_vec3 w = vec3_sub(c, b), n = vec3_cross(u, v);
        double longest2 = fmax(vec3_dot(u, u), fmax(vec3_dot(v, v), vec3_dot(w, w)));
        count += vec3_dot(n, n) <= flat_height * flat_height * longest2 * longest2;
    }
    return count;
}

static size_t count_used(const tks_mesh *mesh, bool *memory)
{
    uint8_t *used = base_alloc(mesh->vertex_count, 1);
    size_t count = 0;
    *memory = used != NULL;
    if (!used) return 0;
    for (size_t h = 0; h < 3 * mesh->count; h++) used[mesh->corners[h]] = 1;
    for (size_t v = 0; v < mesh->vertex_count; v++) count += used[v];
    base_free(used);
    return count;
}

/* ------------------------------------------------------------------ all together */

static void tell(const tks_check_options *o, const char *stage)
{
    if (o && o->progress) o->progress(o->context, stage);
}

/* What two threads work on. */
typedef struct topology {
    const tks_mesh *mesh;
    mesh_edges *edges;
    tks_mesh_health *health;
    bool paired, counted, followed; /* false: no memory */
} topology;

static void pair_edges(void *context)
{
    topology *t = context;
    t->paired = mesh_edges_build(t->mesh, t->edges);
}

/* What each facet tells by itself. */
static void examine_facets(void *context)
{
    topology *t = context;
    t->health->size = tks_mesh_sum(t->mesh);
    t->health->degenerate = count_degenerate(t->mesh);
    t->health->vertices = count_used(t->mesh, &t->counted);
}

static void follow_edges(void *context)
{
    topology *t = context;
    t->followed = mesh_odd_vertices(t->mesh, t->edges, &t->health->odd_vertices) &&
                  mesh_find_shells(t->mesh, t->edges, t->health) &&
                  mesh_find_holes(t->mesh, t->edges, t->health);
}

static void judge_sampling(void *context)
{
    topology *t = context;
    mesh_judge_sampling(t->mesh, t->edges, t->health);
}

static void take_counts(const mesh_edges *edges, tks_mesh_health *h)
{
    h->edges = edges->edges;
    h->open_edges = edges->open;
    h->odd_edges = edges->odd;
    h->flipped_edges = edges->flipped;
    h->duplicates = edges->duplicates;
    h->duplicate_area = edges->duplicate_area;
    h->inside_out = !edges->open && !edges->odd && h->size.volume < 0;
}

static bool examine_topology(const tks_mesh *mesh, mesh_edges *edges, tks_mesh_health *h)
{
    topology t = {.mesh = mesh, .edges = edges, .health = h};
    mesh_do_both(true, (mesh_task){pair_edges, &t}, (mesh_task){examine_facets, &t});
    if (!t.paired || !t.counted) return false;
    take_counts(edges, h);
    mesh_do_both(true, (mesh_task){follow_edges, &t}, (mesh_task){judge_sampling, &t});
    return t.followed;
}

static bool examine_space(const tks_mesh *mesh, const mesh_edges *edges, const tks_check_options *o,
                          tks_mesh_health *h)
{
    bool crossings = !o || o->crossings;
    mesh_bvh bvh;
    h->crossings = -1;
    if (!crossings && h->shell_count < 2) return true;
    tell(o, "looking for hollows");
    if (!mesh_bvh_build(mesh, &bvh)) return false;
    bool done = mesh_find_hollows(&bvh, edges, h);
    if (done && crossings) {
        tell(o, "looking for self-intersection");
        done = mesh_find_crossings(&bvh, h);
    }
    mesh_bvh_free(&bvh);
    return done;
}

bool mesh_examine(const tks_mesh *mesh, const tks_check_options *o, mesh_edges *edges,
                  tks_mesh_health *h)
{
    tell(o, "pairing edges");
    bool done = examine_topology(mesh, edges, h) && examine_space(mesh, edges, o, h);
    h->smooth_area = h->size.area;
    if (done && (!o || o->roughness)) {
        tell(o, "judging roughness");
        done = mesh_judge_roughness(mesh, h);
    }
    if (done) mesh_judge(h, (mesh_dealt){0});
    return done;
}

tks_status tks_mesh_check(const tks_mesh *mesh, const tks_check_options *options,
                          tks_mesh_health *health, tks_error *err)
{
    tks_mesh_health found = {0};
    mesh_edges edges = {0};
    if (!mesh->count) return tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "a mesh without triangles");
    if (mesh->count > MESH_MOST_FACETS)
        return tks_fail(err, TKS_ELIMIT, tks_nowhere(),
                        "a mesh holds at most 350 million triangles");
    bool done = mesh_examine(mesh, options, &edges, &found);
    mesh_edges_free(&edges);
    if (done) {
        *health = found;
        return TKS_OK;
    }
    tks_mesh_health_free(&found);
    return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "not enough memory to check this mesh");
}

void tks_mesh_health_free(tks_mesh_health *health)
{
    if (!health) return;
    base_free(health->holes);
    base_free(health->shells);
    health->holes = NULL;
    health->shells = NULL;
    health->holes_listed = health->shells_listed = 0;
}
