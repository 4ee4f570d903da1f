/* Certified area of united and cut solids. room: geometry
 *
 * Adding up the areas of placed pieces counts hidden faces. Here the area of the union's own
 * surface is found without building it: every face is halved into cells until each lies clear of
 * all other faces, so that its exact area counts whole or not at all, or is crossed by one other
 * surface, so that a one-dimensional integral with a proved error bound gives its exposed share.
 * What is left undecided, and every bound, goes into the interval, which holds the true area. */
#ifndef TANKSIDE_UNION_H
#define TANKSIDE_UNION_H

#include "tankside/caution.h"
#include "tankside/geometry.h"
#include "tankside/status.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* A value and an interval that holds the true one. */
typedef struct tks_bounded {
    double value, low, high;
} tks_bounded;

typedef struct tks_union_progress {
    size_t cells;      /* looked at so far */
    double area;       /* [m^2], as known so far */
    double half_width; /* of its interval so far [m^2] */
    double seconds;    /* since the start */
    double fraction;   /* 0..1, on a logarithmic scale of the interval's width */
} tks_union_progress;

typedef struct tks_union_options {
    double tolerance; /* half-width of the area's interval over the area, what is sealed included;
                         1e-6. At least 1e-12 */
    /* What to spend before giving up, in ordinary cells' worth: 1 for each cell, and for what is
     * looked at in it as the times compare (0.02 for a solid that is near it, 0.04 to 0.24 for a
     * face that may reach it, 2 for a curve through it, 20 for a distance from a thread or coil); 3
     * million, which takes some seconds. What all solids near a face are is found out besides, at
     * no more than as much again. */
    size_t work;
    int threads; /* 1..64; the result does not depend on it */
    double snap; /* faces this near are taken as coincident [m]; 1e-7 */
    bool voids;  /* look for sealed cavities; true. Not where the work ended early with over a tenth
                    of the area open: the low ends are then 0 */
    /* Called about every 50 ms and between rounds, from the calling thread; false stops the work
     * soon, with the bounds reached so far. May be NULL. */
    bool (*progress)(void *context, const tks_union_progress *progress);
    void *context;
} tks_union_options;

/* The options that hold where none are given. */
tks_union_options tks_union_options_default(void);

/* One patch of a member, and how much of it is a surface of the union. */
typedef struct tks_union_patch {
    size_t body;     /* index among the added bodies, then the cuts */
    size_t patch;    /* index in that body */
    tks_label label; /* the patch's own; of a cut TKS_HOLE in place of outside and end, and
                        TKS_SEALED where it bounds a closed void */
    int cavity;      /* index in that body's cavities, -1: open */
    tks_bounded area;
} tks_union_patch;

typedef struct tks_union {
    tks_bounded area;                   /* of all labels that are wetted [m^2] */
    tks_bounded label[TKS_LABEL_COUNT]; /* of each label */
    tks_bounded volume;                 /* of metal [m^3] */
    tks_union_patch *patches;           /* in order of bodies and patches; in the arena */
    size_t patch_count;
    size_t groups;    /* of added bodies that touch one another; 1: all hang together */
    bool *cut_missed; /* one for each cut: it meets no added body; in the arena */
    size_t voids;     /* sealed cavities found */
    double void_area; /* of their walls [m^2] */
    bool complete;    /* false: the work limit or the caller came first. The interval may be
                         wider than asked all the same: see wide-interval, near-coincident */
    size_t cells;     /* looked at */
    double seconds;
} tks_union;

/* The surface of the union of bodies less the cuts.
 *   bodies, cuts  borrowed; each body is what its own solids make (they may overlap and be cut
 *                 themselves), then all are united, then all cuts are taken away
 *   options       NULL: the defaults
 *   arena         holds the result's arrays
 *   cautions      may be NULL; codes: "near-coincident", "apart" (pieces that do not touch),
 *                 "cut-misses", "cut-removes-all", "sealed-void", "hollow-opened" (a closed
 *                 tube is), "closed-bore" (a cut meets a bent one), "work-limit", "wide-interval"
 *                 (wider than asked for: threads, springs, known by distance only; rounding)
 * The interval is proved: cells are decided by bounds of distance and of second derivatives, the
 * integrals' errors are bounded by the size of the integrand in the complex plane, and rounding is
 * covered by 1e-13 of the area. What planes square to its axis lose to
 * a thread, or to a coil of even pitch, between its ends is exact as well, by screw symmetry. Not
 * proved but estimated is what else threads, coils and hexagons under a chamfer hide or lose: the
 * places where one surface meets another are found along rows of points, by distances, and
 * integrated over the rows by a pair of rules whose difference is the bound. How fast points move
 * is sampled, and features under 1/500 of the square root of a face's area may pass between two
 * rows. "wide-interval" tells when that is less exact than asked, as where surfaces meet all along
 * a thread. The volume's interval is of the same kind. Faces within `snap` of a common one are
 * moved onto its surface, which the interval allows for to first order and a caution says. A cavity
 * counts as sealed, and what stands loose in it, when nothing was found that leads out of it: cells
 * left undecided, and bodies that touch along an edge or at a point only, are taken for openings.
 * Errors: TKS_EDOMAIN (options, no body), TKS_EGEOMETRY (sizes that are not
 * finite), TKS_ELIMIT (over 4 million faces), TKS_EMEMORY. */
tks_status tks_union_area(const tks_body *const *bodies, size_t body_count,
                          const tks_body *const *cuts, size_t cut_count,
                          const tks_union_options *options, tks_arena *arena,
                          tks_cautions *cautions, tks_union *result, tks_error *err);

/* Area of a pressed or folded part of sheet from its mass: both faces, 2 m / (rho t), and the cut
 * edges, edge length times gauge. A cross-check for parts that nobody would measure.
 *   mass     [kg]; density [kg/m^3]; gauge: thickness of the sheet [m]; all above zero
 *   edge     length of all edges, holes included [m], 0 when not known
 * Exact for flat and singly bent sheet of even thickness; errors of the gauge go straight into the
 * area (plain arithmetic: volume = faces / 2 x gauge). Returns TKS_EDOMAIN. */
tks_status tks_sheet_area(double mass, double density, double gauge, double edge, double *area,
                          tks_error *err);

#ifdef __cplusplus
}
#endif
#endif
