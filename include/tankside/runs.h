/* Runs: which parts hang together, in as few runs as the limits allow. room: plating */
#ifndef TANKSIDE_RUNS_H
#define TANKSIDE_RUNS_H

#include "tankside/arena.h"
#include "tankside/status.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* What one kind of part takes of a run. */
typedef struct tks_run_need {
    const char *name;
    size_t count;     /* pieces */
    double effective; /* of one piece: what its current is set by [m^2] */
    double area;      /* wetted, of one piece [m^2] */
    double length;    /* of the rack, one piece [m]; 0: none */
    unsigned group;   /* only parts of one group hang together */
} tks_run_need;

/* What a run may hold; INFINITY where nothing limits. Each has a reason, for messages: "the supply
 * gives 4.5 A". */
typedef struct tks_run_limits {
    double effective, area, length;
    const char *effective_reason, *area_reason, *length_reason;
} tks_run_limits;

typedef struct tks_run_entry {
    size_t need, count; /* index into the needs; pieces of it in this run */
} tks_run_entry;

typedef struct tks_run {
    tks_run_entry *entries;
    size_t entry_count;
    double effective, area, length; /* sums over the run */
    unsigned group;
} tks_run;

typedef struct tks_runs {
    tks_run *runs;
    size_t count;
    size_t bound; /* no split has fewer runs */
    bool exact;   /* count is proved to be the fewest */
} tks_runs;

/* More pieces, or more runs, than anyone plates: told as an error before memory is spent on them.
 */
#define TKS_MOST_PIECES 1000000
#define TKS_MOST_RUNS   10000

/* Splits the needs into the fewest runs, evenly filled, likes together. Short lists are solved
 * exactly (within a bounded search), longer ones by a packing near the bound. Deterministic.
 * All is taken from the arena. Errors: TKS_ELIMIT (one piece alone is over a limit: which piece,
 * how much, and the reason; over TKS_MOST_PIECES or TKS_MOST_RUNS), TKS_EDOMAIN (a need that is
 * negative or not finite), TKS_EMEMORY. */
tks_status tks_runs_pack(tks_arena *arena, const tks_run_need *needs, size_t count,
                         const tks_run_limits *limits, tks_runs *runs, tks_error *err);

#ifdef __cplusplus
}
#endif
#endif
