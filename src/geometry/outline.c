#include "geometry/outline.h"

#include "base/sum.h"
#include "base/vec.h"

#include <float.h>
#include <math.h>
#include <string.h>

double tks_outline_length(const tks_outline *outline)
{
    base_sum sum = {0, 0};
    for (size_t i = 0; i < outline->count; i++)
        base_sum_add(&sum, tks_segment_length(&outline->segments[i]));
    return base_sum_total(&sum);
}

/* Reckoned from the outline's first point, so that an outline far from the origin loses nothing.
 * A chord (x1,y1)-(x2,y2) adds (x1 y2 - x2 y1)/2 to the area and (x1+x2)/3 times that to the
 * moment; the circular segment beyond it r^2 (t - sin t)/2, and its moment about the centre
 * c^2 dy/12 with c the chord: Bronshtein et al., Handbook of Mathematics, plane figures. */
double geometry_outline_moment(const tks_outline *outline, double *moment)
{
    base_sum area = {0, 0}, first = {0, 0};
    tks_vec2 o = outline->segments[0].from;
    for (size_t i = 0; i < outline->count; i++) {
        const tks_segment *s = &outline->segments[i];
        tks_vec2 a = {s->from.x - o.x, s->from.y - o.y}, b = {s->to.x - o.x, s->to.y - o.y};
        double triangle = vec2_cross(a, b) / 2;
        base_sum_add(&area, triangle);
        base_sum_add(&first, triangle * (a.x + b.x) / 3);
        if (s->turn == 0) continue;
        double r = geometry_arc_radius(s), dx = b.x - a.x, dy = b.y - a.y;
        double beyond = r * r * geometry_arc_excess(s->turn) / 2;
        base_sum_add(&area, beyond);
        base_sum_add(&first, beyond * (s->centre.x - o.x) + (dx * dx + dy * dy) * dy / 12);
    }
    double total = base_sum_total(&area);
    *moment = base_sum_total(&first) + o.x * total;
    return total;
}

double tks_outline_area(const tks_outline *outline)
{
    double moment;
    return geometry_outline_moment(outline, &moment);
}

geometry_box geometry_outline_box(const tks_outline *outline)
{
    geometry_box b = geometry_segment_box(&outline->segments[0]);
    for (size_t i = 1; i < outline->count; i++) {
        geometry_box s = geometry_segment_box(&outline->segments[i]);
        b.low = (tks_vec2){fmin(b.low.x, s.low.x), fmin(b.low.y, s.low.y)};
        b.high = (tks_vec2){fmax(b.high.x, s.high.x), fmax(b.high.y, s.high.y)};
    }
    return b;
}

/* ---- signed distance */

typedef struct nearest {
    double distance, v;
    const tks_outline *outline;
    size_t segment;
} nearest;

/* Sum of the right-hand normals on both sides of the corner between a and b. Its sign against a
 * direction tells inside from outside for points nearest to the corner: J. A. Baerentzen and
 * H. Aanaes, IEEE Trans. Vis. Comput. Graph. 11 (2005) 243-253. At a cusp the chords stand in. */
static tks_vec2 corner_normal(const tks_segment *a, const tks_segment *b)
{
    tks_vec2 s = geometry_segment_tangent(a, 1), t = geometry_segment_tangent(b, 0);
    tks_vec2 n = {s.y + t.y, -s.x - t.x};
    if (hypot(n.x, n.y) > 1e-9) return n;
    s = geometry_segment_tangent(a, 0.99), t = geometry_segment_tangent(b, 0.01);
    return (tks_vec2){s.y + t.y, -s.x - t.x};
}

static bool outside(const nearest *n, tks_vec2 p)
{
    const tks_outline *o = n->outline;
    const tks_segment *s = &o->segments[n->segment];
    if (n->v > 0 && n->v < 1) {
        if (s->turn != 0)
            return (vec2_distance(p, s->centre) > geometry_arc_radius(s)) == (s->turn > 0);
        tks_vec2 d = {s->to.x - s->from.x, s->to.y - s->from.y};
        return vec2_cross(d, (tks_vec2){p.x - s->from.x, p.y - s->from.y}) < 0;
    }
    size_t other = n->v <= 0 ? (n->segment + o->count - 1) % o->count : (n->segment + 1) % o->count;
    tks_vec2 corner = n->v <= 0 ? s->from : s->to;
    tks_vec2 normal =
        n->v <= 0 ? corner_normal(&o->segments[other], s) : corner_normal(s, &o->segments[other]);
    return (p.x - corner.x) * normal.x + (p.y - corner.y) * normal.y > 0;
}

/* An arc is at least as far as its whole circle: most holes of a plate need no more than that. */
static bool too_far(const tks_segment *s, tks_vec2 p, double best)
{
    return s->turn != 0 && fabs(vec2_distance(p, s->centre) - geometry_arc_radius(s)) > best;
}

static void look_at(const tks_outline *o, bool profile, tks_vec2 p, nearest *best)
{
    for (size_t i = 0; i < o->count; i++) {
        if (profile && geometry_on_axis(&o->segments[i])) continue;
        if (too_far(&o->segments[i], p, best->distance)) continue;
        double v, d = geometry_segment_distance(&o->segments[i], p, &v);
        if (d < best->distance) *best = (nearest){d, v, o, i};
    }
}

double geometry_outlines_distance(const tks_outline *outlines, size_t count, bool profile,
                                  tks_vec2 point)
{
    nearest best = {DBL_MAX, 0, NULL, 0};
    for (size_t i = 0; i < count; i++) look_at(&outlines[i], profile, point, &best);
    if (!best.outline) return DBL_MAX;
    return outside(&best, point) ? best.distance : -best.distance;
}

double tks_outline_distance(const tks_outline *outline, tks_vec2 point)
{
    return geometry_outlines_distance(outline, 1, false, point);
}

/* ---- copies */

tks_outline *geometry_outlines_copy(tks_arena *arena, const tks_outline *outlines, size_t count)
{
    size_t total = 0;
    for (size_t i = 0; i < count; i++) total += outlines[i].count;
    tks_outline *copy = tks_arena_take(arena, count, sizeof *copy);
    tks_segment *segments = tks_arena_take(arena, total, sizeof *segments);
    if (!copy || !segments) return NULL;
    for (size_t i = 0; i < count; i++) {
        copy[i] = (tks_outline){segments, outlines[i].count, 0};
        memcpy(segments, outlines[i].segments, outlines[i].count * sizeof *segments);
        segments += outlines[i].count;
    }
    return copy;
}
