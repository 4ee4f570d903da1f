/* Quantities: numbers with units, and expressions over them. Inside tankside all values are SI;
 * users' units exist only here and in the reports. room: quantity */
#ifndef TANKSIDE_QUANTITY_H
#define TANKSIDE_QUANTITY_H

#include "tankside/arena.h"
#include "tankside/status.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* Exponents of the base quantities. An angle counts as a base quantity, so that `90` without a unit
 * is refused where an angle is wanted; but an angle times anything else loses itself (radius *
 * angle is a length). */
typedef struct tks_dimension {
    signed char length, mass, time, current, temperature, angle;
} tks_dimension;

typedef struct tks_quantity {
    double value; /* SI */
    tks_dimension dimension;
} tks_quantity;

/* The kinds of quantity that files and commands speak of: code, name, SI unit. */
/* clang-format off */
#define TKS_KIND_LIST(X)                                                  \
    X(TKS_NUMBER,          "number",          "",        0, 0, 0, 0, 0, 0) \
    X(TKS_LENGTH,          "length",          "m",       1, 0, 0, 0, 0, 0) \
    X(TKS_AREA,            "area",            "m^2",     2, 0, 0, 0, 0, 0) \
    X(TKS_VOLUME,          "volume",          "m^3",     3, 0, 0, 0, 0, 0) \
    X(TKS_MASS,            "mass",            "kg",      0, 1, 0, 0, 0, 0) \
    X(TKS_TIME,            "time",            "s",       0, 0, 1, 0, 0, 0) \
    X(TKS_CURRENT,         "current",         "A",       0, 0, 0, 1, 0, 0) \
    X(TKS_TEMPERATURE,     "temperature",     "K",       0, 0, 0, 0, 1, 0) \
    X(TKS_ANGLE,           "angle",           "rad",     0, 0, 0, 0, 0, 1) \
    X(TKS_CHARGE,          "charge",          "C",       0, 0, 1, 1, 0, 0) \
    X(TKS_VOLTAGE,         "voltage",         "V",       2, 1,-3,-1, 0, 0) \
    X(TKS_RESISTANCE,      "resistance",      "ohm",     2, 1,-3,-2, 0, 0) \
    X(TKS_POWER,           "power",           "W",       2, 1,-3, 0, 0, 0) \
    X(TKS_DENSITY,         "density",         "kg/m^3", -3, 1, 0, 0, 0, 0) \
    X(TKS_CURRENT_DENSITY, "current density", "A/m^2",  -2, 0, 0, 1, 0, 0) \
    X(TKS_CONDUCTIVITY,    "conductivity",    "S/m",    -3,-1, 3, 2, 0, 0) \
    X(TKS_POLARISATION,    "polarisation",    "ohm*m^2", 4, 1,-3,-2, 0, 0) \
    X(TKS_PRESSURE,        "strength",        "Pa",     -1, 1,-2, 0, 0, 0)
/* clang-format on */

typedef enum tks_kind {
#define TKS_KIND_CODE(code, name, unit, l, m, t, i, k, a) code,
    TKS_KIND_LIST(TKS_KIND_CODE)
#undef TKS_KIND_CODE
        TKS_KIND_COUNT
} tks_kind;

typedef enum tks_system { TKS_METRIC, TKS_INCH } tks_system;

/* Name ("length"), SI unit ("m") and dimension of a kind. */
const char *tks_kind_name(tks_kind kind);
const char *tks_kind_unit(tks_kind kind);
tks_dimension tks_kind_dimension(tks_kind kind);

/* The kind called by this name (space, '-' and '_' alike); TKS_KIND_COUNT when there is none. */
tks_kind tks_kind_find(const char *name, size_t length);

/* Whether two quantities can be added and compared. */
bool tks_dimension_equal(tks_dimension a, tks_dimension b);

/* Whether text is a unit and nothing else ("mm", "A/dm^2", "cm2", "fl oz"); if so its factor to SI
 * and dimension. Case matters: mS is no MS. At most four factors, exponents -6 to 6. out may be
 * NULL. Temperatures that start elsewhere than at zero (degC, degF) answer false here, and `C` is
 * the coulomb. */
bool tks_unit_find(const char *text, size_t length, tks_quantity *out);

/* What a name in an expression stands for. */
typedef struct tks_meaning {
    int slot;           /* index into the values given to tks_expression_value; -1: constant */
    tks_quantity value; /* of a constant */
} tks_meaning;

/* Finds the meaning of a name (length bytes, words joined by single spaces) and returns true; or
 * returns false, and the error suggests what nearest() gives (which may be NULL, and may give
 * NULL). */
typedef struct tks_names {
    bool (*find)(const void *context, const char *name, size_t length, tks_meaning *out);
    const char *(*nearest)(const void *context, const char *name, size_t length);
    const void *context;
} tks_names;

typedef struct tks_expression tks_expression;

/* Compiles an expression into the arena, which keeps a copy of text; the file name of at is
 * borrowed and must outlive the expression.
 *   text    length bytes, UTF-8; at is the place of its first byte, for messages
 *   names   meanings of names; NULL: none are known
 * Grammar, loosest first: or; and; not; = != < <= > >= (which do not chain); + -; * /; unary -;
 * ^ (from the right). Operands: numbers with units (`8 mm`, `1 1/2 in`, `1-1/2 in`, `5/16 in`,
 * `1.2 A/dm^2`, `5 ft 6 in`, also with decimal exponents; a decimal comma is refused); names of one
 * or more words (`end thickness`; '_' joins too, '-' is a minus); pi; a unit alone (`length / mm`);
 * parentheses; functions min max sqrt abs sin cos tan asin acos atan atan2 floor ceil round and
 * if(condition, a, b). if, and, or compute only the side that is needed.
 * A name beats a unit, except right behind a number: `8 mm / d` and `8 mm*d` use a name d, `8 d` is
 * eight days.
 * Truth values are the numbers 0 and 1. Two numbers that differ by less than 1e-12 of themselves
 * are equal, and floor and ceil see a whole number there, so that rounding changes no decision.
 * Errors: TKS_ESYNTAX, TKS_EUNKNOWN (with the nearest name), TKS_EDOMAIN (a number too large),
 * TKS_ELIMIT (over 4096 bytes, 1024 steps or 64 deep), TKS_EMEMORY; the column is that of the
 * offending word. */
tks_status tks_expression_compile(tks_arena *arena, const char *text, size_t length, tks_place at,
                                  const tks_names *names, const tks_expression **expression,
                                  tks_error *err);

/* Evaluates: slots[i] is the value of the name whose meaning had slot i; NULL when there are none.
 * A bare zero goes with every dimension (`max(0, wall - 1 mm)`). Angles are given to sin, cos and
 * tan, and come from asin, acos, atan and atan2.
 * Errors: TKS_EDIMENSION (`8 mm + 2 A` says what each side is), TKS_EDOMAIN (division by zero, root
 * of a negative number, a result that is not finite). Memory: none. */
tks_status tks_expression_value(const tks_expression *expression, const tks_quantity *slots,
                                tks_quantity *value, tks_error *err);

/* Highest slot an expression reads, plus one. */
size_t tks_expression_slots(const tks_expression *expression);

/* Checks that a quantity is of a kind and gives its SI number. A bare zero is of every kind; any
 * other bare number where a unit is due is TKS_EDIMENSION and names a usual unit ("write 8 mm"). */
tks_status tks_quantity_as(tks_quantity quantity, tks_kind kind, tks_place at, double *value,
                           tks_error *err);

/* Reads one value of a kind: a number with a unit, a mixed fraction, or an expression without
 * names; at most 4096 bytes. Allocates nothing, and a plain `8 mm` takes a short way. Numbers are
 * rounded correctly whatever the locale, and `8 mm` is the same double as 0.008. For
 * TKS_TEMPERATURE C and F are degrees; for TKS_TIME also `1 h 20 min` and `1:20:00`; for TKS_NUMBER
 * also `75 %`.
 * Errors: those of the expression calls and of tks_quantity_as; TKS_EMISSING for an empty text;
 * TKS_EDOMAIN for NaN, infinity, and temperatures below absolute zero. */
tks_status tks_quantity_read(const char *text, size_t length, tks_kind kind, tks_place at,
                             double *value, tks_error *err);

/* Writes value (SI) as a person reads it, in the unit that suits its size in the unit system:
 * 3 significant digits (digits = 0) or as many as asked (to 17), no exponent for everyday sizes,
 * e.g. "43.7 cm2", "6.78 in2", "25 um", "3.13 A", "0.2 g". Times are rounded as a clock is read:
 * "1 h 10 min", "4 min 30 s", "45 s"; with more than 3 digits always to seconds. What is written
 * reads back by tks_quantity_read, except "not a number" and "infinite". Gives the length as
 * snprintf does. */
int tks_quantity_print(char *text, size_t size, double value, tks_kind kind, tks_system system,
                       int digits);

/* Writes value in the named unit, e.g. (0.00437, "cm^2") "43.7 cm2"; "" for a plain number, "degC"
 * and "degF" for temperatures. Gives the length as snprintf does; -1, and nothing written, when
 * there is no such unit. */
int tks_quantity_print_in(char *text, size_t size, double value, const char *unit, int digits);

#ifdef __cplusplus
}
#endif
#endif
