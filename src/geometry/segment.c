#include "geometry/segment.h"

#include "base/vec.h"

#include <float.h>
#include <math.h>

static const double full_turn = 2 * M_PI;

bool geometry_size_ok(double size)
{
    return size >= GEOMETRY_SMALLEST && size <= GEOMETRY_LARGEST;
}

tks_segment geometry_line(tks_vec2 from, tks_vec2 to, tks_label label, int cavity)
{
    return (tks_segment){from, to, {0, 0}, 0, label, cavity};
}

tks_segment geometry_arc(tks_vec2 from, tks_vec2 to, tks_vec2 centre, double turn, tks_label label,
                         int cavity)
{
    return (tks_segment){from, to, centre, turn, label, cavity};
}

tks_segment geometry_circle(tks_vec2 centre, double radius, double start, bool clockwise,
                            tks_label label, int cavity)
{
    tks_vec2 at = {centre.x + radius * cos(start), centre.y + radius * sin(start)};
    return geometry_arc(at, at, centre, clockwise ? -full_turn : full_turn, label, cavity);
}

double geometry_arc_radius(const tks_segment *s)
{
    return s->turn != 0 ? vec2_distance(s->from, s->centre) : 0;
}

double tks_segment_length(const tks_segment *segment)
{
    if (segment->turn == 0) return vec2_distance(segment->from, segment->to);
    return geometry_arc_radius(segment) * fabs(segment->turn);
}

/* The series is used where the difference would lose more than three digits. */
double geometry_arc_excess(double t)
{
    if (fabs(t) > 0.5) return t - sin(t);
    double q = t * t, term = t * q / 6, sum = term;
    for (int k = 4; fabs(term) > fabs(sum) * 1e-18; k += 2) {
        term *= -q / (k * (k + 1));
        sum += term;
    }
    return sum;
}

tks_vec2 geometry_segment_point(const tks_segment *s, double v)
{
    if (v <= 0) return s->from;
    if (v >= 1) return s->to;
    if (s->turn == 0)
        return (tks_vec2){s->from.x + v * (s->to.x - s->from.x),
                          s->from.y + v * (s->to.y - s->from.y)};
    double dx = s->from.x - s->centre.x, dy = s->from.y - s->centre.y;
    double c = cos(v * s->turn), n = sin(v * s->turn);
    return (tks_vec2){s->centre.x + c * dx - n * dy, s->centre.y + n * dx + c * dy};
}

tks_vec2 geometry_segment_tangent(const tks_segment *s, double v)
{
    tks_vec2 d = {s->to.x - s->from.x, s->to.y - s->from.y};
    if (s->turn != 0) {
        tks_vec2 at = geometry_segment_point(s, v);
        double side = s->turn > 0 ? 1 : -1;
        d = (tks_vec2){side * (s->centre.y - at.y), side * (at.x - s->centre.x)};
    }
    double length = sqrt(d.x * d.x + d.y * d.y);
    return (tks_vec2){d.x / length, d.y / length};
}

/* (sin h)/h - cos h without cancellation. */
static double sinc_less_cos(double h)
{
    double q = h * h;
    return q / 3 * (1 - q / 10 * (1 - q / 28 * (1 - q / 54 * (1 - q / 88 * (1 - q / 130)))));
}

/* The centroid of an arc of half-angle h lies r (sin h)/h from the centre. For a flat arc, whose
 * centre is far, it is reckoned from the middle of the chord instead. */
tks_vec2 geometry_segment_mean(const tks_segment *s)
{
    double dx = s->to.x - s->from.x, dy = s->to.y - s->from.y;
    tks_vec2 middle = {(s->from.x + s->to.x) / 2, (s->from.y + s->to.y) / 2};
    if (s->turn == 0) return middle;
    if (fabs(s->turn) > 1)
        return (tks_vec2){s->centre.x + dy / s->turn, s->centre.y - dx / s->turn};
    double h = fabs(s->turn) / 2, side = s->turn > 0 ? 1 : -1;
    double reach = sinc_less_cos(h) / (2 * sin(h)) * side; /* of a chord of length one */
    return (tks_vec2){middle.x + reach * dy, middle.y - reach * dx};
}

/* Where on an arc (0..1) the direction (dx, dy) from the centre is; over 1: not on it. */
static double arc_place(const tks_segment *s, double dx, double dy)
{
    double fx = s->from.x - s->centre.x, fy = s->from.y - s->centre.y;
    double angle = atan2(fx * dy - fy * dx, fx * dx + fy * dy);
    if (s->turn < 0) angle = -angle;
    if (angle < 0) angle += full_turn;
    return angle / fabs(s->turn);
}

static bool on_arc(const tks_segment *s, double dx, double dy)
{
    return arc_place(s, dx, dy) <= 1;
}

geometry_box geometry_segment_box(const tks_segment *s)
{
    geometry_box b = {{fmin(s->from.x, s->to.x), fmin(s->from.y, s->to.y)},
                      {fmax(s->from.x, s->to.x), fmax(s->from.y, s->to.y)}};
    if (s->turn == 0) return b;
    double r = geometry_arc_radius(s);
    bool whole = fabs(s->turn) >= full_turn;
    if (whole || on_arc(s, 1, 0)) b.high.x = s->centre.x + r;
    if (whole || on_arc(s, 0, 1)) b.high.y = s->centre.y + r;
    if (whole || on_arc(s, -1, 0)) b.low.x = s->centre.x - r;
    if (whole || on_arc(s, 0, -1)) b.low.y = s->centre.y - r;
    return b;
}

static double end_distance(const tks_segment *s, tks_vec2 p, double *v)
{
    double a = vec2_distance(s->from, p), b = vec2_distance(s->to, p);
    *v = a <= b ? 0 : 1;
    return fmin(a, b);
}

static double line_distance(const tks_segment *s, tks_vec2 p, double *v)
{
    double dx = s->to.x - s->from.x, dy = s->to.y - s->from.y;
    double px = p.x - s->from.x, py = p.y - s->from.y, square = dx * dx + dy * dy;
    double t = square > 0 ? (px * dx + py * dy) / square : 0;
    if (!(t > 0 && t < 1)) return end_distance(s, p, v);
    *v = t;
    return fabs(dx * py - dy * px) / sqrt(square);
}

double geometry_segment_distance(const tks_segment *s, tks_vec2 p, double *v)
{
    if (s->turn == 0) return line_distance(s, p, v);
    double dx = p.x - s->centre.x, dy = p.y - s->centre.y;
    double place = arc_place(s, dx, dy);
    if (place > 1 && fabs(s->turn) < full_turn) return end_distance(s, p, v);
    *v = fmin(place, 1);
    return fabs(hypot(dx, dy) - geometry_arc_radius(s));
}

/* The points, at most two, where the whole circle or line of a meets that of b. */
static size_t line_meets_line(const tks_segment *a, const tks_segment *b, tks_vec2 at[2])
{
    tks_vec2 d = {a->to.x - a->from.x, a->to.y - a->from.y};
    tks_vec2 e = {b->to.x - b->from.x, b->to.y - b->from.y};
    double det = vec2_cross(d, e);
    if (fabs(det) <= 1e-14 * hypot(d.x, d.y) * hypot(e.x, e.y)) return 0;
    tks_vec2 w = {b->from.x - a->from.x, b->from.y - a->from.y};
    double t = vec2_cross(w, e) / det;
    at[0] = (tks_vec2){a->from.x + t * d.x, a->from.y + t * d.y};
    return 1;
}

static size_t line_meets_circle(const tks_segment *line, const tks_segment *arc, tks_vec2 at[2])
{
    double r = geometry_arc_radius(arc), length = vec2_distance(line->from, line->to);
    tks_vec2 d = {(line->to.x - line->from.x) / length, (line->to.y - line->from.y) / length};
    tks_vec2 w = {arc->centre.x - line->from.x, arc->centre.y - line->from.y};
    double along = w.x * d.x + w.y * d.y, off = vec2_cross(d, w);
    if (fabs(off) > r) return 0;
    double half = sqrt((r - off) * (r + off));
    for (int i = 0; i < 2; i++) {
        double t = along + (i ? half : -half);
        at[i] = (tks_vec2){line->from.x + t * d.x, line->from.y + t * d.y};
    }
    return 2;
}

static size_t circle_meets_circle(const tks_segment *a, const tks_segment *b, tks_vec2 at[2])
{
    double ra = geometry_arc_radius(a), rb = geometry_arc_radius(b);
    double dx = b->centre.x - a->centre.x, dy = b->centre.y - a->centre.y, d = hypot(dx, dy);
    if (d > ra + rb || d < fabs(ra - rb) || d <= 0) return 0;
    double along = (d * d + (ra - rb) * (ra + rb)) / (2 * d);
    double half = sqrt(fmax(0, (ra - along) * (ra + along)));
    for (int i = 0; i < 2; i++) {
        double h = i ? half : -half;
        at[i] = (tks_vec2){a->centre.x + (along * dx - h * dy) / d,
                           a->centre.y + (along * dy + h * dx) / d};
    }
    return 2;
}

/* Points common to both segments, at most two. */
static size_t crossings(const tks_segment *a, const tks_segment *b, tks_vec2 at[2])
{
    tks_vec2 met[2];
    size_t count = a->turn == 0 && b->turn == 0 ? line_meets_line(a, b, met)
                   : a->turn == 0               ? line_meets_circle(a, b, met)
                   : b->turn == 0               ? line_meets_circle(b, a, met)
                                                : circle_meets_circle(a, b, met);
    size_t kept = 0;
    for (size_t i = 0; i < count; i++) {
        double v;
        if (geometry_segment_distance(a, met[i], &v) <= GEOMETRY_SAME &&
            geometry_segment_distance(b, met[i], &v) <= GEOMETRY_SAME)
            at[kept++] = met[i];
    }
    return kept;
}

/* Gap along the line of centres (arc and arc), or along the perpendicular to a line. */
static double gap_across(const tks_segment *a, const tks_segment *b)
{
    if (a->turn == 0) return DBL_MAX; /* two lines are nearest at an end */
    double dx = b->centre.x - a->centre.x, dy = b->centre.y - a->centre.y;
    if (b->turn == 0) {
        tks_vec2 t = geometry_segment_tangent(b, 0);
        double off = vec2_cross(t, (tks_vec2){a->centre.x - b->from.x, a->centre.y - b->from.y});
        dx = off * t.y, dy = -off * t.x;
    }
    double least = DBL_MAX, ra = geometry_arc_radius(a), v;
    for (int side = -1; side <= 1; side += 2) {
        double d = hypot(dx, dy);
        if (!(d > 0) || !on_arc(a, side * dx, side * dy)) continue;
        tks_vec2 p = {a->centre.x + side * ra * dx / d, a->centre.y + side * ra * dy / d};
        least = fmin(least, geometry_segment_distance(b, p, &v));
    }
    return least;
}

double geometry_segment_gap(const tks_segment *a, const tks_segment *b)
{
    tks_vec2 at[2];
    double v;
    if (crossings(a, b, at)) return 0;
    double least =
        fmin(geometry_segment_distance(a, b->from, &v), geometry_segment_distance(a, b->to, &v));
    least = fmin(least, geometry_segment_distance(b, a->from, &v));
    least = fmin(least, geometry_segment_distance(b, a->to, &v));
    return fmin(least, fmin(gap_across(a, b), gap_across(b, a)));
}

/* Crossings near a joint of the two are the joint itself, seen with rounding: of tangent
 * neighbours it is known to about the square root of the rounding error. */
bool geometry_segments_fold(const tks_segment *a, const tks_segment *b, bool closing)
{
    tks_vec2 s = geometry_segment_tangent(a, 1), t = geometry_segment_tangent(b, 0);
    double along = s.x * t.x + s.y * t.y, across = fabs(vec2_cross(s, t));
    if (a->turn == 0 && b->turn == 0) return along < 0 && across < 1e-9;
    bool tangent = along > 0 && across < 1e-12; /* a line meets its circle nowhere else */
    if (tangent && !closing && (a->turn == 0 || b->turn == 0)) return false;
    tks_vec2 at[2];
    double near = 1e-6 * fmin(tks_segment_length(a), tks_segment_length(b)) +
                  1e-7 * (geometry_arc_radius(a) + geometry_arc_radius(b)) + 10 * GEOMETRY_SAME;
    size_t count = crossings(a, b, at);
    for (size_t i = 0; i < count; i++) {
        bool joint = vec2_distance(at[i], b->from) < near ||
                     (closing && vec2_distance(at[i], a->from) < near);
        if (!joint) return true;
    }
    return false;
}
