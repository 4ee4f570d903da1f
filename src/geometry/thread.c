/* Profiles of screw threads, and the exact measures of the helicoids that they trace. */
#include "tankside/thread.h"

#include "base/vec.h"
#include "geometry/gauss.h"

#define PI  3.14159265358979323846
#define DEG (PI / 180)

/* The sharp V of height H = P / (2 tan(half angle)) has its tips cut back: crest and root, as
 * fractions of H. A round form fills the cut with an arc tangent to both flanks.
 * Sources: 60 deg: ISO 68-1 (crest H/8, root H/4), same in ASME B1.1; 55 deg: BS 84, depth
 * 0.640327 P = 2/3 H; 47.5 deg: BS 93, depth 0.6 P, so cut 1/2 - 0.6 tan(23.75 deg). */
static const struct {
    const char *name;
    double half_angle, crest_cut, root_cut;
    bool round;
} forms[TKS_THREAD_FORM_COUNT] = {
    {"metric", 30 * DEG, 1.0 / 8, 1.0 / 4, false},
    {"unified", 30 * DEG, 1.0 / 8, 1.0 / 4, false},
    {"whitworth", 27.5 * DEG, 1.0 / 6, 1.0 / 6, true},
    {"BA", 23.75 * DEG, 0.23599368146489995, 0.23599368146489995, true},
};

/* Root radius of real 60 deg bolts, in pitches. ISO 965-1 and ASME B1.1 (UNR) ask for at least
 * 0.125 P and 0.108 P; 0.144 P (H/6) is the most that fits. */
static const double root_radius = 1.0 / 8;

const char *tks_thread_form_name(tks_thread_form form)
{
    return (unsigned)form < TKS_THREAD_FORM_COUNT ? forms[form].name : "unknown";
}

double tks_thread_half_angle(tks_thread_form form)
{
    return (unsigned)form < TKS_THREAD_FORM_COUNT ? forms[form].half_angle : 0;
}

/* The rounding (radius 0: flat) of a tip of the V: `tip` is the radius at which the flanks would
 * meet, side +1 at the crest and -1 at the root. */
typedef struct rounding {
    double tip, side, cut, radius;
} rounding;

/* Distance of the end of the tip's flat or arc from the sharp tip, along the radius; and of its
 * middle. */
static double shoulder_depth(const rounding *r, double half_angle)
{
    return r->radius > 0 ? r->radius / sin(half_angle) - r->radius * sin(half_angle) : r->cut;
}

static double middle_depth(const rounding *r, double half_angle)
{
    return r->radius > 0 ? r->radius / sin(half_angle) - r->radius : r->cut;
}

/* The half-profile's piece from the middle of the root to its flank, in the order of the profile
 * for the root, against it for the crest. */
static tks_segment tip_segment(const rounding *r, double half_angle, double height)
{
    double depth = shoulder_depth(r, half_angle);
    tks_segment s = {.label = TKS_THREAD, .cavity = -1};
    s.from = (tks_vec2){r->tip - r->side * middle_depth(r, half_angle), height};
    s.to = (tks_vec2){r->tip - r->side * depth, height - r->side * depth * tan(half_angle)};
    if (r->radius > 0) {
        s.centre = (tks_vec2){r->tip - r->side * r->radius / sin(half_angle), height};
        s.turn = half_angle - PI / 2;
    }
    return s;
}

static tks_segment reversed(tks_segment s)
{
    tks_vec2 from = s.from;
    s.from = s.to;
    s.to = from;
    s.turn = -s.turn;
    return s;
}

static double tip_radius(const tks_thread *thread, double cut, double half_angle, bool root)
{
    if (forms[thread->form].round) return cut / (1 / sin(half_angle) - 1);
    return root && !thread->internal && !thread->basic ? root_radius * thread->pitch : 0;
}

static void fill_profile(const tks_thread *thread, tks_thread_profile *profile)
{
    double pitch = thread->pitch, half_angle = forms[thread->form].half_angle;
    double height = pitch / (2 * tan(half_angle));
    double crest_cut = forms[thread->form].crest_cut * height;
    double root_cut = forms[thread->form].root_cut * height;
    double tip = thread->diameter / 2 + crest_cut;
    rounding crest = {tip, 1, crest_cut, tip_radius(thread, crest_cut, half_angle, false)};
    rounding root = {tip - height, -1, root_cut, tip_radius(thread, root_cut, half_angle, true)};
    profile->half[0] = tip_segment(&root, half_angle, -pitch / 2);
    profile->half[2] = reversed(tip_segment(&crest, half_angle, 0));
    profile->half[1] = (tks_segment){.from = profile->half[0].to,
                                     .to = profile->half[2].from,
                                     .label = TKS_THREAD,
                                     .cavity = -1};
    profile->pitch = pitch;
    profile->advance = (thread->left ? -pitch : pitch) / (2 * PI);
    profile->outer = thread->diameter / 2;
    profile->effective = tip - height / 2;
    profile->inner = profile->half[0].from.x;
    profile->internal = thread->internal;
}

tks_status tks_thread_profile_of(const tks_thread *thread, tks_thread_profile *profile,
                                 tks_error *err)
{
    double d = thread->diameter, pitch = thread->pitch;
    if ((unsigned)thread->form >= TKS_THREAD_FORM_COUNT)
        return tks_fail(err, TKS_EUNKNOWN, tks_nowhere(), "no such thread form");
    if (!(d > 0 && d <= 1e3) || !(pitch > 0))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a thread needs a diameter and a pitch above zero");
    tks_thread_profile made;
    fill_profile(thread, &made);
    if (!(made.inner >= d / 4)) {
        double coarsest = pitch * d / 4 / (made.outer - made.inner);
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a pitch of %.4g mm is too coarse for a thread of %.4g mm: it would leave "
                        "less than half the diameter as core; at most %.3g mm would fit",
                        pitch * 1e3, d * 1e3, coarsest * 1e3);
    }
    *profile = made;
    return TKS_OK;
}

/* ------------------------------------------------------------------ integrals over the radius */

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

/* Area of the helicoid between two radii per radian of travel, each element weighted. */
static double sheet(const tks_thread_profile *p, double low, double high, weight w)
{
    double sum = 0;
    for (int i = 0; i < 3; i++) {
        const tks_segment *s = &p->half[i];
        stretch part = clip(s, low, high);
        if (!(part.to > part.from)) continue;
        sum +=
            s->turn == 0 ? line_sheet(s, p->advance, part, w) : arc_sheet(s, p->advance, part, w);
    }
    return 2 * sum;
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

static double sheet_lost(const tks_thread_profile *p, const tks_thread_end *end, double h)
{
    if (end->kind == TKS_THREAD_SQUARE) return 0;
    loss l = loss_beyond(p, end, h);
    double low = fmax(l.low, p->inner);
    return l.high > low ? sheet(p, low, l.high, l.beyond) : 0;
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
    if (!(end->angle > 0 && end->angle < PI / 2))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "the cone at a thread's end must lean between 0 and 90 deg from the axis");
    double least = end->kind == TKS_THREAD_RUNOUT ? p->inner : 0;
    if (!(end->radius > least && end->radius < 10 * p->outer))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a thread that ends at a diameter of %.4g mm must be over %.4g mm there",
                        2e3 * end->radius, 2e3 * least);
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

/* Measures of the part from one end to a plane at distance h from it, as though the thread went on
 * without the other end. */
static void measure_to(const tks_thread_profile *p, const tks_thread_end *end, double h,
                       double *helicoid, double *cone, double *volume)
{
    *helicoid =
        h * sheet(p, p->inner, p->outer, one) - sheet_lost(p, end, 0) + sheet_lost(p, end, h);
    *cone = cone_beyond(p, end, 0) - cone_beyond(p, end, h);
    *volume = h * section(p, 0, p->outer, one) - volume_lost(p, end, 0) + volume_lost(p, end, h);
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
    /* what lies between = (all from the start to `to`) - (start to `from`), and likewise what the
     * other end takes: the two ends' losses do not overlap, so they add */
    double a[3], b[3], c[3], d[3], plain = to - from;
    measure_to(p, &ends[0], to, &a[0], &a[1], &a[2]);
    measure_to(p, &ends[0], from, &b[0], &b[1], &b[2]);
    measure_to(p, &ends[1], length - from, &c[0], &c[1], &c[2]);
    measure_to(p, &ends[1], length - to, &d[0], &d[1], &d[2]);
    double full = plain * sheet(p, p->inner, p->outer, one);
    measures->helicoid = ((a[0] - b[0]) + (c[0] - d[0]) - full) / fabs(p->advance);
    measures->cones[0] = a[1] - b[1];
    measures->cones[1] = c[1] - d[1];
    measures->faces[0] = from <= 0 ? face_area(p, &ends[0]) : 0;
    measures->faces[1] = to >= length ? face_area(p, &ends[1]) : 0;
    measures->volume = (a[2] - b[2]) + (c[2] - d[2]) - plain * section(p, 0, p->outer, one);
    return TKS_OK;
}

tks_status tks_thread_measure(const tks_thread_profile *p, double length,
                              const tks_thread_end ends[2], tks_thread_measures *measures,
                              tks_error *err)
{
    return tks_thread_measure_part(p, length, ends, 0, length, measures, err);
}
