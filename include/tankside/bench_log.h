/* The bench log: what was really deposited, run by run, in a plain file that the user owns; and the
 * efficiency of a bath that follows from it. room: plating */
#ifndef TANKSIDE_BENCH_LOG_H
#define TANKSIDE_BENCH_LOG_H

#include "tankside/arena.h"
#include "tankside/plating.h"

#ifdef __cplusplus
extern "C" {
#endif

/* One run as measured: by weighing before and after, or from a measured thickness
 * (metal = thickness * area * density of the metal). */
typedef struct tks_bench_entry {
    const char *date; /* as written, e.g. "2026-03-14"; "" when not given */
    const char *bath; /* name of the bath */
    double charge;    /* [C], > 0 */
    double metal;     /* deposited [kg], > 0 */
    tks_place at;     /* where it stands in the log; not read by append */
} tks_bench_entry;

typedef struct tks_bench_log {
    const tks_bench_entry *entries;
    size_t count;
} tks_bench_log;

/* Adds one line to the log, which is made if it is not there:
 *   - {date: 2026-03-14, bath: 'chloride zinc', charge: 13146 C, metal: 4.31 g}
 * The file is written anew beside the old one and put in its place, under a lock on it, so that it
 * is whole at any moment, whatever is interrupted, and of two processes at once none loses a line.
 * Comments and lines of the user's stay as they are. metal: of the bath, to check the entry by.
 * Errors: TKS_EDOMAIN (not above zero; an efficiency over 1.1, which no weighing can give; a date
 * or name with control characters), TKS_EOPEN, TKS_EREAD, TKS_EWRITE, TKS_ELIMIT (over 64 MiB),
 * TKS_EMEMORY. */
tks_status tks_bench_log_append(const char *path, const tks_bench_entry *entry,
                                const tks_metal *metal, tks_error *err);

/* Reads the log into the arena. A file that is not there is an empty log. Errors: with the place.
 */
tks_status tks_bench_log_read(tks_arena *arena, const char *path, tks_bench_log *log,
                              tks_error *err);

/* Runs from which on a bath's own efficiency is trusted. */
#define TKS_BENCH_RUNS_ENOUGH 3

typedef struct tks_bench_summary {
    size_t runs;   /* of this bath */
    double mean;   /* efficiency; 0 without runs */
    double spread; /* standard deviation of single runs; 0 with under two */
    double least, most;
} tks_bench_summary;

/* Mean and spread of the runs of one bath, all weighed alike. */
tks_bench_summary tks_bench_log_summarise(const tks_bench_log *log, const tks_bath *bath);

/* Puts the learnt efficiency into the bath when there are runs enough: mean, and low and high one
 * spread away; never above 1. Returns whether it did. The figure's source says so. */
bool tks_bench_log_apply(const tks_bench_summary *summary, tks_bath *bath);

#ifdef __cplusplus
}
#endif
#endif
