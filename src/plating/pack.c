#include "plating/pack.h"

#include "base/alloc.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define SLACK 1e-9

/* The search for one bin's filling: at most so many steps back and so deep (beyond that it is
 * filled greedily), and fewer steps when there are many bins, so that all of them take a fraction
 * of a second. */
enum {
    STEPS_PER_BIN = 3000,
    STEPS_AT_LEAST = 100,
    STEPS_IN_ALL = 600000,
    DEEPEST = 48,
    SHORT_LIST = 150,
    SEARCH_STEPS = 400000
};

/* Most things are single and either fit or do not, so a division is the last resort. */
size_t pack_fitting(const pack_stock *stock, size_t kind, const double *load)
{
    const double *size = stock->kinds[kind].size;
    double most = (double)stock->left[kind];
    for (int d = 0; d < PACK_DIMENSIONS && most > 0; d++) {
        double room = 1 + SLACK - load[d];
        if (most * size[d] > room) most = size[d] > room ? 0 : floor(room / size[d]);
    }
    return (size_t)most;
}

void pack_shift(const pack_kind *kind, double count, double *load)
{
    for (int d = 0; d < PACK_DIMENSIONS; d++) load[d] += count * kind->size[d];
}

/* First kind at or behind i with something left; kinds that are used up are skipped for good. */
static size_t onward(pack_stock *stock, size_t i)
{
    size_t end = i;
    while (end < stock->count && !stock->left[end])
        end = stock->onward[end] > end ? stock->onward[end] : end + 1;
    while (i < end) {
        size_t next = stock->onward[i] > i ? stock->onward[i] : i + 1;
        stock->onward[i] = end;
        i = next;
    }
    return end;
}

double pack_worth(const pack_stock *stock, const double *sizes)
{
    double worth = 0;
    for (int d = 0; d < PACK_DIMENSIONS; d++) worth += stock->weights[d] * sizes[d];
    return worth;
}

/* First kind at or behind i whose worth is no more than a bin has room for. */
static size_t first_small(const pack_stock *stock, size_t i, double room)
{
    size_t low = i, high = stock->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (pack_worth(stock, stock->kinds[middle].size) > room + SLACK)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

typedef struct filling {
    pack_stock *stock;
    pack_pick *now, *best; /* as many as there are kinds */
    size_t now_count, best_count;
    double best_fill;
    long steps;
} filling;

/* Next kind at or behind i of which at least one fits; *most is how many. Looking is a step too. */
static size_t next_fitting(filling *f, size_t i, const double *load, size_t *most)
{
    pack_stock *stock = f->stock;
    i = onward(stock, first_small(stock, i, 1 - pack_worth(stock, load)));
    while (i < stock->count && (*most = pack_fitting(stock, i, load)) == 0) {
        i = onward(stock, i + 1);
        f->steps--;
    }
    return i;
}

static void keep_if_fuller(filling *f, const double *load)
{
    double fill = pack_worth(f->stock, load);
    if (fill <= f->best_fill + SLACK) return;
    f->best_fill = fill;
    f->best_count = f->now_count;
    memcpy(f->best, f->now, f->now_count * sizeof *f->now);
}

/* Takes the most of each kind that still fits, from kind i on, and gives it all back at the end. */
static void fill_greedily(filling *f, size_t i, const double *load)
{
    pack_stock *stock = f->stock;
    double filled[PACK_DIMENSIONS];
    memcpy(filled, load, sizeof filled);
    size_t start = f->now_count, most = 0;
    while ((i = next_fitting(f, i, filled, &most)) < stock->count) {
        f->now[f->now_count++] = (pack_pick){i, most};
        pack_shift(&stock->kinds[i], (double)most, filled);
        i++;
    }
    keep_if_fuller(f, filled);
    f->now_count = start;
}

/* All sets from kind i on, larger things and larger counts first, until a full bin is found or the
 * steps are used up. */
static void fill_best(filling *f, size_t i, const double *load, int depth)
{
    pack_stock *stock = f->stock;
    if (depth == DEEPEST) {
        fill_greedily(f, i, load);
        return;
    }
    keep_if_fuller(f, load);
    size_t most = 0;
    for (; (i = next_fitting(f, i, load, &most)) < stock->count; i++) {
        for (size_t c = most; c > 0; c--) {
            double more[PACK_DIMENSIONS];
            memcpy(more, load, sizeof more);
            pack_shift(&stock->kinds[i], (double)c, more);
            f->now[f->now_count++] = (pack_pick){i, c};
            fill_best(f, i + 1, more, depth + 1);
            f->now_count--;
            if (f->best_fill >= 1 - SLACK || --f->steps <= 0) return;
        }
    }
}

static size_t least_repeat(const pack_stock *stock, const pack_pick *picks, size_t count)
{
    size_t repeat = SIZE_MAX;
    for (size_t i = 0; i < count; i++) {
        size_t times = stock->left[picks[i].kind] / picks[i].count;
        if (times < repeat) repeat = times;
    }
    return repeat;
}

static tks_status add_bin(tks_arena *arena, const pack_stock *stock, const pack_pick *picks,
                          size_t count, pack_result *result)
{
    pack_bin *bin = &result->bins[result->count++];
    bin->picks = tks_arena_take(arena, count, sizeof *bin->picks);
    if (!bin->picks) return TKS_EMEMORY;
    memcpy(bin->picks, picks, count * sizeof *picks);
    bin->pick_count = count;
    for (size_t i = 0; i < count; i++) {
        pack_shift(&stock->kinds[picks[i].kind], (double)picks[i].count, bin->load);
        stock->left[picks[i].kind] -= picks[i].count;
    }
    return TKS_OK;
}

/* Once a filling is found it is used as often as there is enough left: the search would find the
 * same again. */
static tks_status fill_bins(tks_arena *arena, filling *f, pack_result *result)
{
    pack_stock *stock = f->stock;
    size_t first;
    while ((first = onward(stock, 0)) < stock->count) {
        f->steps = stock->steps;
        f->best_fill = -1;
        f->best_count = f->now_count = 0;
        double load[PACK_DIMENSIONS] = {0};
        size_t most = pack_fitting(stock, first, load);
        for (size_t c = most; c > 0 && f->best_fill < 1 - SLACK && f->steps > 0; c--) {
            double more[PACK_DIMENSIONS] = {0};
            pack_shift(&stock->kinds[first], (double)c, more);
            f->now[0] = (pack_pick){first, c};
            f->now_count = 1;
            fill_best(f, first + 1, more, 1);
        }
        size_t repeat = least_repeat(stock, f->best, f->best_count);
        for (size_t i = 0; i < repeat; i++) {
            tks_status status = add_bin(arena, stock, f->best, f->best_count, result);
            if (status) return status;
        }
    }
    return TKS_OK;
}

typedef struct ranked {
    double worth;
    size_t origin;
} ranked;

static int by_falling_worth(const void *a, const void *b)
{
    const ranked *x = a, *y = b;
    if (x->worth != y->worth) return (x->worth < y->worth) - (x->worth > y->worth);
    return (x->origin > y->origin) - (x->origin < y->origin);
}

tks_status pack_stock_new(tks_arena *arena, size_t count, pack_stock *stock)
{
    stock->count = count;
    stock->left = tks_arena_take(arena, count, sizeof *stock->left);
    stock->onward = tks_arena_take(arena, count, sizeof *stock->onward);
    stock->origin = tks_arena_take(arena, count, sizeof *stock->origin);
    return stock->left && stock->onward && stock->origin ? TKS_OK : TKS_EMEMORY;
}

/* Weights by the sums to a power: 1 weighs each dimension by its total, a high one leaves only the
 * dominant dimension. */
static void weigh(pack_stock *stock, const pack_kind *kinds, double power)
{
    double sums[PACK_DIMENSIONS] = {0}, all = 0;
    for (size_t i = 0; i < stock->count; i++) pack_shift(&kinds[i], (double)kinds[i].count, sums);
    stock->dominant = 0;
    for (int d = 1; d < PACK_DIMENSIONS; d++)
        if (sums[d] > sums[stock->dominant]) stock->dominant = d;
    double greatest = sums[stock->dominant];
    for (int d = 0; d < PACK_DIMENSIONS; d++) {
        bool matters = greatest > 0 && (d == stock->dominant || isfinite(power));
        stock->weights[d] = matters ? pow(sums[d] / greatest, isfinite(power) ? power : 0) : 0;
        all += stock->weights[d];
    }
    for (int d = 0; d < PACK_DIMENSIONS && all > 0; d++) stock->weights[d] /= all;
}

/* The caller's kinds in falling order of worth. */
static tks_status make_stock(tks_arena *arena, const pack_kind *kinds, size_t count, double power,
                             pack_stock *stock)
{
    ranked *order = tks_arena_take(arena, count, sizeof *order);
    pack_kind *sorted = tks_arena_take(arena, count, sizeof *sorted);
    if (pack_stock_new(arena, count, stock) || !order || !sorted) return TKS_EMEMORY;
    weigh(stock, kinds, power);
    for (size_t i = 0; i < count; i++) order[i] = (ranked){pack_worth(stock, kinds[i].size), i};
    qsort(order, count, sizeof *order, by_falling_worth);
    for (size_t i = 0; i < count; i++) {
        sorted[i] = kinds[order[i].origin];
        stock->origin[i] = order[i].origin;
    }
    stock->kinds = sorted;
    return TKS_OK;
}

size_t pack_restock(pack_stock *stock)
{
    size_t things = 0;
    for (size_t i = 0; i < stock->count; i++) {
        stock->left[i] = stock->kinds[i].count;
        stock->onward[i] = i;
        things += stock->left[i];
    }
    return things;
}

tks_status pack_fill(tks_arena *arena, pack_stock *stock, size_t things, pack_result *result)
{
    filling f = {.stock = stock};
    f.now = tks_arena_take(arena, stock->count, sizeof *f.now);
    f.best = tks_arena_take(arena, stock->count, sizeof *f.best);
    result->bins = tks_arena_take(arena, things, sizeof *result->bins);
    result->count = 0;
    if (!f.now || !f.best || !result->bins) return TKS_EMEMORY;
    return fill_bins(arena, &f, result);
}

static long steps_for(size_t bins)
{
    long steps = bins ? STEPS_IN_ALL / (long)bins : STEPS_PER_BIN;
    if (steps < STEPS_AT_LEAST) return STEPS_AT_LEAST;
    return steps < STEPS_PER_BIN ? steps : STEPS_PER_BIN;
}

/* A packing and the stock that its kinds are counted by. */
typedef struct packing {
    pack_stock stock;
    pack_result result;
} packing;

/* One packing, with kinds ranked by the power of weigh(). */
static tks_status pack_ranked(tks_arena *arena, const pack_kind *kinds, size_t count, double power,
                              size_t bound, packing *p)
{
    pack_result *r = &p->result;
    tks_status status = make_stock(arena, kinds, count, power, &p->stock);
    if (status) return status;
    size_t things = pack_restock(&p->stock);
    r->bound = bound;
    p->stock.steps = steps_for(bound);
    status = pack_fill(arena, &p->stock, things, r);
    if (!status && r->count > r->bound) status = pack_improve(arena, &p->stock, r);
    r->exact = r->count == r->bound;
    pack_restock(&p->stock);
    if (!status && !r->exact && things <= SHORT_LIST)
        status = pack_search(arena, &p->stock, things, SEARCH_STEPS, r);
    return status;
}

/* Spreads the load, and counts kinds as the caller does. */
static tks_status finish(tks_arena *arena, packing *p, pack_result *result)
{
    pack_result *r = &p->result;
    pack_restock(&p->stock);
    tks_status status = r->count > 1 ? pack_even(arena, &p->stock, r) : TKS_OK;
    if (status) return status;
    for (size_t b = 0; b < r->count; b++)
        for (size_t i = 0; i < r->bins[b].pick_count; i++)
            r->bins[b].picks[i].kind = p->stock.origin[r->bins[b].picks[i].kind];
    *result = *r;
    return TKS_OK;
}

/* Ranking by the dominant dimension alone is best when one limit rules. Where that misses the bound
 * by more than a hundredth, another ranking is tried that looks at all limits. */
tks_status pack_fewest(tks_arena *arena, const pack_kind *kinds, size_t count, pack_result *result)
{
    packing by_one = {0}, by_all = {0};
    size_t bound;
    tks_status status = pack_bound(kinds, count, &bound);
    if (!status) status = pack_ranked(arena, kinds, count, INFINITY, bound, &by_one);
    if (status) return status;
    bool near = by_one.result.exact || (double)by_one.result.count <= 1.01 * (double)bound;
    if (!near) status = pack_ranked(arena, kinds, count, 1, bound, &by_all);
    if (status) return status;
    bool better = !near && by_all.result.count < by_one.result.count;
    return finish(arena, better ? &by_all : &by_one, result);
}
