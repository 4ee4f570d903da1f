/* What the files of this room share while they read one document. */
#ifndef PART_READING_H
#define PART_READING_H

#include "part/sum.h"

/* One document: the user's settings, and where it stands. */
typedef struct part_document {
    tks_part_reading *reading;
    const char *file;   /* its name, for messages */
    const char *folder; /* it stands in; "" for the current one */
    tks_error *err;
} part_document;

/* Keys of a piece that are not its shape's parameters. */
extern const char *const part_piece_keys[];
extern const size_t part_piece_key_count;

/* Reads a place: at, axis, turn, x axis. *placed tells whether any of them was given. */
tks_status part_place_read(const part_document *d, const tks_node *node, bool *placed,
                           tks_frame *frame);

/* Reads `masked:` of a part or piece: labels (as bits) and an area. */
tks_status part_masked_read(const part_document *d, const tks_node *node, unsigned *labels,
                            double *area);

/* Reads one piece and makes its body (in the arena that the reading says). */
tks_status part_piece_read(const part_document *d, const tks_node *node, const char *part_name,
                           tks_piece *piece);

/* Reads a part given as a map, in place: pieces or a single shape, and adds it to the load. */
tks_status part_read(const part_document *d, const tks_node *node, tks_load *load, tks_part **part);

tks_status part_fail(const part_document *d, tks_status code, const tks_node *node,
                     const char *format, ...) TKS_PRINTF(4, 5);

#endif
