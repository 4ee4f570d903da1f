#include "tankside/plating.h"

#include "base/names.h"
#include "base/show.h"

#include <math.h>
#include <string.h>

/* Atomic weights: IUPAC 2007 (zinc), conventional IUPAC values from memory (nickel, copper).
 * Densities: handbook table of electrochemical equivalents (zinc 7.14, nickel 8.9, copper 8.96). */
static const tks_metal metals[] = {
    {"zinc", 65.38e-3, 2, 7140, "IUPAC 2007; density: handbook table of equivalents"},
    {"nickel", 58.6934e-3, 2, 8900, "IUPAC, from memory; density: handbook table of equivalents"},
    {"copper", 63.546e-3, 2, 8960, "IUPAC, from memory; density: handbook table of equivalents"},
};

enum { ZINC, NICKEL, COPPER };

/* Celsius in the rows, kelvin in the bath. */
#define CELSIUS(low, usual, high) (low) + 273.15, (usual) + 273.15, (high) + 273.15

/* The slope of the polarisation curve is derived, since no measured one was found for a working
 * bath: in the Tafel range of a one-electron step with transfer coefficient 1/2 at 25 C the
 * overvoltage grows by RT/(0.5 F) = 51.4 mV per e-fold of the density (118 mV per decade; Bard and
 * Faulkner, Electrochemical Methods, ch. 3), so its slope at density j is 0.0514 V / j. usual: at
 * the bath's usual density; low: half of that (a faster step, an additive-free bath); high: at the
 * low end of the window or with a strong suppressor, three times. */
#define TAFEL(density) 0.5 * 0.0514 / (density), 0.0514 / (density), 3 * 0.0514 / (density)

static const char tafel_source[] =
    "derived: Tafel slope 118 mV per decade at the usual density; not measured";

static const tks_bath baths[] = {
    {
        "chloride zinc",
        &metals[ZINC],
        {0.95, 0.96, 0.97, "Metal Finishing Guidebook 2013, zinc plating, Table IV"},
        {50, 155, 400, "window: from memory; usual 0.1 A/in^2: common practice, no source"},
        {15, 20, 25, "from memory; 2 molal KCl alone gives about 19 S/m at 20 C"},
        {TAFEL(155), tafel_source},
        {CELSIUS(15, 25, 55), "Metal Finishing Guidebook 2012, zinc plating, Table II"},
        {1, 3, 6, "rack work, from memory"},
        {1, 1.5, 2, "common practice, no source"},
        {500, 750, 1000, "common practice, no source"},
    },
    {
        "alkaline zinc",
        &metals[ZINC],
        {0.70, 0.80, 0.95, "Metal Finishing Guidebook 2013, zinc plating, Table IV"},
        {130, 200, 430,
         "Metals 12 (2022) 621, doi 10.3390/met12040621; usual: common practice, no source"},
        {20, 28, 35, "from memory; 15 % NaOH alone gives 34.6 S/m at 18 C"},
        {TAFEL(200), tafel_source},
        {CELSIUS(15, 27, 48), "Metal Finishing Guidebook 2012, zinc plating, Table II"},
        {2, 4, 6, "from memory"},
        {1, 1, 1.5, "about 1 to 1, most of it plain steel: handbook, seen in extract"},
        {500, 750, 1000, "common practice, no source"},
    },
    {
        "Watts nickel",
        &metals[NICKEL],
        {0.93, 0.94, 0.95, "handbook table of nickel deposits, seen in extract"},
        {200, 400, 700, "Nickel Institute, Nickel Plating Handbook 2014, from memory"},
        {6, 7.5, 9, "from memory"},
        {TAFEL(400), tafel_source},
        {CELSIUS(40, 50, 60), "Nickel Institute, Nickel Plating Handbook 2014, from memory"},
        {2, 5, 10, "from memory"},
        {1, 1.5, 2, "common practice, no source"},
        {500, 1000, 2000, "common practice, no source"},
    },
    {
        "acid copper",
        &metals[COPPER],
        {0.95, 0.98, 1.0, "from memory"},
        {200, 300, 500, "from memory"},
        {15, 30, 50, "from memory; 15 % CuSO4 without acid gives 4.2 S/m at 20 C (CRC)"},
        {TAFEL(300), tafel_source},
        {CELSIUS(20, 25, 30), "from memory"},
        {0.5, 2, 6, "from memory"},
        {1, 1.5, 2, "from memory"},
        {500, 1000, 2000, "common practice, no source"},
    },
};

enum { BATH_COUNT = sizeof baths / sizeof *baths };

const tks_bath *tks_bath_default(void)
{
    return &baths[0];
}

const tks_bath *tks_bath_at(size_t i)
{
    return i < BATH_COUNT ? &baths[i] : NULL;
}

static const char *bath_name(const void *context, size_t i)
{
    (void)context;
    return baths[i].name;
}

tks_status tks_bath_find(const char *name, size_t length, tks_place at, const tks_bath **bath,
                         tks_error *err)
{
    for (size_t i = 0; i < BATH_COUNT; i++) {
        if (!base_name_is(name, length, baths[i].name)) continue;
        *bath = &baths[i];
        return TKS_OK;
    }
    base_word word = base_shown_word(name, length);
    const char *nearest = base_name_nearest(name, length, BATH_COUNT, bath_name, NULL);
    if (nearest)
        return tks_fail(err, TKS_EUNKNOWN, at, "there is no bath '%s'; did you mean '%s'?",
                        word.text, nearest);
    return tks_fail(err, TKS_EUNKNOWN, at, "there is no bath '%s'; there are %s, %s, %s and %s",
                    word.text, baths[0].name, baths[1].name, baths[2].name, baths[3].name);
}

typedef struct named_figure {
    const char *name;
    const tks_figure *figure;
    double most;
} named_figure;

static tks_status check_figure(const tks_bath *bath, named_figure row, tks_error *err)
{
    const tks_figure *f = row.figure;
    bool above_zero = f->low > 0 && isfinite(f->high);
    bool ordered = f->low <= f->usual && f->usual <= f->high;
    if (above_zero && ordered && f->high <= row.most) return TKS_OK;
    if (above_zero && !ordered)
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "%s: %s runs from %g to %g, and its usual value %g is not between",
                        bath->name, row.name, f->low, f->high, f->usual);
    double wrong = f->high > row.most ? f->high : f->low;
    if (isfinite(row.most))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "%s: %s is %g; it must be above zero and at most %g", bath->name, row.name,
                        wrong, row.most);
    return tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "%s: %s is %g; it must be above zero",
                    bath->name, row.name, wrong);
}

tks_status tks_bath_check(const tks_bath *bath, tks_error *err)
{
    const named_figure rows[] = {
        {"efficiency", &bath->efficiency, 1},
        {"current density", &bath->current_density, INFINITY},
        {"conductivity", &bath->conductivity, INFINITY},
        {"polarisation", &bath->polarisation, INFINITY},
        {"temperature", &bath->temperature, INFINITY},
        {"voltage", &bath->voltage, INFINITY},
        {"anode ratio", &bath->anode_ratio, INFINITY},
        {"loading", &bath->loading, INFINITY},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tks_status status = check_figure(bath, rows[i], err);
        if (status) return status;
    }
    return TKS_OK;
}

tks_figure tks_bath_slope(const tks_bath *bath, double density)
{
    const tks_figure *f = &bath->polarisation;
    double scale = bath->current_density.usual / density;
    return (tks_figure){f->low * scale, f->usual * scale, f->high * scale, f->source};
}
