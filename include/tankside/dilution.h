/* Letting acids down: by mass, by volume, to a strength. room: plating */
#ifndef TANKSIDE_DILUTION_H
#define TANKSIDE_DILUTION_H

#include "tankside/status.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef struct tks_acid {
    const char *name;      /* "hydrochloric acid" */
    double stock;          /* usual mass fraction as sold, 0..1 */
    const double *percent; /* rows of the density table at 20 C: mass per cent ... */
    const double *density; /* ... and kg/m^3 */
    size_t count;
    const char *source;
} tks_acid;

/* The i-th acid, NULL past the end; and the one of this name. Errors: TKS_EUNKNOWN. */
const tks_acid *tks_acid_at(size_t i);
tks_status tks_acid_find(const char *name, size_t length, tks_place at, const tks_acid **acid,
                         tks_error *err);

/* Density [kg/m^3] at 20 C of a mass fraction 0..the table's last row; straight between rows, which
 * is within 0.5 kg/m^3. Errors: TKS_EDOMAIN. */
tks_status tks_acid_density(const tks_acid *acid, double fraction, double *density, tks_error *err);

/* A dilution. Volumes do not quite add up, so masses lead. */
typedef struct tks_dilution {
    double fraction;                 /* mass fraction of the mixture */
    double density;                  /* of it [kg/m^3] */
    double concentration;            /* pure acid per volume of it [kg/m^3]; 1 kg/m^3 is 1 g/L */
    double volume;                   /* of the mixture [m^3] */
    double stock_volume, stock_mass; /* of the acid as sold [m^3], [kg] */
    double water;                    /* mass [kg]; its volume in litres is within 0.2 % the same */
} tks_dilution;

/* Parts of acid and of water by volume (1 and 1 for "one to one"), for a volume [m^3] of mixture.
 * stock: mass fraction of the acid as sold. Errors: TKS_EDOMAIN. */
tks_status tks_dilute_parts(const tks_acid *acid, double stock, double acid_parts,
                            double water_parts, double volume, tks_dilution *dilution,
                            tks_error *err);

/* To a mass fraction, 0 < fraction <= stock. */
tks_status tks_dilute_to(const tks_acid *acid, double stock, double fraction, double volume,
                         tks_dilution *dilution, tks_error *err);

#ifdef __cplusplus
}
#endif
#endif
