/* The tank: its bath, anodes and supply, and the file that describes them. room: plating */
#ifndef TANKSIDE_TANK_H
#define TANKSIDE_TANK_H

#include "tankside/document.h"
#include "tankside/plating.h"
#include "tankside/supply.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Places in the tank count from the middle of its floor: x along, y across, z up [m]. */
typedef struct tks_anode {
    bool rod;       /* round and upright; else a plate */
    double size[3]; /* plate: extents along x, y, z; rod: diameter, diameter, length [m] */
    double at[3];   /* centre */
} tks_anode;

/* 0 stands for "not known" in every figure but the bath's. */
typedef struct tks_tank {
    const char *name;
    double size[3];     /* length, width and depth of the liquid [m] */
    double rack_length; /* along which parts hang [m] */
    const tks_anode *anodes;
    size_t anode_count;
    double anode_area;     /* wetted, that faces the parts [m^2] */
    double anode_distance; /* from anode to rack [m] */
    tks_bath bath;
    tks_supply supply;
    const char *bench_log; /* path of the file that keeps measured efficiencies; NULL: none */
} tks_tank;

/* A tank of which nothing is known but that it holds this bath. */
tks_tank tks_tank_of(const tks_bath *bath);

/* Reads a tank. All is checked; texts and anodes go to the arena.
 *
 *   tank: shed tank
 *   size: [300, 200, 180] mm            # length, width, depth of the liquid
 *   rack length: 250 mm                 # else the length less 40 mm
 *   anodes:
 *     - {size: [200, 3, 150] mm, at: [0, 90, 90] mm}
 *     - {diameter: 12 mm, length: 150 mm, at: [-100, -90, 90] mm}
 *   anode area: 600 cm^2                # else the anodes' sides
 *   anode distance: 80 mm               # else from their places, or half the width
 *   bath: chloride zinc                 # or a map:
 *   bath: {like: chloride zinc, efficiency: 93 %, conductivity: 18 S/m}
 *   supply: {kind: bench supply, current: 5 A, voltage: 30 V, current step: 0.01 A}
 *   supply: {kind: battery, voltage: 12 V, resistance: 0.1 ohm, rheostat: 10 ohm,
 *            rheostat power: 100 W}
 *   bench log: zinc-log.yaml
 *
 * A figure of the bath is one value (the row's spread is kept in proportion) or a list of low,
 * usual, high. Errors, with their place: unknown keys and baths, figures that cannot be, an anode
 * outside the tank. */
tks_status tks_tank_read(tks_arena *arena, const tks_node *root, const char *file, tks_tank *tank,
                         tks_error *err);

/* Volume of the liquid [m^3]; 0 when the size is not known. */
double tks_tank_volume(const tks_tank *tank);

/* Voltage over the tank at a current.
 *   area     wetted [m^2]; effective [m^2]; both > 0
 *   density  on open faces [A/m^2], > 0
 * Ohm's law through a bath whose cross-section grows evenly from parts to anodes,
 * R = d / (kappa A), A the logarithmic mean of both areas, plus the slope of polarisation at both
 * electrodes; low and high by the bath's figures, and 0.3 V more at the high end for contacts and
 * overvoltage (common practice, no source). Without a distance 0.1 m stand; without an anode area
 * the bath's usual ratio. A rough figure: within a factor of two. */
tks_spread tks_tank_voltage(const tks_tank *tank, double area, double effective, double density);

#ifdef __cplusplus
}
#endif
#endif
