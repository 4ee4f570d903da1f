/* Lists of records that a shape may take as a parameter: holes, legs, bends, the steps of a path.
 */
#ifndef SHAPE_RECORDS_H
#define SHAPE_RECORDS_H

#include "tankside/document.h"

enum { RECORD_MOST_FIELDS = 8, RECORD_MOST_ITEMS = 100000 };

/* Lengths outside these are slips of the pen: no part is finer, no tank is longer [m]. */
#define SHAPE_FINEST  1e-7
#define SHAPE_LONGEST 100.0

typedef enum record_field_type {
    RECORD_QUANTITY,
    RECORD_COUNT, /* a whole number, 1 or more */
    RECORD_SPOTS, /* one place or a list of places in a plane */
    RECORD_HAND   /* right or left: +1 or -1 */
} record_field_type;

typedef struct record_field {
    const char *name;
    record_field_type type;
    tks_kind kind;
    double least; /* the smallest value allowed */
    bool above;   /* ... and itself not allowed */
} record_field;

typedef struct record_layout {
    const char *name; /* as a parameter's kind in a shape's file */
    const char *item; /* "a hole" */
    size_t field_count;
    record_field fields[RECORD_MOST_FIELDS];
    size_t vector; /* items are not maps but lists of this many lengths (1: a single value) */
} record_layout;

/* One item. values and given go by the layout's fields. */
typedef struct record {
    tks_place at;
    double values[RECORD_MOST_FIELDS];
    unsigned given;      /* bit i: field i was written */
    const double *spots; /* spot_count x 2 [m] */
    size_t spot_count;
} record;

/* Indexes of fields in their layouts. */
enum { HOLE_DIAMETER, HOLE_SQUARE, HOLE_COUNT, HOLE_AT, HOLE_LEG };
enum { SLOT_LENGTH, SLOT_WIDTH, SLOT_COUNT, SLOT_AT, SLOT_TURN };
enum { BEND_ANGLE, BEND_INSIDE_RADIUS };
enum {
    PATH_STRAIGHT,
    PATH_BEND,
    PATH_RADIUS,
    PATH_TURN,
    PATH_COIL,
    PATH_DIAMETER,
    PATH_PITCH,
    PATH_HAND
};
enum { STEP_DIAMETER, STEP_LENGTH, STEP_FILLET };

static inline bool record_has(const record *r, int field)
{
    return r->given >> field & 1;
}

/* The layout of this name, or NULL. */
const record_layout *record_layout_find(const char *name, size_t length);

/* Name of the i-th layout, NULL behind the last. */
const char *record_layout_name(size_t i);

/* Reads a list into the arena; a single map may stand for a list of one. */
tks_status record_list_read(tks_arena *arena, const tks_node *node, const char *file,
                            const record_layout *layout, const record **records, size_t *count,
                            tks_error *err);

#endif
