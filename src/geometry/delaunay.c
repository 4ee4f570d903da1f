#include "geometry/delaunay.h"

#include "base/alloc.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

/* Incremental insertion with Lawson's flips (C. L. Lawson, Mathematical Software III, 1977), forced
 * edges by flipping what crosses them (S. W. Sloan, Comput. Struct. 47 (1993) 441), refinement by
 * circumcentres (L. P. Chew, SoCG 1993) that never splits a forced edge, because neighbours share
 * it. Points are rounded to a grid of 2^26 steps, so that orientation fits 64 and the circle test
 * 128 bits; the points given back are the exact ones. */

enum { NONE = -1, GRID_BITS = 26 };

__extension__ typedef __int128 wide;

typedef struct grid_point {
    int64_t x, y;
} grid_point;

typedef struct triangle {
    int32_t v[3]; /* anticlockwise */
    int32_t n[3]; /* neighbour across the edge opposite v[i] */
    bool fixed[3];
    bool inside;
    bool done; /* cannot be made better */
} triangle;

typedef struct mesh {
    tks_vec2 *points; /* the first three are those of the triangle around all */
    grid_point *grid;
    int32_t *at; /* a triangle at each point */
    size_t point_count, point_room;
    triangle *t;
    size_t count, room, limit;
    int32_t *stack;
    size_t stacked, stack_room;
    int32_t last; /* where the search begins */
    tks_vec2 low;
    double step;
    tks_status status;
} mesh;

/* ---- exact predicates */

static int64_t orient(const mesh *m, int32_t a, int32_t b, int32_t c)
{
    const grid_point *p = &m->grid[a], *q = &m->grid[b], *r = &m->grid[c];
    return (q->x - p->x) * (r->y - p->y) - (q->y - p->y) * (r->x - p->x);
}

/* Whether d lies inside the circle through the anticlockwise a, b, c. */
static bool in_circle(const mesh *m, int32_t a, int32_t b, int32_t c, int32_t d)
{
    const grid_point *o = &m->grid[d];
    const int32_t v[3] = {a, b, c};
    int64_t x[3], y[3], s[3];
    for (int i = 0; i < 3; i++) {
        x[i] = m->grid[v[i]].x - o->x;
        y[i] = m->grid[v[i]].y - o->y;
        s[i] = x[i] * x[i] + y[i] * y[i];
    }
    wide sum = 0;
    for (int i = 0; i < 3; i++) {
        int j = (i + 1) % 3, k = (i + 2) % 3;
        sum += (wide)s[i] * (x[j] * y[k] - x[k] * y[j]);
    }
    return sum > 0;
}

/* ---- the net of triangles */

/* Index of a new triangle; NONE (and the status set) when there can be none. */
static int32_t new_triangle(mesh *m)
{
    if (m->count >= m->limit) m->status = TKS_ELIMIT;
    void *block = m->t;
    if (!m->status && !base_grow(&block, &m->room, m->count + 1, sizeof *m->t))
        m->status = TKS_EMEMORY;
    m->t = block;
    return m->status ? NONE : (int32_t)m->count++;
}

static void push(mesh *m, int32_t t)
{
    void *block = m->stack;
    if (!base_grow(&block, &m->stack_room, m->stacked + 1, sizeof *m->stack)) {
        m->status = TKS_EMEMORY;
        return;
    }
    m->stack = block;
    m->stack[m->stacked++] = t;
}

static void set(mesh *m, int32_t t, const int32_t v[3], const int32_t n[3], const bool fixed[3],
                bool inside)
{
    triangle *w = &m->t[t];
    for (int i = 0; i < 3; i++) {
        w->v[i] = v[i];
        w->n[i] = n[i];
        w->fixed[i] = fixed[i];
        m->at[v[i]] = t;
    }
    w->inside = inside;
    w->done = false;
}

static void replace_neighbour(mesh *m, int32_t t, int32_t old, int32_t now)
{
    if (t == NONE) return;
    for (int i = 0; i < 3; i++)
        if (m->t[t].n[i] == old) {
            m->t[t].n[i] = now;
            return;
        }
}

static int corner_of(const triangle *t, int32_t v)
{
    return t->v[0] == v ? 0 : t->v[1] == v ? 1 : 2;
}

static int side_to(const triangle *t, int32_t n)
{
    return t->n[0] == n ? 0 : t->n[1] == n ? 1 : 2;
}

/* Turns the naming so that side i becomes side 0. */
static triangle rotated(const triangle *t, int i)
{
    triangle r = *t;
    for (int k = 0; k < 3; k++) {
        r.v[k] = t->v[(i + k) % 3];
        r.n[k] = t->n[(i + k) % 3];
        r.fixed[k] = t->fixed[(i + k) % 3];
    }
    return r;
}

/* Exchanges the diagonal of the two triangles at side i of t: (a,b,c)+(d,c,b) become (a,b,d) and
 * (a,d,c), each with a first. */
static int32_t flip(mesh *m, int32_t t, int i)
{
    triangle p = rotated(&m->t[t], i);
    int32_t u = p.n[0];
    triangle q = rotated(&m->t[u], side_to(&m->t[u], t));
    int32_t a = p.v[0], b = p.v[1], c = p.v[2], d = q.v[0];
    set(m, t, (int32_t[]){a, b, d}, (int32_t[]){q.n[1], u, p.n[2]},
        (bool[]){q.fixed[1], false, p.fixed[2]}, p.inside);
    set(m, u, (int32_t[]){a, d, c}, (int32_t[]){q.n[2], p.n[1], t},
        (bool[]){q.fixed[2], p.fixed[1], false}, p.inside);
    replace_neighbour(m, q.n[1], u, t);
    replace_neighbour(m, p.n[1], t, u);
    return u;
}

/* Flips until every edge around the new point, the first corner of each triangle on the stack, is
 * Delaunay again. */
static void settle(mesh *m)
{
    while (m->stacked && !m->status) {
        int32_t t = m->stack[--m->stacked], u = m->t[t].n[0];
        if (u == NONE || m->t[t].fixed[0]) continue;
        const triangle *w = &m->t[t];
        int32_t d = m->t[u].v[side_to(&m->t[u], t)];
        if (!in_circle(m, w->v[0], w->v[1], w->v[2], d)) continue;
        flip(m, t, 0);
        push(m, t);
        push(m, u);
    }
    m->stacked = 0;
}

static void split_triangle(mesh *m, int32_t t, int32_t p)
{
    int32_t u = new_triangle(m), w = new_triangle(m);
    if (m->status) return;
    triangle o = m->t[t];
    const int32_t part[3] = {t, u, w};
    for (int i = 0; i < 3; i++) {
        int j = (i + 1) % 3, k = (i + 2) % 3;
        set(m, part[i], (int32_t[]){p, o.v[j], o.v[k]}, (int32_t[]){o.n[i], part[j], part[k]},
            (bool[]){o.fixed[i], false, false}, o.inside);
        replace_neighbour(m, o.n[i], t, part[i]);
        push(m, part[i]);
    }
}

/* The point lies on side i of t: (a,b,c) and (d,c,b) become four. */
static void split_side(mesh *m, int32_t t, int i, int32_t p)
{
    int32_t t1 = new_triangle(m), u1 = new_triangle(m);
    if (m->status) return;
    triangle o = rotated(&m->t[t], i);
    int32_t u = o.n[0];
    triangle q = rotated(&m->t[u], side_to(&m->t[u], t));
    int32_t a = o.v[0], b = o.v[1], c = o.v[2], d = q.v[0];
    bool f = o.fixed[0];
    set(m, t, (int32_t[]){p, c, a}, (int32_t[]){o.n[1], t1, u1}, (bool[]){o.fixed[1], false, f},
        o.inside);
    set(m, t1, (int32_t[]){p, a, b}, (int32_t[]){o.n[2], u, t}, (bool[]){o.fixed[2], f, false},
        o.inside);
    set(m, u, (int32_t[]){p, b, d}, (int32_t[]){q.n[1], u1, t1}, (bool[]){q.fixed[1], false, f},
        q.inside);
    set(m, u1, (int32_t[]){p, d, c}, (int32_t[]){q.n[2], t, u}, (bool[]){q.fixed[2], f, false},
        q.inside);
    replace_neighbour(m, o.n[2], t, t1);
    replace_neighbour(m, q.n[2], u, u1);
    push(m, t);
    push(m, t1);
    push(m, u);
    push(m, u1);
}

/* Walks from t to the triangle that holds p. Where within is true, forced edges stop the walk:
 * NONE. */
static int32_t locate(mesh *m, int32_t t, int32_t p, bool within)
{
    for (size_t steps = 0; steps < 4 * m->count + 16; steps++) {
        const triangle *w = &m->t[t];
        int out = NONE;
        for (int k = 0; k < 3 && out == NONE; k++) {
            int i = (int)((steps + (size_t)k) % 3); /* a changing first side breaks cycles */
            if (orient(m, w->v[(i + 1) % 3], w->v[(i + 2) % 3], p) < 0) out = i;
        }
        if (out == NONE) return t;
        if (within && w->fixed[out]) return NONE;
        t = w->n[out];
        if (t == NONE) break;
    }
    if (!within) m->status = TKS_ECONVERGE;
    return NONE;
}

static int32_t add_point(mesh *m, tks_vec2 p)
{
    size_t room = m->point_room;
    if (m->point_count == room) {
        room = room ? 2 * room : 256;
        void *points = base_resize(m->points, room, sizeof *m->points);
        if (points) m->points = points;
        void *grid = base_resize(m->grid, room, sizeof *m->grid);
        if (grid) m->grid = grid;
        void *at = base_resize(m->at, room, sizeof *m->at);
        if (at) m->at = at;
        if (!points || !grid || !at || m->point_count > INT32_MAX / 4) {
            m->status = TKS_EMEMORY;
            return NONE;
        }
        m->point_room = room;
    }
    m->points[m->point_count] = p;
    m->grid[m->point_count] =
        (grid_point){llround((p.x - m->low.x) / m->step), llround((p.y - m->low.y) / m->step)};
    return (int32_t)m->point_count++;
}

/* Puts the point, found in t, into the net. False when it falls on a corner there is. */
static bool insert(mesh *m, int32_t t, int32_t p)
{
    const triangle *w = &m->t[t];
    int on = NONE, zeros = 0;
    for (int i = 0; i < 3; i++)
        if (orient(m, w->v[(i + 1) % 3], w->v[(i + 2) % 3], p) == 0) {
            on = i;
            zeros++;
        }
    if (zeros > 1) return false;
    if (zeros)
        split_side(m, t, on, p);
    else
        split_triangle(m, t, p);
    settle(m);
    m->last = t;
    return true;
}

/* ---- forced edges */

/* The triangle at a that has b for the corner behind a; NONE when there is no such edge. */
static int32_t triangle_with(const mesh *m, int32_t a, int32_t b)
{
    int32_t first = m->at[a], t = first;
    do {
        int i = corner_of(&m->t[t], a);
        if (m->t[t].v[(i + 1) % 3] == b) return t;
        t = m->t[t].n[(i + 1) % 3];
    } while (t != first && t != NONE);
    return NONE;
}

static void fix(mesh *m, int32_t t, int side)
{
    m->t[t].fixed[side] = true;
    int32_t u = m->t[t].n[side];
    if (u != NONE) m->t[u].fixed[side_to(&m->t[u], t)] = true;
}

/* The triangle at a whose far side the way to b crosses. */
static int32_t first_crossed(const mesh *m, int32_t a, int32_t b)
{
    int32_t first = m->at[a], t = first;
    do {
        int i = corner_of(&m->t[t], a);
        int32_t p = m->t[t].v[(i + 1) % 3], q = m->t[t].v[(i + 2) % 3];
        if (orient(m, a, p, b) > 0 && orient(m, a, q, b) < 0) return t;
        t = m->t[t].n[(i + 1) % 3];
    } while (t != first && t != NONE);
    return NONE;
}

/* Flips one of the sides crossed by a-b: the first whose new diagonal no longer crosses it, or else
 * one of those in convex quadrilaterals, another one at each try. */
static bool flip_one(mesh *m, int32_t a, int32_t b, size_t tries)
{
    int32_t t = first_crossed(m, a, b), convex_at = NONE;
    if (t == NONE) return false;
    int i = corner_of(&m->t[t], a), convex_side = 0;
    int64_t apex_side = 0;
    size_t convex = 0;
    for (size_t steps = 0; steps < m->count; steps++) {
        int32_t u = m->t[t].n[i], apex = m->t[t].v[i];
        if (m->t[t].fixed[i] || u == NONE) return false;
        int32_t p = m->t[t].v[(i + 1) % 3], q = m->t[t].v[(i + 2) % 3]; /* right and left of a-b */
        int32_t far = m->t[u].v[side_to(&m->t[u], t)];
        int64_t far_side = far == b ? 0 : orient(m, a, b, far);
        if (orient(m, apex, p, far) > 0 && orient(m, apex, far, q) > 0) {
            bool frees = apex_side == 0 || far_side == 0 || (apex_side > 0) == (far_side > 0);
            if (frees || convex++ == 0 || tries % convex == 0) convex_at = t, convex_side = i;
            if (frees) break;
        }
        if (far == b) break;
        if (far_side == 0) return false; /* a point on the edge itself */
        i = corner_of(&m->t[u], far_side > 0 ? q : p);
        apex_side = orient(m, a, b, m->t[u].v[i]);
        t = u;
    }
    if (convex_at == NONE) return false;
    flip(m, convex_at, convex_side);
    return true;
}

static void force_edge(mesh *m, int32_t a, int32_t b)
{
    for (size_t tries = 0; tries < 10000 && !m->status; tries++) {
        int32_t t = triangle_with(m, a, b);
        if (t != NONE) {
            fix(m, t, (corner_of(&m->t[t], a) + 2) % 3);
            return;
        }
        if (!flip_one(m, a, b, tries)) break;
    }
    if (!m->status) m->status = TKS_ECONVERGE;
}

/* From outside, each forced edge crossed changes between outside and inside. */
static void flood(mesh *m)
{
    bool *seen = base_alloc(m->count, sizeof *seen);
    if (!seen) {
        m->status = TKS_EMEMORY;
        return;
    }
    push(m, m->at[0]);
    while (m->stacked && !m->status) {
        int32_t t = m->stack[--m->stacked];
        seen[t] = true;
        for (int i = 0; i < 3; i++) {
            int32_t n = m->t[t].n[i];
            if (n == NONE || seen[n]) continue;
            seen[n] = true;
            m->t[n].inside = m->t[t].inside != m->t[t].fixed[i];
            push(m, n);
        }
    }
    m->stacked = 0;
    base_free(seen);
}

/* ---- refinement */

static double edge(const mesh *m, int32_t a, int32_t b)
{
    return hypot(m->points[a].x - m->points[b].x, m->points[a].y - m->points[b].y);
}

/* The circumcentre, and the radius. */
static tks_vec2 circumcentre(const mesh *m, const triangle *t, double *radius)
{
    tks_vec2 a = m->points[t->v[0]], b = m->points[t->v[1]], c = m->points[t->v[2]];
    double bx = b.x - a.x, by = b.y - a.y, cx = c.x - a.x, cy = c.y - a.y;
    double d = 2 * (bx * cy - by * cx), bb = bx * bx + by * by, cc = cx * cx + cy * cy;
    double x = (cy * bb - by * cc) / d, y = (bx * cc - cx * bb) / d;
    *radius = hypot(x, y);
    return (tks_vec2){a.x + x, a.y + y};
}

/* Whether p would see a forced edge of t under a right angle or more. */
static bool too_near_edge(const mesh *m, int32_t t, tks_vec2 p)
{
    for (int i = 0; t != NONE && i < 3; i++) {
        if (!m->t[t].fixed[i]) continue;
        tks_vec2 a = m->points[m->t[t].v[(i + 1) % 3]], b = m->points[m->t[t].v[(i + 2) % 3]];
        if ((a.x - p.x) * (b.x - p.x) + (a.y - p.y) * (b.y - p.y) < 0) return true;
    }
    return false;
}

static bool try_point(mesh *m, int32_t t, tks_vec2 p)
{
    int32_t v = add_point(m, p);
    if (v == NONE) return false;
    m->at[v] = NONE;
    int32_t in = locate(m, t, v, true);
    bool good = in != NONE && m->t[in].inside && !too_near_edge(m, in, p);
    for (int i = 0; good && i < 3; i++) good = !too_near_edge(m, m->t[in].n[i], p);
    if (good && insert(m, in, v)) return true;
    m->point_count--;
    return false;
}

/* Halves the longest inner edge: always possible, so that the bound is kept. */
static bool split_longest(mesh *m, int32_t t, double longest)
{
    double most = longest;
    int worst = NONE;
    for (int i = 0; i < 3; i++) {
        double length = edge(m, m->t[t].v[(i + 1) % 3], m->t[t].v[(i + 2) % 3]);
        if (length <= most || m->t[t].fixed[i]) continue;
        most = length;
        worst = i;
    }
    if (worst == NONE) return false;
    tks_vec2 a = m->points[m->t[t].v[(worst + 1) % 3]], b = m->points[m->t[t].v[(worst + 2) % 3]];
    int32_t v = add_point(m, (tks_vec2){(a.x + b.x) / 2, (a.y + b.y) / 2});
    int32_t in = v == NONE ? NONE : locate(m, t, v, true);
    if (in != NONE && insert(m, in, v)) return true;
    if (v != NONE) m->point_count--;
    return false;
}

static bool improve(mesh *m, int32_t t, double longest)
{
    const triangle *w = &m->t[t];
    double a = edge(m, w->v[0], w->v[1]), b = edge(m, w->v[1], w->v[2]);
    double c = edge(m, w->v[2], w->v[0]), radius;
    bool large = fmax(a, fmax(b, c)) > longest;
    tks_vec2 p = circumcentre(m, w, &radius);
    bool thin = !(radius <= 1.18 * fmin(a, fmin(b, c))); /* an angle under 25 deg */
    if (!large && !thin) return false;
    if (radius < 1e6 * longest && try_point(m, t, p)) return true;
    return large && split_longest(m, t, longest);
}

static void refine(mesh *m, double longest)
{
    bool changed = true;
    for (int round = 0; changed && round < 200; round++) {
        changed = false;
        for (size_t t = 0; t < m->count && !m->status; t++) {
            if (!m->t[t].inside || m->t[t].done) continue;
            if (improve(m, (int32_t)t, longest))
                changed = true;
            else
                m->t[t].done = true;
        }
    }
}

/* ---- the whole */

static void free_mesh(mesh *m)
{
    base_free(m->points);
    base_free(m->grid);
    base_free(m->at);
    base_free(m->t);
    base_free(m->stack);
}

/* The grid, and a triangle far around it: its corners stand at 4 times the region's size. */
static void begin(mesh *m, const tks_vec2 *points, size_t count)
{
    tks_vec2 low = points[0], high = points[0];
    for (size_t i = 1; i < count; i++) {
        low = (tks_vec2){fmin(low.x, points[i].x), fmin(low.y, points[i].y)};
        high = (tks_vec2){fmax(high.x, points[i].x), fmax(high.y, points[i].y)};
    }
    double size = fmax(high.x - low.x, high.y - low.y), far = 4 * size;
    m->low = low;
    m->step = size / (1 << GRID_BITS);
    if (!(m->step > 0)) m->status = TKS_ECONVERGE;
    if (m->status) return;
    add_point(m, (tks_vec2){low.x - far, low.y - far});
    add_point(m, (tks_vec2){low.x + 3 * far, low.y - far});
    add_point(m, (tks_vec2){low.x - far, low.y + 3 * far});
    if (!m->status && new_triangle(m) != NONE)
        set(m, 0, (int32_t[]){0, 1, 2}, (int32_t[]){NONE, NONE, NONE},
            (bool[]){false, false, false}, false);
}

static void insert_loops(mesh *m, const tks_vec2 *points, const size_t *loops, size_t loop_count,
                         size_t total)
{
    for (size_t i = 0; i < total && !m->status; i++) {
        int32_t v = add_point(m, points[i]);
        if (m->status) return;
        int32_t t = locate(m, m->last, v, false);
        if (!m->status && !insert(m, t, v)) m->status = TKS_ECONVERGE;
    }
    size_t first = 3;
    for (size_t k = 0; k < loop_count; k++) {
        for (size_t i = 0; i < loops[k] && !m->status; i++)
            force_edge(m, (int32_t)(first + i), (int32_t)(first + (i + 1) % loops[k]));
        first += loops[k];
    }
}

/* Hands over the triangles inside; the points lose the first three. */
static void hand_over(mesh *m, geometry_region *region)
{
    uint32_t *corners = base_alloc(m->count, 3 * sizeof *corners);
    tks_vec2 *points = base_alloc(m->point_count, sizeof *points);
    if (!corners || !points) {
        base_free(corners);
        base_free(points);
        m->status = TKS_EMEMORY;
        return;
    }
    size_t count = 0;
    for (size_t t = 0; t < m->count; t++) {
        if (!m->t[t].inside) continue;
        for (int i = 0; i < 3; i++) corners[3 * count + (size_t)i] = (uint32_t)m->t[t].v[i] - 3;
        count++;
    }
    memcpy(points, m->points + 3, (m->point_count - 3) * sizeof *points);
    *region = (geometry_region){points, m->point_count - 3, corners, count};
}

tks_status geometry_region_cut(const tks_vec2 *points, const size_t *loops, size_t loop_count,
                               double longest, size_t limit, geometry_region *region)
{
    size_t total = 0;
    for (size_t k = 0; k < loop_count; k++) total += loops[k];
    if (total < 3) return TKS_ECONVERGE;
    mesh m = {.limit = 4 * limit + 16};
    begin(&m, points, total);
    if (!m.status) insert_loops(&m, points, loops, loop_count, total);
    if (!m.status) flood(&m);
    if (!m.status && longest > 0) refine(&m, longest);
    if (!m.status) hand_over(&m, region);
    free_mesh(&m);
    return m.status;
}

void geometry_region_free(geometry_region *region)
{
    base_free(region->points);
    base_free(region->corners);
    *region = (geometry_region){NULL, 0, NULL, 0};
}
