/* The electric field in the tank: how much current each spot of each part gets, hence how thick the
 * deposit will be and where. Laplace's equation in the bath by boundary elements. room: field
 *
 * Anodes stand at a voltage or polarise; parts are at one potential, nought, and polarise; the
 * tank's sides and the liquid's surface insulate. All of it in SI units. Results do not depend on
 * the number of threads. Conductivity and polarisation of a working bath are seldom known to better
 * than 10 to 20 %, which is more than this computation's own error. */
#ifndef TANKSIDE_FIELD_H
#define TANKSIDE_FIELD_H

#include "tankside/geometry.h"
#include "tankside/status.h"
#include "tankside/vec.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* ------------------------------------------------------------------ polarisation */

typedef enum tks_polarisation_kind {
    TKS_POLARISATION_NONE,   /* the surface follows the metal's potential */
    TKS_POLARISATION_LINEAR, /* overpotential = slope x density */
    TKS_POLARISATION_KINETIC /* Butler-Volmer; Tafel's law well above the exchange density */
} tks_polarisation_kind;

/* What it takes to drive current through a surface. In the kinetic law
 *   density = exchange (exp(h / forward) - exp(-h / backward))
 * h is the overpotential in the direction in which the electrode is used: deposition at parts,
 * dissolution at anodes. forward is the Tafel slope per e-fold, R T / (alpha n F); per decade it is
 * 2.303 times that. */
typedef struct tks_polarisation {
    tks_polarisation_kind kind;
    double slope;             /* linear [ohm m^2], >= 0 */
    double exchange;          /* kinetic [A/m^2], > 0 */
    double forward, backward; /* kinetic [V], > 0 */
} tks_polarisation;

/* Overpotential [V] at a density [A/m^2] (of either sign), and its derivative [ohm m^2] in *slope
 * (may be NULL). Accuracy 1e-12, relative. */
double tks_polarisation_overpotential(const tks_polarisation *law, double density, double *slope);

/* ------------------------------------------------------------------ what stands in the tank */

/* Shields are what insulates beside the tank's sides: a coated rack, a plastic sheet. */
typedef enum tks_field_role { TKS_FIELD_PART, TKS_FIELD_ANODE, TKS_FIELD_SHIELD } tks_field_role;

/* A part, an anode or a shield: surfaces, corners anticlockwise seen from the liquid. */
typedef struct tks_field_body {
    const char *name; /* for messages; must outlive the field */
    tks_field_role role;
    const tks_triangles *triangles; /* in the tank's coordinates; read by tks_field_new only */
    /* A number of the caller's (a label) for each triangle; NULL: all 0. Results can be asked for
     * by group. */
    const uint32_t *group;
    const uint8_t *masked; /* not zero for each triangle that is stopped off; NULL: none */
    /* Signed distance to the metal, negative inside, at most the true distance in size; NULL: the
     * triangles are the whole truth. Where it is given, triangles may overlap (pieces put together,
     * cuts): what lies inside metal, or off its surface, is taken away. Read by tks_field_new
     * only. */
    double (*distance)(const void *context, tks_vec3 point);
    const void *context;
} tks_field_body;

typedef struct tks_field_scene {
    tks_vec3 tank;   /* inner length, width and liquid's depth [m]; the liquid fills this box from
                        its lowest corner on, z up. All zero: the bodies' own surfaces close it */
    tks_vec3 corner; /* that corner [m] */
    bool open; /* there is no tank and the liquid has no end; its potential far away is zero */
    const tks_field_body *bodies;
    size_t body_count;
} tks_field_scene;

typedef struct tks_field_options {
    size_t elements; /* triangles to aim at; 0: 8000 */
    double longest;  /* longest edge on bodies [m]; 0: chosen from their sizes */
    bool fixed;      /* take the triangles as they are: no refinement, and no error estimate */
    unsigned threads;
    double tolerance; /* of the linear solution, 0: 1e-5 */
    size_t memory;    /* most bytes for the near field; 0: 4e9 */
    /* Called now and then with the part of the work done; false stops at the best result so far.
     * May be NULL. */
    bool (*progress)(void *context, double done, size_t elements);
    void *context;
} tks_field_options;

typedef struct tks_field tks_field;

/* Checks the scene and cuts it into elements. options may be NULL.
 * Errors, naming the body: TKS_EMISSING (no part, no anode), TKS_EGEOMETRY (outside the tank, above
 * the liquid, a part that touches an anode, bodies that overlap, pieces of a part that nothing
 * holds together, no triangles), TKS_EDOMAIN (a tank without size, points that are not finite),
 * TKS_ELIMIT, TKS_EMEMORY. On TKS_OK the caller owns *field. */
tks_status tks_field_new(const tks_field_scene *scene, const tks_field_options *options,
                         tks_field **field, tks_error *err);
void tks_field_free(tks_field *field);

/* A field with the same elements, some bodies of which were moved: moves[i] is the frame, seen from
 * the tank, that the tank's own axes come to when body i is moved rigidly. It is solved on those
 * elements, without an error estimate. Errors as tks_field_new. */
tks_status tks_field_move(const tks_field *field, const tks_frame *moves, tks_field **moved,
                          tks_error *err);

/* ------------------------------------------------------------------ solving */

typedef struct tks_field_bath {
    double conductivity; /* [S/m], > 0 */
    tks_polarisation part, anode;
} tks_field_bath;

/* The current through the tank [A], or the voltage between anodes and parts [V]; the other 0. */
typedef struct tks_field_drive {
    double current, voltage;
} tks_field_drive;

/* Solves, refining the elements where the current changes until the aim is reached. A field that
 * was solved before keeps its elements, starts from what it holds, and is quick.
 * Errors: TKS_EDOMAIN (a bath or drive that is not possible), TKS_ECONVERGE (no result: never a
 * silent wrong number), TKS_EMEMORY, TKS_ELIMIT; results held before are then gone. */
tks_status tks_field_solve(tks_field *field, const tks_field_bath *bath,
                           const tks_field_drive *drive, tks_error *err);

typedef struct tks_field_summary {
    double current;    /* through the anodes [A] */
    double voltage;    /* between anodes and parts [V] */
    double resistance; /* voltage / current [ohm] */
    double resistance_error;
    double leak;   /* current that the parts get less than the anodes give, relative */
    double wagner; /* polarisation slope at the mean density x conductivity / the parts' size */
    size_t elements, coarse_elements;
    int iterations, rounds; /* linear iterations; of Newton's method: linear problems solved */
    size_t bytes;
    bool stopped; /* by progress, before the aim was reached */
} tks_field_summary;

/* What the solution says of the tank as a whole. */
tks_field_summary tks_field_summarise(const tks_field *field);

/* ------------------------------------------------------------------ results */

enum { TKS_FIELD_ALL = -1 }; /* for a body: all parts */

#define TKS_FIELD_EVERY UINT32_MAX /* for groups: every one */

/* One element. Borrows nothing. */
typedef struct tks_field_element {
    tks_vec3 corner[3];
    size_t body; /* index in the scene's bodies; body_count: the tank's sides */
    uint32_t group;
    double area;      /* [m^2] */
    double density;   /* [A/m^2]: deposited on parts, dissolved at anodes; 0 at walls */
    double potential; /* of the liquid beside it [V], the parts' metal being at 0 */
} tks_field_element;

/* How many elements there are, and one of them; i below the count. */
size_t tks_field_element_count(const tks_field *field);
tks_field_element tks_field_element_at(const tks_field *field, size_t i);

/* A value and how far off it may be: the truth lies within value +- error in 9 of 10 cases. */
typedef struct tks_estimate {
    double value, error;
} tks_estimate;

/* How density [A/m^2] is spread over some surface. Percentiles are by area. minimum is that of the
 * mean over a spot of 2 mm (about what a thickness gauge sees; over an edge it bends round),
 * maximum likewise. Where nothing
 * polarises the maximum at sharp edges has no bound and grows with the number of elements. */
typedef struct tks_field_spread {
    double area; /* of the elements [m^2] */
    tks_estimate mean, minimum, maximum, low2, low5, high95, high98;
    tks_vec3 lowest, highest; /* where the minimum and maximum are [m] */
} tks_field_spread;

/* Spread over a body (TKS_FIELD_ALL: all parts) and some of its groups: bit g is set for group g
 * (bit 31 for all from 31 on).
 * Errors: TKS_EMISSING (no such elements, or not solved), TKS_EMEMORY. */
tks_status tks_field_spread_of(const tks_field *field, int body, uint32_t groups,
                               tks_field_spread *spread, tks_error *err);

/* The same for parts that hang one half of the time as in one field and the other as in another
 * that was moved from it: of the mean of both, element by element. Errors are NAN. */
tks_status tks_field_spread_of_halves(const tks_field *first, const tks_field *second, int body,
                                      uint32_t groups, tks_field_spread *spread, tks_error *err);

#ifdef __cplusplus
}
#endif
#endif
