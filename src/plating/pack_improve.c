#include "plating/pack.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* TOGETHER bins are packed anew at a time, half of them those with most room. */
enum { ROUNDS = 400, TOGETHER = 12, STEPS = 4000 };

typedef struct improving {
    tks_arena *kept, *scratch;
    pack_stock *stock;
    pack_result *best;
    const pack_bin **chosen; /* pointers into best's bins, chosen ones first */
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

static int by_rising_load(const void *a, const void *b)
{
    const pack_bin *x = *(const pack_bin *const *)a, *y = *(const pack_bin *const *)b;
    double p = fullness(x), q = fullness(y);
    if (p != q) return (p > q) - (p < q);
    return (x > y) - (x < y);
}

/* The emptiest bins, then others at random. */
static size_t choose(improving *m)
{
    size_t n = m->best->count, k = n < TOGETHER ? n : TOGETHER;
    for (size_t b = 0; b < n; b++) m->chosen[b] = &m->best->bins[b];
    qsort(m->chosen, n, sizeof *m->chosen, by_rising_load);
    size_t emptiest = 1 + draw(m, k - 1);
    for (size_t i = emptiest; i < k; i++) {
        size_t other = i + draw(m, n - i);
        const pack_bin *swapped = m->chosen[i];
        m->chosen[i] = m->chosen[other];
        m->chosen[other] = swapped;
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

/* A filling of what the chosen bins hold, by the quick way and, if that saves none, by a search. */
static tks_status pack_anew(improving *m, size_t k, pack_result *anew)
{
    int d = m->stock->dominant;
    double sum = 0;
    for (size_t i = 0; i < k; i++) sum += m->chosen[i]->load[d];
    size_t things = pack_restock(m->stock, m->chosen, k);
    tks_status status = pack_fill(m->scratch, m->stock, things, anew);
    anew->bound = (size_t)ceil(sum - 1e-8);
    if (status || anew->count < k || anew->bound >= k) return status;
    pack_restock(m->stock, m->chosen, k);
    return pack_search(m->scratch, m->stock, things, STEPS, anew);
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
    improving m = {arena, tks_arena_new(), stock, best, NULL, 1};
    m.chosen = tks_arena_take(arena, best->count, sizeof *m.chosen);
    tks_status status = m.scratch && m.chosen ? TKS_OK : TKS_EMEMORY;
    for (int i = 0; i < ROUNDS && !status && best->count > best->bound && best->count > 1; i++) {
        status = one_round(&m);
        if (m.scratch) tks_arena_reset(m.scratch);
    }
    tks_arena_free(m.scratch);
    return status;
}
