#include "tankside/process.h"

#include <math.h>

/* A year of 365.25 days; a micron a year in m/s. */
#define YEAR          31557600.0
#define MICRON_A_YEAR (1e-6 / YEAR)

static const tks_corrosivity categories[] = {
    {"C1", "heated, clean rooms", 0, 0.1 * MICRON_A_YEAR},
    {"C2", "unheated sheds, dry country air", 0.1 * MICRON_A_YEAR, 0.7 * MICRON_A_YEAR},
    {"C3", "towns, coasts with little salt, damp workshops", 0.7 * MICRON_A_YEAR,
     2.1 * MICRON_A_YEAR},
    {"C4", "industry, coasts, swimming baths", 2.1 * MICRON_A_YEAR, 4.2 * MICRON_A_YEAR},
    {"C5", "heavy industry, salty coasts", 4.2 * MICRON_A_YEAR, 8.4 * MICRON_A_YEAR},
    {"CX", "at sea, hot and humid industry", 8.4 * MICRON_A_YEAR, 25 * MICRON_A_YEAR},
};

const tks_corrosivity *tks_corrosivity_at(size_t i)
{
    return i < sizeof categories / sizeof *categories ? &categories[i] : NULL;
}

void tks_service_life(const tks_corrosivity *where, double thickness, double *shortest,
                      double *longest)
{
    *shortest = thickness / where->high;
    *longest = where->low > 0 ? thickness / where->low : INFINITY;
}
