/* The supply: what to set on it for a current, and whether it can. room: plating */
#ifndef TANKSIDE_SUPPLY_H
#define TANKSIDE_SUPPLY_H

#include "tankside/caution.h"
#include "tankside/effective.h"
#include "tankside/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* A bench supply has limits and steps; a battery or charger is a voltage behind a rheostat. */
typedef enum tks_supply_kind { TKS_BENCH, TKS_BATTERY } tks_supply_kind;

typedef enum tks_supply_mode { TKS_CONSTANT_CURRENT, TKS_CONSTANT_VOLTAGE } tks_supply_mode;

/* 0 stands for "not known" or "none" in every figure. */
typedef struct tks_supply {
    tks_supply_kind kind;
    tks_supply_mode mode;       /* of a bench supply */
    double max_current;         /* rated [A] */
    double voltage;             /* bench: highest; battery, charger: under load [V] */
    double current_step;        /* finest setting [A] */
    double voltage_step;        /* [V] */
    double internal_resistance; /* of battery and leads [ohm] */
    double rheostat_resistance; /* whole winding [ohm] */
    double rheostat_power;      /* rating of the whole winding [W] */
    double ammeter_range;       /* full scale [A] */
    double ammeter_resolution;  /* smallest difference that can be read [A] */
    double margin;              /* share of max_current that is used; 0 stands for 0.9 */
} tks_supply;

/* Checks the figures: none negative or not finite, a margin of at most 1, a battery with a voltage.
 * Errors: TKS_EDOMAIN, naming the figure. */
tks_status tks_supply_check(const tks_supply *supply, tks_error *err);

/* The rheostat's own limit sqrt(P / R) [A]: any stretch of the winding bears no more current than
 * the whole does. INFINITY without a rheostat. By hand: 100 ohm, 100 W bears 1 A. */
double tks_rheostat_limit(const tks_supply *supply);

/* The highest current [A] that the supply gives all day, before the tank's own voltage is looked
 * at: rating times margin, and the rheostat's limit. INFINITY when nothing is known. */
double tks_supply_limit(const tks_supply *supply);

typedef enum tks_verdict {
    TKS_CAN,               /* it can be set */
    TKS_OVER_RATING,       /* more current than the supply gives */
    TKS_OVER_VOLTAGE,      /* the tank wants more voltage than there is */
    TKS_OVER_RHEOSTAT,     /* the rheostat would burn */
    TKS_RHEOSTAT_TOO_SMALL /* all of its winding still lets more current through */
} tks_verdict;

typedef struct tks_supply_setting {
    tks_verdict verdict;
    double wanted;         /* [A] */
    double current;        /* as it can be set: rounded to the step [A] */
    tks_spread tank;       /* voltage over the tank [V] */
    double voltage;        /* to set; in constant current the limit to set, above what the tank
                              wants; of a battery: its own [V] */
    double resistance;     /* to set on the rheostat [ohm]; 0 without */
    double dissipation;    /* in the rheostat [W] */
    double rheostat_limit; /* [A] */
} tks_supply_setting;

/* What to set for a current.
 *   current  [A], > 0
 *   tank     voltage over the tank at that current [V]
 * Battery: R = (V - tank) / I - internal; dissipation I^2 R. Errors: TKS_EDOMAIN (figures or
 * current out of range); what the supply cannot do is told by the verdict, not as an error. */
tks_status tks_supply_set(const tks_supply *supply, double current, tks_spread tank,
                          tks_supply_setting *setting, tks_error *err);

/* Adds the cautions of a setting: "supply-current", "supply-voltage", "rheostat-overload"
 * (injury: it gets hot enough to burn), "rheostat-small", "rheostat-hot", "supply-step",
 * "ammeter-range", "ammeter-coarse". what: the run. */
tks_status tks_supply_cautions(const tks_supply *supply, const tks_supply_setting *setting,
                               const char *what, tks_cautions *cautions);

#ifdef __cplusplus
}
#endif
#endif
