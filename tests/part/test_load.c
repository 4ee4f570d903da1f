/* Parts and loads as users write them: what is counted, and how often. */
#include "support/described.h"
#include "support/near.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* A rod of 10 mm by 20 mm: two ends of 25 pi mm2 and a shell of 200 pi mm2. */
#define ROD "shape: rod, diameter: 10 mm, length: 20 mm"

static const double rod = 250 * M_PI; /* [mm^2], by hand */

static tks_load load_of(described *d, const char *text)
{
    tks_load load = {0};
    if (described_load(d, text, &load))
        fail_msg("%s\n%d:%d: %s", text, d->err.line, d->err.column, d->err.text);
    return load;
}

/* ---- areas of parts */

static const struct {
    const char *text;
    double area, masked, sealed; /* of the first part, one of it [mm^2] */
    const char *source;
} parts[] = {
    {"part: x\npieces: [{" ROD "}]", 250 * M_PI, 0, 0, "by hand"},
    {"part: x\npieces: [{" ROD ", count: 3}]", 750 * M_PI, 0, 0, "three loose pieces"},
    {"part: x\npieces: [{" ROD "}, {" ROD "}]", 500 * M_PI, 0, 0, "two loose pieces"},
    {"part: x\npieces: [{" ROD ", contact: 30 mm^2}]", 250 * M_PI - 60, 0, 0, "off both faces"},
    {"part: x\npieces: [{" ROD ", count: 2, contact: 30 mm^2}]", 500 * M_PI - 120, 0, 0,
     "off both faces of both"},
    {"part: x\nmasked: end\npieces: [{" ROD "}]", 200 * M_PI, 50 * M_PI, 0, "both ends masked"},
    {"part: x\nmasked: [end, 30 mm^2]\npieces: [{" ROD "}]", 200 * M_PI - 30, 50 * M_PI + 30, 0,
     "the ends and an area more"},
    {"part: x\nmasked: 30 mm^2\npieces: [{" ROD "}]", 250 * M_PI - 30, 30, 0, "an area alone"},
    {"part: x\npieces: [{" ROD ", masked: end}, {" ROD "}]", 450 * M_PI, 50 * M_PI, 0,
     "one piece masked"},
    {"part: x\npieces: [{" ROD ", masked: [10 mm^2, 20 mm^2], count: 2}]", 500 * M_PI - 60, 60, 0,
     "areas of a piece add, for each of it"},
    {"part: x\npieces: [{shape: tube, outside: 20 mm, wall: 2 mm, length: 50 mm, ends: closed}]",
     M_PI * 20 * 50 + 200 * M_PI, 0, M_PI * 16 * 46 + 128 * M_PI, "a sealed bore is not wetted"},
    {ROD, 250 * M_PI, 0, 0, "a bare shape"},
    {"part: x\nshape: rod\ndiameter: 10 mm\nlength: 20 mm", 250 * M_PI, 0, 0, "a part of a shape"},
};

/* A bare shape in flow style is a map only within braces. */
static const char *as_document(described *d, const char *text)
{
    if (strncmp(text, "shape:", 6)) return text;
    return described_replace(d, text, ", ", "\n");
}

static void test_areas(void **state)
{
    (void)state;
    described d = described_new();
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        tks_load load = load_of(&d, as_document(&d, parts[i].text));
        const tks_part *p = load.first;
        assert_near(p->area * 1e6, parts[i].area, 1e-13, parts[i].text);
        assert_near(p->by_label[TKS_MASKED] * 1e6, parts[i].masked, 1e-13, parts[i].text);
        assert_near(p->by_label[TKS_SEALED] * 1e6, parts[i].sealed, 1e-13, parts[i].text);
        assert_near(load.total, p->area, 1e-15, parts[i].text);
        assert_string_equal(p->method, "exact");
        assert_true(p->area_low == p->area && p->area_high == p->area);
    }
    described_free(&d);
}

/* Masking moves area about and loses none: all labels of a part re-add. */
static void test_masking_loses_nothing(void **state)
{
    (void)state;
    described d = described_new();
    static const char *const masks[] = {"end", "outside", "[end, outside]", "7 mm^2",
                                        "[end, 1 mm^2]"};
    for (size_t i = 0; i < sizeof masks / sizeof masks[0]; i++) {
        char text[300];
        snprintf(text, sizeof text, "part: x\nmasked: %s\npieces: [{" ROD "}, {" ROD "}]",
                 masks[i]);
        tks_load load = load_of(&d, text);
        double sum = 0;
        for (int k = 0; k < TKS_LABEL_COUNT; k++) sum += load.first->by_label[k];
        assert_near(sum * 1e6, 2 * rod, 1e-13, masks[i]);
    }
    described_free(&d);
}

/* What the plating rooms read: surfaces by label and cavity, mass and size. */
static void test_items(void **state)
{
    (void)state;
    described d = described_new();
    tks_load load =
        load_of(&d, "part: x\ncount: 4\nmaterial: brass\npieces: [{" ROD "}, {shape: tube, "
                    "outside: 20 mm, wall: 2 mm, length: 50 mm}, {shape: tube, outside: 20 "
                    "mm, wall: 2 mm, length: 50 mm}]");
    const tks_item *item = &load.first->item;
    double volume = 500 * M_PI + 2 * M_PI / 4 * (400 - 256) * 50;
    assert_string_equal(item->name, "x");
    assert_int_equal(item->count, 4);
    assert_near(load.first->volume * 1e9, volume, 1e-13, "volume");
    assert_near(item->mass, 8500 * volume * 1e-9, 1e-13, "mass: 8.5 g/cm3 of the table");
    assert_int_equal(item->cavity_count, 1); /* like bores are one */
    assert_near(item->cavities[0].width, 8e-3, 1e-13, "bore");
    double inside = 0, others = 0;
    for (size_t i = 0; i < item->surface_count; i++)
        *(item->surfaces[i].cavity == 0 ? &inside : &others) += item->surfaces[i].area;
    assert_near(inside * 1e6, 2 * M_PI * 16 * 50, 1e-13, "in the bores");
    assert_near((inside + others), load.first->area, 1e-13, "all");
    described_free(&d);
}

/* ---- loads */

static void test_hangers(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double hangers; /* how many */
    } rows[] = {
        {"load: x\nhangers: {wire: 1 mm, wetted length: 40 mm}\nparts: [{" ROD "}]", 1},
        {"load: x\nhangers: {wire: 1 mm, wetted length: 40 mm}\nparts: [{part: y, count: 5, "
         "pieces: "
         "[{" ROD ", count: 2}]}, {" ROD "}]",
         6}, /* one for each part, however many pieces it has */
        {"load: x\nhangers: {wire: 1 mm, wetted length: 40 mm, count: 2}\nparts: [{" ROD "}]", 2},
        {"load: x\nparts: [{" ROD "}]\nhangers: {wire: 1 mm, wetted length: 40 mm}", 1},
        {"load: x\nparts: [{" ROD "}]", 0},
    };
    described d = described_new();
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        tks_load load = load_of(&d, rows[i].text);
        double sum = 0;
        for (const tks_part *p = load.first; p; p = p->next) sum += p->area * (double)p->item.count;
        assert_near(load.hanger_area * 1e6, rows[i].hangers * M_PI * 40, 1e-13, rows[i].text);
        assert_near(load.total, sum + load.hanger_area, 1e-13, rows[i].text);
    }
    described_free(&d);
}

static void test_aims(void **state)
{
    (void)state;
    static const struct {
        const char *line;
        tks_aim aim;
        double thickness;
    } rows[] = {{"thickness: {minimum: 8 um}", TKS_AIM_MINIMUM, 8e-6},
                {"thickness: {mean: 0.5 thou}", TKS_AIM_MEAN, 12.7e-6},
                {"thickness: 8 um", TKS_AIM_MEAN, 8e-6},
                {"note: none", TKS_AIM_NONE, 0}};
    described d = described_new();
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[200];
        snprintf(text, sizeof text, "load: x\n%s\nparts: [{" ROD "}]", rows[i].line);
        tks_load load = load_of(&d, text);
        assert_int_equal(load.aim, rows[i].aim);
        assert_near(load.thickness, rows[i].thickness, 1e-15, rows[i].line);
    }
    described_free(&d);
}

/* Documents behind one another add to one load. */
static void test_documents(void **state)
{
    (void)state;
    described d = described_new();
    tks_load load = load_of(&d, "part: a\npieces: [{" ROD "}]\n---\nshape: rod\ndiameter: 10 mm\n"
                                "length: 20 mm\ncount: 2\n---\npart: b\npieces: [{" ROD "}]\n");
    assert_int_equal(load.part_count, 3);
    assert_string_equal(load.first->item.name, "a");
    assert_string_equal(load.first->next->item.name, "cylinder");
    assert_string_equal(load.last->item.name, "b");
    assert_near(load.total * 1e6, 4 * rod, 1e-13, "four rods");
    described_free(&d);
}

static void test_places(void **state)
{
    (void)state;
    described d = described_new();
    tks_load load =
        load_of(&d, "load: x\nparts:\n  - {" ROD "}\n  - {" ROD ", at: [4, 0, 9] cm}\n  - "
                    "{" ROD ", at: [1, 2, 3] mm, axis: [1, 0, 0]}\n  - {" ROD ", axis: [0, "
                    "0, -1], x axis: [0, 2, 1]}\n  - {" ROD ", turn: 90 deg}");
    const tks_part *p = load.first;
    assert_false(p->placed);
    p = p->next;
    assert_true(p->placed);
    assert_near(p->frame.origin.x, 0.04, 1e-15, "at");
    assert_near(p->frame.z.z, 1, 1e-15, "upright");
    p = p->next; /* the smallest rotation that takes z to x takes x to -z, and leaves y */
    assert_near(p->frame.z.x, 1, 1e-15, "axis");
    assert_near(p->frame.x.z, -1, 1e-15, "x axis of the smallest rotation");
    assert_near(p->frame.y.y, 1, 1e-15, "y axis of the smallest rotation");
    p = p->next;
    assert_near(p->frame.x.y, 1, 1e-15, "x axis made square to the axis");
    assert_near(p->frame.z.z, -1, 1e-15, "axis");
    p = p->next;
    assert_near(p->frame.x.y, 1, 1e-15, "turned about its axis");
    described_free(&d);
}

/* ---- files */

static void write_file(const char *path, const char *text)
{
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fputs(text, f);
    fclose(f);
}

/* Part files, and a shape of the user's own, beside a load that stands in another folder. */
static void test_part_files(void **state)
{
    (void)state;
    char folder[] = "/tmp/tks_part_XXXXXX", path[100];
    assert_non_null(mkdtemp(folder));
    static const struct {
        const char *name, *text;
    } files[] = {
        {"load.yaml",
         "load: x\nparts:\n  - part: pin.yaml\n    count: 3\n    at: [1, 2, 3] cm\n  - "
         "two.yaml\n  - {shape: peg, d: 10 mm}\n"},
        {"pin.yaml", "part: pin\ncount: 2\npieces: [{" ROD "}]\n"},
        {"two.yaml", "part: a\ncount: 2\npieces: [{" ROD "}]\n---\nshape: peg\nd: 20 mm\n"},
        {"shapes", NULL},
        {"shapes/peg.yaml", "shape: peg\nparameters: {d: {kind: length, about: "
                            "diameter}}\nsolids:\n  - revolve:\n      "
                            "profile: [[0, 0], [d/2, 0], [d/2, 2*d], [0, 2*d]]\n"},
    };
    enum { FILES = sizeof files / sizeof files[0] };
    for (size_t i = 0; i < FILES; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, files[i].name);
        if (files[i].text)
            write_file(path, files[i].text);
        else
            assert_int_equal(mkdir(path, 0700), 0);
    }
    described d = described_new();
    tks_part_reading reading = {
        .shapes = d.shapes, .arena = d.arena, .scratch = d.scratch, .cautions = &d.cautions};
    tks_load load = {0};
    snprintf(path, sizeof path, "%s/load.yaml", folder);
    if (tks_load_open(&reading, path, &load, NULL, &d.err)) fail_msg("%s", d.err.text);
    assert_int_equal(load.part_count, 4);
    assert_int_equal(load.first->item.count, 3); /* the entry's own count stands in */
    assert_near(load.first->frame.origin.y, 0.02, 1e-15, "and its place");
    assert_int_equal(load.first->next->item.count, 2);
    assert_false(load.first->next->placed);
    assert_near(load.last->area * 1e6, rod, 1e-13, "a peg of 10 mm by 20 mm");
    assert_near(load.total * 1e6, 3 * rod + 2 * rod + 4 * rod + rod, 1e-13, "areas as length^2");
    described_free(&d);
    for (size_t i = FILES; i-- > 0;) {
        snprintf(path, sizeof path, "%s/%s", folder, files[i].name);
        assert_int_equal(remove(path), 0);
    }
    assert_int_equal(rmdir(folder), 0);
}

/* ---- cautions */

static void test_cautions(void **state)
{
    (void)state;
    static const struct {
        const char *text, *code, *what;
        tks_severity severity;
    } rows[] = {
        {"part: leg\npieces: [{shape: tube, outside: 20 mm, wall: 2 mm, length: 50 mm, ends: "
         "closed}]",
         "sealed-void", "leg, tube", TKS_INJURY},
        {"part: leg\npieces: [{shape: bent tube, name: bow, outside: 20 mm, wall: 2 mm, ends: "
         "closed, "
         "path: [{straight: 50 mm}]}]",
         "sealed-void", "leg, bow", TKS_INJURY},
        {"part: leg\npieces: [{shape: tube, outside: 20 mm, wall: 2 mm, length: 50 mm, ends: one "
         "closed}]",
         "blind-bore", "leg, tube", TKS_SPOIL},
        {"part: leg\nmaterial: unobtainium\npieces: [{" ROD "}]", "material-unknown", "leg",
         TKS_DOUBT},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        described d = described_new();
        load_of(&d, rows[i].text);
        assert_int_equal(d.cautions.count, 1);
        assert_string_equal(d.cautions.first->code, rows[i].code);
        assert_string_equal(d.cautions.first->what, rows[i].what);
        assert_int_equal(d.cautions.first->severity, rows[i].severity);
        described_free(&d);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_areas),    cmocka_unit_test(test_masking_loses_nothing),
        cmocka_unit_test(test_items),    cmocka_unit_test(test_hangers),
        cmocka_unit_test(test_aims),     cmocka_unit_test(test_documents),
        cmocka_unit_test(test_places),   cmocka_unit_test(test_part_files),
        cmocka_unit_test(test_cautions),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
