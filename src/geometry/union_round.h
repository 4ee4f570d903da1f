/* Rounds over all faces of a union until its interval is narrow. room: geometry */
#ifndef GEOMETRY_UNION_ROUND_H
#define GEOMETRY_UNION_ROUND_H

#include "geometry/union.h"

#include <time.h>

enum { UNION_THREADS = 64 };

typedef struct union_run {
    const tks_union_options *options;
    union_model model;
    union_index index;
    union_item *items; /* one for each face that bounds a solid */
    size_t item_count;
    double total;      /* area of all faces [m^2] */
    double smallest;   /* area of cells that a round leaves waiting [m^2] */
    double quadrature; /* error that a stretch of curve is allowed, of its cell's area */
    size_t cells;      /* looked at before the last start */
    double work;       /* spent before the last start, in cells' worth */
    double reported;   /* when progress was told last [s] */
    size_t seen;       /* of items, from the first on, that may be looked at at all */
    bool first, stopped;
    bool search; /* voids are looked for */
    struct timespec start;
} union_run;

/* What is known of all faces together. */
typedef struct union_standing {
    double area, waiting, slack;
    double curves; /* what of the slack the integrals along curves may err by */
    double work;   /* spent, in cells' worth */
    size_t cells, waiting_cells;
    tks_status status;
} union_standing;

/* Half of the interval's width [m^2]. */
double union_half_width(const union_standing *s);

/* Since r->start. */
double union_run_seconds(const union_run *r);

/* The items and the index of a model that is built. Errors: TKS_EMEMORY. */
tks_status union_run_start(union_run *r);

/* Goes on until the interval is as narrow as asked for, or what waits is not what keeps it wide, or
 * the work or the caller's patience is at an end (r->stopped). Errors: TKS_EMEMORY. */
tks_status union_run_rounds(union_run *r, union_standing *s);

/* Forgets what has been found of all faces. */
void union_run_clear(union_run *r);

#endif
