/* Running a compiled expression on a small stack. */
#include "quantity/quantity.h"

#include <math.h>

/* Two sizes that differ by less than this part of themselves are the same size: 0.1 + 0.2 = 0.3,
 * and 17 mm / 1 mm is seventeen. Far below any tool's reach, far above what rounding adds up to. */
static const double SAME = 1e-12;

typedef enum fault {
    NONE,
    UNLIKE,   /* sides of different dimension */
    UNPLAIN,  /* a plain number is wanted */
    NO_ANGLE, /* an angle is wanted */
    NO_TRUTH, /* a comparison is wanted */
    BY_ZERO,
    ROOT,    /* of a negative number */
    HALF,    /* a root or power of a dimension that has none */
    OUTSIDE, /* -1 to 1 */
    INFINITE
} fault;

static const tks_dimension plain = {0, 0, 0, 0, 0, 0};

static bool is_plain(const tks_quantity *q)
{
    return quantity_dimension_none(q->dimension);
}

static bool is_bare_zero(const tks_quantity *q)
{
    return q->value == 0 && is_plain(q);
}

/* Gives both sides one dimension; a bare zero takes that of the other side. */
static bool alike(tks_quantity *a, const tks_quantity *b)
{
    if (quantity_dimension_same(a->dimension, b->dimension)) return true;
    if (is_bare_zero(a)) {
        a->dimension = b->dimension;
        return true;
    }
    return is_bare_zero(b);
}

static bool same_size(double a, double b)
{
    return fabs(a - b) <= SAME * fmax(fabs(a), fabs(b));
}

static double compare(quantity_code code, double a, double b)
{
    bool same = same_size(a, b);
    switch (code) {
    case CODE_EQUAL: return same;
    case CODE_UNEQUAL: return !same;
    case CODE_LESS: return !same && a < b;
    case CODE_LESS_EQUAL: return same || a < b;
    case CODE_MORE: return !same && a > b;
    default: return same || a > b;
    }
}

/* Operators whose sides must be alike. */
static fault join_alike(quantity_code code, tks_quantity *a, const tks_quantity *b)
{
    if (!alike(a, b)) return UNLIKE;
    switch (code) {
    case CODE_ADD: a->value += b->value; return NONE;
    case CODE_SUBTRACT: a->value -= b->value; return NONE;
    case CODE_MIN: a->value = fmin(a->value, b->value); return NONE;
    case CODE_MAX: a->value = fmax(a->value, b->value); return NONE;
    case CODE_ATAN2:
        *a = (tks_quantity){atan2(a->value, b->value), {0, 0, 0, 0, 0, 1}};
        return NONE;
    default: *a = (tks_quantity){compare(code, a->value, b->value), plain}; return NONE;
    }
}

static fault multiply(tks_quantity *a, const tks_quantity *b)
{
    a->value *= b->value;
    if (is_plain(b)) return NONE;
    return quantity_dimension_add(a->dimension, b->dimension, 1, &a->dimension) ? NONE : INFINITE;
}

static fault divide(tks_quantity *a, const tks_quantity *b)
{
    if (b->value == 0) return BY_ZERO;
    a->value /= b->value;
    if (is_plain(b)) return NONE;
    return quantity_dimension_add(a->dimension, b->dimension, -1, &a->dimension) ? NONE : INFINITE;
}

/* The exponents of a dimension times power, which must come out whole. */
static fault raise_dimension(tks_dimension *d, double power)
{
    if (quantity_dimension_none(*d)) return NONE;
    if (!(fabs(power) <= 100)) return INFINITE;
    int whole = (int)power;
    if (whole == power) return quantity_dimension_add(plain, *d, whole, d) ? NONE : INFINITE;
    signed char *exponents[] = {&d->length,  &d->mass,        &d->time,
                                &d->current, &d->temperature, &d->angle};
    for (int i = 0; i < 6; i++) {
        double exponent = *exponents[i] * power;
        if (!same_size(exponent, round(exponent))) return HALF;
        if (!(fabs(exponent) <= 100)) return INFINITE;
        *exponents[i] = (signed char)lround(exponent);
    }
    return NONE;
}

static fault power(tks_quantity *a, const tks_quantity *b)
{
    if (!is_plain(b)) return UNPLAIN;
    if (a->value == 0 && b->value < 0) return BY_ZERO;
    if (a->value < 0 && b->value != round(b->value)) return ROOT;
    a->value = b->value == 2 ? a->value * a->value : pow(a->value, b->value);
    return raise_dimension(&a->dimension, b->value);
}

static fault apply_binary(quantity_code code, tks_quantity *a, const tks_quantity *b)
{
    switch (code) {
    case CODE_MULTIPLY: return multiply(a, b);
    case CODE_DIVIDE: return divide(a, b);
    case CODE_POWER: return power(a, b);
    default: return join_alike(code, a, b);
    }
}

static fault square_root(tks_quantity *a)
{
    if (a->value < 0) return ROOT;
    a->value = sqrt(a->value);
    return raise_dimension(&a->dimension, 0.5);
}

static fault trigonometry(quantity_code code, tks_quantity *a)
{
    if (!tks_dimension_equal(a->dimension, (tks_dimension){0, 0, 0, 0, 0, 1}) && !is_bare_zero(a))
        return NO_ANGLE;
    double x = a->value;
    double y = code == CODE_SIN ? sin(x) : code == CODE_COS ? cos(x) : tan(x);
    *a = (tks_quantity){y, plain};
    return NONE;
}

static fault inverse(quantity_code code, tks_quantity *a)
{
    double x = a->value;
    if (!is_plain(a)) return UNPLAIN;
    if (code != CODE_ATAN) {
        if (fabs(x) > 1 + SAME) return OUTSIDE;
        x = fmax(-1, fmin(x, 1));
    }
    double y = code == CODE_ASIN ? asin(x) : code == CODE_ACOS ? acos(x) : atan(x);
    *a = (tks_quantity){y, {0, 0, 0, 0, 0, 1}};
    return NONE;
}

/* A number that rounding kept just off a whole one counts as that. */
static fault to_whole(quantity_code code, tks_quantity *a)
{
    if (!is_plain(a)) return UNPLAIN;
    double whole = round(a->value);
    if (code == CODE_ROUND || same_size(whole, a->value))
        a->value = whole;
    else
        a->value = code == CODE_FLOOR ? floor(a->value) : ceil(a->value);
    return NONE;
}

static fault apply_unary(quantity_code code, tks_quantity *a)
{
    switch (code) {
    case CODE_NEGATE: a->value = 0 - a->value; return NONE;
    case CODE_ABS: a->value = fabs(a->value); return NONE;
    case CODE_NOT:
    case CODE_TRUTH:
        if (!is_plain(a)) return NO_TRUTH;
        a->value = (a->value != 0) == (code == CODE_TRUTH);
        return NONE;
    case CODE_SQRT: return square_root(a);
    case CODE_SIN:
    case CODE_COS:
    case CODE_TAN: return trigonometry(code, a);
    case CODE_ASIN:
    case CODE_ACOS:
    case CODE_ATAN: return inverse(code, a);
    default: return to_whole(code, a);
    }
}

static tks_status explain_unlike(const quantity_op *op, const char *source, tks_place at,
                                 const tks_quantity *a, const tks_quantity *b, tks_error *err)
{
    quantity_phrase one = quantity_describe(a->dimension), other = quantity_describe(b->dimension);
    switch ((quantity_code)op->code) {
    case CODE_ADD:
        return tks_fail(err, TKS_EDIMENSION, at, "%s: cannot add %s to %s", source, other.text,
                        one.text);
    case CODE_SUBTRACT:
        return tks_fail(err, TKS_EDIMENSION, at, "%s: cannot take %s from %s", source, other.text,
                        one.text);
    default:
        return tks_fail(err, TKS_EDIMENSION, at, "%s: cannot compare %s with %s", source, one.text,
                        other.text);
    }
}

/* The message of a fault; a is the (left) operand, b the right one or NULL. */
static tks_status explain(fault what, const tks_expression *e, const quantity_op *op,
                          const tks_quantity *a, const tks_quantity *b, tks_error *err)
{
    static const struct {
        tks_status code;
        bool tells_kind;
        const char *text;
    } rows[] = {
        [UNPLAIN] = {TKS_EDIMENSION, true, "a plain number is wanted"},
        [NO_ANGLE] = {TKS_EDIMENSION, true, "an angle is wanted, such as 30 deg"},
        [NO_TRUTH] = {TKS_EDIMENSION, true, "a comparison is wanted, such as x > 2 mm"},
        [BY_ZERO] = {TKS_EDOMAIN, false, "division by zero"},
        [ROOT] = {TKS_EDOMAIN, false, "a negative number has no such root"},
        [HALF] = {TKS_EDIMENSION, true, "it has no such root or power"},
        [OUTSIDE] = {TKS_EDOMAIN, false, "only numbers from -1 to 1 have such an angle"},
        [INFINITE] = {TKS_EDOMAIN, false, "the result is too large"},
    };
    tks_place at = quantity_place(e->at, e->text, op->at);
    quantity_phrase source = quantity_quote(e->text + op->start, (size_t)(op->end - op->start));
    if (what == UNLIKE) return explain_unlike(op, source.text, at, a, b, err);
    const tks_quantity *read = b && what == UNPLAIN ? b : a;
    if (!rows[what].tells_kind)
        return tks_fail(err, rows[what].code, at, "%s: %s", source.text, rows[what].text);
    return tks_fail(err, rows[what].code, at, "%s: this is %s; %s", source.text,
                    quantity_describe(read->dimension).text, rows[what].text);
}

tks_status tks_expression_value(const tks_expression *e, const tks_quantity *slots,
                                tks_quantity *value, tks_error *err)
{
    tks_quantity stack[QUANTITY_DEEPEST], *top = stack;
    for (size_t i = 0; i < e->count; i++) {
        const quantity_op *op = &e->ops[i];
        quantity_code code = (quantity_code)op->code;
        if (code == CODE_CONSTANT) {
            *top++ = op->constant;
        } else if (code == CODE_SLOT) {
            *top++ = slots[op->target];
        } else if (code == CODE_JUMP) {
            i = op->target - 1u;
        } else if (code == CODE_BRANCH) {
            if (!is_plain(--top)) return explain(NO_TRUTH, e, op, top, NULL, err);
            if (top->value == 0) i = op->target - 1u;
        } else {
            bool two = code < CODE_NEGATE;
            tks_quantity *a = top - (two ? 2 : 1), before = *a;
            fault what = two ? apply_binary(code, a, a + 1) : apply_unary(code, a);
            if (!isfinite(a->value) && !what) what = INFINITE;
            if (what) return explain(what, e, op, &before, two ? a + 1 : NULL, err);
            top = a + 1;
        }
    }
    if (!isfinite(stack[0].value))
        return tks_fail(err, TKS_EDOMAIN, e->at, "this is not a finite number");
    *value = stack[0];
    return TKS_OK;
}
