/* What the files of this room share while they read one document. */
#ifndef PART_READING_H
#define PART_READING_H

#include "part/sum.h"
#include "tankside/mesh.h"

enum { PART_LONGEST_PATH = 4096 };

/* One document: the user's settings, and where it stands. */
typedef struct part_document {
    tks_part_reading *reading;
    const char *file;   /* its name, for messages */
    const char *folder; /* it stands in; "" for the current one */
    tks_error *err;
} part_document;

/* What is stopped off: labels (bit by label), an area, and boxes in the coordinates of a mesh. */
typedef struct part_mask {
    unsigned labels;
    double area;
    const tks_node *where; /* for messages; NULL: nothing is masked */
    tks_mesh_box *boxes;
    size_t box_count;
} part_mask;

/* A part while it is being read. */
typedef struct part_making {
    const part_document *d;
    tks_part *part;
    part_sum sum;
    double slack_low, slack_high; /* how far the area may lie below and above the sum [m^2] */
    unsigned methods;             /* bits by PART_EXACT and its kin */
    double box[3];                /* largest sides of any piece, by size [m] */
    tks_piece *pieces;            /* all of them while they are united or kept */
    size_t piece_count;
    tks_arena *bodies; /* that the pieces' bodies live in */
} part_making;

enum { PART_EXACT, PART_UNION, PART_MESH, PART_WEIGHT };

/* A path, seen from the folder that the document stands in; node is where it was read. */
tks_status part_path_beside(const part_document *d, const tks_node *node,
                            char path[PART_LONGEST_PATH]);

/* Reads a place: at, axis, turn, x axis. *placed tells whether any of them was given. */
tks_status part_place_read(const part_document *d, const tks_node *node, bool *placed,
                           tks_frame *frame);

/* Reads the value of `masked:`, which may be NULL. */
tks_status part_mask_read(const part_document *d, const tks_node *node, part_mask *mask);

/* Adds one piece, given as a map, to the part; alone: it is the whole part, so that its count and
 * place are the part's. Placed pieces wait for part_unite. */
tks_status part_piece_add(part_making *m, const tks_node *node, bool alone, bool cut);

/* Adds a mesh file, with nothing else said of it. */
tks_status part_piece_mesh(part_making *m, const char *path);

/* Density of the part's material, steel when none is given; 0 when it is not known [kg/m^3]. */
double part_density(const tks_part *part);

/* Adds the surface of all placed pieces less the cuts. */
tks_status part_unite(part_making *m, const tks_node *node);

/* Adds the surface of a piece whose own solids overlap. */
tks_status part_unite_piece(part_making *m, const tks_piece *piece, unsigned masked);

/* Reads a part given as a map, in place: pieces or a single shape, and adds it to the load. */
tks_status part_read(const part_document *d, const tks_node *node, tks_load *load, tks_part **part);

/* Adds a part that is a mesh file and nothing else. */
tks_status part_read_mesh(const part_document *d, const char *path, tks_load *load);

tks_status part_fail(const part_document *d, tks_status code, const tks_node *node,
                     const char *format, ...) TKS_PRINTF(4, 5);

#endif
