/* When the ammeter does not obey: what has been deposited, and what is left to do. room: plating */
#ifndef TANKSIDE_ADJUST_H
#define TANKSIDE_ADJUST_H

#include "tankside/caution.h"
#include "tankside/document.h"
#include "tankside/plating.h"

#ifdef __cplusplus
extern "C" {
#endif

/* What the ammeter showed at a time. */
typedef struct tks_reading {
    double time;    /* since the run began, or by the clock [s] */
    double current; /* [A], >= 0; 0: switched off, or lifted out */
    tks_place at;   /* where it was written, for messages */
} tks_reading;

/* What a run has come to. */
typedef struct tks_progress {
    double elapsed;                     /* from the first reading to the last [s] */
    double plated;                      /* of that, with current flowing [s] */
    double longest_pause;               /* without current, between readings with it [s] */
    double charge;                      /* [C] */
    double thickness;                   /* on open faces so far [m] */
    double wanted;                      /* [m] */
    double metal;                       /* so far [kg] */
    double density;                     /* at the last reading [A/m^2] */
    double least_density, most_density; /* while current flowed [A/m^2] */
    double left; /* time to go at the last current [s]; 0 when the thickness is reached;
                    INFINITY while the current is off */
} tks_progress;

/* Reckons from readings.
 *   area       effective [m^2], > 0
 *   thickness  wanted on open faces [m], > 0
 *   readings   count of them, times rising. Between two readings with current the current is taken
 *              to change evenly; one of 0 A marks the moment of switching off, and the next one
 *              with current that of switching on
 * One reading alone gives the time at that current from now on, nothing being plated yet.
 * Errors: TKS_EDOMAIN (a time that runs backwards, with its line; a negative current; values out of
 * range), TKS_EMISSING (no reading). Memory: none. */
tks_status tks_adjust(const tks_bath *bath, double area, double thickness,
                      const tks_reading *readings, size_t count, tks_progress *progress,
                      tks_error *err);

/* Adds the cautions: those of tks_density_cautions for the highest and lowest density that flowed,
 * "pause-dry" (a long time without current: the deposit dulls, the next layer may peel), and
 * "overplated". */
tks_status tks_adjust_cautions(const tks_bath *bath, const tks_progress *progress,
                               tks_cautions *cautions);

/* Reads a log of readings: a list of [time, current] pairs, e.g.
 *   - [0 min, 3.6 A]
 *   - [12 min, 3.4 A]
 * Times as tks_quantity_read reads them, so `1:20:00` too. At most 100,000. *readings in the arena.
 * Errors: with the place. */
tks_status tks_readings_read(tks_arena *arena, const tks_node *root, const char *file,
                             tks_reading **readings, size_t *count, tks_error *err);

#ifdef __cplusplus
}
#endif
#endif
