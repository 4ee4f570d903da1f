/* Pieces, parts and loads from a text, for tests of the shape and part rooms and what stands on
 * them. */
#ifndef SUPPORT_DESCRIBED_H
#define SUPPORT_DESCRIBED_H

#include "tankside/part.h"
#include "tankside/shape.h"

typedef struct described {
    tks_arena *arena, *scratch;
    tks_shapes *shapes;
    tks_cautions cautions;
    tks_error err; /* of the last call */
} described;

/* Fails the test when memory is short. */
described described_new(void);
void described_free(described *d);

/* Makes the body of a piece, written as `shape: NAME` and its parameters; the text's file is called
 * "piece.yaml". */
tks_status described_make(described *d, const char *text, tks_body **body);

/* The same; fails the test when it cannot be made. */
tks_body *described_body(described *d, const char *text);

/* Reads all documents of a text as parts and loads; its file is called "load.yaml". */
tks_status described_load(described *d, const char *text, tks_load *load);

/* A copy of text, in the arena, with each old replaced. */
const char *described_replace(described *d, const char *text, const char *old, const char *new_one);

#endif
