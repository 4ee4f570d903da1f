/* Packing kinds of things into the fewest bins, in up to three dimensions at once. */
#ifndef PLATING_PACK_H
#define PLATING_PACK_H

#include "tankside/arena.h"
#include "tankside/status.h"

#include <stdbool.h>
#include <stddef.h>

enum { PACK_DIMENSIONS = 3 };

/* count equal things; each size is a share of a bin, 0..1. */
typedef struct pack_kind {
    double size[PACK_DIMENSIONS];
    size_t count;
} pack_kind;

typedef struct pack_pick {
    size_t kind, count;
} pack_pick;

typedef struct pack_bin {
    pack_pick *picks;
    size_t pick_count;
    double load[PACK_DIMENSIONS];
} pack_bin;

typedef struct pack_result {
    pack_bin *bins; /* in the arena given */
    size_t count;
    size_t bound; /* no packing has fewer bins */
    bool exact;   /* count is proved to be the fewest */
} pack_result;

/* Fewest bins for the kinds, none of which is larger than a bin.
 * Method: bins are filled one by one, each from the largest thing left with the set that leaves
 * least room (Gupta and Ho, Production Planning and Control 10 (1999) 598: minimum bin slack, here
 * with a bound on the search). When that misses the lower bound, bins are packed anew a few at a
 * time; when the list is short, a branch and bound over maximal fillings follows (Martello and
 * Toth, Knapsack Problems, 1990, ch. 8; Korf, AAAI 2002: bin completion). At last the load is
 * spread evenly over that many bins, likes together. Errors: TKS_EMEMORY. */
tks_status pack_fewest(tks_arena *arena, const pack_kind *kinds, size_t count, pack_result *result);

/* The lower bound L2 of Martello and Toth, Discrete Applied Mathematics 28 (1990) 59, greatest over
 * the dimensions. TKS_EMEMORY or TKS_OK. */
tks_status pack_bound(const pack_kind *kinds, size_t count, size_t *bound);

/* ------------------------------------------------------------------ shared by pack*.c */

/* The kinds in falling order of worth, and how many of each are left. A thing's worth is its sizes
 * weighed by how much each dimension matters; the weights add up to 1, so a bin holds at most 1. */
typedef struct pack_stock {
    const pack_kind *kinds;
    size_t count;
    size_t *left;
    size_t *onward; /* index of a kind at or behind this one that has something left */
    size_t *origin; /* index of each kind in the list that the stock was made of */
    double weights[PACK_DIMENSIONS];
    int dominant; /* the dimension of which there is most */
    long steps;   /* that the search for one bin's filling may take */
} pack_stock;

/* Takes room for a stock of count kinds from the arena. TKS_EMEMORY or TKS_OK. */
tks_status pack_stock_new(tks_arena *arena, size_t count, pack_stock *stock);

double pack_worth(const pack_stock *stock, const double *sizes);

/* Whether one more of a kind fits beside a load, and how many do, at most as many as are left. */
size_t pack_fitting(const pack_stock *stock, size_t kind, const double *load);

/* load += count times the kind's size; count may be taken off with sign -1. */
void pack_shift(const pack_kind *kind, double count, double *load);

/* Sets what is left to all there is of each kind; gives the number of things. */
size_t pack_restock(pack_stock *stock);

/* Fills bins with all that is left, each from the largest thing with the set that leaves least
 * room; result->bins holds as many as there are things. Errors: TKS_EMEMORY. */
tks_status pack_fill(tks_arena *arena, pack_stock *stock, size_t things, pack_result *result);

/* Tries for fewer bins than best has for what is left, in so many steps; things is the number of
 * single things. On success best is replaced. exact is set when the search was complete.
 * Errors: TKS_EMEMORY. */
tks_status pack_search(tks_arena *arena, pack_stock *stock, size_t things, long nodes,
                       pack_result *best);

/* Empties a few bins at a time, those with most room and some others, and packs them anew, until
 * the bound is met or the rounds are used up. Errors: TKS_EMEMORY. */
tks_status pack_improve(tks_arena *arena, pack_stock *stock, pack_result *best);

/* Spreads the things evenly over as many bins as best has, likes together, and takes that for best
 * where it fits. Errors: TKS_EMEMORY. */
tks_status pack_even(tks_arena *arena, pack_stock *stock, pack_result *best);

#endif
