/* Dilution against density tables and hand sums; recipes and their warnings. */
#include "support/near.h"

#include "tankside/mix.h"

#include <string.h>

static const tks_acid *acid(const char *name)
{
    const tks_acid *found = NULL;
    assert_int_equal(tks_acid_find(name, strlen(name), tks_nowhere(), &found, NULL), TKS_OK);
    return found;
}

/* Hydrochloric acid at 20 C, kg/L: an encyclopaedic table of its physical properties (10, 20, 30,
 * 32, 34, 36, 38 %, three decimals), which is not where our rows come from. */
static void hydrochloric_matches_another_table(void **state)
{
    (void)state;
    static const double rows[][2] = {{10, 1.048}, {20, 1.098}, {30, 1.149}, {32, 1.159},
                                     {34, 1.169}, {36, 1.179}, {38, 1.189}};
    for (size_t i = 0; i < 7; i++) {
        double density;
        assert_int_equal(
            tks_acid_density(acid("hydrochloric acid"), rows[i][0] / 100, &density, NULL), TKS_OK);
        if (!(fabs(density - 1e3 * rows[i][1]) <= 0.7)) fail_msg("%g %%: %g", rows[i][0], density);
    }
}

/* The same table's concentrations: 20 % is 219.60 g/L, 36 % 424.44 g/L. */
static void concentrations_match_another_table(void **state)
{
    (void)state;
    tks_dilution d;
    const tks_acid *a = acid("hydrochloric acid");
    assert_int_equal(tks_dilute_to(a, 0.36, 0.20, 1e-3, &d, NULL), TKS_OK);
    assert_near(d.concentration, 219.60, 1e-3, "20 %");
    assert_int_equal(tks_dilute_to(a, 0.36, 0.36, 1e-3, &d, NULL), TKS_OK);
    assert_near(d.concentration, 424.44, 1e-3, "36 %");
    assert_near(d.water, 0, 1e-12, "nothing to add");
}

/* Battery acid: 1.28 kg/L is 37 to 38 % (trade knowledge, no source); sulphuric acid as sold,
 * 96 %, is 1.84 kg/L. */
static void sulphuric_matches_the_trade(void **state)
{
    (void)state;
    double low, high, stock;
    const tks_acid *a = acid("Sulphuric-Acid");
    assert_int_equal(tks_acid_density(a, 0.37, &low, NULL), TKS_OK);
    assert_int_equal(tks_acid_density(a, 0.38, &high, NULL), TKS_OK);
    assert_int_equal(tks_acid_density(a, 0.96, &stock, NULL), TKS_OK);
    assert_true(low < 1280 && 1280 < high);
    assert_near(stock, 1840, 0.005, "as sold");
}

/* One to one by volume, 36 %: 1.1789 kg of acid and 0.9982 kg of water make 2.1771 kg with
 * 0.4244 kg of HCl, 19.49 %; at 1.0954 kg/L that is 1.9875 L, so 5 L want 2.516 L of acid and
 * 2.511 kg of water. */
static void one_to_one_is_a_fifth(void **state)
{
    (void)state;
    tks_dilution d;
    assert_int_equal(tks_dilute_parts(acid("hydrochloric acid"), 0.36, 1, 1, 5e-3, &d, NULL),
                     TKS_OK);
    assert_near(d.fraction, 0.19494, 1e-4, "mass fraction");
    assert_near(d.density, 1095.4, 2e-4, "kg/m^3");
    assert_near(d.stock_volume, 2.516e-3, 5e-4, "acid");
    assert_near(d.water, 2.511, 5e-4, "water");
    assert_near(d.stock_mass + d.water, d.volume * d.density, 1e-12, "masses add up");
    assert_near(d.stock_mass * 0.36, d.concentration * d.volume, 1e-12, "acid is kept");
}

static void impossible_dilutions_are_refused(void **state)
{
    (void)state;
    const tks_acid *a = acid("hydrochloric acid");
    tks_dilution d = {.volume = 7};
    tks_error err;
    assert_int_equal(tks_dilute_to(a, 0.30, 0.36, 1e-3, &d, &err), TKS_EDOMAIN);
    assert_int_equal(tks_dilute_to(a, 0.60, 0.36, 1e-3, &d, &err), TKS_EDOMAIN);
    assert_int_equal(tks_dilute_to(a, 0.36, 0, 1e-3, &d, &err), TKS_EDOMAIN);
    assert_int_equal(tks_dilute_to(a, 0.36, 0.1, NAN, &d, &err), TKS_EDOMAIN);
    assert_int_equal(tks_dilute_parts(a, 0.36, 0, 1, 1e-3, &d, &err), TKS_EDOMAIN);
    assert_int_equal(tks_dilute_parts(a, NAN, 1, 1, 1e-3, &d, &err), TKS_EDOMAIN);
    assert_near(d.volume, 7, 0, "untouched");
    const tks_acid *none = NULL;
    assert_int_equal(tks_acid_find("vinegar", 7, tks_nowhere(), &none, &err), TKS_EUNKNOWN);
    assert_non_null(strstr(err.text, "sulphuric acid"));
}

static const tks_recipe *recipe(const char *name)
{
    const tks_recipe *found = NULL;
    assert_int_equal(tks_recipe_find(name, strlen(name), tks_nowhere(), &found, NULL), TKS_OK);
    return found;
}

/* Common practice, no source: 60/150/23 g/L, 40/25/25 g/L at 90 C. 8 L of them. */
static void amounts_follow_the_volume(void **state)
{
    (void)state;
    tks_mix m;
    assert_int_equal(tks_mix_make(recipe("chloride zinc"), 8e-3, 0, &m, NULL), TKS_OK);
    assert_near(m.amounts[0].usual, 0.480, 1e-12, "zinc chloride, kg");
    assert_near(m.amounts[1].usual, 1.200, 1e-12, "potassium chloride, kg");
    assert_near(m.amounts[2].usual, 0.184, 1e-12, "boric acid, kg");
    assert_int_equal(tks_mix_make(recipe("alkaline cleaner"), 8e-3, 0, &m, NULL), TKS_OK);
    assert_near(m.amounts[0].usual, 0.320, 1e-12, "hydroxide, kg");
    assert_near(m.amounts[1].usual, 0.200, 1e-12, "carbonate, kg");
    assert_near(m.amounts[2].usual, 0.200, 1e-12, "silicate, kg");
    assert_near(m.recipe->temperature.usual, 363.15, 1e-12, "90 C");
    assert_int_equal(tks_mix_make(recipe("pickle"), 5e-3, 0, &m, NULL), TKS_OK);
    assert_near(m.amounts[0].usual, 2.516e-3, 5e-4, "acid, m^3");
    assert_int_equal(tks_mix_make(recipe("pickle"), -1, 0, &m, NULL), TKS_EDOMAIN);
    assert_int_equal(tks_mix_make(recipe("pickle"), 1, 1.5, &m, NULL), TKS_EDOMAIN);
}

static bool warns_at(const tks_recipe *r, size_t step, const char *code)
{
    for (int i = 0; i < TKS_STEP_WARNINGS; i++) {
        const tks_warning *w = r->steps[step].warnings[i];
        if (w && !strcmp(w->code, code)) return true;
    }
    return false;
}

/* Each step into which acid goes says so there, and chromate says it before anything is mixed. */
static void warnings_stand_at_their_step(void **state)
{
    (void)state;
    for (size_t i = 0; tks_recipe_at(i); i++) {
        const tks_recipe *r = tks_recipe_at(i);
        assert_true(r->ingredient_count <= TKS_MOST_INGREDIENTS);
        for (size_t s = 0; s < r->step_count; s++) {
            int n = r->steps[s].ingredient;
            assert_true(n < (int)r->ingredient_count);
            bool acid_goes_in = n >= 0 && strstr(r->ingredients[n].name, "ic acid,");
            if (acid_goes_in && !warns_at(r, s, "acid-into-water"))
                fail_msg("%s, step %zu", r->name, s);
        }
    }
    assert_true(warns_at(recipe("chromate passivate"), 0, "chromate-cancer"));
    assert_true(warns_at(recipe("chromate passivate"), 0, "chromate-waste"));
    assert_true(warns_at(recipe("reducing rinse"), 2, "sulphur-dioxide"));
}

static void trivalent_is_offered_first(void **state)
{
    (void)state;
    size_t trivalent = 0, chromate = 0;
    for (size_t i = 0; tks_recipe_at(i); i++) {
        if (tks_recipe_at(i) == recipe("trivalent passivate")) trivalent = i;
        if (tks_recipe_at(i) == recipe("chromate passivate")) chromate = i;
    }
    assert_true(trivalent < chromate);
}

static void warnings_become_cautions(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_cautions list = tks_cautions_new(arena);
    assert_int_equal(tks_mix_cautions(recipe("chromate passivate"), &list), TKS_OK);
    assert_string_equal(list.first->code, "chromate-cancer");
    assert_int_equal(list.first->severity, TKS_INJURY);
    assert_int_equal(list.count, 4); /* each once */
    tks_arena_free(arena);
}

/* By hand: 2 m^2 at 0.1 L/m^2 is 0.2 L, with 12 g of zinc chloride in it; 100 Ah at 96 %: anodes
 * give 4 % of 121.95 g more than the parts take, 4.88 g. */
static void upkeep_follows_area_and_charge(void **state)
{
    (void)state;
    tks_upkeep u;
    assert_int_equal(tks_upkeep_of(recipe("chloride zinc"), tks_bath_default(), 2, 360000,
                                   TKS_DRAG_OUT, &u, NULL),
                     TKS_OK);
    assert_near(u.lost, 0.2e-3, 1e-12, "m^3");
    assert_near(u.amounts[0].usual, 0.012, 1e-12, "kg");
    assert_near(u.metal_gain, 0.00488, 1e-3, "kg");
    assert_int_equal(tks_upkeep_of(recipe("chloride zinc"), tks_bath_default(), -2, 0, 0, &u, NULL),
                     TKS_EDOMAIN);
}

/* Metal Finishing Guidebook, waste treatment: 2.8 lb of metabisulphite per lb of Cr(VI), which is
 * rounded up from the stoichiometric 2.74. */
static void metabisulphite_matches_the_handbook(void **state)
{
    (void)state;
    assert_near(tks_metabisulphite_for(1), 2.8, 0.03, "per kg of chromium");
    /* Na2Cr2O7.2H2O: 103.99 of 298.00 */
    assert_near(tks_chromium_in_dichromate(1), 0.34897, 1e-4, "chromium in dichromate");
}

static void unknown_recipes_are_refused(void **state)
{
    (void)state;
    const tks_recipe *r = NULL;
    tks_error err;
    assert_int_equal(tks_recipe_find("pikle", 5, tks_nowhere(), &r, &err), TKS_EUNKNOWN);
    assert_non_null(strstr(err.text, "did you mean 'pickle'"));
    assert_int_equal(tks_recipe_find("soup", 4, tks_nowhere(), &r, &err), TKS_EUNKNOWN);
    assert_non_null(strstr(err.text, "reducing rinse"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hydrochloric_matches_another_table),
        cmocka_unit_test(concentrations_match_another_table),
        cmocka_unit_test(sulphuric_matches_the_trade),
        cmocka_unit_test(one_to_one_is_a_fifth),
        cmocka_unit_test(impossible_dilutions_are_refused),
        cmocka_unit_test(amounts_follow_the_volume),
        cmocka_unit_test(warnings_stand_at_their_step),
        cmocka_unit_test(trivalent_is_offered_first),
        cmocka_unit_test(warnings_become_cautions),
        cmocka_unit_test(upkeep_follows_area_and_charge),
        cmocka_unit_test(metabisulphite_matches_the_handbook),
        cmocka_unit_test(unknown_recipes_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
