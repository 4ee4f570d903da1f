/* Branch and bound over bins: each holds the largest thing left and a maximal set beside it. A set
 * that leaves room for another thing is never closed, since the fuller one is as good. */
#include "plating/pack.h"

#include <math.h>
#include <string.h>

#define SLACK 1e-9

typedef struct search {
    pack_stock *stock;
    pack_pick *picks, *best_picks; /* one row per pick, of all bins in order */
    size_t *starts, *best_starts;  /* where each bin begins in picks */
    size_t pick_count, best_pick_count;
    size_t bins, best_bins, bound;
    double left_sum[PACK_DIMENSIONS]; /* of what is in no bin yet */
    double smallest, *largest;        /* thing in the dominant dimension; of kinds from each on */
    long nodes;
} search;

/* How many bins the rest wants at least: the sums, and the things above a half. */
static size_t rest_bound(const search *s)
{
    const pack_stock *stock = s->stock;
    size_t bound = 0, large = 0;
    for (int d = 0; d < PACK_DIMENSIONS; d++) {
        double bins = ceil(s->left_sum[d] - SLACK * 10);
        if (bins > (double)bound) bound = (size_t)bins;
    }
    for (size_t i = 0; i < stock->count; i++)
        if (stock->kinds[i].size[stock->dominant] > 0.5) large += stock->left[i];
    return large > bound ? large : bound;
}

static void take(search *s, size_t kind, size_t count)
{
    s->stock->left[kind] -= count;
    pack_shift(&s->stock->kinds[kind], -(double)count, s->left_sum);
    s->picks[s->pick_count++] = (pack_pick){kind, count};
}

static void give_back(search *s)
{
    pack_pick p = s->picks[--s->pick_count];
    s->stock->left[p.kind] += p.count;
    pack_shift(&s->stock->kinds[p.kind], (double)p.count, s->left_sum);
}

static void keep(search *s)
{
    s->best_bins = s->bins;
    s->best_pick_count = s->pick_count;
    memcpy(s->best_picks, s->picks, s->pick_count * sizeof *s->picks);
    memcpy(s->best_starts, s->starts, s->bins * sizeof *s->starts);
}

static bool done(const search *s)
{
    return s->nodes <= 0 || s->best_bins <= s->bound;
}

static bool is_maximal(const search *s, const double *load)
{
    for (size_t i = s->stock->count; i-- > 0;)
        if (s->stock->left[i] && pack_fitting(s->stock, i, load)) return false;
    return true;
}

static void close_bin(search *s);

/* Room that this bin has to use up, if all the rest is to fit into fewer bins than the best. */
static double room_to_fill(const search *s, const double *load)
{
    int d = s->stock->dominant;
    double spare = (double)(s->best_bins - s->bins) - (s->left_sum[d] + load[d]);
    return 1 - load[d] - spare;
}

/* Whether things of kind i and those behind it can use up that room without being too many. */
static bool can_fill(const search *s, size_t i, const double *load, double wanted)
{
    int d = s->stock->dominant;
    double size = s->largest[i];
    if (wanted <= SLACK) return true;
    if (size <= 0) return false;
    return ceil(wanted / size - SLACK) * s->smallest <= 1 - load[d] + SLACK;
}

static void extend(search *s, size_t from, const double *load)
{
    double wanted = room_to_fill(s, load);
    for (size_t i = from; i < s->stock->count && !done(s); i++) {
        size_t most = s->stock->left[i] ? pack_fitting(s->stock, i, load) : 0;
        if (most && !can_fill(s, i, load, wanted)) break;
        for (size_t c = most; c > 0 && !done(s); c--) {
            double more[PACK_DIMENSIONS];
            memcpy(more, load, sizeof more);
            pack_shift(&s->stock->kinds[i], (double)c, more);
            take(s, i, c);
            extend(s, i + 1, more);
            give_back(s);
        }
    }
    s->nodes--;
    if (!done(s) && is_maximal(s, load)) close_bin(s);
}

/* The bin that stands is full: on with the next, if fewer bins than the best can still come of it.
 */
static void close_bin(search *s)
{
    const pack_stock *stock = s->stock;
    size_t first = 0;
    while (first < stock->count && !stock->left[first]) first++;
    if (first == stock->count) {
        if (s->bins < s->best_bins) keep(s);
        return;
    }
    if (s->bins + rest_bound(s) >= s->best_bins) return;
    double load[PACK_DIMENSIONS] = {0};
    size_t start = s->pick_count;
    s->starts[s->bins++] = start;
    pack_shift(&stock->kinds[first], 1, load);
    take(s, first, 1);
    extend(s, first, load);
    give_back(s);
    s->bins--;
}

static tks_status take_over(tks_arena *arena, const search *s, pack_result *best)
{
    pack_pick *picks = tks_arena_take(arena, s->best_pick_count, sizeof *picks);
    if (!picks) return TKS_EMEMORY;
    memcpy(picks, s->best_picks, s->best_pick_count * sizeof *picks);
    best->count = s->best_bins;
    for (size_t b = 0; b < s->best_bins; b++) {
        size_t start = s->best_starts[b];
        size_t end = b + 1 < s->best_bins ? s->best_starts[b + 1] : s->best_pick_count;
        best->bins[b] = (pack_bin){picks + start, end - start, {0}};
        for (size_t i = start; i < end; i++)
            pack_shift(&s->stock->kinds[picks[i].kind], (double)picks[i].count, best->bins[b].load);
    }
    return TKS_OK;
}

/* The sums of what is left, and the extremes in the dominant dimension. */
static void weigh(search *s)
{
    const pack_stock *stock = s->stock;
    double largest = 0;
    s->smallest = 1;
    for (size_t i = stock->count; i-- > 0;) {
        double size = stock->kinds[i].size[stock->dominant];
        pack_shift(&stock->kinds[i], (double)stock->left[i], s->left_sum);
        if (stock->left[i]) s->smallest = fmin(s->smallest, size);
        if (stock->left[i]) largest = fmax(largest, size);
        s->largest[i] = largest;
    }
}

tks_status pack_search(tks_arena *arena, pack_stock *stock, size_t things, long nodes,
                       pack_result *best)
{
    search s = {.stock = stock, .best_bins = best->count, .bound = best->bound, .nodes = nodes};
    s.picks = tks_arena_take(arena, things, sizeof *s.picks);
    s.best_picks = tks_arena_take(arena, things, sizeof *s.picks);
    s.starts = tks_arena_take(arena, things, sizeof *s.starts);
    s.best_starts = tks_arena_take(arena, things, sizeof *s.starts);
    s.largest = tks_arena_take(arena, stock->count, sizeof *s.largest);
    if (!s.largest) return TKS_EMEMORY;
    if (!s.picks || !s.best_picks || !s.starts || !s.best_starts) return TKS_EMEMORY;
    weigh(&s);
    close_bin(&s);
    best->exact = s.nodes > 0;
    return s.best_bins < best->count ? take_over(arena, &s, best) : TKS_OK;
}
