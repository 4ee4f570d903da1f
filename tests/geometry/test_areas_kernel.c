/* Areas and volumes against an independent B-rep kernel (Open CASCADE 7.6): relative difference at
 * most 1e-9. */
#include "geometry/bodies.h"
#include "support/kernel.h"

static double worst_area, worst_volume;

static void compare(const char *name, const tks_body *body, kernel_solid *kernel)
{
    double area = kernel_area(kernel), volume = kernel_volume(kernel);
    double a = fabs(tks_body_wetted(body) / area - 1), v = fabs(body->volume / volume - 1);
    print_message("%-24s area %9.3e  volume %9.3e  (relative difference)\n", name, a, v);
    worst_area = fmax(worst_area, a);
    worst_volume = fmax(worst_volume, v);
    kernel_free(kernel);
    if (!(a <= 1e-9 && v <= 1e-9))
        fail_msg("%s: area %.15g, kernel %.15g; volume %.15g, kernel %.15g", name,
                 tks_body_wetted(body), area, body->volume, volume);
}

static tks_outline cornered(tks_arena *arena, const tks_corner *c, size_t count, bool clockwise)
{
    tks_outline o = {NULL, 0, 0};
    tks_error err = {0};
    must(tks_outline_corners(arena, c, count, clockwise, &o, &err), &err);
    return o;
}

static tks_outline circle(tks_arena *arena, double x, double y, double radius, bool clockwise)
{
    tks_outline o = {NULL, 0, 0};
    tks_error err = {0};
    must(tks_outline_circle(arena, (tks_vec2){x, y}, radius, clockwise, TKS_HOLE, -1, &o, &err),
         &err);
    return o;
}

/* The kernel's own solids, so that other tests may lean on them: closed forms, and the union of two
 * equal cylinders that cross, whose common part has the volume 16 r^3 / 3 (Archimedes). */
static void kernel_itself(void **state)
{
    (void)state;
    tks_frame f = placed();
    const struct {
        const char *name;
        kernel_solid *solid;
        double area, volume;
    } known[] = {
        {"box", kernel_box(&f, 0.01, 0.02, 0.03), 22e-4, 6e-6},
        {"cylinder", kernel_cylinder(&f, 0.01, 0.03), 8e-4 * M_PI, 3e-6 * M_PI},
        {"cone", kernel_cone(&f, 0.03, 0, 0.04), 24e-4 * M_PI, 12e-6 * M_PI},
        {"frustum", kernel_cone(&f, 0.01, 0.04, 0.04), (1 + 16 + 25) * 1e-4 * M_PI, 28e-6 * M_PI},
        {"sphere", kernel_sphere(&f, 0.01), 4e-4 * M_PI, 4e-6 / 3 * M_PI},
        {"torus", kernel_torus(&f, 0.03, 0.01), 12e-4 * M_PI * M_PI, 6e-6 * M_PI * M_PI},
    };
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        assert_near(kernel_area(known[i].solid), known[i].area, 1e-12, known[i].name);
        assert_near(kernel_volume(known[i].solid), known[i].volume, 1e-12, known[i].name);
        kernel_free(known[i].solid);
    }
    tks_frame a = {{0, 0, -0.03}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
    tks_frame b = {{-0.03, 0, 0}, {0, 1, 0}, {0, 0, 1}, {1, 0, 0}};
    kernel_solid *common =
        kernel_common(kernel_cylinder(&a, 0.01, 0.06), kernel_cylinder(&b, 0.01, 0.06));
    assert_near(kernel_volume(common), 16e-6 / 3, 1e-6, "common part of crossing cylinders");
    assert_near(kernel_area(common), 16e-4, 1e-6, "its surface, 16 r^2");
    kernel_free(common);
    kernel_solid *both =
        kernel_fuse(kernel_cylinder(&a, 0.01, 0.06), kernel_cylinder(&b, 0.01, 0.06));
    assert_near(kernel_volume(both), 12e-6 * M_PI - 16e-6 / 3, 1e-6, "both");
    kernel_free(both);
}

/* ---- revolved */

static void compare_revolved(tks_arena *arena, const char *name, tks_outline profile, double angle)
{
    tks_frame f = placed();
    tks_body *body = tks_body_new(arena);
    tks_error err = {0};
    must(tks_body_revolve(body, &f, &profile, angle, TKS_END, &err), &err);
    compare(name, body, kernel_revolve(&f, &profile, angle));
}

static void revolves(void **state)
{
    (void)state;
    static const tks_corner shallow[] = {
        {{0.002, 0}, 0, 0, TKS_END, -1},
        {{0.02, 0.001}, 0.0005, 0, TKS_OUTSIDE, -1},
        {{0.025, 0.03}, 0, -0.02, TKS_OUTSIDE, -1},
        {{0.004, 0.045}, 0, 2.5, TKS_OUTSIDE, -1},
        {{0.002, 0.044}, 0, 0, TKS_OUTSIDE, -1},
    };
    tks_arena *arena = tks_arena_new();
    static const double angles[] = {2 * M_PI, 0.3, 3.5};
    for (size_t i = 0; i < 3; i++) {
        compare_revolved(arena, "shaft", cornered(arena, shaft_profile, 8, false), angles[i]);
        compare_revolved(arena, "vase", cornered(arena, shallow, 5, false), angles[i]);
        compare_revolved(arena, "ring", circle(arena, 0.03, 0.01, 0.008, false), angles[i]);
    }
    tks_arena_free(arena);
}

/* ---- extruded */

static void extrudes(void **state)
{
    (void)state;
    static const tks_corner rim[] = {
        {{0, 0}, 0.003, 0, TKS_OUTSIDE, -1},
        {{0.06, 0}, 0, M_PI / 3, TKS_OUTSIDE, -1},
        {{0.06, 0.025}, 0, -0.4, TKS_OUTSIDE, -1},
        {{0, 0.025}, 0, 0, TKS_OUTSIDE, -1},
    };
    static const tks_corner slot[] = {
        {{0.045, 0.008}, 0, -M_PI, TKS_HOLE, -1},
        {{0.045, 0.014}, 0, 0, TKS_HOLE, -1},
        {{0.052, 0.014}, 0, -M_PI, TKS_HOLE, -1},
        {{0.052, 0.008}, 0, 0, TKS_HOLE, -1},
    };
    tks_arena *arena = tks_arena_new();
    tks_frame f = placed();
    tks_outline o[4] = {cornered(arena, rim, 4, false), circle(arena, 0.012, 0.0125, 0.0042, true),
                        circle(arena, 0.028, 0.0105, 0.008, true), cornered(arena, slot, 4, true)};
    for (size_t holes = 0; holes < 4; holes++) {
        tks_body *body = tks_body_new(arena);
        tks_error err = {0};
        must(tks_body_extrude(body, &f, o, holes + 1, 0.003, TKS_END, TKS_END, NULL, 0, &err),
             &err);
        compare("plate", body, kernel_prism(&f, o, holes + 1, 0.003));
    }
    tks_arena_free(arena);
}

/* The bracket of the other tests; its holes are drilled by cutting cylinders, placed by hand from
 * the legs' own sizes. */
static void drilled_strip(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_body *body = bracket(arena);
    static const double legs[] = {0.03, 0.04, 0.02}, angles[] = {M_PI / 2, -M_PI / 3};
    static const double radii[] = {0.002, 0.003};
    tks_outline strip = {NULL, 0, 0};
    tks_error err = {0};
    must(tks_outline_strip(arena, 0.002, legs, 3, angles, radii, &strip, &err), &err);
    tks_frame f = placed();
    kernel_solid *k = kernel_prism(&f, &strip, 1, 0.03);
    tks_frame first = {{0.02, -0.001, 0.015}, {0, 0, 1}, {1, 0, 0}, {0, 1, 0}};
    first = frame_compose(&f, &first);
    k = kernel_cut(k, kernel_cylinder(&first, 0.004, 0.004));
    /* The third leg: from the end of the second bend, heading 30 degrees. */
    double c = cos(M_PI / 6), s = sin(M_PI / 6), away[2] = {0.008, 0.012};
    double across[2] = {0.007, 0.023}, radius[2] = {0.003, 0.002};
    tks_vec2 from = strip.segments[4].from;
    for (int i = 0; i < 2; i++) {
        tks_frame hole = {
            {from.x + away[i] * c + 0.001 * s, from.y + away[i] * s - 0.001 * c, across[i]},
            {0, 0, 1},
            {c, s, 0},
            {-s, c, 0}};
        hole = frame_compose(&f, &hole);
        k = kernel_cut(k, kernel_cylinder(&hole, radius[i], 0.004));
    }
    compare("bent and drilled sheet", body, k);
    tks_arena_free(arena);
}

/* ---- swept */

static void compare_swept(tks_arena *arena, const char *name, const tks_step *steps, size_t count,
                          const tks_section *section, const tks_outline *outlines, size_t rings)
{
    tks_frame f = placed();
    tks_path path;
    tks_error err = {0};
    must(tks_path_walk(arena, &f, steps, count, &path, &err), &err);
    tks_body *body = tks_body_new(arena);
    must(tks_body_sweep(body, &path, section, &err), &err);
    compare(name, body, kernel_sweep(&path, outlines, rings));
}

static void sweeps(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_section rod = {.kind = TKS_ROUND, .radius = 0.004, .start = TKS_END, .end = TKS_END};
    tks_section tube = {.kind = TKS_TUBULAR,
                        .radius = 0.004,
                        .bore = 0.003,
                        .cavity = -1,
                        .inside = TKS_INSIDE,
                        .start = TKS_END,
                        .end = TKS_END};
    tks_section bar = {
        .kind = TKS_RECTANGULAR, .width = 0.008, .height = 0.003, .start = TKS_END, .end = TKS_END};
    tks_outline round[2] = {circle(arena, 0, 0, 0.004, false), circle(arena, 0, 0, 0.003, true)};
    static const tks_corner flat[] = {
        {{-0.004, -0.0015}, 0, 0, TKS_OUTSIDE, -1},
        {{0.004, -0.0015}, 0, 0, TKS_OUTSIDE, -1},
        {{0.004, 0.0015}, 0, 0, TKS_OUTSIDE, -1},
        {{-0.004, 0.0015}, 0, 0, TKS_OUTSIDE, -1},
    };
    tks_outline oblong = cornered(arena, flat, 4, false);
    compare_swept(arena, "bent rod", bends, 6, &rod, round, 1);
    compare_swept(arena, "bent tube", bends, 6, &tube, round, 2);
    compare_swept(arena, "bent bar", bends, 6, &bar, &oblong, 1);
    tks_arena_free(arena);
}

static void show_worst(void **state)
{
    (void)state;
    print_message("worst: area %.2e, volume %.2e\n", worst_area, worst_volume);
    assert_true(worst_area > 0 && worst_area <= 1e-9 && worst_volume <= 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kernel_itself), cmocka_unit_test(revolves), cmocka_unit_test(extrudes),
        cmocka_unit_test(drilled_strip), cmocka_unit_test(sweeps),   cmocka_unit_test(show_worst),
    };
    return cmocka_run_group_tests_name("geometry: areas against a B-rep kernel", tests, NULL, NULL);
}
