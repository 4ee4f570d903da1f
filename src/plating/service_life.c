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

/* ISO 2081 and ASTM B633 (SC 1 to SC 4), from a secondary copy of B633. */
static const tks_zinc_class classes[] = {
    {5e-6, "Fe/Zn 5", "SC 1", "mild"},
    {8e-6, "Fe/Zn 8", "SC 2", "moderate"},
    {12e-6, "Fe/Zn 12", "SC 3", "severe"},
    {25e-6, "Fe/Zn 25", "SC 4", "very severe"},
};

enum { CLASSES = sizeof classes / sizeof *classes };

const tks_zinc_class *tks_zinc_class_at(size_t i)
{
    return i < CLASSES ? &classes[i] : NULL;
}

const tks_zinc_class *tks_zinc_class_of(double thickness)
{
    const tks_zinc_class *met = NULL;
    /* A hair under the class is rounding. */
    for (size_t i = 0; i < CLASSES && thickness >= classes[i].thickness * (1 - 1e-9); i++)
        met = &classes[i];
    return met;
}

void tks_service_life(const tks_corrosivity *where, double thickness, double *shortest,
                      double *longest)
{
    *shortest = thickness / where->high;
    *longest = where->low > 0 ? thickness / where->low : INFINITY;
}
