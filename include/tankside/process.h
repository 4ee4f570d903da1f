/* The process sheet of a plan, and how long the deposit lasts. room: plating */
#ifndef TANKSIDE_PROCESS_H
#define TANKSIDE_PROCESS_H

#include "tankside/mix.h"
#include "tankside/plan.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum tks_rust { TKS_RUST_NONE, TKS_RUST_LIGHT, TKS_RUST_HEAVY } tks_rust;

typedef struct tks_process_wish {
    tks_rust rust;
    bool hexavalent; /* chromate passivate in place of the trivalent one */
} tks_process_wish;

/* One thing to do. */
typedef struct tks_work {
    const char *name;                               /* "pickle" */
    const char *what;                               /* a sentence or two */
    double least, most;                             /* time [s]; both 0: as long as it takes */
    double low, high;                               /* temperature [K]; both 0: that of the room */
    const tks_recipe *recipe;                       /* NULL: no solution of its own */
    const tks_warning *warnings[TKS_STEP_WARNINGS]; /* NULL where there are fewer */
} tks_work;

enum { TKS_MOST_WORKS = 24 };

typedef struct tks_process {
    tks_work works[TKS_MOST_WORKS];
    size_t count;
    double volume;   /* of each solution: as much as the tank holds [m^3]; 0: not known */
    double metal;    /* that all runs take from the anodes [kg] */
    double drag_out; /* bath carried off by all runs [m^3]; see TKS_DRAG_OUT */
} tks_process;

/* The steps for a plan, in order; texts in the arena. Steels that hydrogen embrittles are baked
 * right after plating and before the passivate, which heat would spoil, and are not pickled in
 * strong acid. Times common practice, no source, but for the bake (see embrittlement.h).
 * Errors: TKS_EUNKNOWN (a grade that is none), TKS_EMEMORY. */
tks_status tks_process_make(tks_arena *arena, const tks_plan *plan, const tks_process_wish *wish,
                            tks_process *process, tks_error *err);

/* ------------------------------------------------------------------ classes and service life */

/* A class of zinc thickness on steel. */
typedef struct tks_zinc_class {
    double thickness;       /* least, on significant surfaces [m] */
    const char *iso, *astm; /* "Fe/Zn 8" of ISO 2081, "SC 2" of ASTM B633 */
    const char *service;    /* "moderate" */
} tks_zinc_class;

/* The i-th class, thinnest first, NULL past the end. */
const tks_zinc_class *tks_zinc_class_at(size_t i);

/* The highest class that a thickness [m] meets; NULL under the thinnest. */
const tks_zinc_class *tks_zinc_class_of(double thickness);

/* Loss of zinc in the open by corrosivity category. */
typedef struct tks_corrosivity {
    const char *name;  /* "C3" */
    const char *about; /* "towns, coasts with little salt" */
    double low, high;  /* loss [m/s] */
} tks_corrosivity;

/* The i-th category, C1 to CX, NULL past the end. Rates: ISO 9223:2012 Table 2, from memory (first
 * year; taken as lasting, which errs to the safe side for zinc). */
const tks_corrosivity *tks_corrosivity_at(size_t i);

/* Time [s] until a thickness [m] is gone: shortest and longest. longest is INFINITY where the
 * category's loss begins at nought. The passivate's own time is not counted. */
void tks_service_life(const tks_corrosivity *where, double thickness, double *shortest,
                      double *longest);

#ifdef __cplusplus
}
#endif
#endif
