#include "tankside/field.h"

#include <math.h>

/* Density over exchange density less x, and its derivative. */
static double excess(const tks_polarisation *law, double h, double x, double *derivative)
{
    double forward = exp(h / law->forward), backward = exp(-h / law->backward);
    *derivative = forward / law->forward + backward / law->backward;
    return forward - backward - x;
}

/* Newton's method from the side where the wanted exponential alone gives x: there the function is
 * above zero and each step stays above the root or just past it. */
static double kinetic(const tks_polarisation *law, double density, double *slope)
{
    double x = density / law->exchange, derivative = 1;
    double h = x >= 0 ? law->forward * log1p(x) : -law->backward * log1p(-x);
    for (int step = 0; step < 60; step++) {
        double change = excess(law, h, x, &derivative) / derivative;
        h -= change;
        if (fabs(change) <= 1e-14 * (fabs(h) + 1e-300)) break;
    }
    excess(law, h, x, &derivative);
    *slope = 1 / (law->exchange * derivative);
    return h;
}

double tks_polarisation_overpotential(const tks_polarisation *law, double density, double *slope)
{
    double unused;
    if (!slope) slope = &unused;
    *slope = 0;
    if (law->kind == TKS_POLARISATION_NONE) return 0;
    if (law->kind == TKS_POLARISATION_KINETIC) return kinetic(law, density, slope);
    *slope = law->slope;
    return law->slope * density;
}
