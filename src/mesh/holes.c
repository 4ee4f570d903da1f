/* Rims of open edges, and what it takes to fill them. */
#include "base/alloc.h"
#include "base/vec.h"
#include "mesh/edges.h"
#include "mesh/facet.h"

#include <math.h>
#include <string.h>

enum { LISTED = 64 };

/* A rim listed: its vertices stay in rims.walked. */
typedef struct rim {
    tks_mesh_hole hole;
    tks_vec3 area; /* vector */
    const uint32_t *vertices;
    size_t count;
} rim;

typedef struct rims {
    const tks_mesh *mesh;
    tks_mesh_health *health;
    uint32_t *head;   /* by vertex: an open edge that starts there, or MESH_OPEN */
    uint32_t *link;   /* by open edge: the next that starts at the same vertex */
    uint32_t *open;   /* the half-edges */
    uint32_t *place;  /* by vertex: where it stands on the chain, or MESH_OPEN */
    uint32_t *chain;  /* vertices walked through */
    size_t length;    /* of the chain */
    uint32_t *walked; /* the vertices of all rims so far, one rim behind the other */
    size_t walked_count;
    rim list[LISTED]; /* longest first */
    size_t listed;
} rims;

static tks_vec3 chain_point(const rims *r, size_t i)
{
    return mesh_vertex(r->mesh, r->chain[i]);
}

/* The chain from its i-th vertex on, as a hole. */
static tks_mesh_hole measure(const rims *r, size_t from, bool closed, tks_vec3 *area)
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
    *area = vec3_scale(vector, 0.5);
    hole.fill_low = vec3_length(*area);
    return hole;
}

/* Keeps the longest rims, longest first. */
static void keep_rim(rims *r, rim kept)
{
    tks_mesh_health *h = r->health;
    h->hole_count++;
    h->rim += kept.hole.rim;
    h->fill_low += kept.hole.fill_low;
    h->fill_high += kept.hole.fill_high;
    size_t at = r->listed;
    if (at == LISTED && kept.hole.rim <= r->list[LISTED - 1].hole.rim) return;
    if (at == LISTED)
        at--;
    else
        r->listed++;
    for (; at && r->list[at - 1].hole.rim < kept.hole.rim; at--) r->list[at] = r->list[at - 1];
    r->list[at] = kept;
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
    rim made = {.vertices = r->walked + r->walked_count, .count = r->length - from};
    made.hole = measure(r, from, closed, &made.area);
    memcpy(r->walked + r->walked_count, r->chain + from, made.count * sizeof *r->walked);
    r->walked_count += made.count;
    keep_rim(r, made);
    r->health->size.volume += fan_volume(r, from, made.hole.centre);
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

/* ------------------------------------------------------------------ rims within rims */

/* Of a ring or a pipe that stood on a table both the outline and the bore end there, and what is
 * missing is the face between. The rims then lie in one plane, one within the other, and run round
 * in opposite senses, as they bound the same solid. */
static const double flat_share = 0.02; /* off the plane, of the root of the area */
static const double gap_share = 5;     /* between the rims, at least, of what they are off */

/* Angle by which the rim, taken in at most 4096 steps, winds round a point, seen along a unit
 * normal, and its least distance. */
static double winding(const rims *r, const rim *outer, tks_vec3 point, tks_vec3 n, double *least)
{
    size_t step = outer->count / 4096 + 1;
    double turn = 0;
    for (size_t i = 0; i < outer->count; i += step) {
        uint32_t next = outer->vertices[i + step < outer->count ? i + step : 0];
        tks_vec3 p = vec3_sub(mesh_vertex(r->mesh, outer->vertices[i]), point);
        tks_vec3 q = vec3_sub(mesh_vertex(r->mesh, next), point), side = vec3_sub(q, p);
        double along = vec3_dot(side, side) > 0 ? -vec3_dot(p, side) / vec3_dot(side, side) : 0;
        tks_vec3 nearest = vec3_step(p, fmin(1, fmax(0, along)), side);
        nearest = vec3_step(nearest, -vec3_dot(nearest, n), n);
        p = vec3_step(p, -vec3_dot(p, n), n);
        q = vec3_step(q, -vec3_dot(q, n), n);
        turn += atan2(vec3_dot(vec3_cross(p, q), n), vec3_dot(p, q));
        *least = fmin(*least, vec3_length(nearest));
    }
    return turn;
}

static bool lies_within(const rims *r, const rim *inner, const rim *outer)
{
    enum { LOOKS = 16 };
    tks_vec3 n = vec3_unit(outer->area);
    double off = fabs(vec3_dot(vec3_sub(inner->hole.centre, outer->hole.centre), n));
    double size = sqrt(outer->hole.fill_low), least = INFINITY;
    bool opposite = vec3_dot(inner->area, n) < -0.98 * inner->hole.fill_low;
    if (!opposite || off > flat_share * size || outer->hole.fill_high > 1.1 * outer->hole.fill_low)
        return false;
    for (size_t i = 0; i < inner->count; i += inner->count / LOOKS + 1)
        if (fabs(winding(r, outer, mesh_vertex(r->mesh, inner->vertices[i]), n, &least)) < 3)
            return false;
    return least > gap_share * off;
}

/* From the largest to the smallest, so that a rod within the bore is a fill of its own again. */
static void find_inner_rims(rims *r)
{
    tks_mesh_health *h = r->health;
    for (size_t i = 1; i < r->listed; i++) {
        rim *inner = &r->list[i];
        for (size_t k = 0; k < i && inner->hole.closed && !inner->hole.inner; k++)
            inner->hole.inner = r->list[k].hole.closed && !r->list[k].hole.inner &&
                                lies_within(r, inner, &r->list[k]);
        if (!inner->hole.inner) continue;
        h->fill_low -= 2 * inner->hole.fill_low;
        h->fill_high -= 2 * inner->hole.fill_low;
    }
}

static void give_holes(const rims *r)
{
    for (size_t i = 0; i < r->listed; i++) r->health->holes[i] = r->list[i].hole;
    r->health->holes_listed = r->listed;
}

bool mesh_find_holes(const tks_mesh *mesh, const mesh_edges *edges, tks_mesh_health *health)
{
    health->holes = base_alloc(LISTED, sizeof *health->holes);
    if (!edges->open) return health->holes != NULL;
    rims r = {.mesh = mesh, .health = health};
    r.walked = base_resize(NULL, 2 * edges->open, sizeof *r.walked);
    r.head = base_resize(NULL, mesh->vertex_count, sizeof *r.head);
    r.place = base_resize(NULL, mesh->vertex_count, sizeof *r.place);
    r.link = base_resize(NULL, edges->open, sizeof *r.link);
    r.open = base_resize(NULL, edges->open, sizeof *r.open);
    r.chain = base_resize(NULL, edges->open + 1, sizeof *r.chain);
    bool done = health->holes && r.head && r.place && r.link && r.open && r.chain && r.walked;
    if (done) link_edges(&r, edges);
    for (size_t v = 0; done && v < mesh->vertex_count; v++)
        while (r.head[v] != MESH_OPEN) walk(&r, (uint32_t)v);
    if (done) {
        find_inner_rims(&r);
        give_holes(&r);
    }
    base_free(r.head);
    base_free(r.place);
    base_free(r.link);
    base_free(r.open);
    base_free(r.chain);
    base_free(r.walked);
    return done;
}
