/* Supply arithmetic, each figure by hand in the comment beside it. */
#include "support/near.h"

#include "tankside/supply.h"

#include <string.h>

static const tks_spread one_volt = {0.6, 1.0, 1.4};

/* 12 V battery, 1 V over the tank, 0.8 A: (12 - 1) / 0.8 = 13.75 ohm, less 0.25 ohm of leads:
 * 13.5 ohm; 0.8^2 * 13.5 = 8.64 W. The 100 ohm 100 W rheostat bears sqrt(100 / 100) = 1 A. */
static void a_battery_is_set_by_its_rheostat(void **state)
{
    (void)state;
    const tks_supply battery = {.kind = TKS_BATTERY,
                                .voltage = 12,
                                .internal_resistance = 0.25,
                                .rheostat_resistance = 100,
                                .rheostat_power = 100};
    tks_supply_setting s;
    assert_int_equal(tks_supply_set(&battery, 0.8, one_volt, &s, NULL), TKS_OK);
    assert_int_equal(s.verdict, TKS_CAN);
    assert_near(s.resistance, 13.5, 1e-12, "ohm");
    assert_near(s.dissipation, 8.64, 1e-12, "W");
    assert_near(s.rheostat_limit, 1, 1e-12, "A");
    assert_near(tks_supply_limit(&battery), 1, 1e-12, "A");
}

/* The same at 3.13 A: sets to (12 - 1) / 3.13 - 0.25 = 3.2644 ohm and 31.98 W, well under 100 W,
 * and still burns: 3.2644 of its 100 ohm have 3.2644 W of rating. */
static void a_rheostat_burns_above_its_own_current(void **state)
{
    (void)state;
    const tks_supply battery = {.kind = TKS_BATTERY,
                                .voltage = 12,
                                .internal_resistance = 0.25,
                                .rheostat_resistance = 100,
                                .rheostat_power = 100};
    tks_supply_setting s;
    assert_int_equal(tks_supply_set(&battery, 3.13, one_volt, &s, NULL), TKS_OK);
    assert_int_equal(s.verdict, TKS_OVER_RHEOSTAT);
    assert_near(s.resistance, 3.2644, 1e-4, "ohm");
    assert_near(s.dissipation, 31.98, 1e-3, "W");
}

/* 5 ohm 50 W bears sqrt(10) = 3.162 A. At 1 A, (12 - 1) / 1 = 11 ohm are wanted: too small. */
static void a_small_rheostat_does_not_bring_it_down(void **state)
{
    (void)state;
    const tks_supply battery = {
        .kind = TKS_BATTERY, .voltage = 12, .rheostat_resistance = 5, .rheostat_power = 50};
    tks_supply_setting s;
    assert_near(tks_rheostat_limit(&battery), 3.16228, 1e-5, "A");
    assert_int_equal(tks_supply_set(&battery, 1, one_volt, &s, NULL), TKS_OK);
    assert_int_equal(s.verdict, TKS_RHEOSTAT_TOO_SMALL);
    assert_near(s.resistance, 11, 1e-12, "ohm");
    assert_int_equal(tks_supply_set(&battery, 3, one_volt, &s, NULL), TKS_OK);
    assert_int_equal(s.verdict, TKS_CAN);
    assert_near(s.resistance, 11.0 / 3, 1e-12, "ohm");
}

/* 1.5 V, 0.5 ohm inside, 1 V over the tank: at most (1.5 - 1) / 0.5 = 1 A. */
static void a_weak_cell_runs_out_of_voltage(void **state)
{
    (void)state;
    const tks_supply cell = {.kind = TKS_BATTERY,
                             .voltage = 1.5,
                             .internal_resistance = 0.5,
                             .rheostat_resistance = 10,
                             .rheostat_power = 100};
    tks_supply_setting s;
    assert_int_equal(tks_supply_set(&cell, 0.999, one_volt, &s, NULL), TKS_OK);
    assert_int_equal(s.verdict, TKS_CAN);
    assert_int_equal(tks_supply_set(&cell, 1.001, one_volt, &s, NULL), TKS_OK);
    assert_int_equal(s.verdict, TKS_OVER_VOLTAGE);
}

/* Constant current: 3.13 A on a 0.1 A step is 3.1 A; limit 1.5 * 1.4 V = 2.1 V on a 0.25 V step is
 * 2.25 V. Constant voltage: 1.0 V on the same step. */
static void a_bench_supply_is_set_in_steps(void **state)
{
    (void)state;
    tks_supply bench = {.kind = TKS_BENCH,
                        .max_current = 5,
                        .voltage = 30,
                        .current_step = 0.1,
                        .voltage_step = 0.25};
    tks_supply_setting s;
    assert_near(tks_supply_limit(&bench), 4.5, 1e-12, "nine tenths of 5 A");
    assert_int_equal(tks_supply_set(&bench, 3.13, one_volt, &s, NULL), TKS_OK);
    assert_near(s.current, 3.1, 1e-12, "A");
    assert_near(s.voltage, 2.25, 1e-12, "V");
    bench.mode = TKS_CONSTANT_VOLTAGE;
    assert_int_equal(tks_supply_set(&bench, 3.13, one_volt, &s, NULL), TKS_OK);
    assert_near(s.voltage, 1, 1e-12, "V");
    assert_int_equal(tks_supply_set(&bench, 5.1, one_volt, &s, NULL), TKS_OK);
    assert_int_equal(s.verdict, TKS_OVER_RATING);
    bench.voltage = 0.9;
    assert_int_equal(tks_supply_set(&bench, 3.13, one_volt, &s, NULL), TKS_OK);
    assert_int_equal(s.verdict, TKS_OVER_VOLTAGE);
}

static const tks_caution *find(const tks_cautions *list, const char *code)
{
    const tks_caution *c = list->first;
    while (c && strcmp(c->code, code)) c = c->next;
    return c;
}

/* Clang-format cannot align rows with designators. */
/* clang-format off */
#define BATTERY(ohms, watts) \
    {.kind = TKS_BATTERY, .voltage = 12, .rheostat_resistance = ohms, .rheostat_power = watts}

static void each_trouble_has_its_caution(void **state)
{
    (void)state;
    static const struct {
        const char *code;
        tks_supply supply;
        double current;
        tks_severity severity;
    } rows[] = {
        {"supply-current", {.max_current = 2}, 3.13, TKS_SPOIL},
        {"supply-voltage", {.voltage = 0.5}, 3.13, TKS_SPOIL},
        {"rheostat-overload", BATTERY(100, 100), 3.13, TKS_INJURY},
        {"rheostat-small", BATTERY(1, 100), 3.13, TKS_SPOIL},
        {"rheostat-hot", BATTERY(5, 100), 3.13, TKS_INJURY},
        {"supply-step", {.current_step = 1}, 1.4, TKS_DOUBT},
        {"ammeter-range", {.ammeter_range = 3}, 3.13, TKS_SPOIL},
        {"ammeter-coarse", {.ammeter_resolution = 0.5}, 1, TKS_DOUBT},
    };
    /* clang-format on */
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tks_arena *arena = tks_arena_new();
        tks_cautions list = tks_cautions_new(arena);
        tks_supply_setting s;
        assert_int_equal(tks_supply_set(&rows[i].supply, rows[i].current, one_volt, &s, NULL),
                         TKS_OK);
        assert_int_equal(tks_supply_cautions(&rows[i].supply, &s, "run 1", &list), TKS_OK);
        const tks_caution *c = find(&list, rows[i].code);
        if (!c) fail_msg("no caution %s", rows[i].code);
        assert_int_equal(c->severity, rows[i].severity);
        tks_arena_free(arena);
    }
}

static void figures_that_cannot_be_are_refused(void **state)
{
    (void)state;
    const tks_supply bad[] = {
        {.max_current = -5}, {.voltage = NAN},      {.current_step = INFINITY},
        {.margin = 1.1},     {.ammeter_range = -1},
    };
    tks_supply_setting s = {.current = 7};
    tks_error err;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_int_equal(tks_supply_set(&bad[i], 1, one_volt, &s, &err), TKS_EDOMAIN);
    const tks_supply battery = {.kind = TKS_BATTERY};
    assert_int_equal(tks_supply_set(&battery, 1, one_volt, &s, &err), TKS_EMISSING);
    const tks_supply good = {.max_current = 5};
    assert_int_equal(tks_supply_set(&good, NAN, one_volt, &s, &err), TKS_EDOMAIN);
    assert_int_equal(tks_supply_set(&good, 0, one_volt, &s, &err), TKS_EDOMAIN);
    const tks_spread wrong = {2, 1, 3};
    assert_int_equal(tks_supply_set(&good, 1, wrong, &s, &err), TKS_EDOMAIN);
    assert_near(s.current, 7, 0, "untouched");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_battery_is_set_by_its_rheostat),
        cmocka_unit_test(a_rheostat_burns_above_its_own_current),
        cmocka_unit_test(a_small_rheostat_does_not_bring_it_down),
        cmocka_unit_test(a_weak_cell_runs_out_of_voltage),
        cmocka_unit_test(a_bench_supply_is_set_in_steps),
        cmocka_unit_test(each_trouble_has_its_caution),
        cmocka_unit_test(figures_that_cannot_be_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
