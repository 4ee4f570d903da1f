/* Symptoms: all have causes, and the load decides their order. */
#include "support/near.h"

#include "tankside/explain.h"

#include <string.h>

static tks_cause causes[TKS_MOST_CAUSES];

static size_t explain(const char *symptom, tks_facts facts)
{
    size_t count = 0;
    tks_error err;
    if (tks_explain(symptom, strlen(symptom), &facts, causes, &count, &err))
        fail_msg("%s", err.text);
    return count;
}

static void every_symptom_has_causes_in_order(void **state)
{
    (void)state;
    static const char *const names[] = {"rough",         "bare patches", "peeling",
                                        "dark and soft", "dull",         "uneven"};
    for (size_t i = 0; i < 6; i++) {
        assert_string_equal(tks_symptom_at(i), names[i]);
        size_t n = explain(names[i], tks_facts_none());
        assert_true(n >= 4);
        for (size_t k = 1; k < n; k++) assert_true(causes[k - 1].weight >= causes[k].weight);
        for (size_t k = 0; k < n; k++) assert_false(causes[k].in_load);
    }
    assert_null(tks_symptom_at(6));
    assert_true(explain("Bare-Patches", tks_facts_none()) > 0);
}

/* Without a load grease comes first; with a bare bore in it, the bore; at a density in the middle
 * of the window high density goes down. */
static void the_load_decides(void **state)
{
    (void)state;
    tks_facts facts = tks_facts_none();
    explain("bare patches", facts);
    assert_non_null(strstr(causes[0].cause, "grease"));
    facts.inside = 0.05;
    explain("bare patches", facts);
    assert_non_null(strstr(causes[0].cause, "recess"));
    assert_true(causes[0].in_load);
    facts.inside = 0;
    explain("bare patches", facts);
    assert_true(causes[0].in_load);
    explain("rough", tks_facts_none());
    assert_non_null(strstr(causes[0].cause, "density is too high"));
    facts.density = 0.2;
    explain("rough", facts);
    assert_non_null(strstr(causes[0].cause, "sludge"));
    facts.density = 1.1;
    explain("rough", facts);
    assert_non_null(strstr(causes[0].cause, "density is too high"));
    assert_near(causes[0].reason, 1.1, 0, "reason");
    assert_string_equal(causes[0].shown, "the density is 110 % of the most the bath bears");
}

/* A tube 8 mm wide and 80 mm long at 400 A/m^2, the top of the window: deep inside, dense. */
static void facts_come_from_the_plan(void **state)
{
    (void)state;
    const tks_cavity bore = {TKS_BORE, 4e-3, 80e-3, 2};
    const tks_surface surfaces[] = {
        {TKS_OUTSIDE, 3e-3, -1, 0},
        {TKS_INSIDE, 2e-3, 0, 0},
    };
    tks_part part = {.item = {.name = "tube",
                              .count = 1,
                              .surfaces = surfaces,
                              .surface_count = 2,
                              .cavities = &bore,
                              .cavity_count = 1},
                     .material = "",
                     .grade = "12.9",
                     .hardness = ""};
    tks_load load = {
        .first = &part, .part_count = 1, .aim = TKS_AIM_MEAN, .thickness = 8e-6, .density = 400};
    tks_tank tank = tks_tank_of(tks_bath_default());
    tank.anode_area = 0.01;
    tks_arena *arena = tks_arena_new();
    tks_cautions cautions = tks_cautions_new(arena);
    tks_plan plan;
    tks_error err;
    assert_int_equal(tks_plan_make(arena, &load, &tank, &cautions, &plan, &err), TKS_OK);
    tks_facts f = tks_facts_of(&plan);
    assert_near(f.density, 1, 1e-12, "400 of 400 A/m^2");
    assert_near(f.slowness, 0.125, 1e-12, "50 of 400 A/m^2");
    assert_near(f.anodes, 0.5, 1e-12, "50 of 100 cm^2");
    assert_true(f.inside < 0.1);
    assert_near(f.hard_steel, 1, 0, "12.9");
    assert_true(isnan(f.loading));
    tks_arena_free(arena);
}

static void unknown_symptoms_are_refused(void **state)
{
    (void)state;
    tks_facts none = tks_facts_none();
    size_t count = 7;
    tks_error err;
    assert_int_equal(tks_explain("pealing", 7, &none, causes, &count, &err), TKS_EUNKNOWN);
    assert_non_null(strstr(err.text, "did you mean 'peeling'"));
    assert_int_equal(tks_explain("purple", 6, &none, causes, &count, &err), TKS_EUNKNOWN);
    assert_non_null(strstr(err.text, "dark and soft"));
    assert_int_equal(count, 7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_symptom_has_causes_in_order),
        cmocka_unit_test(the_load_decides),
        cmocka_unit_test(facts_come_from_the_plan),
        cmocka_unit_test(unknown_symptoms_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
