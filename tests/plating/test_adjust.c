/* Readings of the ammeter, each tally by hand. */
#include "support/near.h"

#include "tankside/adjust.h"

#include <string.h>

/* 202 cm^2; 25 um want 25e-6 * 7140 * 2 * 96485.33212 / (65.38e-3 * 0.96) * 0.0202 = 11085.7 C. */
#define AREA   0.0202
#define WANTED 25e-6
#define CHARGE 11085.7

static tks_progress progress_of(const tks_reading *readings, size_t count)
{
    tks_progress p;
    tks_error err;
    if (tks_adjust(tks_bath_default(), AREA, WANTED, readings, count, &p, &err))
        fail_msg("%s", err.text);
    return p;
}

/* 3.6 A from the start, and not 3.13: 11085.7 / 3.6 = 3079.4 s. */
static void another_current_gives_another_time(void **state)
{
    (void)state;
    const tks_reading r[] = {{0, 3.6, {0}}};
    tks_progress p = progress_of(r, 1);
    assert_near(p.left, 3079.4, 1e-5, "s");
    assert_near(p.density, 178.218, 1e-5, "A/m^2");
    assert_near(p.charge, 0, 0, "nothing yet");
}

/* 10 min at 3.6 A falling evenly to 3.0 A: 600 * 3.3 = 1980 C; off for 5 min; 10 min at 3.0 A:
 * 1800 C. To go 11085.7 - 3780 = 7305.7 C at 3.0 A: 2435.2 s. */
static void interruptions_do_not_count(void **state)
{
    (void)state;
    const tks_reading r[] = {
        {0, 3.6, {0}}, {599, 3.0006, {0}}, {600, 0, {0}}, {900, 3.0, {0}}, {1500, 3.0, {0}},
    };
    tks_progress p = progress_of(r, 5);
    assert_near(p.charge, 3780, 2e-4, "C");
    assert_near(p.plated, 1200, 1e-12, "s");
    assert_near(p.elapsed, 1500, 1e-12, "s");
    assert_near(p.longest_pause, 300, 1e-12, "s");
    assert_near(p.left, 2435.2, 2e-4, "s");
    assert_near(p.thickness, WANTED * 3780 / CHARGE, 2e-4, "m");
}

/* A pause at the very end or before the start is none. */
static void only_pauses_between_count(void **state)
{
    (void)state;
    const tks_reading r[] = {
        {0, 0, {0}}, {1000, 3, {0}}, {1600, 3, {0}}, {1601, 0, {0}}, {9000, 0, {0}},
    };
    tks_progress p = progress_of(r, 5);
    assert_near(p.longest_pause, 0, 0, "s");
    assert_true(isinf(p.left));
    assert_near(p.charge, 1803, 1e-12, "C");
}

static void enough_is_enough(void **state)
{
    (void)state;
    const tks_reading r[] = {{0, 3.6, {0}}, {4000, 3.6, {0}}};
    tks_progress p = progress_of(r, 2);
    assert_near(p.left, 0, 0, "s");
    assert_near(p.thickness, WANTED * 14400 / CHARGE, 1e-5, "m");
}

static bool has(const tks_cautions *list, const char *code)
{
    for (const tks_caution *c = list->first; c; c = c->next)
        if (!strcmp(c->code, code)) return true;
    return false;
}

static void cautions_follow_the_readings(void **state)
{
    (void)state;
    static const struct {
        tks_reading r[4];
        size_t count;
        const char *code;
    } rows[] = {
        {{{0, 9, {0}}, {60, 3, {0}}}, 2, "density-high"},
        {{{0, 0.5, {0}}, {60, 3, {0}}}, 2, "density-low"},
        {{{0, 3, {0}}, {60, 0, {0}}, {190, 3, {0}}, {200, 3, {0}}}, 4, "pause-dry"},
        {{{0, 3, {0}}, {6000, 3, {0}}}, 2, "overplated"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tks_arena *arena = tks_arena_new();
        tks_cautions list = tks_cautions_new(arena);
        tks_progress p = progress_of(rows[i].r, rows[i].count);
        assert_int_equal(tks_adjust_cautions(tks_bath_default(), &p, &list), TKS_OK);
        if (!has(&list, rows[i].code) || list.count != 1) fail_msg("not just %s", rows[i].code);
        tks_arena_free(arena);
    }
}

static tks_status read_log(const char *text, size_t *count, tks_error *err)
{
    tks_arena *arena = tks_arena_new();
    tks_reader *reader;
    const tks_node *root;
    tks_reading *readings;
    assert_int_equal(tks_reader_memory("log", text, strlen(text), NULL, &reader, err), TKS_OK);
    assert_int_equal(tks_reader_next(reader, arena, &root, err), TKS_OK);
    tks_status status = tks_readings_read(arena, root, "log", &readings, count, err);
    tks_reader_close(reader);
    tks_arena_free(arena);
    return status;
}

static void logs_are_read_and_checked(void **state)
{
    (void)state;
    tks_error err;
    size_t count = 0;
    assert_int_equal(read_log("- [0 min, 3.6 A]\n- [12 min, 3400 mA]\n", &count, &err), TKS_OK);
    assert_int_equal(count, 2);
    static const struct {
        const char *text;
        tks_status status;
        int line;
        const char *says;
    } rows[] = {
        {"- [0 min, 3 A]\n- [9 min, 3 A]\n- [8 min, 3 A]\n", TKS_EDOMAIN, 3, "backwards"},
        {"- [0 min, 3 A]\n- [0 min, 3 A]\n", TKS_EDOMAIN, 2, "backwards"},
        {"- [0 min, -3 A]\n", TKS_EDOMAIN, 1, "negative"},
        {"- [0 min]\n", TKS_ESYNTAX, 1, "pair"},
        {"- [0 min, 3 A, 2]\n", TKS_ESYNTAX, 1, "pair"},
        {"- 3 A\n", TKS_ESYNTAX, 1, ""},
        {"- [3 A, 0 min]\n", TKS_EDIMENSION, 1, ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tks_status status = read_log(rows[i].text, &count, &err);
        if (status != rows[i].status || err.line != rows[i].line || !strstr(err.text, rows[i].says))
            fail_msg("row %zu: %s, line %d: %s", i, tks_status_name(status), err.line, err.text);
    }
    assert_int_equal(count, 2);
}

static void bad_values_are_refused(void **state)
{
    (void)state;
    tks_error err;
    tks_progress p = {.left = 7};
    const tks_bath *bath = tks_bath_default();
    const tks_reading good = {0, 3, {0}}, bad = {0, NAN, {0}},
                      huge[] = {{0, 1e308, {0}}, {1e9, 1e308, {0}}};
    assert_int_equal(tks_adjust(bath, 0, WANTED, &good, 1, &p, &err), TKS_EDOMAIN);
    assert_int_equal(tks_adjust(bath, AREA, NAN, &good, 1, &p, &err), TKS_EDOMAIN);
    assert_int_equal(tks_adjust(bath, AREA, WANTED, &bad, 1, &p, &err), TKS_EDOMAIN);
    assert_int_equal(tks_adjust(bath, AREA, WANTED, huge, 2, &p, &err), TKS_EDOMAIN);
    assert_int_equal(tks_adjust(bath, AREA, WANTED, NULL, 0, &p, &err), TKS_EMISSING);
    assert_near(p.left, 7, 0, "untouched");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(another_current_gives_another_time),
        cmocka_unit_test(interruptions_do_not_count),
        cmocka_unit_test(only_pauses_between_count),
        cmocka_unit_test(enough_is_enough),
        cmocka_unit_test(cautions_follow_the_readings),
        cmocka_unit_test(logs_are_read_and_checked),
        cmocka_unit_test(bad_values_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
