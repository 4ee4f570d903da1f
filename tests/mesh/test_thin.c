/* Thinning: how little the area changes, and that a surface stays one. */
#include "support/near.h"
#include "support/solids.h"

#include <string.h>

static const double pi = 3.14159265358979323846;

static tks_mesh thin(const soup *s, size_t budget, double *error)
{
    tks_mesh mesh = soup_mesh(s), simple;
    tks_error err;
    if (tks_mesh_simplify(&mesh, budget, &simple, error, &err) != TKS_OK) fail_msg("%s", err.text);
    double before = tks_mesh_sum(&mesh).area, after = tks_mesh_sum(&simple).area;
    if (before > 0) assert_near(after / before, 1 + *error, 1e-14, "the error that is told");
    tks_mesh_free(&mesh);
    return simple;
}

static tks_mesh_health check(const tks_mesh *mesh)
{
    tks_mesh_health health;
    tks_error err;
    tks_check_options options = {.crossings = true};
    if (tks_mesh_check(mesh, &options, &health, &err) != TKS_OK) fail_msg("%s", err.text);
    return health;
}

static void expect_closed(const tks_mesh *mesh, size_t shells)
{
    tks_mesh_health h = check(mesh);
    assert_int_equal(h.open_edges + h.odd_edges + h.flipped_edges + h.odd_vertices, 0);
    assert_int_equal(h.duplicates + h.degenerate, 0);
    assert_int_equal(h.crossings, 0);
    assert_int_equal(h.shell_count, shells);
    tks_mesh_health_free(&h);
}

/* N equilateral facets of side h with corners on a sphere miss 5 h^2 / (24 R^2) of its area, by
 * hand (as in the library's account of sampling); with 4 pi R^2 = N sqrt 3 h^2 / 4 that is
 * 10 pi / (3 sqrt 3 N). No N facets do much better. */
static void test_sphere(void **state)
{
    (void)state;
    soup s = soup_sphere(50, 6); /* 81,920 facets */
    for (size_t budget = 20000; budget > 200; budget /= 4) {
        double error, least = 10 * pi / (3 * sqrt(3) * (double)budget);
        tks_mesh simple = thin(&s, budget, &error);
        assert_int_equal(simple.count, budget);
        double lost = 1 - tks_mesh_sum(&simple).area / (4 * pi * 2500);
        if (!(lost > 0.9 * least && lost < 1.4 * least))
            fail_msg("%zu facets lose %g, the least is %g", budget, lost, least);
        expect_closed(&simple, 1);
        tks_mesh_free(&simple);
    }
    soup_free(&s);
}

/* A pipe cut finely: its area must stay where there is much to choose from, as slivers across the
 * curve would add some per cent. */
static void test_pipe(void **state)
{
    (void)state;
    soup s = soup_tube(17, 20, 60, 500, 200); /* 402,000 facets */
    for (size_t budget = 32000; budget >= 2000; budget /= 4) {
        double error;
        tks_mesh simple = thin(&s, budget, &error);
        assert_int_equal(simple.count, budget);
        if (!(fabs(error) < 1e-3)) fail_msg("%zu facets: area %+g", budget, error);
        expect_closed(&simple, 1);
        tks_mesh_free(&simple);
    }
    soup_free(&s);
}

/* A box keeps its corners: its area stays to the last of its twelve facets. */
static void test_box(void **state)
{
    (void)state;
    soup s = soup_box((tks_vec3){0, 0, 0}, (tks_vec3){20, 30, 40}, 24);
    double error;
    tks_mesh simple = thin(&s, 12, &error);
    assert_int_equal(simple.count, 12);
    assert_int_equal(simple.vertex_count, 8);
    assert_near(tks_mesh_sum(&simple).area, 5200, 1e-14, "a box, by hand");
    assert_near(tks_mesh_sum(&simple).volume, 24000, 1e-13, "a box, by hand");
    tks_mesh_free(&simple);
    soup_free(&s);
}

/* An open rim stays where it is, and shells stay apart, however few facets are asked for. */
static void test_rims_and_shells(void **state)
{
    (void)state;
    soup s = soup_sphere(30, 4), rod = soup_tube(0, 20, 60, 200, 60), half = {0};
    for (size_t i = 0; i < rod.count; i++) {
        const double *p = rod.xyz + 9 * i;
        if (p[2] + p[5] + p[8] > 0) /* all but its foot */
            soup_add(&half, (tks_vec3){p[0], p[1], p[2]}, (tks_vec3){p[3], p[4], p[5]},
                     (tks_vec3){p[6], p[7], p[8]});
    }
    double error;
    tks_mesh before = soup_mesh(&half), simple = thin(&half, 1000, &error);
    tks_mesh_health h = check(&before), k = check(&simple);
    assert_int_equal(k.hole_count, 1);
    assert_near(k.fill_low, h.fill_low, 0.01, "the rim");
    assert_near(k.rim, h.rim, 0.01, "the rim");
    tks_mesh_health_free(&h);
    tks_mesh_health_free(&k);
    tks_mesh_free(&before);
    tks_mesh_free(&simple);
    soup two = {0};
    soup_join(&two, &s, (tks_vec3){0, 0, 0});
    soup_join(&two, &s, (tks_vec3){100, 0, 0});
    simple = thin(&two, 4, &error);
    assert_int_equal(simple.count, 8); /* two tetrahedra */
    expect_closed(&simple, 2);
    tks_mesh_free(&simple);
    soup_free(&two);
    soup_free(&rod);
    soup_free(&s);
    soup_free(&half);
}

/* Hostile meshes: a hub of all facets, an edge of all facets, facets in one point, one facet. */
static void test_hostile(void **state)
{
    (void)state;
    enum { MANY = 100000 };
    tks_vec3 top = {0, 0, 5}, below = {0, 0, 0};
    soup hub = {0}, book = {0}, point = {0};
    for (int i = 0; i < MANY; i++) {
        double a = 2 * pi * i / MANY, b = 2 * pi * (i + 1) / MANY;
        soup_add(&hub, top, (tks_vec3){cos(a), sin(a), 0}, (tks_vec3){cos(b), sin(b), 0});
        soup_add(&book, top, below, (tks_vec3){cos(a), sin(a), 0});
        soup_add(&point, top, top, top);
    }
    const soup *all[] = {&hub, &book, &point};
    for (int i = 0; i < 3; i++) {
        double error;
        tks_mesh simple = thin(all[i], 100, &error);
        assert_true(simple.count <= MANY);
        tks_mesh_free(&simple);
    }
    soup_free(&hub);
    soup_free(&book);
    soup_free(&point);
}

static void test_nothing_to_do(void **state)
{
    (void)state;
    soup s = soup_regular(20, 1);
    for (size_t budget = 20; budget < 22; budget++) {
        double error = 1;
        tks_mesh simple = thin(&s, budget, &error);
        assert_int_equal(simple.count, 20);
        assert_true(error == 0);
        tks_mesh_free(&simple);
    }
    tks_mesh mesh = soup_mesh(&s), simple = {.count = 77};
    double error = 77;
    tks_error err;
    assert_int_equal(tks_mesh_simplify(&mesh, 3, &simple, &error, &err), TKS_EDOMAIN);
    assert_int_equal(simple.count, 77);
    assert_true(error == 77);
    tks_mesh_free(&mesh);
    soup_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sphere),  cmocka_unit_test(test_pipe),
        cmocka_unit_test(test_box),     cmocka_unit_test(test_rims_and_shells),
        cmocka_unit_test(test_hostile), cmocka_unit_test(test_nothing_to_do),
    };
    return cmocka_run_group_tests_name("mesh: thinning", tests, NULL, NULL);
}
