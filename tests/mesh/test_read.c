/* Reading STL and OBJ: what is in order, what is odd, and what is broken. */
#include "support/near.h"
#include "support/solids.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const tks_mesh_options metres = {.unit = 1};

static tks_mesh read_text(const char *name, const char *text)
{
    tks_mesh mesh = {0};
    tks_error err;
    const char *path = scratch_path(name);
    write_text(path, text);
    if (tks_mesh_load(path, &metres, &mesh, &err) != TKS_OK)
        fail_msg("%s: %s, line %d", name, err.text, err.line);
    unlink(path);
    return mesh;
}

static void expect_area(const char *name, const char *text, double area, const char *what)
{
    tks_mesh mesh = read_text(name, text);
    assert_near(tks_mesh_sum(&mesh).area, area, 1e-14, what);
    tks_mesh_free(&mesh);
}

static void expect_error(const char *name, const void *bytes, size_t length, tks_status code,
                         int line, const char *words)
{
    const char *path = scratch_path(name);
    tks_mesh mesh = {.count = 77};
    tks_mesh_size size = {.facets = 77};
    tks_error err;
    write_bytes(path, bytes, length);
    if (tks_mesh_load(path, &metres, &mesh, &err) != code)
        fail_msg("%s: wanted %s, got %s: %s", words, tks_status_name(code),
                 tks_status_name(err.code), err.text);
    assert_int_equal(mesh.count, 77);
    if (!strstr(err.text, words)) fail_msg("'%s' is not in '%s'", words, err.text);
    assert_int_equal(err.line, line);
    assert_int_equal(tks_mesh_size_read(path, &metres, 2, &size, &err), code);
    assert_int_equal(size.facets, 77);
    unlink(path);
}

static void expect_text_error(const char *name, const char *text, tks_status code, int line,
                              const char *words)
{
    expect_error(name, text, strlen(text), code, line, words);
}

/* ------------------------------------------------------------------ STL */

static void test_same_in_both(void **state)
{
    (void)state;
    soup s = soup_torus(40, 12, 60, 30);
    const char *binary = scratch_path("a.stl"), *ascii = scratch_path("b.stl");
    soup_write_binary(&s, binary, "solid although binary");
    soup_write_ascii(&s, ascii);
    tks_mesh one, two;
    tks_error err;
    assert_int_equal(tks_mesh_load(binary, &metres, &one, &err), TKS_OK);
    assert_int_equal(tks_mesh_load(ascii, &metres, &two, &err), TKS_OK);
    assert_string_equal(one.format, "binary STL");
    assert_string_equal(two.format, "ASCII STL");
    assert_int_equal(one.vertex_count, 60 * 30);
    assert_int_equal(two.vertex_count, 60 * 30);
    assert_memory_equal(one.corners, two.corners, 3 * one.count * sizeof *one.corners);
    assert_near(tks_mesh_sum(&one).area, tks_mesh_sum(&two).area, 1e-7, "binary and ASCII");
    tks_mesh_free(&one);
    tks_mesh_free(&two);
    soup_free(&s);
    unlink(binary);
    unlink(ascii);
}

#define FACET(a, b, c)                                                                             \
    "facet normal 0 0 1\nouter loop\nvertex " a "\nvertex " b "\nvertex " c "\nendloop\nendfacet"  \
    "\n"

static void test_odd_ascii(void **state)
{
    (void)state;
    expect_area("x.stl", "solid\n" FACET("0 0 0", "2 0 0", "0 3 0") "endsolid\n", 3, "plain");
    expect_area("x.stl",
                "solid a\n" FACET("0 0 0", "2 0 0", "0 3 0") "endsolid a\nsolid b\n" FACET(
                    "0 0 1", "2 0 1", "0 3 1") "endsolid b\n",
                6, "two solids");
    expect_area("x.stl",
                "  SOLID x\r\nFACET NORMAL nan nan nan\r\n OUTER LOOP\r\n VERTEX 0 0 0\r\n VERTEX "
                "2e0 0 0\r\n vertex 0 +3.0E+00 -0\r\nENDLOOP\r\nENDFACET\r\nENDSOLID",
                3, "capitals and carriage returns");
    expect_area("x.stl", "solid x\n" FACET("0 0 0", "2 0 0", "0 3 0"), 3, "no endsolid");
    expect_area("x.stl",
                "solid x\nfacet normal 0 0 1 outer loop vertex 0 0 0 vertex 2 0 0 vertex 0 3 0 "
                "endloop endfacet endsolid",
                3, "on one line");
    tks_mesh mesh = read_text("x.stl", "solid\n" FACET("0 0 0", "2 0 0", "0 3 0")
                                           FACET("0 0 nan", "2 0 0", "0 3 0")
                                               FACET("0 0 0", "inf 0 0", "0 3 0"));
    assert_int_equal(mesh.count, 1);
    assert_int_equal(mesh.dropped, 2);
    tks_mesh_free(&mesh);
}

static void test_broken_ascii(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        tks_status code;
        int line;
        const char *words;
    } broken[] = {
        {"solid x\nendsolid x\n", TKS_EREAD, 0, "no triangle"},
        {"solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nver", TKS_ESYNTAX, 5, "'ver'"},
        {"solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\n", TKS_EREAD, 0, "cut short"},
        {"solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 zero 0\n", TKS_ESYNTAX, 4, "vertex"},
        {"solid x\n\nbanana\n", TKS_ESYNTAX, 3, "'banana'"},
        {"solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 1 1 "
         "0\nvertex "
         "0 1 0\nendloop\nendfacet\n",
         TKS_ESYNTAX, 7, "vertex"},
        {"solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nendloop\nendfacet\n",
         TKS_ESYNTAX, 6, "endloop"},
    };
    for (size_t i = 0; i < sizeof broken / sizeof *broken; i++)
        expect_text_error("x.stl", broken[i].text, broken[i].code, broken[i].line, broken[i].words);
}

static void test_broken_binary(void **state)
{
    (void)state;
    unsigned char bytes[84 + 200] = "made for a test";
    expect_error("x.stl", "", 0, TKS_EREAD, 0, "empty");
    expect_error("x.stl", bytes, 83, TKS_EREAD, 0, "at least 84 bytes");
    expect_error("x.stl", bytes, 84, TKS_EREAD, 0, "no triangle");
    bytes[80] = 5;
    expect_error("x.stl", bytes, 84 + 200, TKS_EREAD, 0, "promises 5 triangles, holds 4");
    memset(bytes + 80, 255, 4); /* 4,294,967,295 triangles in 284 bytes: no memory may be taken */
    expect_error("x.stl", bytes, 84 + 200, TKS_EREAD, 0, "cut short");
    memcpy(bytes, "solid but cut short: ", 21);
    bytes[80] = 5;
    bytes[81] = bytes[82] = bytes[83] = 0;
    expect_error("x.stl", bytes, 84 + 200, TKS_EREAD, 0, "promises 5");
    bytes[80] = 4; /* all coordinates zero but one, which is not a number */
    memset(bytes + 84 + 12, 255, 200 - 12);
    expect_error("x.stl", bytes, 84 + 200, TKS_EREAD, 0, "finite");
}

/* ------------------------------------------------------------------ OBJ */

static const struct {
    const char *text;
    double area;
    const char *what;
} objects[] = {
    {"v 0 0 0\nv 4 0 0\nv 4 3 0\nf 1 2 3\n", 6, "a 3-4-5 triangle, by hand"},
    {"v 0 0 0\nv 4 0 0\nv 4 3 0\nv 0 3 0\nf -4 -3 -2 -1\n", 12, "negative indices"},
    {"f 1/1/1 2/2/2 3//3\nv 0 0 0\nv 4 0 0\nv 4 3 0\n", 6, "a face before its vertices"},
    {"v 0 0 0\nv 4 \\\n0 0\nv 4 3 0\nf 1 \\\r\n2 3\n", 6, "lines that go on"},
    {"# \\\nv 9 9 9\nv 0 0 0\nv 4 0 0\nv 4 3 0\nf 1 2 3", 6, "a comment that goes on"},
    {"v 0 0 0 1 .5 .2\nv 4 0 0 1 0 0\nv 4 3 0 .1 .2 .3\nf 1 2 3 # c\n", 6, "coloured vertices"},
    {"o a\nv 0 0 0\nv 4 0 0\nv 4 3 0\nf 1 2 3\no b\nv 0 0 9\nv 4 0 9\nv 4 3 9\nf -3 -2 -1\n", 12,
     "two objects"},
    /* A rectangle with a notch; a fan from its first corner would give more. */
    {"v 0 0 0\nv 1 1 0\nv 3 0 0\nv 3 2 0\nv 0 2 0\nf 1 2 3 4 5\n", 4.5,
     "a concave pentagon, by hand"},
    {"v 0 0 0\nv 3 0 0\nv 3 1 0\nv 1 1 0\nv 1 3 0\nv 0 3 0\nf 4 5 6 1 2 3\n", 5,
     "an L from its inner corner, by hand"},
    {"v 0 0 0\nv 2 1 0\nv 0 2 0\nv 1 1 0\nf 4 1 2 3\n", 1, "an arrow head, by hand"},
    {"v 0 0 0\nv 2 1 0\nv 0 2 0\nv 1 1 0\nf 1 2 3 4\n", 1, "the same, begun elsewhere"},
    {"v 0 0 7\nv 0 2 7\nv 2 2 7\nv 2 0 7\nf 1 2 3 4\n", 4, "a square seen from below"},
    {"v 0 0 0\nv 0 0 0\nv 4 0 0\nv 4 3 0\nf 1 3 4\nf 2 3 4\n", 12, "vertices written twice"},
    {"vn 0 0 1\nvt 0 0\ng x\ns off\nusemtl y\nv 0 0 0\nv 4 0 0\nv 4 3 0\nl 1 2\np 1\nf 1 2 3\n", 6,
     "other lines"},
};

static void test_objects(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof objects / sizeof *objects; i++)
        expect_area("x.obj", objects[i].text, objects[i].area, objects[i].what);
}

/* A quadrilateral that is not flat has no area of its own: the shorter diagonal is taken. By hand:
 * corners (0,0,0) (2,0,0) (2,2,1) (0,2,0): diagonals 3 and sqrt 8; with the second the triangles
 * have area 2 and sqrt 6. Newell's vector area would give sqrt(4^2 + 1 + 1)... which is less. */
static void test_skew_quadrilateral(void **state)
{
    (void)state;
    expect_area("x.obj", "v 0 0 0\nv 2 0 0\nv 2 2 1\nv 0 2 0\nf 1 2 3 4\n", 2 + sqrt(6),
                "a skew quadrilateral, by hand");
}

/* A star of 1000 points, r = 1 and 2: area n r R sin(pi/n), by hand. */
static void test_star(void **state)
{
    (void)state;
    enum { POINTS = 1000 };
    char *text = malloc(POINTS * 2 * 80 + 8);
    int at = 0;
    assert_non_null(text);
    for (int i = 0; i < 2 * POINTS; i++) {
        double turn = i * 3.14159265358979323846 / POINTS, r = i % 2 ? 1 : 2;
        at += sprintf(text + at, "v %.17g %.17g 0\n", r * cos(turn), r * sin(turn));
    }
    at += sprintf(text + at, "f");
    for (int i = 0; i < 2 * POINTS; i++) at += sprintf(text + at, " %d", i + 1);
    sprintf(text + at, "\n");
    tks_mesh mesh = read_text("star.obj", text);
    double want = POINTS * 2 * sin(3.14159265358979323846 / POINTS);
    assert_int_equal(mesh.count, 2 * POINTS - 2);
    assert_near(tks_mesh_sum(&mesh).area, want, 1e-12, "a star, by hand");
    tks_mesh_free(&mesh);
    free(text);
}

static void test_broken_objects(void **state)
{
    (void)state;
    expect_text_error("x.obj", "v 0 0 0\nv 1 0 0\n", TKS_EREAD, 0, "no triangle");
    expect_text_error("x.obj", "v 0 0 0\nv 1 0\nv 0 1 0\n", TKS_ESYNTAX, 2, "a coordinate");
    expect_text_error("x.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 0\n", TKS_ESYNTAX, 4, "vertex");
    expect_text_error("x.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\n\nf 1 2 4\n", TKS_ESYNTAX, 5,
                      "vertex 4, but there are only 3");
    expect_text_error("x.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 -4\n", TKS_ESYNTAX, 4, "vertex");
    expect_text_error("x.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2\n", TKS_ESYNTAX, 4, "three");
    expect_text_error("x.obj", "v 0 0 0\nf 1 1 99999999999999999999\n", TKS_ESYNTAX, 2, "vertex");
    expect_text_error("x.obj", "v 1e999 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", TKS_EREAD, 0, "finite");
    expect_text_error("x.obj", "nothing of the kind\n", TKS_EREAD, 0, "no triangle");
    expect_error("x.bin", "\1\2\0\3", 4, TKS_EUNKNOWN, 0, "not a mesh");
}

/* ------------------------------------------------------------------ OFF */

static void test_off(void **state)
{
    (void)state;
    expect_area("x.off", "OFF\n3 1 0\n0 0 0\n4 0 0\n4 3 0\n3 0 1 2\n", 6, "plain, by hand");
    expect_area("x.off", "OFF 4 1 0 # c\n\n# c\n0 0 0\n4 0 0 9 9\n4 3 0\n0 3 0\n4 0 1 2 3 255 0 0",
                12, "counts beside the word, comments, colours");
    expect_area("x.off",
                "OFF\r\n6 1 0\r\n0 0 0\r\n3 0 0\r\n3 1 0\r\n1 1 0\r\n1 3 0\r\n0 3 "
                "0\r\n6 3 4 5 0 1 2\r\n",
                5, "a concave polygon, by hand");
    expect_area("x.off", "COFF\n3 1 0\n0 0 0 255 0 0 255\n4 0 0 1 2 3 4\n4 3 0 9 9 9 9\n3 0 1 2\n",
                6, "colours behind the vertices");
    expect_area("x.off", "STCNOFF 3 1 0\n0 0 0 1 0\n4 0 0 1 2\n4 3 0 9 9\n3 0 1 2\n", 6,
                "all of them");
    expect_text_error("x.off", "4OFF\n3 1 0\n", TKS_ESYNTAX, 1, "expected OFF");
    expect_text_error("x.off", "OFF\n3 1 0\n0 0 0\n4 0 0\n4 3 0\n3 0 1 3\n", TKS_ESYNTAX, 6,
                      "vertex");
    expect_text_error("x.off", "OFF\n3 1 0\n0 0 0\n4 0 0\n4 3 0\n2 0 1\n", TKS_ESYNTAX, 6, "three");
    expect_text_error("x.off", "OFF\n3 2 0\n0 0 0\n4 0 0\n4 3 0\n3 0 1 2\n", TKS_EREAD, 0,
                      "cut short");
    expect_text_error("x.off", "OFF\nx\n", TKS_ESYNTAX, 2, "numbers of vertices");
    expect_text_error("x.off", "OFF\n3 999999999999 0\n", TKS_ELIMIT, 0, "TANKSIDE_MESH_FACETS");
    expect_text_error("x.off", "OFF\n", TKS_EREAD, 0, "cut short");
}

/* ------------------------------------------------------------------ numbers, units, caps */

static void test_numbers(void **state)
{
    (void)state;
    static const char *const words[] = {"0.1",
                                        "1e-7",
                                        "123456789.123456789",
                                        "4.9406564584124654e-320",
                                        "0.30000000000000004",
                                        "9007199254740993",
                                        "1.7976931348623157e70",
                                        "00000000000000000000000001.5",
                                        ".5",
                                        "5.",
                                        "-2.5e+3",
                                        "0.000000000000000000000000000012345"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        char text[200];
        snprintf(text, sizeof text, "v %s 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", words[i]);
        tks_mesh mesh = read_text("x.obj", text);
        assert_near(mesh.xyz[0], strtod(words[i], NULL), 2.3e-16, words[i]);
        tks_mesh_free(&mesh);
    }
}

static tks_mesh_size size_of_box(double side, tks_mesh_options options)
{
    soup s = soup_box((tks_vec3){0, 0, 0}, (tks_vec3){side, side, side}, 1);
    const char *path = scratch_path("unit.stl");
    tks_mesh_size size = {0};
    tks_error err;
    soup_write_binary(&s, path, "");
    if (tks_mesh_size_read(path, &options, 1, &size, &err) != TKS_OK) fail_msg("%s", err.text);
    unlink(path);
    soup_free(&s);
    return size;
}

static void expect_too_large(tks_mesh_options options)
{
    const char *path = scratch_path("large.obj");
    tks_mesh mesh;
    tks_mesh_size size;
    tks_error err;
    write_text(path, "v 0 0 0\nv 4 0 0\nv 4 3 0\nf 1 2 3\n");
    assert_int_equal(tks_mesh_load(path, &options, &mesh, &err), TKS_EREAD);
    assert_int_equal(tks_mesh_size_read(path, &options, 1, &size, &err), TKS_EREAD);
    assert_non_null(strstr(err.text, "too large"));
    unlink(path);
}

static void test_units(void **state)
{
    (void)state;
    tks_mesh_size size = size_of_box(40, (tks_mesh_options){.unit = 0});
    assert_int_equal(size.unit.source, TKS_UNIT_GUESSED);
    assert_string_equal(size.unit.name, "mm");
    assert_string_equal(size.unit.other_name, "in");
    assert_near(size.area, 6 * 0.04 * 0.04, 1e-12, "guessed as mm");
    size = size_of_box(2, (tks_mesh_options){.unit = 0});
    assert_string_equal(size.unit.name, "in");
    assert_near(size.area, 6 * 4 * 0.0254 * 0.0254, 1e-12, "guessed as inches");
    size = size_of_box(0.0625, (tks_mesh_options){.unit = 0});
    assert_string_equal(size.unit.name, "m");
    size = size_of_box(2, (tks_mesh_options){.unit = 1e-3, .scale = 3});
    assert_int_equal(size.unit.source, TKS_UNIT_GIVEN);
    assert_near(size.area, 6 * 4e-6 * 9, 1e-12, "given, and enlarged threefold");
    assert_near(size.volume, 8e-9 * 27, 1e-12, "given, and enlarged threefold");
    expect_too_large((tks_mesh_options){.unit = 1, .scale = 1e160});
    expect_too_large((tks_mesh_options){.unit = 1e160});
}

static void test_caps(void **state)
{
    (void)state;
    tks_mesh_limits few = tks_mesh_limits_default(), small = few;
    few.facets = 11;
    small.bytes = 600;
    soup s = soup_box((tks_vec3){0, 0, 0}, (tks_vec3){1, 1, 1}, 1);
    const char *binary = scratch_path("a.stl"), *ascii = scratch_path("b.stl");
    soup_write_binary(&s, binary, "");
    soup_write_ascii(&s, ascii);
    const char *paths[] = {binary, ascii};
    for (int i = 0; i < 2; i++) {
        tks_mesh mesh;
        tks_error err;
        tks_mesh_options options = {.unit = 1, .limits = &few};
        assert_int_equal(tks_mesh_load(paths[i], &options, &mesh, &err), TKS_ELIMIT);
        assert_non_null(strstr(err.text, "TANKSIDE_MESH_FACETS"));
        options.limits = &small;
        assert_int_equal(tks_mesh_load(paths[i], &options, &mesh, &err), TKS_ELIMIT);
        assert_non_null(strstr(err.text, "TANKSIDE_MESH_BYTES"));
        unlink(paths[i]);
    }
    soup_free(&s);
    tks_mesh mesh;
    tks_error err;
    assert_int_equal(tks_mesh_load("/no/such/mesh.stl", NULL, &mesh, &err), TKS_EOPEN);
    assert_int_equal(tks_mesh_load("/tmp", NULL, &mesh, &err), TKS_EOPEN);
    assert_int_equal(tks_mesh_load("/dev/zero", NULL, &mesh, &err), TKS_EOPEN); /* has no end */
    assert_int_equal(tks_mesh_load("/dev/null", NULL, &mesh, &err), TKS_EREAD);
}

/* What comes through a pipe is kept in memory, and no more of it than the cap on that. */
static void test_pipe(void **state)
{
    (void)state;
    static const char text[] = "v 0 0 0\nv 4 0 0\nv 4 3 0\nf 1 2 3\n";
    for (size_t room = sizeof text - 2; room < sizeof text; room++) {
        int ends[2];
        char path[64];
        tks_mesh_limits limits = tks_mesh_limits_default();
        tks_mesh_size size;
        tks_error err;
        limits.memory = room;
        tks_mesh_options options = {.unit = 1, .limits = &limits};
        assert_int_equal(pipe(ends), 0);
        snprintf(path, sizeof path, "/proc/self/fd/%d", ends[0]);
        assert_int_equal(write(ends[1], text, sizeof text - 1), sizeof text - 1);
        close(ends[1]);
        tks_status status = tks_mesh_size_read(path, &options, 1, &size, &err);
        assert_int_equal(status, room < sizeof text - 1 ? TKS_ELIMIT : TKS_OK);
        if (status) assert_non_null(strstr(err.text, "TANKSIDE_MESH_MEMORY"));
        if (!status) assert_near(size.area, 6, 1e-14, "from a pipe");
        close(ends[0]);
    }
}

/* What is written must read back as the same mesh. */
static void test_written(void **state)
{
    (void)state;
    soup s = soup_torus(40, 12, 24, 12);
    soup_scale(&s, 1e-3);
    tks_mesh mesh = soup_mesh(&s), back;
    tks_error err;
    tks_mesh_options mm = {.unit = 1e-3};
    static const char *const endings[] = {"w.stl", "w.obj"};
    for (int i = 0; i < 2; i++) {
        const char *path = scratch_path(endings[i]);
        assert_int_equal(tks_mesh_write(&mesh, path, &err), TKS_OK);
        assert_int_equal(tks_mesh_load(path, &mm, &back, &err), TKS_OK);
        assert_int_equal(back.count, mesh.count);
        assert_int_equal(back.vertex_count, mesh.vertex_count);
        assert_memory_equal(back.corners, mesh.corners, 3 * mesh.count * sizeof *mesh.corners);
        assert_near(tks_mesh_sum(&back).area, tks_mesh_sum(&mesh).area, 1e-6, endings[i]);
        tks_mesh_free(&back);
        unlink(path);
    }
    assert_int_equal(tks_mesh_write(&mesh, scratch_path("w.xyz"), &err), TKS_EUNKNOWN);
    assert_int_equal(tks_mesh_write(&mesh, "/no/such/folder/w.stl", &err), TKS_EWRITE);
    tks_mesh_free(&mesh);
    soup_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_same_in_both), cmocka_unit_test(test_odd_ascii),
        cmocka_unit_test(test_broken_ascii), cmocka_unit_test(test_broken_binary),
        cmocka_unit_test(test_objects),      cmocka_unit_test(test_skew_quadrilateral),
        cmocka_unit_test(test_star),         cmocka_unit_test(test_broken_objects),
        cmocka_unit_test(test_off),          cmocka_unit_test(test_numbers),
        cmocka_unit_test(test_units),        cmocka_unit_test(test_caps),
        cmocka_unit_test(test_pipe),         cmocka_unit_test(test_written),
    };
    return cmocka_run_group_tests_name("mesh: reading", tests, NULL, NULL);
}
