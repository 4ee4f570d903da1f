#include "geometry/mesher.h"

#include "base/alloc.h"
#include "base/vec.h"

#include <math.h>

/* The profile as points, each of which turns into a ring of vertices (one vertex on the axis).
 * Rings near the axis have a half, a quarter ... of the largest ring's steps, so that triangles
 * there do not become needles. */
typedef struct turning {
    const tks_solid *solid;
    tks_vec2 *points;
    size_t count;
    size_t *first;  /* point at which each segment begins; the last leads back to point 0 */
    uint32_t *ring; /* first vertex of each point's ring, plus one; 0: not made yet */
    size_t *steps;  /* of each point's ring; 0 on the axis */
    bool whole;
} turning;

static bool level(const tks_segment *s)
{
    return s->turn == 0 && s->from.y == s->to.y;
}

/* Flat faces of a whole turn are cut as plane regions, of better shape than rings would be. */
static size_t segment_points(geometry_mesher *m, const turning *t, const tks_segment *s)
{
    if (t->whole && (level(s) || geometry_on_axis(s))) return 1;
    return geometry_segment_divisions(m, s);
}

static void place_points(turning *t)
{
    const tks_outline *o = t->solid->outlines;
    for (size_t i = 0; i < o->count; i++) {
        size_t n = t->first[i + 1] - t->first[i];
        for (size_t k = 0; k < n; k++)
            t->points[t->first[i] + k] =
                geometry_segment_point(&o->segments[i], (double)k / (double)n);
    }
}

static size_t steps_at(geometry_mesher *m, const turning *t, double radius)
{
    return geometry_divisions(m, radius * t->solid->travel, radius, t->solid->travel);
}

/* The largest ring gets a number of steps that can be halved until about eight are left. */
static void choose_steps(geometry_mesher *m, turning *t)
{
    double largest = 0;
    for (size_t i = 0; i < t->count; i++) largest = fmax(largest, t->points[i].x);
    for (size_t i = 0; i < t->solid->outlines->count; i++)
        largest = fmax(largest, geometry_segment_box(&t->solid->outlines->segments[i]).high.x);
    size_t most = steps_at(m, t, largest), part = 1;
    while (part * 16 <= most) part *= 2;
    most = (most + part - 1) / part * part;
    if (most > GEOMETRY_MOST_TRIANGLES / 2 / t->count) m->status = TKS_ELIMIT;
    for (size_t i = 0; i < t->count && !m->status; i++) {
        if (t->points[i].x == 0) continue;
        size_t wanted = steps_at(m, t, t->points[i].x), n = most;
        while (n % 2 == 0 && n / 2 >= wanted) n /= 2;
        t->steps[i] = n;
    }
}

static void make_points(geometry_mesher *m, turning *t)
{
    const tks_outline *o = t->solid->outlines;
    t->first = geometry_scratch(m, o->count + 1, sizeof *t->first);
    for (size_t i = 0; t->first && i < o->count; i++)
        t->first[i + 1] = t->first[i] + segment_points(m, t, &o->segments[i]);
    t->count = t->first ? t->first[o->count] : 0;
    t->points = geometry_scratch(m, t->count, sizeof *t->points);
    t->ring = geometry_scratch(m, t->count, sizeof *t->ring);
    t->steps = geometry_scratch(m, t->count, sizeof *t->steps);
    if (m->status) return;
    place_points(t);
    choose_steps(m, t);
}

static double angle_at(const turning *t, size_t point, size_t k)
{
    return t->steps[point] ? t->solid->travel * (double)k / (double)t->steps[point] : 0;
}

/* The k-th vertex of a point's ring; in a whole turn the last is the first again. */
static uint32_t vertex(geometry_mesher *m, turning *t, size_t point, size_t k)
{
    tks_vec2 q = t->points[point];
    size_t steps = t->steps[point], around = steps == 0 || !t->whole ? steps + 1 : steps;
    if (t->ring[point] == 0) {
        t->ring[point] = (uint32_t)m->vertex_count + 1;
        for (size_t i = 0; i < around; i++) {
            double a = angle_at(t, point, i);
            geometry_add_vertex(
                m, frame_point(&t->solid->frame, vec3(q.x * cos(a), q.x * sin(a), q.y)));
        }
    }
    return t->ring[point] - 1 + (uint32_t)(k % around);
}

static void add_flat(geometry_mesher *m, turning *t, size_t segment, size_t patch)
{
    size_t ends[2] = {t->first[segment], t->first[segment + 1] % t->count};
    geometry_loops loops = {0};
    for (int e = 0; e < 2; e++) {
        tks_vec2 q = t->points[ends[e]];
        if (q.x == 0) continue;
        geometry_open_loop(m, &loops);
        for (size_t k = 0; k < t->steps[ends[e]] && !m->status; k++) {
            double a = angle_at(t, ends[e], k);
            geometry_loop_point(m, &loops, (tks_vec2){q.x * cos(a), q.x * sin(a)},
                                vertex(m, t, ends[e], k));
        }
    }
    tks_frame f = t->solid->frame;
    f.origin = frame_point(&f, vec3(0, 0, t->points[ends[0]].y));
    geometry_add_region(m, &loops, &f, t->points[ends[0]].x < t->points[ends[1]].x, patch);
}

/* The band between the rings of points a and b: cells where they have as many steps, else triangles
 * that take a step on whichever ring is behind. */
static void add_band(geometry_mesher *m, turning *t, size_t a, size_t b, size_t patch)
{
    size_t p = t->steps[a], q = t->steps[b], i = 0, j = 0;
    while ((i < p || j < q) && !m->status) {
        uint32_t at_a = vertex(m, t, a, i), at_b = vertex(m, t, b, j);
        if (p == q) {
            i++, j++;
            geometry_add_cell(m, at_a, vertex(m, t, a, i), vertex(m, t, b, j), at_b, patch);
        } else if (j == q || (i < p && (2 * i + 1) * q <= (2 * j + 1) * p)) {
            geometry_add_triangle(m, at_a, vertex(m, t, a, ++i), at_b, patch);
        } else {
            geometry_add_triangle(m, at_a, vertex(m, t, b, ++j), at_b, patch);
        }
    }
}

static void add_side(geometry_mesher *m, turning *t, size_t segment, size_t patch)
{
    if (t->whole && level(&t->solid->outlines->segments[segment])) {
        add_flat(m, t, segment, patch);
        return;
    }
    for (size_t j = t->first[segment]; j < t->first[segment + 1] && !m->status; j++)
        add_band(m, t, j, (j + 1) % t->count, patch);
}

static void add_end(geometry_mesher *m, turning *t, bool last, size_t patch)
{
    geometry_loops loops = {0};
    geometry_open_loop(m, &loops);
    for (size_t i = 0; i < t->count && !m->status; i++)
        geometry_loop_point(m, &loops, t->points[i], vertex(m, t, i, last ? t->steps[i] : 0));
    const tks_patch *p = &m->body->patches[patch];
    geometry_add_region(m, &loops, &p->frame, p->reversed, patch);
}

void geometry_revolve_triangles(geometry_mesher *m, const tks_solid *solid)
{
    turning t = {.solid = solid, .whole = solid->travel >= 2 * M_PI};
    make_points(m, &t);
    size_t patch = solid->first_patch, end = patch + solid->patch_count;
    for (size_t i = 0; i < solid->outlines->count && !m->status; i++) {
        const tks_segment *s = &solid->outlines->segments[i];
        if (s->label != TKS_JOINT && !geometry_on_axis(s)) add_side(m, &t, i, patch++);
    }
    for (bool last = false; patch < end && !m->status; last = true) add_end(m, &t, last, patch++);
    base_free(t.points);
    base_free(t.first);
    base_free(t.ring);
    base_free(t.steps);
}
