#include "tankside/plating.h"

#include <math.h>

double tks_faraday_charge(const tks_metal *metal, double efficiency, double thickness)
{
    double per_mole = metal->valence * TKS_FARADAY;
    return thickness * metal->density * per_mole / (metal->molar_mass * efficiency);
}

double tks_faraday_thickness(const tks_metal *metal, double efficiency, double charge)
{
    return charge / tks_faraday_charge(metal, efficiency, 1);
}

double tks_faraday_mass(const tks_metal *metal, double efficiency, double charge)
{
    return charge * efficiency * metal->molar_mass / (metal->valence * TKS_FARADAY);
}

double tks_faraday_efficiency(const tks_metal *metal, double charge, double mass)
{
    return mass / tks_faraday_mass(metal, 1, charge);
}

/* Written so that NaN is refused. */
static tks_status above_zero(double value, const char *what, const char *unit, tks_error *err)
{
    if (value > 0 && isfinite(value)) return TKS_OK;
    return tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "%s is %g %s; it must be above zero", what,
                    value, unit);
}

tks_status tks_set(const tks_bath *bath, double area, double effective, double density,
                   double thickness, tks_setting *setting, tks_error *err)
{
    double j = density == 0 ? bath->current_density.usual : density;
    tks_status status = tks_bath_check(bath, err);
    if (!status) status = above_zero(area, "area", "m^2", err);
    if (!status) status = above_zero(effective, "effective area", "m^2", err);
    if (!status) status = above_zero(j, "current density", "A/m^2", err);
    if (!status) status = above_zero(thickness, "thickness", "m", err);
    if (status) return status;
    /* Time at 100 % efficiency; the rest divides it. */
    double ideal = tks_faraday_charge(bath->metal, 1, thickness) / j;
    tks_setting s = {
        .area = area,
        .effective_area = effective,
        .density = j,
        .thickness = thickness,
        .current = j * effective,
        .current_low = bath->current_density.low * effective,
        .current_high = bath->current_density.high * effective,
        .time = ideal / bath->efficiency.usual,
        .time_low = ideal / bath->efficiency.high,
        .time_high = ideal / bath->efficiency.low,
    };
    s.charge = s.current * s.time;
    s.metal = tks_faraday_mass(bath->metal, bath->efficiency.usual, s.charge);
    if (!isfinite(s.charge) || s.time == 0)
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "area, density and thickness are too far apart to compute with");
    *setting = s;
    return TKS_OK;
}

tks_status tks_density_cautions(const tks_bath *bath, double density, const char *what,
                                tks_cautions *cautions)
{
    /* A/m^2 to A/dm^2, as platers speak. */
    double shown = density / 100;
    const tks_figure *window = &bath->current_density;
    if (density > window->high)
        return tks_caution_add(cautions, TKS_SPOIL, "density-high", what,
                               "%.3g A/dm2 is above what %s bears (%.3g A/dm2): a rough, granular "
                               "or burnt deposit, worst at edges and corners.",
                               shown, bath->name, window->high / 100);
    if (density < window->low)
        return tks_caution_add(cautions, TKS_SPOIL, "density-low", what,
                               "%.3g A/dm2 is below what %s wants (%.3g A/dm2): a dull deposit "
                               "that may not cover recesses, and a long time.",
                               shown, bath->name, window->low / 100);
    return TKS_OK;
}
