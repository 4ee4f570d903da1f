/* GMRES: solves A x = b for a matrix known only by its products. */
#ifndef FIELD_KRYLOV_H
#define FIELD_KRYLOV_H

#include "tankside/status.h"

#include <stdbool.h>
#include <stddef.h>

/* apply: y = A x; prepare: y = M x with M near the inverse of A. going: called after each step with
 * the residual's norm; false stops (may be NULL). */
typedef struct field_krylov {
    size_t size;
    void (*apply)(void *context, const double *x, double *y);
    void (*prepare)(void *context, const double *x, double *y);
    bool (*going)(void *context, int step, double residual);
    void *context;
    double enough; /* norm of the residual to reach */
    int most;      /* steps */
} field_krylov;

/* Improves x until |b - A x| <= enough; steps out: how many were taken. Right preconditioning, so
 * the residual is the true one. Errors: TKS_EMEMORY; TKS_ECONVERGE: most steps, or stopped by
 * going, and x is then as good as it got.
 * Source: Y. Saad, M. H. Schultz, SIAM J. Sci. Stat. Comput. 7 (1986) 856. */
tks_status field_krylov_solve(const field_krylov *k, const double *b, double *x, int *steps);

#endif
