/* Bad input: where the message points, and what it says. Numbers are line and column. */
#include "base/alloc.h"
#include "support/described.h"
#include "support/near.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define ROD "shape: rod, diameter: 1 cm, length: 1 cm"

typedef struct row {
    const char *text;
    tks_status code;
    int line, column;
    const char *says; /* some of the message */
} row;

static void check_row(const row *r)
{
    described d = described_new();
    tks_load load = {0};
    tks_status status = described_load(&d, r->text, &load);
    if (status != r->code || d.err.line != r->line || d.err.column != r->column ||
        !strstr(d.err.text, r->says))
        fail_msg("%s\ngives %s %d:%d: %s", r->text, tks_status_name(status), d.err.line,
                 d.err.column, status ? d.err.text : "");
    assert_string_equal(d.err.file, "load.yaml");
    described_free(&d);
}

static void check_rows(const row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++) check_row(&rows[i]);
}

#define CHECK_ROWS(rows) check_rows(rows, sizeof(rows) / sizeof(rows)[0])

static void test_numbers(void **state)
{
    (void)state;
    static const row rows[] = {
        {"shape: rod\ndiameter: 0 mm\nlength: 1 mm", TKS_EDOMAIN, 2, 11, "must be above zero"},
        {"shape: rod\ndiameter: -4 mm\nlength: 1 mm", TKS_EDOMAIN, 2, 11, "'-4 mm'"},
        {"shape: rod\ndiameter: nan mm\nlength: 1 mm", TKS_EDOMAIN, 2, 11, "not a number"},
        {"shape: rod\ndiameter: .nan\nlength: 1 mm", TKS_ESYNTAX, 2, 11, "not a number"},
        {"shape: rod\ndiameter: inf mm\nlength: 1 mm", TKS_EDOMAIN, 2, 11, "not a number"},
        {"shape: rod\ndiameter: 1e308 mm\nlength: 1 mm", TKS_EDOMAIN, 2, 11, "at most 100 m"},
        {"shape: rod\ndiameter: 1e309 mm\nlength: 1 mm", TKS_EDOMAIN, 2, 11, "too large"},
        {"shape: rod\ndiameter: 1e-300 mm\nlength: 1 mm", TKS_EDOMAIN, 2, 11, "at least 0.1 um"},
        {"shape: rod\ndiameter: 8\nlength: 1 mm", TKS_EDIMENSION, 2, 11, "write 8 mm"},
        {"shape: rod\ndiameter: 8 A\nlength: 1 mm", TKS_EDIMENSION, 2, 11, "this is a current"},
        {"shape: rod\ndiameter: 8 mm / 0\nlength: 1 mm", TKS_EDOMAIN, 2, 16, "division by zero"},
        {"shape: rod\ndiameter: [8] mm\nlength: 1 mm", TKS_ESYNTAX, 2, 11, "read a list"},
        {"shape: rod\ndiameter:\nlength: 1 mm", TKS_EMISSING, 2, 10, "read nothing"},
        {"shape: rod\ndiamter: 8 mm\nlength: 1 mm", TKS_EUNKNOWN, 2, 1, "did you mean 'diameter'?"},
        {"shape: rod\nzzzzz: 8 mm\nlength: 1 mm", TKS_EUNKNOWN, 2, 1, "it takes diameter, length"},
        {"shape: rod\ndiameter: 8 mm", TKS_EMISSING, 1, 1, "needs its length"},
        {"shape: cylindre\nlength: 1 mm", TKS_EUNKNOWN, 1, 8, "did you mean 'cylinder'?"},
        {"shape: qqqqqqq\nlength: 1 mm", TKS_EUNKNOWN, 1, 8, "no shape 'qqqqqqq'"},
        {"shape: ../../etc/passwd\nlength: 1 mm", TKS_EUNKNOWN, 1, 8, "no shape"},
    };
    CHECK_ROWS(rows);
}

static void test_tubes_and_turned(void **state)
{
    (void)state;
#define TUBE "shape: tube\nlength: 20 mm\noutside: 10 mm\n"
    static const row rows[] = {
        {TUBE "wall: 5 mm", TKS_EDOMAIN, 4, 7, "thinner than half the outside diameter"},
        {TUBE "wall: 6 mm", TKS_EDOMAIN, 4, 7, "thinner than half the outside diameter"},
        {TUBE "inside: 12 mm", TKS_EDOMAIN, 4, 9, "smaller than the outside"},
        {TUBE, TKS_EMISSING, 1, 1, "two of outside, inside and wall"},
        {TUBE "inside: 8 mm\nwall: 2 mm", TKS_EDOMAIN, 4, 9, "do not agree"},
        {TUBE "wall: 1 mm\nends: shut", TKS_EUNKNOWN, 5, 7, "open, one closed or closed"},
        {TUBE "wall: 1 mm\nends: closed\nend thickness: 10 mm", TKS_EDOMAIN, 6, 16, "no bore"},
        {"shape: bent tube\noutside: 8 mm\nwall: 4 mm\npath: [{straight: 1 cm}]", TKS_EDOMAIN, 3, 7,
         "thinner than half"},
        {"shape: ring\nmean diameter: 2 cm\nsection: 2 cm", TKS_EDOMAIN, 3, 10, "thinner"},
        {"shape: washer\noutside: 2 cm\ninside: 2 cm\nthickness: 1 mm", TKS_EDOMAIN, 3, 9,
         "smaller"},
        {"shape: dome\ndiameter: 1 cm\nheight: 11 mm", TKS_EDOMAIN, 3, 9, "no spherical cap"},
        {"shape: cone\nbase diameter: 0 mm\nheight: 3 mm", TKS_EDOMAIN, 2, 16, "above zero"},
        {"shape: stepped shaft\nsteps: [{diameter: 12 mm, length: 1 mm, fillet: 2 mm}, {diameter: "
         "2 "
         "cm, length: 3 mm}]",
         TKS_EDOMAIN, 2, 9, "fillet does not fit"},
        {"shape: stepped shaft\nsteps: [{diameter: 12 mm, length: 9 mm, fillet: 5 mm}, {diameter: "
         "2 "
         "cm, length: 3 mm}]",
         TKS_EDOMAIN, 2, 9, "fillet does not fit"},
        {"shape: stepped shaft\nsteps: [{diameter: 12 mm, length: 1 mm}, 3]", TKS_ESYNTAX, 2, 42,
         "a step of a shaft"},
    };
    CHECK_ROWS(rows);
}

static void test_holes(void **state)
{
    (void)state;
#define PLATE "shape: plate\nlength: 60 mm\nwidth: 25 mm\nthickness: 3 mm\nholes: "
    static const row rows[] = {
        {PLATE "[{diameter: 30 mm}]", TKS_EGEOMETRY, 5, 9, "does not fit in 60 mm x 25 mm"},
        {PLATE "[{diameter: 3 mm, at: [40, 0] mm}]", TKS_EGEOMETRY, 5, 9,
         "(40, 0) mm does not lie"},
        {PLATE "[{square: 3 mm, at: [29, 0] mm}]", TKS_EGEOMETRY, 5, 9, "(29, 0) mm does not lie"},
        {PLATE "[{diameter: 3 mm, at: [1e300, 0] mm}]", TKS_EGEOMETRY, 5, 9, ""},
        {PLATE "[{diameter: 3 mm, at: [[1, 0], [2, 0]] mm}]", TKS_EGEOMETRY, 1, 1, "overlap"},
        {PLATE "[{diameter: 3 mm, count: 3, at: [1, 0] mm}]", TKS_EDOMAIN, 5, 9, "gives 1 places"},
        {PLATE "[{count: 3}]", TKS_EMISSING, 5, 9, "needs its diameter"},
        {PLATE "[{diameter: 3 mm, cuont: 3}]", TKS_EUNKNOWN, 5, 26, "did you mean 'count'?"},
        {PLATE "[{diameter: 3 mm, count: 1000000}]", TKS_EDOMAIN, 5, 33, "from 1 to 100000"},
        {PLATE
         "[{diameter: 1 um, count: 99999}, {square: 1 um, count: 99999}, {square: 1 um, count: "
         "9}]",
         TKS_ELIMIT, 5, 71, "more than 200000 holes"},
        {PLATE "8 mm", TKS_ESYNTAX, 5, 8, "a list of holes"},
        {PLATE "[]\nslots: [{length: 3 mm, width: 4 mm}]", TKS_EDOMAIN, 6, 9, "below its width"},
        {PLATE "[]\ncorner radius: 13 mm", TKS_EDOMAIN, 6, 16, "half the shorter side"},
        {"shape: perforated plate\nlength: 10 m\nwidth: 10 m\nthickness: 1 mm\nhole: 1 mm\npitch: "
         "1.5 "
         "mm",
         TKS_ELIMIT, 1, 1, "more than 200000 holes"},
    };
    CHECK_ROWS(rows);
}

static void test_bends(void **state)
{
    (void)state;
#define BENT  "shape: bent rod\ndiameter: 8 mm\n"
#define SHEET "shape: bent sheet\nwidth: 30 mm\nthickness: 2 mm\nlegs: [40, 25] mm\n"
#define BEND  "bends: [{angle: 90 deg, inside radius: 2 mm}]\n"
    static const row rows[] = {
        {BENT "path: [{straight: 1 cm}, {bend: 90 deg, radius: 3 mm}]", TKS_EGEOMETRY, 3, 26,
         "a radius of 3 mm is tighter than the section, which reaches 4 mm"},
        {BENT "path: [{coil: 2, diameter: 7 mm, pitch: 9 mm}]", TKS_EGEOMETRY, 3, 8, "tighter"},
        {BENT "corners: [[0, 0, 0], [9, 0, 0], [9, 9, 0]] cm\nradii: [3] mm", TKS_EGEOMETRY, 4, 9,
         "tighter"},
        {BENT "corners: [[0, 0, 0], [9, 0, 0], [9, 9, 0]] cm\nradii: [30] cm", TKS_EGEOMETRY, 1, 1,
         "corner 2"},
        {BENT "corners: [[0, 0, 0], [9, 0, 0], [9, 9, 0]] cm", TKS_EDOMAIN, 3, 10, "radii"},
        {BENT "path: [{straight: 1 cm, bend: 3 deg}]", TKS_ESYNTAX, 3, 8, "one of straight, bend"},
        {BENT "path: [{bend: 90 deg}]", TKS_EMISSING, 3, 8, "a bend needs its radius"},
        {BENT, TKS_EDOMAIN, 1, 1, "give its path"},
        {SHEET, TKS_EDOMAIN, 1, 1, "2 legs need 1 bends"},
        {SHEET BEND "holes: [{diameter: 3 mm}]", TKS_EMISSING, 6, 9, "say which leg"},
        {SHEET BEND "holes: [{diameter: 3 mm, leg: 3}]", TKS_EDOMAIN, 6, 9, "there are 2 legs"},
        {SHEET BEND "holes: [{diameter: 30 mm, leg: 2}]", TKS_EGEOMETRY, 6, 9, "does not fit"},
        {SHEET BEND "holes: [{diameter: 3 mm, leg: 2, at: [24, 0] mm}]", TKS_EGEOMETRY, 6, 9,
         "does not lie on the flat of leg 2"},
        {"shape: spring\nmean diameter: 2 cm\nwire: 2.5 mm\npitch: 2 mm\nturns: 8", TKS_EDOMAIN, 4,
         8, "run into one another"},
        {"shape: spring\nmean diameter: 2 cm\nwire: 2.5 mm\npitch: 3 mm\nturns: 99999", TKS_EDOMAIN,
         5, 8, "at most 10000"},
    };
    CHECK_ROWS(rows);
}

static void test_parts(void **state)
{
    (void)state;
    static const row rows[] = {
        {"part: x", TKS_EMISSING, 1, 1, "needs its pieces"},
        {"part: x\npieces: []", TKS_EMISSING, 2, 9, "at least one piece"},
        {"part: x\npieces: 3", TKS_ESYNTAX, 2, 9, "a list of pieces"},
        {"part: x\npieces: [3]", TKS_ESYNTAX, 2, 10, "expected a piece"},
        {"part: x\npieces: [{diameter: 3 mm}]", TKS_EMISSING, 2, 10, "needs its shape"},
        {"part: x\npeices: [{" ROD "}]", TKS_EUNKNOWN, 2, 1, "did you mean 'pieces'?"},
        {"part: x\ncount: 0\npieces: [{" ROD "}]", TKS_EDOMAIN, 2, 8, "from 1 to 1000000"},
        {"part: x\npieces: [{" ROD ", count: 1.5}]", TKS_ESYNTAX, 2, 60, "a whole number"},
        {"part: x\npieces: [{" ROD ", contact: 5 cm2}]", TKS_EDOMAIN, 2, 10,
         "more than the surface"},
        {"part: x\npieces: [{" ROD ", contact: -5 cm2}]", TKS_EDOMAIN, 2, 62, "below zero"},
        {"part: x\npieces: [{" ROD ", contact: 5 cm}]", TKS_EDIMENSION, 2, 62, "an area is wanted"},
        {"part: x\npieces: [{" ROD ", masked: 9 cm2}]", TKS_EDOMAIN, 2, 61,
         "more than the surface"},
        {"part: x\nmasked: [thread]\npieces: [{" ROD "}]", TKS_EDOMAIN, 2, 9,
         "nothing of the part"},
        {"part: x\nmasked: [outsid]\npieces: [{" ROD "}]", TKS_EUNKNOWN, 2, 10, "outside, end"},
        {"shape: rod\ndiameter: 1 cm\nlength: 1 cm\nat: [1, 2] mm", TKS_ESYNTAX, 4, 5, "3 values"},
        {"shape: rod\ndiameter: 1 cm\nlength: 1 cm\naxis: [0, 0, 0]", TKS_EDOMAIN, 4, 7,
         "direction"},
        {"shape: rod\ndiameter: 1 cm\nlength: 1 cm\nat: [0, 0, 1e300] m", TKS_EDOMAIN, 4, 5,
         "away"},
    };
    CHECK_ROWS(rows);
}

static void test_loads(void **state)
{
    (void)state;
    static const row rows[] = {
        {"load: x", TKS_EMISSING, 1, 1, "needs its parts"},
        {"load: x\nparts: []", TKS_EMISSING, 2, 8, "at least one part"},
        {"load: x\nparts: 3", TKS_ESYNTAX, 2, 8, "a list of parts"},
        {"load: x\nparts: [{count: 2}]", TKS_EMISSING, 2, 9, "`part: FILE`"},
        {"load: x\nparts: [nothere.yaml]", TKS_EOPEN, 2, 9, "nothere.yaml: cannot open"},
        {"load: x\nparts: [{part: nothere.yaml, cuont: 3}]", TKS_EUNKNOWN, 2, 30, "'count'?"},
        {"load: x\nprats: [{" ROD "}]", TKS_EUNKNOWN, 2, 1, "did you mean 'parts'?"},
        {"load: x\nparts: [{" ROD "}, {" ROD ", lenght: 3}]", TKS_EUNKNOWN, 2, 96, "'length'?"},
        {"load: x\nhangers: 3\nparts: [{" ROD "}]", TKS_ESYNTAX, 2, 10, "a map of the hangers"},
        {"load: x\nhangers: {wire: 1 mm}\nparts: [{" ROD "}]", TKS_EMISSING, 2, 10, "need both"},
        {"load: x\nhangers: {wire: 0 mm, wetted length: 3 mm}\nparts: [{" ROD "}]", TKS_EDOMAIN, 2,
         17, "wire is '0 mm'"},
        {"load: x\nhangers: {wire: 1 mm, wetted length: 1e99 mm}\nparts: [{" ROD "}]", TKS_EDOMAIN,
         2, 38, "wetted length is '1e99 mm'"},
        {"load: x\nthickness: 8\nparts: [{" ROD "}]", TKS_EDIMENSION, 2, 12, "has no unit"},
        {"load: x\nthickness: 8 mm\nparts: [{" ROD "}]", TKS_EDOMAIN, 2, 12, "at most 1 mm"},
        {"load: x\nthickness: {minimum: 8 um, mean: 3 um}\nparts: [{" ROD "}]", TKS_ESYNTAX, 2, 12,
         "the minimum or the mean"},
        {"load: x\nthickness: {least: 8 um}\nparts: [{" ROD "}]", TKS_EUNKNOWN, 2, 13, "minimum"},
        {"load: x\ndensity: 0 A/dm2\nparts: [{" ROD "}]", TKS_EDOMAIN, 2, 10, "above zero"},
        {"foo: 3", TKS_ESYNTAX, 1, 1, "begins with `part:` or `load:`"},
        {"3", TKS_ESYNTAX, 1, 1, "expected a part or a load"},
        {"part: x\npieces: [{" ROD "}]\n---\nload: y", TKS_EMISSING, 4, 1, "needs its parts"},
    };
    CHECK_ROWS(rows);
}

/* ---- files */

static tks_status open_file(const char *path, tks_error *err)
{
    described d = described_new();
    tks_load load = {0};
    tks_part_reading reading = {
        .shapes = d.shapes, .arena = d.arena, .scratch = d.scratch, .cautions = &d.cautions};
    tks_status status = tks_load_open(&reading, path, &load, NULL, err);
    described_free(&d);
    return status;
}

static void write_file(const char *path, const char *text, size_t length)
{
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    assert_int_equal(fwrite(text, 1, length, f), length);
    fclose(f);
}

/* Lists in one another. */
static void nest(char *text, size_t size, int depth)
{
    snprintf(text, size, "part: ");
    for (int i = 0; i < depth; i++) strcat(text, "[");
}

static void test_files(void **state)
{
    (void)state;
    char path[] = "/tmp/tks_errors_XXXXXX", deep[1000], own[200];
    int file = mkstemp(path);
    assert_true(file >= 0);
    close(file);
    nest(deep, sizeof deep, 300);
    snprintf(own, sizeof own, "load: x\nparts: [%s]", path);
    static const char binary[] = "part: \0\1\2\xff\xfe";
    static const char bomb[] =
        "a: &a [x,x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a,*a,*a,*a]\n"
        "c: &c [*b,*b,*b,*b,*b,*b,*b,*b,*b]\nd: &d [*c,*c,*c,*c,*c,*c,*c,*c]\n"
        "e: &e [*d,*d,*d,*d,*d,*d,*d,*d,*d]\nf: [*e,*e,*e,*e,*e,*e,*e,*e]\n";
    const struct {
        const char *text;
        size_t length;
        tks_status code;
        const char *says;
    } rows[] = {
        {"", 0, TKS_ESYNTAX, "empty"},
        {"# nothing\n\n", 11, TKS_ESYNTAX, "empty"},
        {binary, sizeof binary - 1, TKS_ESYNTAX, ""},
        {deep, strlen(deep), TKS_ELIMIT, "deeper"},
        {bomb, sizeof bomb - 1, TKS_ELIMIT, "aliases"},
        {own, strlen(own), TKS_EDOMAIN, "a load cannot hold another load"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        tks_error err = {0};
        write_file(path, rows[i].text, rows[i].length);
        tks_status status = open_file(path, &err);
        if (status != rows[i].code || !strstr(err.text, rows[i].says))
            fail_msg("row %zu gives %s: %s", i, tks_status_name(status), err.text);
        assert_string_equal(err.file, path);
    }
    unlink(path);
    tks_error err = {0};
    assert_int_equal(open_file(path, &err), TKS_EOPEN);
    assert_int_equal(open_file("/tmp", &err), TKS_EOPEN);
}

/* ---- memory */

/* Every allocation of a reading is failed in turn: an error and no crash; and the sanitizers see
 * that nothing leaks. */
static void test_memory(void **state)
{
    (void)state;
    static const char text[] =
        "load: x\nhangers: {wire: 1 mm, wetted length: 4 cm}\nparts:\n  - {" ROD
        "}\n  - part: y\n    "
        "material: brass\n    masked: end\n    pieces:\n      - {shape: tube, name: t, outside: 2 "
        "cm, "
        "wall: 1 mm, length: 4 cm, ends: closed}\n      - {shape: plate, length: 6 cm, width: 2 "
        "cm, "
        "thickness: 3 mm, holes: [{diameter: 3 mm, count: 40}]}\n      - {shape: bent rod, "
        "diameter: 1 "
        "mm, path: [{straight: 1 cm}, {bend: 90 deg, radius: 2 mm}]}\n";
    tks_status status = TKS_EMEMORY;
    int nth = 1;
    for (; status == TKS_EMEMORY && nth < 5000; nth++) {
        described d = described_new();
        tks_load load = {0};
        base_alloc_fail_at(nth);
        status = described_load(&d, text, &load);
        base_alloc_fail_at(0);
        described_free(&d);
    }
    if (status) fail_msg("allocation %d: %s", nth, tks_status_name(status));
    assert_true(nth > 10);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_numbers), cmocka_unit_test(test_tubes_and_turned),
        cmocka_unit_test(test_holes),   cmocka_unit_test(test_bends),
        cmocka_unit_test(test_parts),   cmocka_unit_test(test_loads),
        cmocka_unit_test(test_files),   cmocka_unit_test(test_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
