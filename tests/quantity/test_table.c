#include "tankside/quantity.h"

#include "support/near.h"

#include <math.h>
#include <string.h>

static const char sp811[] = "NIST SP 811 (2008), appendix B.8";
static const char si[] = "SI brochure, 9th ed. (2019)";
/* The publication prints seven digits: half of the last one is at most 5e-7 of the whole. */
static const double printed = 5e-7;
static const double foot2 = 0.09290304, gallon = 3.785411784e-3, pound = 0.45359237;

static void test_published_factors(void **state)
{
    static const struct {
        const char *unit;
        double factor;
        tks_kind kind;
        double tolerance;
        const char *source;
    } known[] = {
        {"mm", 1e-3, TKS_LENGTH, 0, si},
        {"cm", 1e-2, TKS_LENGTH, 0, si},
        {"dm", 1e-1, TKS_LENGTH, 0, si},
        {"m", 1, TKS_LENGTH, 0, si},
        {"km", 1e3, TKS_LENGTH, 0, si},
        {"um", 1e-6, TKS_LENGTH, 0, si},
        {"µm", 1e-6, TKS_LENGTH, 0, si},
        {"μm", 1e-6, TKS_LENGTH, 0, si},
        {"nm", 1e-9, TKS_LENGTH, 0, si},
        {"in", 2.54e-2, TKS_LENGTH, 0, sp811},
        {"inch", 2.54e-2, TKS_LENGTH, 0, sp811},
        {"\"", 2.54e-2, TKS_LENGTH, 0, sp811},
        {"ft", 3.048e-1, TKS_LENGTH, 0, sp811},
        {"yd", 9.144e-1, TKS_LENGTH, 0, sp811},
        {"mil", 2.54e-5, TKS_LENGTH, 0, sp811},
        {"thou", 2.54e-5, TKS_LENGTH, 0, "mil of SP 811 by its British name"},
        {"mm2", 1e-6, TKS_AREA, 0, si},
        {"mm^2", 1e-6, TKS_AREA, 0, si},
        {"cm²", 1e-4, TKS_AREA, 0, si},
        {"dm2", 1e-2, TKS_AREA, 0, si},
        {"in2", 6.4516e-4, TKS_AREA, 1e-15, sp811},
        {"sq in", 6.4516e-4, TKS_AREA, 0, sp811},
        {"ft^2", 9.290304e-2, TKS_AREA, 1e-15, sp811},
        {"L", 1e-3, TKS_VOLUME, 0, si},
        {"mL", 1e-6, TKS_VOLUME, 0, si},
        {"cm3", 1e-6, TKS_VOLUME, 1e-15, si},
        {"in^3", 1.6387064e-5, TKS_VOLUME, 1e-15, sp811},
        {"gal", 3.785411784e-3, TKS_VOLUME, 0, "SP 811: 3.785 412; exact: 231 in^3"},
        {"qt", 9.463529e-4, TKS_VOLUME, printed, sp811},
        {"fl oz", 2.957353e-5, TKS_VOLUME, printed, sp811},
        {"g", 1e-3, TKS_MASS, 0, si},
        {"t", 1e3, TKS_MASS, 0, si},
        {"lb", 4.5359237e-1, TKS_MASS, 0, sp811},
        {"oz", 2.834952e-2, TKS_MASS, printed, sp811},
        {"A*h", 3.6e3, TKS_CHARGE, 0, sp811},
        {"Ah", 3.6e3, TKS_CHARGE, 0, sp811},
        {"mAh", 3.6, TKS_CHARGE, 0, sp811},
        {"A*s", 1, TKS_CHARGE, 0, si},
        {"min", 60, TKS_TIME, 0, si},
        {"h", 3600, TKS_TIME, 0, si},
        {"d", 86400, TKS_TIME, 0, si},
        {"deg", 3.14159265358979323846 / 180, TKS_ANGLE, 0, si},
        {"kohm", 1e3, TKS_RESISTANCE, 0, si},
        {"V/A", 1, TKS_RESISTANCE, 0, si},
        {"V*A", 1, TKS_POWER, 0, si},
        {"g/cm^3", 1e3, TKS_DENSITY, 1e-15, sp811},
        {"g/L", 1, TKS_DENSITY, 0, sp811},
        {"oz/gal", 7.489152, TKS_DENSITY, printed, sp811},
        {"lb/ft3", 16.01846, TKS_DENSITY, printed, sp811},
        {"A/dm^2", 100, TKS_CURRENT_DENSITY, 0, si},
        {"A/in^2", 1.550003e3, TKS_CURRENT_DENSITY, printed, sp811},
        {"A/ft2", 1 / 9.290304e-2, TKS_CURRENT_DENSITY, 1e-15, "SP 811, square foot"},
        {"mA/cm^2", 10, TKS_CURRENT_DENSITY, 0, si},
        {"mS/cm", 0.1, TKS_CONDUCTIVITY, 0, si},
        {"S/cm", 100, TKS_CONDUCTIVITY, 0, si},
        {"ohm*cm^2", 1e-4, TKS_POLARISATION, 0, si},
        {"MPa", 1e6, TKS_PRESSURE, 0, si},
        {"N/mm2", 1e6, TKS_PRESSURE, 0, si},
        {"psi", 6.894757e3, TKS_PRESSURE, printed, sp811},
        {"ksi", 6.894757e6, TKS_PRESSURE, printed, sp811},
        {"%", 0.01, TKS_NUMBER, 0, si},
    };
    (void)state;
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        tks_quantity q;
        const char *unit = known[i].unit;
        if (!tks_unit_find(unit, strlen(unit), &q)) fail_msg("%s is not found", unit);
        assert_near(q.value, known[i].factor, known[i].tolerance, unit);
        if (!tks_dimension_equal(q.dimension, tks_kind_dimension(known[i].kind)))
            fail_msg("%s: not a %s (%s)", unit, tks_kind_name(known[i].kind), known[i].source);
    }
}

/* The factors hang together: each customary unit from the inch and pound alone. */
static void test_derived_factors(void **state)
{
    (void)state;
    tks_quantity q;
    assert_near(231 * 0.0254 * 0.0254 * 0.0254, gallon, 1e-15, "gal = 231 in^3, by law");
    assert_true(tks_unit_find("oz/gal", 6, &q));
    assert_near(q.value, pound / 16 / gallon, 1e-15, "oz/gal");
    assert_true(tks_unit_find("lb/ft3", 6, &q));
    assert_near(q.value, pound / (foot2 * 0.3048), 1e-15, "lb/ft3");
    assert_true(tks_unit_find("psi", 3, &q));
    assert_near(q.value, pound * 9.80665 / (0.0254 * 0.0254), 1e-15, "psi, g_n by CGPM 1901");
    assert_true(tks_unit_find("ksi", 3, &q));
    assert_near(q.value, 1000 * pound * 9.80665 / (0.0254 * 0.0254), 1e-15, "ksi");
    assert_true(tks_unit_find("fl oz", 5, &q));
    assert_near(q.value, gallon / 128, 1e-15, "fl oz");
}

static void test_no_units(void **state)
{
    static const char *const texts[] = {"",
                                        "Mm",
                                        "MM",
                                        "mm ",
                                        " mm",
                                        "mm/",
                                        "/mm",
                                        "mm^",
                                        "mm^x",
                                        "8 mm",
                                        "mm^0",
                                        "mm^7",
                                        "°C²",
                                        "°C",
                                        "degF",
                                        "mm//m",
                                        "mm*",
                                        "furlong",
                                        "km^6*km^6*km^6*km^6*m"};
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (tks_unit_find(texts[i], strlen(texts[i]), NULL)) fail_msg("'%s' is found", texts[i]);
    assert_false(tks_unit_find("m\0m", 3, NULL));
}

static void test_kinds(void **state)
{
    (void)state;
    for (int i = 0; i < TKS_KIND_COUNT; i++) {
        tks_kind kind = (tks_kind)i;
        const char *name = tks_kind_name(kind), *unit = tks_kind_unit(kind);
        assert_int_equal(tks_kind_find(name, strlen(name)), kind);
        tks_quantity q;
        if (kind == TKS_NUMBER) continue;
        assert_true(tks_unit_find(unit, strlen(unit), &q));
        assert_true(q.value == 1);
        assert_true(tks_dimension_equal(q.dimension, tks_kind_dimension(kind)));
    }
    assert_int_equal(tks_kind_find("Current-Density", 15), TKS_CURRENT_DENSITY);
    assert_int_equal(tks_kind_find("current", 7), TKS_CURRENT);
    assert_int_equal(tks_kind_find("colour", 6), TKS_KIND_COUNT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_published_factors),
        cmocka_unit_test(test_derived_factors),
        cmocka_unit_test(test_no_units),
        cmocka_unit_test(test_kinds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
