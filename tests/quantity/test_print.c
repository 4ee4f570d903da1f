#include "tankside/quantity.h"

#include "support/near.h"

#include <math.h>
#include <string.h>

static void test_texts(void **state)
{
    static const struct {
        double value;
        tks_kind kind;
        tks_system system;
        int digits;
        const char *text;
    } rows[] = {
        {0.00437, TKS_AREA, TKS_METRIC, 0, "43.7 cm2"},
        {0.00437, TKS_AREA, TKS_INCH, 0, "6.77 in2"},
        {0.00437, TKS_AREA, TKS_METRIC, 2, "44 cm2"},
        {1.5e-7, TKS_AREA, TKS_METRIC, 0, "0.15 mm2"},
        {1.2345, TKS_AREA, TKS_METRIC, 0, "1.23 m2"},
        {1.2345, TKS_AREA, TKS_INCH, 0, "13.3 ft2"},
        {0.4326, TKS_AREA, TKS_METRIC, 0, "4330 cm2"},
        {0.008, TKS_LENGTH, TKS_METRIC, 0, "8 mm"},
        {0.008, TKS_LENGTH, TKS_INCH, 0, "0.315 in"},
        {0.010, TKS_LENGTH, TKS_METRIC, 0, "10 mm"},
        {25e-6, TKS_LENGTH, TKS_METRIC, 0, "25 um"},
        {25.4e-6, TKS_LENGTH, TKS_INCH, 0, "1 thou"},
        {1.25, TKS_LENGTH, TKS_METRIC, 0, "1.25 m"},
        {0.9996, TKS_LENGTH, TKS_METRIC, 0, "1 m"},
        {0.9996, TKS_LENGTH, TKS_METRIC, 4, "999.6 mm"},
        {99.96e-6, TKS_LENGTH, TKS_METRIC, 0, "0.1 mm"},
        {-0.0, TKS_LENGTH, TKS_METRIC, 0, "0 mm"},
        {0, TKS_LENGTH, TKS_INCH, 0, "0 in"},
        {-0.008, TKS_LENGTH, TKS_METRIC, 0, "-8 mm"},
        {4200, TKS_TIME, TKS_METRIC, 0, "1 h 10 min"},
        {3600, TKS_TIME, TKS_METRIC, 0, "1 h"},
        {3599.9, TKS_TIME, TKS_METRIC, 0, "1 h"},
        {3120, TKS_TIME, TKS_METRIC, 0, "52 min"},
        {270, TKS_TIME, TKS_METRIC, 0, "4 min 30 s"},
        {119.6, TKS_TIME, TKS_METRIC, 0, "2 min"},
        {90, TKS_TIME, TKS_METRIC, 0, "90 s"},
        {45, TKS_TIME, TKS_METRIC, 0, "45 s"},
        {0.5, TKS_TIME, TKS_METRIC, 0, "0.5 s"},
        {4225, TKS_TIME, TKS_METRIC, 6, "1 h 10 min 25 s"},
        {0, TKS_TIME, TKS_METRIC, 0, "0 min"},
        {3.13, TKS_CURRENT, TKS_INCH, 0, "3.13 A"},
        {0.02, TKS_CURRENT, TKS_METRIC, 0, "20 mA"},
        {0.0002, TKS_MASS, TKS_METRIC, 0, "0.2 g"},
        {0.45359237, TKS_MASS, TKS_INCH, 0, "1 lb"},
        {0.1, TKS_MASS, TKS_INCH, 0, "3.53 oz"},
        {155.00031, TKS_CURRENT_DENSITY, TKS_INCH, 0, "0.1 A/in2"},
        {155.00031, TKS_CURRENT_DENSITY, TKS_METRIC, 0, "1.55 A/dm2"},
        {293.15, TKS_TEMPERATURE, TKS_METRIC, 0, "20 C"},
        {293.15, TKS_TEMPERATURE, TKS_INCH, 0, "68 F"},
        {1.5707963267948966, TKS_ANGLE, TKS_METRIC, 0, "90 deg"},
        {7140, TKS_DENSITY, TKS_METRIC, 0, "7.14 g/cm3"},
        {200, TKS_DENSITY, TKS_METRIC, 0, "200 g/L"},
        {200, TKS_DENSITY, TKS_INCH, 0, "26.7 oz/gal"},
        {3600, TKS_CHARGE, TKS_METRIC, 0, "1 Ah"},
        {1.2e9, TKS_PRESSURE, TKS_METRIC, 0, "1200 MPa"},
        {12345, TKS_NUMBER, TKS_METRIC, 0, "12300"},
        {0.0001234, TKS_NUMBER, TKS_METRIC, 0, "0.000123"},
        {1.5e-12, TKS_NUMBER, TKS_METRIC, 0, "1.5e-12"},
        {2e20, TKS_NUMBER, TKS_METRIC, 0, "2e20"},
        {NAN, TKS_LENGTH, TKS_METRIC, 0, "not a number"},
        {INFINITY, TKS_LENGTH, TKS_METRIC, 0, "infinite"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[64];
        int n = tks_quantity_print(text, sizeof text, rows[i].value, rows[i].kind, rows[i].system,
                                   rows[i].digits);
        assert_string_equal(text, rows[i].text);
        assert_int_equal(n, strlen(rows[i].text));
    }
}

static void test_named_units(void **state)
{
    char text[32];
    (void)state;
    assert_int_equal(tks_quantity_print_in(text, sizeof text, 0.00437, "cm^2", 0), 8);
    assert_string_equal(text, "43.7 cm2");
    tks_quantity_print_in(text, sizeof text, 0.0254, "mm", 5);
    assert_string_equal(text, "25.4 mm");
    tks_quantity_print_in(text, sizeof text, 293.15, "degC", 0);
    assert_string_equal(text, "20 degC");
    tks_quantity_print_in(text, sizeof text, 0.75, "%", 0);
    assert_string_equal(text, "75 %");
    tks_quantity_print_in(text, sizeof text, 0.75, "", 0);
    assert_string_equal(text, "0.75");
    assert_int_equal(tks_quantity_print_in(text, sizeof text, 1, "furlong", 0), -1);
    assert_int_equal(tks_quantity_print_in(text, 4, 0.00437, "cm^2", 0), 8);
    assert_string_equal(text, "43.");
    assert_int_equal(tks_quantity_print(NULL, 0, 0.008, TKS_LENGTH, TKS_METRIC, 0), 4);
}

/* What is printed reads back as the same value within half of its last digit. */
static void test_round_trip(void **state)
{
    (void)state;
    for (int kind = 0; kind < TKS_KIND_COUNT; kind++) {
        for (int i = -8; i < 9; i++) {
            for (int digits = 1; digits <= 17; digits++) {
                char text[64];
                double value = 1.2345678901234567 * pow(10, i), back = NAN;
                if (kind == TKS_TEMPERATURE)
                    value += 250; /* one digit must not pass absolute zero */
                if (kind == TKS_TIME && value > 100) continue; /* rounded as a clock is */
                tks_system system = digits % 2 ? TKS_METRIC : TKS_INCH;
                int n =
                    tks_quantity_print(text, sizeof text, value, (tks_kind)kind, system, digits);
                assert_int_equal(
                    tks_quantity_read(text, (size_t)n, (tks_kind)kind, tks_nowhere(), &back, NULL),
                    TKS_OK);
                double scale = kind == TKS_TEMPERATURE ? fmax(value, 460) : value;
                assert_true(fabs(back - value) <=
                            0.5001 * pow(10, 1 - digits) * scale + 4e-16 * scale);
            }
        }
    }
}

/* Clock times read back within half of the step they are rounded to. */
static void test_round_trip_of_times(void **state)
{
    (void)state;
    for (double seconds = 1; seconds < 1e6; seconds *= 1.01) {
        char text[64];
        double back = NAN;
        int n = tks_quantity_print(text, sizeof text, seconds, TKS_TIME, TKS_METRIC, 0);
        assert_int_equal(tks_quantity_read(text, (size_t)n, TKS_TIME, tks_nowhere(), &back, NULL),
                         TKS_OK);
        assert_true(fabs(back - seconds) <= (seconds < 599.5 ? 0.5001 : 30.001));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_texts),
        cmocka_unit_test(test_named_units),
        cmocka_unit_test(test_round_trip),
        cmocka_unit_test(test_round_trip_of_times),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
