/* Metals, baths, Faraday's law, and the setting that follows from an area. All SI: [m], [m^2],
 * [A/m^2], [S/m], [K], [kg]. room: plating */
#ifndef TANKSIDE_PLATING_H
#define TANKSIDE_PLATING_H

#include "tankside/caution.h"
#include "tankside/item.h"
#include "tankside/status.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* Faraday constant [C/mol], exact since 2019. Source: CODATA 2018. */
#define TKS_FARADAY 96485.33212

typedef struct tks_metal {
    const char *name;  /* "zinc" */
    double molar_mass; /* [kg/mol] */
    int valence;       /* electrons per ion deposited */
    double density;    /* [kg/m^3] */
    const char *source;
} tks_metal;

/* A figure of a bath with its spread, and where it comes from. low <= usual <= high. */
typedef struct tks_figure {
    double low, usual, high;
    const char *source;
} tks_figure;

/* A plating bath. The rows of the table are constant; a user's own bath is a copy with figures
 * changed. */
typedef struct tks_bath {
    const char *name; /* "chloride zinc" */
    const tks_metal *metal;
    tks_figure efficiency;      /* of the cathode current, 0..1 */
    tks_figure current_density; /* window at the cathode [A/m^2] */
    tks_figure conductivity;    /* [S/m] */
    tks_figure polarisation;    /* slope d(overvoltage)/d(current density) at the cathode, at the
                                   usual density [ohm m^2] */
    tks_figure temperature;     /* [K] */
    tks_figure voltage;         /* over the tank [V] */
    tks_figure anode_ratio;     /* anode area over wetted area */
    tks_figure loading;         /* current per volume of bath [A/m^3]; 1000 A/m^3 = 1 A/L */
} tks_bath;

/* The bath that stands where none is named: chloride zinc. Never NULL; constant. */
const tks_bath *tks_bath_default(void);

/* The i-th bath of the table, NULL past its end. */
const tks_bath *tks_bath_at(size_t i);

/* The bath of this name ("chloride zinc", "Chloride-Zinc"). Errors: TKS_EUNKNOWN, with the nearest
 * name or all names. at: place of the name, for the message. */
tks_status tks_bath_find(const char *name, size_t length, tks_place at, const tks_bath **bath,
                         tks_error *err);

/* Checks that a bath's figures can be: each low <= usual <= high, finite and above zero, efficiency
 * at most 1. Errors: TKS_EDOMAIN, naming bath and figure ("efficiency is 0 %"). */
tks_status tks_bath_check(const tks_bath *bath, tks_error *err);

/* The polarisation slope at a density [A/m^2] > 0: that of the row scaled by usual density over
 * density, as overvoltages grow with the logarithm of the density (Tafel). */
tks_figure tks_bath_slope(const tks_bath *bath, double density);

/* ------------------------------------------------------------------ Faraday's law
 * No checks: thickness, charge, mass >= 0 and 0 < efficiency <= 1 are the caller's part (a checked
 * bath has them). Exact up to rounding. */

/* Charge per area [C/m^2] for a thickness [m]: q = h rho n F / (M eff). */
double tks_faraday_charge(const tks_metal *metal, double efficiency, double thickness);

/* Thickness [m] that a charge per area [C/m^2] builds; the inverse of tks_faraday_charge. */
double tks_faraday_thickness(const tks_metal *metal, double efficiency, double charge);

/* Mass [kg] that a charge [C] deposits: m = Q eff M / (n F). */
double tks_faraday_mass(const tks_metal *metal, double efficiency, double charge);

/* Efficiency that a deposited mass [kg] for a charge [C] > 0 shows; over 1 when the weighing or
 * the ammeter was wrong. */
double tks_faraday_efficiency(const tks_metal *metal, double charge, double mass);

/* ------------------------------------------------------------------ a setting */

/* What to set, and what it does. */
typedef struct tks_setting {
    double area;                      /* wetted [m^2] */
    double effective_area;            /* what the current is set by [m^2]; see effective.h */
    double density;                   /* on open faces [A/m^2] */
    double thickness;                 /* mean over the effective area: of open faces [m] */
    double current;                   /* density * effective area [A] */
    double current_low, current_high; /* [A]: the bath's window times the effective area */
    double time, time_low, time_high; /* [s]: at the usual, high and low efficiency */
    double charge;                    /* current * time [C] */
    double metal;                     /* deposited [kg] */
} tks_setting;

/* Current and time for an area.
 *   area       wetted [m^2], > 0
 *   effective  [m^2], > 0; the same as area where all of it is open
 *   density    [A/m^2], > 0; 0 stands for the bath's usual
 *   thickness  on open faces [m], > 0
 *   setting    out; written only on TKS_OK
 * Errors: TKS_EDOMAIN (a value out of range or not finite, a bath that cannot be). Memory: none. */
tks_status tks_set(const tks_bath *bath, double area, double effective, double density,
                   double thickness, tks_setting *setting, tks_error *err);

/* Adds the cautions that a density [A/m^2] gives: "density-high" (rough, granular deposit),
 * "density-low" (dull, slow). what: the run or part. */
tks_status tks_density_cautions(const tks_bath *bath, double density, const char *what,
                                tks_cautions *cautions);

#ifdef __cplusplus
}
#endif
#endif
