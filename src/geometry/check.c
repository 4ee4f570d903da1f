#include "geometry/outline.h"

#include "base/alloc.h"
#include "base/vec.h"

#include <math.h>

enum { FEW = 32 }; /* boxes of so many segments stand on the stack */

/* ---- one outline by itself */

typedef struct crossing {
    const tks_outline *outline;
    size_t a, b; /* the pair that meets; a == b: none */
} crossing;

static bool keep_looking(void *context, size_t i, size_t j)
{
    crossing *c = context;
    const tks_segment *s = c->outline->segments;
    size_t count = c->outline->count;
    bool met;
    if (j == i + 1)
        met = geometry_segments_fold(&s[i], &s[j], count == 2);
    else if (i == 0 && j == count - 1)
        met = geometry_segments_fold(&s[j], &s[i], false);
    else
        met = geometry_segment_gap(&s[i], &s[j]) <= GEOMETRY_SAME;
    if (!met) return true;
    c->a = i;
    c->b = j;
    return false;
}

/* Directions, of any length, in which a segment sets out and arrives. */
static void directions(const tks_segment *s, tks_vec2 *out, tks_vec2 *in)
{
    *out = *in = (tks_vec2){s->to.x - s->from.x, s->to.y - s->from.y};
    if (s->turn == 0) return;
    double side = s->turn > 0 ? 1 : -1;
    *out = (tks_vec2){side * (s->centre.y - s->from.y), side * (s->from.x - s->centre.x)};
    *in = (tks_vec2){side * (s->centre.y - s->to.y), side * (s->to.x - s->centre.x)};
}

/* A closed curve that never turns back, and turns once in all, is convex and meets itself nowhere:
 * most outlines are, and this is the quick way to see it. */
static bool is_convex(const tks_outline *o, bool clockwise)
{
    const double slack = 1e-9; /* where an arc leaves its tangent, rounding may turn either way */
    double side = clockwise ? -1 : 1, total = 0;
    tks_vec2 before, out, in;
    directions(&o->segments[o->count - 1], &out, &before);
    for (size_t i = 0; i < o->count; i++) {
        directions(&o->segments[i], &out, &in);
        double across = vec2_cross(before, out), along = before.x * out.x + before.y * out.y;
        double corner = side * atan2(across, along), turn = side * o->segments[i].turn;
        if (!(corner > -slack && corner < M_PI - slack && turn >= 0)) return false;
        total += corner + turn;
        before = in;
    }
    return fabs(total - 2 * M_PI) < 1e-6;
}

static tks_status find_crossing(crossing *c)
{
    geometry_box few[FEW] = {{{0, 0}, {0, 0}}};
    size_t count = c->outline->count;
    geometry_box *boxes = count <= FEW ? few : base_alloc(count, sizeof *boxes);
    if (!boxes) return TKS_EMEMORY;
    for (size_t i = 0; i < count; i++) boxes[i] = geometry_segment_box(&c->outline->segments[i]);
    tks_status status = geometry_box_pairs(boxes, count, keep_looking, c);
    if (boxes != few) base_free(boxes);
    return status;
}

static bool within(tks_vec2 p)
{
    return fabs(p.x) <= GEOMETRY_LARGEST && fabs(p.y) <= GEOMETRY_LARGEST;
}

/* Whether an arc's turn really leads from one end to the other. */
static bool arc_ok(const tks_segment *s)
{
    if (s->turn == 0) return true;
    if (!(fabs(s->turn) <= 2 * M_PI * (1 + 1e-15) && within(s->centre))) return false;
    double dx = s->from.x - s->centre.x, dy = s->from.y - s->centre.y;
    double c = cos(s->turn), n = sin(s->turn);
    tks_vec2 to = {s->centre.x + c * dx - n * dy, s->centre.y + n * dx + c * dy};
    return vec2_distance(to, s->to) <= GEOMETRY_SAME + 1e-12 * hypot(dx, dy);
}

static tks_status check_segment(const tks_outline *o, size_t i, const char *what, tks_error *err)
{
    const tks_segment *s = &o->segments[i], *next = &o->segments[(i + 1) % o->count];
    if (!(within(s->from) && within(s->to)))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "%s: edge %zu is farther than 1000 m from the origin", what, i + 1);
    if (!arc_ok(s))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "%s: the arc of edge %zu does not lead to its end", what, i + 1);
    if (!(tks_segment_length(s) > 10 * GEOMETRY_SAME))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "%s: edge %zu has no length", what,
                        i + 1);
    if (!(vec2_distance(s->to, next->from) <= GEOMETRY_SAME))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "%s is not closed: edge %zu does not begin where edge %zu ends", what,
                        (i + 1) % o->count + 1, i + 1);
    return TKS_OK;
}

tks_status geometry_outline_check(const tks_outline *outline, bool clockwise, const char *what,
                                  tks_error *err)
{
    if (outline->sound == (clockwise ? -1 : 1)) return TKS_OK;
    if (outline->count == 0)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "%s has no edges", what);
    for (size_t i = 0; i < outline->count; i++) {
        tks_status status = check_segment(outline, i, what, err);
        if (status) return status;
    }
    if (is_convex(outline, clockwise)) return TKS_OK;
    crossing c = {outline, 0, 0};
    if (find_crossing(&c))
        return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory for %s", what);
    if (c.a != c.b)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "%s crosses or touches itself: edge %zu meets edge %zu", what, c.a + 1,
                        c.b + 1);
    if ((tks_outline_area(outline) < 0) != clockwise)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "%s runs the wrong way round; it should run %s", what,
                        clockwise ? "clockwise" : "anticlockwise");
    return TKS_OK;
}

/* ---- holes among one another */

typedef struct holes_search {
    const tks_outline *holes;
    size_t a, b;
} holes_search;

static bool is_circle(const tks_outline *o)
{
    return o->count == 1;
}

static bool outlines_touch(const tks_outline *a, const tks_outline *b)
{
    for (size_t i = 0; i < a->count; i++) {
        geometry_box s = geometry_segment_box(&a->segments[i]);
        for (size_t j = 0; j < b->count; j++) {
            geometry_box t = geometry_segment_box(&b->segments[j]);
            if (s.low.x > t.high.x || t.low.x > s.high.x || s.low.y > t.high.y ||
                t.low.y > s.high.y)
                continue;
            if (geometry_segment_gap(&a->segments[i], &b->segments[j]) <= GEOMETRY_SAME)
                return true;
        }
    }
    return false;
}

/* Holes run clockwise, so that a point inside one is at a positive distance. */
static bool holes_touch(const tks_outline *a, const tks_outline *b)
{
    const tks_segment *s = a->segments, *t = b->segments;
    if (is_circle(a) && is_circle(b))
        return vec2_distance(s->centre, t->centre) <=
               geometry_arc_radius(s) + geometry_arc_radius(t) + GEOMETRY_SAME;
    return outlines_touch(a, b) || tks_outline_distance(a, t->from) > 0 ||
           tks_outline_distance(b, s->from) > 0;
}

static bool keep_looking_at_holes(void *context, size_t i, size_t j)
{
    holes_search *h = context;
    if (!holes_touch(&h->holes[i], &h->holes[j])) return true;
    h->a = i;
    h->b = j;
    return false;
}

static tks_status check_hole_pairs(const tks_outline *holes, size_t count, tks_error *err)
{
    geometry_box few[FEW] = {{{0, 0}, {0, 0}}};
    geometry_box *boxes = count <= FEW ? few : base_alloc(count, sizeof *boxes);
    holes_search h = {holes, 0, 0};
    tks_status status = boxes ? TKS_OK : TKS_EMEMORY;
    for (size_t i = 0; boxes && i < count; i++) boxes[i] = geometry_outline_box(&holes[i]);
    if (boxes) status = geometry_box_pairs(boxes, count, keep_looking_at_holes, &h);
    if (boxes != few) base_free(boxes);
    if (status) return tks_fail(err, status, tks_nowhere(), "out of memory for %zu holes", count);
    if (h.a != h.b)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "hole %zu and hole %zu touch or overlap",
                        h.a + 1, h.b + 1);
    return TKS_OK;
}

static bool inside_clear(const tks_outline *outer, const tks_outline *hole)
{
    const tks_segment *s = hole->segments;
    if (is_circle(hole))
        return -tks_outline_distance(outer, s->centre) > geometry_arc_radius(s) + GEOMETRY_SAME;
    return tks_outline_distance(outer, s->from) < 0 && !outlines_touch(outer, hole);
}

tks_status geometry_holes_check(const tks_outline *outlines, size_t count, tks_error *err)
{
    for (size_t i = 1; i < count; i++)
        if (!inside_clear(&outlines[0], &outlines[i]))
            return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                            "hole %zu does not lie inside the outline", i);
    return count > 2 ? check_hole_pairs(outlines + 1, count - 1, err) : TKS_OK;
}
