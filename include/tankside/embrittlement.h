/* Hydrogen embrittlement: which steels must be baked after plating, how soon, how hot and how long,
 * and which must not be plated by this method at all. room: plating
 *
 * Limits of this advice: it covers internal embrittlement by pickling and zinc plating of steel,
 * not by rusting in service; baking lowers the risk and never proves a part sound; strengths told
 * from hardness are good to about 5 %; a stamped class tells what a bolt was when new. Parts that
 * hold people up, or that steer or stop a vehicle, are for a plater who can test them. */
#ifndef TANKSIDE_EMBRITTLEMENT_H
#define TANKSIDE_EMBRITTLEMENT_H

#include "tankside/caution.h"
#include "tankside/status.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* What is known of a steel. strength and hardness are the greatest that the description allows. */
typedef struct tks_steel {
    const char *name; /* "10.9"; NULL when only a figure was given */
    double strength;  /* tensile [Pa] */
    double hardness;  /* Vickers; 0: not known */
    bool fastener;    /* a bolt or nut of a property class: ISO 4042 speaks of it */
    bool pressed;     /* never under tension in use, as a set screw */
    const char *source;
} tks_steel;

/* The i-th row of the table of steels, NULL past its end. */
const tks_steel *tks_steel_at(size_t i);

/* Reads a property class, a grade, a kind of steel, a hardness or a strength: `8.8`, `10.9`,
 * `45H`, `SAE 5`, `grade 8`, `mild steel`, `spring steel`, `40 HRC`, `320 HV`, `300 HB`,
 * `1100 MPa`, `150 ksi`. Errors: TKS_EUNKNOWN, with the nearest name. Memory: none. */
tks_status tks_steel_find(const char *text, size_t length, tks_place at, tks_steel *steel,
                          tks_error *err);

/* A steel of which only the tensile strength [Pa] is known. */
tks_steel tks_steel_of_strength(double strength);

/* Tensile strength [Pa] of unalloyed and low-alloy steel of this Vickers hardness (80 to 700; held
 * at the ends), and Vickers hardness of this Rockwell C (20 to 60). Straight between the rows of
 * ISO 18265 table A.1, from memory. */
double tks_strength_of_hardness(double vickers);
double tks_hardness_of_rockwell(double rockwell_c);

typedef enum tks_relief {
    TKS_RELIEF_NONE,    /* no bake is asked for */
    TKS_RELIEF_ADVISED, /* none is asked for where the process is verified; here it is not */
    TKS_RELIEF_NEEDED,  /* bake */
    TKS_RELIEF_REFUSED  /* do not electroplate with zinc */
} tks_relief;

typedef struct tks_embrittlement {
    tks_relief relief;
    bool relief_before;                       /* also heat before plating when it was ground,
                                                 machined or cold-worked after hardening */
    double start, start_latest;               /* of the bake, after plating [s] */
    double temperature_low, temperature_high; /* [K] */
    double time;                              /* at least [s] */
    const char *standard;                     /* where the verdict comes from */
} tks_embrittlement;

/* What to do with a steel.
 *   section  greatest thickness of the part's metal [m]; 0: not known, taken as over 25 mm
 * Verdict: property classes by their greatest hardness (ISO 4042:2018: to 360 HV none, to 390 HV
 * with a verified process none, above it bake); others from 1000 MPa up bake (ASTM B850, ISO 9588).
 * Above 1500 MPa, 440 HV or 45 HRC: refused (ISO text summarised in a trade article). Time: the
 * longer of ASTM B850-98 table 1 by strength and the older ISO rule by strength and section.
 * Temperature 190 to 220 C (B850). Start: within 1 h, 3 h at the latest (B850 and ISO 9588, from
 * memory; ASTM B633 says 4 h, from memory). Errors: TKS_EDOMAIN for a strength that is not above
 * zero and finite. */
tks_status tks_embrittlement_advise(const tks_steel *steel, double section,
                                    tks_embrittlement *advice, tks_error *err);

/* Adds the caution that goes with the advice: "hydrogen-bake", "hydrogen-check" or
 * "hydrogen-refused"; none for TKS_RELIEF_NONE. Returns TKS_OK or TKS_EMEMORY. */
tks_status tks_embrittlement_cautions(const tks_steel *steel, const tks_embrittlement *advice,
                                      const char *what, tks_cautions *cautions);

#ifdef __cplusplus
}
#endif
#endif
