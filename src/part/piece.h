/* What the kinds of piece share. */
#ifndef PART_PIECE_H
#define PART_PIECE_H

#include "part/reading.h"

enum { PART_CALLED = 160 }; /* bytes of what cautions call a piece */

enum { PART_MOST_KEYS = 24 };

/* Adds the keys that a part which is a single piece may have as well; gives the new count. */
size_t part_piece_alone_keys(const char *keys[PART_MOST_KEYS], size_t count);

/* Name of the piece: what the user gave, or otherwise. */
tks_status part_piece_name(const part_document *d, const tks_node *node, const char *otherwise,
                           tks_piece *piece);

/* How cautions call the piece. */
void part_piece_called(const part_making *m, const tks_piece *piece, char what[PART_CALLED]);

/* count and contact. */
tks_status part_piece_counts(const part_document *d, const tks_node *node, tks_piece *piece);

/* Counts the corners of a piece's box towards the part's size. */
void part_piece_box(part_making *m, tks_vec3 low, tks_vec3 high);

/* Takes a masked area off and counts it as masked; times: of like pieces. */
tks_status part_piece_mask(part_making *m, const part_mask *mask, double times);

/* Takes off what contact hides, on this piece and as much on the one that it touches. */
tks_status part_piece_contact(part_making *m, const tks_piece *piece);

/* Keeps the piece for the union, or for whoever wants the bodies. */
tks_status part_piece_keep(part_making *m, const tks_node *node, const tks_piece *piece);

/* Adds a piece of each kind; alone and cut as for part_piece_add. */
tks_status part_shape_add(part_making *m, const tks_node *node, bool alone, bool cut);
tks_status part_mesh_add(part_making *m, const tks_node *node, bool alone, bool cut);
tks_status part_sheet_add(part_making *m, const tks_node *node);

#endif
