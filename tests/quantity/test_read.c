#include "tankside/quantity.h"

#include "quantity/quantity.h"
#include "support/near.h"

#include <locale.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

static tks_status read(const char *text, tks_kind kind, double *value, tks_error *err)
{
    /* A copy of just its length, so that a sanitizer sees a byte read too far. */
    size_t length = strlen(text);
    char *copy = malloc(length + 1);
    memcpy(copy, text, length);
    copy = realloc(copy, length ? length : 1);
    tks_status status = tks_quantity_read(copy, length, kind, (tks_place){"x", 1, 1}, value, err);
    free(copy);
    return status;
}

static void test_values(void **state)
{
    static const struct {
        const char *text;
        tks_kind kind;
        double value, tolerance;
    } rows[] = {
        {"8 mm", TKS_LENGTH, 0.008, 0},
        {"12.5mm", TKS_LENGTH, 0.0125, 0},
        {"  8  mm  ", TKS_LENGTH, 0.008, 0},
        {"-8 mm", TKS_LENGTH, -0.008, 0},
        {"8e-3 m", TKS_LENGTH, 0.008, 0},
        {".5 in", TKS_LENGTH, 0.0127, 0},
        {"0", TKS_LENGTH, 0, 0},
        {"1 1/2 in", TKS_LENGTH, 0.0381, 0},
        {"1-1/2 in", TKS_LENGTH, 0.0381, 0},
        {"1½ in", TKS_LENGTH, 0.0381, 0},
        {"3/4\"", TKS_LENGTH, 0.01905, 0},
        {"5/16 in", TKS_LENGTH, 0.0079375, 0},
        {"5 ft 6 in", TKS_LENGTH, 1.6764, 1e-15},
        {"5'6\"", TKS_LENGTH, 1.6764, 1e-15},
        {"5 ft 6 1/2 in", TKS_LENGTH, 1.6891, 1e-15},
        {"1/2 in + 2 mm", TKS_LENGTH, 0.0147, 1e-15},
        {"2 * 1/2 in", TKS_LENGTH, 0.0254, 1e-15},
        {"10 mm * 1/2", TKS_LENGTH, 0.005, 0},
        {"50 mm^2", TKS_AREA, 50e-6, 1e-15},
        {"50 mm2", TKS_AREA, 50e-6, 1e-15},
        {"43 cm²", TKS_AREA, 43e-4, 1e-15},
        {"31.3 sq in", TKS_AREA, 31.3 * 6.4516e-4, 1e-15},
        {"2 gal", TKS_VOLUME, 2 * 3.785411784e-3, 1e-15},
        {"8 fl oz", TKS_VOLUME, 3.785411784e-3 / 16, 1e-15},
        {"1 lb 4 oz", TKS_MASS, 1.25 * 0.45359237, 1e-15},
        {"0.1 A/in^2", TKS_CURRENT_DENSITY, 155.00031000062, 1e-12},
        {"1.2 A/dm^2", TKS_CURRENT_DENSITY, 120, 1e-15},
        {"1 h 20 min", TKS_TIME, 4800, 0},
        {"1h20min", TKS_TIME, 4800, 0},
        {"1:20:00", TKS_TIME, 4800, 0},
        {"0:01:30.5", TKS_TIME, 90.5, 0},
        {"1 1/2 h", TKS_TIME, 5400, 0},
        {"1 d", TKS_TIME, 86400, 0},
        {"90 deg", TKS_ANGLE, pi / 2, 1e-15},
        {"90°", TKS_ANGLE, pi / 2, 1e-15},
        {"20 C", TKS_TEMPERATURE, 293.15, 1e-15},
        {"20 °C", TKS_TEMPERATURE, 293.15, 1e-15},
        {"-5 C", TKS_TEMPERATURE, 268.15, 1e-15},
        {" -5 C", TKS_TEMPERATURE, 268.15, 1e-15},
        {"32 F", TKS_TEMPERATURE, 273.15, 1e-15}, /* freezing point, exact by definition */
        {"212 degF", TKS_TEMPERATURE, 373.15, 1e-15},
        {"293 K", TKS_TEMPERATURE, 293, 0},
        {"20 C + 5 K", TKS_TEMPERATURE, 298.15, 1e-15},
        {"3600 C", TKS_CHARGE, 3600, 0},
        {"2 A * 1 h", TKS_CHARGE, 7200, 0},
        {"75 %", TKS_NUMBER, 0.75, 0},
        {"7 + 3 * 2", TKS_NUMBER, 13, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double value = NAN;
        tks_error err = {.text = ""};
        if (read(rows[i].text, rows[i].kind, &value, &err))
            fail_msg("%s: %s", rows[i].text, err.text);
        assert_near(value, rows[i].value, rows[i].tolerance, rows[i].text);
    }
}

static void test_errors(void **state)
{
    static const struct {
        const char *text;
        tks_kind kind;
        tks_status status;
        int column;
        const char *words;
    } rows[] = {
        {"8", TKS_LENGTH, TKS_EDIMENSION, 1, "8 has no unit; write 8 mm, or 8 in"},
        {"8 millimetres", TKS_LENGTH, TKS_EUNKNOWN, 3, "units are written short, as mm"},
        {"8 mn", TKS_LENGTH, TKS_EUNKNOWN, 3, "'mn' is not a unit; did you mean mm?"},
        {"8 MM", TKS_LENGTH, TKS_EUNKNOWN, 3, "did you mean mm?"},
        {"8 wall", TKS_LENGTH, TKS_EUNKNOWN, 3, "'wall' is not a unit"},
        {"8 mm + 2 A", TKS_LENGTH, TKS_EDIMENSION, 6,
         "8 mm + 2 A: cannot add a current to a length"},
        {"8 mm - 2", TKS_LENGTH, TKS_EDIMENSION, 6, "cannot take a plain number from a length"},
        {"2 A", TKS_LENGTH, TKS_EDIMENSION, 1, "this is a current; a length is wanted"},
        {"2 mm", TKS_NUMBER, TKS_EDIMENSION, 1, "this is a length; a plain number is wanted"},
        {"8 mm * 2 A", TKS_LENGTH, TKS_EDIMENSION, 1, "a quantity in m*A"},
        {"8,5 mm", TKS_LENGTH, TKS_ESYNTAX, 2, "write 8.5"},
        {"1,000 mm", TKS_LENGTH, TKS_ESYNTAX, 2, "write 1.000, or 1000"},
        {"", TKS_LENGTH, TKS_EMISSING, 1, "a length is missing"},
        {"   ", TKS_AREA, TKS_EMISSING, 1, "an area is missing"},
        {"nan", TKS_NUMBER, TKS_EDOMAIN, 1, "'nan'"},
        {"inf mm", TKS_LENGTH, TKS_EDOMAIN, 1, "'inf'"},
        {"1e999 mm", TKS_LENGTH, TKS_EDOMAIN, 1, "too large"},
        {"1e308 km", TKS_LENGTH, TKS_EDOMAIN, 1, "too large"},
        {"1e300 * 1e300", TKS_NUMBER, TKS_EDOMAIN, 7, "too large"},
        {"1 / 0", TKS_NUMBER, TKS_EDOMAIN, 3, "division by zero"},
        {"5/0 in", TKS_LENGTH, TKS_EDOMAIN, 2, "division by zero"},
        {"-300 C", TKS_TEMPERATURE, TKS_EDOMAIN, 1, "absolute zero"},
        {"1:20", TKS_TIME, TKS_ESYNTAX, 1, "1:20:00"},
        {"1:70:00", TKS_TIME, TKS_ESYNTAX, 1, "1:20:00"},
        {"10 mm 20 mm", TKS_LENGTH, TKS_ESYNTAX, 7, "a sign as + or * is missing"},
        {"10 20", TKS_NUMBER, TKS_ESYNTAX, 4, "a sign as + or * is missing"},
        {"1.2.3 mm", TKS_LENGTH, TKS_ESYNTAX, 4, "a sign as + or * is missing"},
        {"5. . mm", TKS_LENGTH, TKS_ESYNTAX, 4, "point"},
        {"µ 8", TKS_LENGTH, TKS_EUNKNOWN, 1, "not known"},
        {"°°°€ $", TKS_LENGTH, TKS_EUNKNOWN, 1, "not known"},
        {"8 mm €", TKS_LENGTH, TKS_ESYNTAX, 6, "'€' stands where"},
        {"\xff\xfe", TKS_LENGTH, TKS_EUNKNOWN, 1, "not known"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double value = 77;
        tks_error err = {.text = ""};
        assert_int_equal(read(rows[i].text, rows[i].kind, &value, &err), rows[i].status);
        if (!strstr(err.text, rows[i].words)) fail_msg("'%s': %s", rows[i].text, err.text);
        if (err.column != rows[i].column) fail_msg("'%s': column %d", rows[i].text, err.column);
        assert_true(value == 77);
        assert_int_equal(read(rows[i].text, rows[i].kind, &value, NULL), rows[i].status);
    }
}

static void test_long_text(void **state)
{
    static char text[5000];
    double value;
    (void)state;
    memset(text, ' ', sizeof text);
    memcpy(text, "8 mm", 4);
    assert_int_equal(tks_quantity_read(text, 4096, TKS_LENGTH, tks_nowhere(), &value, NULL),
                     TKS_OK);
    assert_int_equal(tks_quantity_read(text, 4097, TKS_LENGTH, tks_nowhere(), &value, NULL),
                     TKS_ELIMIT);
    memset(text, '7', sizeof text);
    assert_int_equal(tks_quantity_read(text, 401, TKS_NUMBER, tks_nowhere(), &value, NULL),
                     TKS_ELIMIT);
    text[0] = '.';
    assert_int_equal(tks_quantity_read(text, 401, TKS_NUMBER, tks_nowhere(), &value, NULL), TKS_OK);
    assert_near(value, 7. / 9, 1e-15, "0.777...");
}

/* Numbers against the C library's own reader, bit for bit: short ones, long ones, halfway cases. */
static void test_numbers_round_correctly(void **state)
{
    static const char *const hard[] = {"9007199254740993",
                                       "9007199254740992.999999999999999",
                                       "123456789012345678901234567890",
                                       "0.1",
                                       "1e22",
                                       "1e23",
                                       "8.5e-22",
                                       "4.9e-324",
                                       "2.4703282292062327e-324",
                                       "1.7976931348623157e308",
                                       "2.2250738585072011e-308",
                                       "0.000000000000000000000000000001",
                                       "179769313486231580793e289",
                                       "1.00000000000000011102230246251565404236316680908203125",
                                       "5e-1",
                                       "00012.500"};
    char text[64];
    double value;
    unsigned long long seed = 12345;
    (void)state;
    for (size_t i = 0; i < sizeof hard / sizeof *hard; i++) {
        assert_int_equal(quantity_number_scan(hard[i], strlen(hard[i]), &value), strlen(hard[i]));
        if (value != strtod(hard[i], NULL)) fail_msg("%s gives %.17g", hard[i], value);
    }
    for (int i = 0; i < 100000; i++) {
        seed = seed * 6364136223846793005ull + 1442695040888963407ull;
        double x = ldexp((double)(seed >> 11), (int)(seed % 400) - 250);
        int length = snprintf(text, sizeof text, "%.*e", (int)(seed >> 60) + 2, x);
        assert_int_equal(quantity_number_scan(text, (size_t)length, &value), length);
        if (value != strtod(text, NULL)) fail_msg("%s gives %.17g", text, value);
    }
}

/* A locale with a decimal comma changes nothing. (Skipped where none is installed.) */
static void test_locale(void **state)
{
    double value;
    char text[32];
    (void)state;
    if (!setlocale(LC_NUMERIC, "de_DE.UTF-8") && !setlocale(LC_NUMERIC, "fr_FR.UTF-8")) skip();
    assert_int_equal(read("12.5 mm", TKS_LENGTH, &value, NULL), TKS_OK);
    assert_true(value == 0.0125);
    assert_int_equal(read("12.500000000000000000000001 mm", TKS_LENGTH, &value, NULL), TKS_OK);
    assert_near(value, 0.0125, 1e-15, "long number");
    tks_quantity_print(text, sizeof text, 0.0125, TKS_LENGTH, TKS_METRIC, 0);
    assert_string_equal(text, "12.5 mm");
    setlocale(LC_NUMERIC, "C");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_values),    cmocka_unit_test(test_errors),
        cmocka_unit_test(test_long_text), cmocka_unit_test(test_numbers_round_correctly),
        cmocka_unit_test(test_locale),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
