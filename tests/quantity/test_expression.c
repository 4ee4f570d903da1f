#include "tankside/quantity.h"

#include "base/alloc.h"
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Invented names: slots 0.. with these values, `gap` a constant, and `d` and `L`, which are also
 * units. */
static const char *const names[] = {"wall", "end thickness", "count", "outside", "d", "angle"};
static const tks_quantity slots[] = {
    {0.002, {1, 0, 0, 0, 0, 0}}, {0.005, {1, 0, 0, 0, 0, 0}}, {3, {0, 0, 0, 0, 0, 0}},
    {0.030, {1, 0, 0, 0, 0, 0}}, {0.010, {1, 0, 0, 0, 0, 0}}, {0.5, {0, 0, 0, 0, 0, 1}},
};

static bool find(const void *context, const char *name, size_t length, tks_meaning *out)
{
    (void)context;
    for (int i = 0; i < 6; i++)
        if (strlen(names[i]) == length && memcmp(names[i], name, length) == 0) {
            out->slot = i;
            return true;
        }
    if (length != 3 || memcmp(name, "gap", 3) != 0) return false;
    *out = (tks_meaning){-1, {0.001, {1, 0, 0, 0, 0, 0}}};
    return true;
}

static const char *nearest(const void *context, const char *name, size_t length)
{
    (void)context;
    return length > 3 && memcmp(name, "wal", 3) == 0 ? "wall" : NULL;
}

static const tks_names known = {find, nearest, NULL};

static tks_status value_of(const char *text, tks_quantity *value, tks_error *err)
{
    tks_arena *arena = tks_arena_new();
    const tks_expression *e = NULL;
    tks_status status =
        tks_expression_compile(arena, text, strlen(text), (tks_place){"x", 1, 1}, &known, &e, err);
    if (!status) status = tks_expression_value(e, slots, value, err);
    tks_arena_free(arena);
    return status;
}

static void test_values(void **state)
{
    static const struct {
        const char *text;
        double value;
        tks_kind kind;
    } rows[] = {
        {"outside - 2*wall", 0.026, TKS_LENGTH},
        {"end thickness + 2*wall", 0.009, TKS_LENGTH},
        {"end_thickness+2*wall", 0.009, TKS_LENGTH},
        {"end   thickness", 0.005, TKS_LENGTH},
        {"gap", 0.001, TKS_LENGTH},
        {"8 mm / wall", 4, TKS_NUMBER},
        {"8 mm/wall", 4, TKS_NUMBER},
        {"8 mm*d", 80e-6, TKS_AREA},
        {"8 mm * d", 80e-6, TKS_AREA},
        {"1 d", 86400, TKS_TIME},
        {"d", 0.010, TKS_LENGTH},
        {"2 g/L", 2, TKS_DENSITY},
        {"outside / mm", 30, TKS_NUMBER},
        {"outside^2 / mm^2", 900, TKS_NUMBER},
        {"outside^2 / mm2", 900, TKS_NUMBER},
        {"pi * outside^2 / 4", 7.0685834705770345e-4, TKS_AREA},
        {"outside * angle", 0.015, TKS_LENGTH},
        {"angle * outside", 0.015, TKS_LENGTH},
        {"outside / angle", 0.06, TKS_LENGTH},
        {"2 * angle", 1, TKS_ANGLE},
        {"angle / 2", 0.25, TKS_ANGLE},
        {"angle / angle", 1, TKS_NUMBER},
        {"360 deg / angle", 12.566370614359172, TKS_NUMBER},
        {"sin(30 deg)", 0.5, TKS_NUMBER},
        {"cos(60 deg)", 0.5, TKS_NUMBER},
        {"tan(45 deg)", 1, TKS_NUMBER},
        {"asin(0.5)", 0.52359877559829887, TKS_ANGLE},
        {"acos(0.5)", 1.0471975511965977, TKS_ANGLE},
        {"atan(1)", 0.78539816339744831, TKS_ANGLE},
        {"atan2(1 mm, -1 mm)", 2.3561944901923449, TKS_ANGLE},
        {"sqrt(9 mm^2)", 0.003, TKS_LENGTH},
        {"(8 mm^3)^(1/3)", 0.002, TKS_LENGTH},
        {"abs(wall - outside)", 0.028, TKS_LENGTH},
        {"min(wall, outside, gap)", 0.001, TKS_LENGTH},
        {"max(0, wall - outside)", 0, TKS_LENGTH},
        {"max(3)", 3, TKS_NUMBER},
        {"min(8,5)", 5, TKS_NUMBER},
        {"-2^2", -4, TKS_NUMBER},
        {"2^-1", 0.5, TKS_NUMBER},
        {"2^3^2", 512, TKS_NUMBER},
        {"--2", 2, TKS_NUMBER},
        {"+2", 2, TKS_NUMBER},
        {"2 - 3 - 4", -5, TKS_NUMBER},
        {"8 / 4 / 2", 1, TKS_NUMBER},
        {"2 + 3 * 4", 14, TKS_NUMBER},
        {"(2 + 3) * 4", 20, TKS_NUMBER},
        {"2 × 3 − 1", 5, TKS_NUMBER},
        {"floor(17 mm / 1 mm)", 17, TKS_NUMBER},
        {"floor(0.7 / 0.1)", 7, TKS_NUMBER},
        {"floor(2.7)", 2, TKS_NUMBER},
        {"ceil(2.1)", 3, TKS_NUMBER},
        {"ceil(0.3 / 0.1)", 3, TKS_NUMBER},
        {"round(2.5)", 3, TKS_NUMBER},
        {"0.1 + 0.2 = 0.3", 1, TKS_NUMBER},
        {"0.1 + 0.2 > 0.3", 0, TKS_NUMBER},
        {"2 mm != 3 mm", 1, TKS_NUMBER},
        {"2 mm <= 2 mm and 3 mm >= 3 mm", 1, TKS_NUMBER},
        {"1 > 2 or 3 < 4", 1, TKS_NUMBER},
        {"not 1 > 2", 1, TKS_NUMBER},
        {"not 2 > 1 or 1 = 1", 1, TKS_NUMBER},
        {"1 = 1 or 1 = 1 and 1 = 2", 1, TKS_NUMBER},
        {"wall > 0", 1, TKS_NUMBER},
        {"if(wall > 1 mm, outside, 1 / 0)", 0.030, TKS_LENGTH},
        {"if(wall > 5 mm, 1 / 0, outside)", 0.030, TKS_LENGTH},
        {"1 = 2 and 1 / 0 = 1", 0, TKS_NUMBER},
        {"1 = 1 or 1 / 0 = 1", 1, TKS_NUMBER},
        {"1 + if(1 = 2, 10, 20) + 1", 22, TKS_NUMBER},
        {"sqrt (4)", 2, TKS_NUMBER},
        {"wall - 3-1/2 in", 0.002 - 0.0889, TKS_LENGTH},
        {"1 / 1/2", 0.5, TKS_NUMBER},
        {"20 degC", 293.15, TKS_TEMPERATURE},
        {"-20 degC", 253.15, TKS_TEMPERATURE},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tks_quantity q;
        tks_error err = {.text = ""};
        if (value_of(rows[i].text, &q, &err)) fail_msg("%s: %s", rows[i].text, err.text);
        assert_near(q.value, rows[i].value, 2e-15, rows[i].text);
        tks_dimension wanted = tks_kind_dimension(rows[i].kind);
        if (!tks_dimension_equal(q.dimension, wanted)) fail_msg("%s: dimension", rows[i].text);
    }
}

static void test_errors(void **state)
{
    static const struct {
        const char *text;
        tks_status status;
        int column;
        const char *words;
    } rows[] = {
        {"walll + 1 mm", TKS_EUNKNOWN, 1, "'walll' is not known here; did you mean wall?"},
        {"2 * end-thickness", TKS_EUNKNOWN, 5, "write 'end thickness' with a space"},
        {"2 * wal2", TKS_EUNKNOWN, 5, "did you mean wall?"},
        {"sqr(4)", TKS_EUNKNOWN, 1, "did you mean sqrt?"},
        {"3 wall", TKS_ESYNTAX, 3, "write 3 * wall"},
        {"wall + 2 A", TKS_EDIMENSION, 6, "wall + 2 A: cannot add a current to a length"},
        {"2*(wall + 2 A)", TKS_EDIMENSION, 9, "wall + 2 A: cannot add"},
        {"wall < 2 A", TKS_EDIMENSION, 6, "cannot compare a length with a current"},
        {"min(wall, 2 A)", TKS_EDIMENSION, 1, "cannot compare a length with a current"},
        {"sin(30)", TKS_EDIMENSION, 1, "an angle is wanted, such as 30 deg"},
        {"sin(wall)", TKS_EDIMENSION, 1, "this is a length; an angle is wanted"},
        {"asin(2)", TKS_EDOMAIN, 1, "-1 to 1"},
        {"asin(wall)", TKS_EDIMENSION, 1, "a plain number is wanted"},
        {"sqrt(wall)", TKS_EDIMENSION, 1, "has no such root"},
        {"sqrt(-4)", TKS_EDOMAIN, 1, "negative"},
        {"(-8)^(1/3)", TKS_EDOMAIN, 5, "negative"},
        {"2^wall", TKS_EDIMENSION, 2, "this is a length; a plain number is wanted"},
        {"wall^0.5", TKS_EDIMENSION, 5, "no such root or power"},
        {"wall^60^2", TKS_EDOMAIN, 5, "too large"},
        {"0^-1", TKS_EDOMAIN, 2, "division by zero"},
        {"if(wall, 1, 2)", TKS_EDIMENSION, 1, "a comparison is wanted"},
        {"wall and 1 = 1", TKS_EDIMENSION, 6, "a comparison is wanted"},
        {"not wall", TKS_EDIMENSION, 1, "a comparison is wanted"},
        {"floor(wall)", TKS_EDIMENSION, 1, "a plain number is wanted"},
        {"1 < 2 < 3", TKS_ESYNTAX, 7, "do not chain"},
        {"sqrt(1, 2)", TKS_ESYNTAX, 1, "sqrt takes 1 argument"},
        {"atan2(1)", TKS_ESYNTAX, 1, "atan2 takes 2 arguments"},
        {"if(1 = 1, 2)", TKS_ESYNTAX, 12, "a comma is wanted"},
        {"min()", TKS_ESYNTAX, 5, "')' stands where"},
        {"wall +", TKS_ESYNTAX, 7, "ends where"},
        {"(wall", TKS_ESYNTAX, 6, "')' is wanted"},
        {"wall)", TKS_ESYNTAX, 5, "')' stands where"},
        {"wall $ 2", TKS_ESYNTAX, 6, "'$' stands where"},
        {"", TKS_ESYNTAX, 1, "the text ends"},
        {"and", TKS_ESYNTAX, 1, "'and' stands where"},
        {"wall, 2", TKS_ESYNTAX, 5, "',' stands where"},
        {"min((8,5), 2)", TKS_ESYNTAX, 7, "write 8.5"},
        {"µwall + d", TKS_EUNKNOWN, 1, "not known"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tks_quantity q = {77, {0, 0, 0, 0, 0, 0}};
        tks_error err = {.text = ""};
        tks_status status = value_of(rows[i].text, &q, &err);
        if (status != rows[i].status || !strstr(err.text, rows[i].words) ||
            err.column != rows[i].column)
            fail_msg("'%s': %s, column %d: %s", rows[i].text, tks_status_name(status), err.column,
                     err.text);
        assert_true(q.value == 77);
    }
}

/* For all pairs of kinds: a sum needs like kinds; a product has the sum of the exponents, and a
 * quotient takes it back, save that an angle is lost beside others. */
static void test_dimension_laws(void **state)
{
    char text[96];
    (void)state;
    for (int i = 1; i < TKS_KIND_COUNT; i++) {
        for (int j = 1; j < TKS_KIND_COUNT; j++) {
            tks_quantity q;
            const char *a = tks_kind_unit((tks_kind)i), *b = tks_kind_unit((tks_kind)j);
            snprintf(text, sizeof text, "3 %s + 2 %s", a, b);
            assert_int_equal(value_of(text, &q, NULL), i == j ? TKS_OK : TKS_EDIMENSION);
            snprintf(text, sizeof text, "(3 %s) * (2 %s) / (2 %s)", a, b, b);
            assert_int_equal(value_of(text, &q, NULL), TKS_OK);
            assert_near(q.value, 3, 1e-15, text);
            bool lost = i == TKS_ANGLE && j != TKS_ANGLE;
            tks_dimension want = tks_kind_dimension(lost ? TKS_NUMBER : (tks_kind)i);
            if (!tks_dimension_equal(q.dimension, want)) fail_msg("%s: dimension", text);
        }
    }
}

static void test_limits(void **state)
{
    char text[4200];
    tks_quantity q;
    tks_error err;
    (void)state;
    memset(text, '(', 200);
    text[200] = '\0';
    assert_int_equal(value_of(text, &q, &err), TKS_ELIMIT);
    memset(text, '-', 200);
    assert_int_equal(value_of(text, &q, &err), TKS_ELIMIT);
    for (size_t i = 0; i < 200; i++) memcpy(text + 2 * i, "2^", 3);
    assert_int_equal(value_of(text, &q, &err), TKS_ELIMIT);
    memset(text, 'x', 200);
    text[200] = '\0';
    assert_int_equal(value_of(text, &q, &err), TKS_ELIMIT);
    for (size_t i = 0; i < 1000; i++) memcpy(text + 2 * i, "1+", 3);
    memcpy(text + 2000, "1", 2);
    assert_int_equal(value_of(text, &q, &err), TKS_ELIMIT); /* too many steps */
    memset(text, ' ', 4200);
    text[4199] = '\0';
    assert_int_equal(value_of(text, &q, &err), TKS_ELIMIT);
    strcpy(text, "((((((((((((((((((((1))))))))))))))))))))");
    assert_int_equal(value_of(text, &q, &err), TKS_OK);
}

static void test_slots_and_reuse(void **state)
{
    tks_arena *arena = tks_arena_new();
    const tks_expression *e = NULL;
    tks_quantity q;
    char source[] = "outside - 2*wall";
    (void)state;
    assert_int_equal(
        tks_expression_compile(arena, source, strlen(source), tks_nowhere(), &known, &e, NULL), 0);
    memset(source, '#', sizeof source - 1); /* the expression keeps a copy */
    assert_int_equal(tks_expression_slots(e), 4);
    assert_int_equal(tks_expression_value(e, slots, &q, NULL), TKS_OK);
    assert_near(q.value, 0.026, 1e-15, "first");
    tks_quantity other[6];
    memcpy(other, slots, sizeof other);
    other[0].value = 0.001;
    assert_int_equal(tks_expression_value(e, other, &q, NULL), TKS_OK);
    assert_near(q.value, 0.028, 1e-15, "second");
    other[0].value = NAN;
    assert_int_equal(tks_expression_value(e, other, &q, NULL), TKS_EDOMAIN);
    other[0] = (tks_quantity){2, {0, 0, 0, 1, 0, 0}};
    tks_error err;
    assert_int_equal(tks_expression_value(e, other, &q, &err), TKS_EDIMENSION);
    assert_string_equal(err.text, "outside - 2*wall: cannot take a current from a length");
    tks_arena_free(arena);
}

static void test_every_allocation_fails(void **state)
{
    (void)state;
    tks_status status = TKS_EMEMORY;
    for (long nth = 1; status == TKS_EMEMORY && nth < 20; nth++) {
        const tks_expression *e = NULL;
        tks_error err;
        tks_arena *arena = tks_arena_new();
        base_alloc_fail_at(nth);
        status =
            tks_expression_compile(arena, "outside - 2*wall", 16, tks_nowhere(), &known, &e, &err);
        base_alloc_fail_at(0);
        assert_true(status == TKS_OK || (status == TKS_EMEMORY && e == NULL));
        if (nth == 1) assert_int_equal(status, TKS_EMEMORY);
        tks_arena_free(arena);
    }
    assert_int_equal(status, TKS_OK);
}

/* Reading a value allocates nothing, also by the long way. */
static void test_reading_allocates_nothing(void **state)
{
    double value;
    (void)state;
    base_alloc_fail_at(1);
    tks_status status =
        tks_quantity_read("2 * (1 1/2 in + 3 mm)", 21, TKS_LENGTH, tks_nowhere(), &value, NULL);
    base_alloc_fail_at(0);
    assert_int_equal(status, TKS_OK);
    assert_near(value, 0.0822, 1e-15, "by hand");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_values),
        cmocka_unit_test(test_errors),
        cmocka_unit_test(test_dimension_laws),
        cmocka_unit_test(test_limits),
        cmocka_unit_test(test_slots_and_reuse),
        cmocka_unit_test(test_every_allocation_fails),
        cmocka_unit_test(test_reading_allocates_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
