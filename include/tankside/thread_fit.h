/* Whether a plated thread still goes together: what a deposit does to the pitch diameter, against
 * the clearance that the tolerance classes leave. All lengths [m]. room: plating
 *
 * A deposit of thickness t on both flanks of a thread of half angle a moves each flank outward by
 * t / sin(a) along the radius, so the pitch diameter grows by 2 t / sin(a): 4 t at 60 deg, 4.33 t
 * at 55 deg, 4.97 t at 47.5 deg. The crest grows by 2 t only, so the flanks bind first. */
#ifndef TANKSIDE_THREAD_FIT_H
#define TANKSIDE_THREAD_FIT_H

#include "tankside/caution.h"
#include "tankside/thread.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Growth of the pitch diameter per thickness of deposit on the flanks. */
double tks_thread_growth(tks_thread_form form);

/* The clearance in pitch diameter between an unplated bolt and its unplated nut. */
typedef struct tks_thread_fit {
    double growth;         /* of the pitch diameter per thickness */
    double allowance;      /* between the largest bolt and the smallest nut allowed */
    double bolt_tolerance; /* by which a bolt may be smaller yet */
    double nut_tolerance;  /* by which a nut may be larger yet */
    const char *bolt_class, *nut_class;
    const char *source;
} tks_thread_fit;

/* Works out the fit.
 *   thread      form, diameter and pitch are read
 *   bolt_class  metric: e, f, g or h with grade 3 to 9 ("6g"); unified: 1A, 2A, 3A; NULL or "": the
 *               usual one (6g, 2A). Whitworth and BA know the usual one only. Kept in the result.
 *   nut_class   metric: G or H with grade 4 to 8 ("6H"); unified: 1B, 2B, 3B; NULL or "": 6H, 2B
 * Capitals do not matter. A bolt class of two parts ("5g6g") counts by its first, the pitch
 * diameter's. Errors: TKS_EUNKNOWN (a class that the form does not have), TKS_EGEOMETRY.
 * Accuracy: formulas of ISO 965-1 and ASME B1.1, which agree with the standards' rounded tables
 * within 5 % (tolerances) and 2 um (allowances). BS 84 and BS 93 from memory. */
tks_status tks_thread_fit_of(const tks_thread *thread, const char *bolt_class,
                             const char *nut_class, tks_thread_fit *fit, tks_error *err);

/* The greatest deposit on the bolt's flanks with which every bolt of the class enters every nut of
 * its class; nut_share: the nut's deposit over the bolt's (0: nut left bare or masked, 1: plated
 * alike). */
double tks_thread_fit_sure(const tks_thread_fit *fit, double nut_share);

/* The same for a bolt and a nut in the middle of their tolerances: about as often yes as no. */
double tks_thread_fit_likely(const tks_thread_fit *fit, double nut_share);

typedef enum tks_fit_verdict {
    TKS_FIT_SURE,   /* every bolt enters every nut */
    TKS_FIT_LIKELY, /* one in the middle of its tolerance does */
    TKS_FIT_SELDOM, /* only a small bolt in a large nut does */
    TKS_FIT_NEVER   /* none within the tolerances does */
} tks_fit_verdict;

/* Judges deposits on the flanks of bolt and nut (each at its thickest). */
tks_fit_verdict tks_thread_fit_judge(const tks_thread_fit *fit, double bolt_deposit,
                                     double nut_deposit);

/* How many times its mean the deposit may reach locally on a bolt of this length, when nothing
 * better is known: 1 up to 5 diameters, 1.25 up to 10, 1.5 above. Source: ISO 4042:1999 table 2
 * (secondary copy), whose deviations for batch means grow so; above 15 diameters it gives none, and
 * 1.5 is kept. */
double tks_thread_unevenness(double length, double diameter);

/* Adds a caution "thread-tight" when a bolt with deposits of low to high on its flanks is not sure
 * to enter its nut: the growth, the greatest deposit that is sure, and what to do. name: of the
 * thread, e.g. "M8x1.25". Returns TKS_OK or TKS_EMEMORY. */
tks_status tks_thread_fit_cautions(const tks_thread_fit *fit, const char *name, double low,
                                   double high, double nut_share, const char *what,
                                   tks_cautions *cautions);

#ifdef __cplusplus
}
#endif
#endif
