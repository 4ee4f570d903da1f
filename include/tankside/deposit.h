/* How thick the deposit of a load will be, and where: from parts with places and a tank with anodes
 * to the field, and from the field to thickness. room: field */
#ifndef TANKSIDE_DEPOSIT_H
#define TANKSIDE_DEPOSIT_H

#include "tankside/field.h"
#include "tankside/plan.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct tks_deposit_options {
    tks_field_options field;
    double current; /* through the parts [A]; 0: as planned */
    double time;    /* [s]; 0: as planned */
    bool linear;    /* polarisation by its slope at the planned density, in place of Tafel's law */
    bool advise;    /* try what might spread the deposit better */
    bool as_asked;  /* time: until the field gives the thickness asked */
} tks_deposit_options;

/* Which surfaces a row is of, beside single labels: all; or those whose thickness is asked for, the
 * outside, ends and threads. */
enum { TKS_DEPOSIT_ALL = -1, TKS_DEPOSIT_SIGNIFICANT = -2 };

/* Thickness [m] over a part, or all parts. */
typedef struct tks_deposit_row {
    const char *name;     /* of the part; with a number where parts share a name */
    const tks_part *part; /* NULL: all parts */
    int body;             /* index among the parts; TKS_FIELD_ALL: all parts */
    int label;            /* a tks_label, or one of the above */
    double area;          /* wetted [m^2] */
    tks_estimate mean, minimum, maximum, low5, high95;
    tks_vec3 thinnest, thickest; /* where, in the tank [m] */
    double burning;              /* part of the area over the bath's highest density */
} tks_deposit_row;

/* Something that could be done, and what it gives over the significant surfaces of all parts. */
typedef struct tks_deposit_advice {
    const char *what;    /* "turn each part half way" */
    const char *problem; /* why it cannot be done; NULL: it can */
    double evenness;     /* thinnest spot over mean: 1 is even */
    double range;        /* thickness that 95 % of the area stay below over that of 5 % */
    double mean;         /* [m] */
    double voltage;      /* [V] */
} tks_deposit_advice;

typedef struct tks_deposit {
    const tks_load *load;
    const tks_tank *tank;
    tks_plan plan;
    tks_field *field; /* solved; freed by tks_deposit_free */
    tks_field_summary summary;
    tks_polarisation law; /* of the parts */
    double current, time; /* through the parts [A]; [s] */
    double time_asked;    /* until the asked thickness is met by the field: in the mean, or at the
                             thinnest spot [s] */
    tks_deposit_row all, significant; /* over all parts */
    tks_deposit_row *rows; /* each part; then, where it has several kinds of surface, what is
                              significant of it, and each kind */
    size_t row_count;
    tks_deposit_advice *advice; /* best first; as it hangs is among them */
    size_t advice_count;
} tks_deposit;

/* Computes the deposit. All of it but the field lives in the arena; load and tank are borrowed.
 * Errors, naming the part: TKS_EMISSING (no place, no tank size, no anodes), TKS_EGEOMETRY (pieces
 * without places, several parts at one place, and what tks_field_new says), and those of the plan
 * and of the field. */
tks_status tks_deposit_make(tks_arena *arena, const tks_load *load, const tks_tank *tank,
                            const tks_deposit_options *options, tks_cautions *cautions,
                            tks_deposit *deposit, tks_error *err);

/* Frees the field; the rest goes with the arena. */
void tks_deposit_free(tks_deposit *deposit);

/* Takes a plan's thicknesses, time and voltage from the field. That needs one run in which all
 * parts hang at their places, and a tank with its size and anodes; without them, and where the
 * field cannot be computed, the plan stays by the law of penetration. A caution says why,
 * "places-unused", when at least one part has a place. Arena, load and tank as for
 * tks_deposit_make. Errors: TKS_EMEMORY, and those of tks_supply_set. */
tks_status tks_plan_by_field(tks_arena *arena, const tks_field_options *options,
                             tks_cautions *cautions, tks_plan *plan, tks_error *err);

/* Thickness [m] on an element. */
double tks_deposit_thickness(const tks_deposit *deposit, const tks_field_element *element);

#ifdef __cplusplus
}
#endif
#endif
