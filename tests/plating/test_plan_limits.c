/* What limits a run, each limit by hand; and the order of aims and groups. */
#include "support/near.h"

#include "tankside/plan.h"

#include <string.h>

static tks_arena *arena;
static tks_cautions cautions;
static tks_error err;
static tks_tank bare; /* nothing known but the default bath */

static int set_up(void **state)
{
    (void)state;
    arena = tks_arena_new();
    cautions = tks_cautions_new(arena);
    bare = tks_tank_of(tks_bath_default());
    return arena ? 0 : -1;
}

static int tear_down(void **state)
{
    (void)state;
    tks_arena_free(arena);
    return 0;
}

static tks_part part_of(const char *name, size_t count, const tks_surface *surfaces, size_t n)
{
    return (tks_part){
        .item = {.name = name, .count = count, .surfaces = surfaces, .surface_count = n},
        .material = "",
        .grade = "",
        .hardness = ""};
}

static tks_status make_plan(tks_load *load, const tks_tank *tank, tks_plan *plan)
{
    load->part_count = 0;
    for (const tks_part *p = load->first; p; p = p->next) load->part_count++;
    return tks_plan_make(arena, load, tank, &cautions, plan, &err);
}

static bool has_caution(const char *code)
{
    for (const tks_caution *c = cautions.first; c; c = c->next)
        if (!strcmp(c->code, code)) return true;
    return false;
}

static const tks_surface open_face = {TKS_OUTSIDE, 0.0101, -1, 0};

/* Two plates of 101 cm^2 at 155 A/m^2: 3.131 A; 25 um by Faraday at 96 %: 3540.6 s. */
static void a_load_without_a_tank_is_one_run(void **state)
{
    (void)state;
    tks_part plate = part_of("plate", 2, &open_face, 1);
    tks_load load = {.first = &plate, .aim = TKS_AIM_MEAN, .thickness = 25e-6};
    tks_plan plan;
    assert_int_equal(make_plan(&load, &bare, &plan), TKS_OK);
    assert_int_equal(plan.run_count, 1);
    assert_true(plan.exact);
    assert_near(plan.runs[0].setting.current, 3.131, 1e-12, "A");
    assert_near(plan.runs[0].setting.time, 3540.6, 2e-5, "s");
    assert_near(plan.charge, plan.runs[0].setting.charge, 1e-12, "C");
    assert_near(plan.metal, 25e-6 * 0.0202 * 7140, 1e-12, "kg");
    assert_true(has_caution("supply-unknown"));
}

/* Hangers take current: 2 cm^2 more a piece, so 2 (101 + 2) cm^2 * 155 A/m^2 = 3.193 A. */
static void hangers_are_plated_too(void **state)
{
    (void)state;
    tks_part plate = part_of("plate", 2, &open_face, 1);
    tks_load load = {.first = &plate, .aim = TKS_AIM_MEAN, .thickness = 25e-6, .hanger_area = 4e-4};
    tks_plan plan;
    assert_int_equal(make_plan(&load, &bare, &plan), TKS_OK);
    assert_near(plan.runs[0].setting.current, 3.193, 1e-12, "A");
    assert_near(plan.runs[0].hanger_area, 4e-4, 1e-12, "m^2");
}

static tks_tank small_tank(void)
{
    tks_tank tank = tks_tank_of(tks_bath_default());
    tank.size[0] = 0.3;
    tank.size[1] = 0.2;
    tank.size[2] = 0.2;
    tank.rack_length = 0.26;
    tank.supply.max_current = 5;
    tank.supply.voltage = 30;
    return tank;
}

/* 40 plates of 101 cm^2 are 62.6 A; a 5 A supply gives 4.5 A: 2 plates (3.13 A) a run, 20 runs. */
static void the_supply_splits_the_load(void **state)
{
    (void)state;
    tks_part plate = part_of("plate", 40, &open_face, 1);
    tks_load load = {.first = &plate, .aim = TKS_AIM_MEAN, .thickness = 8e-6};
    tks_tank tank = small_tank();
    tks_plan plan;
    assert_int_equal(make_plan(&load, &tank, &plan), TKS_OK);
    assert_int_equal(plan.run_count, 20);
    assert_true(plan.bound <= 20);
    for (size_t i = 0; i < 20; i++) {
        assert_int_equal(plan.runs[i].entries[0].count, 2);
        assert_int_equal(plan.runs[i].supply.verdict, TKS_CAN);
    }
}

/* 12 L at most 1 A/L: 12 A, less than the 90 A of this supply. 155 A/m^2 * 101 cm^2 = 1.5655 A a
 * piece: 7 pieces. */
static void the_bath_limits_too(void **state)
{
    (void)state;
    tks_part plate = part_of("plate", 14, &open_face, 1);
    tks_load load = {.first = &plate, .aim = TKS_AIM_MEAN, .thickness = 8e-6};
    tks_tank tank = small_tank();
    tank.supply.max_current = 100;
    tks_plan plan;
    assert_int_equal(make_plan(&load, &tank, &plan), TKS_OK);
    assert_int_equal(plan.run_count, 2);
    assert_int_equal(plan.runs[0].entries[0].count, 7);
    tank.anode_area = 0.0303; /* as large as three plates: 14 / 3 is 5 runs */
    assert_int_equal(make_plan(&load, &tank, &plan), TKS_OK);
    assert_int_equal(plan.run_count, 5);
}

/* Plates 90 mm wide on a 260 mm rack: (90 + 15) mm each, 2 a run, if they are too long to hang in
 * tiers. */
static void the_rack_limits_too(void **state)
{
    (void)state;
    tks_part plate = part_of("plate", 6, &open_face, 1);
    plate.item.size[0] = 0.15;
    plate.item.size[1] = 0.09;
    plate.item.size[2] = 0.002;
    tks_load load = {.first = &plate, .aim = TKS_AIM_MEAN, .thickness = 8e-6};
    tks_tank tank = small_tank();
    tank.supply.max_current = 100;
    tks_plan plan;
    assert_int_equal(make_plan(&load, &tank, &plan), TKS_OK);
    assert_int_equal(plan.run_count, 3);
    /* Two tiers in 200 mm: (80 + 15) / 2 mm each, 5 a run. */
    plate.item.size[0] = 0.084;
    plate.item.size[1] = 0.080;
    assert_int_equal(make_plan(&load, &tank, &plan), TKS_OK);
    assert_int_equal(plan.run_count, 2);
}

static const tks_cavity deep_bore[] = {{TKS_BORE, 4e-3, 80e-3, 2}};
static const tks_surface bored[] = {
    {TKS_OUTSIDE, 0.005, -1, 0},
    {TKS_INSIDE, 0.002, 0, 0},
    {TKS_THREAD, 0.001, -1, 2e-3},
};

/* The minimum is reached at the thinnest significant surface, the thread's root; the mean is that
 * of all the metal over all the area. */
static void minimum_and_mean_are_kept(void **state)
{
    (void)state;
    tks_part part = part_of("sleeve", 1, bored, 3);
    part.item.cavities = deep_bore;
    part.item.cavity_count = 1;
    tks_load load = {.first = &part, .aim = TKS_AIM_MINIMUM, .thickness = 8e-6};
    tks_plan plan;
    tks_share root;
    assert_int_equal(make_plan(&load, &bare, &plan), TKS_OK);
    assert_int_equal(tks_share_of(&part.item, &bored[2], &bare.bath, 155, &root, &err), TKS_OK);
    assert_true(plan.runs[0].setting.thickness > 8e-6);
    assert_near(plan.runs[0].setting.thickness * root.least.usual, 8e-6, 1e-12, "thread root");
    load.aim = TKS_AIM_MEAN;
    assert_int_equal(make_plan(&load, &bare, &plan), TKS_OK);
    assert_near(plan.runs[0].entries[0].thickness_mean, 8e-6, 1e-12, "mean over 80 cm^2");
    assert_near(plan.metal, 8e-6 * 0.008 * 7140, 1e-12, "metal");
    assert_true(has_caution("inside-bare"));
}

static void parts_of_unlike_thickness_hang_apart(void **state)
{
    (void)state;
    const tks_surface coarse = {TKS_THREAD, 0.001, -1, 12e-3}; /* a press's screw */
    tks_part plate = part_of("plate", 1, &open_face, 1),
             screw = part_of("press screw", 1, &coarse, 1);
    plate.next = &screw;
    tks_load load = {.first = &plate, .aim = TKS_AIM_MINIMUM, .thickness = 8e-6};
    tks_plan plan;
    assert_int_equal(make_plan(&load, &bare, &plan), TKS_OK);
    assert_int_equal(plan.run_count, 2);
    load.aim = TKS_AIM_MEAN;
    assert_int_equal(make_plan(&load, &bare, &plan), TKS_OK);
    assert_int_equal(plan.run_count, 1);
}

static void what_cannot_be_done_is_refused(void **state)
{
    (void)state;
    tks_part part = part_of("flywheel", 1, &open_face, 1);
    part.at = (tks_place){"mill.yaml", 7, 3};
    tks_load load = {.first = &part, .aim = TKS_AIM_MEAN, .thickness = 8e-6};
    tks_tank tank = small_tank();
    tks_plan plan = {.bound = 7};
    tank.supply.max_current = 1; /* 0.9 A for 1.57 A; 89 A/m^2 would do */
    assert_int_equal(make_plan(&load, &tank, &plan), TKS_ELIMIT);
    assert_non_null(strstr(err.text, "0.89 A/dm^2"));
    assert_int_equal(err.line, 7);
    tank.supply.max_current = 0.1; /* 0.09 A: even 50 A/m^2 wants 0.505 A */
    assert_int_equal(make_plan(&load, &tank, &plan), TKS_ELIMIT);
    assert_non_null(strstr(err.text, "no setting can do it"));
    tank.supply.max_current = 100;
    part.item.size[0] = 0.31;
    assert_int_equal(make_plan(&load, &tank, &plan), TKS_ELIMIT);
    assert_non_null(strstr(err.text, "larger than the tank"));
    part.item.size[0] = 0;
    tank.bath.efficiency.low = 0;
    assert_int_equal(make_plan(&load, &tank, &plan), TKS_EDOMAIN);
    load.first = NULL;
    assert_int_equal(make_plan(&load, &bare, &plan), TKS_EMISSING);
    assert_int_equal(plan.bound, 7);
}

static void hard_steel_is_warned_of(void **state)
{
    (void)state;
    tks_part part = part_of("spring pin", 1, &open_face, 1);
    part.grade = "12.9";
    tks_load load = {.first = &part, .aim = TKS_AIM_MEAN, .thickness = 8e-6};
    tks_plan plan;
    assert_int_equal(make_plan(&load, &bare, &plan), TKS_OK);
    assert_true(has_caution("hydrogen-bake"));
    part.grade = "neverheard";
    assert_int_equal(make_plan(&load, &bare, &plan), TKS_EUNKNOWN);
}

#define plan_test(f) cmocka_unit_test_setup_teardown(f, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        plan_test(a_load_without_a_tank_is_one_run),
        plan_test(hangers_are_plated_too),
        plan_test(the_supply_splits_the_load),
        plan_test(the_bath_limits_too),
        plan_test(the_rack_limits_too),
        plan_test(minimum_and_mean_are_kept),
        plan_test(parts_of_unlike_thickness_hang_apart),
        plan_test(what_cannot_be_done_is_refused),
        plan_test(hard_steel_is_warned_of),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
