/* Areas and volumes of the generators against closed forms. */
#include "support/near.h"

#include "base/sum.h"
#include "base/vec.h"
#include "tankside/geometry.h"

static tks_arena *arena;
static tks_body *body;
static tks_frame here;

static int start(void **state)
{
    (void)state;
    arena = tks_arena_new();
    body = tks_body_new(arena);
    here = frame_identity();
    return body ? 0 : -1;
}

static int stop(void **state)
{
    (void)state;
    tks_arena_free(arena);
    return 0;
}

static tks_outline corners(const tks_corner *c, size_t count)
{
    tks_outline o = {NULL, 0, 0};
    tks_error err = {0};
    if (tks_outline_corners(arena, c, count, false, &o, &err)) fail_msg("%s", err.text);
    return o;
}

static void revolve(const tks_corner *c, size_t count, double angle)
{
    tks_outline o = corners(c, count);
    tks_error err = {0};
    if (tks_body_revolve(body, &here, &o, angle, TKS_END, &err)) fail_msg("%s", err.text);
}

static void cylinder_and_tube(void **state)
{
    (void)state;
    const tks_corner rod[] = {{{0, 0}, 0, 0, TKS_END, -1},
                              {{0.004, 0}, 0, 0, TKS_OUTSIDE, -1},
                              {{0.004, 0.17}, 0, 0, TKS_END, -1},
                              {{0, 0.17}, 0, 0, TKS_OUTSIDE, -1}};
    revolve(rod, 4, 2 * M_PI);
    assert_near(tks_body_area(body, TKS_OUTSIDE), 2 * M_PI * 0.004 * 0.17, 1e-14, "2 pi r h");
    assert_near(tks_body_area(body, TKS_END), 2 * M_PI * 0.004 * 0.004, 1e-14, "2 pi r^2");
    assert_near(tks_body_wetted(body), 43.73e-4, 1e-3,
                "a rod 8 mm by 170 mm is about 43 cm2 (common practice, no source)");
    assert_near(body->volume, M_PI * 0.004 * 0.004 * 0.17, 1e-14, "pi r^2 h");
    assert_int_equal(body->patch_count, 3); /* the stretch on the axis makes no surface */
}

/* A thin tube far out: r^2 differences must not lose digits. */
static void thin_tube(void **state)
{
    (void)state;
    double r = 0.5, t = 1e-4, h = 0.3;
    const tks_corner tube[] = {{{r - t, 0}, 0, 0, TKS_END, -1},
                               {{r, 0}, 0, 0, TKS_OUTSIDE, -1},
                               {{r, h}, 0, 0, TKS_END, -1},
                               {{r - t, h}, 0, 0, TKS_INSIDE, -1}};
    revolve(tube, 4, 2 * M_PI);
    assert_near(body->volume, M_PI * t * (2 * r - t) * h, 1e-12, "pi (R^2 - r^2) h");
    assert_near(tks_body_area(body, TKS_INSIDE), 2 * M_PI * (r - t) * h, 1e-14, "bore");
    assert_near(tks_body_area(body, TKS_END), 2 * M_PI * t * (2 * r - t), 1e-12, "end rings");
}

/* Bronshtein et al., Handbook of Mathematics, solids: frustum pi (R + r) l, cap 2 pi R h,
 * volumes pi h (R^2 + R r + r^2)/3 and pi h^2 (3 R - h)/3. */
static void frustum_and_cap(void **state)
{
    (void)state;
    const tks_corner frustum[] = {{{0, 0}, 0, 0, TKS_END, -1},
                                  {{0.03, 0}, 0, 0, TKS_OUTSIDE, -1},
                                  {{0, 0.04}, 0, 0, TKS_OUTSIDE, -1}};
    revolve(frustum, 3, 2 * M_PI);
    assert_near(tks_body_area(body, TKS_OUTSIDE), 47.12388980384690e-4, 1e-14,
                "3-4-5 cone, 15 pi: by hand");
    assert_near(body->volume, M_PI * 0.04 * 0.0009 / 3, 1e-14, "cone");
    double R = 0.05, h = 0.001, a = sqrt(h * (2 * R - h)), half = asin(a / R);
    const tks_corner cap[] = {{{0, 0}, 0, 0, TKS_END, -1},
                              {{a, 0}, 0, half, TKS_OUTSIDE, -1},
                              {{0, h}, 0, 0, TKS_OUTSIDE, -1}};
    tks_body *dome = tks_body_new(arena);
    tks_outline o = corners(cap, 3);
    assert_int_equal(tks_body_revolve(dome, &here, &o, 2 * M_PI, TKS_END, NULL), TKS_OK);
    assert_near(tks_body_area(dome, TKS_OUTSIDE), 2 * M_PI * R * h, 1e-12, "cap 2 pi R h");
    assert_near(dome->volume, M_PI * h * h * (3 * R - h) / 3, 1e-12, "cap volume");
}

/* Archimedes; Pappus: torus 4 pi^2 R r and 2 pi^2 R r^2. */
static void sphere_and_ring(void **state)
{
    (void)state;
    const tks_corner sphere[] = {{{0, -0.02}, 0, M_PI, TKS_OUTSIDE, -1},
                                 {{0, 0.02}, 0, 0, TKS_OUTSIDE, -1}};
    revolve(sphere, 2, 2 * M_PI);
    assert_near(tks_body_wetted(body), 4 * M_PI * 4e-4, 1e-14, "sphere");
    assert_near(body->volume, 4 * M_PI * 8e-6 / 3, 1e-14, "ball");
    tks_body *ring = tks_body_new(arena);
    tks_outline circle;
    tks_outline_circle(arena, (tks_vec2){0.1, 0.7}, 0.01, false, TKS_OUTSIDE, -1, &circle, NULL);
    assert_int_equal(tks_body_revolve(ring, &here, &circle, 2 * M_PI, TKS_END, NULL), TKS_OK);
    assert_near(tks_body_wetted(ring), 4 * M_PI * M_PI * 1e-3, 1e-14, "torus");
    assert_near(ring->volume, 2 * M_PI * M_PI * 1e-5, 1e-12, "torus volume");
    tks_body *part = tks_body_new(arena);
    assert_int_equal(tks_body_revolve(part, &here, &circle, 1.25, TKS_END, NULL), TKS_OK);
    assert_near(tks_body_area(part, TKS_OUTSIDE), 1.25 * 2 * M_PI * 1e-3, 1e-14, "elbow");
    assert_near(tks_body_area(part, TKS_END), 2 * M_PI * 1e-4, 1e-14, "its two faces");
}

/* A concave fillet: quarter arc of radius f between a shaft r and a flange. Area of the arc's
 * surface 2 pi f ((r + f) pi/2 - f), by integrating 2 pi x ds: by hand. */
static void concave_fillet(void **state)
{
    (void)state;
    double r = 0.01, f = 0.002;
    const tks_corner profile[] = {{{0, 0}, 0, 0, TKS_END, -1},
                                  {{0.02, 0}, 0, 0, TKS_OUTSIDE, -1},
                                  {{0.02, 0.003}, 0, 0, TKS_OUTSIDE, -1},
                                  {{r + f, 0.003}, 0, -M_PI / 2, TKS_THREAD, -1},
                                  {{r, 0.003 + f}, 0, 0, TKS_OUTSIDE, -1},
                                  {{r, 0.03}, 0, 0, TKS_END, -1},
                                  {{0, 0.03}, 0, 0, TKS_OUTSIDE, -1}};
    revolve(profile, 7, 2 * M_PI);
    assert_near(tks_body_area(body, TKS_THREAD), 2 * M_PI * f * ((r + f) * M_PI / 2 - f), 1e-14,
                "fillet");
}

static void plate_with_holes(void **state)
{
    (void)state;
    const tks_corner c[] = {{{0, 0}, 0.003, 0, TKS_OUTSIDE, -1},
                            {{0.06, 0}, 0.003, 0, TKS_OUTSIDE, -1},
                            {{0.06, 0.025}, 0.003, 0, TKS_OUTSIDE, -1},
                            {{0, 0.025}, 0.003, 0, TKS_OUTSIDE, -1}};
    tks_outline o[3] = {corners(c, 4)};
    for (int i = 1; i < 3; i++)
        tks_outline_circle(arena, (tks_vec2){0.02 * i, 0.0125}, 0.0042, true, TKS_HOLE, -1, &o[i],
                           NULL);
    assert_int_equal(
        tks_body_extrude(body, &here, o, 3, 0.003, TKS_OUTSIDE, TKS_OUTSIDE, NULL, 0, NULL),
        TKS_OK);
    double face = 0.06 * 0.025 - (4 - M_PI) * 9e-6 - 2 * M_PI * 0.0042 * 0.0042;
    double rim = 2 * (0.054 + 0.019) + 2 * M_PI * 0.003;
    assert_near(tks_body_area(body, TKS_OUTSIDE), 2 * face + rim * 0.003, 1e-13,
                "rounded plate: by hand");
    assert_near(tks_body_area(body, TKS_HOLE), 4 * M_PI * 0.0042 * 0.003, 1e-13, "hole walls");
    assert_near(body->volume, face * 0.003, 1e-13, "plate volume");
}

/* A bent strip: section (sum of legs) t + sum of angles (r + t/2) t, as the neutral fibre of an
 * unstretched middle would give: by hand from annular sectors. */
static void bent_strip(void **state)
{
    (void)state;
    const double legs[] = {0.03, 0.04, 0.02}, angles[] = {M_PI / 2, -M_PI / 3};
    const double radii[] = {0.002, 0.003}, t = 0.002;
    tks_outline o;
    tks_error err = {0};
    if (tks_outline_strip(arena, t, legs, 3, angles, radii, &o, &err)) fail_msg("%s", err.text);
    double section = 0.09 * t + M_PI / 2 * 0.003 * t + M_PI / 3 * 0.004 * t;
    assert_near(tks_outline_area(&o), section, 1e-13, "section");
    assert_near(tks_outline_length(&o), 2 * 0.09 + M_PI / 2 * 0.006 + M_PI / 3 * 0.008 + 2 * t,
                1e-13, "girth");
    assert_int_equal(o.count, 12);
    for (size_t i = 0; i < 3; i++) { /* as the header numbers the faces of a leg */
        assert_near(tks_segment_length(&o.segments[2 * i]), legs[i], 1e-13, "right face");
        assert_near(tks_segment_length(&o.segments[10 - 2 * i]), legs[i], 1e-13, "left face");
    }
    tks_pierce hole = {2, 8, 0.02, 0.01, 0.003, TKS_HOLE, -1};
    if (tks_body_extrude(body, &here, &o, 1, 0.02, TKS_END, TKS_END, &hole, 1, &err))
        fail_msg("%s", err.text);
    double drilled = M_PI * 9e-6;
    assert_near(body->volume, section * 0.02 - drilled * t, 1e-13, "volume");
    assert_near(tks_body_area(body, TKS_HOLE), 2 * M_PI * 0.003 * t, 1e-13, "hole wall");
    assert_near(tks_body_area(body, TKS_OUTSIDE), tks_outline_length(&o) * 0.02 - 2 * drilled,
                1e-13, "sides");
    assert_near(tks_body_area(body, TKS_END), 2 * section, 1e-13, "edges");
}

/* A pin welded on covers a disc of its side, and no more. */
static void pierce_as_joint(void **state)
{
    (void)state;
    const tks_corner c[] = {{{0, 0}, 0, 0, TKS_OUTSIDE, -1},
                            {{0.02, 0}, 0, 0, TKS_OUTSIDE, -1},
                            {{0.02, 0.01}, 0, 0, TKS_OUTSIDE, -1},
                            {{0, 0.01}, 0, 0, TKS_OUTSIDE, -1}};
    tks_outline o = corners(c, 4);
    tks_pierce joint = {0, 2, 0.01, 0.015, 0.002, TKS_JOINT, -1};
    assert_int_equal(
        tks_body_extrude(body, &here, &o, 1, 0.03, TKS_END, TKS_JOINT, &joint, 1, NULL), TKS_OK);
    assert_near(tks_body_area(body, TKS_OUTSIDE), 0.06 * 0.03 - M_PI * 4e-6, 1e-13, "sides");
    assert_near(tks_body_area(body, TKS_END), 2e-4, 1e-13, "one end: the other is a joint");
    assert_near(body->volume, 6e-6, 1e-13, "volume");
}

static void bent_rod_and_tube(void **state)
{
    (void)state;
    const tks_step steps[] = {
        {TKS_STEP_STRAIGHT, 0.06, 0, 0, 0, 0, 0},    {TKS_STEP_BEND, 0, M_PI / 2, 0.02, 0, 0, 0},
        {TKS_STEP_STRAIGHT, 0.04, 0, 0, 0, 0, 0},    {TKS_STEP_TURN, 0, M_PI / 2, 0, 0, 0, 0},
        {TKS_STEP_BEND, 0, M_PI / 4, 0.02, 0, 0, 0}, {TKS_STEP_STRAIGHT, 0.03, 0, 0, 0, 0, 0}};
    tks_path path;
    assert_int_equal(tks_path_walk(arena, &here, steps, 6, &path, NULL), TKS_OK);
    double length = 0.13 + 0.02 * 3 * M_PI / 4;
    assert_near(path.length, length, 1e-14, "centreline: straights plus angle times radius");
    tks_section rod = {.kind = TKS_ROUND, .radius = 0.004, .start = TKS_END, .end = TKS_END};
    assert_int_equal(tks_body_sweep(body, &path, &rod, NULL), TKS_OK);
    assert_near(tks_body_area(body, TKS_OUTSIDE), 2 * M_PI * 0.004 * length, 1e-13, "2 pi r L");
    assert_near(body->volume, M_PI * 16e-6 * length, 1e-13, "pi r^2 L");
    tks_body *tube = tks_body_new(arena);
    tks_section section = {.kind = TKS_TUBULAR,
                           .radius = 0.004,
                           .bore = 0.003,
                           .cavity = -1,
                           .inside = TKS_INSIDE,
                           .start = TKS_END,
                           .end = TKS_END};
    assert_int_equal(tks_body_sweep(tube, &path, &section, NULL), TKS_OK);
    assert_near(tks_body_area(tube, TKS_INSIDE), 2 * M_PI * 0.003 * length, 1e-13, "bore");
    assert_near(tks_body_area(tube, TKS_END), 2 * M_PI * 7e-6, 1e-13, "end rings");
    assert_near(tube->volume, M_PI * 7e-6 * length, 1e-13, "tube volume");
}

/* The same walk, given as corners in space: the trims are R tan(angle/2). */
static void path_through_corners(void **state)
{
    (void)state;
    double trim = 0.02, second = 0.02 * tan(M_PI / 8), c = sqrt(0.5);
    double p[4][3] = {
        {0, 0, 0},
        {0, 0, 0.06 + trim},
        {0.04 + trim + second, 0, 0.06 + trim},
        {0.04 + trim + second + (0.03 + second) * c, -(0.03 + second) * c, 0.06 + trim}};
    const double radii[] = {0, 0.02, 0.02, 0};
    tks_path path;
    tks_error err = {0};
    if (tks_path_corners(arena, p[0], radii, 4, &path, &err)) fail_msg("%s", err.text);
    assert_int_equal(path.count, 5);
    assert_near(path.length, 0.13 + 0.02 * 3 * M_PI / 4, 1e-13, "length");
    assert_near(path.end.origin.x, p[3][0], 1e-13, "end x");
    assert_near(path.end.origin.y, p[3][1], 1e-13, "end y");
}

/* A rectangular bar bent: Pappus with the section's centroid on the path; the bar's flat sides are
 * annular sectors, the others cylinders. Turned by a quarter between the bends, it bends the other
 * way of its section. */
static void bent_bar(void **state)
{
    (void)state;
    const tks_step steps[] = {{TKS_STEP_BEND, 0, M_PI / 2, 0.03, 0, 0, 0},
                              {TKS_STEP_TURN, 0, M_PI / 2, 0, 0, 0, 0},
                              {TKS_STEP_BEND, 0, M_PI / 3, 0.05, 0, 0, 0}};
    tks_path path;
    assert_int_equal(tks_path_walk(arena, &here, steps, 3, &path, NULL), TKS_OK);
    double w = 0.01, h = 0.004;
    tks_section bar = {
        .kind = TKS_RECTANGULAR, .width = w, .height = h, .start = TKS_END, .end = TKS_END};
    assert_int_equal(tks_body_sweep(body, &path, &bar, NULL), TKS_OK);
    double length = 0.03 * M_PI / 2 + 0.05 * M_PI / 3;
    assert_near(tks_body_area(body, TKS_OUTSIDE), 2 * (w + h) * length, 1e-13, "girth times L");
    assert_near(body->volume, w * h * length, 1e-13, "section times L");
    double outer = M_PI / 2 * 0.035 * h, second = M_PI / 3 * 0.052 * w;
    assert_near(body->patches[0].area, outer * 0.025 / 0.035, 1e-13,
                "inner face of the first bend");
    assert_near(body->patches[2].area, outer, 1e-13, "outer face of the first bend");
    double largest = 0;
    for (size_t i = 4; i < 8; i++) largest = fmax(largest, body->patches[i].area);
    assert_near(largest, second, 1e-13,
                "outer face of the second bend: the section has not turned");
}

/* Constant pitch: length 2 pi n sqrt(R^2 + (p/2 pi)^2) (any spring handbook). Changing pitch:
 * against Simpson's rule with 20,000 intervals. */
static double simpson_coil(double radius, double angle, double p0, double p1)
{
    base_sum sum = {0, 0};
    int n = 20000;
    for (int i = 0; i <= n; i++) {
        double h = (p0 + (p1 - p0) * i / n) / (2 * M_PI);
        base_sum_add(&sum, hypot(radius, h) * (i == 0 || i == n ? 1 : i % 2 ? 4 : 2));
    }
    return base_sum_total(&sum) * angle / n / 3;
}

static void springs(void **state)
{
    (void)state;
    static const double pitches[][2] = {
        {0.005, 0.005}, {0.003, 0.009}, {0.003, 0.003000001}, {0.004, 0.2}, {0.2, 0.004}};
    for (size_t i = 0; i < 5; i++) {
        const tks_step coil = {TKS_STEP_COIL, 0, 13, 0.01, pitches[i][0], pitches[i][1], 1};
        tks_path path;
        assert_int_equal(tks_path_walk(arena, &here, &coil, 1, &path, NULL), TKS_OK);
        assert_near(path.length, simpson_coil(0.01, 13, pitches[i][0], pitches[i][1]), 1e-13,
                    "coil length");
        tks_section wire = {.kind = TKS_ROUND, .radius = 0.001, .start = TKS_END, .end = TKS_END};
        tks_body *spring = tks_body_new(arena);
        assert_int_equal(tks_body_sweep(spring, &path, &wire, NULL), TKS_OK);
        assert_near(tks_body_area(spring, TKS_OUTSIDE), 2 * M_PI * 0.001 * path.length, 1e-14,
                    "tube about a curve (Gray, Tubes, 2004, ch. 1)");
    }
    const tks_step plain = {TKS_STEP_COIL, 0, 20 * M_PI, 0.01, 0.005, 0.005, -1};
    tks_path path;
    tks_path_walk(arena, &here, &plain, 1, &path, NULL);
    assert_near(path.length, 10 * hypot(2 * M_PI * 0.01, 0.005), 1e-14, "spring handbook");
}

/* A chain link: two straights and two half turns; closed, so no ends. */
static void chain_link(void **state)
{
    (void)state;
    const tks_step steps[] = {{TKS_STEP_STRAIGHT, 0.03, 0, 0, 0, 0, 0},
                              {TKS_STEP_BEND, 0, M_PI, 0.01, 0, 0, 0},
                              {TKS_STEP_STRAIGHT, 0.03, 0, 0, 0, 0, 0},
                              {TKS_STEP_BEND, 0, M_PI, 0.01, 0, 0, 0}};
    tks_path path;
    assert_int_equal(tks_path_walk(arena, &here, steps, 4, &path, NULL), TKS_OK);
    assert_true(path.closed);
    tks_section wire = {.kind = TKS_ROUND, .radius = 0.003, .start = TKS_END, .end = TKS_END};
    assert_int_equal(tks_body_sweep(body, &path, &wire, NULL), TKS_OK);
    assert_near(tks_body_wetted(body), 2 * M_PI * 0.003 * (0.06 + 2 * M_PI * 0.01), 1e-13, "link");
    assert_int_equal(body->patch_count, 4);
}

static void labels(void **state)
{
    (void)state;
    assert_int_equal(tks_label_find("THREAD", 6), TKS_THREAD);
    assert_int_equal(tks_label_find("thready", 7), TKS_LABEL_COUNT);
    assert_string_equal(tks_label_name(TKS_SEALED), "sealed");
    assert_true(tks_label_wetted(TKS_INSIDE));
    assert_false(tks_label_wetted(TKS_SEALED));
}

#define WITH(test) cmocka_unit_test_setup_teardown(test, start, stop)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH(cylinder_and_tube),    WITH(thin_tube),       WITH(frustum_and_cap),
        WITH(sphere_and_ring),      WITH(concave_fillet),  WITH(plate_with_holes),
        WITH(bent_strip),           WITH(pierce_as_joint), WITH(bent_rod_and_tube),
        WITH(path_through_corners), WITH(bent_bar),        WITH(springs),
        WITH(chain_link),           WITH(labels),
    };
    return cmocka_run_group_tests_name("geometry: areas", tests, NULL, NULL);
}
