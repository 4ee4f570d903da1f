/* How much of the current each surface gets: bores, gaps and threads beside open faces. room:
 * plating
 *
 * This is the quick answer: it knows the depth of a bore but not where parts hang. Ratios are to
 * the current density on open faces. */
#ifndef TANKSIDE_EFFECTIVE_H
#define TANKSIDE_EFFECTIVE_H

#include "tankside/plating.h"

#ifdef __cplusplus
extern "C" {
#endif

/* First root in 0..2.4048 of x J1(x) = biot J0(x), biot >= 0 (infinity allowed). Relative error
 * below 1e-14. The eigenvalue of a long cylinder that loses heat through its wall. */
double tks_root_bore(double biot);

/* First root in 0..pi/2 of x tan x = biot: the same for a plane wall. */
double tks_root_gap(double biot);

/* How current dies away inside a cavity. */
typedef struct tks_reach {
    double biot;   /* (radius, or half the gap) / (conductivity * polarisation) */
    double length; /* over which the density falls by e [m] */
    double depth;  /* from a mouth to the deepest place: the middle between two mouths [m] */
    double mean;   /* mean density over the wall, over that at the mouth */
    double least;  /* density at the deepest place, over that at the mouth */
} tks_reach;

/* Penetration into a cavity.
 *   conductivity [S/m], polarisation [ohm m^2]: of the bath, > 0
 * With L = radius / x1 (half the gap / x1), l the depth: mean = tanh(l/L)/(l/L), least =
 * 1/cosh(l/L). First mode of the linear problem, no current through the bottom: within a few per
 * cent of the whole solution more than a radius from the mouth.
 * Errors: TKS_EDOMAIN (width, length, mouths or bath figures out of range). Memory: none. */
tks_status tks_reach_of(const tks_cavity *cavity, double conductivity, double polarisation,
                        tks_reach *reach, tks_error *err);

/* Density at a distance [m] from the mouth, 0..depth, over that at the mouth. */
double tks_reach_at(const tks_reach *reach, double distance);

/* Distance from a mouth [m] at which the density has fallen to a fraction (0..1) of the mouth's;
 * the whole depth when it never does. */
double tks_reach_distance(const tks_reach *reach, double fraction);

/* The smallest width [m] (radius of a bore, or gap) at which a cavity of this kind, length and
 * mouths gets the fraction (0..1) at its deepest place. Errors as tks_reach_of. */
tks_status tks_reach_width(const tks_cavity *cavity, double conductivity, double polarisation,
                           double fraction, double *width, tks_error *err);

/* The groove of a thread as a gap: crest to root of a 60 degree (55 degree) profile is about 0.6
 * pitches deep and half a pitch wide in the mean. A rough picture of a wedge; so are its results:
 * to about 10 % of the loss. */
tks_cavity tks_thread_groove(double pitch);

/* A ratio or size with the spread that the bath's figures leave. */
typedef struct tks_spread {
    double low, usual, high;
} tks_spread;

/* What a surface gets, over open faces. low, usual, high go with the figures of the bath. */
typedef struct tks_share {
    tks_spread mean;  /* over the surface */
    tks_spread least; /* at the deepest bore wall, or thread root */
} tks_share;

/* The share of one surface of an item at a current density on open faces [A/m^2], > 0.
 * Masked and sealed surfaces get zero. Errors: TKS_EDOMAIN (a cavity that is not in the item or
 * cannot be, a pitch below zero). Memory: none. */
tks_status tks_share_of(const tks_item *item, const tks_surface *surface, const tks_bath *bath,
                        double density, tks_share *share, tks_error *err);

/* Sums over one piece of an item. */
typedef struct tks_reckoning {
    double area;          /* wetted [m^2] */
    tks_spread effective; /* sum of mean share times area [m^2] */
    double thinnest;      /* least usual share among significant surfaces; 1 when there is none */
    double barest;        /* least usual share among all wetted surfaces */
    tks_spread inside;    /* share at the deepest place of the worst bore or gap; 1 without one */
    tks_spread root;      /* share at the root of the coarsest outer thread; 1 without one */
} tks_reckoning;

/* Labels that count when a minimum thickness is asked, as bits 1 << label. */
#define TKS_SIGNIFICANT_DEFAULT (1U << TKS_OUTSIDE | 1U << TKS_END | 1U << TKS_THREAD)

/* Reckons one piece of an item. The default significant surfaces are the open faces and threads:
 * ISO 2081 and its kin count what a ball of 20 mm touches, which leaves small bores out.
 * Errors: TKS_EDOMAIN: as tks_share_of, and an area below zero or not finite. */
tks_status tks_reckon(const tks_item *item, const tks_bath *bath, double density,
                      unsigned significant, tks_reckoning *reckoning, tks_error *err);

/* Adds, for each cavity of the item whose deepest place gets under a fifth of the open faces,
 * "inside-bare": how deep the deposit reaches, from which width on the middle would get a fifth,
 * and what helps. */
tks_status tks_inside_cautions(const tks_item *item, const tks_bath *bath, double density,
                               tks_cautions *cautions, tks_error *err);

#ifdef __cplusplus
}
#endif
#endif
