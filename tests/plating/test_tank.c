/* Tank files, and the voltage over a tank by hand. */
#include "support/near.h"

#include "tankside/tank.h"

#include <string.h>

typedef struct fixture {
    tks_arena *arena;
    tks_reader *reader;
    tks_error err;
} fixture;

static tks_status read_tank(fixture *f, const char *text, tks_tank *tank)
{
    const tks_node *root;
    f->arena = tks_arena_new();
    assert_int_equal(tks_reader_memory("shed.yaml", text, strlen(text), NULL, &f->reader, &f->err),
                     TKS_OK);
    assert_int_equal(tks_reader_next(f->reader, f->arena, &root, &f->err), TKS_OK);
    return tks_tank_read(f->arena, root, "shed.yaml", tank, &f->err);
}

static void done(fixture *f)
{
    tks_reader_close(f->reader);
    tks_arena_free(f->arena);
}

static const char whole[] = "tank: shed tank\n"
                            "size: [300, 200, 180] mm\n"
                            "anodes:\n"
                            "  - {size: [200, 4, 150] mm, at: [0, 90, 95] mm}\n"
                            "  - {diameter: 12 mm, length: 200 mm, at: [-100, -90, 100] mm}\n"
                            "bath: {like: Chloride-Zinc, efficiency: 90 %, conductivity: 18 S/m,\n"
                            "       current density: [0.5, 1, 3] A/dm^2, amperes per litre: 0.6}\n"
                            "supply: {kind: bench supply, current: 5 A, voltage: 30 V,\n"
                            "         current step: 0.01 A, mode: constant current}\n"
                            "bench log: zinc.yaml\n";

static void a_whole_tank_is_read(void **state)
{
    (void)state;
    fixture f;
    tks_tank t;
    if (read_tank(&f, whole, &t)) fail_msg("%d: %s", f.err.line, f.err.text);
    assert_string_equal(t.name, "shed tank");
    assert_string_equal(t.bench_log, "zinc.yaml");
    assert_near(tks_tank_volume(&t), 10.8e-3, 1e-12, "10.8 L");
    assert_near(t.rack_length, 0.26, 1e-12, "length less 40 mm");
    assert_near(t.anode_distance, 0.084, 1e-12, "the rod's face: 90 - 6 mm");
    /* Plate 2 (200 + 4) * 150 mm^2; rod: 20 mm stand out, pi * 12 * 180 mm^2. */
    assert_near(t.anode_area, 0.0612 + M_PI * 0.012 * 0.18, 1e-12, "anode area");
    assert_true(t.anodes[1].rod && !t.anodes[0].rod);
    assert_near(t.bath.efficiency.usual, 0.9, 1e-12, "efficiency");
    assert_near(t.bath.efficiency.low, 0.9 * 0.95 / 0.96, 1e-12, "its spread");
    assert_near(t.bath.current_density.high, 300, 1e-12, "window");
    assert_near(t.bath.loading.usual, 600, 1e-12, "A/m^3");
    assert_string_equal(t.bath.conductivity.source, "given by the user");
    assert_near(t.supply.max_current, 5, 0, "A");
    done(&f);
}

static void an_empty_tank_has_the_default_bath(void **state)
{
    (void)state;
    fixture f;
    tks_tank t;
    assert_int_equal(read_tank(&f, "tank: bucket\n", &t), TKS_OK);
    assert_string_equal(t.bath.name, "chloride zinc");
    assert_near(tks_tank_volume(&t), 0, 0, "not known");
    done(&f);
}

static void each_mistake_is_told_with_its_place(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        tks_status status;
        int line;
        const char *says;
    } rows[] = {
        {"tank: a\nbath: cloride zinc\n", TKS_EUNKNOWN, 2, "chloride zinc"},
        {"tank: a\nbath: {like: gold}\n", TKS_EUNKNOWN, 2, "gold"},
        {"tank: a\nbath: {efficiency: 0 %}\n", TKS_EDOMAIN, 2, "efficiency is 0"},
        {"tank: a\nbath:\n  efficiency: 130 %\n", TKS_EDOMAIN, 3, "efficiency"},
        {"tank: a\nbath:\n  conductivity: 5 A\n", TKS_EDIMENSION, 3, ""},
        {"tank: a\nsise: [1, 1, 1] m\n", TKS_EUNKNOWN, 2, "size"},
        {"tank: a\nsize: [1, 0, 1] m\n", TKS_EDOMAIN, 2, "above zero"},
        {"tank: a\nsupply: {kind: dynamo}\n", TKS_EUNKNOWN, 2, "battery"},
        {"tank: a\nsupply: {kind: battery}\n", TKS_EMISSING, 2, "voltage"},
        {"tank: a\nsupply: {current: -5 A}\n", TKS_EDOMAIN, 2, "negative"},
        {"tank: a\nanodes: [{diameter: 3 mm, at: [0, 0, 0] mm}]\n", TKS_EMISSING, 2, "length"},
        {"tank: a\nanodes:\n  - {size: [9, 9, 9] mm}\n", TKS_EMISSING, 3, "at:"},
        {"size: [1, 1, 1] m\nanodes:\n  - {size: [9, 9, 9] mm, at: [1, 0, 0.5] m}\n", TKS_EGEOMETRY,
         3, "outside"},
        {"- 1\n- 2\n", TKS_ESYNTAX, 1, ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        fixture f;
        tks_tank t = {.anode_area = 7};
        tks_status status = read_tank(&f, rows[i].text, &t);
        if (status != rows[i].status || f.err.line != rows[i].line ||
            !strstr(f.err.text, rows[i].says))
            fail_msg("row %zu: status %s, line %d: %s", i, tks_status_name(status), f.err.line,
                     f.err.text);
        assert_near(t.anode_area, 7, 0, "untouched");
        done(&f);
    }
}

/* By hand: 202 cm^2 at 155 A/m^2 is 3.131 A; anodes of the same 202 cm^2, 0.1 m away, 20 S/m:
 * R = 0.1 / (20 * 0.0202) = 0.24752 ohm, 0.775 V; slope 0.0514 / 155 ohm m^2 at both sides:
 * 2 * 0.0514 = 0.1028 V. Together 0.8778 V. */
static void the_voltage_follows_ohm(void **state)
{
    (void)state;
    tks_tank t = tks_tank_of(tks_bath_default());
    t.anode_area = 0.0202;
    t.anode_distance = 0.1;
    tks_spread v = tks_tank_voltage(&t, 0.0202, 0.0202, 155);
    assert_near(v.usual, 0.8778, 1e-12, "V");
    assert_true(v.low < v.usual && v.usual < v.high);
    /* Anodes e times as large: mean area (e - 1) * 202 cm^2, path 0.775 / 1.71828 = 0.45103 V. */
    t.anode_area = 0.0202 * M_E;
    v = tks_tank_voltage(&t, 0.0202, 0.0202, 155);
    assert_near(v.usual, 0.775 / (M_E - 1) + 0.0514 * (1 + 1 / M_E), 1e-12, "larger anodes");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_whole_tank_is_read),
        cmocka_unit_test(an_empty_tank_has_the_default_bath),
        cmocka_unit_test(each_mistake_is_told_with_its_place),
        cmocka_unit_test(the_voltage_follows_ohm),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
