/* Profiles of screw threads. */
#include "tankside/thread.h"

#include "base/vec.h"

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
    profile->thread = *thread;
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
