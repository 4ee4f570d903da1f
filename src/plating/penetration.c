/* The law of penetration. In a long bore of radius r the potential obeys Laplace's equation, and at
 * the wall kappa dphi/dr = -phi / Rp. Separated solutions are J0(x r'/r) exp(-x z/r) with
 * x J1(x) = Bi J0(x), Bi = r / (kappa Rp); the smallest root decays slowest and rules beyond the
 * mouth. Source: Incropera, Fundamentals of Heat and Mass Transfer, ch. 5 (the same eigenvalue in a
 * cooling cylinder and wall). */
#include "tankside/effective.h"

#include <math.h>

/* First zero of J0. */
#define BORE_TOP 2.404825557695773
#define GAP_TOP  (M_PI / 2)

/* A function that rises from below zero at 0 to above zero at its top, and its slope. */
typedef double rising(double x, double biot, double *slope);

static double bore_condition(double x, double biot, double *slope)
{
    double along = j0(x), across = j1(x);
    *slope = x * along + biot * across;
    return x * across - biot * along;
}

static double gap_condition(double x, double biot, double *slope)
{
    *slope = (1 + biot) * sin(x) + x * cos(x);
    return x * sin(x) - biot * cos(x);
}

/* J1(x) = ratio J0(x): the bore's condition with Bi written as x times ratio. */
static double bore_ratio_condition(double x, double ratio, double *slope)
{
    double along = j0(x), across = j1(x);
    *slope = along - across / x + ratio * across;
    return across - ratio * along;
}

/* Newton's method, kept inside a shrinking bracket. */
static double root_of(rising *f, double biot, double guess, double top)
{
    double low = 0, high = top, x = guess;
    for (int i = 0; i < 100; i++) {
        double slope, value = f(x, biot, &slope);
        if (value == 0) return x;
        if (value < 0)
            low = x;
        else
            high = x;
        double next = x - value / slope;
        if (!(next > low && next < high)) next = (low + high) / 2;
        if (fabs(next - x) <= 1e-16 * x) return next;
        x = next;
    }
    return x;
}

/* x^2 ~ 2 Bi for a small Bi and the top for a large one; the guess joins both. */
double tks_root_bore(double biot)
{
    if (!(biot > 0)) return 0;
    if (biot > 1e16) return BORE_TOP;
    double guess = 1 / sqrt(1 / (2 * biot) + 1 / (BORE_TOP * BORE_TOP));
    return root_of(bore_condition, biot, guess, BORE_TOP);
}

double tks_root_gap(double biot)
{
    if (!(biot > 0)) return 0;
    if (biot > 1e16) return GAP_TOP;
    double guess = 1 / sqrt(1 / biot + 1 / (GAP_TOP * GAP_TOP));
    return root_of(gap_condition, biot, guess, GAP_TOP);
}

static tks_status check_cavity(const tks_cavity *cavity, double conductivity, double polarisation,
                               tks_error *err)
{
    const char *name = cavity->kind == TKS_BORE ? "bore" : "gap";
    bool fits = cavity->width > 0 && isfinite(cavity->width) && cavity->length > 0 &&
                isfinite(cavity->length) && (cavity->mouths == 1 || cavity->mouths == 2);
    if (!fits)
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "a %s %g m wide and %g m long with %d open ends cannot be; width and "
                        "length must be above zero, with 1 or 2 open ends",
                        name, cavity->width, cavity->length, cavity->mouths);
    double product = conductivity * polarisation;
    if (product > 0 && isfinite(product)) return TKS_OK;
    return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                    "conductivity %g S/m times polarisation %g ohm m^2 must be above zero",
                    conductivity, polarisation);
}

tks_status tks_reach_of(const tks_cavity *cavity, double conductivity, double polarisation,
                        tks_reach *reach, tks_error *err)
{
    tks_status status = check_cavity(cavity, conductivity, polarisation, err);
    if (status) return status;
    bool bore = cavity->kind == TKS_BORE;
    double half = bore ? cavity->width : cavity->width / 2;
    double biot = half / (conductivity * polarisation);
    double length = half / (bore ? tks_root_bore(biot) : tks_root_gap(biot));
    double depth = cavity->length / cavity->mouths;
    double ratio = depth / length;
    double mean = ratio > 0 ? tanh(ratio) / ratio : 1;
    *reach = (tks_reach){biot, length, depth, mean, 0};
    reach->least = tks_reach_at(reach, depth);
    return TKS_OK;
}

/* cosh((D - x)/L) / cosh(D/L), in a form that does not overflow. */
double tks_reach_at(const tks_reach *reach, double distance)
{
    double inward = exp(-distance / reach->length);
    double back = exp(-(2 * reach->depth - distance) / reach->length);
    return (inward + back) / (1 + exp(-2 * reach->depth / reach->length));
}

/* From cosh((D - x)/L) = fraction cosh(D/L). Deep inside, where cosh(D/L) would overflow, both are
 * exponentials. */
double tks_reach_distance(const tks_reach *reach, double fraction)
{
    if (!(fraction > reach->least)) return reach->depth;
    double depths = reach->depth / reach->length;
    if (depths > 300) return -reach->length * log(fraction);
    double left = acosh(fmax(1, fraction * cosh(depths)));
    return fmax(0, reach->depth - reach->length * left);
}

/* The deepest place gets the fraction when the penetration length is L = depth / acosh(1/fraction).
 * With half = L x and Bi = half / (kappa Rp), the condition for x becomes J1(x) / J0(x) =
 * L / (kappa Rp) in a bore, tan x in a gap. */
tks_status tks_reach_width(const tks_cavity *cavity, double conductivity, double polarisation,
                           double fraction, double *width, tks_error *err)
{
    tks_cavity trial = *cavity;
    trial.width = 1;
    tks_status status = check_cavity(&trial, conductivity, polarisation, err);
    if (status) return status;
    if (!(fraction > 0 && fraction < 1))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "a fraction of %g cannot be; it must be between 0 and 1", fraction);
    double length = cavity->length / cavity->mouths / acosh(1 / fraction);
    double ratio = length / (conductivity * polarisation);
    double guess = 1 / hypot(1 / (2 * ratio), 1 / BORE_TOP);
    *width = cavity->kind == TKS_BORE
                 ? length * root_of(bore_ratio_condition, ratio, guess, BORE_TOP)
                 : 2 * length * atan(ratio);
    return TKS_OK;
}

tks_cavity tks_thread_groove(double pitch)
{
    return (tks_cavity){TKS_GAP, 0.5 * pitch, 0.6 * pitch, 1};
}
