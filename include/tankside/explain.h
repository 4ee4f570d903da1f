/* What a bad deposit tells: likely causes, weighed by the load as planned. room: plating */
#ifndef TANKSIDE_EXPLAIN_H
#define TANKSIDE_EXPLAIN_H

#include "tankside/plan.h"

#ifdef __cplusplus
extern "C" {
#endif

/* What is known of a load, as ratios; NAN where it is not known. */
typedef struct tks_facts {
    double density;    /* on open faces, over the high end of the bath's window */
    double slowness;   /* the low end of the window, over the density */
    double inside;     /* thinnest wetted place over open faces: 1 where all is open */
    double anodes;     /* anode area wanted at the least, over what there is */
    double loading;    /* amperes per volume, over what the bath usually bears */
    double crowding;   /* rack taken, over the rack's length */
    double time;       /* in the tank, over two hours */
    double hard_steel; /* 1 when a part's steel is harmed by hydrogen, else 0 */
} tks_facts;

/* Nothing known. */
tks_facts tks_facts_none(void);

/* Of the heaviest run of a plan. */
tks_facts tks_facts_of(const tks_plan *plan);

/* A likely cause. Pointers are to constant texts. */
typedef struct tks_cause {
    const char *cause; /* "the current density is too high" */
    const char *check; /* what to look at first */
    const char *cure;
    int weight;     /* the higher the likelier */
    bool in_load;   /* the load as planned shows it */
    double reason;  /* the ratio that shows it; NAN when in_load is false */
    char shown[80]; /* the same in words, "the density is 150 % of the most the bath bears"; "" */
} tks_cause;

enum { TKS_MOST_CAUSES = 12 };

/* The i-th symptom's name, NULL past the end: "rough", "bare patches", "peeling", "dark and soft",
 * "dull", "uneven". */
const char *tks_symptom_at(size_t i);

/* Causes of a symptom, likeliest first: those that the load shows come up, those that it rules out
 * go down.
 *   causes  out: TKS_MOST_CAUSES of room; *count of them are written
 * Errors: TKS_EUNKNOWN, with the nearest symptom or all of them. Memory: none. */
tks_status tks_explain(const char *symptom, size_t length, const tks_facts *facts,
                       tks_cause *causes, size_t *count, tks_error *err);

#ifdef __cplusplus
}
#endif
#endif
