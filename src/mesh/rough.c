#include "mesh/rough.h"

#include "base/alloc.h"
#include "mesh/facet.h"
#include "mesh/large.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    TERMS = 6,        /* 1 x y x^2 xy y^2 */
    LEAST = 12,       /* points for a fit */
    MOST = 64,        /* points gathered */
    MOST_FACETS = 32, /* about one vertex */
    FITS = 20000,     /* vertices looked at for the noise */
    FACETS = 120000,  /* looked at for the area */
    BLOCKS = 24       /* of facets, for the standard error */
};

/* A fit this much worse than the noise means an edge, not noise: for 13 degrees of freedom chance
 * alone passes it less than once in 1000. */
static const double edge_factor = 2.8;

static const double least_likeness = 0.05; /* of neighbours, from which it is shape, not noise */

typedef struct rough {
    const tks_mesh *mesh;
    size_t *start;  /* by vertex: its corners in list are start[v] .. start[v + 1] */
    uint32_t *list; /* half-edges */
    double noise2;  /* square of the noise */
} rough;

/* ------------------------------------------------------------------ neighbours */

static bool list_corners(rough *r)
{
    const tks_mesh *m = r->mesh;
    r->start = mesh_alloc(m->vertex_count + 2, sizeof *r->start);
    r->list = mesh_resize(NULL, 3 * m->count, sizeof *r->list);
    if (!r->start || !r->list) return false;
    size_t *next = r->start + 1;
    for (size_t h = 0; h < 3 * m->count; h++) next[m->corners[h] + 1]++;
    for (size_t v = 1; v <= m->vertex_count; v++) next[v] += next[v - 1];
    for (size_t h = 0; h < 3 * m->count; h++) r->list[next[m->corners[h]]++] = (uint32_t)h;
    return true;
}

typedef struct patch {
    uint32_t vertex[MOST];
    size_t count;
} patch;

static void add_vertex(patch *p, uint32_t v)
{
    for (size_t i = 0; i < p->count; i++)
        if (p->vertex[i] == v) return;
    if (p->count < MOST) p->vertex[p->count++] = v;
}

static void add_ring(const rough *r, patch *p, uint32_t v)
{
    size_t end = r->start[v + 1];
    if (end - r->start[v] > MOST_FACETS) end = r->start[v] + MOST_FACETS;
    for (size_t i = r->start[v]; i < end; i++) {
        size_t facet = r->list[i] / 3;
        for (size_t c = 0; c < 3; c++) add_vertex(p, r->mesh->corners[3 * facet + c]);
    }
}

/* The vertex and its two rings. */
static patch gather(const rough *r, uint32_t v)
{
    patch p = {.vertex = {v}, .count = 1};
    add_ring(r, &p, v);
    size_t ring = p.count;
    for (size_t i = 1; i < ring; i++) add_ring(r, &p, p.vertex[i]);
    return p;
}

static tks_vec3 normal_at(const rough *r, uint32_t v)
{
    tks_vec3 sum = vec3(0, 0, 0);
    for (size_t i = r->start[v]; i < r->start[v + 1] && i < r->start[v] + MOST_FACETS; i++)
        sum = vec3_add(sum, mesh_twice_area(r->mesh, r->list[i] / 3));
    return vec3_unit(sum);
}

/* ------------------------------------------------------------------ the fit */

/* Lower triangle of the Cholesky factor in place; false when the points do not fix a quadric. */
static bool factor(double a[TERMS][TERMS])
{
    for (int j = 0; j < TERMS; j++) {
        double diagonal = a[j][j];
        for (int k = 0; k < j; k++) a[j][j] -= a[j][k] * a[j][k];
        if (!(a[j][j] > 1e-4 * diagonal)) return false;
        a[j][j] = sqrt(a[j][j]);
        for (int i = j + 1; i < TERMS; i++) {
            for (int k = 0; k < j; k++) a[i][j] -= a[i][k] * a[j][k];
            a[i][j] /= a[j][j];
        }
    }
    return true;
}

static void solve(double l[TERMS][TERMS], double b[TERMS])
{
    for (int i = 0; i < TERMS; i++) {
        for (int k = 0; k < i; k++) b[i] -= l[i][k] * b[k];
        b[i] /= l[i][i];
    }
    for (int i = TERMS; i-- > 0;) {
        for (int k = i + 1; k < TERMS; k++) b[i] -= l[k][i] * b[k];
        b[i] /= l[i][i];
    }
}

/* The fit at one vertex: how far the quadric lies above it along the normal, the weights that give
 * this from the heights of the patch (weights are linear in them), and the residuals' variance. */
typedef struct fit {
    patch near;
    double weight[MOST];
    tks_vec3 normal;
    double shift, variance;
} fit;

static void terms_at(tks_vec3 d, double row[TERMS])
{
    double all[TERMS] = {1, d.x, d.y, d.x * d.x, d.x * d.y, d.y * d.y};
    memcpy(row, all, sizeof all);
}

/* Places of the patch in the vertex's own frame, scaled to a spread of one. */
static double local_places(const rough *r, fit *f, tks_vec3 place[MOST])
{
    tks_vec3 n = f->normal, origin = mesh_vertex(r->mesh, f->near.vertex[0]);
    tks_vec3 x = vec3_unit(fabs(n.x) < 0.7 ? vec3(0, n.z, -n.y) : vec3(-n.z, 0, n.x));
    tks_frame frame = {origin, x, vec3_cross(n, x), n};
    double spread = 0;
    for (size_t i = 0; i < f->near.count; i++) {
        place[i] = frame_local_point(&frame, mesh_vertex(r->mesh, f->near.vertex[i]));
        spread += place[i].x * place[i].x + place[i].y * place[i].y;
    }
    spread = sqrt(spread / (double)f->near.count);
    for (size_t i = 0; spread > 0 && i < f->near.count; i++)
        place[i] = vec3_scale(place[i], 1 / spread);
    return spread;
}

static bool fit_quadric(const rough *r, uint32_t v, fit *f)
{
    double matrix[TERMS][TERMS] = {{0}}, row[TERMS], heights[TERMS] = {0}, at_origin[TERMS] = {1};
    tks_vec3 place[MOST];
    f->near = gather(r, v);
    f->normal = normal_at(r, v);
    if (f->near.count < LEAST) return false;
    double spread = local_places(r, f, place);
    for (size_t k = 0; k < f->near.count; k++) {
        terms_at(place[k], row);
        for (int i = 0; i < TERMS; i++) {
            heights[i] += row[i] * place[k].z;
            for (int j = 0; j <= i; j++) matrix[i][j] += row[i] * row[j];
        }
    }
    if (!(spread > 0) || !factor(matrix)) return false;
    solve(matrix, heights);
    solve(matrix, at_origin);
    double squares = 0;
    for (size_t k = 0; k < f->near.count; k++) {
        double off = place[k].z;
        terms_at(place[k], row);
        f->weight[k] = 0;
        for (int i = 0; i < TERMS; i++) {
            off -= row[i] * heights[i];
            f->weight[k] += row[i] * at_origin[i];
        }
        squares += off * off;
    }
    f->shift = heights[0] * spread;
    f->variance = squares / (double)(f->near.count - TERMS) * spread * spread;
    return true;
}

/* ------------------------------------------------------------------ the noise */

static int compare_doubles(const void *a, const void *b)
{
    double p = *(const double *)a, q = *(const double *)b;
    return (p > q) - (p < q);
}

/* Median of the variances, each over the median of chi-square per degree of freedom,
 * (1 - 2/(9 n))^3 (Wilson and Hilferty, Proc. Nat. Acad. Sci. 17 (1931) 684). */
static bool find_noise(rough *r, tks_mesh_health *health)
{
    double *variance = mesh_alloc(FITS, sizeof *variance);
    size_t vertices = r->mesh->vertex_count, count = 0;
    size_t step = vertices / FITS + 1;
    fit f;
    if (!variance) return false;
    for (size_t v = 0; v < vertices; v += step) {
        if (!fit_quadric(r, (uint32_t)v, &f)) continue;
        double freedom = (double)(f.near.count - TERMS);
        variance[count++] = f.variance / pow(1 - 2 / (9 * freedom), 3);
    }
    health->rough_judged = count >= 20 && count * step * 3 > vertices;
    if (health->rough_judged) {
        qsort(variance, count, sizeof *variance, compare_doubles);
        r->noise2 = variance[count / 2];
        health->noise = sqrt(r->noise2);
    }
    base_free(variance);
    return true;
}

/* Correlation of the shifts of neighbours. White noise makes it negative (-0.12 to -0.28 on spheres
 * and cubes), shape too fine for the facets positive (0.23 to 1 on thinned and on clean meshes). */
static double likeness(const rough *r)
{
    size_t vertices = r->mesh->vertex_count, step = vertices / FITS + 1;
    double both = 0, squares = 0;
    fit f, g;
    for (size_t v = 0; v < vertices; v += step) {
        if (!fit_quadric(r, (uint32_t)v, &f) || f.variance > edge_factor * r->noise2) continue;
        if (!fit_quadric(r, f.near.vertex[1], &g) || g.variance > edge_factor * r->noise2) continue;
        both += f.shift * g.shift;
        squares += (f.shift * f.shift + g.shift * g.shift) / 2;
    }
    return squares > 0 ? both / squares : 0;
}

/* ------------------------------------------------------------------ the area */

/* +1 or -1 for each vertex, as by chance. */
static double probe(uint32_t vertex)
{
    uint64_t x = (vertex + UINT64_C(1)) * UINT64_C(0x9e3779b97f4a7c15);
    x = (x ^ x >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    return (x ^ x >> 27) * UINT64_C(0x94d049bb133111eb) >> 63 ? 1 : -1;
}

typedef struct corner {
    tks_vec3 point;
    double probe; /* S z */
    bool moved;
} corner;

static corner smooth_corner(const rough *r, uint32_t v)
{
    fit f;
    corner c = {mesh_vertex(r->mesh, v), probe(v), false};
    if (!fit_quadric(r, v, &f) || f.variance > edge_factor * r->noise2) return c;
    c.moved = true;
    c.point = vec3_step(c.point, f.shift, f.normal);
    c.probe = 0;
    for (size_t k = 0; k < f.near.count; k++) c.probe += f.weight[k] * probe(f.near.vertex[k]);
    return c;
}

typedef struct areas {
    double raw, smooth, excess, judged; /* excess: A |grad S z|^2 / 2 */
} areas;

/* |grad|^2 A^2 = |z0 e0 + z1 e1 + z2 e2|^2 / 4, e the side across from each corner. */
static void add_facet(const rough *r, size_t facet, areas *sum)
{
    corner c[3];
    for (size_t i = 0; i < 3; i++) c[i] = smooth_corner(r, r->mesh->corners[3 * facet + i]);
    tks_vec3 e[3], slope = vec3(0, 0, 0);
    for (int i = 0; i < 3; i++) {
        e[i] = vec3_sub(c[(i + 2) % 3].point, c[(i + 1) % 3].point);
        slope = vec3_step(slope, c[i].probe, e[i]);
    }
    double raw = mesh_facet_area(r->mesh, facet);
    double smooth = vec3_length(vec3_cross(e[0], e[1])) / 2;
    sum->raw += raw;
    sum->smooth += smooth;
    if (smooth > 0) sum->excess += vec3_dot(slope, slope) / (8 * smooth);
    if (c[0].moved && c[1].moved && c[2].moved) sum->judged += raw;
}

static double ratio(const rough *r, const areas *a)
{
    return a->raw > 0 ? (a->smooth - r->noise2 * a->excess) / a->raw : 1;
}

static void find_area(const rough *r, tks_mesh_health *health)
{
    areas all = {0}, block[BLOCKS] = {{0}};
    size_t facets = r->mesh->count, step = facets / FACETS + 1;
    for (size_t f = 0; f < facets; f += step) add_facet(r, f, &block[f * BLOCKS / facets]);
    for (int i = 0; i < BLOCKS; i++) {
        all.raw += block[i].raw;
        all.smooth += block[i].smooth;
        all.excess += block[i].excess;
        all.judged += block[i].judged;
    }
    double kept = ratio(r, &all), spread = 0;
    for (int i = 0; i < BLOCKS; i++) {
        double off = (ratio(r, &block[i]) - kept) * block[i].raw;
        spread += off * off;
    }
    health->smooth_area = kept * health->size.area;
    health->smooth_error = all.raw > 0 ? sqrt(spread) / all.raw * health->size.area : 0;
    health->rough_share = all.raw > 0 ? all.judged / all.raw : 0;
    health->rough_judged = health->rough_share > 0.3;
}

bool mesh_judge_roughness(const tks_mesh *mesh, tks_mesh_health *health)
{
    rough r = {.mesh = mesh};
    health->smooth_area = health->size.area;
    bool done = list_corners(&r) && find_noise(&r, health);
    if (done && health->rough_judged) health->rough_judged = likeness(&r) < least_likeness;
    if (done && health->rough_judged) find_area(&r, health);
    if (!health->rough_judged) health->noise = 0;
    base_free(r.start);
    base_free(r.list);
    return done;
}
