/* The health of meshes whose flaws are known by construction. */
#include "support/near.h"
#include "support/solids.h"

#include <string.h>

static const double pi = 3.14159265358979323846;

static tks_mesh_health check_options(const soup *s, tks_check_options options)
{
    tks_mesh mesh = soup_mesh(s);
    tks_mesh_health health = {0};
    tks_error err;
    if (tks_mesh_check(&mesh, &options, &health, &err) != TKS_OK) fail_msg("%s", err.text);
    tks_mesh_free(&mesh);
    return health;
}

static tks_mesh_health check(const soup *s)
{
    return check_options(s, (tks_check_options){.crossings = true});
}

static void assert_reason(const tks_mesh_health *h, tks_mesh_verdict verdict, const char *words)
{
    if (h->verdict != verdict)
        fail_msg("verdict %s: %s", tks_mesh_verdict_name(h->verdict), h->reasons[0]);
    for (size_t i = 0; i < h->reason_count; i++)
        if (strstr(h->reasons[i], words)) return;
    fail_msg("no reason speaks of '%s', the first is '%s'", words, h->reasons[0]);
}

/* Euler: edges = 3/2 facets on a closed surface, and V - E + F = 2 - 2 g. */
static void test_sound(void **state)
{
    (void)state;
    soup s = soup_torus(40, 12, 200, 90);
    soup_shuffle(&s, 5);
    tks_mesh_health h = check(&s);
    assert_int_equal(h.vertices, 200 * 90);
    assert_int_equal(h.edges, 3 * 200 * 90);
    assert_int_equal(h.open_edges + h.odd_edges + h.flipped_edges + h.odd_vertices, 0);
    assert_int_equal(h.duplicates + h.degenerate + h.hole_count + h.specks + h.voids, 0);
    assert_int_equal(h.shell_count, 1);
    assert_int_equal(h.parts, 1);
    assert_int_equal(h.crossings, 0);
    assert_false(h.inside_out);
    assert_reason(&h, TKS_BELIEVE, "closed");
    tks_mesh_health_free(&h);
    soup_turn_over(&s);
    h = check(&s);
    assert_true(h.inside_out);
    assert_reason(&h, TKS_BELIEVE, "inside out");
    tks_mesh_health_free(&h);
    soup_free(&s);
}

static void drop(soup *s, size_t facet)
{
    memmove(s->xyz + 9 * facet, s->xyz + 9 * --s->count, 9 * sizeof *s->xyz);
}

/* A box of squares of side 1/2 that lacks its top (z = 2): rim 8, filled by 4, by hand. */
static void test_open_top(void **state)
{
    (void)state;
    soup s = soup_box((tks_vec3){0, 0, 0}, (tks_vec3){2, 2, 2}, 4);
    for (size_t i = s.count; i-- > 0;) {
        const double *p = s.xyz + 9 * i;
        if (p[2] == 2 && p[5] == 2 && p[8] == 2) drop(&s, i);
    }
    tks_mesh_health h = check(&s);
    assert_int_equal(h.open_edges, 16);
    assert_int_equal(h.hole_count, 1);
    assert_near(h.holes[0].rim, 8, 1e-14, "rim, by hand");
    assert_near(h.holes[0].fill_low, 4, 1e-14, "least fill, by hand");
    assert_near(h.holes[0].fill_high, 4, 1e-14, "fan, by hand");
    assert_near(h.holes[0].centre.z, 2, 1e-14, "centre, by hand");
    assert_near(h.size.volume, 8, 1e-14, "volume once it is closed, by hand");
    assert_true(h.holes[0].closed);
    assert_reason(&h, TKS_BELIEVE_AFTER, "1 hole");
    tks_mesh_health_free(&h);
    soup_free(&s);
}

/* Two facets dropped from the sheet so that their holes touch in one corner are two holes, each
 * with a rim of 2 + sqrt 2 and a fill of 1/2, by hand. */
static void test_touching_holes(void **state)
{
    (void)state;
    soup s = soup_box((tks_vec3){0, 0, 0}, (tks_vec3){6, 6, 6}, 6);
    int dropped = 0;
    for (size_t i = s.count; i-- > 0;) {
        const double *p = s.xyz + 9 * i;
        double x = (p[0] + p[3] + p[6]) / 3, y = (p[1] + p[4] + p[7]) / 3;
        bool top = p[2] == 6 && p[5] == 6 && p[8] == 6;
        /* Below the diagonal of square (2,2), above that of square (3,3): they share (3,3). */
        bool low = x > 2 && x < 3 && y > 2 && y < 3 && x - 2 > y - 2;
        bool high = x > 3 && x < 4 && y > 3 && y < 4 && x - 3 < y - 3;
        if (!top || !(low || high)) continue;
        drop(&s, i);
        dropped++;
    }
    assert_int_equal(dropped, 2);
    tks_mesh_health h = check(&s);
    assert_int_equal(h.hole_count, 2);
    assert_near(h.rim, 2 * (2 + sqrt(2)), 1e-14, "rims, by hand");
    assert_near(h.fill_low, 1, 1e-14, "fills, by hand");
    tks_mesh_health_free(&h);
    soup_free(&s);
}

/* What is left of a soup when the facets that lie in the plane at z are dropped. */
static void open_at(soup *s, double z)
{
    for (size_t i = s->count; i-- > 0;) {
        const double *p = s->xyz + 9 * i;
        if (fabs(p[2] - z) + fabs(p[5] - z) + fabs(p[8] - z) < 1e-12) drop(s, i);
    }
}

static void turn_about_x(soup *s, double angle)
{
    for (size_t i = 0; i < 3 * s->count; i++) {
        double *p = s->xyz + 3 * i, y = p[1], z = p[2];
        p[1] = y * cos(angle) - z * sin(angle);
        p[2] = y * sin(angle) + z * cos(angle);
    }
}

static void expect_fill(const soup *s, size_t holes, double fill, const char *what)
{
    tks_mesh_health h = check(s);
    assert_int_equal(h.hole_count, holes);
    assert_near(h.fill_low, fill, 1e-9, what);
    assert_near(h.fill_high, fill, 1e-9, what);
    tks_mesh_health_free(&h);
}

/* A pipe that stood on a table lacks the ring between its outline and its bore, and a pin within
 * the bore its own disc; a disc or a cone without both its faces lacks the two. Regular polygons of
 * n sides have n/2 sin(2 pi/n) r^2, by hand. */
static void test_open_rings(void **state)
{
    (void)state;
    enum { SIDES = 36 };
    double unit = SIDES / 2.0 * sin(2 * pi / SIDES);
    soup pipe = soup_tube(5, 8, 60, SIDES, 20), pin = soup_tube(0, 2, 60, SIDES, 20);
    soup disc = soup_tube(0, 20, 0.3, SIDES, 1);
    open_at(&pipe, 0);
    open_at(&pin, 0);
    soup both = {0}, far = {0};
    soup_join(&both, &pipe, (tks_vec3){0, 0, 0});
    soup_join(&both, &pin, (tks_vec3){0, 0, 0});
    soup_join(&far, &pipe, (tks_vec3){0, 0, 0});
    soup_join(&far, &pin, (tks_vec3){20, 0, 0});
    soup *turned[] = {&pipe, &both, &far};
    for (int i = 0; i < 3; i++) turn_about_x(turned[i], 0.7); /* scans stand at any angle */
    expect_fill(&pipe, 2, unit * (64 - 25), "the ring under a pipe");
    expect_fill(&both, 3, unit * (64 - 25 + 4), "a pin in the pipe");
    expect_fill(&far, 3, unit * (64 - 25 + 4), "a pin beside the pipe");
    open_at(&disc, 0);
    open_at(&disc, 0.3);
    expect_fill(&disc, 2, 2 * unit * 400, "both faces of a disc");
    for (size_t i = 0; i < 3 * disc.count; i++) /* a flat cone: its upper rim is the smaller */
        if (disc.xyz[3 * i + 2] > 0.2)
            for (int k = 0; k < 2; k++) disc.xyz[3 * i + (size_t)k] *= 0.95;
    expect_fill(&disc, 2, unit * 400 * (1 + 0.95 * 0.95), "both faces of a flat cone");
    soup_free(&both);
    soup_free(&far);
    soup_free(&pipe);
    soup_free(&pin);
    soup_free(&disc);
}

static void test_odd(void **state)
{
    (void)state;
    soup one = soup_box((tks_vec3){0, 0, 0}, (tks_vec3){1, 1, 1}, 1), s = {0};
    soup_join(&s, &one, (tks_vec3){0, 0, 0});
    soup_join(&s, &one, (tks_vec3){1, 1, 0}); /* two boxes that share an edge */
    tks_mesh_health h = check(&s);
    assert_int_equal(h.odd_edges, 1);
    assert_int_equal(h.odd_vertices, 0);
    assert_int_equal(h.crossings, 0);
    assert_int_equal(h.open_edges, 0);
    tks_mesh_health_free(&h);
    s.count = 12;
    soup_join(&s, &one, (tks_vec3){1, 1, 1}); /* that share a corner */
    h = check(&s);
    assert_int_equal(h.odd_vertices, 1);
    assert_int_equal(h.odd_edges, 0);
    assert_int_equal(h.shell_count, 2);
    tks_mesh_health_free(&h);
    s.count = 12;
    for (int i = 0; i < 9; i++)
        s.xyz[9 * 5 + i] = one.xyz[9 * 5 + (i < 3 ? i + 3 : i < 6 ? i - 3 : i)];
    h = check(&s); /* one facet turned over: three sides run the wrong way */
    assert_int_equal(h.flipped_edges, 3);
    assert_int_equal(h.open_edges, 0);
    assert_reason(&h, TKS_BELIEVE_AFTER, "3 edges between facets that face both ways");
    tks_mesh_health_free(&h);
    soup_free(&s);
    soup_free(&one);
}

static void test_doubled(void **state)
{
    (void)state;
    soup s = soup_box((tks_vec3){0, 0, 0}, (tks_vec3){2, 2, 2}, 2);
    const double *p = s.xyz + 9 * 7, *q = s.xyz + 9 * 20;
    soup_add(&s, (tks_vec3){p[3], p[4], p[5]}, (tks_vec3){p[6], p[7], p[8]},
             (tks_vec3){p[0], p[1], p[2]});
    q = s.xyz + 9 * 20;
    soup_add(&s, (tks_vec3){q[3], q[4], q[5]}, (tks_vec3){q[0], q[1], q[2]},
             (tks_vec3){q[6], q[7], q[8]});
    soup_add(&s, (tks_vec3){0, 0, 0}, (tks_vec3){1, 0, 0}, (tks_vec3){2, 0, 0});
    soup_add(&s, (tks_vec3){0, 0, 0}, (tks_vec3){0, 0, 0}, (tks_vec3){2, 0, 0});
    tks_mesh_health h = check(&s);
    assert_int_equal(h.duplicates, 2);
    assert_near(h.duplicate_area, 1, 1e-14, "two halves of a square, by hand");
    assert_int_equal(h.degenerate, 2);
    assert_reason(&h, TKS_BELIEVE_AFTER, "2 facets lie on another");
    tks_mesh_health_free(&h);
    soup_free(&s);
}

/* A hollow, a solid inside the hollow, a solid buried in the metal, a speck, and a second part. */
static void test_shells(void **state)
{
    (void)state;
    soup s = soup_box((tks_vec3){0, 0, 0}, (tks_vec3){10, 10, 10}, 3);
    soup hollow = soup_box((tks_vec3){1, 1, 1}, (tks_vec3){5, 5, 5}, 2);
    soup within = soup_box((tks_vec3){2, 2, 2}, (tks_vec3){3, 3, 3}, 1);
    soup buried = soup_box((tks_vec3){6, 6, 6}, (tks_vec3){8, 8, 8}, 1);
    soup speck = soup_box((tks_vec3){0, 0, 20}, (tks_vec3){0.1, 0.1, 20.1}, 1);
    soup other = soup_sphere(4, 1);
    soup_turn_over(&hollow);
    soup_join(&s, &hollow, (tks_vec3){0, 0, 0});
    soup_join(&s, &within, (tks_vec3){0, 0, 0});
    soup_join(&s, &buried, (tks_vec3){0, 0, 0});
    soup_join(&s, &speck, (tks_vec3){0, 0, 0});
    soup_join(&s, &other, (tks_vec3){30, 0, 0});
    tks_mesh_health h = check(&s);
    assert_int_equal(h.shell_count, 6);
    assert_int_equal(h.voids, 1);
    assert_int_equal(h.buried, 2); /* the bath reaches neither */
    assert_int_equal(h.specks, 1);
    assert_int_equal(h.parts, 2);
    assert_near(h.void_area, 6 * 16, 1e-13, "the hollow, by hand");
    assert_near(h.buried_area, 6 * 4 + 6, 1e-13, "the buried boxes, by hand");
    assert_near(h.speck_area, 0.06, 1e-10, "the speck, by hand");
    assert_int_equal(h.crossings, 0);
    assert_reason(&h, TKS_BELIEVE_AFTER, "3 closed bodies inside");
    tks_mesh_health_free(&h);
    soup_turn_over(&s); /* all of it inside out: nothing else changes */
    h = check(&s);
    assert_int_equal(h.voids, 1);
    assert_int_equal(h.buried, 2);
    assert_int_equal(h.parts, 2);
    assert_true(h.inside_out);
    tks_mesh_health_free(&h);
    soup *all[] = {&s, &hollow, &within, &buried, &speck, &other};
    for (int i = 0; i < 6; i++) soup_free(all[i]);
}

/* A rod that stands out of a block is no hollow of it, wherever its facets begin. */
static void test_standing_out(void **state)
{
    (void)state;
    soup block = soup_box((tks_vec3){0, 0, 0}, (tks_vec3){40, 40, 40}, 4), s = {0};
    soup rod = soup_tube(0, 3, 60, 24, 12);
    soup_join(&s, &block, (tks_vec3){0, 0, 0});
    soup_join(&s, &rod, (tks_vec3){20.1, 20.2, 20});
    for (uint64_t seed = 0; seed < 4; seed++) {
        if (seed) soup_shuffle(&s, seed);
        tks_mesh_health h = check(&s);
        assert_int_equal(h.buried + h.voids, 0);
        assert_int_equal(h.parts, 2);
        assert_reason(&h, TKS_BELIEVE_AFTER, "overlies itself");
        tks_mesh_health_free(&h);
    }
    soup_free(&s);
    soup_free(&block);
    soup_free(&rod);
}

static long crossings_of(const soup *a, const soup *b, tks_vec3 shift)
{
    soup s = {0};
    soup_join(&s, a, (tks_vec3){0, 0, 0});
    soup_join(&s, b, shift);
    tks_mesh_health h = check(&s);
    long found = h.crossings;
    tks_mesh_health_free(&h);
    soup_free(&s);
    return found;
}

/* Bodies that meet in special places: mirror images, whose edges meet edges; a face that lies on a
 * face; and what only touches. */
static void test_special_crossings(void **state)
{
    (void)state;
    soup ball = soup_sphere(5, 3), box = soup_box((tks_vec3){0, 0, 0}, (tks_vec3){9, 9, 9}, 3);
    soup small = soup_box((tks_vec3){0, 0, 0}, (tks_vec3){2, 2, 2}, 1);
    assert_in_range(crossings_of(&ball, &ball, (tks_vec3){6, 0, 0}), 20, 1000);
    assert_true(crossings_of(&box, &small, (tks_vec3){3.5, 3.4, 9}) > 0); /* stands on it */
    assert_true(crossings_of(&box, &small, (tks_vec3){3.5, 3.4, 8}) > 0); /* sunk into it */
    assert_true(crossings_of(&box, &box, (tks_vec3){1, 0, 0}) > 0);       /* shifted along itself */
    assert_int_equal(crossings_of(&box, &small, (tks_vec3){9, 9, 0.3}), 0); /* edge at edge */
    assert_int_equal(crossings_of(&box, &small, (tks_vec3){9.01, 1, 1}), 0);
    assert_int_equal(crossings_of(&ball, &box, (tks_vec3){5, -4.4, -4.4}), 0); /* at a point */
    soup_free(&ball);
    soup_free(&box);
    soup_free(&small);
}

static void test_crossing(void **state)
{
    (void)state;
    soup s = soup_sphere(5, 3), other = soup_sphere(5, 3);
    soup_join(&s, &other, (tks_vec3){6.1, 0.3, 0.2});
    tks_mesh_health h = check(&s);
    assert_in_range(h.crossings, 20, 1000);
    assert_reason(&h, TKS_BELIEVE_AFTER, "overlies itself");
    tks_mesh_health_free(&h);
    s.count /= 2;
    soup_join(&s, &other, (tks_vec3){10.2, 0.3, 0.2});
    h = check(&s);
    assert_int_equal(h.crossings, 0);
    tks_mesh_health_free(&h);
    soup_free(&s);
    soup_free(&other);
}

/* What flat facets miss: cylinder n-gon, area 2 r sin(pi/n) n l against 2 pi r l; sphere against
 * 4 pi r^2. The estimate must be right to a twentieth, for the irregular facets of the sphere to a
 * tenth. */
static void test_sampling(void **state)
{
    (void)state;
    for (int n = 16; n < 200; n *= 2) {
        soup s = soup_tube(0, 5, 40, n, 20);
        tks_mesh_health h = check(&s);
        double missed = 40 * (2 * pi * 5 - 2 * 5 * n * sin(pi / n));
        assert_near(h.missed_area, missed, 0.05, "missed by a cylinder");
        assert_near(h.facets_per_turn, n, 1e-9, "facets to the turn");
        tks_mesh_health_free(&h);
        soup_free(&s);
    }
    for (int times = 2; times < 5; times++) {
        soup s = soup_sphere(5, times);
        tks_mesh_health h = check(&s);
        assert_near(h.missed_area, 4 * pi * 25 - h.size.area, 0.1, "missed by a sphere");
        tks_mesh_health_free(&h);
        soup_free(&s);
    }
}

static void test_loose(void **state)
{
    (void)state;
    soup s = soup_sphere(5, 3);
    for (size_t i = 0; i < s.count; i++)
        for (int k = 0; k < 9; k++) s.xyz[9 * i + (size_t)k] += (double)i;
    tks_mesh_health h = check(&s);
    assert_int_equal(h.open_edges, 3 * s.count);
    assert_int_equal(h.shell_count, s.count);
    assert_int_equal(h.hole_count, s.count);
    assert_reason(&h, TKS_DO_NOT_BELIEVE, "hardly hang together");
    tks_mesh_health_free(&h);
    soup_free(&s);
}

/* Facets that all lie in one point, or on one line, must be survived. */
static void test_nothing(void **state)
{
    (void)state;
    tks_vec3 at = {3, 4, 5};
    soup s = {0};
    for (int i = 0; i < 20; i++) soup_add(&s, at, at, i % 2 ? at : (tks_vec3){3, 4, 5.0 + i / 9.0});
    tks_mesh_health h = check_options(&s, (tks_check_options){true, true, NULL, NULL});
    assert_int_equal(h.degenerate, 20);
    assert_reason(&h, TKS_DO_NOT_BELIEVE, "no facet has an area");
    tks_mesh_health_free(&h);
    s.count = 1;
    for (int i = 0; i < 9; i++) s.xyz[i] = 7;
    tks_mesh mesh = soup_mesh(&s);
    uint8_t label = 255;
    tks_error err;
    assert_int_equal(tks_mesh_label(&mesh, 0, &label, &err), TKS_OK);
    assert_true(label == TKS_OUTSIDE || label == TKS_INSIDE);
    tks_mesh_free(&mesh);
    soup_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sound),
        cmocka_unit_test(test_open_top),
        cmocka_unit_test(test_touching_holes),
        cmocka_unit_test(test_odd),
        cmocka_unit_test(test_open_rings),
        cmocka_unit_test(test_doubled),
        cmocka_unit_test(test_shells),
        cmocka_unit_test(test_standing_out),
        cmocka_unit_test(test_special_crossings),
        cmocka_unit_test(test_crossing),
        cmocka_unit_test(test_sampling),
        cmocka_unit_test(test_loose),
        cmocka_unit_test(test_nothing),
    };
    return cmocka_run_group_tests_name("mesh: health", tests, NULL, NULL);
}
