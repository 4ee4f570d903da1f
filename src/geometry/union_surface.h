/* The unbounded surfaces that faces lie on. room: geometry */
#ifndef GEOMETRY_UNION_SURFACE_H
#define GEOMETRY_UNION_SURFACE_H

#include "tankside/vec.h"

#include <stdbool.h>

typedef enum union_form {
    UNION_PLANE,
    UNION_CYLINDER,
    UNION_CONE,
    UNION_SPHERE,
    UNION_TORUS,
    UNION_FREE /* known by the distance of its solid alone */
} union_form;

/* The surface f = 0, with f < 0 on the metal's side and a slope of one on it:
 *   plane     axis . (q - origin)
 *   cylinder  side (rho^2 - radius^2) / (2 radius)
 *   cone      cosine rho + sine h - radius
 *   sphere    side (|q - origin|^2 - radius^2) / (2 radius)
 *   torus     side ((rho - ring)^2 + h^2 - radius^2) / (2 radius)
 * with h and rho the height along and the distance from the axis. */
typedef struct union_surface {
    union_form form;
    tks_vec3 origin, axis;
    double radius, ring, cosine, sine, side;
    double bow; /* side / radius, where there is a radius */
} union_surface;

/* f at q, and its gradient. */
double union_value(const union_surface *s, tks_vec3 q, tks_vec3 *gradient);

/* Bounds of the norms of f's second and third derivatives within `reach` of q; real: at real points
 * only, else at complex ones too (Hermitian norm). Infinite where f is not smooth. */
void union_bend_bounds(const union_surface *s, tks_vec3 q, double reach, bool real, double *second,
                       double *third);

/* The matrix of f's second derivatives at a point:
 *   even 1 + along axis axis^T + turn round round^T. */
typedef struct union_bending {
    double even, along, turn;
    tks_vec3 axis, round;
} union_bending;

union_bending union_bending_at(const union_surface *s, tks_vec3 q);
double union_bent(const union_bending *b, tks_vec3 p, tks_vec3 q);

/* Length of the part of a step that f's second derivatives feel. */
double union_transverse(const union_surface *s, tks_vec3 step);

#endif
