/* Small dense systems: the blocks of the preconditioner. */
#ifndef FIELD_LU_H
#define FIELD_LU_H

#include <stdbool.h>
#include <stddef.h>

/* Factors the n x n row-major matrix as P A = L U in place (partial pivoting); pivot: n row
 * numbers. false when it is singular. */
bool field_lu_factor(double *a, size_t n, size_t *pivot);

/* Solves with the factors; x: right side in, solution out. */
void field_lu_solve(const double *a, size_t n, const size_t *pivot, double *x);

#endif
