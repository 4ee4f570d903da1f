/* Triangulations: closed, of the right area and volume, within their bounds. */
#include "geometry/bodies.h"

#include "base/alloc.h"
#include "base/sum.h"

#include <stdlib.h>
#include <string.h>

typedef struct measure {
    double area, volume, longest, least_angle, worst_off;
} measure;

static tks_vec3 corner(const tks_triangles *t, size_t triangle, int k)
{
    const double *p = &t->xyz[3 * (size_t)t->corners[3 * triangle + (size_t)k]];
    return vec3(p[0], p[1], p[2]);
}

static double angle_between(tks_vec3 a, tks_vec3 b)
{
    return atan2(vec3_length(vec3_cross(a, b)), vec3_dot(a, b));
}

static measure measured(const tks_triangles *t)
{
    measure m = {.least_angle = M_PI};
    base_sum area = {0, 0}, volume = {0, 0};
    tks_vec3 o = corner(t, 0, 0);
    for (size_t i = 0; i < t->count; i++) {
        tks_vec3 p[3];
        for (int k = 0; k < 3; k++) p[k] = vec3_sub(corner(t, i, k), o);
        tks_vec3 n = vec3_cross(vec3_sub(p[1], p[0]), vec3_sub(p[2], p[0]));
        base_sum_add(&area, vec3_length(n) / 2);
        base_sum_add(&volume, vec3_dot(p[0], n) / 6);
        for (int k = 0; k < 3; k++) {
            tks_vec3 a = vec3_sub(p[(k + 1) % 3], p[k]), b = vec3_sub(p[(k + 2) % 3], p[k]);
            m.longest = fmax(m.longest, vec3_length(a));
            m.least_angle = fmin(m.least_angle, angle_between(a, b));
        }
    }
    m.area = base_sum_total(&area);
    m.volume = base_sum_total(&volume);
    return m;
}

static int by_edge(const void *a, const void *b)
{
    uint64_t x = *(const uint64_t *)a, y = *(const uint64_t *)b;
    return (x > y) - (x < y);
}

/* Every directed edge is there once, and once the other way. */
static bool closed(const tks_triangles *t)
{
    size_t n = 3 * t->count;
    uint64_t *edges = malloc(n * sizeof *edges);
    for (size_t i = 0; i < t->count; i++)
        for (size_t k = 0; k < 3; k++)
            edges[3 * i + k] =
                (uint64_t)t->corners[3 * i + k] << 32 | t->corners[3 * i + (k + 1) % 3];
    qsort(edges, n, sizeof *edges, by_edge);
    bool good = true;
    for (size_t i = 0; i < n; i++) {
        uint64_t back = edges[i] << 32 | edges[i] >> 32;
        good = good && bsearch(&back, edges, n, sizeof *edges, by_edge) != NULL &&
               (i == 0 || edges[i] != edges[i - 1]);
    }
    free(edges);
    return good;
}

static tks_triangles cut(const tks_body *body, double chord, double longest)
{
    tks_triangles t = {0};
    tks_error err = {0};
    must(tks_body_triangles(body, chord, longest, body->arena, &t, &err), &err);
    return t;
}

static double total_area(const tks_body *body)
{
    double sum = 0;
    for (size_t i = 0; i < body->patch_count; i++) sum += body->patches[i].area;
    return sum;
}

static void each(void (*check)(const tks_body *body, const char *name))
{
    for (size_t i = 0; i < SAMPLE_COUNT; i++) {
        tks_arena *arena = tks_arena_new();
        check(samples[i].make(arena), samples[i].name);
        tks_arena_free(arena);
    }
}

static void check_closed(const tks_body *body, const char *name)
{
    static const double settings[][2] = {
        {1e-3, 0}, {1e-4, 0}, {1e-4, 0.004}, {1e-3, 0.0015}, {1e-5, 0}};
    for (size_t i = 0; i < 5; i++) {
        tks_triangles t = cut(body, settings[i][0], settings[i][1]);
        if (!closed(&t)) fail_msg("%s: open at chord %g", name, settings[i][0]);
        measure m = measured(&t);
        if (settings[i][1] > 0 && m.longest > settings[i][1] * (1 + 1e-9))
            fail_msg("%s: an edge of %g, longest %g", name, m.longest, settings[i][1]);
        for (size_t v = 0; v < t.vertex_count; v++) {
            const double *p = &t.xyz[3 * v];
            double d = tks_body_distance(body, vec3(p[0], p[1], p[2]));
            if (!(fabs(d) < 1e-13)) fail_msg("%s: a vertex %g off the surface", name, d);
        }
    }
}

static void closed_and_bounded(void **state)
{
    (void)state;
    each(check_closed);
}

/* No triangle's middle is farther from the surface than the chord. */
static void check_chord(const tks_body *body, const char *name)
{
    for (double chord = 1e-3; chord > 1e-5; chord /= 4) {
        tks_triangles t = cut(body, chord, 0);
        for (size_t i = 0; i < t.count; i++) {
            tks_vec3 a = corner(&t, i, 0), b = corner(&t, i, 1), c = corner(&t, i, 2);
            tks_vec3 middle = vec3_scale(vec3_add(a, vec3_add(b, c)), 1.0 / 3);
            double d = fabs(tks_body_distance(body, middle));
            if (!(d <= chord)) fail_msg("%s: %g off at chord %g", name, d, chord);
        }
    }
}

static void chord_kept(void **state)
{
    (void)state;
    each(check_chord);
}

/* Inscribed, so the error falls in proportion to the chord; so does that of the volume. */
static void check_converges(const tks_body *body, const char *name)
{
    double area = total_area(body), before = 0;
    for (int i = 0; i < 3; i++) {
        double chord = 4e-5 / pow(8, i);
        tks_triangles t = cut(body, chord, 0);
        measure m = measured(&t);
        double off = fabs(m.area / area - 1);
        if (i > 0 && off > before / 4 && off > 1e-12)
            fail_msg("%s: area off by %g at chord %g, %g before", name, off, chord, before);
        before = off;
        double bound = chord * area / body->volume + 1e-9;
        if (!(fabs(m.volume / body->volume - 1) <= bound))
            fail_msg("%s: volume off by %g, bound %g", name, m.volume / body->volume - 1, bound);
    }
    if (!(before < 2e-3)) fail_msg("%s: area off by %g at the finest", name, before);
}

static void converges(void **state)
{
    (void)state;
    each(check_converges);
}

/* Each patch's triangles add up to its own area. */
static void check_patches(const tks_body *body, const char *name)
{
    tks_triangles t = cut(body, 1e-6, 0.003);
    double *area = calloc(body->patch_count, sizeof *area);
    for (size_t i = 0; i < t.count; i++) {
        tks_vec3 a = corner(&t, i, 0);
        tks_vec3 n = vec3_cross(vec3_sub(corner(&t, i, 1), a), vec3_sub(corner(&t, i, 2), a));
        area[t.patch[i]] += vec3_length(n) / 2;
    }
    for (size_t i = 0; i < body->patch_count; i++)
        if (!(fabs(area[i] / body->patches[i].area - 1) < 2e-3))
            fail_msg("%s, patch %zu: %g, exact %g", name, i, area[i], body->patches[i].area);
    free(area);
}

static void patches_add_up(void **state)
{
    (void)state;
    each(check_patches);
}

/* A plate of 40 by 25 holes; angles in its faces stay fit for a field solver. */
static void perforated(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_body *body = tks_body_new(arena);
    tks_frame f = frame_identity();
    enum { COLUMNS = 40, ROWS = 25 };
    tks_outline *o = calloc(1 + COLUMNS * ROWS, sizeof *o);
    const tks_corner rim[] = {{{0, 0}, 0, 0, TKS_OUTSIDE, -1},
                              {{0.4, 0}, 0, 0, TKS_OUTSIDE, -1},
                              {{0.4, 0.25}, 0, 0, TKS_OUTSIDE, -1},
                              {{0, 0.25}, 0, 0, TKS_OUTSIDE, -1}};
    assert_int_equal(tks_outline_corners(arena, rim, 4, false, &o[0], NULL), TKS_OK);
    for (size_t i = 0; i < COLUMNS * ROWS; i++) {
        tks_vec2 at = {0.005 + 0.01 * (double)(i % COLUMNS), 0.005 + 0.01 * (double)(i / COLUMNS)};
        tks_outline_circle(arena, at, 0.003, true, TKS_HOLE, -1, &o[i + 1], NULL);
    }
    tks_error err = {0};
    must(tks_body_extrude(body, &f, o, 1 + COLUMNS * ROWS, 0.002, TKS_OUTSIDE, TKS_OUTSIDE, NULL, 0,
                          &err),
         &err);
    double bare = 0.4 * 0.25 - COLUMNS * ROWS * M_PI * 9e-6;
    assert_near(body->volume, bare * 0.002, 1e-12, "perforated plate");
    tks_triangles t = cut(body, 5e-5, 0.004);
    assert_true(closed(&t));
    measure m = measured(&t);
    assert_near(m.area, total_area(body), 0.01, "its triangles");
    print_message("perforated plate: %zu triangles, least angle %.1f deg\n", t.count,
                  m.least_angle * 180 / M_PI);
    assert_true(m.least_angle > 10 * M_PI / 180);
    free(o);
    tks_arena_free(arena);
}

/* Round things with poles: no needles at them, and few triangles wasted. */
static void poles(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    for (double longest = 0.004; longest > 0.0005; longest /= 2) {
        tks_triangles t = cut(ball(arena), 1e-4, longest);
        measure m = measured(&t);
        print_message("ball, edges of %g mm: %zu triangles, least angle %.1f deg\n", longest * 1e3,
                      t.count, m.least_angle * 180 / M_PI);
        assert_true(closed(&t));
        assert_true(m.least_angle > 10 * M_PI / 180);
    }
    tks_arena_free(arena);
}

/* A seal has no triangles, and the tube is closed without it. */
static void sealed_tube(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_section s = {.kind = TKS_TUBULAR,
                     .radius = 0.004,
                     .bore = 0.003,
                     .cavity = -1,
                     .inside = TKS_SEALED,
                     .start = TKS_END,
                     .end = TKS_END};
    tks_body *body = swept(arena, bends, 6, &s);
    tks_triangles t = cut(body, 1e-5, 0);
    assert_true(closed(&t));
    measure m = measured(&t);
    assert_near(m.area, tks_body_wetted(body), 2e-3, "wetted only");
    tks_arena_free(arena);
}

static void refuses(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_body *body = plate(arena);
    tks_triangles t = {0};
    static const double bad[] = {0, -1, NAN, INFINITY};
    for (size_t i = 0; i < 4; i++)
        assert_int_equal(tks_body_triangles(body, bad[i], 0, arena, &t, NULL), TKS_EDOMAIN);
    assert_int_equal(tks_body_triangles(body, 1e-3, NAN, arena, &t, NULL), TKS_EDOMAIN);
    assert_int_equal(tks_body_triangles(body, 1e-18, 0, arena, &t, NULL), TKS_ELIMIT);
    assert_int_equal(tks_body_triangles(body, 1e-3, 1e-9, arena, &t, NULL), TKS_ELIMIT);
    assert_null(t.xyz);
    tks_arena_free(arena);
}

/* Every allocation is refused in turn: an error, no leak, no half result. */
static void short_of_memory(void **state)
{
    (void)state;
    for (size_t i = 0; i < SAMPLE_COUNT; i++) {
        tks_status status = TKS_EMEMORY;
        for (long nth = 1; status; nth++) {
            tks_arena *arena = tks_arena_new();
            tks_body *body = samples[i].make(arena);
            tks_triangles t = {0};
            base_alloc_fail_at(nth);
            status = tks_body_triangles(body, 1e-4, 0.01, arena, &t, NULL);
            base_alloc_fail_at(0);
            assert_true(status == TKS_OK || (status == TKS_EMEMORY && t.xyz == NULL));
            tks_arena_free(arena);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(closed_and_bounded), cmocka_unit_test(chord_kept),
        cmocka_unit_test(converges),          cmocka_unit_test(patches_add_up),
        cmocka_unit_test(perforated),         cmocka_unit_test(poles),
        cmocka_unit_test(sealed_tube),        cmocka_unit_test(refuses),
        cmocka_unit_test(short_of_memory),
    };
    return cmocka_run_group_tests_name("geometry: triangles", tests, NULL, NULL);
}
