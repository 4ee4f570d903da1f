/* Placed pieces, cuts, weights and sheet, as part files describe them. */
#include "support/described.h"
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const tks_part *part_of(described *d, tks_load *load, const char *text)
{
    *load = (tks_load){0};
    if (described_load(d, text, load))
        fail_msg("%s\n%d:%d: %s", text, d->err.line, d->err.column, d->err.text);
    return load->first;
}

static bool warned(const described *d, const char *code)
{
    for (const tks_caution *c = d->cautions.first; c; c = c->next)
        if (!strcmp(c->code, code)) return true;
    return false;
}

#define CUBE "shape: plate, length: 10 mm, width: 10 mm, thickness: 10 mm"

static const struct {
    const char *text;
    double area, volume; /* [mm^2], [mm^3] */
    const char *source;
} united[] = {
    {"part: x\npieces: [{" CUBE ", at: [0,0,0] mm}]", 600, 1000, "a cube"},
    {"part: x\npieces: [{" CUBE ", at: [0,0,0] mm}, {" CUBE ", at: [0,0,10] mm}]", 1000, 2000,
     "two stacked cubes: the faces that touch vanish, 2 x 600 - 2 x 100"},
    {"part: x\npieces: [{" CUBE ", at: [0,0,0] mm}, {" CUBE ", at: [5,0,0] mm}]", 800, 1500,
     "two cubes that overlap by half: a box of 15 x 10 x 10"},
    {"part: x\npieces: [{" CUBE ", at: [0,0,0] mm}, {" CUBE ", at: [0,0,0] mm}]", 600, 1000,
     "the same cube twice"},
    {"part: x\npieces: [{" CUBE ", at: [0,0,0] mm}]\ncuts: [{shape: cylinder, diameter: 4 mm, "
     "length: 20 mm, at: [0, 0, -5] mm}]",
     600 - 8 * M_PI + 40 * M_PI, 1000 - 40 * M_PI, "a cube with a hole through it"},
    {"part: x\npieces: [{shape: rod, diameter: 10 mm, length: 40 mm, at: [0,0,-20] mm}, "
     "{shape: rod, diameter: 10 mm, length: 40 mm, at: [-20,0,0] mm, axis: [1,0,0]}]",
     2 * (M_PI * 10 * 40 + 50 * M_PI) - 400, 2 * 1000 * M_PI - 2000.0 / 3,
     "equal rods crossed at right angles: less the Steinmetz solid's 16 r^2 and 16 r^3 / 3"},
    {"part: x\npieces: [{shape: rod, diameter: 10 mm, length: 40 mm, at: [0,0,0] mm, turn: 30 "
     "deg}, "
     "{" CUBE "}]",
     400 * M_PI + 50 * M_PI + 600, 1000 * M_PI + 1000, "a loose piece adds to a placed one"},
};

static void areas_of_placed_pieces(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof united / sizeof *united; i++) {
        described d = described_new();
        tks_load load;
        const tks_part *p = part_of(&d, &load, united[i].text);
        double want = united[i].area * 1e-6;
        assert_near(p->area, want, 1e-6, united[i].source);
        assert_near(p->volume, united[i].volume * 1e-9, 1e-5, united[i].source);
        if (!(p->area_low <= want && want <= p->area_high))
            fail_msg("%s: %.17g is not in %.17g .. %.17g", united[i].source, want, p->area_low,
                     p->area_high);
        described_free(&d);
    }
}

static void holes_by_cuts_are_inside(void **state)
{
    (void)state;
    described d = described_new();
    tks_load load;
    const tks_part *p = part_of(&d, &load, united[4].text);
    assert_near(p->by_label[TKS_HOLE], 40e-6 * M_PI, 1e-6, "hole of 4 mm through 10 mm, by hand");
    assert_string_equal(p->method, "union");
    described_free(&d);
}

/* 59 by 59 holes of 3 mm through 1 mm, of which a rod of 10 mm plugs a few: each hole is open at
 * both ends, whatever the number of cells that their plate takes. By hand: pi 3 mm2 of wall each.
 */
static void many_holes_stay_open(void **state)
{
    (void)state;
    described d = described_new();
    tks_load load;
    const tks_part *p =
        part_of(&d, &load,
                "part: x\npieces: [{shape: perforated plate, length: 300 mm, width: 300 "
                "mm, thickness: 1 mm, hole: 3 mm, pitch: 5 mm, at: [0,0,0] mm}, "
                "{shape: rod, diameter: 10 mm, length: 40 mm, at: [0,0,0] mm}]");
    assert_true(p->by_label[TKS_SEALED] == 0);
    assert_near(p->by_label[TKS_HOLE], 59 * 59 * 3e-6 * M_PI, 5e-3, "walls of the holes");
    assert_false(warned(&d, "sealed-void"));
    described_free(&d);
}

/* The caution of a code, or NULL. */
static const tks_caution *caution_of(const described *d, const char *code)
{
    for (const tks_caution *c = d->cautions.first; c; c = c->next)
        if (!strcmp(c->code, code)) return c;
    return NULL;
}

static void cautions_name_their_part(void **state)
{
    (void)state;
    described d = described_new();
    tks_load load;
    part_of(&d, &load,
            "part: lug\npieces: [{" CUBE ", at: [0,0,0] mm}, {" CUBE ", at: [20,0,0] mm}]\ncuts: "
            "[{" CUBE ", at: [90,0,0] mm}, {" CUBE ", name: slot, at: [0,0,10] mm}]");
    assert_string_equal(caution_of(&d, "apart")->what, "lug");
    assert_string_equal(caution_of(&d, "cut-misses")->what, "lug");
    assert_non_null(strstr(caution_of(&d, "cut-misses")->text, "cut 1 "));
    assert_string_equal(caution_of(&d, "cut-idle")->what, "lug, slot");
    assert_non_null(strstr(caution_of(&d, "cut-idle")->text, "cut 2 "));
    described_free(&d);
    d = described_new();
    part_of(&d, &load, united[4].text);
    assert_null(d.cautions.first); /* a hole drilled through needs no word */
    described_free(&d);
    /* nor do two tubes whose bores are opened into one another, though the bores' walls stay */
    d = described_new();
    part_of(&d, &load,
            "part: tee\npieces:\n"
            "  - {shape: tube, outside: 20 mm, inside: 16 mm, length: 60 mm, at: [0,0,-30] mm}\n"
            "  - {shape: tube, outside: 12 mm, inside: 9 mm, length: 30 mm, at: [0,0,0] mm, axis: "
            "[1,0,0]}\ncuts:\n"
            "  - {shape: cylinder, diameter: 16 mm, length: 60 mm, at: [0,0,-30] mm}\n"
            "  - {shape: cylinder, diameter: 9 mm, length: 30 mm, at: [0,0,0] mm, axis: [1,0,0]}");
    assert_null(d.cautions.first);
    described_free(&d);
}

/* A thread is told as one whatever it was cut with, and only where it is left: the pitch of M8 is
 * 1.25 mm (ISO 261). */
static void threads_by_cuts_are_threads(void **state)
{
    (void)state;
    static const struct {
        const char *pieces, *cut;
        size_t threads;
        bool internal;
    } rows[] = {
        {"[{" CUBE ", at: [0,0,0] mm}]",
         "[{shape: tapped hole, thread: M8, length: 10 mm, at: "
         "[0,0,0] mm}]",
         1, true},
        {"[{" CUBE ", at: [0,0,0] mm}]",
         "[{shape: threaded rod, thread: M8, length: 20 mm, at: "
         "[0,0,-5] mm}]",
         1, true},
        {"[{" CUBE
         ", at: [0,0,0] mm}, {shape: threaded rod, thread: M8, length: 30 mm, at: [0,0,5] "
         "mm}]",
         NULL, 1, false},
        {"[{" CUBE ", at: [0,0,0] mm}, {shape: threaded rod, thread: M8, length: 8 mm, at: [0,0,1] "
         "mm}]",
         NULL, 0, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        described d = described_new();
        tks_load load;
        char text[400];
        snprintf(text, sizeof text, "part: x\npieces: %s\n%s%s\n", rows[i].pieces,
                 rows[i].cut ? "cuts: " : "", rows[i].cut ? rows[i].cut : "");
        const tks_item *item = &part_of(&d, &load, text)->item;
        double pitch = 0;
        for (size_t k = 0; k < item->surface_count; k++)
            if (item->surfaces[k].label == TKS_THREAD) pitch = fmax(pitch, item->surfaces[k].pitch);
        assert_int_equal(item->thread_count, rows[i].threads);
        if (rows[i].threads) assert_near(pitch, 1.25e-3, 1e-12, "M8, ISO 261");
        if (rows[i].threads) assert_true(item->threads[0].internal == rows[i].internal);
        described_free(&d);
    }
}

/* A steel cube of 10 mm weighs 7.85 g. */
/* A closed tube of 20 x 2 mm, 100 mm long, with ends as thick as its wall; its bore is 16 x 96 mm.
 */
#define CLOSED                                                                                     \
    "part: x\npieces: [{shape: tube, outside: 20 mm, wall: 2 mm, length: 100 mm, ends: closed, "   \
    "at: [0,0,0] mm}"

static void closed_tubes_open_by_cuts(void **state)
{
    (void)state;
    const double outside = M_PI * (20 * 100 + 2 * 100), bore = M_PI * (16 * 96 + 2 * 64);
    described d = described_new();
    tks_load load;
    const tks_part *p =
        part_of(&d, &load, CLOSED ", {" CUBE ", at: [0,0,100] mm}]"); /* stands on its end */
    assert_near(p->area, (outside + 400) * 1e-6, 1e-6, "closed");
    assert_near(p->by_label[TKS_SEALED], bore * 1e-6, 1e-6, "bore of a closed tube");
    assert_false(warned(&d, "hollow-opened"));
    described_free(&d);
    d = described_new(); /* a vent of 4 mm through the far end */
    p = part_of(&d, &load,
                CLOSED "]\ncuts: [{shape: cylinder, diameter: 4 mm, length: 4 mm, at: "
                       "[0, 0, 97] mm}]");
    assert_near(p->area, (outside + bore - 2 * 4 * M_PI + 4 * M_PI * 2) * 1e-6, 1e-6, "vented");
    assert_near(p->by_label[TKS_SEALED], 0, 1e-12, "nothing is sealed");
    assert_true(warned(&d, "hollow-opened"));
    described_free(&d);
    d = described_new();
    part_of(&d, &load,
            "part: x\npieces: [{shape: bent tube, outside: 20 mm, wall: 2 mm, path: [{straight: "
            "100 mm}], ends: closed, at: [0,0,0] mm}]\ncuts: [{shape: cylinder, diameter: 4 mm, "
            "length: 30 mm, at: [0, 0, 50] mm, axis: [1, 0, 0]}]");
    assert_true(warned(&d, "closed-bore"));
    described_free(&d);
}

static void weights_are_compared(void **state)
{
    (void)state;
    described d = described_new();
    tks_load load;
    part_of(&d, &load, "part: x\nweight: 8 g\npieces: [{" CUBE "}]");
    assert_false(warned(&d, "weight-differs"));
    part_of(&d, &load, "part: x\nweight: 9 g\npieces: [{" CUBE "}]");
    assert_true(warned(&d, "weight-differs"));
    described_free(&d);
}

/* A sheet of 100 x 100 x 1 mm weighs 78.5 g; both faces 20,000 mm2, edges 400 mm2. */
static void sheet_is_known_by_its_weight(void **state)
{
    (void)state;
    described d = described_new();
    tks_load load;
    const tks_part *p = part_of(
        &d, &load, "part: x\npieces: [{sheet: {weight: 78.5 g, gauge: 1 mm, edge: 400 mm}}]");
    assert_near(p->area, 20400e-6, 1e-12, "2 m / (rho t) and the edges, by hand");
    assert_true(p->area_low < p->area && p->area < p->area_high);
    described_free(&d);
}

static void what_cannot_be_united_is_said(void **state)
{
    (void)state;
    static const struct {
        const char *text, *says;
    } rows[] = {
        {"part: x\npieces: [{" CUBE ", at: [0,0,0] mm, count: 2}]", "one place"},
        {"part: x\npieces: [{" CUBE ", at: [0,0,0] mm, contact: 5 mm^2}]", "contact"},
        {"part: x\npieces: [{" CUBE "}]\ncuts: [{" CUBE ", at: [0,0,0] mm}]", "nothing to cut"},
        {"part: x\npieces: [{" CUBE ", at: [0,0,0] mm}]\ncuts: [{" CUBE ", at: [0,0,0] mm}]",
         "no metal is left"},
        {"part: x\npieces: [{shape: rod, diameter: 5 mm, length: 20 mm, at: [0,0,0] mm}]\ncuts: "
         "[{" CUBE ", at: [0,0,0] mm}, {" CUBE ", at: [0,0,10] mm}]",
         "no metal is left"},
        {"part: x\npieces: [{" CUBE ", at: [0,0,0] mm, turn: 5 deg, x axis: [1,0,0]}]", "not both"},
        {"part: x\npieces: [{sheet: {weight: 5 g}}]", "gauge"},
        {"part: x\nweight: -5 g\npieces: [{" CUBE "}]", "above zero"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        described d = described_new();
        tks_load load = {0};
        if (described_load(&d, rows[i].text, &load) == TKS_OK) fail_msg("row %zu was taken", i);
        if (!strstr(d.err.text, rows[i].says)) fail_msg("row %zu: %s", i, d.err.text);
        assert_true(d.err.line > 0);
        described_free(&d);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(areas_of_placed_pieces),
        cmocka_unit_test(holes_by_cuts_are_inside),
        cmocka_unit_test(many_holes_stay_open),
        cmocka_unit_test(cautions_name_their_part),
        cmocka_unit_test(threads_by_cuts_are_threads),
        cmocka_unit_test(closed_tubes_open_by_cuts),
        cmocka_unit_test(weights_are_compared),
        cmocka_unit_test(sheet_is_known_by_its_weight),
        cmocka_unit_test(what_cannot_be_united_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
