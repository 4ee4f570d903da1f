/* Each family of shapes against closed forms, in millimetres as they are written. */
#include "support/described.h"
#include "support/near.h"

#include <string.h>

/* hidden: walls of holes and insides of bores; in: a point of the metal; out: one in a hole or bore
 * of it, or beside it. [mm], [mm^2], [mm^3] */
typedef struct row {
    const char *piece;
    double wetted, hidden, volume;
    tks_vec3 in, out;
    const char *source;
} row;

static double sq(double x)
{
    return x * x;
}

static double disc(double diameter)
{
    return M_PI / 4 * diameter * diameter;
}

static tks_vec3 metres(tks_vec3 mm)
{
    return (tks_vec3){mm.x * 1e-3, mm.y * 1e-3, mm.z * 1e-3};
}

static double hidden_area(const tks_body *body)
{
    return tks_body_area(body, TKS_HOLE) + tks_body_area(body, TKS_INSIDE);
}

static void check_row(described *d, const row *r)
{
    const tks_body *body = described_body(d, r->piece);
    assert_false(body->overlap);
    assert_near(tks_body_wetted(body) * 1e6, r->wetted, 1e-13, r->piece);
    assert_near(hidden_area(body) * 1e6, r->hidden, 1e-13, r->piece);
    assert_near(body->volume * 1e9, r->volume, 2e-13, r->piece);
    if (!(tks_body_distance(body, metres(r->in)) < 0)) fail_msg("not inside: %s", r->piece);
    if (!(tks_body_distance(body, metres(r->out)) > 0)) fail_msg("not outside: %s", r->piece);
}

/* Areas scale as length^2, volumes as length^3. */
static void check_scale(described *d, const row *r)
{
    const tks_body *body = described_body(d, described_replace(d, r->piece, " mm", " cm"));
    assert_near(tks_body_wetted(body) * 1e4, r->wetted, 1e-13, r->piece);
    assert_near(body->volume * 1e6, r->volume, 2e-13, r->piece);
}

static void check_rows(const row *rows, size_t count)
{
    described d = described_new();
    for (size_t i = 0; i < count; i++) {
        check_row(&d, &rows[i]);
        check_scale(&d, &rows[i]);
    }
    described_free(&d);
}

#define CHECK_ROWS(rows) check_rows(rows, sizeof(rows) / sizeof(rows)[0])

/* ---- rods and bars */

static void test_bars(void **state)
{
    (void)state;
    double hexagon = sqrt(3) / 2 * 13 * 13 - disc(6.6);
    /* clang-format off */
    const row rows[] = {
        {"shape: cylinder\ndiameter: 8 mm\nlength: 170 mm",
         2 * disc(8) + M_PI * 8 * 170, 0, disc(8) * 170, {0, 0, 85}, {0, 4.1, 85}, "by hand"},
        {"shape: rod\ndiameter: 8 mm\nlength: 170 mm\nchamfer: 1 mm",
         2 * disc(6) + 2 * M_PI * (3 + 4) * sqrt(2) + M_PI * 8 * 168, 0, disc(8) * 168 + 2 * M_PI /
         3 * (16 + 12 + 9), {3.9, 0, 1.5}, {3.9, 0, 0.5}, "two frustums and a cylinder, by hand"},
        {"shape: square bar\nside: 10 mm\nlength: 120 mm",
         2 * 100 + 40 * 120, 0, 100 * 120, {4.9, 4.9, 1}, {5.1, 0, 1}, "by hand"},
        {"shape: square bar\nside: 10 mm\nlength: 120 mm\nedge radius: 2 mm",
         2 * (100 - (4 - M_PI) * 4) + (40 - 16 + 4 * M_PI) * 120, 0, (100 - (4 - M_PI) * 4) * 120,
         {4.9, 0, 1}, {4.9, 4.9, 1}, "by hand"},
        {"shape: hexagon\nacross flats: 13 mm\nlength: 20 mm\nbore: 6.6 mm",
         2 * hexagon + 2 * sqrt(3) * 13 * 20 + M_PI * 6.6 * 20, M_PI * 6.6 * 20, hexagon * 20,
         {7.4, 0, 10}, {3.2, 0, 10}, "regular hexagon: side s/sqrt(3), area sqrt(3)/2 s^2"},
        {"shape: hexagon bar\nacross flats: 13 mm\nlength: 20 mm",
         sqrt(3) * 169 + 2 * sqrt(3) * 13 * 20, 0, sqrt(3) / 2 * 169 * 20, {0, 6.4, 10},
         {0, 6.6, 10}, "the same without a bore"},
    };
    /* clang-format on */
    CHECK_ROWS(rows);
}

/* A fillet of radius f where a shaft of radius r meets a shoulder: a quarter of a torus's inner
 * side, by Pappus' theorems; 2 f / pi and 4 f / (3 pi) are the centroids of a quarter arc and of a
 * quarter disc. */
static double fillet_area(double r, double f)
{
    return M_PI / 2 * f * 2 * M_PI * (r + f - 2 * f / M_PI);
}

static double fillet_volume(double r, double f)
{
    double quarter = M_PI / 4 * f * f * (r + f - 4 * f / (3 * M_PI));
    return 2 * M_PI * (f * f * (r + f / 2) - quarter);
}

static void test_shafts(void **state)
{
    (void)state;
    double plain = 2 * disc(12) + M_PI * (12 * 25 + 20 * 40 + 12 * 15) + 2 * (disc(20) - disc(12));
    double volume = disc(12) * 40 + disc(20) * 40;
    /* clang-format off */
    const row rows[] = {
        {"shape: stepped shaft\nsteps: [{diameter: 12 mm, length: 25 mm}, {diameter: 20 mm, "
         "length: 40 mm}, {diameter: 12 mm, length: 15 mm}]",
         plain, 0, volume, {9.9, 0, 26}, {9.9, 0, 24}, "by hand"},
        {"shape: shaft\nsteps: [{diameter: 12 mm, length: 25 mm, fillet: 1 mm}, {diameter: 20 mm, "
         "length: 40 mm}, {diameter: 12 mm, length: 15 mm, fillet: 2 mm}]",
         plain - M_PI * 12 * 3 - (disc(14) - disc(12)) - (disc(16) - disc(12)) + fillet_area(6, 1)
         + fillet_area(6, 2), 0, volume + fillet_volume(6, 1) + fillet_volume(6, 2),
         {6.1, 0, 24.9}, {6.9, 0, 24}, "Pappus"},
        {"shape: shaft\nsteps: [{diameter: 12 mm, length: 25 mm}, {diameter: 12 mm, length: 5 mm}]",
         2 * disc(12) + M_PI * 12 * 30, 0, disc(12) * 30, {0, 0, 25}, {6.1, 0, 25},
         "two flush steps are one cylinder, by hand"},
    };
    /* clang-format on */
    CHECK_ROWS(rows);
}

/* ---- tubes */

static void test_tubes(void **state)
{
    (void)state;
    double lip = disc(22) - disc(19), outer = M_PI * 22 * 180;
    /* clang-format off */
    const row rows[] = {
        {"shape: tube\noutside: 22 mm\nwall: 1.5 mm\nlength: 180 mm",
         outer + M_PI * 19 * 180 + 2 * lip, M_PI * 19 * 180, lip * 180, {10, 0, 90}, {0, 0, 90},
         "by hand"},
        {"shape: tube\ninside: 19 mm\nwall: 1.5 mm\nlength: 180 mm",
         outer + M_PI * 19 * 180 + 2 * lip, M_PI * 19 * 180, lip * 180, {10, 0, 90}, {0, 0, 90},
         "the same, by inside and wall"},
        {"shape: pipe\noutside: 22 mm\ninside: 19 mm\nlength: 180 mm",
         outer + M_PI * 19 * 180 + 2 * lip, M_PI * 19 * 180, lip * 180, {10, 0, 90}, {0, 0, 90},
         "the same, by both diameters"},
        {"shape: tube\noutside: 22 mm\nwall: 1.5 mm\nlength: 180 mm\nends: one closed\n"
         "end thickness: 2 mm",
         outer + lip + disc(22) + M_PI * 19 * 178 + disc(19), M_PI * 19 * 178 + disc(19), lip * 178
         + disc(22) * 2, {0, 0, 179}, {0, 0, 177}, "by hand"},
        {"shape: tube\noutside: 22 mm\nwall: 1.5 mm\nlength: 180 mm\nends: closed",
         outer + 2 * disc(22), 0, disc(22) * 180 - disc(19) * 177, {0, 0, 1}, {11.1, 0, 90},
         "a sealed bore is not wetted, by hand"},
        {"shape: bent tube\noutside: 10 mm\nwall: 1 mm\npath: [{straight: 80 mm}, {bend: 90 deg, "
         "radius: 30 mm}, {straight: 120 mm}]",
         M_PI * (10 + 8) * (200 + 15 * M_PI) + 2 * (disc(10) - disc(8)), M_PI * 8 * (200 + 15 *
         M_PI), (disc(10) - disc(8)) * (200 + 15 * M_PI), {4.5, 0, 40}, {0, 0, 40}, "Pappus"},
        {"shape: bent pipe\noutside: 10 mm\nwall: 1 mm\nends: closed\ncorners: [[0, 0, 0], [0, 0, "
         "110], [150, 0, 110]] mm\nradii: [30] mm",
         M_PI * 10 * (200 + 15 * M_PI) + 2 * disc(10), 0, (disc(10) - disc(8)) * (200 + 15 * M_PI),
         {4.5, 0, 40}, {5.1, 0, 40}, "Pappus"},
    };
    /* clang-format on */
    CHECK_ROWS(rows);
}

/* ---- turned shapes */

static void test_turned(void **state)
{
    (void)state;
    double ball = (400 + 144) / 24.0, inner = ball - 1.5, low = ball - 12;
    double mouth = sqrt(sq(inner) - sq(low));
    double cap = M_PI * 144 * (3 * ball - 12) / 3;
    /* clang-format off */
    const row rows[] = {
        {"shape: washer\noutside: 16 mm\ninside: 8.4 mm\nthickness: 1.6 mm",
         2 * (disc(16) - disc(8.4)) + M_PI * 24.4 * 1.6, M_PI * 8.4 * 1.6, (disc(16) - disc(8.4)) *
         1.6, {6, 0, 0.8}, {0, 0, 0.8}, "by hand"},
        {"shape: cone\nbase diameter: 30 mm\ntop diameter: 18 mm\nheight: 25 mm",
         disc(30) + disc(18) + M_PI * 24 * sqrt(625 + 36), 0, M_PI * 25 / 3 * (225 + 135 + 81),
         {14, 0, 1}, {14, 0, 20}, "frustum: pi (r1 + r2) s, handbook formula"},
        {"shape: cone\nbase diameter: 6 mm\nheight: 4 mm",
         M_PI * 9 + 15 * M_PI, 0, 12 * M_PI, {0, 0, 3.9}, {1, 0, 3.9}, "3-4-5 cone: by hand"},
        {"shape: cone\nbase diameter: 0 mm\ntop diameter: 6 mm\nheight: 4 mm",
         24 * M_PI, 0, 12 * M_PI, {0, 0, 0.1}, {1, 0, 0.1}, "the same, standing on its point"},
        {"shape: sphere\ndiameter: 25 mm",
         M_PI * 625, 0, M_PI / 6 * 15625, {0, 0, 12.4}, {0, 0, 12.6}, "by hand"},
        {"shape: dome\ndiameter: 40 mm\nheight: 12 mm",
         M_PI * (400 + 144) + disc(40), 0, cap, {0, 0, 11.9}, {19, 0, 5},
         "spherical cap: pi (a^2 + h^2), handbook formula"},
        {"shape: dome\ndiameter: 40 mm\nheight: 20 mm",
         M_PI * 800 + M_PI * 400, 0, 2 * M_PI / 3 * 8000, {0, 0, 19.9}, {15, 0, 15},
         "half a ball: by hand"},
        {"shape: dome\ndiameter: 40 mm\nheight: 12 mm\nwall: 1.5 mm",
         M_PI * (400 + 144) + M_PI * (400 - sq(mouth)) + 2 * M_PI * inner * 10.5, 2 * M_PI * inner
         * 10.5, cap - M_PI * sq(10.5) * (3 * inner - 10.5) / 3, {0, 0, 11}, {0, 0, 10},
         "two caps and the rim between: handbook formula"},
        {"shape: ring\nmean diameter: 40 mm\nsection: 5 mm",
         M_PI * M_PI * 40 * 5, 0, M_PI * 40 * disc(5), {20, 0, 0}, {0, 0, 0},
         "torus: 4 pi^2 R r, Pappus"},
    };
    /* clang-format on */
    CHECK_ROWS(rows);
}

/* ---- plates */

static void test_plates(void **state)
{
    (void)state;
    double slot = 14 * 6 + disc(6), rounded = 60 * 25 - (4 - M_PI) * 16;
    double face = rounded - 2 * disc(8.4) - slot - 25;
    double walls = 3 * (2 * M_PI * 8.4 + 28 + M_PI * 6 + 20);
    double eyes = 60 * 20 + disc(20) - disc(10) - disc(6) - disc(4);
    /* clang-format off */
    const row rows[] = {
        {"shape: plate\nlength: 60 mm\nwidth: 25 mm\nthickness: 3 mm",
         2 * 1500 + 170 * 3, 0, 4500, {29.9, 12.4, 1}, {30.1, 0, 1}, "by hand"},
        {"shape: plate\nlength: 60 mm\nwidth: 25 mm\nthickness: 3 mm\ncorner radius: 4 mm\n"
         "holes: [{diameter: 8.4 mm, count: 2, at: [[20, 0], [-20, 0]] mm}, {square: 5 mm, at: "
         "[0, 8] mm}]\nslots: {length: 20 mm, width: 6 mm, at: [0, -4] mm}",
         2 * face + 3 * (170 - 32 + 8 * M_PI) + walls, walls, face * 3, {12, 0, 1}, {20, 0, 1},
         "by hand"},
        {"shape: plate\nlength: 60 mm\nwidth: 25 mm\nthickness: 3 mm\ncorner radius: 4 mm\n"
         "holes: [{diameter: 8.4 mm, count: 2}, {square: 5 mm}]\nslots: [{length: 20 mm, width: 6 "
         "mm, turn: 90 deg}]",
         2 * face + 3 * (170 - 32 + 8 * M_PI) + walls, walls, face * 3, {0, 0, 1}, {29.9, 12.4, 1},
         "the same wherever the holes are"},
        {"shape: eye plate\ncentres: 60 mm\nwidth: 20 mm\nthickness: 4 mm\nhole: 10 mm\nsecond "
         "hole: 6 mm\nholes: {diameter: 4 mm, at: [0, 0] mm}",
         2 * eyes + 4 * (120 + M_PI * 20) + 4 * M_PI * 20, 4 * M_PI * 20, eyes * 4, {39, 0, 2},
         {-30, 0, 2}, "by hand"},
        {"shape: eye plate\ncentres: 60 mm\nwidth: 20 mm\nthickness: 4 mm\nhole: 10 mm\nsecond "
         "hole: 0 mm",
         2 * (1200 + disc(20) - disc(10)) + 4 * (120 + M_PI * 20) + 4 * M_PI * 10, 40 * M_PI, 4 *
         (1200 + disc(20) - disc(10)), {30, 0, 2}, {-30, 0, 2}, "by hand"},
    };
    /* clang-format on */
    CHECK_ROWS(rows);
}

/* How many holes there are is counted by hand: rows and columns at the pitch between the margins.
 */
static double perforated(double holes)
{
    return 2 * (9600 - holes * disc(3)) + 400 + holes * M_PI * 3;
}

static void test_perforated(void **state)
{
    (void)state;
    /* clang-format off */
    const row rows[] = {
        {"shape: perforated plate\nlength: 120 mm\nwidth: 80 mm\nthickness: 1 mm\nhole: 3 mm\n"
         "pitch: 5 mm",
         perforated(23 * 15), 23 * 15 * M_PI * 3, 9600 - 23 * 15 * disc(3), {2.5, 2.5, 0.5},
         {0, 0, 0.5}, "23 columns (22.6 pitches fit), 15 rows (14.6)"},
        {"shape: perforated plate\nlength: 120 mm\nwidth: 80 mm\nthickness: 1 mm\nhole: 3 mm\n"
         "pitch: 5 mm\npattern: staggered",
         perforated(23 * 17), 23 * 17 * M_PI * 3, 9600 - 23 * 17 * disc(3), {59, 0, 0.5},
         {-1.25, 0, 0.5}, "23 columns (22.1 pitches fit), 17 rows (16.9 rises of 4.33 mm)"},
        {"shape: perforated plate\nlength: 120 mm\nwidth: 80 mm\nthickness: 1 mm\nhole: 3 mm\n"
         "pitch: 5 mm\nmargin: 38.5 mm",
         perforated(9 * 1), 9 * M_PI * 3, 9600 - 9 * disc(3), {2.5, 0, 0.5}, {0, 0, 0.5},
         "9 columns in 40 mm, one row"},
    };
    /* clang-format on */
    CHECK_ROWS(rows);
}

/* Bent sheet is both faces and its edges: each bend is longer outside than inside by angle *
 * thickness. */
static void test_bent_sheet(void **state)
{
    (void)state;
    double section = 2 * (65 + 3 * M_PI / 2), rim = 130 + 6 * M_PI / 2 + 4;
    double bores = 2 * disc(6.5) + disc(9);
    double zee = 1.5 * (60 + 2.75 * M_PI / 2 + 3.75 * M_PI / 3);
    double zee_rim = 2 * 60 + 5.5 * M_PI / 2 + 7.5 * M_PI / 3 + 3;
    /* clang-format off */
    const row rows[] = {
        {"shape: bent sheet\nwidth: 30 mm\nthickness: 2 mm\nlegs: [40, 25] mm\nbends: [{angle: 90 "
         "deg, inside radius: 2 mm}]",
         2 * section + rim * 30, 0, section * 30, {20, 1, 15}, {20, 3, 15}, "by hand"},
        {"shape: bracket\nwidth: 30 mm\nthickness: 2 mm\nlegs: [40, 25] mm\nbends: [{angle: 90 "
         "deg, inside radius: 2 mm}]\nholes: [{leg: 1, diameter: 6.5 mm, count: 2}, {leg: 2, "
         "diameter: 9 mm}]",
         2 * section + rim * 30 - 2 * bores + 2 * M_PI * (13 + 9), 2 * M_PI * (13 + 9), section *
         30 - 2 * bores, {1, 1, 1}, {10, 1, 15}, "by hand"},
        {"shape: bent sheet\nwidth: 40 mm\nthickness: 1.5 mm\nlegs: [20, 30, 10] mm\nbends: "
         "[{angle: 90 deg, inside radius: 2 mm}, {angle: -60 deg, inside radius: 3 mm}]",
         2 * zee + zee_rim * 40, 0, zee * 40, {10, 0.75, 20}, {10, 1.6, 20}, "by hand"},
        {"shape: bent sheet\nwidth: 40 mm\nthickness: 1.5 mm\nlegs: [20] mm",
         2 * 30 + 43 * 40, 0, 20 * 1.5 * 40, {10, 0.75, 20}, {10, 1.6, 20}, "flat: by hand"},
    };
    /* clang-format on */
    CHECK_ROWS(rows);
}

/* ---- sections */

static void test_sections(void **state)
{
    (void)state;
    double corner = 1 - M_PI / 4; /* of a square corner that rounding takes off, over r^2 */
    double angle = 25 * 3 + 22 * 3, rounded = angle + corner * 9 - 2 * corner * 4;
    double channel = 40 * 3 + 2 * 17 * 4;
    double box = 400 - 256, soft = box - 4 * corner * (16 - 4);
    /* clang-format off */
    const row rows[] = {
        {"shape: angle\nleg: 25 mm\nthickness: 3 mm\nlength: 80 mm",
         2 * angle + 100 * 80, 0, angle * 80, {24, 1, 40}, {4, 4, 40}, "by hand"},
        {"shape: angle iron\nleg: 25 mm\nthickness: 3 mm\nlength: 80 mm\nroot radius: 3 mm\ntoe "
         "radius: 2 mm",
         2 * rounded + (100 - 6 + 1.5 * M_PI - 2 * (4 - M_PI)) * 80, 0, rounded * 80,
         {3.5, 3.5, 40}, {24.9, 2.9, 40}, "by hand"},
        {"shape: angle\nleg: 30 mm\nsecond leg: 20 mm\nthickness: 3 mm\nlength: 80 mm",
         2 * (30 * 3 + 17 * 3) + 100 * 80, 0, 141 * 80, {29, 1, 40}, {1, 21, 40}, "by hand"},
        {"shape: channel\nheight: 40 mm\nflange: 20 mm\nweb: 3 mm\nflange thickness: 4 mm\nlength: "
         "80 mm",
         2 * channel + (2 * 40 + 4 * 20 - 2 * 3) * 80, 0, channel * 80, {1, 0, 40}, {10, 0, 40},
         "by hand"},
        {"shape: channel\nheight: 40 mm\nflange: 20 mm\nweb: 3 mm\nlength: 80 mm\nroot radius: 2 "
         "mm",
         2 * (222 + 2 * corner * 4) + (154 - 8 + 2 * M_PI) * 80, 0, (222 + 2 * corner * 4) * 80,
         {3.3, 16.7, 40}, {5, 0, 40}, "by hand"},
        {"shape: box section\nwidth: 20 mm\nwall: 2 mm\nlength: 120 mm",
         2 * box + 80 * 120 + 64 * 120, 64 * 120, box * 120, {9, 0, 60}, {0, 0, 60}, "by hand"},
        {"shape: square tube\nwidth: 20 mm\nwall: 2 mm\nlength: 120 mm\ncorner radius: 4 mm",
         2 * soft + (80 - 32 + 8 * M_PI) * 120 + (64 - 16 + 4 * M_PI) * 120, (64 - 16 + 4 * M_PI) *
         120, soft * 120, {9, 0, 60}, {9.9, 9.9, 60}, "by hand"},
    };
    /* clang-format on */
    CHECK_ROWS(rows);
}

/* ---- bent rods and links: pi d L and two ends */

static double rod(double diameter, double length)
{
    return M_PI * diameter * length + 2 * disc(diameter);
}

static void test_bent_rods(void **state)
{
    (void)state;
    double length = 60 + 10 * M_PI + 40 + 5 * M_PI + 30, around = 36 + 16 * M_PI;
    double space = 50 + 5 * M_PI + 20 + 5 * M_PI + 20;
    /* clang-format off */
    const row rows[] = {
        {"shape: bent rod\ndiameter: 8 mm\npath: [{straight: 60 mm}, {bend: 90 deg, radius: 20 "
         "mm}, {straight: 40 mm}, {turn: 90 deg}, {bend: 45 deg, radius: 20 mm}, {straight: 30 "
         "mm}]",
         rod(8, length), 0, disc(8) * length, {30, 0, 80}, {15, 0, 65}, "Pappus"},
        {"shape: bent rod\ndiameter: 6 mm\npath: [{straight: 50 mm}, {bend: 90 deg, radius: 10 "
         "mm}, {straight: 20 mm}, {turn: 90 deg}, {bend: 90 deg, radius: 10 mm}, {straight: 20 "
         "mm}]",
         rod(6, space), 0, disc(6) * space, {20, 0, 60}, {20, 4, 60}, "Pappus"},
        {"shape: bent wire\ndiameter: 6 mm\ncorners: [[0, 0, 0], [60, 0, 0], [60, 40, 0], [60, 40, "
         "30]] mm\nradii: [10] mm",
         rod(6, space), 0, disc(6) * space, {60, 20, 0}, {60, 20, 4}, "the same by its corners"},
        {"shape: bent rod\ndiameter: 6 mm\ncorners: [[0, 0, 0], [60, 0, 0]] mm",
         rod(6, 60), 0, disc(6) * 60, {30, 0, 0}, {30, 3.1, 0}, "straight: by hand"},
        {"shape: chain link\nwire: 6 mm\ninside length: 28 mm\ninside width: 10 mm",
         M_PI * 6 * around, 0, disc(6) * around, {0, 0, 0}, {8, 0, 0}, "Pappus; it has no ends"},
        {"shape: rod eye\ndiameter: 6 mm\nshank: 50 mm\ninside diameter: 14 mm",
         rod(6, 50 + 15 * M_PI), 0, disc(6) * (50 + 15 * M_PI), {0, 0, 50}, {10, 0, 50}, "Pappus"},
        {"shape: hook\ndiameter: 6 mm\nshank: 50 mm\ninside diameter: 14 mm\nbend: 180 deg",
         rod(6, 50 + 10 * M_PI), 0, disc(6) * (50 + 10 * M_PI), {10, 0, 60}, {10, 0, 50}, "Pappus"},
    };
    /* clang-format on */
    CHECK_ROWS(rows);
}

/* ---- springs */

static double coil(double turns, double diameter, double pitch)
{
    return turns * hypot(M_PI * diameter, pitch);
}

/* Half a turn whose pitch goes evenly from one to another: the arc length of a parabola, unrolled.
 */
static double easing(double diameter, double from, double to)
{
    double u = from / (M_PI * diameter), v = to / (M_PI * diameter);
    double whole = v * hypot(1, v) + asinh(v) - u * hypot(1, u) - asinh(u);
    return M_PI * diameter / 2 * whole / 2 / (v - u);
}

/* Pitch of turns that touch: the distance across them is the wire's diameter. */
static double touching(double wire, double diameter)
{
    double across = wire / (M_PI * diameter);
    return wire / sqrt(1 - across * across);
}

static void test_springs(void **state)
{
    (void)state;
    double close = touching(2.5, 20);
    double closed = 2 * coil(1, 20, close) + 2 * easing(20, close, 6) + coil(5, 20, 6);
    double hooks = coil(14, 12, touching(1.6, 12)) + 2 * 1.5 * M_PI * 6;
    double legs = coil(5.25, 15, touching(2, 15)) + 50;
    /* clang-format off */
    const row rows[] = {
        {"shape: spring\nmean diameter: 20 mm\nwire: 2.5 mm\npitch: 6 mm\nturns: 8",
         rod(2.5, coil(8, 20, 6)), 0, disc(2.5) * coil(8, 20, 6), {10, 0, 6}, {0, 0, 6},
         "helix: sqrt((pi D)^2 + p^2) a turn, handbook formula"},
        {"shape: coil spring\nmean diameter: 20 mm\nwire: 2.5 mm\npitch: 6 mm\nturns: 8\nhand: "
         "left",
         rod(2.5, coil(8, 20, 6)), 0, disc(2.5) * coil(8, 20, 6), {0, -10, 1.5}, {0, 10, 1.5},
         "a left-handed one has the same area"},
        {"shape: spring\nmean diameter: 20 mm\nwire: 2.5 mm\npitch: 6 mm\nturns: 8\nclosed turns: "
         "1",
         rod(2.5, closed), 0, disc(2.5) * closed, {10, 0, close}, {0, 0, 6}, "helix and parabola"},
        {"shape: tension spring\nmean diameter: 12 mm\nwire: 1.6 mm\nturns: 14",
         rod(1.6, hooks), 0, disc(1.6) * hooks, {0, 0, 0.1}, {-3, 0, 0}, "helix and two loops"},
        {"shape: torsion spring\nmean diameter: 15 mm\nwire: 2 mm\nturns: 5.25\nfirst leg: 30 "
         "mm\nsecond leg: 20 mm",
         rod(2, legs), 0, disc(2) * legs, {7.5, 0, 0}, {0, 0, 5}, "helix and two legs"},
    };
    /* clang-format on */
    CHECK_ROWS(rows);
}

/* ---- the trade's own figure */

/* "A rod 0.8 cm by 17 cm is about 43 cm2": common practice, no source. The shell alone is 42.7 cm2,
 * with both ends 43.7 cm2; the rule stands between. */
static void test_rod_of_the_trade(void **state)
{
    (void)state;
    described d = described_new();
    const tks_body *body = described_body(&d, "shape: cylinder\ndiameter: 0.8 cm\nlength: 17 cm");
    double shell = tks_body_area(body, TKS_OUTSIDE) * 1e4, whole = tks_body_wetted(body) * 1e4;
    assert_near(shell, 42.73, 1e-3, "without the ends");
    assert_near(whole, 43.73, 1e-3, "with the ends");
    assert_true(shell < 43 && 43 < whole);
    described_free(&d);
}

/* ---- all of them */

/* What a shape shows as its example can be made, under its own name and in its family. */
static void test_examples(void **state)
{
    (void)state;
    described d = described_new();
    for (size_t i = 0; i < tks_shapes_count(); i++) {
        const char *name = tks_shapes_name(i);
        const tks_shape *shape = NULL;
        char text[1000];
        assert_int_equal(
            tks_shapes_find(d.shapes, name, strlen(name), NULL, tks_nowhere(), &shape, &d.err), 0);
        assert_string_equal(tks_shape_name(shape), name);
        if (!*tks_shape_family(shape) || !*tks_shape_about(shape) || !*tks_shape_origin(shape))
            fail_msg("%s does not tell what it is", name);
        snprintf(text, sizeof text, "shape: %s\n%s", name, tks_shape_example(shape));
        const tks_body *body = described_body(&d, text);
        assert_true(tks_body_wetted(body) > 0);
        if (!body->overlap) assert_true(body->volume > 0); /* else the union tells */
    }
    described_free(&d);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_bars),
        cmocka_unit_test(test_shafts),
        cmocka_unit_test(test_tubes),
        cmocka_unit_test(test_turned),
        cmocka_unit_test(test_plates),
        cmocka_unit_test(test_perforated),
        cmocka_unit_test(test_bent_sheet),
        cmocka_unit_test(test_sections),
        cmocka_unit_test(test_bent_rods),
        cmocka_unit_test(test_springs),
        cmocka_unit_test(test_rod_of_the_trade),
        cmocka_unit_test(test_examples),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
