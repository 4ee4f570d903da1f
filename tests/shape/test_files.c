/* Shapes in files: what is wrong with one is told with its place; and which of several of a name is
 * taken. */
#include "support/described.h"
#include "support/near.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* A peg of twice its diameter; the lines of the parameters and of the solids may be replaced. */
#define HEAD      "shape: peg\n"
#define PARAMETER "parameters:\n  d: {kind: length, about: diameter}\n"
#define PROFILE   "[[0, 0], [d/2, 0], [d/2, 2*d], [0, 2*d]]\n"
#define SOLIDS    "solids:\n  - revolve:\n      profile: " PROFILE

static const char piece[] = "shape: peg\nd: 10 mm\n";

static tks_status add(described *d, const char *text)
{
    const tks_shape *shape = NULL;
    return tks_shapes_add(d->shapes, "peg.yaml", text, strlen(text), &shape, &d->err);
}

static void test_a_shape_of_ones_own(void **state)
{
    (void)state;
    described d = described_new();
    assert_int_equal(add(&d, HEAD PARAMETER SOLIDS), TKS_OK);
    const tks_body *body = described_body(&d, piece);
    assert_near(tks_body_wetted(body) * 1e6, 250 * M_PI, 1e-13, "by hand");
    described_free(&d);
}

/* ---- what is wrong in a file */

typedef struct row {
    const char *text;
    tks_status code;
    int line, column;
    const char *says;
} row;

static void told(const row *r, tks_status status, const tks_error *err)
{
    if (status != r->code || err->line != r->line || err->column != r->column ||
        !strstr(err->text, r->says))
        fail_msg("%s\ngives %s %d:%d: %s", r->text, tks_status_name(status), err->line, err->column,
                 status ? err->text : "");
}

static void test_wrong_files(void **state)
{
    (void)state;
    static const row rows[] = {
        {HEAD "paramters: {}\n" SOLIDS, TKS_EUNKNOWN, 2, 1, "did you mean 'parameters'?"},
        {PARAMETER SOLIDS, TKS_EMISSING, 1, 1, "begins with its name"},
        {HEAD PARAMETER, TKS_EMISSING, 1, 1, "needs its solids"},
        {HEAD PARAMETER "solids: []\n", TKS_EMISSING, 1, 1, "needs its solids"},
        {HEAD PARAMETER "solids: 3\n", TKS_ESYNTAX, 4, 9, "expected a list"},
        {HEAD PARAMETER "solids: [3]\n", TKS_ESYNTAX, 4, 10, "expected a solid"},
        {HEAD PARAMETER "solids: [{when: d > 0}]\n", TKS_EMISSING, 4, 10, "a solid is one of"},
        {HEAD "parameters:\n  d: {knd: length}\n" SOLIDS, TKS_EUNKNOWN, 3, 7, "'kind'?"},
        {HEAD "parameters:\n  d: {about: x}\n" SOLIDS, TKS_EMISSING, 3, 6, "needs its kind"},
        {HEAD "parameters:\n  d: {kind: lenth}\n" SOLIDS, TKS_EUNKNOWN, 3, 13, "'length'?"},
        {HEAD "parameters: [d]\n" SOLIDS, TKS_ESYNTAX, 2, 13, "a map of parameters"},
        {HEAD "parameters:\n  d: length\n" SOLIDS, TKS_ESYNTAX, 3, 6, "expected a parameter"},
        {HEAD "parameters:\n  d: {kind: choice}\n" SOLIDS, TKS_EMISSING, 3, 6, "needs its words"},
        {HEAD PARAMETER "solids:\n  - revolve:\n      profile: [[0, 0], [e/2, 0], [0, d]]\n",
         TKS_EUNKNOWN, 6, 26, "'e'"},
        {HEAD PARAMETER "solids:\n  - revolve:\n      profile: [[0, 0], [d/, 0], [0, d]]\n",
         TKS_ESYNTAX, 6, 28, ""},
        {HEAD PARAMETER "solids:\n  - revolve:\n      profile: [[0, 0, edn], [d, 0], [0, d]]\n",
         TKS_EUNKNOWN, 6, 24, "'end'?"},
        {HEAD PARAMETER "solids:\n  - revolve:\n      profile: [[0], [d, 0], [0, d]]\n",
         TKS_ESYNTAX, 6, 17, "expected a corner"},
        {HEAD PARAMETER "solids:\n  - revolve:\n      porfile: []\n", TKS_EUNKNOWN, 6, 7,
         "'profile'?"},
        {HEAD PARAMETER "solids:\n  - extrude:\n      circle: d\n      length: d\n      holes: d\n",
         TKS_EUNKNOWN, 8, 14, "holds a list"},
        {HEAD PARAMETER "rules:\n  - {that: d > 3 mm, els: x}\n" SOLIDS, TKS_EUNKNOWN, 5, 22,
         "'else'?"},
        {HEAD PARAMETER "rules:\n  - {that: d > 3 mm, else: x, blame: e}\n" SOLIDS, TKS_EUNKNOWN, 5,
         38, "no parameter has this name"},
        {HEAD PARAMETER "cautions:\n  - {when: d > 3 mm, severity: grave}\n" SOLIDS, TKS_EUNKNOWN,
         5, 32, "severity is 'grave'"},
        {HEAD PARAMETER "derived: [e]\n" SOLIDS, TKS_ESYNTAX, 4, 10, "a map of formulas"},
        {HEAD PARAMETER "cavities: [{radius: d}]\n" SOLIDS, TKS_ESYNTAX, 4, 12, "by their label"},
        {HEAD PARAMETER "cavities:\n  insde: {radius: d, length: d}\n" SOLIDS, TKS_EUNKNOWN, 5, 3,
         "'inside'?"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        described d = described_new();
        tks_status status = add(&d, rows[i].text);
        told(&rows[i], status, &d.err);
        assert_string_equal(d.err.file, "peg.yaml");
        described_free(&d);
    }
}

/* Files that can be read, but whose pieces cannot be made; the piece is in line 1, its d in 2. */
static void test_wrong_pieces(void **state)
{
    (void)state;
    static const row rows[] = {
        {HEAD
         "parameters:\n  d: {kind: length, about: x}\n  e: {kind: length, default: f, about: y}\n"
         "  f: {kind: length, default: e, about: z}\n" SOLIDS,
         TKS_EMISSING, 1, 1, "needs its e"},
        {HEAD
         "needs: one of e and f\nparameters:\n  d: {kind: length, about: x}\n  e: {kind: length, "
         "default: f, about: y}\n  f: {kind: length, default: e, about: z}\n" SOLIDS,
         TKS_EMISSING, 1, 1, "needs one of e and f"},
        {HEAD PARAMETER "derived:\n  e: d/(d - d)\n" SOLIDS, TKS_EDOMAIN, 1, 1, "division by zero"},
        {HEAD PARAMETER "derived:\n  e: d + 2 A\n" SOLIDS, TKS_EDIMENSION, 1, 1,
         "cannot add a current"},
        {HEAD PARAMETER "solids:\n  - revolve:\n      profile: [[0, 0], [d^2, 0], [0, d]]\n",
         TKS_EDIMENSION, 1, 1, "this is an area"},
        {HEAD PARAMETER "solids:\n  - revolve:\n      profile: [[0, 0], [d, 0], [d, -d]]\n",
         TKS_EGEOMETRY, 1, 1, "peg: "},
        {HEAD PARAMETER "solids:\n  - when: d > 1 m\n    revolve:\n      profile: " PROFILE,
         TKS_EDOMAIN, 1, 1, "nothing is left"},
        {HEAD PARAMETER "rules:\n  - {that: d > 1 m, else: too small for us, blame: d}\n" SOLIDS,
         TKS_EDOMAIN, 2, 4, "peg: too small for us"},
        {HEAD "parameters:\n  d: {kind: length, most: 9 mm}\n" SOLIDS, TKS_EDOMAIN, 2, 4,
         "at most 9 mm"},
        {HEAD "parameters:\n  d: {kind: length, above: 1 cm}\n" SOLIDS, TKS_EDOMAIN, 2, 4,
         "above 10 mm"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        described d = described_new();
        tks_body *body = NULL;
        if (add(&d, rows[i].text)) fail_msg("%s\n%s", rows[i].text, d.err.text);
        told(&rows[i], described_make(&d, piece, &body), &d.err);
        assert_null(body);
        described_free(&d);
    }
}

static void test_too_many_parameters(void **state)
{
    (void)state;
    described d = described_new();
    char text[4000] = HEAD "parameters:\n  d: {kind: length}\n";
    for (int i = 0; i < 64; i++)
        snprintf(text + strlen(text), 60, "  p%d: {kind: length, default: 1 mm}\n", i);
    strcat(text, SOLIDS);
    assert_int_equal(add(&d, text), TKS_ELIMIT);
    assert_int_equal(d.err.line, 3);
    described_free(&d);
}

/* ---- which file is taken */

static void write_peg(const char *folder, const char *times)
{
    char path[200];
    snprintf(path, sizeof path, "%s/my-peg.yaml", folder);
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fprintf(f, HEAD PARAMETER "solids:\n  - extrude: {circle: d, length: %s*d}\n", times);
    fclose(f);
}

/* Length of the peg of 1 m that is found, in metres. */
static double found(const char *folder)
{
    described d = described_new();
    const tks_shape *shape = NULL;
    tks_reader *reader = NULL;
    const tks_node *root = NULL;
    tks_body *body = NULL;
    tks_status status =
        tks_shapes_find(d.shapes, "My peg", 6, folder, tks_nowhere(), &shape, &d.err);
    if (!status) {
        assert_int_equal(tks_reader_memory("p", "d: 1 m", 6, NULL, &reader, NULL), TKS_OK);
        assert_int_equal(tks_reader_next(reader, d.arena, &root, NULL), TKS_OK);
        assert_int_equal(tks_shape_make(shape, root, "p", NULL, 0, d.arena, NULL, "", &body, NULL),
                         TKS_OK);
        tks_reader_close(reader);
    }
    double length = body ? body->volume / (M_PI / 4) : 0;
    described_free(&d);
    return length;
}

static void test_precedence(void **state)
{
    (void)state;
    char top[] = "/tmp/tks_shapes_XXXXXX", beside[100], own[100], config[100], folder[100];
    assert_non_null(mkdtemp(top));
    snprintf(beside, sizeof beside, "%s/shapes", top);
    snprintf(own, sizeof own, "%s/own", top);
    snprintf(folder, sizeof folder, "%s/tankside", top);
    snprintf(config, sizeof config, "%s/tankside/shapes", top);
    const char *const folders[] = {beside, own, folder, config};
    for (int i = 0; i < 4; i++) assert_int_equal(mkdir(folders[i], 0700), 0);
    setenv("TANKSIDE_SHAPES", own, 1);
    setenv("XDG_CONFIG_HOME", top, 1);
    assert_near(found(top), 0, 0, "none is there yet");
    write_peg(config, "3");
    assert_near(found(top), 3, 1e-12, "the user's configuration");
    write_peg(own, "2");
    assert_near(found(top), 2, 1e-12, "before it $TANKSIDE_SHAPES");
    write_peg(beside, "1");
    assert_near(found(top), 1, 1e-12, "before both the folder beside the part");
    assert_near(found(NULL), 2, 1e-12, "but not for a part from elsewhere");
    unsetenv("TANKSIDE_SHAPES");
    unsetenv("XDG_CONFIG_HOME");
    char path[200];
    for (int i = 3; i >= 0; i--) {
        snprintf(path, sizeof path, "%s/my-peg.yaml", folders[i]);
        unlink(path);
        rmdir(folders[i]);
    }
    assert_int_equal(rmdir(top), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_shape_of_ones_own), cmocka_unit_test(test_wrong_files),
        cmocka_unit_test(test_wrong_pieces),        cmocka_unit_test(test_too_many_parameters),
        cmocka_unit_test(test_precedence),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
