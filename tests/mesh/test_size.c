/* Areas and volumes of triangulated solids against closed forms, and the sums themselves. */
#include "support/near.h"
#include "support/solids.h"

#include <string.h>
#include <unistd.h>

static const double pi = 3.14159265358979323846;

static const struct {
    int faces;
    double area, volume; /* for corners at the distance 1 */
    const char *source;
} regular[] = {
    /* Coxeter, Regular Polytopes, 3rd ed., table I: edge, surface and content. */
    {4, 4.618802153517006, 0.513200239279667, "edge sqrt(8/3): a^2 sqrt 3, a^3 / (6 sqrt 2)"},
    {8, 6.928203230275509, 1.333333333333333, "edge sqrt 2: 2 sqrt 3 a^2, a^3 sqrt 2 / 3"},
    {20, 9.574541383273939, 2.536150710120410,
     "edge 1/sin(72 deg): 5 sqrt 3 a^2, 5 (3 + sqrt 5) a^3 / 12"},
};

static void test_regular_solids(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof regular / sizeof *regular; i++) {
        soup s = soup_regular(regular[i].faces, 1);
        tks_mesh mesh = soup_mesh(&s);
        tks_mesh_size size = tks_mesh_sum(&mesh);
        assert_int_equal(size.facets, regular[i].faces);
        assert_near(size.area, regular[i].area, 1e-14, regular[i].source);
        assert_near(size.volume, regular[i].volume, 1e-14, regular[i].source);
        tks_mesh_free(&mesh);
        soup_free(&s);
    }
}

/* ------------------------------------------------------------------ the other two, of polygons */

static tks_vec3 direction(int i, double golden)
{
    double a = i & 1 ? 1 : -1, b = i & 2 ? golden : -golden;
    return i / 4 == 0   ? (tks_vec3){0, a, b}
           : i / 4 == 1 ? (tks_vec3){a, b, 0}
                        : (tks_vec3){b, 0, a};
}

static double along(tks_vec3 p, tks_vec3 q)
{
    return p.x * q.x + p.y * q.y + p.z * q.z;
}

/* Writes the face of the corners that lie farthest out along n, anticlockwise. */
static void write_face(FILE *file, const tks_vec3 *corner, int count, tks_vec3 n)
{
    double most = 0, angle[20];
    int on[20], sides = 0;
    for (int i = 0; i < count; i++) most = fmax(most, along(corner[i], n));
    for (int i = 0; i < count; i++)
        if (along(corner[i], n) > most * (1 - 1e-9)) on[sides++] = i;
    double length2 = along(n, n);
    tks_vec3 u = corner[on[0]]; /* from the middle of the face to its first corner */
    u = (tks_vec3){u.x - most / length2 * n.x, u.y - most / length2 * n.y,
                   u.z - most / length2 * n.z};
    tks_vec3 v = {n.y * u.z - n.z * u.y, n.z * u.x - n.x * u.z, n.x * u.y - n.y * u.x};
    for (int i = 0; i < sides; i++)
        angle[i] = atan2(along(corner[on[i]], v) / sqrt(length2), along(corner[on[i]], u));
    fprintf(file, "%d", sides);
    for (int k = 0; k < sides; k++) { /* the least angle first */
        int least = 0;
        for (int i = 1; i < sides; i++)
            if (angle[i] < angle[least]) least = i;
        fprintf(file, " %d", on[least]);
        angle[least] = 100;
    }
    fputc('\n', file);
}

/* A cube of edge 2 and the dodecahedron about it, of edge 2 / golden, as squares and pentagons:
 * Coxeter, Regular Polytopes, 3rd ed., table I: 3 sqrt(25 + 10 sqrt 5) a^2, (15 + 7 sqrt 5) a^3
 * / 4.
 */
static void test_regular_polygons(void **state)
{
    (void)state;
    const double golden = (1 + sqrt(5)) / 2, edge = 2 / golden;
    const struct {
        int corners, faces;
        double area, volume;
    } solids[] = {
        {8, 6, 24, 8},
        {20, 12, 3 * sqrt(25 + 10 * sqrt(5)) * edge * edge, (15 + 7 * sqrt(5)) * pow(edge, 3) / 4},
    };
    tks_vec3 corner[20];
    for (int i = 0; i < 8; i++)
        corner[i] = (tks_vec3){i & 1 ? 1 : -1, i & 2 ? 1 : -1, i & 4 ? 1 : -1};
    for (int i = 0; i < 12; i++) { /* (0, 1/golden, golden) and so on */
        tks_vec3 d = direction(i, golden * golden);
        corner[8 + i] = (tks_vec3){d.x / golden, d.y / golden, d.z / golden};
    }
    for (int s = 0; s < 2; s++) {
        const char *path = scratch_path("solid.off");
        FILE *file = fopen(path, "w");
        assert_non_null(file);
        fprintf(file, "OFF %d %d 0\n", solids[s].corners, solids[s].faces);
        for (int i = 0; i < solids[s].corners; i++)
            fprintf(file, "%.17g %.17g %.17g\n", corner[i].x, corner[i].y, corner[i].z);
        for (int i = 0; i < solids[s].faces; i++) {
            double sign = i & 1 ? 1 : -1;
            tks_vec3 axis = {i / 2 == 0 ? sign : 0, i / 2 == 1 ? sign : 0, i / 2 == 2 ? sign : 0};
            tks_vec3 d = direction(i, golden), pole = {d.z, d.y, d.x};
            write_face(file, corner, solids[s].corners, s ? pole : axis);
        }
        fclose(file);
        tks_mesh_options metres = {.unit = 1};
        tks_mesh_size size;
        tks_error err;
        if (tks_mesh_size_read(path, &metres, 1, &size, &err)) fail_msg("%s", err.text);
        assert_near(size.area, solids[s].area, 1e-14, "polygons, Coxeter");
        assert_near(size.volume, solids[s].volume, 1e-14, "polygons, Coxeter");
        unlink(path);
    }
}

/* A sphere cut into ever smaller facets misses area as the square of their size: halving the edge
 * must quarter the error. */
static void test_chord_order(void **state)
{
    (void)state;
    double error[4];
    for (int i = 0; i < 4; i++) {
        soup s = soup_sphere(10, i + 2);
        tks_mesh mesh = soup_mesh(&s);
        error[i] = 4 * pi * 100 - tks_mesh_sum(&mesh).area;
        tks_mesh_free(&mesh);
        soup_free(&s);
        if (i) assert_near(error[i - 1] / error[i], 4, 0.02, "order of the chord error, sphere");
    }
}

/* A prism on a regular n-gon, exactly: n r sin(pi/n) (2 l + 2 r cos(pi/n)) for a rod. */
static void test_prism(void **state)
{
    (void)state;
    for (int n = 3; n < 50; n += 9) {
        soup s = soup_tube(0, 5, 30, n, 3);
        tks_mesh mesh = soup_mesh(&s);
        double side = sin(pi / n), flat = cos(pi / n);
        tks_mesh_size size = tks_mesh_sum(&mesh);
        assert_near(size.area, n * 5 * side * (2 * 30 + 2 * 5 * flat), 1e-13,
                    "prism area, by hand");
        assert_near(size.volume, n * 25 * side * flat * 30, 1e-13, "prism volume, by hand");
        tks_mesh_free(&mesh);
        soup_free(&s);
    }
}

static tks_mesh_size read_size(const char *path, int threads)
{
    tks_mesh_options mm = {.unit = 1e-3};
    tks_mesh_size size = {0};
    tks_error err;
    if (tks_mesh_size_read(path, &mm, threads, &size, &err) != TKS_OK) fail_msg("%s", err.text);
    return size;
}

/* Streaming must agree with the mesh in memory, in every bit on one and two threads, and a part far
 * from the origin must keep its volume. */
static void test_streaming(void **state)
{
    (void)state;
    soup near = soup_torus(40, 12, 200, 120), far = {0};
    soup_join(&far, &near, (tks_vec3){512, -256, 1024});
    const char *path = scratch_path("stream.stl");
    soup_write_binary(&far, path, "solid but binary");
    tks_mesh_size one = read_size(path, 1), two = read_size(path, 2);
    assert_memory_equal(&one.area, &two.area, sizeof one.area);
    assert_memory_equal(&one.volume, &two.volume, sizeof one.volume);
    assert_string_equal(one.format, "binary STL");
    tks_mesh mesh;
    tks_error err;
    tks_mesh_options mm = {.unit = 1e-3};
    assert_int_equal(tks_mesh_load(path, &mm, &mesh, &err), TKS_OK);
    tks_mesh_size sum = tks_mesh_sum(&mesh);
    assert_near(one.area, sum.area, 1e-14, "streamed area");
    assert_near(one.volume, sum.volume, 1e-12, "streamed volume");
    /* 4 pi^2 R r and 2 pi^2 R r^2 (Pappus), less the chord error (2 pi/120)^2 / 6 and as much
     * again round the axis; coordinates near 1000 are kept to 6e-5 in a float. */
    assert_near(one.area * 1e6, 4 * pi * pi * 40 * 12, 2e-3, "torus area");
    assert_near(one.volume * 1e9, 2 * pi * pi * 40 * 144, 2e-3, "torus volume");
    assert_near(one.low.x, 0.460, 1e-6, "bounds");
    assert_near(one.high.z, 1.036, 1e-6, "bounds");
    tks_mesh_free(&mesh);
    soup_free(&near);
    soup_free(&far);
    unlink(path);
}

/* Small facets with one of 1e16 times their area among them: a plain running sum in double is off
 * by about 2e-11. */
static void test_compensation(void **state)
{
    (void)state;
    soup s = {0};
    for (int i = 0; i < 200000; i++) {
        double z = (i % 1000) * 1e-3;
        soup_add(&s, (tks_vec3){0, 0, z}, (tks_vec3){0.1, 0, z}, (tks_vec3){0, 0.1, z});
        if (i == 1000)
            soup_add(&s, (tks_vec3){0, 0, 0}, (tks_vec3){1e7, 0, 0}, (tks_vec3){0, 1e7, 0});
    }
    const char *path = scratch_path("sum.stl");
    soup_write_binary(&s, path, "");
    double single = (double)(float)0.1;
    double want = 200000 * (single * single / 2) + 5e13;
    assert_near(read_size(path, 1).area * 1e6, want, 1e-13, "sum of unequal terms");
    soup_free(&s);
    unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_regular_solids), cmocka_unit_test(test_regular_polygons),
        cmocka_unit_test(test_chord_order),    cmocka_unit_test(test_prism),
        cmocka_unit_test(test_streaming),      cmocka_unit_test(test_compensation),
    };
    return cmocka_run_group_tests_name("mesh: area and volume", tests, NULL, NULL);
}
