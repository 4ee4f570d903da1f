/* Fasteners without their threads, as the field takes them: closed, of the right size. */
#include "support/near.h"

#include "tankside/fastener.h"

#define MM 1e-3

static const tks_frame world = {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}};

static const tks_thread m8 = {.form = TKS_THREAD_METRIC, .diameter = 8 * MM, .pitch = 1.25 * MM};

/* Volume under the triangles. */
static double enclosed(const tks_body *body)
{
    tks_arena *arena = tks_arena_new();
    tks_triangles t;
    tks_error err = {0};
    if (tks_body_triangles(body, 5e-6, 0, arena, &t, &err)) fail_msg("%s", err.text);
    double six = 0;
    for (size_t i = 0; i < t.count; i++) {
        const double *a = t.xyz + 3 * (size_t)t.corners[3 * i];
        const double *b = t.xyz + 3 * (size_t)t.corners[3 * i + 1];
        const double *c = t.xyz + 3 * (size_t)t.corners[3 * i + 2];
        six += a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) +
               a[2] * (b[0] * c[1] - b[1] * c[0]);
    }
    tks_arena_free(arena);
    return six / 6;
}

/* The smooth body closes, has about the volume of the true one, and no threads. */
static void check(const tks_body *body, const char *what)
{
    tks_arena *arena = tks_arena_new();
    const tks_body *smooth;
    assert_int_equal(tks_body_smooth(arena, body, &smooth, NULL), TKS_OK);
    assert_ptr_not_equal(smooth, body);
    assert_near(enclosed(smooth), smooth->volume, 2e-3, what);
    assert_near(smooth->volume, body->volume, 0.04, what);
    tks_thread thread;
    for (size_t i = 0; i < smooth->patch_count; i++)
        assert_false(tks_patch_thread(&smooth->patches[i], &thread));
    double ratio = tks_body_area(body, TKS_THREAD) + tks_body_area(body, TKS_MASKED);
    ratio /= tks_body_area(smooth, TKS_THREAD) + tks_body_area(smooth, TKS_MASKED);
    assert_true(ratio > 1.35 && ratio < 1.8); /* ISO 4042: about 1.7 for thread alone */
    tks_arena_free(arena);
}

static void test_fasteners(void **state)
{
    (void)state;
    static const tks_screw screws[] = {
        {.thread_length = 30e-3},
        {.thread_length = 30e-3, .masked_from = 5e-3, .masked_length = 10e-3},
        {.thread_length = 20e-3,
         .runout = 2e-3,
         .shank_length = 16e-3,
         .head = TKS_HEAD_HEXAGON,
         .hexagon = {13e-3, 5.3e-3, {0, 12.35e-3}, 0.5236}},
        {.thread_length = 20e-3,
         .runout = 2e-3,
         .shank_length = 6e-3,
         .head = TKS_HEAD_CYLINDER,
         .head_diameter = 13e-3,
         .head_height = 8e-3,
         .edge = 0.8e-3,
         .socket = {6e-3, 4e-3, 1.0472}},
        {.thread_length = 20e-3,
         .runout = 2e-3,
         .head = TKS_HEAD_BUTTON,
         .head_diameter = 14e-3,
         .head_height = 4.4e-3,
         .edge = 0.5e-3,
         .socket = {5e-3, 2.6e-3, 1.0472}},
        {.thread_length = 20e-3,
         .runout = 2e-3,
         .head = TKS_HEAD_COUNTERSUNK,
         .head_diameter = 17e-3,
         .head_height = 4.96e-3,
         .socket = {5e-3, 3e-3, 0}},
        {.thread_length = 20e-3, .runout = 2e-3, .shank_length = 6e-3, .second_length = 19e-3},
        {.thread_length = 20e-3, .socket = {4e-3, 5e-3, 1.0472}},
    };
    for (size_t i = 0; i < sizeof screws / sizeof *screws; i++) {
        tks_arena *arena = tks_arena_new();
        tks_body *body = tks_body_new(arena);
        tks_screw screw = screws[i];
        screw.thread = m8;
        char name[32];
        snprintf(name, sizeof name, "screw %zu", i);
        assert_int_equal(tks_body_screw(body, &world, &screw, NULL), TKS_OK);
        check(body, name);
        tks_arena_free(arena);
    }
}

static void test_nut_and_plug(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_body *body = tks_body_new(arena);
    tks_nut nut = {.thread = m8, .hexagon = {13e-3, 6.8e-3, {12.35e-3, 12.35e-3}, 0.5236}};
    assert_int_equal(tks_body_nut(body, &world, &nut, NULL), TKS_OK);
    check(body, "nut");
    body = tks_body_new(arena);
    tks_thread_end square[2] = {{TKS_THREAD_SQUARE, 0, 0}, {TKS_THREAD_SQUARE, 0, 0}};
    assert_int_equal(tks_body_thread(body, &world, &m8, 20e-3, square, NULL), TKS_OK);
    check(body, "plug");
    tks_arena_free(arena);
}

/* What has no thread is handed back. */
static void test_others_stay(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_body *body = tks_body_new(arena);
    const tks_body *smooth;
    tks_outline disc;
    assert_int_equal(
        tks_outline_circle(arena, (tks_vec2){0, 0}, 1e-2, false, TKS_OUTSIDE, -1, &disc, NULL),
        TKS_OK);
    assert_int_equal(
        tks_body_extrude(body, &world, &disc, 1, 1e-2, TKS_END, TKS_END, NULL, 0, NULL), TKS_OK);
    assert_int_equal(tks_body_smooth(arena, body, &smooth, NULL), TKS_OK);
    assert_ptr_equal(smooth, body);
    tks_arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fasteners),
        cmocka_unit_test(test_nut_and_plug),
        cmocka_unit_test(test_others_stay),
    };
    return cmocka_run_group_tests_name("smooth", tests, NULL, NULL);
}
