/* Files read in two parts: the same whatever the number of threads, and as though read in one. */
#include "base/alloc.h"
#include "mesh/obj.h"
#include "mesh/stl.h"
#include "support/near.h"
#include "support/solids.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* ------------------------------------------------------------------ what a part brings */

static tks_status keep(void *context, double *xyz, size_t count, tks_error *err)
{
    soup *s = context;
    (void)err;
    for (size_t i = 0; i < 3 * count; i += 3) {
        const double *p = xyz + 3 * i;
        soup_add(s, (tks_vec3){p[0], p[1], p[2]}, (tks_vec3){p[3], p[4], p[5]},
                 (tks_vec3){p[6], p[7], p[8]});
    }
    return TKS_OK;
}

static tks_status read_parts(const char *path, int threads, soup parts[2], tks_error *err)
{
    mesh_file file;
    mesh_sink sinks[2] = {{keep, &parts[0]}, {keep, &parts[1]}};
    parts[0] = parts[1] = (soup){0};
    assert_int_equal(mesh_file_open(path, NULL, &file, err), TKS_OK);
    tks_status status = mesh_stl_read(&file, threads, sinks, err);
    mesh_file_close(&file);
    return status;
}

static void expect_same_soup(const soup *a, const soup *b)
{
    assert_int_equal(a->count, b->count);
    assert_memory_equal(a->xyz, b->xyz, 9 * a->count * sizeof *a->xyz);
}

/* The parts, with one thread and with two; gives all in one. */
static soup read_both_ways(const char *path)
{
    soup one[2], two[2], all = {0};
    tks_error err;
    if (read_parts(path, 1, one, &err) != TKS_OK) fail_msg("%s", err.text);
    if (read_parts(path, 2, two, &err) != TKS_OK) fail_msg("%s", err.text);
    for (int i = 0; i < 2; i++) {
        assert_true(one[i].count > 1000);
        expect_same_soup(&one[i], &two[i]);
        soup_join(&all, &one[i], (tks_vec3){0, 0, 0});
        soup_free(&one[i]);
        soup_free(&two[i]);
    }
    return all;
}

/* ------------------------------------------------------------------ what is in order */

/* With coordinates as a binary file keeps them, or as a text of nine digits does. */
static soup large_soup(bool binary, bool shuffled)
{
    soup s = soup_torus(40, 12, 200, 100);
    if (shuffled) soup_shuffle(&s, 7);
    for (size_t i = 0; i < 9 * s.count; i++) {
        char digits[40];
        snprintf(digits, sizeof digits, "%.9g", s.xyz[i]);
        s.xyz[i] = binary ? (double)(float)s.xyz[i] : strtod(digits, NULL);
    }
    return s;
}

static void expect_same_mesh(const char *path, const soup *s)
{
    static const tks_mesh_options metres = {.unit = 1};
    tks_mesh read, made = soup_mesh(s);
    tks_error err;
    if (tks_mesh_load(path, &metres, &read, &err) != TKS_OK) fail_msg("%s", err.text);
    assert_int_equal(read.vertex_count, made.vertex_count);
    assert_int_equal(read.count, made.count);
    assert_memory_equal(read.corners, made.corners, 3 * made.count * sizeof *made.corners);
    assert_memory_equal(read.xyz, made.xyz, 3 * made.vertex_count * sizeof *made.xyz);
    tks_mesh_free(&read);
    tks_mesh_free(&made);
}

static void expect_same_size(const char *path)
{
    static const tks_mesh_options metres = {.unit = 1};
    tks_mesh_size one = {0}, two = {0};
    tks_error err;
    assert_int_equal(tks_mesh_size_read(path, &metres, 1, &one, &err), TKS_OK);
    assert_int_equal(tks_mesh_size_read(path, &metres, 2, &two, &err), TKS_OK);
    assert_memory_equal(&one.area, &two.area, sizeof one.area);
    assert_memory_equal(&one.volume, &two.volume, sizeof one.volume);
    assert_memory_equal(&one.low, &two.low, sizeof one.low);
    assert_memory_equal(&one.high, &two.high, sizeof one.high);
}

/* Corners are numbered by first appearance, as from the triangles in one go. */
static void test_stl(void **state)
{
    (void)state;
    for (int shuffled = 0; shuffled < 2; shuffled++)
        for (int binary = 0; binary < 2; binary++) {
            soup s = large_soup(binary, shuffled);
            const char *path = scratch_path("parts.stl");
            if (binary)
                soup_write_binary(&s, path, "");
            else
                soup_write_ascii(&s, path);
            soup read = read_both_ways(path);
            expect_same_soup(&read, &s);
            expect_same_mesh(path, &s);
            expect_same_size(path);
            soup_free(&read);
            soup_free(&s);
            unlink(path);
        }
}

/* ------------------------------------------------------------------ what is not */

typedef struct text {
    char *at;
    size_t length;
} text;

static text read_back(const char *path)
{
    text t = {NULL, 0};
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    fseek(file, 0, SEEK_END);
    t.length = (size_t)ftell(file);
    rewind(file);
    t.at = calloc(t.length + 1, 1);
    assert_non_null(t.at);
    assert_int_equal(fread(t.at, 1, t.length, file), t.length);
    fclose(file);
    return t;
}

static text ascii_torus(void)
{
    soup s = large_soup(false, false);
    const char *path = scratch_path("whole.stl");
    soup_write_ascii(&s, path);
    text t = read_back(path);
    soup_free(&s);
    unlink(path);
    return t;
}

/* line 0: none is told. */
static void expect_error_of(const text *t, tks_status want, int line, const char *part)
{
    const char *path = scratch_path("broken.stl");
    write_bytes(path, t->at, t->length);
    for (int threads = 1; threads < 3; threads++) {
        soup parts[2];
        tks_error err;
        assert_int_equal(read_parts(path, threads, parts, &err), want);
        if (err.line != line || !strstr(err.text, part))
            fail_msg("%d threads: line %d: %s; not line %d: %s", threads, err.line, err.text, line,
                     part);
        soup_free(&parts[0]);
        soup_free(&parts[1]);
    }
    unlink(path);
}

static int line_of(const text *t, const char *p)
{
    int line = 1;
    for (const char *q = t->at; q < p; q++) line += *q == '\n';
    return line;
}

/* A wrong word anywhere is told with its line. */
static void test_wrong_word(void **state)
{
    (void)state;
    text t = ascii_torus();
    for (int tenth = 0; tenth < 20; tenth++) {
        char *p = strstr(t.at + t.length * (size_t)tenth / 20, tenth % 2 ? "outer" : "vertex");
        char kept = *p;
        *p = 'x';
        expect_error_of(&t, TKS_ESYNTAX, line_of(&t, p), tenth % 2 ? "'xuter'" : "'xertex'");
        *p = kept;
    }
    free(t.at);
}

/* Of two, the first in the file is told, whichever part was read sooner. */
static void test_two_wrong_words(void **state)
{
    (void)state;
    text t = ascii_torus();
    char *early = strstr(t.at + t.length / 2 - 4000, "endloop");
    char *late = strstr(t.at + t.length / 2 + 8000, "endloop");
    *early = *late = 'x';
    expect_error_of(&t, TKS_ESYNTAX, line_of(&t, early), "'xndloop'");
    free(t.at);
}

/* A facet that is not ended before the next begins, where the file would be cut. */
static void test_not_ended(void **state)
{
    (void)state;
    text t = ascii_torus();
    char *next = strstr(t.at + t.length / 2, "\n facet ") + 1, *end = next;
    while (strncmp(end, "endfacet", 8)) end--;
    memset(end, ' ', 8);
    expect_error_of(&t, TKS_ESYNTAX, line_of(&t, next), "'facet'");
    t.length = (size_t)(next - t.at) + 600;
    memcpy(end, "endfacet", 8);
    while (strncmp(t.at + t.length, "vertex", 6)) t.length--;
    expect_error_of(&t, TKS_EREAD, 0, "cut short inside a facet");
    free(t.at);
}

/* The cap counts both parts. */
static void test_cap(void **state)
{
    (void)state;
    soup s = large_soup(false, false);
    const char *paths[] = {scratch_path("cap-a.stl"), scratch_path("cap-b.stl")};
    soup_write_ascii(&s, paths[0]);
    soup_write_binary(&s, paths[1], "");
    for (int i = 0; i < 2; i++)
        for (size_t more = 0; more < 2; more++) {
            tks_mesh_limits limits = tks_mesh_limits_default();
            limits.facets = s.count - more;
            tks_mesh_options options = {.unit = 1, .limits = &limits};
            tks_mesh mesh = {0};
            tks_error err;
            assert_int_equal(tks_mesh_load(paths[i], &options, &mesh, &err),
                             more ? TKS_ELIMIT : TKS_OK);
            tks_mesh_free(&mesh);
        }
    soup_free(&s);
    for (int i = 0; i < 2; i++) unlink(paths[i]);
}

/* ------------------------------------------------------------------ OBJ */

enum { RINGS = 300, ROUND = 100 };

/* How the faces of a grid name their corners. */
typedef enum naming { PLAIN, LATE_VERTICES, RELATIVE, JOINED, POLYGONS } naming;

static char *add_face(char *p, naming how, int row, const long corner[4])
{
    long back = (row + 2) * ROUND;
    const char *turn = how == JOINED ? " \\\n " : " ";
    if (how == RELATIVE)
        return p + sprintf(p, "f %ld %ld %ld\nf %ld %ld %ld\n", corner[0] - back - 1,
                           corner[1] - back - 1, corner[2] - back - 1, corner[0], corner[2],
                           corner[3]);
    if (how == POLYGONS)
        return p + sprintf(p, "f %ld/1/2 %ld//3 %ld %ld # four\n", corner[0], corner[1], corner[2],
                           corner[3]);
    return p + sprintf(p, "f %7ld%s%ld%s%ld\nf %7ld %ld %ld\n", corner[0], turn, corner[1], turn,
                       corner[2], corner[0], corner[2], corner[3]);
}

static char *add_ring(char *p, int ring)
{
    for (int i = 0; i < ROUND; i++)
        p += sprintf(p, "v %.6f %.6f %d\n", 10 * cos(i * 0.0628), 10 * sin(i * 0.0628), ring);
    return p;
}

/* A pipe, ring by ring: vertices and the faces that hang on them take turns, or the vertices come
 * last of all. */
static text write_pipe(naming how)
{
    text t = {calloc(RINGS * ROUND, 160), 0};
    char *p = t.at;
    assert_non_null(p);
    if (how != LATE_VERTICES) p = add_ring(p, 0);
    for (int row = 0; row + 1 < RINGS; row++) {
        if (how != LATE_VERTICES) p = add_ring(p, row + 1);
        p += sprintf(p, "# row %d\ng row%d\n", row, row);
        for (long i = 0; i < ROUND; i++) {
            long first = row * ROUND + 1, next = (i + 1) % ROUND;
            p = add_face(
                p, how, row,
                (long[]){first + i, first + next, first + ROUND + next, first + ROUND + i});
        }
    }
    for (int ring = 0; how == LATE_VERTICES && ring < RINGS; ring++) p = add_ring(p, ring);
    t.length = (size_t)(p - t.at);
    return t;
}

static tks_status read_obj(const char *path, int threads, tks_mesh *mesh, tks_error *err)
{
    mesh_file file;
    *mesh = (tks_mesh){0};
    assert_int_equal(mesh_file_open(path, NULL, &file, err), TKS_OK);
    tks_status status = mesh_obj_read(&file, threads, mesh, err);
    mesh_file_close(&file);
    return status;
}

static void test_obj(void **state)
{
    (void)state;
    for (naming how = PLAIN; how <= POLYGONS; how++) {
        text t = write_pipe(how);
        const char *path = scratch_path("pipe.obj");
        tks_mesh one, two;
        tks_error err;
        write_bytes(path, t.at, t.length);
        if (read_obj(path, 1, &one, &err) != TKS_OK) fail_msg("%s", err.text);
        if (read_obj(path, 2, &two, &err) != TKS_OK) fail_msg("%s", err.text);
        assert_int_equal(one.vertex_count, RINGS * ROUND);
        assert_int_equal(one.count, 2 * (RINGS - 1) * ROUND);
        assert_int_equal(two.vertex_count, one.vertex_count);
        assert_int_equal(two.count, one.count);
        assert_memory_equal(two.xyz, one.xyz, 3 * one.vertex_count * sizeof *one.xyz);
        assert_memory_equal(two.corners, one.corners, 3 * one.count * sizeof *one.corners);
        /* By hand: the chords of the rings times the length, which is 1 for each row. */
        double chord = 2 * 10 * sin(0.0628 / 2),
               last = 2 * 10 * sin((6.283185307 - 99 * 0.0628) / 2);
        assert_near(tks_mesh_sum(&two).area, (RINGS - 1) * (99 * chord + last), 1e-6, "a pipe");
        tks_mesh_free(&one);
        tks_mesh_free(&two);
        free(t.at);
        unlink(path);
    }
}

static void expect_obj_error(const text *t, int line, const char *part)
{
    const char *path = scratch_path("broken.obj");
    write_bytes(path, t->at, t->length);
    for (int threads = 1; threads < 3; threads++) {
        tks_mesh mesh;
        tks_error err;
        assert_int_equal(read_obj(path, threads, &mesh, &err), TKS_ESYNTAX);
        if (err.line != line || !strstr(err.text, part))
            fail_msg("%d threads: line %d: %s; not line %d: %s", threads, err.line, err.text, line,
                     part);
        tks_mesh_free(&mesh);
    }
    unlink(path);
}

/* A corner that cannot be read, and one of a vertex that does not exist, anywhere. */
static void test_wrong_corner(void **state)
{
    (void)state;
    text t = write_pipe(PLAIN);
    for (size_t tenth = 0; tenth < 10; tenth++) {
        char *p = strstr(t.at + t.length * tenth / 10, "\nf ") + 3, kept[8];
        memcpy(kept, p, 7);
        memcpy(p, "x", 1);
        expect_obj_error(&t, line_of(&t, p), "read 'x");
        memcpy(p, "9999999", 7);
        expect_obj_error(&t, line_of(&t, p), "a face speaks of vertex 9999999");
        memcpy(p, kept, 7);
    }
    free(t.at);
}

/* Each allocation is failed in turn, in whichever thread it comes: a mesh or TKS_EMEMORY. */
static void test_no_memory(void **state)
{
    (void)state;
    text t = write_pipe(POLYGONS);
    soup s = large_soup(false, false);
    const char *paths[] = {scratch_path("memory.obj"), scratch_path("memory.stl")};
    write_bytes(paths[0], t.at, t.length);
    soup_write_ascii(&s, paths[1]);
    for (int i = 0; i < 2; i++) {
        tks_status status = TKS_EMEMORY;
        for (long nth = 1; nth < 200 && status == TKS_EMEMORY; nth++) {
            tks_mesh mesh = {0};
            tks_error err;
            base_alloc_fail_at(nth);
            status = tks_mesh_load(paths[i], NULL, &mesh, &err);
            base_alloc_fail_at(0);
            if (status != TKS_OK) assert_int_equal(status, TKS_EMEMORY);
            tks_mesh_free(&mesh);
        }
        assert_int_equal(status, TKS_OK);
        unlink(paths[i]);
    }
    soup_free(&s);
    free(t.at);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_stl),          cmocka_unit_test(test_wrong_word),
        cmocka_unit_test(test_not_ended),    cmocka_unit_test(test_two_wrong_words),
        cmocka_unit_test(test_cap),          cmocka_unit_test(test_obj),
        cmocka_unit_test(test_wrong_corner), cmocka_unit_test(test_no_memory),
    };
    return cmocka_run_group_tests_name("mesh: threads", tests, NULL, NULL);
}
