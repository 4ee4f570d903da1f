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
        cmocka_unit_test(test_regular_solids), cmocka_unit_test(test_chord_order),
        cmocka_unit_test(test_prism),          cmocka_unit_test(test_streaming),
        cmocka_unit_test(test_compensation),
    };
    return cmocka_run_group_tests_name("mesh: area and volume", tests, NULL, NULL);
}
