/* Faraday's law and the bath table against handbooks and against the facts of the trade. */
#include "support/near.h"

#include "tankside/plating.h"

#include <string.h>

static const tks_metal zinc = {"zinc", 65.38e-3, 2, 7140, ""};
static const tks_metal zinc_light = {"zinc, density 7.1", 65.38e-3, 2, 7100, ""};
static const tks_metal copper = {"copper", 63.546e-3, 2, 8960, ""};
static const tks_metal nickel = {"nickel", 58.6934e-3, 2, 8900, ""};
static const tks_metal cadmium = {"cadmium", 112.414e-3, 2, 8650, ""};
static const tks_metal tin = {"tin", 118.71e-3, 2, 7300, ""};
static const tks_metal silver = {"silver", 107.8682e-3, 1, 10500, ""};
static const tks_metal chromium = {"chromium", 51.9961e-3, 6, 7200, ""};

/* Handbook table "electrochemical equivalents", 100 % efficiency: g/Ah and Ah per ft^2 and mil.
 * Zinc's 14.3 in that table disagrees with its own 1.219 g/Ah and 7.14 g/cm^3, which give 13.8:
 * hence the wide band in that row only. Tin's and silver's are rounded to two figures there. */
static void equivalents_match_the_handbook(void **state)
{
    (void)state;
    static const struct {
        const tks_metal *metal;
        double gram_per_ah, ah_per_ft2_mil, tolerance;
    } rows[] = {
        {&zinc, 1.219, 14.3, 0.04},      {&copper, 1.186, 17.8, 0.005},
        {&nickel, 1.095, 19.0, 0.012},   {&cadmium, 2.097, 9.73, 0.005},
        {&tin, 2.214, 7.8, 0.006},       {&silver, 4.024, 6.2, 0.01},
        {&chromium, 0.323, 51.8, 0.015},
    };
    const double square_foot = 0.3048 * 0.3048, mil = 25.4e-6;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double grams = 1e3 * tks_faraday_mass(rows[i].metal, 1, 3600);
        double charge = tks_faraday_charge(rows[i].metal, 1, mil) * square_foot / 3600;
        assert_near(grams, rows[i].gram_per_ah, 0.002, rows[i].metal->name);
        assert_near(charge, rows[i].ah_per_ft2_mil, rows[i].tolerance, rows[i].metal->name);
    }
}

/* Handbook table of deposit rates, um/min at 1 A/dm^2, 100 % efficiency (zinc with density 7.1, as
 * that table has it; chromium's row is three digits short and its density is not given, 7.2 being
 * the other table's: 2 %). */
static void rates_match_the_handbook(void **state)
{
    (void)state;
    static const struct {
        const tks_metal *metal;
        double rate, tolerance;
    } rows[] = {
        {&zinc_light, 0.286, 0.005}, {&cadmium, 0.405, 0.01}, {&copper, 0.222, 0.01},
        {&nickel, 0.205, 0.01},      {&tin, 0.506, 0.01},     {&silver, 0.639, 0.01},
        {&chromium, 0.076, 0.02},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_near(1e6 * tks_faraday_thickness(rows[i].metal, 1, 100 * 60), rows[i].rate,
                    rows[i].tolerance, rows[i].metal->name);
}

/* Handbook on nickel, 95 % efficiency: 2 um is 0.18 g/dm^2, 0.17 Ah/dm^2, 20 min at 0.5 A/dm^2. */
static void nickel_layer_matches_the_handbook(void **state)
{
    (void)state;
    double charge = tks_faraday_charge(&nickel, 0.95, 2e-6) * 0.01;
    assert_near(charge / 3600, 0.17, 0.03, "Ah/dm^2");
    assert_near(charge / 0.5 / 60, 20, 0.03, "minutes");
    assert_near(1e3 * tks_faraday_mass(&nickel, 0.95, charge), 0.18, 0.015, "g/dm^2");
}

static void the_functions_undo_each_other(void **state)
{
    (void)state;
    double charge = tks_faraday_charge(&zinc, 0.8, 12e-6);
    assert_near(tks_faraday_thickness(&zinc, 0.8, charge), 12e-6, 1e-14, "thickness");
    double mass = tks_faraday_mass(&zinc, 0.8, charge);
    assert_near(mass, 12e-6 * 7140, 1e-14, "mass of 1 m^2");
    assert_near(tks_faraday_efficiency(&zinc, charge, mass), 0.8, 1e-14, "efficiency");
}

/* Common practice, no source: 202 cm^2 is 31.3 in^2, and at 0.1 A/in^2 wants 3.13 A. */
static void the_trade_sets_3_13_amperes(void **state)
{
    (void)state;
    const double inch = 0.0254, density = 0.1 / (inch * inch);
    tks_setting s;
    assert_int_equal(tks_set(tks_bath_default(), 202e-4, 202e-4, density, 25e-6, &s, NULL), TKS_OK);
    assert_near(s.area / (inch * inch), 31.3, 0.001, "in^2");
    assert_near(s.current, 3.13, 0.001, "A");
}

/* Common practice, no source: at 0.1 A/in^2 about 25 um builds in roughly 70 min, half that at
 * twice the density, twice that for 50 um. Faraday's law at this bath's 96 % says 59 min: the rule
 * is 18 % longer. Why a shop adds it: the rule is for the thickness that the thin places get too
 * (faces turned from the anode, recesses), hangers and clips take current that nobody counted, and
 * a bath that is cold or tired is less efficient. At 81 % the rule would be exact. */
static void the_rule_of_70_minutes_is_18_percent_longer(void **state)
{
    (void)state;
    const tks_bath *bath = tks_bath_default();
    const double density = 0.1 / (0.0254 * 0.0254);
    tks_setting once, faster, thicker;
    assert_int_equal(tks_set(bath, 0.02, 0.02, density, 25e-6, &once, NULL), TKS_OK);
    assert_int_equal(tks_set(bath, 0.02, 0.02, 2 * density, 25e-6, &faster, NULL), TKS_OK);
    assert_int_equal(tks_set(bath, 0.02, 0.02, density, 50e-6, &thicker, NULL), TKS_OK);
    /* By hand: 25e-6 * 7140 * 2 * 96485.33212 / (65.38e-3 * 0.96) / 155.0003 = 3540.8 s */
    assert_near(once.time, 3540.8, 1e-4, "Faraday at 96 %");
    assert_near(70 * 60 / once.time, 1.186, 1e-3, "the rule over Faraday");
    assert_near(faster.time, once.time / 2, 1e-12, "twice the density");
    assert_near(thicker.time, once.time * 2, 1e-12, "twice the thickness");
}

static void a_setting_holds_together(void **state)
{
    (void)state;
    const tks_bath *bath = tks_bath_default();
    tks_setting s;
    assert_int_equal(tks_set(bath, 0.03, 0.025, 0, 8e-6, &s, NULL), TKS_OK);
    assert_near(s.density, bath->current_density.usual, 0, "0 stands for usual");
    assert_near(s.charge, s.current * s.time, 1e-14, "charge");
    assert_near(s.metal, 8e-6 * 0.025 * 7140, 1e-12, "metal: thickness * area * density");
    assert_true(s.time_low < s.time && s.time < s.time_high);
    assert_true(s.current_low < s.current && s.current < s.current_high);
}

static void bad_values_are_refused(void **state)
{
    (void)state;
    static const double bad[] = {0, -1, NAN, INFINITY, -INFINITY};
    const tks_bath *bath = tks_bath_default();
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        tks_setting s = {.area = 7};
        tks_error err;
        double b = bad[i];
        assert_int_equal(tks_set(bath, b, 1, 100, 1e-6, &s, &err), TKS_EDOMAIN);
        assert_int_equal(tks_set(bath, 1, b, 100, 1e-6, &s, &err), TKS_EDOMAIN);
        if (b != 0) assert_int_equal(tks_set(bath, 1, 1, b, 1e-6, &s, &err), TKS_EDOMAIN);
        assert_int_equal(tks_set(bath, 1, 1, 100, b, &s, &err), TKS_EDOMAIN);
        assert_non_null(strstr(err.text, "thickness"));
        assert_near(s.area, 7, 0, "untouched");
    }
    tks_setting s;
    assert_int_equal(tks_set(bath, 1e300, 1e300, 1e10, 1, &s, NULL), TKS_EDOMAIN);
    assert_int_equal(tks_set(bath, 1, 1, 1e300, 1e-300, &s, NULL), TKS_EDOMAIN);
}

static void a_bath_without_efficiency_is_refused(void **state)
{
    (void)state;
    tks_error err;
    tks_bath bath = *tks_bath_default();
    bath.efficiency.low = 0;
    assert_int_equal(tks_bath_check(&bath, &err), TKS_EDOMAIN);
    assert_non_null(strstr(err.text, "chloride zinc: efficiency is 0"));
    bath.efficiency = (tks_figure){0.9, 1.2, 1.2, ""};
    assert_int_equal(tks_bath_check(&bath, &err), TKS_EDOMAIN);
    assert_non_null(strstr(err.text, "1.2"));
    bath.efficiency = (tks_figure){0.9, 0.8, 0.95, ""};
    assert_int_equal(tks_bath_check(&bath, &err), TKS_EDOMAIN);
    bath.efficiency = (tks_figure){0.9, NAN, 0.95, ""};
    assert_int_equal(tks_bath_check(&bath, &err), TKS_EDOMAIN);
    tks_setting s;
    assert_int_equal(tks_set(&bath, 1, 1, 100, 1e-6, &s, &err), TKS_EDOMAIN);
}

static void all_baths_can_be_and_name_their_sources(void **state)
{
    (void)state;
    size_t n = 0;
    for (const tks_bath *b; (b = tks_bath_at(n)); n++) {
        tks_error err;
        if (tks_bath_check(b, &err)) fail_msg("%s", err.text);
        const tks_figure *figures[] = {&b->efficiency,   &b->current_density, &b->conductivity,
                                       &b->polarisation, &b->temperature,     &b->voltage,
                                       &b->anode_ratio,  &b->loading};
        for (size_t i = 0; i < 8; i++) assert_true(strlen(figures[i]->source) > 0);
    }
    assert_int_equal(n, 4);
    assert_string_equal(tks_bath_at(0)->name, "chloride zinc");
}

static void baths_are_found_by_name(void **state)
{
    (void)state;
    const tks_bath *bath = NULL;
    tks_error err;
    assert_int_equal(tks_bath_find("Watts_Nickel", 12, tks_nowhere(), &bath, &err), TKS_OK);
    assert_string_equal(bath->metal->name, "nickel");
    assert_int_equal(tks_bath_find("cloride zinc", 12, tks_nowhere(), &bath, &err), TKS_EUNKNOWN);
    assert_non_null(strstr(err.text, "did you mean 'chloride zinc'"));
    assert_int_equal(tks_bath_find("gold", 4, tks_nowhere(), &bath, &err), TKS_EUNKNOWN);
    assert_non_null(strstr(err.text, "acid copper"));
    assert_string_equal(bath->metal->name, "nickel");
}

static void density_cautions_follow_the_window(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_cautions list = tks_cautions_new(arena);
    const tks_bath *bath = tks_bath_default();
    assert_int_equal(tks_density_cautions(bath, 155, "run 1", &list), TKS_OK);
    assert_int_equal(list.count, 0);
    assert_int_equal(tks_density_cautions(bath, 401, "run 1", &list), TKS_OK);
    assert_int_equal(tks_density_cautions(bath, 49, "run 2", &list), TKS_OK);
    assert_string_equal(list.first->code, "density-high");
    assert_string_equal(list.last->code, "density-low");
    tks_arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(equivalents_match_the_handbook),
        cmocka_unit_test(rates_match_the_handbook),
        cmocka_unit_test(nickel_layer_matches_the_handbook),
        cmocka_unit_test(the_functions_undo_each_other),
        cmocka_unit_test(the_trade_sets_3_13_amperes),
        cmocka_unit_test(the_rule_of_70_minutes_is_18_percent_longer),
        cmocka_unit_test(a_setting_holds_together),
        cmocka_unit_test(bad_values_are_refused),
        cmocka_unit_test(a_bath_without_efficiency_is_refused),
        cmocka_unit_test(all_baths_can_be_and_name_their_sources),
        cmocka_unit_test(baths_are_found_by_name),
        cmocka_unit_test(density_cautions_follow_the_window),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
