/* Solutions: what goes into them, in which order, and what to mind at each step. room: plating
 *
 * The supplier's data sheet and the local rules stand above anything said here. */
#ifndef TANKSIDE_MIX_H
#define TANKSIDE_MIX_H

#include "tankside/caution.h"
#include "tankside/dilution.h"
#include "tankside/plating.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum tks_measure {
    TKS_BY_MASS,  /* amounts in kg per m^3 of solution (g/L) */
    TKS_BY_VOLUME /* amounts in m^3 per m^3 */
} tks_measure;

typedef struct tks_ingredient {
    const char *name;
    tks_measure measure;
    double low, usual, high; /* per volume of solution */
} tks_ingredient;

/* A warning that belongs to a step. */
typedef struct tks_warning {
    const char *code;
    tks_severity severity;
    const char *text;
} tks_warning;

enum { TKS_STEP_WARNINGS = 4 };

/* One step of the making: text, the ingredient that goes in (index, or -1), and what to mind. */
typedef struct tks_mix_step {
    const char *text;
    int ingredient;
    const tks_warning *warnings[TKS_STEP_WARNINGS]; /* NULL where there are fewer */
} tks_mix_step;

typedef struct tks_recipe {
    const char *name, *purpose;
    const tks_ingredient *ingredients;
    size_t ingredient_count;
    const tks_mix_step *steps;
    size_t step_count;
    tks_figure temperature; /* in use [K]; usual 0: that of the room */
    tks_figure time;        /* in it [s]; usual 0: as the plan says */
    tks_figure acidity;     /* pH; usual 0: not told */
    const char *acid;       /* of a pickle, let down one to one; else NULL */
    const char *source;
} tks_recipe;

/* The i-th recipe, NULL past the end, in the order of use; passivates: trivalent first. */
const tks_recipe *tks_recipe_at(size_t i);

/* Errors: TKS_EUNKNOWN, with the nearest name or all names. */
tks_status tks_recipe_find(const char *name, size_t length, tks_place at, const tks_recipe **recipe,
                           tks_error *err);

enum { TKS_MOST_INGREDIENTS = 6 };

/* What to weigh or measure for one ingredient: [kg] by mass, [m^3] by volume. */
typedef struct tks_amount {
    const tks_ingredient *ingredient;
    double low, usual, high;
} tks_amount;

typedef struct tks_mix {
    const tks_recipe *recipe;
    double volume; /* [m^3] */
    tks_amount amounts[TKS_MOST_INGREDIENTS];
    tks_dilution dilution; /* of a pickle; all zero for others */
} tks_mix;

/* Amounts for a volume [m^3] of solution. stock: mass fraction of the pickle's acid as sold; 0
 * stands for the usual. Errors: TKS_EDOMAIN. Memory: none. */
tks_status tks_mix_make(const tks_recipe *recipe, double volume, double stock, tks_mix *mix,
                        tks_error *err);

/* Adds the warnings of all steps, in their order; what is the recipe's name. */
tks_status tks_mix_cautions(const tks_recipe *recipe, tks_cautions *cautions);

/* ------------------------------------------------------------------ upkeep */

/* Liquid that parts carry off [m^3 per m^2]: 0.05 L/m^2 well drained to 0.2 L/m^2 for cupped parts.
 * Common practice, no source. */
#define TKS_DRAG_OUT 0.1e-3

typedef struct tks_upkeep {
    double lost;                              /* carried off [m^3] */
    tks_amount amounts[TKS_MOST_INGREDIENTS]; /* to put back */
    double metal_gain; /* that anodes dissolve more than parts take; what is carried off is put back
                          as salt above [kg] */
} tks_upkeep;

/* What a bath wants after work.
 *   area      plated since [m^2], >= 0
 *   charge    passed [C], >= 0; anodes dissolve at 100 %, parts take the bath's efficiency
 *   drag_out  [m^3 per m^2]
 * Errors: TKS_EDOMAIN. */
tks_status tks_upkeep_of(const tks_recipe *recipe, const tks_bath *bath, double area, double charge,
                         double drag_out, tks_upkeep *upkeep, tks_error *err);

/* Sodium metabisulphite [kg] that reduces hexavalent chromium [kg of Cr], by stoichiometry:
 * 4 CrO3 + 3 Na2S2O5 + 3 H2SO4 -> 2 Cr2(SO4)3 + 3 Na2SO4 + 3 H2O, 1.426 g per g CrO3; practice adds
 * a quarter. */
double tks_metabisulphite_for(double chromium);

/* Chromium [kg] in sodium dichromate dihydrate [kg]. */
double tks_chromium_in_dichromate(double dichromate);

#ifdef __cplusplus
}
#endif
#endif
