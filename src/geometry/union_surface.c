/* The unbounded surfaces that faces lie on: value, gradient and a bound of the bending. */
#include "geometry/union.h"

#include "base/vec.h"

#include <math.h>

double union_value(const union_surface *s, tks_vec3 q, tks_vec3 *gradient)
{
    tks_vec3 d = vec3_sub(q, s->origin);
    if (s->form == UNION_SPHERE) {
        *gradient = vec3_scale(d, s->side / s->radius);
        return s->side * (vec3_dot(d, d) - s->radius * s->radius) / (2 * s->radius);
    }
    double h = vec3_dot(d, s->axis);
    if (s->form == UNION_PLANE) {
        *gradient = s->axis;
        return h;
    }
    tks_vec3 across = vec3_step(d, -h, s->axis);
    double square = vec3_dot(across, across), rho;
    if (s->form == UNION_CYLINDER) {
        *gradient = vec3_scale(across, s->side / s->radius);
        return s->side * (square - s->radius * s->radius) / (2 * s->radius);
    }
    rho = sqrt(square);
    tks_vec3 spoke = rho > 0 ? vec3_scale(across, 1 / rho) : vec3(0, 0, 0);
    if (s->form == UNION_CONE) {
        *gradient = vec3_step(vec3_scale(spoke, s->cosine), s->sine, s->axis);
        return s->cosine * rho + s->sine * h - s->radius;
    }
    double w = rho - s->ring;
    *gradient = vec3_scale(vec3_step(vec3_scale(spoke, w), h, s->axis), s->side / s->radius);
    return s->side * (w * w + h * h - s->radius * s->radius) / (2 * s->radius);
}

/* Norm of the second derivatives of rho = sqrt(x^2 + y^2) within reach of a point. At real points
 * it is 1 / rho. At complex ones the matrix is (y,-x)(y,-x)^T / rho^3, and |rho^2| can have fallen
 * by 2 rho reach + reach^2. */
static double spoke_curvature(double rho, double reach, bool real)
{
    if (real) return rho > reach ? 1 / (rho - reach) : INFINITY;
    double least = rho * rho - 2 * rho * reach - reach * reach, most = rho + reach;
    return least > 0 ? most * most / (least * sqrt(least)) : INFINITY;
}

static double torus_curvature(const union_surface *s, double rho, double reach, bool real)
{
    double spoke = spoke_curvature(rho, reach, real);
    if (!(spoke < INFINITY)) return INFINITY;
    if (!real) return (1 + fabs(s->ring) * spoke) / s->radius;
    double near = fabs(1 - s->ring / (rho - reach)), far = fabs(1 - s->ring / (rho + reach));
    return fmax(1, fmax(near, far)) / s->radius;
}

double union_curvature(const union_surface *s, tks_vec3 q, double reach, bool real)
{
    if (s->form == UNION_PLANE) return 0;
    if (s->form == UNION_CYLINDER || s->form == UNION_SPHERE) return 1 / s->radius;
    tks_vec3 d = vec3_sub(q, s->origin);
    double rho = vec3_length(vec3_step(d, -vec3_dot(d, s->axis), s->axis));
    if (s->form == UNION_CONE) return fabs(s->cosine) * spoke_curvature(rho, reach, real);
    return s->form == UNION_TORUS ? torus_curvature(s, rho, reach, real) : INFINITY;
}

double union_transverse(const union_surface *s, tks_vec3 step)
{
    if (s->form != UNION_CYLINDER && s->form != UNION_CONE) return vec3_length(step);
    return vec3_length(vec3_step(step, -vec3_dot(step, s->axis), s->axis));
}
