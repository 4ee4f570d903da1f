/* Quantities as people write them: `8 mm`, `1 1/2 in`, `5/16 in`, `1 h 20 min`. */
#include "quantity/quantity.h"

#include <math.h>
#include <string.h>

/* A place in the text of a literal, moving on. */
typedef struct cursor {
    const quantity_literal *literal;
    size_t at;
} cursor;

static const char *rest(const cursor *c)
{
    return c->literal->text + c->at;
}

static size_t left(const cursor *c)
{
    return c->literal->length - c->at;
}

static char next(const cursor *c)
{
    return left(c) ? *rest(c) : '\0';
}

static bool next_is_digit(const cursor *c)
{
    return next(c) >= '0' && next(c) <= '9';
}

static tks_place place(const cursor *c)
{
    return quantity_place(c->literal->at, c->literal->text, c->at);
}

static void skip_blanks(cursor *c)
{
    c->at += quantity_blanks(rest(c), left(c));
}

/* Digits and nothing else; false (and c stays) when there are none or more than 9. */
static bool whole_number(cursor *c, double *value)
{
    cursor end = *c;
    *value = 0;
    for (; next_is_digit(&end); end.at++) *value = *value * 10 + (next(&end) - '0');
    size_t digits = end.at - c->at;
    bool whole = digits > 0 && digits <= 9 && next(&end) != '.';
    if (whole) *c = end;
    return whole;
}

/* `5/16`, written tight. */
static bool fraction(cursor *c, double *value)
{
    cursor end = *c;
    double above, below;
    if (!whole_number(&end, &above) || next(&end) != '/') return false;
    end.at++;
    if (!whole_number(&end, &below) || below == 0) return false;
    *value = above / below;
    *c = end;
    return true;
}

/* The signs for a half and the quarters. */
static bool fraction_sign(cursor *c, double *value)
{
    static const char *const signs[] = {"¼", "½", "¾"};
    for (int i = 0; i < 3; i++) {
        size_t n = strlen(signs[i]);
        if (left(c) < n || memcmp(rest(c), signs[i], n) != 0) continue;
        c->at += n;
        *value = (i + 1) / 4.0;
        return true;
    }
    return false;
}

static bool unit_follows(const cursor *c, const quantity_sense *sense)
{
    cursor end = *c;
    quantity_scale scale;
    skip_blanks(&end);
    return quantity_unit_scan(rest(&end), left(&end), sense, &scale) > 0;
}

/* The fraction that makes a whole number a mixed one: `1 1/2`, `1½`, and before a unit `1-1/2`,
 * unless the whole number is a factor or a divisor of something before. */
static void add_mixed(cursor *c, double *number, const quantity_sense *sense)
{
    cursor end = *c;
    double part;
    bool factor = c->literal->before && strchr("*/^", c->literal->before);
    bool dash = next(&end) == '-' && !factor;
    if (dash)
        end.at++;
    else
        skip_blanks(&end);
    bool found = fraction_sign(&end, &part) ||
                 ((dash || end.at > c->at) && fraction(&end, &part) && part < 1);
    if (!found || (dash && !unit_follows(&end, sense))) return;
    *number += part;
    *c = end;
}

static bool only_digits(const char *text, size_t length)
{
    size_t i = 0;
    while (i < length && text[i] >= '0' && text[i] <= '9') i++;
    return i == length;
}

/* A number with its fraction. `5/16` is one number where a unit follows and it is no divisor
 * itself; any other division is left to the grammar. */
static bool scan_number(cursor *c, double *number, const quantity_sense *sense)
{
    cursor end = *c;
    bool divisor = c->literal->before == '/' || c->literal->before == '^';
    bool found = fraction_sign(&end, number) ||
                 (!divisor && fraction(&end, number) && unit_follows(&end, sense));
    if (found) {
        *c = end;
        return true;
    }
    size_t taken = quantity_number_scan(rest(c), left(c), number);
    bool whole = only_digits(rest(c), taken);
    c->at += taken;
    if (taken && whole) add_mixed(c, number, sense);
    return taken > 0;
}

static tks_status check_number(const cursor *start, const cursor *end, double number,
                               tks_error *err)
{
    const char *text = rest(start);
    size_t length = end->at - start->at;
    if (isnan(number))
        return tks_fail(err, TKS_ELIMIT, place(start), "'%s' has too many digits",
                        quantity_quote(text, length).text);
    if (isinf(number))
        return tks_fail(err, TKS_EDOMAIN, place(start), "'%s' is too large a number",
                        quantity_quote(text, length).text);
    bool comma = next(end) == ',' && left(end) > 1 && rest(end)[1] >= '0' && rest(end)[1] <= '9';
    if (!comma || start->literal->arguments) return TKS_OK;
    size_t behind = 1;
    while (behind < left(end) && only_digits(rest(end) + behind, 1)) behind++;
    quantity_phrase whole = quantity_quote(text, length);
    quantity_phrase decimals = quantity_quote(rest(end) + 1, behind - 1);
    return tks_fail(err, TKS_ESYNTAX, place(end),
                    "a number takes a decimal point, no comma: write %s.%s%s%s%s", whole.text,
                    decimals.text, behind == 4 ? ", or " : "", behind == 4 ? whole.text : "",
                    behind == 4 ? decimals.text : "");
}

static size_t word_length(const cursor *c)
{
    size_t end = 0, n;
    while ((n = quantity_letter(rest(c) + end, left(c) - end)) > 0) end += n;
    return end;
}

static bool word_is(const cursor *c, size_t length, const char *word)
{
    return length == strlen(word) && memcmp(rest(c), word, length) == 0;
}

/* What stands behind a number is no unit: nothing, an operator, or a mistake. */
static tks_status check_no_unit(const cursor *c, double number, const quantity_sense *sense,
                                tks_error *err)
{
    size_t word = word_length(c);
    if (!word || word_is(c, word, "and") || word_is(c, word, "or")) return TKS_OK;
    quantity_phrase quoted = quantity_quote(rest(c), word);
    const tks_names *names = sense->names;
    tks_meaning meaning;
    if (names && names->find(names->context, rest(c), word, &meaning))
        return tks_fail(err, TKS_ESYNTAX, place(c), "'%s' is no unit here; write %.9g * %s",
                        quoted.text, number, quoted.text);
    const char *nearest = quantity_unit_nearest(rest(c), word);
    return tks_fail(err, TKS_EUNKNOWN, place(c), "'%s' is not a unit%s%s%s", quoted.text,
                    nearest ? "; did you mean " : "; units are written short, as mm, in or A",
                    nearest ? nearest : "", nearest ? "?" : "");
}

/* Scans the unit behind a number; *scale is left as it is when there is none. */
static tks_status scan_unit(cursor *c, double number, const quantity_sense *sense,
                            quantity_scale *scale, bool *found, tks_error *err)
{
    cursor end = *c;
    skip_blanks(&end);
    size_t taken = quantity_unit_scan(rest(&end), left(&end), sense, scale);
    *found = taken > 0;
    if (!taken) return check_no_unit(&end, number, sense, err);
    c->at = end.at + taken;
    return TKS_OK;
}

/* `20 min` behind `1 h`, `6 in` behind `5 ft`: a number with a smaller unit of the same kind. */
static tks_status add_smaller(cursor *c, const quantity_scale *larger, const quantity_sense *sense,
                              quantity_scale *scale, double *value, tks_error *err)
{
    cursor start = *c;
    double number;
    bool has_unit;
    tks_status status = TKS_OK;
    *scale = (quantity_scale){1, 1, 0, {0, 0, 0, 0, 0, 0}};
    scan_number(c, &number, sense);
    if ((status = check_number(&start, c, number, err))) return status;
    if ((status = scan_unit(c, number, sense, scale, &has_unit, err))) return status;
    bool fits = larger && has_unit && tks_dimension_equal(larger->dimension, scale->dimension) &&
                scale->zero == 0 && larger->zero == 0 &&
                scale->times / scale->over < larger->times / larger->over;
    if (!fits)
        return tks_fail(err, TKS_ESYNTAX, place(&start),
                        "a sign as + or * is missing before '%s'; a second number may only have a "
                        "smaller unit of the same kind, as in 1 h 20 min",
                        quantity_quote(rest(&start), c->at - start.at).text);
    *value += quantity_to_si(number, scale);
    return TKS_OK;
}

static bool number_follows(const cursor *c)
{
    cursor end = *c;
    skip_blanks(&end);
    return next_is_digit(&end) || next(&end) == '.';
}

static tks_status scan_sum(cursor *c, quantity_scale *scale, bool has_unit,
                           const quantity_sense *sense, double *value, tks_error *err)
{
    quantity_scale smaller;
    while (number_follows(c)) {
        skip_blanks(c);
        cursor start = *c;
        if (next(c) == '.' && !(left(c) > 1 && only_digits(rest(c) + 1, 1)))
            return tks_fail(err, TKS_ESYNTAX, place(&start), "a point has no place here");
        tks_status status = add_smaller(c, has_unit ? scale : NULL, sense, &smaller, value, err);
        if (status) return status;
        *scale = smaller;
    }
    return TKS_OK;
}

tks_status quantity_literal_scan(quantity_literal *literal, const quantity_sense *sense,
                                 size_t *taken, tks_quantity *out, tks_error *err)
{
    cursor c = {literal, literal->offset}, start = c;
    quantity_scale scale = {1, 1, 0, {0, 0, 0, 0, 0, 0}};
    double number;
    bool has_unit = false;
    tks_status status = TKS_OK;
    if (!scan_number(&c, &number, sense))
        return tks_fail(err, TKS_ESYNTAX, place(&start), "'%s' is not a number",
                        quantity_quote(rest(&start), left(&start)).text);
    if ((status = check_number(&start, &c, number, err))) return status;
    if ((status = scan_unit(&c, number, sense, &scale, &has_unit, err))) return status;
    bool below_zero = literal->negative && scale.zero != 0;
    double value = quantity_to_si(below_zero ? -number : number, &scale);
    if ((status = scan_sum(&c, &scale, has_unit, sense, &value, err))) return status;
    if (!isfinite(value))
        return tks_fail(err, TKS_EDOMAIN, place(&start), "'%s' is too large a quantity",
                        quantity_quote(rest(&start), c.at - start.at).text);
    if (below_zero) literal->negative = false;
    *taken = c.at - start.at;
    *out = (tks_quantity){value, scale.dimension};
    return TKS_OK;
}
