#include "tankside/dilution.h"

#include "base/names.h"
#include "base/show.h"

#include <math.h>
#include <stdbool.h>

#define WATER 998.2 /* kg/m^3 at 20 C */

/* Perry's Chemical Engineers' Handbook, densities of aqueous inorganic solutions at 20 C, from
 * memory. */
static const double hydrochloric_percent[] = {0,  2,  4,  6,  8,  10, 12, 14, 16, 18, 20,
                                              22, 24, 26, 28, 30, 32, 34, 36, 38, 40};
static const double hydrochloric_density[] = {
    WATER,  1008.2, 1018.1, 1027.9, 1037.6, 1047.4, 1057.4, 1067.5, 1077.6, 1087.8, 1098.0,
    1108.3, 1118.7, 1129.0, 1139.2, 1149.2, 1159.3, 1169.1, 1178.9, 1188.5, 1198.0};

static const double sulphuric_percent[] = {0,  5,  10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60,
                                           65, 70, 75, 80, 85, 90, 92, 94, 95, 96, 97, 98};
static const double sulphuric_density[] = {WATER,  1031.7, 1066.1, 1102.0, 1139.4, 1178.3, 1218.5,
                                           1259.9, 1302.8, 1347.6, 1395.1, 1445.3, 1498.3, 1553.3,
                                           1610.5, 1669.2, 1727.2, 1778.6, 1814.4, 1824.0, 1831.2,
                                           1833.7, 1835.5, 1836.4, 1836.1};

#define ROWS(name) name##_percent, name##_density, sizeof name##_percent / sizeof *name##_percent

_Static_assert(sizeof hydrochloric_percent == sizeof hydrochloric_density, "one density a row");
_Static_assert(sizeof sulphuric_percent == sizeof sulphuric_density, "one density a row");

static const char perry[] = "Perry's Chemical Engineers' Handbook, densities at 20 C, from memory";

static const tks_acid acids[] = {
    {"hydrochloric acid", 0.36, ROWS(hydrochloric), perry},
    {"sulphuric acid", 0.96, ROWS(sulphuric), perry},
};

enum { ACIDS = sizeof acids / sizeof *acids };

const tks_acid *tks_acid_at(size_t i)
{
    return i < ACIDS ? &acids[i] : NULL;
}

tks_status tks_acid_find(const char *name, size_t length, tks_place at, const tks_acid **acid,
                         tks_error *err)
{
    for (size_t i = 0; i < ACIDS; i++) {
        if (!base_name_is(name, length, acids[i].name)) continue;
        *acid = &acids[i];
        return TKS_OK;
    }
    return tks_fail(err, TKS_EUNKNOWN, at, "there is no acid '%s'; there are %s and %s",
                    base_shown_word(name, length).text, acids[0].name, acids[1].name);
}

tks_status tks_acid_density(const tks_acid *acid, double fraction, double *density, tks_error *err)
{
    double percent = 100 * fraction, last = acid->percent[acid->count - 1];
    if (!(percent >= 0 && percent <= last))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "%s of %g %% is not in the table; it goes from 0 to %g %%", acid->name,
                        percent, last);
    size_t i = 1;
    while (i + 1 < acid->count && acid->percent[i] < percent) i++;
    double from = acid->percent[i - 1], step = acid->percent[i] - from;
    double way = (percent - from) / step;
    *density = acid->density[i - 1] + way * (acid->density[i] - acid->density[i - 1]);
    return TKS_OK;
}

static bool above_zero(double x)
{
    return x > 0 && isfinite(x);
}

tks_status tks_dilute_to(const tks_acid *acid, double stock, double fraction, double volume,
                         tks_dilution *dilution, tks_error *err)
{
    double stock_density, density;
    if (!above_zero(volume) || !(fraction > 0 && fraction <= stock))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "%g L of %s of %g %% cannot be made from acid of %g %%", volume * 1e3,
                        acid->name, 100 * fraction, 100 * stock);
    tks_status status = tks_acid_density(acid, stock, &stock_density, err);
    if (!status) status = tks_acid_density(acid, fraction, &density, err);
    if (status) return status;
    double mass = volume * density, stock_mass = mass * fraction / stock;
    *dilution = (tks_dilution){.fraction = fraction,
                               .density = density,
                               .concentration = fraction * density,
                               .volume = volume,
                               .stock_volume = stock_mass / stock_density,
                               .stock_mass = stock_mass,
                               .water = mass - stock_mass};
    return TKS_OK;
}

tks_status tks_dilute_parts(const tks_acid *acid, double stock, double acid_parts,
                            double water_parts, double volume, tks_dilution *dilution,
                            tks_error *err)
{
    double density;
    tks_status status = tks_acid_density(acid, stock, &density, err);
    if (status) return status;
    if (!above_zero(acid_parts) || !(water_parts >= 0 && isfinite(water_parts)))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "%g parts of acid and %g of water cannot be mixed", acid_parts,
                        water_parts);
    double acid_mass = acid_parts * density, water_mass = water_parts * WATER;
    double fraction = stock * acid_mass / (acid_mass + water_mass);
    return tks_dilute_to(acid, stock, fraction, volume, dilution, err);
}
