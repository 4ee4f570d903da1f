#include "plating/pack.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* TOGETHER bins are packed anew at a time, half of them those with most room. */
enum { ROUNDS = 100, TOGETHER = 12, STEPS = 300, STEPS_PER_BIN = 400 };

typedef struct improving {
    tks_arena *kept, *scratch;
    pack_stock *stock;
    pack_result *best;
    const pack_bin **chosen; /* pointers into best's bins, chosen ones first */
    size_t *wanted;          /* of each kind, how many the chosen bins hold; all 0 between rounds */
    unsigned long seed;
} improving;

/* Park and Miller's generator (Commun. ACM 31 (1988) 1192): the same plan on every machine. */
static size_t draw(improving *m, size_t below)
{
    m->seed = m->seed * 48271 % 2147483647;
    return m->seed % below;
}

static double fullness(const pack_bin *bin)
{
    double most = 0;
    for (int d = 0; d < PACK_DIMENSIONS; d++) most = fmax(most, bin->load[d]);
    return most;
}

static void swap(const pack_bin **a, const pack_bin **b)
{
    const pack_bin *kept = *a;
    *a = *b;
    *b = kept;
}

/* Moves the k emptiest bins to the front. Most bins are fuller than all of them, so this is
 * quicker than to sort. */
static void bring_emptiest(const pack_bin **bins, size_t count, size_t k)
{
    double loads[TOGETHER];
    size_t kept = 0;
    for (size_t b = 0; b < count; b++) {
        double load = fullness(bins[b]);
        if (kept == k && load >= loads[k - 1]) continue;
        size_t i = kept < k ? kept++ : k - 1;
        swap(&bins[i], &bins[b]);
        for (; i > 0 && loads[i - 1] > load; i--) {
            loads[i] = loads[i - 1];
            swap(&bins[i], &bins[i - 1]);
        }
        loads[i] = load;
    }
}

/* The emptiest bins, then others at random. */
static size_t choose(improving *m)
{
    size_t n = m->best->count, k = n < TOGETHER ? n : TOGETHER;
    for (size_t b = 0; b < n; b++) m->chosen[b] = &m->best->bins[b];
    bring_emptiest(m->chosen, n, k);
    size_t emptiest = 1 + draw(m, k - 1);
    for (size_t i = emptiest; i < k; i++) {
        swap(&m->chosen[i], &m->chosen[i + draw(m, n - i)]);
    }
    return k;
}

/* Room gathered in few bins is worth more than the same room spread: the sum of squared loads. */
static double gathered(const pack_bin *const *bins, size_t count, int dimension)
{
    double sum = 0;
    for (size_t b = 0; b < count; b++) sum += bins[b]->load[dimension] * bins[b]->load[dimension];
    return sum;
}

static tks_status copy_bin(tks_arena *arena, const pack_bin *from, pack_bin *to)
{
    pack_pick *picks = tks_arena_take(arena, from->pick_count, sizeof *picks);
    if (!picks) return TKS_EMEMORY;
    memcpy(picks, from->picks, from->pick_count * sizeof *picks);
    *to = *from;
    to->picks = picks;
    return TKS_OK;
}

/* Puts the new bins in the place of the chosen ones; those that are not needed go. */
static tks_status replace(improving *m, size_t k, const pack_result *anew)
{
    pack_bin *bins = m->best->bins;
    for (size_t i = 0; i < anew->count; i++) {
        tks_status status = copy_bin(m->kept, &anew->bins[i], &bins[(size_t)(m->chosen[i] - bins)]);
        if (status) return status;
    }
    for (size_t i = anew->count; i < k; i++) bins[(size_t)(m->chosen[i] - bins)].pick_count = 0;
    size_t count = 0;
    for (size_t b = 0; b < m->best->count; b++)
        if (bins[b].pick_count) bins[count++] = bins[b];
    m->best->count = count;
    return TKS_OK;
}

static int by_rising_index(const void *a, const void *b)
{
    size_t x = *(const size_t *)a, y = *(const size_t *)b;
    return (x > y) - (x < y);
}

/* The kinds that the chosen bins hold, each once, in order. */
static size_t list_kinds(improving *m, size_t k, size_t *list)
{
    size_t n = 0;
    for (size_t b = 0; b < k; b++)
        for (size_t i = 0; i < m->chosen[b]->pick_count; i++) {
            pack_pick p = m->chosen[b]->picks[i];
            if (!m->wanted[p.kind]) list[n++] = p.kind;
            m->wanted[p.kind] += p.count;
        }
    qsort(list, n, sizeof *list, by_rising_index);
    return n;
}

/* A stock of what the chosen bins hold, and nothing else. */
static tks_status small_stock(improving *m, size_t k, pack_stock *stock)
{
    size_t picks = 0;
    for (size_t b = 0; b < k; b++) picks += m->chosen[b]->pick_count;
    size_t *list = tks_arena_take(m->scratch, picks, sizeof *list);
    pack_kind *kinds = tks_arena_take(m->scratch, picks, sizeof *kinds);
    *stock = *m->stock;
    if (pack_stock_new(m->scratch, picks, stock) || !list || !kinds) return TKS_EMEMORY;
    stock->count = list_kinds(m, k, list);
    stock->steps = STEPS_PER_BIN;
    stock->kinds = kinds;
    for (size_t i = 0; i < stock->count; i++) {
        kinds[i] = m->stock->kinds[list[i]];
        kinds[i].count = m->wanted[list[i]];
        m->wanted[list[i]] = 0;
        stock->origin[i] = list[i];
    }
    return TKS_OK;
}

/* A filling of what the chosen bins hold, by the quick way and, if that saves none, by a search. */
static tks_status pack_anew(improving *m, size_t k, pack_result *anew)
{
    pack_stock stock;
    tks_status status = small_stock(m, k, &stock);
    if (!status) status = pack_bound(stock.kinds, stock.count, &anew->bound);
    if (status) return status;
    size_t things = pack_restock(&stock);
    status = pack_fill(m->scratch, &stock, things, anew);
    if (!status && anew->count >= k && anew->bound < k) {
        pack_restock(&stock);
        status = pack_search(m->scratch, &stock, things, STEPS, anew);
    }
    if (status) return status;
    for (size_t b = 0; b < anew->count; b++)
        for (size_t i = 0; i < anew->bins[b].pick_count; i++)
            anew->bins[b].picks[i].kind = stock.origin[anew->bins[b].picks[i].kind];
    return TKS_OK;
}

static tks_status one_round(improving *m)
{
    size_t k = choose(m);
    int d = m->stock->dominant;
    pack_result anew = {0};
    tks_status status = pack_anew(m, k, &anew);
    if (status || anew.count > k) return status;
    double before = gathered(m->chosen, k, d), after = 0;
    for (size_t i = 0; i < anew.count; i++) after += anew.bins[i].load[d] * anew.bins[i].load[d];
    return anew.count < k || after >= before - 1e-12 ? replace(m, k, &anew) : TKS_OK;
}

tks_status pack_improve(tks_arena *arena, pack_stock *stock, pack_result *best)
{
    improving m = {arena, tks_arena_new(), stock, best, NULL, NULL, 1};
    m.chosen = tks_arena_take(arena, best->count, sizeof *m.chosen);
    m.wanted = tks_arena_take(arena, stock->count, sizeof *m.wanted);
    tks_status status = m.scratch && m.chosen && m.wanted ? TKS_OK : TKS_EMEMORY;
    for (int i = 0; i < ROUNDS && !status && best->count > best->bound && best->count > 1; i++) {
        status = one_round(&m);
        if (m.scratch) tks_arena_reset(m.scratch);
    }
    tks_arena_free(m.scratch);
    return status;
}
