/* Penetration roots against heat-conduction tables and series; shares and their sums. */
#include "support/described.h"
#include "support/near.h"

#include "tankside/effective.h"

#include <stdio.h>
#include <string.h>

/* Incropera, Fundamentals of Heat and Mass Transfer, Table 5.1 (coefficients of the one-term
 * approximation), columns plane wall and infinite cylinder; from memory but for the rows 0.1, 1, 10
 * and infinity of the cylinder. Four digits after the point there. */
static void roots_match_the_heat_tables(void **state)
{
    (void)state;
    static const struct {
        double biot, wall, cylinder;
    } rows[] = {
        {0.01, 0.0998, 0.1412}, {0.1, 0.3111, 0.4417}, {0.5, 0.6533, 0.9408},
        {1, 0.8603, 1.2558},    {2, 1.0769, 1.5995},   {5, 1.3138, 1.9898},
        {10, 1.4289, 2.1795},   {100, 1.5552, 2.3809}, {INFINITY, 1.5708, 2.4048},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char row[32];
        snprintf(row, sizeof row, "Bi %g", rows[i].biot);
        if (fabs(tks_root_gap(rows[i].biot) - rows[i].wall) > 1.1e-4) fail_msg("wall, %s", row);
        if (fabs(tks_root_bore(rows[i].biot) - rows[i].cylinder) > 1.1e-4)
            fail_msg("cylinder, %s", row);
    }
}

/* Over 24 decades the root satisfies its equation, and grows. */
static void roots_satisfy_their_equations(void **state)
{
    (void)state;
    double last_bore = 0, last_gap = 0;
    for (double biot = 1e-12; biot < 1e12; biot *= 1.7) {
        double b = tks_root_bore(biot), g = tks_root_gap(biot);
        assert_near(b * j1(b) / biot, j0(b), 1e-12 * (1 + 1 / j0(b)), "bore");
        assert_near(g * sin(g) / biot, cos(g), 1e-12 * (1 + 1 / cos(g)), "gap");
        assert_true(b > last_bore && g > last_gap);
        last_bore = b;
        last_gap = g;
    }
    assert_true(tks_root_bore(0) == 0 && tks_root_gap(0) == 0);
    /* A small Bi: x^2 = 2 Bi (1 - Bi/4 ...), x^2 = Bi (1 - Bi/3 ...), by series. */
    assert_near(tks_root_bore(1e-6), sqrt(2e-6 * (1 - 0.25e-6)), 1e-12, "bore series");
    assert_near(tks_root_gap(1e-6), sqrt(1e-6 * (1 - 1e-6 / 3)), 1e-12, "gap series");
}

static void the_profile_averages_to_the_mean(void **state)
{
    (void)state;
    const tks_cavity bore = {TKS_BORE, 4e-3, 40e-3, 2};
    tks_reach r;
    assert_int_equal(tks_reach_of(&bore, 20, 3e-4, &r, NULL), TKS_OK);
    assert_near(r.depth, 20e-3, 1e-15, "two mouths: half the length");
    assert_near(tks_reach_at(&r, 0), 1, 1e-14, "mouth");
    assert_near(tks_reach_at(&r, r.depth), 1 / cosh(r.depth / r.length), 1e-12, "middle");
    enum { STEPS = 2000 };
    double sum = 0;
    for (int i = 0; i < STEPS; i++) sum += tks_reach_at(&r, r.depth * (i + 0.5) / STEPS);
    assert_near(sum / STEPS, r.mean, 1e-5, "midpoint rule");
    double at = tks_reach_distance(&r, 0.5);
    assert_near(tks_reach_at(&r, at), 0.5, 1e-10, "half way down");
    assert_near(tks_reach_distance(&r, r.least / 2), r.depth, 0, "never so little");
}

/* A bore so fine and long that cosh would overflow gets nothing, and no NaN. */
static void extreme_cavities_stay_finite(void **state)
{
    (void)state;
    const tks_cavity needle = {TKS_BORE, 1e-6, 1e3, 1}, bowl = {TKS_BORE, 1, 1e-9, 1};
    tks_reach r;
    assert_int_equal(tks_reach_of(&needle, 20, 3e-4, &r, NULL), TKS_OK);
    assert_true(r.least == 0 && r.mean > 0 && r.mean < 1e-6);
    assert_near(tks_reach_distance(&r, exp(-2)), 2 * r.length, 1e-12, "exponential: by hand");
    assert_int_equal(tks_reach_of(&bowl, 20, 3e-4, &r, NULL), TKS_OK);
    assert_near(r.mean, 1, 1e-12, "a shallow bowl");
}

/* Widths from a needle to a bowl: reckoned back, each gives the fraction it was wanted for. */
static void the_width_wanted_gives_the_fraction(void **state)
{
    (void)state;
    static const double lengths[] = {1e-6, 1e-3, 60e-3, 10};
    static const double fractions[] = {1e-6, 0.2, 0.999};
    for (int i = 0; i < 24; i++) {
        tks_cavity c = {i % 2 ? TKS_BORE : TKS_GAP, 1e-3, lengths[i / 2 % 4], 1 + i % 2};
        double fraction = fractions[i / 8];
        tks_reach r;
        assert_int_equal(tks_reach_width(&c, 20, 3e-4, fraction, &c.width, NULL), TKS_OK);
        assert_int_equal(tks_reach_of(&c, 20, 3e-4, &r, NULL), TKS_OK);
        assert_near(r.least, fraction, 1e-9, "the law of penetration, the other way");
    }
    const tks_cavity gap = {TKS_GAP, 1e-3, 60e-3, 1};
    double width;
    assert_int_equal(tks_reach_width(&gap, 20, 3e-4, 1, &width, NULL), TKS_EDOMAIN);
}

static void impossible_cavities_are_refused(void **state)
{
    (void)state;
    static const tks_cavity bad[] = {
        {TKS_BORE, 0, 1, 1},       {TKS_BORE, NAN, 1, 1}, {TKS_GAP, 1, -1, 1},
        {TKS_GAP, 1, INFINITY, 2}, {TKS_BORE, 1, 1, 0},   {TKS_BORE, 1, 1, 3},
    };
    const tks_cavity good = {TKS_BORE, 1, 1, 1};
    tks_reach r;
    tks_error err;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_int_equal(tks_reach_of(&bad[i], 20, 3e-4, &r, &err), TKS_EDOMAIN);
    assert_int_equal(tks_reach_of(&good, 0, 3e-4, &r, &err), TKS_EDOMAIN);
    assert_int_equal(tks_reach_of(&good, 20, NAN, &r, &err), TKS_EDOMAIN);
}

/* A tube, 12 mm outside, 8 mm bore, 80 mm long, open at both ends. */
static const tks_cavity tube_bore[] = {{TKS_BORE, 4e-3, 80e-3, 2}};
static const tks_surface tube_surfaces[] = {
    {TKS_OUTSIDE, M_PI * 12e-3 * 80e-3, -1, 0},
    {TKS_INSIDE, M_PI * 8e-3 * 80e-3, 0, 0},
    {TKS_END, M_PI / 2 * (144e-6 - 64e-6), -1, 0},
    {TKS_MASKED, 1e-4, -1, 0},
};
static const tks_item tube = {.name = "tube",
                              .count = 1,
                              .surfaces = tube_surfaces,
                              .surface_count = 4,
                              .cavities = tube_bore,
                              .cavity_count = 1};

static void an_item_adds_up(void **state)
{
    (void)state;
    const tks_bath *bath = tks_bath_default();
    tks_reckoning r;
    tks_share inside;
    assert_int_equal(tks_reckon(&tube, bath, 155, TKS_SIGNIFICANT_DEFAULT, &r, NULL), TKS_OK);
    double open = tube_surfaces[0].area + tube_surfaces[2].area;
    assert_near(r.area, open + tube_surfaces[1].area, 1e-14, "wetted");
    assert_int_equal(tks_share_of(&tube, &tube_surfaces[1], bath, 155, &inside, NULL), TKS_OK);
    assert_near(r.effective.usual, open + inside.mean.usual * tube_surfaces[1].area, 1e-14, "sum");
    assert_true(r.effective.low < r.effective.usual && r.effective.usual < r.effective.high);
    assert_true(r.effective.high < r.area);
    assert_near(r.thinnest, 1, 0, "the bore does not count");
    assert_near(r.barest, inside.least.usual, 0, "the middle of the bore");
    assert_near(r.inside.high, inside.least.high, 0, "the same, at the bath's best");
    assert_near(r.root.usual, 1, 0, "no thread");
    assert_int_equal(tks_reckon(&tube, bath, 155, 1U << TKS_INSIDE, &r, NULL), TKS_OK);
    assert_near(r.thinnest, inside.least.usual, 0, "now it does");
}

/* By Tafel's law a higher density makes the bath throw worse. */
static void a_higher_density_throws_worse(void **state)
{
    (void)state;
    tks_share slow, fast;
    const tks_bath *bath = tks_bath_default();
    assert_int_equal(tks_share_of(&tube, &tube_surfaces[1], bath, 80, &slow, NULL), TKS_OK);
    assert_int_equal(tks_share_of(&tube, &tube_surfaces[1], bath, 320, &fast, NULL), TKS_OK);
    assert_true(slow.mean.usual > fast.mean.usual && slow.least.usual > fast.least.usual);
}

static void thread_roots_get_less_the_coarser_they_are(void **state)
{
    (void)state;
    const tks_item item = {.name = "stud"};
    tks_surface thread = {TKS_THREAD, 1e-3, -1, 0.5e-3};
    tks_share fine, coarse, none;
    const tks_bath *bath = tks_bath_default();
    assert_int_equal(tks_share_of(&item, &thread, bath, 155, &fine, NULL), TKS_OK);
    thread.pitch = 3e-3;
    assert_int_equal(tks_share_of(&item, &thread, bath, 155, &coarse, NULL), TKS_OK);
    thread.pitch = 0;
    assert_int_equal(tks_share_of(&item, &thread, bath, 155, &none, NULL), TKS_OK);
    assert_true(1 > fine.least.usual && fine.least.usual > coarse.least.usual);
    assert_true(coarse.least.usual < coarse.mean.usual && coarse.least.usual > 0.5);
    assert_near(none.least.usual, 1, 0, "pitch not known");
}

static void a_surface_that_cannot_be_is_refused(void **state)
{
    (void)state;
    tks_error err;
    tks_reckoning r = {.area = 7};
    const tks_surface bad[] = {
        {TKS_INSIDE, 1e-3, 0, 0},
        {TKS_OUTSIDE, NAN, -1, 0},
        {TKS_OUTSIDE, -1, -1, 0},
        {TKS_THREAD, 1, -1, -1},
    };
    for (size_t i = 0; i < 4; i++) {
        const tks_item item = {.name = "bad", .surfaces = &bad[i], .surface_count = 1};
        assert_int_equal(tks_reckon(&item, tks_bath_default(), 155, 0, &r, &err), TKS_EDOMAIN);
        assert_near(r.area, 7, 0, "untouched");
    }
}

static void a_bare_inside_is_said(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_cautions list = tks_cautions_new(arena);
    tks_error err;
    assert_int_equal(tks_inside_cautions(&tube, tks_bath_default(), 155, &list, &err), TKS_OK);
    assert_int_equal(list.count, 1);
    assert_string_equal(list.first->code, "inside-bare");
    assert_non_null(strstr(list.first->text, "8 mm wide"));
    /* The same bore, 8 mm long, is reached. */
    const tks_cavity short_bore = {TKS_BORE, 4e-3, 8e-3, 2};
    tks_item sleeve = tube;
    sleeve.cavities = &short_bore;
    assert_int_equal(tks_inside_cautions(&sleeve, tks_bath_default(), 155, &list, &err), TKS_OK);
    assert_int_equal(list.count, 1);
    tks_arena_free(arena);
}

/* The same hole as one of a plate's and as a cut; a blind one against the bore of
 * a tube closed at one end; and a wide one through a sheet, which loses next to nothing. */
static const struct {
    const char *whole, *cut;
    unsigned label; /* of the hole's wall in the first */
} alike[] = {
    {"{shape: plate, length: 60 mm, width: 40 mm, thickness: 30 mm, holes: [{diameter: 8 mm}]}",
     "pieces: [{shape: plate, length: 60 mm, width: 40 mm, thickness: 30 mm, at: [0, 0, 0] mm}]\n"
     "cuts: [{shape: cylinder, diameter: 8 mm, length: 50 mm, at: [0, 0, -10] mm}]",
     TKS_HOLE},
    {"{shape: tube, outside: 20 mm, inside: 8 mm, length: 30 mm, ends: one closed, end thickness: "
     "5 mm}",
     "pieces: [{shape: cylinder, diameter: 20 mm, length: 30 mm, at: [0, 0, 0] mm}]\n"
     "cuts: [{shape: cylinder, diameter: 8 mm, length: 30 mm, at: [0, 0, -5] mm}]",
     TKS_INSIDE},
    {"{shape: plate, length: 60 mm, width: 40 mm, thickness: 1 mm, holes: [{diameter: 25 mm}]}",
     "pieces: [{shape: plate, length: 60 mm, width: 40 mm, thickness: 1 mm, at: [0, 0, 0] mm}]\n"
     "cuts: [{shape: cylinder, diameter: 25 mm, length: 50 mm, at: [0, 0, -10] mm}]",
     TKS_HOLE},
};

static tks_reckoning reckon_text(described *d, const char *text, unsigned label)
{
    tks_load load = {0};
    tks_reckoning r;
    if (described_load(d, text, &load)) fail_msg("%s: %s", text, d->err.text);
    assert_int_equal(tks_reckon(&load.first->item, tks_bath_default(), 155, 1U << label, &r, NULL),
                     TKS_OK);
    return r;
}

static void holes_by_cuts_get_as_much(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof alike / sizeof *alike; i++) {
        described d = described_new();
        char whole[400], cut[400];
        snprintf(whole, sizeof whole, "part: x\npieces: [%s]", alike[i].whole);
        snprintf(cut, sizeof cut, "part: x\n%s", alike[i].cut);
        tks_reckoning a = reckon_text(&d, whole, alike[i].label);
        tks_reckoning b = reckon_text(&d, cut, TKS_HOLE);
        assert_near(b.effective.usual, a.effective.usual, 1e-6, "effective area");
        assert_near(b.thinnest, a.thinnest, 1e-6, "least");
        assert_true(i == 2 ? b.thinnest > 0.9 : b.thinnest < 0.1);
        described_free(&d);
    }
}

/* A hole of 8 mm through a tube's wall of 1.5 mm is all but open; through a bar of 30 mm it is not.
 */
static void a_hole_in_a_thin_wall_is_all_but_open(void **state)
{
    (void)state;
    described d = described_new();
    tks_reckoning r = reckon_text(
        &d,
        "part: x\npieces: [{shape: tube, outside: 40 mm, wall: 1.5 mm, length: 100 mm, at: [0, 0, "
        "0] mm}]\ncuts: [{shape: cylinder, diameter: 8 mm, length: 60 mm, at: [-30, 0, 50] mm, "
        "axis: [1, 0, 0]}]",
        TKS_HOLE);
    assert_true(r.thinnest > 0.9 && r.thinnest < 1);
    described_free(&d);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(roots_match_the_heat_tables),
        cmocka_unit_test(roots_satisfy_their_equations),
        cmocka_unit_test(the_profile_averages_to_the_mean),
        cmocka_unit_test(extreme_cavities_stay_finite),
        cmocka_unit_test(the_width_wanted_gives_the_fraction),
        cmocka_unit_test(impossible_cavities_are_refused),
        cmocka_unit_test(an_item_adds_up),
        cmocka_unit_test(a_higher_density_throws_worse),
        cmocka_unit_test(thread_roots_get_less_the_coarser_they_are),
        cmocka_unit_test(a_surface_that_cannot_be_is_refused),
        cmocka_unit_test(a_bare_inside_is_said),
        cmocka_unit_test(holes_by_cuts_get_as_much),
        cmocka_unit_test(a_hole_in_a_thin_wall_is_all_but_open),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
