/* Potentials of triangles with a constant source or dipole layer, seen from points: the near field.
 */
#ifndef FIELD_KERNEL_H
#define FIELD_KERNEL_H

#include "tankside/vec.h"

#include <stddef.h>

enum { FIELD_LANES = 8, FIELD_SOURCE_VALUES = 35 };

/* Triangles as the kernel reads them: value k of triangle j at values[k * stride + j]. stride is a
 * multiple of FIELD_LANES; what fills up the last lanes must be copies of real triangles. */
typedef struct field_sources {
    float *values;
    size_t count, stride;
} field_sources;

/* Writes triangle j, corners relative to the origin that the points are relative to. */
void field_sources_set(field_sources *sources, size_t j, const tks_vec3 corner[3]);

/* For each source j, means over the three points of
 *   single[j] = integral of 1 / (4 pi r) over the triangle,
 *   twin[j]   = integral of its derivative along -normal (the solid angle / 4 pi).
 * points: 3 x 3, row-major. single and twin have room for stride values.
 * Exact integrals in single precision (relative error near 1e-5); triangles farther than 8 of their
 * sizes by a 3-point rule, which is as good there. Same bits on every processor. */
void field_kernel_row(const field_sources *sources, const float *points, float *single,
                      float *twin);

/* Sum of a[j] x[j] - b[j] y[j]; count a multiple of FIELD_LANES. */
double field_kernel_dot(const float *a, const float *x, const float *b, const float *y,
                        size_t count);

/* y += matrix x for a FIELD_TERMS x FIELD_TERMS matrix stored by columns. */
void field_kernel_translate(const float *matrix, const float *x, float *y);

#endif
