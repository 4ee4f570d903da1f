#include "plating/pack.h"

#include "base/alloc.h"

#include <math.h>
#include <stdlib.h>

/* Sums of shares such as 1/3 + 2/3 must not be rounded up to a bin more. */
#define SLACK 1e-9

typedef struct sized {
    double size;
    size_t count;
} sized;

static int by_falling_size(const void *a, const void *b)
{
    double x = ((const sized *)a)->size, y = ((const sized *)b)->size;
    return (x < y) - (x > y);
}

/* For a threshold alpha <= 1/2: things above 1/2 want a bin each, and those of alpha..1/2 fit only
 * beside the ones of at most 1 - alpha. */
typedef struct halves {
    size_t large;     /* count above 1/2 */
    double free_room; /* beside the large ones that are not above 1 - alpha */
    double small;     /* sum over alpha..1/2 */
} halves;

static size_t bins_at(const halves *h)
{
    double over = h->small - h->free_room;
    return h->large + (over > SLACK ? (size_t)ceil(over - SLACK) : 0);
}

/* Alpha takes each size up to 1/2, falling; at last 0. As alpha falls, large things come to share
 * and small ones come in. */
static size_t bound_of(const sized *s, size_t n)
{
    size_t large_end = 0;
    halves h = {0, 0, 0};
    while (large_end < n && s[large_end].size > 0.5) h.large += s[large_end++].count;
    size_t shared = large_end, best = n > 0;
    for (size_t i = large_end; i <= n; i++) {
        double alpha = i < n ? s[i].size : 0;
        for (; shared > 0 && s[shared - 1].size <= 1 - alpha + SLACK; shared--)
            h.free_room += (double)s[shared - 1].count * (1 - s[shared - 1].size);
        if (i < n) h.small += (double)s[i].count * s[i].size;
        size_t bins = bins_at(&h);
        if (bins > best) best = bins;
    }
    return best;
}

tks_status pack_bound(const pack_kind *kinds, size_t count, size_t *bound)
{
    sized *s = base_alloc(count + 1, sizeof *s);
    if (!s) return TKS_EMEMORY;
    *bound = 0;
    for (int d = 0; d < PACK_DIMENSIONS; d++) {
        for (size_t i = 0; i < count; i++) s[i] = (sized){kinds[i].size[d], kinds[i].count};
        qsort(s, count, sizeof *s, by_falling_size);
        size_t bins = bound_of(s, count);
        if (bins > *bound) *bound = bins;
    }
    base_free(s);
    return TKS_OK;
}
