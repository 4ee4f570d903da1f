/* Self-intersection: pairs of facets that share more than a border. Of facets in different planes
 * the stretches that each covers of the line in which the planes meet are compared (after Möller,
 * J. Graphics Tools 2 (1997) 25); facets in one plane must overlap by an area. */
#include "base/alloc.h"
#include "mesh/facet.h"
#include "mesh/inside.h"

#include <math.h>

enum { MOST = 10000 };

static const double rounding = 1e-7; /* share of the sizes involved that is lost in a float */

typedef struct search {
    const tks_mesh *mesh;
    uint8_t *taken; /* by facet: whether it is in one of the pairs */
    long found;
    double area; /* of the facets taken */
} search;

typedef struct facet {
    tks_vec3 at[3];
    tks_vec3 normal;
    double size; /* of its longest side */
} facet;

static facet take_facet(const tks_mesh *mesh, uint32_t index)
{
    facet f = {.normal = mesh_twice_area(mesh, index)};
    for (size_t c = 0; c < 3; c++) f.at[c] = mesh_corner(mesh, 3 * (size_t)index + c);
    for (int i = 0; i < 3; i++) f.size = fmax(f.size, vec3_distance(f.at[i], f.at[(i + 1) % 3]));
    return f;
}

/* Heights of b's corners over a's plane, times twice the area of a; 0 where rounding may hide it.
 * Gives how many corners are on either side. */
typedef struct heights {
    double of[3];
    int above, below;
} heights;

static heights heights_over(const facet *a, const facet *b)
{
    heights h = {.above = 0};
    double normal = vec3_length(a->normal);
    for (int i = 0; i < 3; i++) {
        tks_vec3 away = vec3_sub(b->at[i], a->at[0]);
        double height = vec3_dot(a->normal, away);
        double lost = rounding * normal * fmax(vec3_length(away), fmax(a->size, b->size));
        h.of[i] = fabs(height) > lost ? height : 0;
        h.above += h.of[i] > 0;
        h.below += h.of[i] < 0;
    }
    return h;
}

/* ------------------------------------------------------------------ in different planes */

/* The stretch of a facet on the line along `way` in which the planes meet, measured from `from`. */
static void stretch_on(const facet *f, const heights *h, tks_vec3 from, tks_vec3 way, double *first,
                       double *last)
{
    *first = INFINITY;
    *last = -INFINITY;
    for (int i = 0; i < 3; i++) {
        int j = (i + 1) % 3;
        double p = h->of[i], q = h->of[j], share = p == 0 ? 0 : p / (p - q);
        if (p != 0 && !(p * q < 0)) continue; /* neither starts on the plane nor goes through it */
        tks_vec3 at = vec3_step(f->at[i], share, vec3_sub(f->at[j], f->at[i]));
        double s = vec3_dot(vec3_sub(at, from), way);
        *first = fmin(*first, s);
        *last = fmax(*last, s);
    }
}

static bool cut_each_other(const facet *a, const facet *b, const heights *of_a, const heights *of_b)
{
    tks_vec3 way = vec3_unit(vec3_cross(a->normal, b->normal));
    double first[2], last[2];
    stretch_on(a, of_a, a->at[0], way, &first[0], &last[0]);
    stretch_on(b, of_b, a->at[0], way, &first[1], &last[1]);
    double shared = fmin(last[0], last[1]) - fmax(first[0], first[1]);
    return shared > 10 * rounding * fmax(a->size, b->size);
}

/* ------------------------------------------------------------------ in one plane */

/* Whether a line along a side of a parts the two facets. */
static bool parted_by_side(const facet *a, const facet *b)
{
    for (int i = 0; i < 3; i++) {
        tks_vec3 side = vec3_sub(a->at[(i + 1) % 3], a->at[i]);
        tks_vec3 inward = vec3_unit(vec3_cross(a->normal, side));
        double farthest = -INFINITY;
        for (int k = 0; k < 3; k++)
            farthest = fmax(farthest, vec3_dot(vec3_sub(b->at[k], a->at[i]), inward));
        if (farthest <= 10 * rounding * fmax(a->size, b->size)) return true;
    }
    return false;
}

/* ------------------------------------------------------------------ pairs */

static int shared_corners(const uint32_t *a, const uint32_t *b)
{
    int count = 0;
    for (int i = 0; i < 3; i++) count += a[i] == b[0] || a[i] == b[1] || a[i] == b[2];
    return count;
}

/* Facets that share a side meet there, and facets without area (of a height lost in rounding) have
 * no inside. */
static bool overlap(const tks_mesh *mesh, uint32_t i, uint32_t j)
{
    if (shared_corners(mesh->corners + 3 * (size_t)i, mesh->corners + 3 * (size_t)j) > 1)
        return false;
    facet a = take_facet(mesh, i), b = take_facet(mesh, j);
    heights of_b = heights_over(&a, &b);
    if (of_b.above == 3 || of_b.below == 3) return false;
    if (vec3_length(a.normal) <= rounding * a.size * a.size ||
        vec3_length(b.normal) <= rounding * b.size * b.size)
        return false;
    heights of_a = heights_over(&b, &a);
    if (of_a.above == 3 || of_a.below == 3) return false;
    if (of_b.above + of_b.below == 0 || of_a.above + of_a.below == 0)
        return !parted_by_side(&a, &b) && !parted_by_side(&b, &a);
    bool through = (of_a.above && of_a.below) || (of_b.above && of_b.below);
    return through && cut_each_other(&a, &b, &of_a, &of_b);
}

static void take(search *s, uint32_t index)
{
    if (!s->taken[index]) s->area += mesh_facet_area(s->mesh, index);
    s->taken[index] = 1;
}

static bool examine(void *context, uint32_t a, uint32_t b)
{
    search *s = context;
    if (!overlap(s->mesh, a, b)) return true;
    take(s, a);
    take(s, b);
    return ++s->found < MOST;
}

bool mesh_find_crossings(const mesh_bvh *bvh, tks_mesh_health *health)
{
    search s = {.mesh = bvh->mesh, .taken = base_alloc(bvh->mesh->count, 1)};
    uint64_t work = UINT64_C(50000000) + 400 * (uint64_t)bvh->mesh->count;
    if (!s.taken) return false;
    health->crossings_cut = !mesh_bvh_pairs(bvh, work, examine, &s);
    health->crossings = s.found;
    health->crossing_area = s.area;
    base_free(s.taken);
    return true;
}
