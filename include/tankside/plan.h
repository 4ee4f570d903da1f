/* The plan for a load: which parts hang together, what to set, for how long, and what it gives.
 * room: plating */
#ifndef TANKSIDE_PLAN_H
#define TANKSIDE_PLAN_H

#include "tankside/effective.h"
#include "tankside/part.h"
#include "tankside/runs.h"
#include "tankside/tank.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Some pieces of one kind of part, in one run. Thicknesses by the usual figures of the bath. */
typedef struct tks_plan_entry {
    const tks_part *part;
    size_t count;
    double thickness_open;  /* on open faces [m] */
    double thickness_mean;  /* over all that is wetted [m] */
    double thickness_least; /* at the deepest place of any wetted surface [m] */
    tks_spread inside;      /* in the middle of the worst bore or gap [m]; all 0 without one */
    tks_spread root;        /* at the root of the coarsest outer thread [m]; all 0 without one */
    tks_spread spots; /* by the field: thinnest spot, mean and thickest spot of the significant
                         surfaces [m]; all 0 where the plan is by the law of penetration */
} tks_plan_entry;

typedef struct tks_plan_run {
    tks_plan_entry *entries;
    size_t entry_count;
    double hanger_area;        /* in area and effective area already [m^2] */
    double rack_length;        /* taken [m] */
    tks_setting setting;       /* areas, current, time, charge, metal */
    tks_spread voltage;        /* over the tank [V] */
    tks_supply_setting supply; /* what to set on it; all zero when no supply is known */
} tks_plan_run;

typedef struct tks_plan {
    const tks_load *load;
    const tks_tank *tank;
    double density;   /* on open faces [A/m^2] */
    tks_aim aim;      /* never TKS_AIM_NONE */
    double thickness; /* asked, or the default [m] */
    tks_plan_run *runs;
    size_t run_count;
    size_t bound;           /* no split has fewer runs */
    const char *limit;      /* what allows no more in a run: "the supply gives 4.5 A all day"; ""
                               where nothing does */
    bool exact;             /* run_count is proved to be the fewest */
    bool by_field;          /* thickness, time and voltage are of the field in the tank, not of
                               the law of penetration: see tks_plan_by_field */
    double area, effective; /* of all parts and hangers [m^2] */
    double time, charge, metal; /* sums over the runs [s], [C], [kg] */
} tks_plan;

/* What a thickness is when none is asked: 8 um, ASTM B633 SC2 (moderate). */
#define TKS_USUAL_THICKNESS 8e-6

/* Makes the plan; all of it in the arena. load and tank are borrowed and must outlive it.
 *   aim minimum: the thinnest significant surface of each run gets the thickness
 *   aim mean:    the mean over all that is wetted gets it
 * Runs hold what the supply (with its margin), the bath's amperes per litre, the anodes' area and
 * the rack's length allow; a part takes its middle bounding size and a gap along the rack, short
 * ones in tiers. With a minimum asked, parts whose thinnest places differ by more than half do not
 * hang together.
 * Cautions are added for density, insides, supply, steels that hydrogen embrittles, and figures
 * that are not known. Errors: TKS_ELIMIT (one part alone is too much for the supply, the tank or
 * the rack: which, why, and the density at which it would do), TKS_EMISSING (a load without parts),
 * TKS_EUNKNOWN (a grade or hardness that is none), TKS_EDOMAIN (figures that cannot be). */
tks_status tks_plan_make(tks_arena *arena, const tks_load *load, const tks_tank *tank,
                         tks_cautions *cautions, tks_plan *plan, tks_error *err);

#ifdef __cplusplus
}
#endif
#endif
