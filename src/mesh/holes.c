/* Rims of open edges, and what it takes to fill them. */
#include "base/alloc.h"
#include "base/vec.h"
#include "mesh/edges.h"
#include "mesh/facet.h"

#include <string.h>

enum { LISTED = 64 };

typedef struct rims {
    const tks_mesh *mesh;
    tks_mesh_health *health;
    uint32_t *head;  /* by vertex: an open edge that starts there, or MESH_OPEN */
    uint32_t *link;  /* by open edge: the next that starts at the same vertex */
    uint32_t *open;  /* the half-edges */
    uint32_t *place; /* by vertex: where it stands on the chain, or MESH_OPEN */
    uint32_t *chain; /* vertices walked through */
    size_t length;   /* of the chain */
} rims;

static tks_vec3 chain_point(const rims *r, size_t i)
{
    return mesh_vertex(r->mesh, r->chain[i]);
}

/* The chain from its i-th vertex on, as a hole. */
static tks_mesh_hole measure(const rims *r, size_t from, bool closed)
{
    size_t count = r->length - from;
    tks_mesh_hole hole = {.edges = closed ? count : count - 1, .closed = closed};
    tks_vec3 origin = chain_point(r, from), vector = vec3(0, 0, 0), sum = vec3(0, 0, 0);
    for (size_t i = 0; i < count; i++)
        sum = vec3_add(sum, vec3_sub(chain_point(r, from + i), origin));
    hole.centre = vec3_step(origin, 1.0 / (double)count, sum);
    for (size_t i = 0; i < count; i++) {
        tks_vec3 p = chain_point(r, from + i), q = chain_point(r, from + (i + 1) % count);
        tks_vec3 twice = vec3_cross(vec3_sub(p, hole.centre), vec3_sub(q, hole.centre));
        if (closed || i + 1 < count) hole.rim += vec3_distance(p, q);
        vector = vec3_add(vector, twice);
        hole.fill_high += vec3_length(twice) / 2;
    }
    hole.fill_low = vec3_length(vector) / 2;
    return hole;
}

/* Keeps the longest rims, longest first. */
static void keep_hole(tks_mesh_health *h, tks_mesh_hole hole)
{
    h->hole_count++;
    h->rim += hole.rim;
    h->fill_low += hole.fill_low;
    h->fill_high += hole.fill_high;
    size_t at = h->holes_listed;
    if (at == LISTED && hole.rim <= h->holes[LISTED - 1].rim) return;
    if (at == LISTED)
        at--;
    else
        h->holes_listed++;
    for (; at && h->holes[at - 1].rim < hole.rim; at--) h->holes[at] = h->holes[at - 1];
    h->holes[at] = hole;
}

/* Volume of the fan that closes a rim, to be added to a volume about the mesh's first corner. */
static double fan_volume(const rims *r, size_t from, tks_vec3 centre)
{
    tks_vec3 origin = mesh_corner(r->mesh, 0), c = vec3_sub(centre, origin);
    double six = 0;
    for (size_t i = from; i < r->length; i++) {
        tks_vec3 p = vec3_sub(chain_point(r, i), origin);
        tks_vec3 q = vec3_sub(chain_point(r, i + 1 < r->length ? i + 1 : from), origin);
        six += vec3_dot(c, vec3_cross(q, p));
    }
    return six / 6;
}

static void cut_chain(rims *r, size_t from, bool closed)
{
    tks_mesh_hole hole = measure(r, from, closed);
    keep_hole(r->health, hole);
    r->health->size.volume += fan_volume(r, from, hole.centre);
    for (size_t i = from; i < r->length; i++) r->place[r->chain[i]] = MESH_OPEN;
    r->length = from;
}

/* Walks from a vertex along unused open edges; each time the walk meets itself a rim is done, so
 * that holes that touch at a vertex are told apart. */
static void walk(rims *r, uint32_t vertex)
{
    for (r->length = 0;;) {
        if (r->place[vertex] != MESH_OPEN) cut_chain(r, r->place[vertex], true);
        r->place[vertex] = (uint32_t)r->length;
        r->chain[r->length++] = vertex;
        uint32_t edge = r->head[vertex];
        if (edge == MESH_OPEN) break;
        r->head[vertex] = r->link[edge];
        vertex = r->mesh->corners[mesh_next(r->open[edge])];
    }
    if (r->length > 1)
        cut_chain(r, 0, false);
    else
        r->place[vertex] = MESH_OPEN;
}

static void link_edges(rims *r, const mesh_edges *edges)
{
    size_t count = 0;
    memset(r->head, 255, r->mesh->vertex_count * sizeof *r->head);
    memset(r->place, 255, r->mesh->vertex_count * sizeof *r->place);
    for (size_t h = 0; h < 3 * r->mesh->count; h++) {
        if (edges->opposite[h] != MESH_OPEN) continue;
        uint32_t from = r->mesh->corners[h];
        r->open[count] = (uint32_t)h;
        r->link[count] = r->head[from];
        r->head[from] = (uint32_t)count++;
    }
}

bool mesh_find_holes(const tks_mesh *mesh, const mesh_edges *edges, tks_mesh_health *health)
{
    health->holes = base_alloc(LISTED, sizeof *health->holes);
    if (!edges->open) return health->holes != NULL;
    rims r = {.mesh = mesh, .health = health};
    r.head = base_resize(NULL, mesh->vertex_count, sizeof *r.head);
    r.place = base_resize(NULL, mesh->vertex_count, sizeof *r.place);
    r.link = base_resize(NULL, edges->open, sizeof *r.link);
    r.open = base_resize(NULL, edges->open, sizeof *r.open);
    r.chain = base_resize(NULL, edges->open + 1, sizeof *r.chain);
    bool done = health->holes && r.head && r.place && r.link && r.open && r.chain;
    if (done) link_edges(&r, edges);
    for (size_t v = 0; done && v < mesh->vertex_count; v++)
        while (r.head[v] != MESH_OPEN) walk(&r, (uint32_t)v);
    base_free(r.head);
    base_free(r.place);
    base_free(r.link);
    base_free(r.open);
    base_free(r.chain);
    return done;
}
