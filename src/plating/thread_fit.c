/* Growth of plated threads against the clearance of their tolerance classes. */
#include "tankside/thread_fit.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define UM   1e-6
#define MM   1e-3
#define INCH 25.4e-3

double tks_thread_growth(tks_thread_form form)
{
    double angle = tks_thread_half_angle(form);
    return angle > 0 ? 2 / sin(angle) : 0;
}

static tks_status fail_class(const char *text, const char *right, tks_error *err)
{
    return tks_fail(err, TKS_EUNKNOWN, tks_nowhere(),
                    "no tolerance class is called '%.16s' for this thread; write %s", text, right);
}

/* ------------------------------------------------------------------ ISO 965-1 */

/* Fundamental deviation of position g (and, upward, of G) by pitch. Sources: P 0.35 to 2: ISO
 * 4042:1999 table 2, secondary copy; 0.45, 0.6, 0.75: limits of sizes, secondary copy; others from
 * memory. The rule behind is -(15 + 11 P) um, rounded. */
static const struct {
    double pitch, deviation; /* mm, um */
} position_g[] = {
    {.2, 17}, {.25, 18}, {.35, 19}, {.4, 19},  {.45, 20},  {.5, 20},  {.6, 21},
    {.7, 22}, {.75, 22}, {.8, 24},  {1, 26},   {1.25, 28}, {1.5, 32}, {1.75, 34},
    {2, 38},  {2.5, 42}, {3, 48},   {3.5, 53}, {4, 60},
};

static double deviation_g(double pitch_mm)
{
    for (size_t i = 0; i < sizeof position_g / sizeof *position_g; i++)
        if (fabs(pitch_mm - position_g[i].pitch) < 1e-6) return position_g[i].deviation * UM;
    return (15 + 11 * pitch_mm) * UM;
}

/* Position letter to deviation; e and f by their rules, from memory. -1: no such letter. */
static double metric_deviation(char letter, double pitch_mm)
{
    switch (letter) {
    case 'h': return 0;
    case 'g': return deviation_g(pitch_mm);
    case 'f': return (30 + 11 * pitch_mm) * UM;
    case 'e': return (50 + 11 * pitch_mm) * UM;
    default: return -1;
    }
}

/* Tolerance of the pitch diameter of an external thread of grade 6: 90 P^0.4 d^0.1 um, with d the
 * geometric mean of the standard's range that holds the diameter (mm). Source: ISO 965-1, from
 * memory; gives 121 um for M8x1.25, where the table, rounded to the R40 series, has 118. */
static double grade_6(double diameter_mm, double pitch_mm)
{
    static const double ranges[] = {0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45, 90, 180, 355};
    enum { LAST = sizeof ranges / sizeof *ranges - 1 };
    size_t i = 1;
    while (i < LAST && diameter_mm > ranges[i]) i++;
    return 90 * pow(pitch_mm, 0.4) * pow(sqrt(ranges[i - 1] * ranges[i]), 0.1) * UM;
}

/* Grades 3 to 9 as multiples of grade 6 external, ISO 965-1, from memory. */
static const double external_grades[] = {0.5, 0.63, 0.8, 1, 1.25, 1.6, 2};
/* Grades 4 to 8 internal. */
static const double internal_grades[] = {0.85, 1.06, 1.32, 1.7, 2.12};

static tks_status metric_fit(const tks_thread *thread, tks_thread_fit *fit, tks_error *err)
{
    double pitch = thread->pitch / MM, base = grade_6(thread->diameter / MM, pitch);
    char grade = fit->bolt_class[0], letter = (char)tolower((unsigned char)fit->bolt_class[1]);
    double bolt = grade && letter ? metric_deviation(letter, pitch) : -1;
    if (grade < '3' || grade > '9' || bolt < 0)
        return fail_class(fit->bolt_class, "6g, 6h, 6f or 6e", err);
    fit->bolt_tolerance = base * external_grades[grade - '3'];
    grade = fit->nut_class[0];
    letter = grade ? (char)tolower((unsigned char)fit->nut_class[1]) : '\0';
    if (grade < '4' || grade > '8' || (letter != 'h' && letter != 'g'))
        return fail_class(fit->nut_class, "6H or 6G", err);
    fit->nut_tolerance = base * internal_grades[grade - '4'];
    fit->allowance = bolt + (letter == 'g' ? deviation_g(pitch) : 0);
    fit->source = "ISO 965-1";
    return TKS_OK;
}

/* ------------------------------------------------------------------ inch and BA */

/* ASME B1.1: tolerance of the pitch diameter, class 2A, with engagement over one diameter [in]:
 * 0.0015 D^(1/3) + 0.0015 sqrt(D) + 0.015 P^(2/3). Classes 1A and 3A are 1.5 and 0.75 times it,
 * 1B, 2B and 3B 1.95, 1.3 and 0.975 times; the allowance of 1A and 2A is 0.3 times the 2A
 * tolerance. Source: from memory, checked with the published allowances. */
static tks_status unified_fit(const tks_thread *thread, tks_thread_fit *fit, tks_error *err)
{
    static const double bolts[] = {1.5, 1, 0.75}, nuts[] = {1.95, 1.3, 0.975};
    double d = thread->diameter / INCH, p = thread->pitch / INCH;
    double base = (0.0015 * cbrt(d) + 0.0015 * sqrt(d) + 0.015 * cbrt(p * p)) * INCH;
    const char *bolt = fit->bolt_class, *nut = fit->nut_class;
    if (bolt[0] < '1' || bolt[0] > '3' || tolower((unsigned char)bolt[1]) != 'a' || bolt[2])
        return fail_class(bolt, "1A, 2A or 3A", err);
    if (nut[0] < '1' || nut[0] > '3' || tolower((unsigned char)nut[1]) != 'b' || nut[2])
        return fail_class(nut, "1B, 2B or 3B", err);
    fit->bolt_tolerance = base * bolts[bolt[0] - '1'];
    fit->nut_tolerance = base * nuts[nut[0] - '1'];
    fit->allowance = bolt[0] == '3' ? 0 : 0.3 * base;
    fit->source = "ASME B1.1";
    return TKS_OK;
}

/* BS 84, medium class, engagement over one diameter [in]: T = 0.002 D^(1/3) + 0.003 sqrt(D) + 0.005
 * sqrt(P), for bolts and nuts. Later editions give plated bolts an allowance; none is counted on.
 */
static void whitworth_fit(const tks_thread *thread, tks_thread_fit *fit)
{
    double d = thread->diameter / INCH, p = thread->pitch / INCH;
    double t = (0.002 * cbrt(d) + 0.003 * sqrt(d) + 0.005 * sqrt(p)) * INCH;
    fit->bolt_tolerance = fit->nut_tolerance = t;
    fit->allowance = 0;
    fit->source = "BS 84, from memory";
}

/* BS 93, normal class: bolts 0.10 P + 0.025 mm with an allowance of 0.025 mm, nuts 0.12 P + 0.03
 * mm.
 */
static void ba_fit(const tks_thread *thread, tks_thread_fit *fit)
{
    fit->bolt_tolerance = 0.10 * thread->pitch + 0.025 * MM;
    fit->nut_tolerance = 0.12 * thread->pitch + 0.030 * MM;
    fit->allowance = 0.025 * MM;
    fit->source = "BS 93, from memory";
}

static bool given(const char *text)
{
    return text && *text;
}

tks_status tks_thread_fit_of(const tks_thread *thread, const char *bolt_class,
                             const char *nut_class, tks_thread_fit *fit, tks_error *err)
{
    static const char *const usual[TKS_THREAD_FORM_COUNT][2] = {
        {"6g", "6H"},
        {"2A", "2B"},
        {"medium", "medium"},
        {"normal", "normal"},
    };
    tks_thread_profile profile;
    tks_status status = tks_thread_profile_of(thread, &profile, err);
    if (status) return status;
    tks_thread_fit made = {.growth = tks_thread_growth(thread->form)};
    made.bolt_class = given(bolt_class) ? bolt_class : usual[thread->form][0];
    made.nut_class = given(nut_class) ? nut_class : usual[thread->form][1];
    if (thread->form == TKS_THREAD_METRIC)
        status = metric_fit(thread, &made, err);
    else if (thread->form == TKS_THREAD_UNIFIED)
        status = unified_fit(thread, &made, err);
    else if (given(bolt_class) || given(nut_class))
        status = fail_class(given(bolt_class) ? bolt_class : nut_class, "none", err);
    else if (thread->form == TKS_THREAD_WHITWORTH)
        whitworth_fit(thread, &made);
    else
        ba_fit(thread, &made);
    if (status == TKS_OK) *fit = made;
    return status;
}

/* ------------------------------------------------------------------ judging */

double tks_thread_fit_sure(const tks_thread_fit *fit, double nut_share)
{
    return fit->allowance / (fit->growth * (1 + nut_share));
}

static double middle_clearance(const tks_thread_fit *fit)
{
    return fit->allowance + (fit->bolt_tolerance + fit->nut_tolerance) / 2;
}

double tks_thread_fit_likely(const tks_thread_fit *fit, double nut_share)
{
    return middle_clearance(fit) / (fit->growth * (1 + nut_share));
}

tks_fit_verdict tks_thread_fit_judge(const tks_thread_fit *fit, double bolt_deposit,
                                     double nut_deposit)
{
    double grown = fit->growth * (bolt_deposit + nut_deposit) * (1 - 1e-12);
    if (grown <= fit->allowance) return TKS_FIT_SURE;
    if (grown <= middle_clearance(fit)) return TKS_FIT_LIKELY;
    double all = fit->allowance + fit->bolt_tolerance + fit->nut_tolerance;
    return grown <= all ? TKS_FIT_SELDOM : TKS_FIT_NEVER;
}

double tks_thread_unevenness(double length, double diameter)
{
    if (length <= 5 * diameter) return 1;
    return length <= 10 * diameter ? 1.25 : 1.5;
}

static const char *const chances[] = {
    "", "a bolt and nut in the middle of their tolerances still go together",
    "only a small bolt in a large nut still goes on", "no nut of this class goes on"};

/* How much is sure, and why; without an allowance nothing is. */
static void say_sure(const tks_thread_fit *fit, double nut_share, char *text, size_t size)
{
    double sure = tks_thread_fit_sure(fit, nut_share);
    if (sure > 0)
        snprintf(
            text, size,
            "up to %.2g um is sure to assemble: %s/%s (%s) leaves %.3g um of pitch diameter free",
            sure / UM, fit->bolt_class, fit->nut_class, fit->source, fit->allowance / UM);
    else
        snprintf(text, size,
                 "no deposit is sure to assemble: %s/%s (%s) may leave nothing of the pitch "
                 "diameter free",
                 fit->bolt_class, fit->nut_class, fit->source);
}

tks_status tks_thread_fit_cautions(const tks_thread_fit *fit, const char *name, double low,
                                   double high, double nut_share, const char *what,
                                   tks_cautions *cautions)
{
    tks_fit_verdict verdict = tks_thread_fit_judge(fit, high, nut_share * high);
    if (verdict == TKS_FIT_SURE) return TKS_OK;
    double both = fit->growth * (1 + nut_share);
    char sure[200];
    say_sure(fit, nut_share, sure, sizeof sure);
    return tks_caution_add(
        cautions, verdict == TKS_FIT_LIKELY ? TKS_DOUBT : TKS_SPOIL, "thread-tight", what,
        "On %s %s, and a deposit takes %.3g times its thickness. Its flanks get %.3g to %.3g um, "
        "which takes %.3g to %.3g um: at the thickest %s. %s, use a looser class of bolt or nut, "
        "or run a tap through the nut before it is plated.",
        name, sure, both, low / UM, high / UM, both * low / UM, both * high / UM, chances[verdict],
        nut_share > 0 ? "Plate thinner, stop off the nut's thread" : "Plate thinner");
}
