#include "mesh/bvh.h"

#include "base/alloc.h"
#include "mesh/facet.h"
#include "mesh/large.h"

#include <math.h>
#include <string.h>

enum { LEAF = 4, DEPTH = 64 };

/* ------------------------------------------------------------------ building */

static float below(double x)
{
    float f = (float)x;
    return (double)f > x ? nextafterf(f, -INFINITY) : f;
}

static float above(double x)
{
    float f = (float)x;
    return (double)f < x ? nextafterf(f, INFINITY) : f;
}

static void bound_facets(const mesh_bvh *b, mesh_bvh_node *node)
{
    double low[3] = {INFINITY, INFINITY, INFINITY}, high[3] = {-INFINITY, -INFINITY, -INFINITY};
    for (uint32_t i = 0; i < node->count; i++) {
        const uint32_t *c = b->mesh->corners + 3 * (size_t)b->order[node->first + i];
        for (int k = 0; k < 3; k++) {
            const double *p = b->mesh->xyz + 3 * (size_t)c[k];
            for (int a = 0; a < 3; a++) {
                low[a] = p[a] < low[a] ? p[a] : low[a];
                high[a] = p[a] > high[a] ? p[a] : high[a];
            }
        }
    }
    for (int a = 0; a < 3; a++) {
        node->low[a] = below(low[a]);
        node->high[a] = above(high[a]);
    }
}

static int longest_axis(const float *centres, const uint32_t *order, size_t count)
{
    float low[3] = {INFINITY, INFINITY, INFINITY}, high[3] = {-INFINITY, -INFINITY, -INFINITY};
    for (size_t i = 0; i < count; i++) {
        const float *p = centres + 3 * (size_t)order[i];
        for (int a = 0; a < 3; a++) {
            low[a] = p[a] < low[a] ? p[a] : low[a];
            high[a] = p[a] > high[a] ? p[a] : high[a];
        }
    }
    int axis = 0;
    for (int a = 1; a < 3; a++)
        if (high[a] - low[a] > high[axis] - low[axis]) axis = a;
    return axis;
}

/* Hoare's selection: order is parted so that the first half is not behind the second. */
static void part_at_median(const float *centres, int axis, uint32_t *order, size_t count)
{
    long low = 0, high = (long)count - 1, middle = (long)count / 2;
    uint64_t dice = UINT64_C(0x9e3779b97f4a7c15) ^ count;
    while (low < high) {
        dice = dice * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
        long pick = low + (long)((dice >> 33) % (uint64_t)(high - low + 1));
        float pivot = centres[3 * (size_t)order[pick] + (size_t)axis];
        long i = low, j = high;
        while (i <= j) {
            while (centres[3 * (size_t)order[i] + (size_t)axis] < pivot) i++;
            while (centres[3 * (size_t)order[j] + (size_t)axis] > pivot) j--;
            if (i > j) break;
            uint32_t kept = order[i];
            order[i++] = order[j];
            order[j--] = kept;
        }
        if (middle <= j)
            high = j;
        else if (middle >= i)
            low = i;
        else
            return;
    }
}

static void merge_boxes(mesh_bvh_node *to, const mesh_bvh_node *a, const mesh_bvh_node *b)
{
    for (int k = 0; k < 3; k++) {
        to->low[k] = fminf(a->low[k], b->low[k]);
        to->high[k] = fmaxf(a->high[k], b->high[k]);
    }
}

/* Splits top down; parents stand before their children, so that boxes can be merged backwards. */
static void split_nodes(mesh_bvh *b, const float *centres)
{
    b->nodes[0] = (mesh_bvh_node){.first = 0, .count = (uint32_t)b->mesh->count};
    b->node_count = 1;
    for (size_t i = 0; i < b->node_count; i++) {
        mesh_bvh_node *n = &b->nodes[i];
        if (n->count <= LEAF) continue;
        uint32_t half = n->count / 2, *order = b->order + n->first;
        part_at_median(centres, longest_axis(centres, order, n->count), order, n->count);
        uint32_t child = (uint32_t)b->node_count;
        b->nodes[child] = (mesh_bvh_node){.first = n->first, .count = half};
        b->nodes[child + 1] = (mesh_bvh_node){.first = n->first + half, .count = n->count - half};
        b->node_count += 2;
        n->first = child;
        n->count = 0;
    }
    for (size_t i = b->node_count; i-- > 0;) {
        mesh_bvh_node *n = &b->nodes[i];
        if (n->count)
            bound_facets(b, n);
        else
            merge_boxes(n, &b->nodes[n->first], &b->nodes[n->first + 1]);
    }
}

bool mesh_bvh_build(const tks_mesh *mesh, mesh_bvh *b)
{
    size_t n = mesh->count;
    *b = (mesh_bvh){.mesh = mesh};
    b->nodes = mesh_resize(NULL, n + 1, sizeof *b->nodes);
    b->order = mesh_resize(NULL, n, sizeof *b->order);
    float *centres = mesh_resize(NULL, n, 3 * sizeof *centres);
    bool done = n && b->nodes && b->order && centres;
    for (size_t f = 0; done && f < n; f++) {
        tks_vec3 c = mesh_facet_centre(mesh, f);
        b->order[f] = (uint32_t)f;
        centres[3 * f] = (float)c.x;
        centres[3 * f + 1] = (float)c.y;
        centres[3 * f + 2] = (float)c.z;
    }
    if (done) split_nodes(b, centres);
    base_free(centres);
    if (!done) mesh_bvh_free(b);
    return done;
}

void mesh_bvh_free(mesh_bvh *b)
{
    base_free(b->nodes);
    base_free(b->order);
    *b = (mesh_bvh){0};
}

/* ------------------------------------------------------------------ rays */

typedef struct ray {
    double origin[3], inverse[3];
    tks_vec3 from, direction;
} ray;

static ray make_ray(tks_vec3 o, tks_vec3 d)
{
    return (ray){{o.x, o.y, o.z}, {1 / d.x, 1 / d.y, 1 / d.z}, o, d};
}

/* Slabs; a ray in the plane of a face gives NaN, which fmin and fmax pass over. */
static bool meets_box(const ray *r, const mesh_bvh_node *n)
{
    double enter = 0, leave = INFINITY;
    for (int a = 0; a < 3; a++) {
        double t = ((double)n->low[a] - r->origin[a]) * r->inverse[a];
        double u = ((double)n->high[a] - r->origin[a]) * r->inverse[a];
        double least = t < u ? t : u, most = t < u ? u : t;
        enter = least > enter ? least : enter;
        leave = most < leave ? most : leave;
    }
    return enter <= leave * (1 + 1e-12);
}

/* Möller and Trumbore, J. Graphics Tools 2 (1997) 21. out: the normal points along the ray. */
static bool meets_facet(const ray *r, const tks_mesh *m, uint32_t facet, double from, bool *out)
{
    tks_vec3 a = mesh_corner(m, 3 * (size_t)facet);
    tks_vec3 u = vec3_sub(mesh_corner(m, 3 * (size_t)facet + 1), a);
    tks_vec3 v = vec3_sub(mesh_corner(m, 3 * (size_t)facet + 2), a);
    tks_vec3 p = vec3_cross(r->direction, v);
    double det = vec3_dot(u, p);
    if (det == 0) return false;
    tks_vec3 s = vec3_sub(r->from, a);
    double x = vec3_dot(s, p) / det;
    if (!(x >= 0 && x <= 1)) return false;
    tks_vec3 q = vec3_cross(s, u);
    double y = vec3_dot(r->direction, q) / det;
    if (!(y >= 0 && x + y <= 1)) return false;
    *out = det < 0;
    return vec3_dot(v, q) / det > from;
}

/* Calls visit for each facet that the ray meets beyond the distance from, until it gives false. */
static void follow(const mesh_bvh *b, const ray *r, double from,
                   bool (*visit)(void *context, uint32_t facet, bool out), void *context)
{
    uint32_t stack[DEPTH] = {0};
    bool out;
    for (int top = 1; top > 0;) {
        const mesh_bvh_node *n = &b->nodes[stack[--top]];
        if (!meets_box(r, n)) continue;
        if (!n->count) {
            stack[top++] = n->first;
            stack[top++] = n->first + 1;
            continue;
        }
        for (uint32_t i = 0; i < n->count; i++) {
            uint32_t facet = b->order[n->first + i];
            if (meets_facet(r, b->mesh, facet, from, &out) && !visit(context, facet, out)) return;
        }
    }
}

static bool stop_at_first(void *context, uint32_t facet, bool out)
{
    (void)facet;
    (void)out;
    *(bool *)context = true;
    return false;
}

bool mesh_bvh_blocked(const mesh_bvh *b, tks_vec3 origin, tks_vec3 direction, double from)
{
    ray r = make_ray(origin, direction);
    bool blocked = false;
    follow(b, &r, from, stop_at_first, &blocked);
    return blocked;
}

void mesh_bvh_all(const mesh_bvh *b, tks_vec3 origin, tks_vec3 direction,
                  bool (*visit)(void *context, uint32_t facet, bool out), void *context)
{
    ray r = make_ray(origin, direction);
    follow(b, &r, 0, visit, context);
}

/* ------------------------------------------------------------------ pairs */

typedef struct pairing {
    const mesh_bvh *b;
    uint64_t work;
    bool (*visit)(void *context, uint32_t a, uint32_t b);
    void *context;
} pairing;

static bool boxes_overlap(const mesh_bvh_node *a, const mesh_bvh_node *b)
{
    for (int k = 0; k < 3; k++)
        if (a->low[k] > b->high[k] || b->low[k] > a->high[k]) return false;
    return true;
}

static bool leaf_pairs(pairing *p, const mesh_bvh_node *m, const mesh_bvh_node *n)
{
    for (uint32_t i = 0; i < m->count; i++)
        for (uint32_t j = m == n ? i + 1 : 0; j < n->count; j++) {
            if (!p->work) return false;
            p->work--;
            if (!p->visit(p->context, p->b->order[m->first + i], p->b->order[n->first + j]))
                return false;
        }
    return true;
}

static bool both(pairing *p, uint32_t x, uint32_t y)
{
    const mesh_bvh_node *m = &p->b->nodes[x], *n = &p->b->nodes[y];
    if (!p->work) return false;
    p->work--;
    if (!boxes_overlap(m, n)) return true;
    if (m->count && n->count) return leaf_pairs(p, m, n);
    if (!m->count && (n->count || x < y)) return both(p, m->first, y) && both(p, m->first + 1, y);
    return both(p, x, n->first) && both(p, x, n->first + 1);
}

bool mesh_bvh_pairs(const mesh_bvh *b, uint64_t work,
                    bool (*visit)(void *context, uint32_t a, uint32_t b), void *context)
{
    pairing p = {b, work, visit, context};
    for (uint32_t i = 0; i < b->node_count; i++) {
        const mesh_bvh_node *n = &b->nodes[i];
        bool go_on = n->count ? leaf_pairs(&p, n, n) : both(&p, n->first, n->first + 1);
        if (!go_on) return false;
    }
    return true;
}
