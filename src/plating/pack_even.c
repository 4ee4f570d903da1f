/* The same number of bins, but evenly filled: a supply that runs at one setting all day is easier
 * on the person and on the bath than a full run and a scrap run. */
#include "plating/pack.h"

#include <math.h>
#include <string.h>

/* How many of the kind bring the load nearest to the target, at most as many as fit. */
static size_t nearest_count(const pack_stock *stock, size_t kind, const double *load, double target)
{
    size_t fitting = pack_fitting(stock, kind, load);
    double size = stock->kinds[kind].size[stock->dominant];
    if (size <= 0) return fitting;
    double wanted = floor((target - load[stock->dominant]) / size + 0.5);
    if (wanted <= 0) return 0;
    return wanted < (double)fitting ? (size_t)wanted : fitting;
}

static double sum_left(const pack_stock *stock)
{
    double sum = 0;
    for (size_t i = 0; i < stock->count; i++)
        sum += (double)stock->left[i] * stock->kinds[i].size[stock->dominant];
    return sum;
}

typedef struct evening {
    pack_stock *stock;
    pack_pick *picks; /* room for kinds + bins * ... grows from the arena */
    size_t count, first;
} evening;

/* Fills one bin up to the target, largest kinds first, and to the brim when it is the last. */
static void fill_to(evening *e, double target, pack_bin *bin)
{
    pack_stock *stock = e->stock;
    while (e->first < stock->count && !stock->left[e->first]) e->first++;
    for (size_t i = e->first; i < stock->count; i++) {
        if (!stock->left[i]) continue;
        size_t c = nearest_count(stock, i, bin->load, target);
        if (!c) continue;
        e->picks[bin->pick_count++] = (pack_pick){i, c};
        pack_shift(&stock->kinds[i], (double)c, bin->load);
        stock->left[i] -= c;
    }
}

static bool all_used(const pack_stock *stock)
{
    for (size_t i = 0; i < stock->count; i++)
        if (stock->left[i]) return false;
    return true;
}

/* Greatest less least load. */
static double spread_of(const pack_bin *bins, size_t count, int dimension)
{
    double least = INFINITY, most = 0;
    for (size_t b = 0; b < count; b++) {
        least = fmin(least, bins[b].load[dimension]);
        most = fmax(most, bins[b].load[dimension]);
    }
    return most - least;
}

tks_status pack_even(tks_arena *arena, pack_stock *stock, pack_result *best)
{
    evening e = {.stock = stock};
    pack_bin *bins = tks_arena_take(arena, best->count, sizeof *bins);
    e.picks = tks_arena_take(arena, stock->count, sizeof *e.picks);
    if (!bins || !e.picks) return TKS_EMEMORY;
    double left = sum_left(stock);
    for (size_t b = 0; b < best->count; b++) {
        double target = b + 1 < best->count ? left / (double)(best->count - b) : 1;
        fill_to(&e, target, &bins[b]);
        left -= bins[b].load[stock->dominant];
        bins[b].picks = tks_arena_take(arena, bins[b].pick_count, sizeof *e.picks);
        if (!bins[b].picks) return TKS_EMEMORY;
        memcpy(bins[b].picks, e.picks, bins[b].pick_count * sizeof *e.picks);
    }
    bool better = all_used(stock) && spread_of(bins, best->count, stock->dominant) <=
                                         spread_of(best->bins, best->count, stock->dominant);
    if (better) best->bins = bins;
    return TKS_OK;
}
