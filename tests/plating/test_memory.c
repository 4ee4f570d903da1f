/* Memory that runs short, at each allocation in turn: a clean error, nothing written, nothing
 * leaked (the sanitizer build sees leaks). */
#include "support/near.h"

#include "base/alloc.h"
#include "tankside/bench_log.h"
#include "tankside/process.h"
#include "tankside/runs.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Runs the job with the nth allocation failing, for n = 1, 2 ... until none fails. */
static void fail_each(tks_status (*job)(tks_arena *arena, tks_error *err))
{
    for (long n = 1; n < 5000; n++) {
        base_alloc_fail_at(0);
        tks_arena *arena = tks_arena_new();
        tks_error err = {0};
        base_alloc_fail_at(n);
        tks_status status = job(arena, &err);
        base_alloc_fail_at(0);
        tks_arena_free(arena);
        if (status == TKS_OK) {
            assert_true(n > 1);
            return;
        }
        if (status != TKS_EMEMORY) fail_msg("at %ld: %s: %s", n, tks_status_name(status), err.text);
        assert_int_equal(err.code, TKS_EMEMORY);
    }
    fail_msg("it never succeeds");
}

/* Thirds and halves that miss the bound at first, so that all of the packing runs. */
static tks_status pack_runs(tks_arena *arena, tks_error *err)
{
    enum { KINDS = 12 };
    tks_run_need needs[KINDS];
    for (int i = 0; i < KINDS; i++)
        needs[i] = (tks_run_need){"part", 3, 0.21 + 0.017 * i, 0.3, 0.1, (unsigned)i % 2};
    const tks_run_limits limits = {1, 2, 1, "", "", ""};
    tks_runs runs;
    return tks_runs_pack(arena, needs, KINDS, &limits, &runs, err);
}

static void packing_survives(void **state)
{
    (void)state;
    fail_each(pack_runs);
}

static tks_status plan_and_process(tks_arena *arena, tks_error *err)
{
    static const tks_cavity bore = {TKS_BORE, 2e-3, 60e-3, 1};
    static const tks_surface surfaces[] = {
        {TKS_OUTSIDE, 5e-3, -1, 0},
        {TKS_INSIDE, 2e-3, 0, 0},
    };
    tks_part part = {.item = {.name = "tube",
                              .count = 9,
                              .surfaces = surfaces,
                              .surface_count = 2,
                              .cavities = &bore,
                              .cavity_count = 1},
                     .material = "",
                     .grade = "12.9",
                     .hardness = ""};
    tks_load load = {.first = &part, .part_count = 1, .aim = TKS_AIM_MEAN, .thickness = 8e-6};
    tks_tank tank = tks_tank_of(tks_bath_default());
    tank.supply.max_current = 3;
    tks_cautions cautions = tks_cautions_new(arena);
    const tks_process_wish wish = {TKS_RUST_LIGHT, true};
    tks_plan plan;
    tks_process process;
    tks_status status = tks_plan_make(arena, &load, &tank, &cautions, &plan, err);
    return status ? status : tks_process_make(arena, &plan, &wish, &process, err);
}

static void planning_survives(void **state)
{
    (void)state;
    fail_each(plan_and_process);
}

static char path[] = "/tmp/tankside-memory-XXXXXX";

static size_t lines_of(void)
{
    FILE *f = fopen(path, "r");
    size_t lines = 0;
    for (int c; (c = fgetc(f)) != EOF;) lines += c == '\n';
    fclose(f);
    return lines;
}

static tks_status append_and_read(tks_arena *arena, tks_error *err)
{
    const tks_metal *zinc = tks_bath_default()->metal;
    const tks_bench_entry entry = {.date = "", .bath = "zinc", .charge = 7200, .metal = 2e-3};
    tks_bench_log log;
    assert_int_equal(truncate(path, 0), 0);
    tks_status status = tks_bench_log_append(path, &entry, zinc, err);
    assert_int_equal(lines_of(), status ? 0 : 2);
    return status ? status : tks_bench_log_read(arena, path, &log, err);
}

static void the_log_survives(void **state)
{
    (void)state;
    int file = mkstemp(path);
    assert_true(file >= 0);
    close(file);
    fail_each(append_and_read);
    unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(packing_survives),
        cmocka_unit_test(planning_survives),
        cmocka_unit_test(the_log_survives),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
