#include "field/krylov.h"

#include "base/alloc.h"

#include <math.h>

/* Everything of one run. column(k) of the triangle holds k + 2 values. */
typedef struct run {
    const field_krylov *k;
    double **basis; /* most + 1 vectors, taken as they are needed */
    double *triangle, *cosine, *sine, *rest;
    double *work;
    int steps;
} run;

static double *column(const run *r, int k)
{
    return r->triangle + (size_t)k * ((size_t)r->k->most + 2);
}

static double inner(const double *a, const double *b, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++) sum += a[i] * b[i];
    return sum;
}

static void add_scaled(double *a, double s, const double *b, size_t n)
{
    for (size_t i = 0; i < n; i++) a[i] += s * b[i];
}

static bool start(run *r)
{
    size_t most = (size_t)r->k->most;
    r->basis = base_alloc(most + 1, sizeof *r->basis);
    r->triangle = base_alloc((most + 2) * most, sizeof(double));
    r->cosine = base_alloc(most, sizeof(double));
    r->sine = base_alloc(most, sizeof(double));
    r->rest = base_alloc(most + 1, sizeof(double));
    r->work = base_alloc(r->k->size, sizeof(double));
    return r->basis && r->triangle && r->cosine && r->sine && r->rest && r->work;
}

static void finish(run *r)
{
    for (int i = 0; r->basis && i <= r->k->most; i++) base_free(r->basis[i]);
    base_free(r->basis);
    base_free(r->triangle);
    base_free(r->cosine);
    base_free(r->sine);
    base_free(r->rest);
    base_free(r->work);
}

/* Makes the next basis vector: A M v, made square to those before (modified Gram-Schmidt). */
static bool extend(run *r, int step)
{
    size_t n = r->k->size;
    double *v = r->basis[step + 1] = base_alloc(n, sizeof *v), *h = column(r, step);
    if (!v) return false;
    r->k->prepare(r->k->context, r->basis[step], r->work);
    r->k->apply(r->k->context, r->work, v);
    for (int i = 0; i <= step; i++) {
        h[i] = inner(r->basis[i], v, n);
        add_scaled(v, -h[i], r->basis[i], n);
    }
    h[step + 1] = sqrt(inner(v, v, n));
    if (h[step + 1] > 0)
        for (size_t i = 0; i < n; i++) v[i] /= h[step + 1];
    return true;
}

/* Turns the new column to a triangle's by Givens' rotations; rest then ends in the residual. */
static void rotate(run *r, int step)
{
    double *h = column(r, step);
    for (int i = 0; i < step; i++) {
        double upper = r->cosine[i] * h[i] + r->sine[i] * h[i + 1];
        h[i + 1] = r->cosine[i] * h[i + 1] - r->sine[i] * h[i];
        h[i] = upper;
    }
    double length = hypot(h[step], h[step + 1]);
    r->cosine[step] = length > 0 ? h[step] / length : 1;
    r->sine[step] = length > 0 ? h[step + 1] / length : 0;
    h[step] = length;
    r->rest[step + 1] = -r->sine[step] * r->rest[step];
    r->rest[step] *= r->cosine[step];
}

/* x += M V y, y from the triangle. */
static void improve(run *r, double *x)
{
    size_t n = r->k->size;
    for (int i = r->steps - 1; i >= 0; i--) {
        for (int j = i + 1; j < r->steps; j++) r->rest[i] -= column(r, j)[i] * r->rest[j];
        double pivot = column(r, i)[i];
        r->rest[i] = pivot > 0 ? r->rest[i] / pivot : 0;
    }
    double *sum = r->basis[r->steps];
    for (size_t i = 0; i < n; i++) sum[i] = 0;
    for (int i = 0; i < r->steps; i++) add_scaled(sum, r->rest[i], r->basis[i], n);
    r->k->prepare(r->k->context, sum, r->work);
    add_scaled(x, 1, r->work, n);
}

static tks_status iterate(run *r, const double *b, double *x)
{
    const field_krylov *k = r->k;
    double *first = r->basis[0] = base_alloc(k->size, sizeof *first);
    if (!first) return TKS_EMEMORY;
    k->apply(k->context, x, first);
    for (size_t i = 0; i < k->size; i++) first[i] = b[i] - first[i];
    double residual = r->rest[0] = sqrt(inner(first, first, k->size));
    if (residual <= k->enough) return TKS_OK;
    for (size_t i = 0; i < k->size; i++) first[i] /= residual;
    bool going = isfinite(residual);
    while (going && residual > k->enough && r->steps < k->most) {
        if (!extend(r, r->steps)) return TKS_EMEMORY;
        rotate(r, r->steps);
        residual = fabs(r->rest[++r->steps]);
        going = isfinite(residual) && (!k->going || k->going(k->context, r->steps, residual));
    }
    if (r->steps > 0 && isfinite(residual)) improve(r, x);
    return residual <= k->enough ? TKS_OK : TKS_ECONVERGE;
}

tks_status field_krylov_solve(const field_krylov *k, const double *b, double *x, int *steps)
{
    run r = {.k = k};
    tks_status status = start(&r) ? iterate(&r, b, x) : TKS_EMEMORY;
    *steps = r.steps;
    finish(&r);
    return status;
}
