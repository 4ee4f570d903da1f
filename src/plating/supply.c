#include "tankside/supply.h"

#include <math.h>

/* Share of the rated current that is used when the user gives none: what a supply stands for hours
 * in a warm shed. Common practice, no source. */
#define USUAL_MARGIN 0.9

/* In constant current the voltage limit is set this much above the highest estimate, so that the
 * supply keeps to the current while a bad contact still trips the limit. Common practice. */
#define HEADROOM 1.5

/* A reading or step coarser than this share of the current is told. */
#define COARSE 0.05

typedef struct limited {
    const char *name;
    double value, most;
} limited;

static tks_status check_figure(limited row, tks_error *err)
{
    if (row.value >= 0 && row.value <= row.most && isfinite(row.value)) return TKS_OK;
    if (isfinite(row.most))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "the supply's %s is %g; it must be between 0 and %g", row.name, row.value,
                        row.most);
    return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                    "the supply's %s is %g; it must not be negative", row.name, row.value);
}

tks_status tks_supply_check(const tks_supply *supply, tks_error *err)
{
    const limited rows[] = {
        {"current", supply->max_current, INFINITY},
        {"voltage", supply->voltage, INFINITY},
        {"current step", supply->current_step, INFINITY},
        {"voltage step", supply->voltage_step, INFINITY},
        {"internal resistance", supply->internal_resistance, INFINITY},
        {"rheostat resistance", supply->rheostat_resistance, INFINITY},
        {"rheostat power", supply->rheostat_power, INFINITY},
        {"ammeter range", supply->ammeter_range, INFINITY},
        {"ammeter resolution", supply->ammeter_resolution, INFINITY},
        {"margin", supply->margin, 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tks_status status = check_figure(rows[i], err);
        if (status) return status;
    }
    if (supply->kind == TKS_BATTERY && supply->voltage == 0)
        return tks_fail(err, TKS_EMISSING, tks_nowhere(),
                        "a battery or charger wants its voltage, e.g. 12 V");
    return TKS_OK;
}

double tks_rheostat_limit(const tks_supply *supply)
{
    bool rated = supply->rheostat_resistance > 0 && supply->rheostat_power > 0;
    return rated ? sqrt(supply->rheostat_power / supply->rheostat_resistance) : INFINITY;
}

double tks_supply_limit(const tks_supply *supply)
{
    double margin = supply->margin > 0 ? supply->margin : USUAL_MARGIN;
    double rated = supply->max_current > 0 ? supply->max_current * margin : INFINITY;
    return fmin(rated, tks_rheostat_limit(supply));
}

static double rounded(double value, double step)
{
    if (!(step > 0)) return value;
    double steps = fmax(1, floor(value / step + 0.5));
    return steps * step;
}

static double rounded_up(double value, double step)
{
    return step > 0 ? ceil(value / step - 1e-9) * step : value;
}

static void set_bench(const tks_supply *supply, tks_supply_setting *s)
{
    bool by_current = supply->mode == TKS_CONSTANT_CURRENT;
    double limit = supply->voltage > 0 ? supply->voltage : INFINITY;
    if (by_current) s->current = rounded(s->wanted, supply->current_step);
    double wish = by_current ? rounded_up(HEADROOM * s->tank.high, supply->voltage_step)
                             : rounded(s->tank.usual, supply->voltage_step);
    s->voltage = fmin(wish, limit);
    if (supply->max_current > 0 && s->wanted > supply->max_current)
        s->verdict = TKS_OVER_RATING;
    else if (s->tank.usual > limit)
        s->verdict = TKS_OVER_VOLTAGE;
}

static void set_battery(const tks_supply *supply, tks_supply_setting *s)
{
    s->voltage = supply->voltage;
    double whole = (supply->voltage - s->tank.usual) / s->wanted;
    s->resistance = whole - supply->internal_resistance;
    if (s->resistance < 0) {
        s->resistance = 0;
        s->verdict = TKS_OVER_VOLTAGE;
        return;
    }
    s->dissipation = s->wanted * s->wanted * s->resistance;
    if (supply->max_current > 0 && s->wanted > supply->max_current)
        s->verdict = TKS_OVER_RATING;
    else if (s->wanted > s->rheostat_limit)
        s->verdict = TKS_OVER_RHEOSTAT;
    else if (s->resistance > supply->rheostat_resistance)
        s->verdict = TKS_RHEOSTAT_TOO_SMALL;
}

tks_status tks_supply_set(const tks_supply *supply, double current, tks_spread tank,
                          tks_supply_setting *setting, tks_error *err)
{
    tks_status status = tks_supply_check(supply, err);
    if (status) return status;
    bool tank_is_right = tank.low >= 0 && tank.low <= tank.usual && tank.usual <= tank.high;
    if (!(current > 0 && isfinite(current)) || !tank_is_right || !isfinite(tank.high))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "no supply can be set to %g A at %g V over the tank", current, tank.usual);
    tks_supply_setting s = {.wanted = current, .current = current, .tank = tank};
    s.rheostat_limit = tks_rheostat_limit(supply);
    if (supply->kind == TKS_BENCH)
        set_bench(supply, &s);
    else
        set_battery(supply, &s);
    *setting = s;
    return TKS_OK;
}

static tks_status verdict_caution(const tks_supply *supply, const tks_supply_setting *s,
                                  const char *what, tks_cautions *list)
{
    switch (s->verdict) {
    case TKS_CAN: return TKS_OK;
    case TKS_OVER_RATING:
        return tks_caution_add(
            list, TKS_SPOIL, "supply-current", what,
            "%.3g A is wanted, and the supply gives %.3g A: hang less at a time.", s->wanted,
            supply->max_current);
    case TKS_OVER_VOLTAGE:
        return tks_caution_add(list, TKS_SPOIL, "supply-voltage", what,
                               "%.3g A wants about %.2g V over the tank, and %.3g V are there: the "
                               "current will not come up. Bring anodes nearer, add anode area or "
                               "warm the bath.",
                               s->wanted, s->tank.usual, supply->voltage);
    case TKS_OVER_RHEOSTAT:
        return tks_caution_add(list, TKS_INJURY, "rheostat-overload", what,
                               "%.3g A through a rheostat that bears %.3g A, which is sqrt(%g W / "
                               "%g ohm): it glows and burns. Use one of less resistance or more "
                               "watts.",
                               s->wanted, s->rheostat_limit, supply->rheostat_power,
                               supply->rheostat_resistance);
    case TKS_RHEOSTAT_TOO_SMALL:
        return tks_caution_add(list, TKS_SPOIL, "rheostat-small", what,
                               "%.3g ohm are needed to bring %.3g V down to %.3g A, and the "
                               "rheostat has %.3g ohm: the current will be too high.",
                               s->resistance, supply->voltage, s->wanted,
                               supply->rheostat_resistance);
    }
    return TKS_OK;
}

/* Above this a winding is too hot to touch. Common practice, no source. */
#define HOT_WATTS 10

static tks_status rheostat_caution(const tks_supply_setting *s, const char *what,
                                   tks_cautions *list)
{
    if (s->verdict != TKS_CAN || s->dissipation < HOT_WATTS) return TKS_OK;
    return tks_caution_add(list, TKS_INJURY, "rheostat-hot", what,
                           "The rheostat turns %.3g W into heat: too hot to touch. Stand it on "
                           "brick or tile, away from bath fumes and anything that burns.",
                           s->dissipation);
}

static tks_status step_caution(const tks_supply_setting *s, const char *what, tks_cautions *list)
{
    if (fabs(s->current - s->wanted) <= COARSE * s->wanted) return TKS_OK;
    return tks_caution_add(list, TKS_DOUBT, "supply-step", what,
                           "The supply's step allows %.3g A for %.3g A wanted: correct the time by "
                           "what the ammeter shows.",
                           s->current, s->wanted);
}

static tks_status ammeter_caution(const tks_supply *supply, const tks_supply_setting *s,
                                  const char *what, tks_cautions *list)
{
    if (supply->ammeter_range > 0 && s->wanted > supply->ammeter_range)
        return tks_caution_add(list, TKS_SPOIL, "ammeter-range", what,
                               "The ammeter ends at %.3g A, and %.3g A are to flow.",
                               supply->ammeter_range, s->wanted);
    /* The eye is right to half a division. */
    double doubt = supply->ammeter_resolution / 2 / s->wanted;
    if (doubt <= COARSE) return TKS_OK;
    return tks_caution_add(list, TKS_DOUBT, "ammeter-coarse", what,
                           "The ammeter is read to %.2g A, so %.3g A, and the thickness with it, "
                           "are known to %.0f %%.",
                           supply->ammeter_resolution, s->wanted, 100 * doubt);
}

tks_status tks_supply_cautions(const tks_supply *supply, const tks_supply_setting *setting,
                               const char *what, tks_cautions *cautions)
{
    tks_status status = verdict_caution(supply, setting, what, cautions);
    if (!status) status = rheostat_caution(setting, what, cautions);
    if (!status) status = step_caution(setting, what, cautions);
    if (!status) status = ammeter_caution(supply, setting, what, cautions);
    return status;
}
