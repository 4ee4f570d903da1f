/* Compensated summation (Neumaier's variant of Kahan's): the error does not grow with the count.
 * Source: A. Neumaier, Z. Angew. Math. Mech. 54 (1974) 39-51. Pairwise summation was rejected: it
 * needs all terms at hand. Must not be compiled with -ffast-math. */
#ifndef BASE_SUM_H
#define BASE_SUM_H

#include <math.h>

typedef struct base_sum {
    double value, lost;
} base_sum;

static inline void base_sum_add(base_sum *s, double x)
{
    double t = s->value + x;
    s->lost += fabs(s->value) >= fabs(x) ? (s->value - t) + x : (x - t) + s->value;
    s->value = t;
}

static inline double base_sum_total(const base_sum *s)
{
    return s->value + s->lost;
}

#endif
