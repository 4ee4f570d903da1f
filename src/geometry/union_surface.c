/* The unbounded surfaces that faces lie on: second derivatives, and bounds. */
#include "geometry/union_surface.h"

#include "base/vec.h"

#include <math.h>

double union_value(const union_surface *s, tks_vec3 q, tks_vec3 *gradient)
{
    tks_vec3 d = vec3_sub(q, s->origin);
    if (s->form == UNION_SPHERE) {
        *gradient = vec3_scale(d, s->bow);
        return s->bow / 2 * (vec3_dot(d, d) - s->radius * s->radius);
    }
    double h = vec3_dot(d, s->axis);
    if (s->form == UNION_PLANE) {
        *gradient = s->axis;
        return h;
    }
    tks_vec3 across = vec3_step(d, -h, s->axis);
    double square = vec3_dot(across, across), rho;
    if (s->form == UNION_CYLINDER) {
        *gradient = vec3_scale(across, s->bow);
        return s->bow / 2 * (square - s->radius * s->radius);
    }
    rho = sqrt(square);
    tks_vec3 spoke = rho > 0 ? vec3_scale(across, 1 / rho) : vec3(0, 0, 0);
    if (s->form == UNION_CONE) {
        *gradient = vec3_step(vec3_scale(spoke, s->cosine), s->sine, s->axis);
        return s->cosine * rho + s->sine * h - s->radius;
    }
    double w = rho - s->ring;
    *gradient = vec3_scale(vec3_step(vec3_scale(spoke, w), h, s->axis), s->bow);
    return s->bow / 2 * (w * w + h * h - s->radius * s->radius);
}

/* Norms of the second and third derivatives of rho = sqrt(x^2 + y^2) within reach of a point. At
 * real points they are 1 / rho and, as D3 rho (a, a, a) = -3 cos t sin^2 t / rho^2 for a unit a at
 * the angle t to the spoke, 2 / (sqrt 3 rho^2). At complex ones the matrix is (y,-x)(y,-x)^T /
 * rho^3, the third derivative -3 (x a + y b) (x b - y a)^2 / rho^5, and |rho^2| can have fallen by
 * 2 rho reach + reach^2. (A symmetric form is greatest on its diagonal: Banach, Studia Math. 7
 * (1938) 36.) */
static void spoke_bounds(double rho, double reach, bool real, double *second, double *third)
{
    double least = real ? rho - reach : rho * rho - 2 * rho * reach - reach * reach;
    *second = *third = INFINITY;
    if (!(least > 0)) return;
    if (real) {
        *second = 1 / least;
        *third = 2 / (sqrt(3) * least * least);
        return;
    }
    double most = rho + reach, root = sqrt(least);
    *second = most * most / (least * root);
    *third = 3 * most * *second / least;
}

void union_bend_bounds(const union_surface *s, tks_vec3 q, double reach, bool real, double *second,
                       double *third)
{
    *second = *third = 0;
    if (s->form == UNION_PLANE) return;
    if (s->form == UNION_CYLINDER || s->form == UNION_SPHERE) {
        *second = fabs(s->bow);
        return;
    }
    *second = *third = INFINITY;
    if (s->form == UNION_FREE) return;
    tks_vec3 d = vec3_sub(q, s->origin);
    double rho = vec3_length(vec3_step(d, -vec3_dot(d, s->axis), s->axis));
    spoke_bounds(rho, reach, real, second, third);
    double share = s->form == UNION_CONE ? fabs(s->cosine) : fabs(s->ring) / s->radius;
    *third *= share;
    if (s->form == UNION_CONE)
        *second *= share;
    else if (!real || !(*second < INFINITY))
        *second = 1 / s->radius + share * *second;
    else {
        double near = fabs(1 - s->ring / (rho - reach)), far = fabs(1 - s->ring / (rho + reach));
        *second = fmax(1, fmax(near, far)) / s->radius;
    }
}

union_bending union_bending_at(const union_surface *s, tks_vec3 q)
{
    union_bending b = {.axis = s->axis};
    if (s->form == UNION_PLANE) return b;
    b.even = s->form == UNION_CONE ? 0 : s->bow;
    if (s->form == UNION_CYLINDER) b.along = -b.even;
    if (s->form != UNION_CONE && s->form != UNION_TORUS) return b;
    tks_vec3 d = vec3_sub(q, s->origin);
    tks_vec3 spoke = vec3_step(d, -vec3_dot(d, s->axis), s->axis);
    double rho = vec3_length(spoke);
    b.round = vec3_scale(vec3_cross(s->axis, spoke), 1 / rho);
    b.turn = (s->form == UNION_CONE ? s->cosine : -s->bow * s->ring) / rho;
    return b;
}

double union_bent(const union_bending *b, tks_vec3 p, tks_vec3 q)
{
    return b->even * vec3_dot(p, q) + b->along * vec3_dot(p, b->axis) * vec3_dot(q, b->axis) +
           b->turn * vec3_dot(p, b->round) * vec3_dot(q, b->round);
}

double union_transverse(const union_surface *s, tks_vec3 step)
{
    if (s->form != UNION_CYLINDER && s->form != UNION_CONE) return vec3_length(step);
    return vec3_length(vec3_step(step, -vec3_dot(step, s->axis), s->axis));
}
