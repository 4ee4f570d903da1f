/* Quantities as a person reads them. */
#include "quantity/quantity.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { USUAL_DIGITS = 3, MOST_DIGITS = 17, BOTH = 2 };

/* The units that values are printed in. Within a kind and system the largest stands first; a unit
 * is used from `least` of itself upwards, the last one for all that is smaller. usual marks the one
 * that zero is written in, and that messages propose. Units are spelled so that they read back. */
static const struct print_unit {
    tks_kind kind;
    int system; /* a tks_system, or BOTH */
    const char *unit;
    double least;
    bool usual;
} units[] = {
    {TKS_LENGTH, TKS_METRIC, "m", 1, false},
    {TKS_LENGTH, TKS_METRIC, "mm", 0.1, true},
    {TKS_LENGTH, TKS_METRIC, "um", 0, false},
    {TKS_LENGTH, TKS_INCH, "in", 0.01, true},
    {TKS_LENGTH, TKS_INCH, "thou", 0, false},
    {TKS_AREA, TKS_METRIC, "m2", 1, false},
    {TKS_AREA, TKS_METRIC, "cm2", 0.01, true},
    {TKS_AREA, TKS_METRIC, "mm2", 0, false},
    {TKS_AREA, TKS_INCH, "ft2", 10, false},
    {TKS_AREA, TKS_INCH, "in2", 0, true},
    {TKS_VOLUME, TKS_METRIC, "m3", 10, false},
    {TKS_VOLUME, TKS_METRIC, "L", 1, true},
    {TKS_VOLUME, TKS_METRIC, "mL", 0.1, false},
    {TKS_VOLUME, TKS_METRIC, "mm3", 0, false},
    {TKS_VOLUME, TKS_INCH, "gal", 0.5, true},
    {TKS_VOLUME, TKS_INCH, "in3", 0, false},
    {TKS_MASS, TKS_METRIC, "kg", 1, false},
    {TKS_MASS, TKS_METRIC, "g", 0.1, true},
    {TKS_MASS, TKS_METRIC, "mg", 0, false},
    {TKS_MASS, TKS_INCH, "lb", 1, false},
    {TKS_MASS, TKS_INCH, "oz", 0, true},
    {TKS_TIME, BOTH, "min", 0, true},
    {TKS_CURRENT, BOTH, "A", 0.1, true},
    {TKS_CURRENT, BOTH, "mA", 0.1, false},
    {TKS_CURRENT, BOTH, "uA", 0, false},
    {TKS_TEMPERATURE, TKS_METRIC, "C", 0, true},
    {TKS_TEMPERATURE, TKS_INCH, "F", 0, true},
    {TKS_ANGLE, BOTH, "deg", 0, true},
    {TKS_CHARGE, BOTH, "Ah", 0.1, true},
    {TKS_CHARGE, BOTH, "mAh", 0, false},
    {TKS_VOLTAGE, BOTH, "V", 0.1, true},
    {TKS_VOLTAGE, BOTH, "mV", 0, false},
    {TKS_RESISTANCE, BOTH, "kohm", 1, false},
    {TKS_RESISTANCE, BOTH, "ohm", 0.1, true},
    {TKS_RESISTANCE, BOTH, "mohm", 0, false},
    {TKS_POWER, BOTH, "kW", 1, false},
    {TKS_POWER, BOTH, "W", 0.1, true},
    {TKS_POWER, BOTH, "mW", 0, false},
    {TKS_DENSITY, TKS_METRIC, "g/cm3", 0.5, false},
    {TKS_DENSITY, TKS_METRIC, "g/L", 0, true},
    {TKS_DENSITY, TKS_INCH, "lb/ft3", 30, false},
    {TKS_DENSITY, TKS_INCH, "oz/gal", 0, true},
    {TKS_CURRENT_DENSITY, TKS_METRIC, "A/dm2", 0, true},
    {TKS_CURRENT_DENSITY, TKS_INCH, "A/in2", 0, true},
    {TKS_CONDUCTIVITY, BOTH, "S/m", 0, true},
    {TKS_POLARISATION, BOTH, "ohm*cm2", 0, true},
    {TKS_PRESSURE, TKS_METRIC, "GPa", 10, false},
    {TKS_PRESSURE, TKS_METRIC, "MPa", 0, true},
    {TKS_PRESSURE, TKS_INCH, "ksi", 10, false},
    {TKS_PRESSURE, TKS_INCH, "psi", 0, true},
};

enum { UNIT_COUNT = sizeof units / sizeof *units };

static bool row_serves(const struct print_unit *row, tks_kind kind, tks_system system)
{
    return row->kind == kind && (row->system == BOTH || row->system == (int)system);
}

const char *quantity_usual_unit(tks_kind kind, tks_system system)
{
    for (int i = 0; i < UNIT_COUNT; i++)
        if (units[i].usual && row_serves(&units[i], kind, system)) return units[i].unit;
    return "";
}

/* The scale of a unit, also of C and F. */
static bool scale_of(const char *unit, bool thermometer, quantity_scale *scale)
{
    const quantity_sense sense = {NULL, thermometer};
    size_t length = strlen(unit);
    *scale = (quantity_scale){1, 1, 0, {0, 0, 0, 0, 0, 0}};
    return length == 0 || quantity_unit_scan(unit, length, &sense, scale) == length;
}

/* The unit that suits the size of value; "" for a plain number. A value that rounds up to a larger
 * unit's least gets that unit: 1 m, not 1000 mm. */
static const char *suitable_unit(double value, tks_kind kind, tks_system system, int digits)
{
    const char *last = "";
    quantity_scale scale;
    double nearly = 1 - 0.5 * pow(10, -digits);
    if (value == 0) return quantity_usual_unit(kind, system);
    for (int i = 0; i < UNIT_COUNT; i++) {
        if (!row_serves(&units[i], kind, system)) continue;
        last = units[i].unit;
        scale_of(last, kind == TKS_TEMPERATURE, &scale);
        if (fabs(quantity_from_si(value, &scale)) >= units[i].least * nearly) return last;
    }
    return last;
}

/* A finite number, rounded to digits, as sign, digits and the power of ten of the first. */
typedef struct rounded {
    bool negative;
    char digits[MOST_DIGITS + 1];
    int count, power;
} rounded;

static rounded round_to(double number, int digits)
{
    rounded r = {number < 0, "", 0, 0};
    char text[48];
    snprintf(text, sizeof text, "%.*e", digits - 1, fabs(number));
    const char *c = text;
    for (; *c && *c != 'e'; c++)
        if (*c >= '0' && *c <= '9') r.digits[r.count++] = *c; /* the locale's point is dropped */
    r.power = *c ? atoi(c + 1) : 0;
    while (r.count > 1 && r.digits[r.count - 1] == '0') r.count--;
    r.digits[r.count] = '\0';
    if (number == 0) r.negative = false;
    return r;
}

/* A number without an exponent when it needs at most these many places before or zeros behind the
 * point. */
enum { MOST_BEFORE = 15, MOST_ZEROS = 6 };

static void write_number(char *text, size_t size, double number, int digits)
{
    rounded r = round_to(number, digits);
    const char *sign = r.negative ? "-" : "";
    int before = r.power + 1;
    if (before > MOST_BEFORE || before < -MOST_ZEROS)
        snprintf(text, size, "%s%c%s%se%d", sign, r.digits[0], r.count > 1 ? "." : "", r.digits + 1,
                 r.power);
    else if (before <= 0)
        snprintf(text, size, "%s0.%.*s%s", sign, -before, "000000", r.digits);
    else if (r.count <= before)
        snprintf(text, size, "%s%s%.*s", sign, r.digits, before - r.count, "000000000000000");
    else
        snprintf(text, size, "%s%.*s.%s", sign, before, r.digits, r.digits + before);
}

static int write_in(char *text, size_t size, double value, const char *unit,
                    const quantity_scale *scale, int digits)
{
    char number[48], plain[48];
    size_t used = 0;
    for (const char *c = unit; *c && used + 1 < sizeof plain; c++)
        if (*c != '^') plain[used++] = *c;
    plain[used] = '\0';
    write_number(number, sizeof number, quantity_from_si(value, scale), digits);
    return snprintf(text, size, "%s%s%s", number, used ? " " : "", plain);
}

/* `1 h 10 min`: times are set on a clock, so they are rounded as a clock is read: to seconds below
 * ten minutes (or when more than three digits are asked), else to minutes. */
static int write_time(char *text, size_t size, double value, int digits)
{
    static const quantity_scale second = {1, 1, 0, {0, 0, 1, 0, 0, 0}};
    double size_of = fabs(value), step = size_of < 599.5 || digits > USUAL_DIGITS ? 1 : 60;
    if (size_of < 119.5 || size_of > 1e12) return write_in(text, size, value, "s", &second, digits);
    double seconds = step * floor(size_of / step + 0.5);
    double hours = floor(seconds / 3600), minutes = floor(fmod(seconds, 3600) / 60);
    char parts[3][24] = {"", "", ""};
    seconds = fmod(seconds, 60);
    if (hours > 0) snprintf(parts[0], sizeof parts[0], "%.0f h", hours);
    if (minutes > 0)
        snprintf(parts[1], sizeof parts[1], "%s%.0f min", hours > 0 ? " " : "", minutes);
    if (seconds > 0) snprintf(parts[2], sizeof parts[2], " %.0f s", seconds);
    return snprintf(text, size, "%s%s%s%s", value < 0 ? "-" : "", parts[0], parts[1], parts[2]);
}

static int digits_asked(int digits)
{
    return digits <= 0 ? USUAL_DIGITS : digits > MOST_DIGITS ? MOST_DIGITS : digits;
}

int tks_quantity_print(char *text, size_t size, double value, tks_kind kind, tks_system system,
                       int digits)
{
    quantity_scale scale;
    int shown = digits_asked(digits);
    if (!isfinite(value)) return snprintf(text, size, isnan(value) ? "not a number" : "infinite");
    if (kind == TKS_TIME && value != 0) return write_time(text, size, value, shown);
    const char *unit = suitable_unit(value, kind, system, shown);
    scale_of(unit, kind == TKS_TEMPERATURE, &scale);
    return write_in(text, size, value, unit, &scale, shown);
}

int tks_quantity_print_in(char *text, size_t size, double value, const char *unit, int digits)
{
    quantity_scale scale;
    if (!scale_of(unit, false, &scale)) return -1;
    if (!isfinite(value)) return snprintf(text, size, isnan(value) ? "not a number" : "infinite");
    return write_in(text, size, value, unit, &scale, digits_asked(digits));
}
