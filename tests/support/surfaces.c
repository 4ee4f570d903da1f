#include "support/surfaces.h"

#include "base/alloc.h"
#include "base/vec.h"

#include <stdlib.h>
#include <string.h>

static uint32_t add_point(surface *s, tks_vec3 p)
{
    if (s->t.vertex_count == s->vertex_room) {
        s->vertex_room = 2 * s->vertex_room + 256;
        s->t.xyz = base_resize(s->t.xyz, 3 * s->vertex_room, sizeof(double));
        if (!s->t.xyz) abort();
    }
    double *at = s->t.xyz + 3 * s->t.vertex_count;
    at[0] = p.x;
    at[1] = p.y;
    at[2] = p.z;
    return (uint32_t)s->t.vertex_count++;
}

static void add_triangle(surface *s, uint32_t a, uint32_t b, uint32_t c)
{
    if (s->t.count == s->room) {
        s->room = 2 * s->room + 256;
        s->t.corners = base_resize(s->t.corners, 3 * s->room, sizeof(uint32_t));
        s->t.patch = base_resize(s->t.patch, s->room, sizeof(uint32_t));
        if (!s->t.corners || !s->t.patch) abort();
    }
    uint32_t *corners = s->t.corners + 3 * s->t.count;
    corners[0] = a;
    corners[1] = b;
    corners[2] = c;
    s->t.patch[s->t.count++] = s->patch;
}

void surface_free(surface *s)
{
    base_free(s->t.xyz);
    base_free(s->t.corners);
    base_free(s->t.patch);
    memset(s, 0, sizeof *s);
}

static tks_vec3 point_at(const surface *s, uint32_t i)
{
    const double *p = s->t.xyz + 3 * i;
    return vec3(p[0], p[1], p[2]);
}

static void add_flat(surface *s, tks_vec3 a, tks_vec3 b, tks_vec3 c)
{
    uint32_t i = add_point(s, a), j = add_point(s, b), k = add_point(s, c);
    if (vec3_length(vec3_cross(vec3_sub(b, a), vec3_sub(c, a))) > 0) add_triangle(s, i, j, k);
}

double surface_area(const surface *s)
{
    double sum = 0;
    for (size_t i = 0; i < s->t.count; i++) {
        const uint32_t *c = s->t.corners + 3 * i;
        tks_vec3 a = point_at(s, c[0]);
        sum += vec3_length(
                   vec3_cross(vec3_sub(point_at(s, c[1]), a), vec3_sub(point_at(s, c[2]), a))) /
               2;
    }
    return sum;
}

/* ------------------------------------------------------------------ sphere */

static void add_cap(surface *s, tks_vec3 a, tks_vec3 b, tks_vec3 c, int times, bool inward)
{
    if (times == 0) {
        if (inward)
            add_flat(s, a, c, b);
        else
            add_flat(s, a, b, c);
        return;
    }
    tks_vec3 ab = vec3_unit(vec3_add(a, b)), bc = vec3_unit(vec3_add(b, c)),
             ca = vec3_unit(vec3_add(c, a));
    add_cap(s, a, ab, ca, times - 1, inward);
    add_cap(s, ab, b, bc, times - 1, inward);
    add_cap(s, ca, bc, c, times - 1, inward);
    add_cap(s, ab, bc, ca, times - 1, inward);
}

void surface_sphere(surface *s, tks_vec3 centre, double radius, int times, bool inward)
{
    size_t first = s->t.vertex_count;
    for (int o = 0; o < 8; o++) {
        tks_vec3 x = vec3(o & 1 ? -1 : 1, 0, 0), y = vec3(0, o & 2 ? -1 : 1, 0),
                 z = vec3(0, 0, o & 4 ? -1 : 1);
        bool odd = ((o & 1) + (o >> 1 & 1) + (o >> 2 & 1)) % 2 == 1;
        add_cap(s, x, odd ? z : y, odd ? y : z, times, inward);
    }
    for (size_t i = first; i < s->t.vertex_count; i++) {
        double *p = s->t.xyz + 3 * i;
        p[0] = centre.x + radius * p[0];
        p[1] = centre.y + radius * p[1];
        p[2] = centre.z + radius * p[2];
    }
}

/* ------------------------------------------------------------------ patches */

double surface_grade(double u)
{
    return u < 0.5 ? 2 * u * u : 1 - 2 * (1 - u) * (1 - u);
}

double surface_grade_end(double u)
{
    return 1 - (1 - u) * (1 - u);
}

static double graded(double (*grade)(double), size_t i, size_t n)
{
    double u = (double)i / (double)n;
    return grade ? grade(u) : u;
}

void surface_patch(surface *s, size_t n, size_t m, double (*grade_u)(double),
                   double (*grade_v)(double), tks_vec3 (*point)(double u, double v, const void *),
                   const void *context)
{
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < m; j++) {
            double u0 = graded(grade_u, i, n), u1 = graded(grade_u, i + 1, n);
            double v0 = graded(grade_v, j, m), v1 = graded(grade_v, j + 1, m);
            tks_vec3 a = point(u0, v0, context), b = point(u1, v0, context);
            tks_vec3 c = point(u1, v1, context), d = point(u0, v1, context);
            if ((i + j) % 2) {
                add_flat(s, a, b, c);
                add_flat(s, a, c, d);
            } else {
                add_flat(s, a, b, d);
                add_flat(s, b, c, d);
            }
        }
}

typedef struct plate {
    tks_vec3 corner, a, b;
} plate;

static tks_vec3 plate_point(double u, double v, const void *context)
{
    const plate *p = context;
    return vec3_step(vec3_step(p->corner, u, p->a), v, p->b);
}

void surface_plate(surface *s, tks_vec3 corner, tks_vec3 a, tks_vec3 b, size_t n, size_t m,
                   double (*grade)(double))
{
    plate p = {corner, a, b};
    surface_patch(s, n, m, grade, grade, plate_point, &p);
}

static size_t cells(double length, double size)
{
    double n = ceil(length / size - 1e-9);
    return n > 1 ? (size_t)n : 1;
}

void surface_box(surface *s, tks_vec3 low, tks_vec3 high, double size, double (*grade)(double),
                 bool inward)
{
    tks_vec3 d = vec3_sub(high, low);
    tks_vec3 x = vec3(d.x, 0, 0), y = vec3(0, d.y, 0), z = vec3(0, 0, d.z);
    size_t nx = cells(d.x, size), ny = cells(d.y, size), nz = cells(d.z, size);
    tks_vec3 far = inward ? low : high, near = inward ? high : low;
    surface_plate(s, vec3(low.x, low.y, far.z), x, y, nx, ny, grade);
    surface_plate(s, vec3(low.x, low.y, near.z), y, x, ny, nx, grade);
    surface_plate(s, vec3(far.x, low.y, low.z), y, z, ny, nz, grade);
    surface_plate(s, vec3(near.x, low.y, low.z), z, y, nz, ny, grade);
    surface_plate(s, vec3(low.x, far.y, low.z), z, x, nz, nx, grade);
    surface_plate(s, vec3(low.x, near.y, low.z), x, z, nx, nz, grade);
}

typedef struct ring {
    tks_vec3 centre;
    double inner, radius, height;
    bool turned;
} ring;

static tks_vec3 disk_point(double u, double v, const void *context)
{
    const ring *d = context;
    double r = d->inner + (d->radius - d->inner) * u, t = 2 * M_PI * (d->turned ? -v : v);
    return vec3_add(d->centre, vec3(r * cos(t), r * sin(t), 0));
}

void surface_disk(surface *s, tks_vec3 centre, double inner, double radius, size_t rings,
                  size_t around, double (*grade)(double), bool down)
{
    ring d = {centre, inner, radius, 0, down};
    surface_patch(s, rings, around, grade, NULL, disk_point, &d);
}

static tks_vec3 mantle_point(double u, double v, const void *context)
{
    const ring *d = context;
    double t = 2 * M_PI * (d->turned ? -u : u);
    return vec3_add(d->centre, vec3(d->radius * cos(t), d->radius * sin(t), d->height * v));
}

void surface_mantle(surface *s, tks_vec3 centre, double radius, double height, size_t along,
                    size_t around, double (*grade)(double), bool inward)
{
    ring d = {centre, 0, radius, height, inward};
    surface_patch(s, around, along, NULL, grade, mantle_point, &d);
}
