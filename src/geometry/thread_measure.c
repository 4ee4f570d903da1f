/* Exact measures of threads: helicoid, sections, ends. All are integrals over the radius. */
#include "tankside/thread.h"

#include "base/vec.h"
#include "geometry/gauss.h"
#include "geometry/trim.h"

#define PI  3.14159265358979323846
#define DEG (PI / 180)

/* A stretch of a segment: fractions of it between two radii. Radii grow along each segment. */
typedef struct stretch {
    double from, to;
} stretch;

static double fraction_at(const tks_segment *s, double radius)
{
    if (radius <= s->from.x) return 0;
    if (radius >= s->to.x) return 1;
    if (s->turn == 0) return (radius - s->from.x) / (s->to.x - s->from.x);
    double arc = vec2_distance(s->from, s->centre);
    double start = acos(fmax(-1, fmin(1, (s->from.x - s->centre.x) / arc)));
    double there = acos(fmax(-1, fmin(1, (radius - s->centre.x) / arc)));
    return fmax(0, fmin(1, fabs(there - start) / fabs(s->turn)));
}

static stretch clip(const tks_segment *s, double low, double high)
{
    if (s->from.x == s->to.x) /* a flat belongs to the stretch that holds its radius */
        return (stretch){0, low <= s->from.x && s->from.x <= high ? 1 : 0};
    return (stretch){fraction_at(s, low), fraction_at(s, high)};
}

/* Point, and change of radius per unit of t, at the fraction t of a segment. */
static tks_vec2 segment_at(const tks_segment *s, double t, double *radius_rate)
{
    if (s->turn == 0) {
        *radius_rate = s->to.x - s->from.x;
        return (tks_vec2){s->from.x + t * (s->to.x - s->from.x),
                          s->from.y + t * (s->to.y - s->from.y)};
    }
    double x = s->from.x - s->centre.x, y = s->from.y - s->centre.y;
    double c = cos(t * s->turn), q = sin(t * s->turn);
    *radius_rate = -(q * x + c * y) * s->turn;
    return (tks_vec2){s->centre.x + c * x - q * y, s->centre.y + q * x + c * y};
}

/* What is integrated: (a + b r) times the area element. */
typedef struct weight {
    double a, b;
} weight;

/* Integral of sqrt(r^2 + k^2) (a + b r) dr from low to high, k > 0. With q = sqrt(r^2 + k^2) it is
 * a (r q + k^2 asinh(r / k)) / 2 + b q^3 / 3; the differences are so written that nothing cancels
 * when the flank is short. */
static double flank_integral(double low, double high, double k, weight w)
{
    double ql = sqrt(low * low + k * k), qh = sqrt(high * high + k * k);
    double squares = (high - low) * (high + low), roots = squares / (qh + ql);
    double turn = asinh(squares / (high * ql + low * qh));
    double sum = w.a * ((high - low) * qh + low * roots + k * k * turn) / 2;
    return w.b == 0 ? sum : sum + w.b * roots * (qh * qh + qh * ql + ql * ql) / 3;
}

static double line_sheet(const tks_segment *s, double advance, stretch part, weight w)
{
    double length = vec2_distance(s->from, s->to);
    if (s->from.x == s->to.x)
        return (part.to - part.from) * length * s->from.x * (w.a + w.b * s->from.x);
    double slope = (s->to.x - s->from.x) / length, k = fabs(advance) * slope;
    double low = s->from.x + part.from * (s->to.x - s->from.x);
    double high = s->from.x + part.to * (s->to.x - s->from.x);
    return flank_integral(low, high, k, w) / slope;
}

static double arc_sheet(const tks_segment *s, double advance, stretch part, weight w)
{
    double arc = vec2_distance(s->from, s->centre) * fabs(s->turn), sum = 0;
    for (int i = 0; i < GEOMETRY_GAUSS; i++) {
        double rate, t = part.from + (part.to - part.from) * geometry_gauss[i].at;
        double r = segment_at(s, t, &rate).x, k = advance * rate / arc;
        sum += geometry_gauss[i].weight * sqrt(r * r + k * k) * (w.a + w.b * r);
    }
    return sum * arc * (part.to - part.from);
}

/* Area of one piece of the helicoid, and of its mirror image, between two radii per radian of
 * travel, each element weighted. */
static double piece_sheet(const tks_thread_profile *p, int piece, double low, double high, weight w)
{
    const tks_segment *s = &p->half[piece];
    stretch part = clip(s, low, high);
    if (!(part.to > part.from)) return 0;
    return 2 *
           (s->turn == 0 ? line_sheet(s, p->advance, part, w) : arc_sheet(s, p->advance, part, w));
}

/* The same of the whole profile. */
static double sheet(const tks_thread_profile *p, double low, double high, weight w)
{
    double sum = 0;
    for (int i = 0; i < 3; i++) sum += piece_sheet(p, i, low, high, w);
    return sum;
}

/* Area of a full ring between two radii, each element weighted. */
static double ring(double low, double high, weight w)
{
    return PI * w.a * (high * high - low * low) +
           2 * PI / 3 * w.b * (high * high * high - low * low * low);
}

/* The same for the part that lies in the section: at radius r the tooth holds the share
 * 2 |height of the half-profile| / pitch of the circle, and all of it under the root. */
static double section(const tks_thread_profile *p, double low, double high, weight w)
{
    double sum = 0;
    for (int i = 0; i < 3; i++) {
        const tks_segment *s = &p->half[i];
        stretch part = clip(s, low, high);
        if (s->from.x == s->to.x || !(part.to > part.from)) continue;
        for (int j = 0; j < GEOMETRY_GAUSS; j++) {
            double rate, t = part.from + (part.to - part.from) * geometry_gauss[j].at;
            tks_vec2 at = segment_at(s, t, &rate);
            sum += (part.to - part.from) * geometry_gauss[j].weight * rate * at.x * -at.y *
                   (w.a + w.b * at.x);
        }
    }
    double core = low < p->inner ? ring(low, fmin(high, p->inner), w) : 0;
    return core + 4 * PI / p->pitch * sum;
}

static const weight one = {1, 0};

double tks_thread_area_per_pitch(const tks_thread_profile *p)
{
    return 2 * PI * sheet(p, p->inner, p->outer, one);
}

double tks_thread_section_area(const tks_thread_profile *p)
{
    return section(p, 0, p->outer, one);
}

/* ------------------------------------------------------------------ ends */

tks_thread_end tks_thread_chamfer(const tks_thread_profile *p)
{
    return (tks_thread_end){TKS_THREAD_CHAMFER, p->inner - 0.02 * p->pitch, 45 * DEG};
}

tks_thread_end tks_thread_runout(const tks_thread_profile *p, double shank_radius, double length)
{
    return (tks_thread_end){TKS_THREAD_RUNOUT, shank_radius,
                            atan2(shank_radius - p->inner, length)};
}

tks_thread_end tks_thread_countersink(const tks_thread_profile *p)
{
    return (tks_thread_end){TKS_THREAD_RUNOUT, 1.05 * p->outer, 60 * DEG};
}

double tks_thread_end_height(const tks_thread_profile *p, const tks_thread_end *end)
{
    if (end->kind == TKS_THREAD_CHAMFER) return fmax(0, p->outer - end->radius) / tan(end->angle);
    return end->kind == TKS_THREAD_RUNOUT ? (end->radius - p->inner) / tan(end->angle) : 0;
}

/* A radius r loses height under the cone of an end: chamfer (r - R) / tan, run-out (R - r) / tan,
 * where R is the cone's radius at the end plane. The radii that lose more than h, and the height
 * lost beyond h as a + b r. */
typedef struct loss {
    double low, high;
    weight beyond;
} loss;

static loss loss_beyond(const tks_thread_profile *p, const tks_thread_end *end, double h)
{
    double rise = 1 / tan(end->angle), r = end->radius;
    if (end->kind == TKS_THREAD_CHAMFER)
        return (loss){fmin(r + h / rise, p->outer), p->outer, {-r * rise - h, rise}};
    return (loss){p->inner, fmin(fmax(r - h / rise, p->inner), p->outer), {r * rise - h, -rise}};
}

/* Helicoid of one piece per radian that an end takes farther than h from it. */
static double piece_lost(const tks_thread_profile *p, int piece, const tks_thread_end *end,
                         double h)
{
    if (end->kind == TKS_THREAD_SQUARE) return 0;
    loss l = loss_beyond(p, end, h);
    double low = fmax(l.low, p->inner);
    return l.high > low ? piece_sheet(p, piece, low, l.high, l.beyond) : 0;
}

double thread_piece_area(const trim_thread *t, int piece, double from, double to)
{
    const tks_thread_profile *p = &t->profile;
    double full = (to - from) * piece_sheet(p, piece, p->inner, p->outer, one);
    double start = piece_lost(p, piece, &t->ends[0], from) - piece_lost(p, piece, &t->ends[0], to);
    double end = piece_lost(p, piece, &t->ends[1], t->length - to) -
                 piece_lost(p, piece, &t->ends[1], t->length - from);
    return (full - start - end) / fabs(p->advance);
}

double thread_tooth_area(const tks_thread_profile *p, double low, double high, double rise)
{
    return section(p, low, high, one) * hypot(1, rise);
}

double thread_gap_area(const tks_thread_profile *p, double low, double high, double rise)
{
    return (ring(low, high, one) - section(p, low, high, one)) * hypot(1, rise);
}

/* At the radius of a flat, its inner edge: the width just above the root. */
double thread_half_width(const tks_thread_profile *p, double radius)
{
    if (radius < p->inner) return p->pitch / 2;
    const tks_segment *s = p->half;
    while (s < p->half + 2 && radius >= s->to.x) s++;
    if (s == p->half + 2 && s->turn == 0) return -s->from.y;
    double rate;
    return -segment_at(s, fraction_at(s, radius), &rate).y;
}

/* Volume that a chamfer takes, and (negative) that a run-out fills, farther than h from the end. */
static double volume_lost(const tks_thread_profile *p, const tks_thread_end *end, double h)
{
    if (end->kind == TKS_THREAD_SQUARE) return 0;
    loss l = loss_beyond(p, end, h);
    if (end->kind == TKS_THREAD_CHAMFER)
        return l.high > l.low ? section(p, l.low, l.high, l.beyond) : 0;
    double top = end->radius - h * tan(end->angle);
    if (top <= p->inner) return 0;
    return section(p, p->inner, l.high, l.beyond) - ring(p->inner, top, l.beyond);
}

/* Exposed area of an end's cone farther than h from the end. */
static double cone_beyond(const tks_thread_profile *p, const tks_thread_end *end, double h)
{
    if (end->kind == TKS_THREAD_SQUARE) return 0;
    loss l = loss_beyond(p, end, h);
    if (end->kind == TKS_THREAD_CHAMFER)
        return l.high > l.low ? section(p, l.low, l.high, one) / sin(end->angle) : 0;
    double top = end->radius - h * tan(end->angle);
    if (top <= p->inner) return 0;
    return (ring(p->inner, top, one) - section(p, p->inner, l.high, one)) / sin(end->angle);
}

static double face_area(const tks_thread_profile *p, const tks_thread_end *end)
{
    double r = end->radius;
    if (end->kind == TKS_THREAD_SQUARE) return section(p, 0, p->outer, one);
    if (end->kind == TKS_THREAD_CHAMFER) return section(p, 0, fmin(r, p->outer), one);
    return PI * r * r + (r < p->outer ? section(p, r, p->outer, one) : 0);
}

static tks_status check_end(const tks_thread_profile *p, const tks_thread_end *end, tks_error *err)
{
    if (end->kind == TKS_THREAD_SQUARE) return TKS_OK;
    double least = end->kind == TKS_THREAD_RUNOUT ? p->inner : 0;
    if (!(end->radius > least && end->radius < 10 * p->outer))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a thread that ends at a diameter of %.4g mm must be over %.4g mm there",
                        2e3 * end->radius, 2e3 * least);
    if (!(end->angle > 0 && end->angle < PI / 2))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "the cone at a thread's end must lean between 0 and 90 deg from the axis");
    return TKS_OK;
}

static tks_status check_stretch(const tks_thread_profile *p, double length,
                                const tks_thread_end ends[2], tks_error *err)
{
    for (int i = 0; i < 2; i++) {
        tks_status status = check_end(p, &ends[i], err);
        if (status) return status;
    }
    double reach = tks_thread_end_height(p, &ends[0]) + tks_thread_end_height(p, &ends[1]);
    if (!(length > 0 && length >= reach && length <= 1e3))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a thread %.4g mm long has no room for its chamfer and run-out, which take "
                        "%.4g mm",
                        length * 1e3, reach * 1e3);
    return TKS_OK;
}

tks_status tks_thread_measure_part(const tks_thread_profile *p, double length,
                                   const tks_thread_end ends[2], double from, double to,
                                   tks_thread_measures *measures, tks_error *err)
{
    tks_status status = check_stretch(p, length, ends, err);
    if (status) return status;
    if (!(from >= 0 && to <= length && from <= to))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "the stretch from %.4g to %.4g mm does not lie on a thread %.4g mm long",
                        from * 1e3, to * 1e3, length * 1e3);
    /* the heights that the two ends take do not overlap, so that they add */
    trim_thread whole = {*p, length, {ends[0], ends[1]}};
    double near[2] = {from, length - to}, far[2] = {to, length - from};
    measures->helicoid = 0;
    for (int i = 0; i < 3; i++) measures->helicoid += thread_piece_area(&whole, i, from, to);
    measures->volume = (to - from) * section(p, 0, p->outer, one);
    for (int i = 0; i < 2; i++) {
        measures->cones[i] = cone_beyond(p, &ends[i], near[i]) - cone_beyond(p, &ends[i], far[i]);
        measures->faces[i] = near[i] <= 0 ? face_area(p, &ends[i]) : 0;
        measures->volume -= volume_lost(p, &ends[i], near[i]) - volume_lost(p, &ends[i], far[i]);
    }
    return TKS_OK;
}

tks_status tks_thread_measure(const tks_thread_profile *p, double length,
                              const tks_thread_end ends[2], tks_thread_measures *measures,
                              tks_error *err)
{
    return tks_thread_measure_part(p, length, ends, 0, length, measures, err);
}
