#include "mesh/polygon.h"

#include "base/alloc.h"

#include <math.h>

static bool make_room(mesh_polygon *p, size_t count)
{
    if (count <= p->room) return true;
    mesh_polygon_free(p);
    p->flat = base_alloc(count, 2 * sizeof *p->flat);
    p->before = base_alloc(count, sizeof *p->before);
    p->after = base_alloc(count, sizeof *p->after);
    if (!p->flat || !p->before || !p->after) return false;
    p->room = count;
    return true;
}

void mesh_polygon_free(mesh_polygon *p)
{
    base_free(p->flat);
    base_free(p->before);
    base_free(p->after);
    p->flat = NULL;
    p->before = p->after = NULL;
    p->room = 0;
}

/* Newell's normal: twice the vector area. */
static void newell(const double *xyz, const uint32_t *loop, size_t count, double n[3])
{
    const double *origin = xyz + 3 * (size_t)loop[0];
    n[0] = n[1] = n[2] = 0;
    for (size_t i = 1; i + 1 < count; i++) {
        const double *a = xyz + 3 * (size_t)loop[i], *b = xyz + 3 * (size_t)loop[i + 1];
        double u[3], v[3];
        for (int k = 0; k < 3; k++) {
            u[k] = a[k] - origin[k];
            v[k] = b[k] - origin[k];
        }
        n[0] += u[1] * v[2] - u[2] * v[1];
        n[1] += u[2] * v[0] - u[0] * v[2];
        n[2] += u[0] * v[1] - u[1] * v[0];
    }
}

/* Looks along the axis nearest to the normal, from the side on which the loop is anticlockwise. */
static void flatten(mesh_polygon *p, const double *xyz, const uint32_t *loop, size_t count)
{
    double n[3];
    newell(xyz, loop, count, n);
    int axis = 0;
    for (int k = 1; k < 3; k++)
        if (fabs(n[k]) > fabs(n[axis])) axis = k;
    int x = (axis + 1) % 3, y = (axis + 2) % 3;
    double side = n[axis] < 0 ? -1 : 1;
    const double *origin = xyz + 3 * (size_t)loop[0];
    for (size_t i = 0; i < count; i++) {
        const double *from = xyz + 3 * (size_t)loop[i];
        p->flat[2 * i] = side * (from[x] - origin[x]);
        p->flat[2 * i + 1] = from[y] - origin[y];
    }
}

/* Twice the signed area of three corners. */
static double turn(const mesh_polygon *p, uint32_t a, uint32_t b, uint32_t c)
{
    const double *A = p->flat + 2 * (size_t)a, *B = p->flat + 2 * (size_t)b,
                 *C = p->flat + 2 * (size_t)c;
    return (B[0] - A[0]) * (C[1] - A[1]) - (B[1] - A[1]) * (C[0] - A[0]);
}

static bool same_place(const mesh_polygon *p, uint32_t a, uint32_t b)
{
    return p->flat[2 * (size_t)a] == p->flat[2 * (size_t)b] &&
           p->flat[2 * (size_t)a + 1] == p->flat[2 * (size_t)b + 1];
}

/* Whether the corner b can be cut off: convex, and no other corner within. */
static bool is_ear(mesh_polygon *p, uint32_t b)
{
    uint32_t a = p->before[b], c = p->after[b];
    if (turn(p, a, b, c) <= 0) return false;
    for (uint32_t q = p->after[c]; q != a; q = p->after[q]) {
        if (!p->work) return false;
        p->work--;
        bool within = turn(p, a, b, q) >= 0 && turn(p, b, c, q) >= 0 && turn(p, c, a, q) >= 0;
        if (within && !same_place(p, a, q) && !same_place(p, b, q) && !same_place(p, c, q))
            return false;
    }
    return true;
}

static uint32_t *put(uint32_t *out, const uint32_t *loop, uint32_t a, uint32_t b, uint32_t c)
{
    out[0] = loop[a];
    out[1] = loop[b];
    out[2] = loop[c];
    return out + 3;
}

/* A loop that crosses itself can be out of ears; then any corner goes. */
static bool cut_ears(mesh_polygon *p, const uint32_t *loop, size_t count, uint32_t *out)
{
    for (size_t i = 0; i < count; i++) {
        p->before[i] = (uint32_t)(i ? i - 1 : count - 1);
        p->after[i] = (uint32_t)(i + 1 < count ? i + 1 : 0);
    }
    uint32_t at = 0;
    for (size_t left = count, tried = 0; left > 3;) {
        if (tried < left && !is_ear(p, at)) {
            if (!p->work) return false;
            p->work--;
            at = p->after[at];
            tried++;
            continue;
        }
        uint32_t a = p->before[at], c = p->after[at];
        out = put(out, loop, a, at, c);
        p->after[a] = c;
        p->before[c] = a;
        at = p->after[c]; /* every other corner first: fewer slivers than a fan */
        left--;
        tried = 0;
    }
    put(out, loop, p->before[at], at, p->after[at]);
    return true;
}

static double distance(const double *xyz, uint32_t a, uint32_t b)
{
    const double *p = xyz + 3 * (size_t)a, *q = xyz + 3 * (size_t)b;
    return hypot(hypot(p[0] - q[0], p[1] - q[1]), p[2] - q[2]);
}

static void cut_quadrilateral(mesh_polygon *p, const double *xyz, const uint32_t *q, uint32_t *out)
{
    bool first = turn(p, 0, 1, 2) > 0 && turn(p, 2, 3, 0) > 0;
    bool second = turn(p, 1, 2, 3) > 0 && turn(p, 3, 0, 1) > 0;
    if (first == second) first = distance(xyz, q[0], q[2]) <= distance(xyz, q[1], q[3]);
    out = put(out, q, 0, 1, first ? 2 : 3);
    put(out, q, first ? 2 : 1, first ? 3 : 2, first ? 0 : 3);
}

bool mesh_polygon_cut(mesh_polygon *p, const double *xyz, const uint32_t *loop, size_t count,
                      uint32_t *triangles)
{
    if (count == 3) {
        put(triangles, loop, 0, 1, 2);
        return true;
    }
    if (!make_room(p, count)) return false;
    flatten(p, xyz, loop, count);
    if (count > 4) return cut_ears(p, loop, count, triangles);
    cut_quadrilateral(p, xyz, loop, triangles);
    return true;
}
