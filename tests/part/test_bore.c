/* Bores that cuts leave: their radius, length and mouths, and how much wall each has. */
#include "part/bore.h"
#include "support/described.h"
#include "support/near.h"

#include <math.h>
#include <stdio.h>

#define BLOCK                                                                                      \
    "shape: plate, length: 60 mm, width: 40 mm, thickness: 30 mm, name: block, at: [0, 0, 0] mm"
#define FLANGE    "shape: plate, length: 40 mm, width: 40 mm, thickness: 5 mm"
#define DRILL     "shape: cylinder, diameter: 8 mm"
#define MOST_WANT 2

/* What is wanted of the walls that have a cavity; areas in mm^2. */
typedef struct wanted {
    double radius, length, mouths, area;
} wanted;

static const struct {
    const char *pieces, *cuts;
    size_t count;
    wanted want[MOST_WANT];
    double open, near;
    const char *source;
} rows[] = {
    {"{" BLOCK "}",
     "{" DRILL ", length: 40 mm, at: [0, 0, -5] mm}",
     1,
     {{4, 30, 2, 240 * M_PI}},
     0,
     1e-6,
     "a hole through a block"},
    {"{" BLOCK "}",
     "{" DRILL ", length: 30 mm, at: [0, 0, 0] mm}",
     1,
     {{4, 30, 2, 240 * M_PI}},
     0,
     1e-6,
     "the same, the drill no longer than the block"},
    {"{" BLOCK "}",
     "{" DRILL ", length: 40 mm, at: [0, 0, 10] mm}",
     1,
     {{4, 20, 1, 160 * M_PI + 16 * M_PI}},
     0,
     1e-6,
     "a blind hole and its bottom"},
    {"{" BLOCK "}",
     "{" DRILL ", length: 40 mm, at: [10, 0, 20] mm, axis: [0, 0, -1]}, {" DRILL
     ", length: 40 mm, at: [-10, 0, 10] mm}",
     1,
     {{4, 20, 1, 2 * (160 * M_PI + 16 * M_PI)}},
     0,
     1e-6,
     "blind holes from either side, of one kind"},
    {"{" BLOCK "}",
     "{shape: cylinder, diameter: 15 mm, length: 20 mm, at: [0, 0, 22] mm}, {shape: cylinder, "
     "diameter: 9 mm, length: 40 mm, at: [0, 0, -5] mm}",
     2,
     {{7.5, 8, 1, 120 * M_PI + M_PI *(56.25 - 20.25)}, {4.5, 22, 2, 198 * M_PI}},
     0,
     1e-6,
     "a counterbore: its floor is more than half of it"},
    {"{" BLOCK "}",
     "{shape: cylinder, diameter: 10 mm, length: 80 mm, at: [-40, 0, 30] mm, axis: [1, 0, 0]}",
     0,
     {{0, 0, 0, 0}},
     300 * M_PI,
     1e-6,
     "a trough, half the turn open"},
    {"{" FLANGE ", at: [0, 0, 0] mm}, {" FLANGE ", at: [0, 0, 45] mm}",
     "{" DRILL ", length: 60 mm, at: [0, 0, -5] mm}",
     1,
     {{4, 5, 2, 80 * M_PI}},
     0,
     1e-6,
     "two flanges drilled in one go: each has its own mouths"},
    {"{" FLANGE ", at: [0, 0, 0] mm}, {" FLANGE ", at: [0, 0, 5] mm}",
     "{" DRILL ", length: 60 mm, at: [0, 0, -5] mm}",
     1,
     {{4, 10, 2, 80 * M_PI}},
     0,
     1e-6,
     "two plates stacked: one bore"},
    {"{" FLANGE ", at: [0, 0, 0] mm}, {" FLANGE ", at: [0, 0, 5.1] mm}",
     "{" DRILL ", length: 60 mm, at: [0, 0, -5] mm}",
     1,
     {{4, 10.1, 2, 80 * M_PI}},
     0,
     1e-6,
     "a gap of 0.1 mm between them is no mouth"},
    {"{" FLANGE ", at: [0, 0, 0] mm}, {" FLANGE ", at: [0, 0, 30] mm}",
     "{" DRILL ", length: 60 mm, at: [0, 0, 2] mm}, {" FLANGE ", at: [0, 0, 32] mm}",
     2,
     {{4, 3, 1, 24 * M_PI + 16 * M_PI}, {4, 2, 2, 16 * M_PI}},
     1600 - 16 * M_PI,
     1e-6,
     "blind in one, through the other, which is milled down to 2 mm"},
    {"{" BLOCK "}",
     "{" DRILL ", length: 80 mm, at: [-23.094010767585, 0, -25] mm, axis: [1, 0, 1.7320508075689]}",
     1,
     {{4, 34.641, 2, 240 * M_PI / 0.8660254037844}},
     0,
     0.06,
     "30 deg askew: the mean wall is 30 mm / cos 30 deg long; its ends are part open"},
    {"{shape: tube, outside: 40 mm, inside: 36 mm, length: 100 mm, at: [0, 0, 0] mm}",
     "{" DRILL ", length: 60 mm, at: [-30, 0, 50] mm, axis: [1, 0, 0]}",
     1,
     {{4, 2, 2, 2 * 16 * M_PI}},
     0,
     0.2,
     "across a tube, through its wall of 2 mm twice; the edges are curved"},
    {"{" BLOCK "}",
     "{shape: cylinder, diameter: 8 mm, chamfer: 2 mm, length: 40 mm, at: [0, 0, 10] mm}",
     1,
     {{4, 18, 1, 144 * M_PI + M_PI * 6 * 2 * M_SQRT2 + 4 * M_PI}},
     0,
     1e-6,
     "a blind hole with a cone of 90 degrees at its bottom, pi (r1 + r2) s"},
    {"{" BLOCK "}",
     "{shape: cylinder, diameter: 8 mm, chamfer: 2 mm, length: 20 mm, at: [0, 0, 12] mm}",
     1,
     {{4, 16, 1, 128 * M_PI + M_PI * 6 * 2 * M_SQRT2 + 4 * M_PI}},
     0,
     1e-6,
     "the same, deep enough that the other chamfer is outside"},
    {"{" BLOCK "}",
     "{shape: cone, base diameter: 4 mm, top diameter: 16 mm, height: 6 mm, at: [0, 0, 24] mm}, "
     "{shape: cylinder, diameter: 4 mm, length: 40 mm, at: [0, 0, -5] mm}",
     1,
     {{2, 24, 2, 96 * M_PI}},
     M_PI * 10 * 6 * M_SQRT2,
     1e-4,
     "a countersink of 90 degrees is open"},
    {"{" BLOCK "}",
     "{shape: cone, base diameter: 9 mm, top diameter: 7 mm, height: 30 mm, at: [0, 0, 0] mm}",
     1,
     {{4, 30, 2, 8 * M_PI * 30.016662}},
     0,
     1e-6,
     "a taper pin's hole: slant height of hypot(30, 1) mm"},
};

static double wall_of(const tks_item *item, int cavity)
{
    double area = 0;
    for (size_t i = 0; i < item->surface_count; i++) {
        const tks_surface *s = &item->surfaces[i];
        if (s->cavity == cavity && (s->label == TKS_HOLE || s->label == TKS_THREAD))
            area += s->area;
    }
    return area * 1e6;
}

static void check_bore(const tks_cavity *c, const wanted *w, double near, const char *source)
{
    assert_int_equal(c->kind, TKS_BORE);
    assert_near(c->width, w->radius * 1e-3, 1e-9, source);
    assert_near(c->length, w->length * 1e-3, fmin(near, 0.012), source);
    assert_near(c->mouths, w->mouths, 0, source);
}

static void check_row(const tks_item *item, size_t row)
{
    const char *source = rows[row].source;
    double near = rows[row].near, all = rows[row].open, found = wall_of(item, -1);
    size_t count = 0;
    for (size_t i = 0; i < item->cavity_count; i++) {
        double area = wall_of(item, (int)i);
        if (area == 0) continue; /* the bore of a tube */
        if (count == rows[row].count) fail_msg("%s: too many bores", source);
        const wanted *w = &rows[row].want[count++];
        check_bore(&item->cavities[i], w, near, source);
        assert_near(area, w->area, near, source);
        all += w->area;
        found += area;
    }
    assert_int_equal(count, rows[row].count);
    assert_near(found, all, fmax(near / 3, 1e-6), source);
}

static void bores_have_their_sizes(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        described d = described_new();
        tks_load load = {0};
        char text[700];
        snprintf(text, sizeof text, "part: x\npieces: [%s]\ncuts: [%s]\n", rows[i].pieces,
                 rows[i].cuts);
        if (described_load(&d, text, &load)) fail_msg("%s: %s", rows[i].source, d.err.text);
        check_row(&load.first->item, i);
        described_free(&d);
    }
}

/* M8 has a pitch diameter of 7.188 mm (ISO 724, table 1). */
static void tapped_holes_are_bores(void **state)
{
    (void)state;
    static const char *const mouths[] = {"at: [0, 0, -5] mm",
                                         "at: [0, 0, 50] mm, axis: [0, 0, -1]"};
    for (int blind = 0; blind < 2; blind++) {
        described d = described_new();
        tks_load load = {0};
        char text[300];
        snprintf(text, sizeof text,
                 "part: x\npieces: [{" BLOCK "}]\ncuts: [{shape: tapped hole, thread: M8, length: "
                 "40 mm, %s}]",
                 mouths[blind]);
        assert_int_equal(described_load(&d, text, &load), TKS_OK);
        const tks_item *item = &load.first->item;
        const tks_cavity *c = &item->cavities[0];
        assert_int_equal(item->cavity_count, 1);
        assert_near(2 * c->width, 7.188e-3, 1e-4, "pitch diameter, ISO 724");
        assert_near(c->length, blind ? 20e-3 : 30e-3, 1e-6, "as deep as it is cut");
        assert_int_equal(c->mouths, blind ? 1 : 2);
        for (size_t i = 0; i < item->surface_count; i++) {
            const tks_surface *s = &item->surfaces[i];
            if (s->label != TKS_THREAD || s->area < 1e-4) continue; /* not its ends */
            assert_int_equal(s->cavity, 0);
            assert_near(s->pitch, 1.25e-3, 1e-12, "M8, ISO 261: its grooves count as well");
        }
        described_free(&d);
    }
}

/* Two tubes opened into one another, one of them plugged half way: what is left of their bores is
 * in the bores still. */
static void bores_of_pieces_are_kept(void **state)
{
    (void)state;
    described d = described_new();
    tks_load load = {0};
    assert_int_equal(
        described_load(
            &d,
            "part: tee\npieces:\n"
            "  - {shape: tube, outside: 20 mm, inside: 16 mm, length: 60 mm, at: [0,0,-30] mm}\n"
            "  - {shape: tube, outside: 12 mm, inside: 9 mm, length: 30 mm, at: [0,0,0] mm, axis: "
            "[1,0,0]}\n"
            "  - {shape: cylinder, diameter: 16 mm, length: 20 mm, at: [0,0,15] mm}\ncuts:\n"
            "  - {shape: cylinder, diameter: 16 mm, length: 45 mm, at: [0,0,-30] mm}\n"
            "  - {shape: cylinder, diameter: 9 mm, length: 30 mm, at: [0,0,0] mm, axis: [1,0,0]}",
            &load),
        TKS_OK);
    const tks_part *p = load.first;
    double inside = 0;
    for (size_t i = 0; i < p->item.surface_count; i++) {
        const tks_surface *s = &p->item.surfaces[i];
        if (s->label != TKS_INSIDE || s->area == 0) continue;
        assert_true(s->cavity >= 0);
        double length = p->item.cavities[s->cavity].length;
        assert_true(fabs(length - 60e-3) < 1e-12 || fabs(length - 30e-3) < 1e-12);
        inside += s->area;
    }
    assert_near(inside, p->by_label[TKS_INSIDE], 1e-12, "all of it");
    /* pi 16 mm x 45 mm less the branch's mouth, and pi 9 mm from the saddle to 30 mm */
    assert_near(inside, 1e-6 * (M_PI * 16 * 45 - M_PI * 20.25 + M_PI * 9 * 22.5), 0.02, "roughly");
    described_free(&d);
}

/* More stretches than are told apart: those that are not count as open, and no area is lost. */
static void a_comb_is_drilled(void **state)
{
    (void)state;
    described d = described_new();
    tks_load load = {0};
    char text[4000];
    size_t used = (size_t)snprintf(text, sizeof text, "part: comb\npieces:\n");
    for (int i = 0; i < 40; i++)
        used += (size_t)snprintf(text + used, sizeof text - used,
                                 "  - {" FLANGE ", at: [0, 0, %d] mm}\n", 10 * i);
    snprintf(text + used, sizeof text - used,
             "cuts: [{" DRILL ", length: 420 mm, at: [0, 0, -5] mm}]\n");
    assert_int_equal(described_load(&d, text, &load), TKS_OK);
    const tks_item *item = &load.first->item;
    assert_int_equal(item->cavity_count, 1);
    assert_near(wall_of(item, -1) + wall_of(item, 0), 40 * 40 * M_PI, 1e-6, "walls, by hand");
    assert_true(wall_of(item, 0) > 0 && wall_of(item, -1) > 0);
    described_free(&d);
}

/* Bores of a cylinder cut from a plate, with as much work as is given. */
static size_t bores_for(described *d, double work)
{
    part_metal metal;
    part_bore bores[PART_MOST_BORES];
    const tks_body *bodies[] = {
        described_body(d, "shape: plate\nlength: 60 mm\nwidth: 40 mm\nthickness: 30 mm"),
        described_body(d, "shape: cylinder\ndiameter: 8 mm\nlength: 50 mm")};
    assert_int_equal(part_metal_new(bodies, 1, 1, d->arena, &metal), TKS_OK);
    metal.work = work;
    for (size_t i = 0; i < bodies[1]->patch_count; i++) {
        size_t count = part_bores(&metal, 1, &bodies[1]->patches[i], bores);
        if (count) return count;
    }
    return 0;
}

static void work_is_limited(void **state)
{
    (void)state;
    described d = described_new();
    assert_int_equal(bores_for(&d, PART_METAL_WORK), 1);
    assert_int_equal(bores_for(&d, 200), 0);
    assert_int_equal(bores_for(&d, 0), 0);
    described_free(&d);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bores_have_their_sizes),   cmocka_unit_test(tapped_holes_are_bores),
        cmocka_unit_test(bores_of_pieces_are_kept), cmocka_unit_test(a_comb_is_drilled),
        cmocka_unit_test(work_is_limited),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
