/* What cannot exist is refused with a plain message, and leaves the body as it was. */
#include "geometry/bodies.h"

#include "base/alloc.h"

#include <string.h>

static tks_arena *arena;
static tks_error err;

static int start(void **state)
{
    (void)state;
    arena = tks_arena_new();
    return arena ? 0 : -1;
}

static int stop(void **state)
{
    (void)state;
    tks_arena_free(arena);
    return 0;
}

static void refused(tks_status status, const char *part)
{
    if (status != TKS_EGEOMETRY) fail_msg("'%s' was not refused (%d)", part, (int)status);
    if (!strstr(err.text, part)) fail_msg("'%s' not in '%s'", part, err.text);
}

static tks_status polygon(const double *xy, size_t count, tks_outline *o)
{
    tks_corner c[8];
    for (size_t i = 0; i < count; i++)
        c[i] = (tks_corner){{xy[2 * i], xy[2 * i + 1]}, 0, 0, TKS_OUTSIDE, -1};
    return tks_outline_corners(arena, c, count, false, o, &err);
}

static void outlines(void **state)
{
    (void)state;
    tks_outline o = {NULL, 7, 0};
    static const double bow[] = {0, 0, 0.02, 0.01, 0.02, 0, 0, 0.01};
    static const double back[] = {0, 0, 0, 0.01, 0.02, 0.01, 0.02, 0};
    static const double spike[] = {0, 0, 0.02, 0, 0.03, 0, 0.02, 0, 0.02, 0.01, 0, 0.01};
    static const double touch[] = {0, 0, 0.02, 0, 0.02, 0.01, 0.01, 0, 0, 0.01};
    refused(polygon(bow, 4, &o), "crosses");
    refused(polygon(back, 4, &o), "anticlockwise");
    refused(polygon(spike, 6, &o), "crosses");
    refused(polygon(touch, 5, &o), "edge 1 meets edge 3");
    refused(polygon((const double[]){0, 0, 0, 0, 1, 1}, 3, &o), "same point");
    refused(polygon((const double[]){0, 0, NAN, 0, 1, 1}, 3, &o), "corner 2");
    refused(polygon((const double[]){0, 0, 1, 0, INFINITY, 1}, 3, &o), "corner 3");
    refused(polygon((const double[]){0, 0, 1e9, 0, 1, 1}, 3, &o), "1000 m");
    refused(polygon(bow, 1, &o), "2 corners");
    tks_corner tight[] = {{{0, 0}, 0, 0, TKS_OUTSIDE, -1},
                          {{0.02, 0}, 0, 0, TKS_OUTSIDE, -1},
                          {{0.02, 0.01}, 0.011, 0, TKS_OUTSIDE, -1},
                          {{0, 0.01}, 0, 0, TKS_OUTSIDE, -1}};
    refused(tks_outline_corners(arena, tight, 4, false, &o, &err),
            "corner 3: a radius of 11 mm does not fit");
    tight[2].round = -1;
    refused(tks_outline_corners(arena, tight, 4, false, &o, &err), "corner 3");
    tight[2].round = 0.001;
    tight[2].bulge = 1;
    refused(tks_outline_corners(arena, tight, 4, false, &o, &err), "straight edges");
    tight[2].round = 0;
    tight[2].bulge = 7;
    refused(tks_outline_corners(arena, tight, 4, false, &o, &err), "360 deg");
    refused(tks_outline_circle(arena, (tks_vec2){0, 0}, 0, false, TKS_HOLE, -1, &o, &err), "0 mm");
    refused(tks_outline_circle(arena, (tks_vec2){0, NAN}, 1, false, TKS_HOLE, -1, &o, &err),
            "circle");
    refused(tks_outline_circle(arena, (tks_vec2){0, 0}, NAN, false, TKS_HOLE, -1, &o, &err), "nan");
    assert_null(o.segments);
    assert_int_equal(o.count, 7);
}

/* Just fitting roundings, a full round end, and a lens of two arcs are sound. */
static void just_fits(void **state)
{
    (void)state;
    tks_corner round[] = {{{0, 0}, 0.005, 0, TKS_OUTSIDE, -1},
                          {{0.02, 0}, 0.005, 0, TKS_OUTSIDE, -1},
                          {{0.02, 0.01}, 0.005, 0, TKS_OUTSIDE, -1},
                          {{0, 0.01}, 0.005, 0, TKS_OUTSIDE, -1}};
    tks_outline o;
    must(tks_outline_corners(arena, round, 4, false, &o, &err), &err);
    assert_int_equal(o.count, 6);
    assert_near(tks_outline_area(&o), 1e-4 + M_PI * 25e-6, 1e-13, "stadium");
    tks_corner lens[] = {{{0, 0}, 0, 2, TKS_OUTSIDE, -1}, {{0.02, 0}, 0, 2, TKS_OUTSIDE, -1}};
    must(tks_outline_corners(arena, lens, 2, false, &o, &err), &err);
    double r = 0.01 / sin(1);
    assert_near(tks_outline_area(&o), r * r * (2 - sin(2)), 1e-13, "lens: by hand");
}

static void strips(void **state)
{
    (void)state;
    tks_outline o = {NULL, 0, 0};
    const double legs[] = {0.03, 0.01, 0.01, 0.05}, quarter[] = {M_PI / 2, M_PI / 2, M_PI / 2};
    const double radii[] = {0.001, 0.001, 0.001};
    refused(tks_outline_strip(arena, 0.002, legs, 4, quarter, radii, &o, &err), "touches itself");
    refused(tks_outline_strip(arena, 0, legs, 1, quarter, radii, &o, &err), "thickness of 0 mm");
    refused(tks_outline_strip(arena, 0.002, legs, 0, quarter, radii, &o, &err), "leg");
    refused(tks_outline_strip(arena, 0.002, legs, 2, (const double[]){3.2}, radii, &o, &err),
            "bend 1");
    refused(tks_outline_strip(arena, 0.002, legs, 2, (const double[]){NAN}, radii, &o, &err),
            "bend 1");
    refused(tks_outline_strip(arena, 0.002, legs, 2, quarter, (const double[]){-1}, &o, &err),
            "inside radius of -1000 mm");
    refused(
        tks_outline_strip(arena, 0.002, (const double[]){0.01, -0.01}, 2, quarter, radii, &o, &err),
        "leg 2");
    must(tks_outline_strip(arena, 0.002, legs, 2, (const double[]){M_PI}, radii, &o, &err), &err);
}

static void revolves(void **state)
{
    (void)state;
    tks_body *body = tks_body_new(arena);
    tks_frame f = frame_identity();
    tks_outline o = {NULL, 0, 0};
    must(polygon((const double[]){0.01, 0, 0.02, 0, 0.02, 0.01}, 3, &o), &err);
    static const double bad[] = {0, -1, 6.3, NAN};
    for (size_t i = 0; i < 4; i++)
        refused(tks_body_revolve(body, &f, &o, bad[i], TKS_END, &err), "turn");
    must(polygon((const double[]){-0.01, 0, 0.02, 0, 0.02, 0.01}, 3, &o), &err);
    refused(tks_body_revolve(body, &f, &o, 1, TKS_END, &err), "crosses the axis");
    tks_outline none = {NULL, 0, 0}, open = {o.segments, 2, 0};
    refused(tks_body_revolve(body, &f, &none, 1, TKS_END, &err), "no edges");
    refused(tks_body_revolve(body, &f, &open, 1, TKS_END, &err), "not closed");
    f.x.x = 2;
    refused(tks_body_revolve(body, &f, &o, 1, TKS_END, &err), "axes");
    assert_int_equal(body->patch_count + body->solid_count, 0);
}

static tks_status plate_with(tks_body *body, const tks_vec2 *at, const double *radius, size_t n)
{
    tks_outline o[4] = {{NULL, 0, 0}};
    tks_frame f = frame_identity();
    must(polygon((const double[]){0, 0, 0.06, 0, 0.06, 0.03, 0, 0.03}, 4, &o[0]), &err);
    for (size_t i = 0; i < n; i++)
        must(tks_outline_circle(arena, at[i], radius[i], true, TKS_HOLE, -1, &o[i + 1], &err),
             &err);
    return tks_body_extrude(body, &f, o, n + 1, 0.002, TKS_END, TKS_END, NULL, 0, &err);
}

static void plates(void **state)
{
    (void)state;
    tks_body *body = tks_body_new(arena);
    static const double radius[] = {0.005, 0.005, 0.002};
    static const tks_vec2 outside[] = {{0.02, 0.015}, {0.09, 0.015}};
    static const tks_vec2 edge[] = {{0.02, 0.015}, {0.055, 0.015}};
    static const tks_vec2 overlap[] = {{0.02, 0.015}, {0.029, 0.015}};
    static const tks_vec2 touching[] = {{0.02, 0.015}, {0.03, 0.015}};
    static const tks_vec2 nested[] = {{0.02, 0.015}, {0.04, 0.015}, {0.041, 0.015}};
    refused(plate_with(body, outside, radius, 2), "hole 2 does not lie inside");
    refused(plate_with(body, edge, radius, 2), "hole 2 does not lie inside");
    refused(plate_with(body, overlap, radius, 2), "hole 1 and hole 2 touch");
    refused(plate_with(body, touching, radius, 2), "hole 1 and hole 2 touch");
    refused(plate_with(body, nested, radius, 3), "hole 2 and hole 3 touch");
    tks_outline o[2];
    tks_frame f = frame_identity();
    must(polygon((const double[]){0, 0, 0.06, 0, 0.06, 0.03, 0, 0.03}, 4, &o[0]), &err);
    static const double lengths[] = {0, -1, NAN, INFINITY, 1e-9};
    for (size_t i = 0; i < 5; i++)
        refused(tks_body_extrude(body, &f, o, 1, lengths[i], TKS_END, TKS_END, NULL, 0, &err),
                "length");
    must(
        tks_outline_circle(arena, (tks_vec2){0.02, 0.015}, 0.005, false, TKS_HOLE, -1, &o[1], &err),
        &err);
    refused(tks_body_extrude(body, &f, o, 2, 0.01, TKS_END, TKS_END, NULL, 0, &err),
            "hole 1 runs the wrong way");
    assert_int_equal(body->patch_count + body->solid_count, 0);
}

static void pierces(void **state)
{
    (void)state;
    tks_body *body = tks_body_new(arena);
    tks_frame f = frame_identity();
    tks_outline o[2];
    must(polygon((const double[]){0, 0, 0.06, 0, 0.06, 0.03, 0, 0.03}, 4, &o[0]), &err);
    must(tks_outline_circle(arena, (tks_vec2){0.04, 0.015}, 0.004, true, TKS_HOLE, -1, &o[1], &err),
         &err);
    static const struct {
        tks_pierce p[2];
        size_t count;
        const char *says;
    } bad[] = {
        {{{0, 1, 0.01, 0.01, 0.002, TKS_HOLE, -1}}, 1, "parallel"},
        {{{0, 9, 0.01, 0.01, 0.002, TKS_HOLE, -1}}, 1, "parallel"},
        {{{0, 2, 0.001, 0.01, 0.002, TKS_HOLE, -1}}, 1, "leaves its side"},
        {{{0, 2, 0.01, 0.019, 0.002, TKS_HOLE, -1}}, 1, "leaves its side"},
        {{{0, 2, NAN, 0.01, 0.002, TKS_HOLE, -1}}, 1, "leaves its side"},
        {{{0, 2, 0.01, 0.01, 0, TKS_HOLE, -1}}, 1, "leaves its side"},
        {{{0, 2, 0.035, 0.01, 0.002, TKS_HOLE, -1}}, 1, "runs into"},
        {{{0, 2, 0.01, 0.01, 0.002, TKS_HOLE, -1}, {0, 2, 0.013, 0.01, 0.002, TKS_HOLE, -1}},
         2,
         "side hole 1 and side hole 2 touch"},
        {{{0, 2, 0.01, 0.01, 0.002, TKS_HOLE, -1}, {1, 3, 0.01, 0.012, 0.002, TKS_HOLE, -1}},
         2,
         "side hole 2 runs into"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        refused(
            tks_body_extrude(body, &f, o, 2, 0.02, TKS_END, TKS_END, bad[i].p, bad[i].count, &err),
            bad[i].says);
    assert_int_equal(body->patch_count + body->solid_count, 0);
}

static void paths(void **state)
{
    (void)state;
    tks_frame f = frame_identity();
    tks_path path = {.count = 9};
    static const struct {
        tks_step step;
        const char *says;
    } bad[] = {
        {{TKS_STEP_STRAIGHT, 0, 0, 0, 0, 0, 0}, "step 2: a straight"},
        {{TKS_STEP_STRAIGHT, NAN, 0, 0, 0, 0, 0}, "step 2: a straight"},
        {{TKS_STEP_BEND, 0, 0, 0.01, 0, 0, 0}, "step 2: an angle"},
        {{TKS_STEP_BEND, 0, 7, 0.01, 0, 0, 0}, "step 2: an angle"},
        {{TKS_STEP_BEND, 0, 1, 0, 0, 0, 0}, "step 2: a radius"},
        {{TKS_STEP_TURN, 0, INFINITY, 0, 0, 0, 0}, "step 2: a turn"},
        {{TKS_STEP_COIL, 0, 30, 0.01, -0.01, 0.01, 1}, "step 2: pitches"},
        {{TKS_STEP_COIL, 0, 30, 0.01, 0.01, 0.01, 0}, "step 2: a coil"},
        {{TKS_STEP_COIL, 0, 1e9, 0.01, 0.01, 0.01, 1}, "step 2: an angle"},
        {{TKS_STEP_STRAIGHT, 1e4, 0, 0, 0, 0, 0}, "step 2: a straight"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        tks_step steps[2] = {{TKS_STEP_STRAIGHT, 0.01, 0, 0, 0, 0, 0}, bad[i].step};
        refused(tks_path_walk(arena, &f, steps, 2, &path, &err), bad[i].says);
    }
    refused(tks_path_walk(arena, &f, NULL, 0, &path, &err), "a path needs");
    static const double fold[] = {0, 0, 0, 0.1, 0, 0, 0.05, 0, 0};
    static const double wide[] = {0, 0, 0, 0.1, 0, 0, 0.1, 0.1, 0}, same[] = {1, 2, 3, 1, 2, 3};
    refused(tks_path_corners(arena, fold, (const double[]){0, 0.01, 0}, 3, &path, &err), "folds");
    refused(tks_path_corners(arena, wide, (const double[]){0, 0.11, 0}, 3, &path, &err),
            "corner 2: a radius of 110 mm does not fit");
    refused(tks_path_corners(arena, wide, (const double[]){0, 0, 0}, 3, &path, &err), "corner 2");
    refused(tks_path_corners(arena, same, (const double[]){0, 0}, 2, &path, &err), "same point");
    refused(tks_path_corners(arena, same, NULL, 1, &path, &err), "2 corners");
    assert_int_equal(path.count, 9);
}

static void sweeps(void **state)
{
    (void)state;
    tks_frame f = frame_identity();
    static const tks_step bend[] = {{TKS_STEP_BEND, 0, 1, 0.01, 0, 0, 0}};
    static const tks_step coil[] = {{TKS_STEP_COIL, 0, 20, 0.01, 0.003, 0.003, 1}};
    tks_path bent, coiled;
    must(tks_path_walk(arena, &f, bend, 1, &bent, &err), &err);
    must(tks_path_walk(arena, &f, coil, 1, &coiled, &err), &err);
    static const struct {
        bool coil;
        tks_section section;
        const char *says;
    } bad[] = {
        {false, {.kind = TKS_ROUND, .radius = 0.011}, "tighter than the section"},
        {false,
         {.kind = TKS_RECTANGULAR, .width = 0.021, .height = 0.1},
         "tighter than the section"},
        {false, {.kind = TKS_ROUND, .radius = 0}, "0 mm diameter"},
        {false, {.kind = TKS_ROUND, .radius = NAN}, "nan mm diameter"},
        {false, {.kind = TKS_TUBULAR, .radius = 0.002, .bore = 0.002}, "no wall"},
        {false, {.kind = TKS_TUBULAR, .radius = 0.002, .bore = -0.001}, "no wall"},
        {false, {.kind = TKS_RECTANGULAR, .width = 0.01, .height = 0}, "10 by 0 mm"},
        {true, {.kind = TKS_ROUND, .radius = 0.0016}, "run into one another"},
        {true, {.kind = TKS_RECTANGULAR, .width = 0.001, .height = 0.1}, "round wire"},
    };
    tks_body *body = tks_body_new(arena);
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        refused(tks_body_sweep(body, bad[i].coil ? &coiled : &bent, &bad[i].section, &err),
                bad[i].says);
    assert_int_equal(body->patch_count + body->solid_count, 0);
    tks_section touching = {.kind = TKS_ROUND, .radius = 0.0015};
    must(tks_body_sweep(body, &coiled, &touching, &err), &err); /* a closed coil's turns touch */
}

/* A rod that comes back to itself; one that passes by; one whose legs touch. */
static void through_itself(void **state)
{
    (void)state;
    tks_frame f = frame_identity();
    tks_body *body = tks_body_new(arena);
    tks_section rod = {.kind = TKS_ROUND, .radius = 0.004};
    static const struct {
        double first, turn, radius, angle, last;
        const char *says; /* NULL: sound */
    } rows[] = {
        {0.05, 0, 0.02, 1.5 * M_PI, 0.05, "stretch 1 meets stretch 3"},
        {0.05, 0, 0.02, M_PI, 0.05, NULL},
        {0.05, 0, 0.004, M_PI, 0.05, NULL},
        {0.05, 0, 0.01, 1.8 * M_PI, 0.001, "stretch 1 meets stretch 2"},
        {0.01, 0, 0.02, 1.5 * M_PI, 0.01, NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const tks_step steps[] = {{TKS_STEP_STRAIGHT, rows[i].first, 0, 0, 0, 0, 0},
                                  {TKS_STEP_BEND, 0, rows[i].angle, rows[i].radius, 0, 0, 0},
                                  {TKS_STEP_STRAIGHT, rows[i].last, 0, 0, 0, 0, 0}};
        tks_path path;
        must(tks_path_walk(arena, &f, steps, 3, &path, &err), &err);
        tks_status status = tks_body_sweep(body, &path, &rod, &err);
        if (rows[i].says)
            refused(status, rows[i].says);
        else
            must(status, &err);
    }
    /* Quarter bends go round a square: the fourth ends where the first straight begins. Lifted out
     * of the plane half way, they pass by. */
    for (int lifted = 0; lifted < 2; lifted++) {
        tks_step steps[11];
        size_t n = 0;
        for (int i = 0; i < 5; i++) {
            steps[n++] = (tks_step){TKS_STEP_STRAIGHT, 0.06, 0, 0, 0, 0, 0};
            if (lifted && i == 2) steps[n++] = (tks_step){TKS_STEP_TURN, 0, 0.3, 0, 0, 0, 0};
            steps[n++] = (tks_step){TKS_STEP_BEND, 0, M_PI / 2, 0.02, 0, 0, 0};
        }
        tks_path path;
        must(tks_path_walk(arena, &f, steps, n, &path, &err), &err);
        tks_status status = tks_body_sweep(body, &path, &rod, &err);
        if (lifted)
            must(status, &err);
        else
            refused(status, "stretch 1 meets stretch 8");
    }
}

static void cavities(void **state)
{
    (void)state;
    tks_body *body = tks_body_new(arena);
    int index = 5;
    refused(tks_body_cavity(body, (tks_cavity){TKS_BORE, 0, 1, 1}, &index, &err), "cavity");
    refused(tks_body_cavity(body, (tks_cavity){TKS_BORE, 1, NAN, 1}, &index, &err), "cavity");
    refused(tks_body_cavity(body, (tks_cavity){TKS_BORE, 1, 1, 3}, &index, &err), "3 mouths");
    assert_int_equal(index, 5);
    for (int i = 0; i < 20; i++) {
        must(tks_body_cavity(body, (tks_cavity){TKS_GAP, 1e-3 * (i + 1), 1, 2}, &index, &err),
             &err);
        assert_int_equal(index, i);
    }
    assert_near(body->cavities[3].width, 4e-3, 1e-15, "kept as the list grows");
}

/* Every block that an arena asks for is refused in turn, while bodies of all kinds are made in one
 * arena small enough to grow. */
static tks_status make_much(tks_arena *into)
{
    tks_body *body = tks_body_new(into);
    if (!body) return TKS_EMEMORY;
    tks_frame f = frame_identity();
    enum { HOLES = 100 };
    tks_outline o[HOLES + 1];
    static const double legs[] = {2, 0.04}, angles[] = {M_PI / 2}, radii[] = {0.002};
    static const tks_pierce hole = {0, 6, 0.02, 0.015, 0.004, TKS_HOLE, -1};
    tks_status status = tks_outline_strip(into, 0.02, legs, 2, angles, radii, &o[0], &err);
    if (!status) status = tks_body_extrude(body, &f, o, 1, 0.03, TKS_END, TKS_END, &hole, 1, &err);
    for (size_t i = 1; !status && i <= HOLES; i++)
        status = tks_outline_circle(into, (tks_vec2){0.015 * (double)i + 0.1, 0.01}, 0.005, true,
                                    TKS_HOLE, -1, &o[i], &err);
    size_t before = body->patch_count;
    if (!status)
        status = tks_body_extrude(body, &f, o, HOLES + 1, 0.03, TKS_END, TKS_END, NULL, 0, &err);
    assert_true(!status || body->patch_count == before);
    tks_path path;
    tks_section s = {.kind = TKS_TUBULAR, .radius = 0.004, .bore = 0.001, .inside = TKS_INSIDE};
    for (int i = 0; !status && i < 30; i++) {
        status = tks_path_walk(into, &f, bends, 6, &path, &err);
        if (!status) status = tks_body_sweep(body, &path, &s, &err);
    }
    return status;
}

static void short_of_memory(void **state)
{
    (void)state;
    tks_status status = TKS_EMEMORY;
    long nth = 1;
    for (; status; nth++) {
        tks_arena *small = tks_arena_new();
        base_alloc_fail_at(nth);
        status = make_much(small);
        base_alloc_fail_at(0);
        assert_true(status == TKS_OK || status == TKS_EMEMORY);
        tks_arena_free(small);
    }
    assert_true(nth > 5); /* some were refused */
}

#define WITH(test) cmocka_unit_test_setup_teardown(test, start, stop)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH(outlines),       WITH(just_fits), WITH(strips),          WITH(revolves),
        WITH(plates),         WITH(pierces),   WITH(paths),           WITH(sweeps),
        WITH(through_itself), WITH(cavities),  WITH(short_of_memory),
    };
    return cmocka_run_group_tests_name("geometry: refusals", tests, NULL, NULL);
}
