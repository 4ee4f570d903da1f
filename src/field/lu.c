#include "field/lu.h"

#include <math.h>

static void swap_rows(double *a, size_t n, size_t i, size_t j)
{
    for (size_t k = 0; k < n; k++) {
        double spare = a[i * n + k];
        a[i * n + k] = a[j * n + k];
        a[j * n + k] = spare;
    }
}

bool field_lu_factor(double *a, size_t n, size_t *pivot)
{
    for (size_t k = 0; k < n; k++) {
        size_t best = k;
        for (size_t i = k + 1; i < n; i++)
            if (fabs(a[i * n + k]) > fabs(a[best * n + k])) best = i;
        pivot[k] = best;
        if (!(fabs(a[best * n + k]) > 0)) return false;
        if (best != k) swap_rows(a, n, k, best);
        for (size_t i = k + 1; i < n; i++) {
            double factor = a[i * n + k] /= a[k * n + k];
            for (size_t j = k + 1; j < n; j++) a[i * n + j] -= factor * a[k * n + j];
        }
    }
    return true;
}

void field_lu_solve(const double *a, size_t n, const size_t *pivot, double *x)
{
    for (size_t k = 0; k < n; k++) {
        double spare = x[pivot[k]];
        x[pivot[k]] = x[k];
        x[k] = spare;
    }
    for (size_t i = 1; i < n; i++)
        for (size_t j = 0; j < i; j++) x[i] -= a[i * n + j] * x[j];
    for (size_t i = n; i-- > 0;) {
        for (size_t j = i + 1; j < n; j++) x[i] -= a[i * n + j] * x[j];
        x[i] /= a[i * n + i];
    }
}
