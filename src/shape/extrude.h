/* An extrusion while it is gathered from a shape's data: outline, holes, what pierces its sides. */
#ifndef SHAPE_EXTRUDE_H
#define SHAPE_EXTRUDE_H

#include "shape/model.h"

enum { EXTRUDE_MOST_HOLES = 200000 };

/* What an extrusion is being gathered from. */
typedef struct extrude {
    const shape_values *values;
    const shape_solid *solid;
    const int *cavities;
    tks_body *body;
    tks_error *err;
    double length;
    tks_outline *outlines; /* outer one first */
    size_t outline_count;
    tks_pierce *pierces;
    size_t pierce_count;
} extrude;

typedef struct extrude_rectangle {
    tks_vec2 centre;
    double x, y; /* sides */
} extrude_rectangle;

/* Holes without a place are spread in even rows over a extrude_rectangle: area does not depend on
 * where they are, but the picture and the field want them apart. */
typedef struct extrude_spreading {
    extrude_rectangle over;
    size_t columns, rows, next;
} extrude_spreading;

/* Holes of one kind of list, counted before memory is taken for them. */
typedef struct extrude_totals {
    size_t count, without_place;
    double x, y; /* of the largest without a place */
    const record *last;
} extrude_totals;

typedef struct extrude_grid {
    double hole, x, y, shift;
    size_t columns, rows;
} extrude_grid;

tks_status extrude_no_memory(extrude *g);

/* What geometry refused, at the place of the piece. */
tks_status extrude_refused(extrude *g, tks_status status, const tks_error *inner);

/* ------------------------------------------------------------------ places (hole_places.c) */

/* The box around an outline. */
extrude_rectangle extrude_box(const tks_outline *outline);

/* Starts spreading count holes of x by y over a rectangle; false when they do not fit. */
bool extrude_spread(extrude_rectangle over, size_t count, double x, double y, extrude_spreading *s);
tks_vec2 extrude_next_spot(extrude_spreading *s);

/* How many holes a record stands for; whether that agrees with the places it gives. */
size_t extrude_hole_count(const record *r, int count_field);
tks_status extrude_check_spots(extrude *g, const record *r, int count_field);
tks_status extrude_too_many(extrude *g, const record *r, size_t count, extrude_rectangle over);

/* ------------------------------------------------------------------ flat holes (hole_make.c) */

/* Diameter of a round hole or side of a square one. */
double extrude_hole_size(const record *r);

/* A cavity for holes of one size through a length. */
tks_status extrude_hole_cavity(extrude *g, tks_cavity_kind kind, double width, double length,
                               int *cavity);

/* Counts and checks the holes or slots of a list (a variable with records; -1: none). */
tks_status extrude_total_holes(extrude *g, int list, bool slots, extrude_totals *totals);

/* The user's holes and slots; the shape's own inner outline and bores; a grid of holes. */
tks_status extrude_add_flat_holes(extrude *g, const extrude_totals *totals);
tks_status extrude_add_own_holes(extrude *g);
tks_status extrude_read_grid(extrude *g, extrude_grid *out);
tks_status extrude_add_grid(extrude *g, const extrude_grid *holes);

/* ------------------------------------------------------------------ bent strips (leg_holes.c) */

/* Holes through the legs of a strip. */
tks_status extrude_add_leg_holes(extrude *g);

#endif
