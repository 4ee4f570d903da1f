/* Sharpness of sampling: what flat facets miss of a curved surface.
 *
 * Over a facet the surface stands at the height d = -1/2 x' H x + linear, zero at the corners, if K
 * = -H is its curvature (convex: positive). Moving the facet by d changes its area by
 *   A (tr K mean(d) - 1/2 mean |grad d|^2)
 * to second order, with, for sides e and their outward normals n [length |e|],
 *   mean(d) = 1/24 sum e'Ke,  mean |grad d|^2 = tr(K K M) + |g|^2,
 *   M = 1/36 sum e e',  g = 1/(12 A) sum (e'Ke) n.
 * K comes from the turns t of the normal across the sides, half of each for either facet:
 * K = sum t |e| m m' / (2 A), m = n / |n| (Cohen-Steiner and Morvan, Proc. 19th Symp. Comput. Geom.
 * (2003) 312). By hand: t^2/24 of the area for a cylinder, 5 h^2/(24 R^2) for equilateral facets of
 * side h on a sphere. */
#include "mesh/sampling.h"
#include "mesh/facet.h"

#include <math.h>

enum { SAMPLED = 60000 };

static const double pi = 3.14159265358979323846;
static const double crease = 40 * 3.14159265358979323846 / 180; /* more is an edge of the part */
static const double faint = 3.14159265358979323846 / 360;       /* less is flat */

typedef struct flat {
    double e[3][2], n[3][2]; /* sides in the facet's plane, and outward, as long as they */
    double area;
} flat;

typedef struct turning {
    double missed, weighted, weight;
} turning;

static flat lay_flat(const tks_mesh *mesh, size_t facet)
{
    flat f;
    tks_vec3 p[3], twice = mesh_twice_area(mesh, facet), z = vec3_unit(twice);
    for (size_t c = 0; c < 3; c++) p[c] = mesh_corner(mesh, 3 * facet + c);
    tks_vec3 x = vec3_unit(vec3_sub(p[1], p[0])), y = vec3_cross(z, x);
    f.area = vec3_length(twice) / 2;
    for (int i = 0; i < 3; i++) {
        tks_vec3 side = vec3_sub(p[(i + 1) % 3], p[i]);
        f.e[i][0] = vec3_dot(side, x);
        f.e[i][1] = vec3_dot(side, y);
        f.n[i][0] = f.e[i][1];
        f.n[i][1] = -f.e[i][0];
    }
    return f;
}

/* Turn of the normal from facet a to b, positive where the edge is convex; 0 beyond a crease. */
static double turn_across(const tks_mesh *mesh, size_t half, size_t across, double *smaller)
{
    tks_vec3 m = mesh_twice_area(mesh, half / 3), n = mesh_twice_area(mesh, across / 3);
    double angle = atan2(vec3_length(vec3_cross(m, n)), vec3_dot(m, n));
    double a = vec3_length(m), b = vec3_length(n);
    *smaller = a > 0 ? fmin(1, b / a) : 0;
    if (angle < faint || angle >= crease) return 0;
    tks_vec3 over = vec3_sub(mesh_corner(mesh, mesh_previous(across)), mesh_corner(mesh, half));
    return vec3_dot(over, m) <= 0 ? angle : -angle;
}

/* K[xx, xy, yy]. Beside a smaller facet a larger one gets less: a chamfer does not bend the face it
 * stands on. */
static void find_curvature(const tks_mesh *mesh, const mesh_edges *edges, size_t facet,
                           const flat *f, double K[3], turning *t)
{
    K[0] = K[1] = K[2] = 0;
    for (size_t i = 0; i < 3; i++) {
        double smaller = 0, turn = 0, length = hypot(f->e[i][0], f->e[i][1]);
        uint32_t across = edges->opposite[3 * facet + i];
        if (across < MESH_NONE) turn = turn_across(mesh, 3 * facet + i, across, &smaller);
        if (turn == 0) continue;
        double part = turn * smaller / (2 * f->area * length);
        K[0] += part * f->n[i][0] * f->n[i][0];
        K[1] += part * f->n[i][0] * f->n[i][1];
        K[2] += part * f->n[i][1] * f->n[i][1];
        t->weighted += f->area * smaller * fabs(turn);
        t->weight += f->area * smaller;
    }
}

static double missed_by(const flat *f, const double K[3])
{
    double mean = 0, gx = 0, gy = 0, spread = 0;
    double square[3] = {K[0] * K[0] + K[1] * K[1], K[1] * (K[0] + K[2]), K[1] * K[1] + K[2] * K[2]};
    for (int i = 0; i < 3; i++) {
        double x = f->e[i][0], y = f->e[i][1];
        double sag = K[0] * x * x + 2 * K[1] * x * y + K[2] * y * y;
        mean += sag / 24;
        gx += sag * f->n[i][0] / (12 * f->area);
        gy += sag * f->n[i][1] / (12 * f->area);
        spread += (square[0] * x * x + 2 * square[1] * x * y + square[2] * y * y) / 36;
    }
    return f->area * ((K[0] + K[2]) * mean - (spread + gx * gx + gy * gy) / 2);
}

void mesh_judge_sampling(const tks_mesh *mesh, const mesh_edges *edges, tks_mesh_health *health)
{
    size_t step = mesh->count / SAMPLED + 1;
    turning t = {0};
    for (size_t facet = 0; facet < mesh->count; facet += step) {
        double K[3];
        flat f = lay_flat(mesh, facet);
        if (!(f.area > 0)) continue;
        find_curvature(mesh, edges, facet, &f, K, &t);
        t.missed += missed_by(&f, K);
    }
    health->missed_area = t.missed * (double)step;
    health->facets_per_turn = t.weighted > 0 ? 2 * pi * t.weight / t.weighted : 0;
}
