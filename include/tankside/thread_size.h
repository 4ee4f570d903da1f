/* Standard thread sizes and the ways to write them. room: shape */
#ifndef TANKSIDE_THREAD_SIZE_H
#define TANKSIDE_THREAD_SIZE_H

#include "tankside/status.h"
#include "tankside/thread.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum tks_thread_series {
    TKS_SERIES_METRIC_COARSE,
    TKS_SERIES_METRIC_FINE,
    TKS_SERIES_UNC,
    TKS_SERIES_UNF,
    TKS_SERIES_BSW,
    TKS_SERIES_BSF,
    TKS_SERIES_BA,
    TKS_SERIES_COUNT
} tks_thread_series;

/* "ISO metric coarse", "ISO metric fine", "UNC", "UNF", "BSW", "BSF", "BA". */
const char *tks_thread_series_name(tks_thread_series series);

/* One standard size. diameter is in the series' own unit (mm, or in), pitch in mm or threads per
 * inch; tks_thread_of_size gives metres. number: the N of "N-40 UNC" and "N BA", -1 where the name
 * gives the diameter. */
typedef struct tks_thread_size {
    const char *name; /* "M8x1.25", "1/4-20 UNC", "3/8-16 BSW", "4 BA" */
    tks_thread_series series;
    int number;
    double diameter, pitch;
    const char *source;
} tks_thread_size;

/* All rows, in order of series and size. */
const tks_thread_size *tks_thread_sizes(size_t *count);

/* The external, right-hand thread of a size, with the root of real bolts. */
tks_thread tks_thread_of_size(const tks_thread_size *size);

/* The size of a thread, internal or external, of either hand; NULL when it is no standard one. */
const tks_thread_size *tks_thread_size_of(const tks_thread *thread);

/* A thread as it is written: `M8x1.25`, `M8` (coarse), `M8x1 LH`, `1/4-20 UNC`, `1/4 UNF`,
 * `1/4-28`, `No. 4-40`, `#8-32 UNC`, `3/8 BSW`, `BSF 1/4`, `4 BA`, `BA 4`, `M8x1.25-6g`,
 * `1/4-20 UNC-2A`, `M8 left`. Capitals and spaces do not matter; a comma may stand for the point.
 */
typedef struct tks_designation {
    const tks_thread_size *size;
    bool left;
    bool hand_said;    /* LH, RH, left or right was written */
    char tolerance[8]; /* "6g", "2A"; empty when not written */
} tks_designation;

/* Reads a designation. A pitch that the size does not have, or a size that does not exist, is
 * TKS_EUNKNOWN, and the message gives the nearest that do; a text that names no thread is
 * TKS_ESYNTAX. Memory: none. */
tks_status tks_thread_find(const char *text, size_t length, tks_place at,
                           tks_designation *designation, tks_error *err);

#ifdef __cplusplus
}
#endif
#endif
