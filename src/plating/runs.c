#include "tankside/runs.h"

#include "plating/pack.h"

#include <math.h>
#include <string.h>

/* A need over its limit by less than this is rounding. */
#define SLACK 1e-9

typedef struct measured {
    double need, limit;
    const char *what, *unit, *reason;
    double shown; /* factor to the unit shown */
} measured;

static tks_status check_need(const tks_run_need *n, const tks_run_limits *l, tks_error *err)
{
    const measured rows[] = {
        {n->effective, l->effective, "effective area", "cm2", l->effective_reason, 1e4},
        {n->area, l->area, "wetted area", "cm2", l->area_reason, 1e4},
        {n->length, l->length, "rack length", "mm", l->length_reason, 1e3},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        measured m = rows[i];
        if (!(m.need >= 0 && isfinite(m.need)) || !(m.limit > 0))
            return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                            "%s: %s of %g, of at most %g, cannot be", n->name, m.what, m.need,
                            m.limit);
        if (m.need > m.limit * (1 + SLACK))
            return tks_fail(err, TKS_ELIMIT, tks_nowhere(),
                            "%s: one piece wants %.3g %s of %s, and a run holds %.3g %s (%s)",
                            n->name, m.need * m.shown, m.unit, m.what, m.limit * m.shown, m.unit,
                            m.reason ? m.reason : "a limit that was given");
    }
    return TKS_OK;
}

static double share(double need, double limit)
{
    return isfinite(limit) ? fmin(1, need / limit) : 0;
}

static tks_status check_count(const tks_run_need *needs, size_t count, tks_error *err)
{
    size_t pieces = 0;
    for (size_t i = 0; i < count; i++) {
        pieces += needs[i].count;
        if (needs[i].count > TKS_MOST_PIECES || pieces > TKS_MOST_PIECES)
            return tks_fail(err, TKS_ELIMIT, tks_nowhere(),
                            "%s: with it the load has over %d pieces; plan a part of it",
                            needs[i].name, TKS_MOST_PIECES);
    }
    return TKS_OK;
}

/* The kinds of one group, and which needs they are. */
static size_t gather(const tks_run_need *needs, size_t count, unsigned group,
                     const tks_run_limits *l, pack_kind *kinds, size_t *origin)
{
    size_t n = 0;
    for (size_t i = 0; i < count; i++) {
        const tks_run_need *need = &needs[i];
        if (need->group != group || !need->count) continue;
        kinds[n] = (pack_kind){{share(need->effective, l->effective), share(need->area, l->area),
                                share(need->length, l->length)},
                               need->count};
        origin[n++] = i;
    }
    return n;
}

static tks_status write_run(tks_arena *arena, const tks_run_need *needs, const pack_bin *bin,
                            const size_t *origin, unsigned group, tks_run *run)
{
    tks_run r = {.entry_count = bin->pick_count, .group = group};
    r.entries = tks_arena_take(arena, bin->pick_count, sizeof *r.entries);
    if (!r.entries) return TKS_EMEMORY;
    for (size_t i = 0; i < bin->pick_count; i++) {
        size_t need = origin[bin->picks[i].kind];
        double pieces = (double)bin->picks[i].count;
        r.entries[i] = (tks_run_entry){need, bin->picks[i].count};
        r.effective += pieces * needs[need].effective;
        r.area += pieces * needs[need].area;
        r.length += pieces * needs[need].length;
    }
    *run = r;
    return TKS_OK;
}

/* Packs what was gathered, unless it wants more runs than a plan holds. */
static tks_status pack_group(tks_arena *arena, const pack_kind *kinds, size_t n,
                             pack_result *packed, tks_error *err)
{
    size_t bound;
    tks_status status = pack_bound(kinds, n, &bound);
    if (!status && bound > TKS_MOST_RUNS)
        return tks_fail(err, TKS_ELIMIT, tks_nowhere(),
                        "the load wants at least %zu runs, and a plan holds %d; plan a part of it",
                        bound, TKS_MOST_RUNS);
    if (!status) status = pack_fewest(arena, kinds, n, packed);
    return status ? tks_fail(err, status, tks_nowhere(), "out of memory") : TKS_OK;
}

static tks_status append_runs(tks_arena *arena, const tks_run_need *needs,
                              const pack_result *packed, const size_t *origin, unsigned group,
                              tks_runs *all)
{
    tks_run *runs = tks_arena_take(arena, all->count + packed->count, sizeof *runs);
    if (!runs) return TKS_EMEMORY;
    if (all->count) memcpy(runs, all->runs, all->count * sizeof *runs);
    for (size_t b = 0; b < packed->count; b++) {
        tks_run *run = &runs[all->count + b];
        tks_status status = write_run(arena, needs, &packed->bins[b], origin, group, run);
        if (status) return status;
    }
    all->runs = runs;
    all->count += packed->count;
    all->bound += packed->bound;
    all->exact = all->exact && packed->exact;
    return TKS_OK;
}

/* The lowest group number at or above one; false when there is none. */
static bool next_group(const tks_run_need *needs, size_t count, unsigned *group)
{
    bool found = false;
    unsigned lowest = 0;
    for (size_t i = 0; i < count; i++) {
        if (!needs[i].count || needs[i].group < *group) continue;
        if (!found || needs[i].group < lowest) lowest = needs[i].group;
        found = true;
    }
    *group = lowest;
    return found;
}

tks_status tks_runs_pack(tks_arena *arena, const tks_run_need *needs, size_t count,
                         const tks_run_limits *limits, tks_runs *runs, tks_error *err)
{
    for (size_t i = 0; i < count; i++) {
        tks_status status = check_need(&needs[i], limits, err);
        if (status) return status;
    }
    tks_status status = check_count(needs, count, err);
    if (status) return status;
    tks_runs all = {.exact = true};
    pack_kind *kinds = tks_arena_take(arena, count, sizeof *kinds);
    size_t *origin = tks_arena_take(arena, count, sizeof *origin);
    if (!kinds || !origin) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    for (unsigned group = 0; next_group(needs, count, &group); group++) {
        pack_result packed;
        size_t n = gather(needs, count, group, limits, kinds, origin);
        status = pack_group(arena, kinds, n, &packed, err);
        if (status) return status;
        if (append_runs(arena, needs, &packed, origin, group, &all))
            return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
        if (group == (unsigned)-1) break;
    }
    *runs = all;
    return TKS_OK;
}
