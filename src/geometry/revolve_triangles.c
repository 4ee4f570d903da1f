#include "geometry/mesher.h"

#include "base/alloc.h"
#include "base/vec.h"

#include <math.h>

/* The profile as points, each of which turns into a ring of vertices (one vertex on the axis). */
typedef struct turning {
    const tks_solid *solid;
    tks_vec2 *points;
    size_t count;
    size_t *first;    /* point at which each segment begins; the last leads back to point 0 */
    uint32_t *ring;   /* first vertex of each point's ring, plus one; 0: not made yet */
    size_t divisions; /* of the turn */
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

static void make_points(geometry_mesher *m, turning *t)
{
    const tks_outline *o = t->solid->outlines;
    t->first = geometry_scratch(m, o->count + 1, sizeof *t->first);
    for (size_t i = 0; t->first && i < o->count; i++)
        t->first[i + 1] = t->first[i] + segment_points(m, t, &o->segments[i]);
    t->count = t->first ? t->first[o->count] : 0;
    t->points = geometry_scratch(m, t->count, sizeof *t->points);
    t->ring = geometry_scratch(m, t->count, sizeof *t->ring);
    if (m->status) return;
    double largest = 0;
    for (size_t i = 0; i < o->count; i++) {
        size_t n = t->first[i + 1] - t->first[i];
        for (size_t k = 0; k < n; k++)
            t->points[t->first[i] + k] =
                geometry_segment_point(&o->segments[i], (double)k / (double)n);
        largest = fmax(largest, geometry_segment_box(&o->segments[i]).high.x);
    }
    double angle = t->solid->travel;
    t->divisions = geometry_divisions(m, largest * angle, largest, angle);
    if (t->divisions > GEOMETRY_MOST_TRIANGLES / 2 / t->count) m->status = TKS_ELIMIT;
}

static double angle_at(const turning *t, size_t k)
{
    return t->solid->travel * (double)k / (double)t->divisions;
}

static uint32_t vertex(geometry_mesher *m, turning *t, size_t point, size_t k)
{
    tks_vec2 q = t->points[point];
    bool pole = q.x == 0;
    size_t around = pole ? 1 : t->divisions + (t->whole ? 0 : 1);
    if (t->ring[point] == 0) {
        t->ring[point] = (uint32_t)m->vertex_count + 1;
        for (size_t i = 0; i < around; i++) {
            double a = angle_at(t, i);
            geometry_add_vertex(
                m, frame_point(&t->solid->frame, vec3(q.x * cos(a), q.x * sin(a), q.y)));
        }
    }
    return t->ring[point] - 1 + (uint32_t)(pole ? 0 : t->whole ? k % around : k);
}

static void add_flat(geometry_mesher *m, turning *t, size_t segment, size_t patch)
{
    size_t ends[2] = {t->first[segment], t->first[segment + 1] % t->count};
    geometry_loops loops = {0};
    for (int e = 0; e < 2; e++) {
        tks_vec2 q = t->points[ends[e]];
        if (q.x == 0) continue;
        geometry_open_loop(m, &loops);
        for (size_t k = 0; k < t->divisions && !m->status; k++) {
            double a = angle_at(t, k);
            geometry_loop_point(m, &loops, (tks_vec2){q.x * cos(a), q.x * sin(a)},
                                vertex(m, t, ends[e], k));
        }
    }
    tks_frame f = t->solid->frame;
    f.origin = frame_point(&f, vec3(0, 0, t->points[ends[0]].y));
    geometry_add_region(m, &loops, &f, t->points[ends[0]].x < t->points[ends[1]].x, patch);
}

static void add_side(geometry_mesher *m, turning *t, size_t segment, size_t patch)
{
    if (t->whole && level(&t->solid->outlines->segments[segment])) {
        add_flat(m, t, segment, patch);
        return;
    }
    for (size_t j = t->first[segment]; j < t->first[segment + 1]; j++) {
        size_t next = (j + 1) % t->count;
        for (size_t k = 0; k < t->divisions && !m->status; k++)
            geometry_add_cell(m, vertex(m, t, j, k), vertex(m, t, j, k + 1),
                              vertex(m, t, next, k + 1), vertex(m, t, next, k), patch);
    }
}

static void add_end(geometry_mesher *m, turning *t, size_t k, size_t patch)
{
    geometry_loops loops = {0};
    geometry_open_loop(m, &loops);
    for (size_t i = 0; i < t->count && !m->status; i++)
        geometry_loop_point(m, &loops, t->points[i], vertex(m, t, i, k));
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
    for (size_t k = 0; patch < end && !m->status; k += t.divisions) add_end(m, &t, k, patch++);
    base_free(t.points);
    base_free(t.first);
    base_free(t.ring);
}
