/* Cautions: what can hurt, spoil the part, or make a number doubtful. room: base */
#ifndef TANKSIDE_CAUTION_H
#define TANKSIDE_CAUTION_H

#include "tankside/arena.h"
#include "tankside/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* TKS_INJURY is never hidden by --quiet. */
typedef enum tks_severity { TKS_NOTE, TKS_DOUBT, TKS_SPOIL, TKS_INJURY } tks_severity;

/* code: stable, lower-case words joined by '-', e.g. "sealed-void"; what: the part, piece or step
 * it belongs to ("" for none); text: one sentence or two. All owned by the list's arena. */
typedef struct tks_caution {
    const char *code, *what, *text;
    tks_severity severity;
    struct tks_caution *next;
    struct tks_caution *bucket_next; /* for looking up */
} tks_caution;

typedef struct tks_cautions {
    tks_arena *arena;
    tks_caution *first, *last;
    size_t count;
    tks_caution **buckets; /* for looking up; NULL while there is none */
} tks_cautions;

/* Starts an empty list in an arena. */
tks_cautions tks_cautions_new(tks_arena *arena);

/* Adds a caution unless the same code stands there for the same `what` with the same text.
 * code must be a literal. Returns TKS_EMEMORY or TKS_OK. */
tks_status tks_caution_add(tks_cautions *list, tks_severity severity, const char *code,
                           const char *what, const char *format, ...) TKS_PRINTF(5, 6);

/* "note", "doubt", "spoil", "injury". */
const char *tks_severity_name(tks_severity severity);

#ifdef __cplusplus
}
#endif
#endif
