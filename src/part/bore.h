/* The bores that cuts leave: round walls with metal all around. */
#ifndef PART_BORE_H
#define PART_BORE_H

#include "tankside/geometry.h"

/* Where the metal is: in the pieces, less the cuts. */
typedef struct part_metal {
    const tks_body *const *bodies; /* the pieces', then the cuts' */
    size_t added, cut;
    tks_vec3 *low, *high;  /* corners of a box around each */
    const tks_body **near; /* room for as many */
    double work;           /* that may be spent still, in patches looked at from one point */
} part_metal;

/* The work that there is at first: some seconds. */
#define PART_METAL_WORK 3e8

/* A stretch of a wall. */
typedef struct part_bore {
    tks_cavity cavity;
    double share;    /* of the wall that the metal leaves of the cut's patch, 0..1 */
    tks_vec3 bottom; /* with one mouth: middle of the closed end */
    tks_vec3 inward; /* unit, from the mouth to it */
} part_bore;

enum { PART_MOST_BORES = 16 };

/* All that the arrays hold is borrowed. Errors: TKS_EMEMORY. */
tks_status part_metal_new(const tks_body *const *bodies, size_t added, size_t cut, tks_arena *arena,
                          part_metal *metal);

/* The bores that the wall of a cut's patch is in: stretches of a plug's wall that have metal over
 * more than half of the turn all along and over more than three quarters at one place (judgement);
 * what is left of the wall is open. An end is a mouth unless the plug ends there and metal stands
 * before more than half of it, within a radius. A break between two stretches is a mouth when it
 * lets in as much as an end: a break of half a radius has an end's area. One that is less is passed
 * over. body   index of the cut among the metal's bodies bores  out Gives their count; 0 for
 * patches that are no wall of a plug, and when the work is spent. Found along 17 lines down the
 * wall: lengths are exact (to 0.1 um) for faces square to the hole, to about 1 % of a radius for
 * curved and slanting ones; metal or gaps thinner than a 2000th of the plug may be missed. */
size_t part_bores(part_metal *metal, size_t body, const tks_patch *patch,
                  part_bore bores[PART_MOST_BORES]);

/* Whether a patch of the same cut is at the bottom of a blind bore: beyond its wall, or less than
 * half a radius before its end. */
bool part_bore_bottom(const part_bore *bore, const tks_patch *patch);

#endif
