#include "quantity/quantity.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *how_to_write(tks_kind kind, double number, char *text, size_t size)
{
    const char *metric = quantity_usual_unit(kind, TKS_METRIC);
    const char *inch = quantity_usual_unit(kind, TKS_INCH);
    if (strcmp(metric, inch) == 0)
        snprintf(text, size, "%.6g %s", number, metric);
    else
        snprintf(text, size, "%.6g %s, or %.6g %s", number, metric, number, inch);
    return text;
}

static tks_status wrong_kind(tks_quantity quantity, tks_kind kind, tks_place at, tks_error *err)
{
    char example[96];
    quantity_phrase wanted = quantity_describe(tks_kind_dimension(kind));
    quantity_phrase read = quantity_describe(quantity.dimension);
    if (kind == TKS_NUMBER)
        return tks_fail(err, TKS_EDIMENSION, at, "this is %s; %s is wanted, with no unit",
                        read.text, wanted.text);
    return tks_fail(err, TKS_EDIMENSION, at, "this is %s; %s is wanted, such as %s", read.text,
                    wanted.text, how_to_write(kind, 8, example, sizeof example));
}

tks_status tks_quantity_as(tks_quantity quantity, tks_kind kind, tks_place at, double *value,
                           tks_error *err)
{
    char example[96];
    bool same = quantity_dimension_same(quantity.dimension, tks_kind_dimension(kind));
    bool bare = quantity_dimension_none(quantity.dimension);
    if (!isfinite(quantity.value))
        return tks_fail(err, TKS_EDOMAIN, at, "this is not a finite number");
    if (!same && bare && quantity.value != 0)
        return tks_fail(err, TKS_EDIMENSION, at, "%.6g has no unit; write %s", quantity.value,
                        how_to_write(kind, quantity.value, example, sizeof example));
    if (!same && !bare) return wrong_kind(quantity, kind, at, err);
    *value = quantity.value;
    return TKS_OK;
}

/* `8 mm`, `12.5mm`, `1.2 A/dm^2` and `3`: one number, at most one blank, one unit, and nothing
 * else. False: read it the long way, which also finds the words for what is wrong. */
static bool read_simple(const char *text, size_t length, tks_kind kind, double *value)
{
    const quantity_sense sense = {NULL, kind == TKS_TEMPERATURE};
    quantity_scale scale = {1, 1, 0, {0, 0, 0, 0, 0, 0}};
    double number;
    size_t i = length && text[0] == '-';
    size_t taken = quantity_number_scan(text + i, length - i, &number);
    if (!taken) return false;
    if (i) number = -number;
    i += taken;
    if (i < length && text[i] == ' ') i++;
    if (i < length && quantity_unit_scan(text + i, length - i, &sense, &scale) != length - i)
        return false;
    double si = quantity_to_si(number, &scale);
    if (!isfinite(si) || !tks_dimension_equal(scale.dimension, tks_kind_dimension(kind)))
        return false;
    *value = si;
    return true;
}

/* `1:20:00`, hours, minutes and seconds. *clock tells whether the text looks like a clock. */
static tks_status read_clock(const char *text, size_t length, tks_place at, bool *clock,
                             double *value, tks_error *err)
{
    double parts[3] = {0, 0, 0};
    int count = 0;
    size_t i = quantity_blanks(text, length);
    *clock = false;
    while (count < 3) {
        size_t taken = quantity_number_scan(text + i, length - i, &parts[count]);
        if (!taken) return TKS_OK;
        count++;
        i += taken;
        if (i >= length || text[i] != ':') break;
        i++;
    }
    i += quantity_blanks(text + i, length - i);
    if (i != length || count < 2) return TKS_OK;
    *clock = true;
    bool in_range = isfinite(parts[0]) && parts[1] < 60 && parts[2] < 60;
    bool whole = parts[0] == floor(parts[0]) && parts[1] == floor(parts[1]);
    if (count == 2 || !in_range || !whole)
        return tks_fail(err, TKS_ESYNTAX, at, "'%s' is not a time; write 1 h 20 min, or 1:20:00",
                        quantity_quote(text, length).text);
    *value = (parts[0] * 60 + parts[1]) * 60 + parts[2];
    return TKS_OK;
}

static tks_status read_expression(const char *text, size_t length, tks_kind kind, tks_place at,
                                  tks_quantity *quantity, tks_error *err)
{
    const quantity_sense sense = {NULL, kind == TKS_TEMPERATURE};
    quantity_op ops[QUANTITY_OPS];
    tks_expression expression;
    tks_status status = quantity_compile(text, length, at, &sense, ops, &expression, err);
    return status ? status : tks_expression_value(&expression, NULL, quantity, err);
}

static tks_status refuse_empty(tks_kind kind, tks_place at, tks_error *err)
{
    char example[96];
    quantity_phrase wanted = quantity_describe(tks_kind_dimension(kind));
    return tks_fail(err, TKS_EMISSING, at, "%s is missing here; write for example %s", wanted.text,
                    how_to_write(kind, 8, example, sizeof example));
}

static tks_status read_long(const char *text, size_t length, tks_kind kind, tks_place at,
                            double *value, tks_error *err)
{
    tks_quantity quantity = {0, tks_kind_dimension(kind)};
    tks_status status = TKS_OK;
    bool clock = false;
    if (length > QUANTITY_LONGEST)
        return tks_fail(err, TKS_ELIMIT, at, "a value has at most %d bytes; this one has %zu",
                        QUANTITY_LONGEST, length);
    if (quantity_blanks(text, length) == length) return refuse_empty(kind, at, err);
    if (kind == TKS_TIME) status = read_clock(text, length, at, &clock, &quantity.value, err);
    if (!status && !clock) status = read_expression(text, length, kind, at, &quantity, err);
    return status ? status : tks_quantity_as(quantity, kind, at, value, err);
}

tks_status tks_quantity_read(const char *text, size_t length, tks_kind kind, tks_place at,
                             double *value, tks_error *err)
{
    double si;
    if (length == 0) text = "";
    if (!read_simple(text, length, kind, &si)) {
        tks_status status = read_long(text, length, kind, at, &si, err);
        if (status) return status;
    }
    if (kind == TKS_TEMPERATURE && si < 0)
        return tks_fail(err, TKS_EDOMAIN, at, "'%s' is below absolute zero, -273.15 C",
                        quantity_quote(text, length).text);
    *value = si;
    return TKS_OK;
}
