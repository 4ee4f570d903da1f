/* Solid harmonics for the far field: 1/|x - y| as a sum of products of a function of x and one of
 * y, up to degree FIELD_DEGREE.
 *
 * Normalised after the rules that make translation a plain convolution,
 *   R_l^m = r^l P_l^m(cos t) e^(i m f) / (l + m)!,   I_l^m = (l - m)! P_l^m(cos t) e^(i m f) /
 * r^(l+1) (P with the sign (-1)^m), so that 1/|x - y| = sum conj R_l^m(y) I_l^m(x) for |y| < |x|.
 * Source: M. A. Epton, B. Dembart, SIAM J. Sci. Comput. 16 (1995) 865 (from memory).
 * A vector of coefficients is real: at l^2 + l + m stands the real part of order m, at l^2 + l - m
 * its imaginary part. */
#ifndef FIELD_HARMONICS_H
#define FIELD_HARMONICS_H

#include "tankside/vec.h"

enum { FIELD_DEGREE = 7, FIELD_TERMS = (FIELD_DEGREE + 1) * (FIELD_DEGREE + 1) };

/* terms: FIELD_TERMS values of R at z. */
void field_harmonics_regular(tks_vec3 z, double *terms);

/* Derivative along n of the functions whose values (or means over a triangle) are terms. */
void field_harmonics_slope(const double *terms, tks_vec3 n, double *slope);

/* Matrix of R(z + d) in terms of R(z), z in units of half those of the result:
 * matrix[FIELD_TERMS row + column]. Sources are moved to the parent's centre by it, and a parent's
 * field to its child by its transpose. */
void field_harmonics_shift(tks_vec3 d, double *matrix);

/* Matrix that turns moments about the origin (sums of strength x R) into the field about a point:
 * the potential at a + z is the dot product of the result with R(z). Stored by columns, in float,
 * which is how it is applied: matrix[FIELD_TERMS column + row]. */
void field_harmonics_field(tks_vec3 a, float *matrix);

/* Signs (+1, -1) that the terms take when x, y, z are mirrored; mirror: bit 0 x, 1 y, 2 z. */
void field_harmonics_mirror(unsigned mirror, float *signs);

#endif
