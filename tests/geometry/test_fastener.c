#include "support/near.h"

#include "base/alloc.h"
#include "tankside/fastener.h"

#include <string.h>

#define PI 3.14159265358979323846
#define MM 1e-3

static const tks_frame world = {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}};

static tks_thread metric(double diameter, double pitch)
{
    return (tks_thread){.form = TKS_THREAD_METRIC, .diameter = diameter * MM, .pitch = pitch * MM};
}

static tks_hexagon hexagon(double flats, double height, double circle0, double circle1)
{
    return (tks_hexagon){flats * MM, height * MM, {circle0 * MM, circle1 * MM}, PI / 6};
}

/* ------------------------------------------------------------------ patches against themselves */

static double dot(tks_vec3 a, tks_vec3 b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

static tks_vec3 minus(tks_vec3 a, tks_vec3 b)
{
    return (tks_vec3){a.x - b.x, a.y - b.y, a.z - b.z};
}

static tks_vec3 cross(tks_vec3 a, tks_vec3 b)
{
    return (tks_vec3){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

/* Area of a patch, and its flux of the place vector (three times the volume under it), by the
 * midpoint rule over tangents taken from differences of tks_patch_at. */
static void walked(const tks_patch *p, int nu, int nv, double *area, double *flux)
{
    double aslant = 0, h = 1e-5;
    *area = *flux = 0;
    for (int i = 0; i < nu; i++) {
        for (int j = 0; j < nv; j++) {
            double u = (i + .5) / nu, v = (j + .5) / nv;
            tks_vec3 a, b, c, d, m, n;
            tks_patch_at(p, u - h, v, &a, NULL);
            tks_patch_at(p, u + h, v, &b, NULL);
            tks_patch_at(p, u, v - h, &c, NULL);
            tks_patch_at(p, u, v + h, &d, NULL);
            tks_patch_at(p, u, v, &m, &n);
            tks_vec3 x = cross(minus(b, a), minus(d, c));
            double tile = sqrt(dot(x, x)) / (4 * h * h * nu * nv);
            assert_near(dot(n, n), 1, 1e-9, "unit normal");
            aslant += tile - fabs(dot(x, n)) / (4 * h * h * nu * nv);
            *area += tile;
            *flux += tile * dot(m, n);
        }
    }
    assert_true(aslant < 1e-4 * *area + 1e-14); /* the normals are square to the surface */
}

/* Every patch's area is that of its own map, and the patches close: by the divergence theorem their
 * flux is three times the volume, which was worked out by other formulas. */
static void assert_closed(const tks_body *body, double missing_flux, const char *what)
{
    double total = missing_flux;
    for (size_t i = 0; i < body->patch_count; i++) {
        const tks_patch *p = &body->patches[i];
        double area, flux;
        if (p->kind == TKS_PATCH_PLANE) {
            tks_vec3 n = p->frame.z;
            total += (p->reversed ? -1 : 1) * dot(n, p->frame.origin) * p->area;
            continue;
        }
        bool helix = p->kind == TKS_PATCH_HELICOID;
        walked(p, helix ? 200 : 60, 50, &area, &flux);
        if (p->area > 1e-8) assert_near(area, p->area, 2e-3, what);
        total += flux;
    }
    assert_near(total / 3, body->volume, 1e-3, what);
}

/* Points told in or out by distance; their share of a box is the volume. The box is the body's. */
static void assert_counted(const tks_body *body, const char *what)
{
    tks_vec3 low, high;
    tks_body_bounds(body, &low, &high);
    tks_vec3 size = minus(high, low);
    int inside = 0;
    enum { N = 200000 };
    for (int i = 1; i <= N; i++) {
        tks_vec3 p = {low.x + size.x * fmod(i * 0.8191725133961645, 1),
                      low.y + size.y * fmod(i * 0.6710436067037893, 1),
                      low.z + size.z * fmod(i * 0.5497004779019703, 1)};
        inside += tks_body_distance(body, p) < 0;
    }
    assert_near((double)inside / N * size.x * size.y * size.z, body->volume, 2e-3, what);
}

/* Just outside each patch the distance is positive, just inside negative, and never larger than the
 * step. */
static void assert_sided(const tks_body *body, const char *what)
{
    double step = 5e-7;
    for (size_t i = 0; i < body->patch_count; i++) {
        const tks_patch *p = &body->patches[i];
        if (p->kind == TKS_PATCH_PLANE) continue;
        for (int k = 0; k < 200; k++) {
            double u = fmod(k * 0.7548776662466927 + .1, 1),
                   v = fmod(k * .5698402909980532 + .1, 1);
            tks_vec3 at, n;
            tks_vec3 start, end; /* a cone may leave nothing of a helicoid at some radii */
            tks_patch_at(p, 0, .05 + .9 * v, &start, NULL);
            tks_patch_at(p, 1, .05 + .9 * v, &end, NULL);
            if (p->kind == TKS_PATCH_HELICOID && fabs(end.z - start.z) < 1e-9) continue;
            tks_patch_at(p, .05 + .9 * u, .05 + .9 * v, &at, &n);
            tks_vec3 out = {at.x + step * n.x, at.y + step * n.y, at.z + step * n.z};
            tks_vec3 in = {at.x - step * n.x, at.y - step * n.y, at.z - step * n.z};
            double a = tks_body_distance(body, out), b = tks_body_distance(body, in);
            if (!(a > -1e-12 && a <= step * 1.001 && b < 1e-12 && b >= -step * 1.001))
                fail_msg("%s, patch %zu: %g outside, %g inside", what, i, a, b);
        }
    }
}

static tks_body *body_of(tks_arena *arena, const tks_screw *screw)
{
    tks_body *body = tks_body_new(arena);
    tks_error err = {0};
    if (tks_body_screw(body, &world, screw, &err)) fail_msg("%s", err.text);
    return body;
}

/* A variety of screws: every head, shanks thinner and thicker than the thread, studs, rods. */
static const tks_screw screws[] = {
    {.thread_length = 8e-3},
    {.thread_length = 8e-3, .square_tip = true},
    {.thread_length = 10e-3, .runout = 2e-3, .shank_length = 6e-3},
    {.thread_length = 10e-3, .runout = 2e-3, .shank_length = 6e-3, .shank_diameter = 7.1e-3},
    {.thread_length = 10e-3, .runout = 2e-3, .shank_length = 6e-3, .shank_diameter = 9e-3},
    {.thread_length = 10e-3, .shank_length = 6e-3, .shank_diameter = 7.1e-3},
    {.thread_length = 10e-3, .shank_length = 6e-3, .shank_diameter = 5e-3},
    {.thread_length = 10e-3, .shank_length = 6e-3, .shank_diameter = 9e-3},
    {.thread_length = 8e-3, .runout = 2e-3, .shank_length = 6e-3, .second_length = 9e-3},
    {.thread_length = 10e-3,
     .runout = 2e-3,
     .shank_length = 6e-3,
     .head = TKS_HEAD_HEXAGON,
     .hexagon = {13e-3, 5.3e-3, {0, 12.35e-3}, PI / 6}},
    {.thread_length = 10e-3,
     .runout = 2e-3,
     .head = TKS_HEAD_HEXAGON,
     .hexagon = {13e-3, 5.3e-3, {14e-3, 14e-3}, PI / 6}},
    {.thread_length = 10e-3, .head = TKS_HEAD_HEXAGON, .hexagon = {13e-3, 5.3e-3, {0, 0}, PI / 6}},
    {.thread_length = 10e-3,
     .runout = 2e-3,
     .shank_length = 6e-3,
     .head = TKS_HEAD_CYLINDER,
     .head_diameter = 13e-3,
     .head_height = 8e-3,
     .edge = 0.8e-3,
     .socket = {6e-3, 4e-3, PI / 3}},
    {.thread_length = 10e-3,
     .runout = 2e-3,
     .head = TKS_HEAD_COUNTERSUNK,
     .head_diameter = 17e-3,
     .head_height = 4.96e-3,
     .socket = {5e-3, 3e-3, 0}},
    {.thread_length = 10e-3,
     .runout = 2e-3,
     .head = TKS_HEAD_BUTTON,
     .head_diameter = 14e-3,
     .head_height = 4.4e-3,
     .edge = 0.5e-3,
     .socket = {5e-3, 2.6e-3, PI / 3}},
    {.thread_length = 10e-3, .socket = {4e-3, 3e-3, PI / 3}},
    {.thread_length = 10e-3, .masked_from = 0, .masked_length = 4e-3},
    {.thread_length = 10e-3,
     .runout = 2e-3,
     .shank_length = 2e-3,
     .masked_from = 3e-3,
     .masked_length = 6.5e-3},
};

static void test_screws_close(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof screws / sizeof *screws; i++) {
        tks_arena *arena = tks_arena_new();
        tks_screw screw = screws[i];
        screw.thread = metric(8, 1.25);
        screw.thread.left = i % 3 == 1;
        screw.thread.basic = i % 4 == 1;
        char name[32];
        snprintf(name, sizeof name, "screw %zu", i);
        tks_body *body = body_of(arena, &screw);
        assert_closed(body, 0, name);
        assert_counted(body, name);
        assert_sided(body, name);
        tks_arena_free(arena);
    }
}

static void test_nuts_close(void **state)
{
    (void)state;
    tks_nut nuts[] = {
        {.thread = metric(8, 1.25), .hexagon = hexagon(13, 6.8, 12.3, 12.3)},
        {.thread = metric(8, 1.25), .hexagon = hexagon(13, 6.8, 0, 14)},
        {.thread = metric(8, 1.25), .hexagon = hexagon(13, 6.8, 12.3, 12.3), .masked = true},
        {.thread = {.form = TKS_THREAD_WHITWORTH, .diameter = 6.35e-3, .pitch = 1.27e-3},
         .hexagon = hexagon(11.3, 5, 10.8, 10.8)},
        {.thread = metric(8, 1.25),
         .hexagon = hexagon(13, 6, 12.3, 12.3),
         .collar_diameter = 11.5e-3,
         .collar_height = 2e-3,
         .collar_bore = 9e-3},
    };
    for (size_t i = 0; i < sizeof nuts / sizeof *nuts; i++) {
        tks_arena *arena = tks_arena_new();
        tks_body *body = tks_body_new(arena);
        char name[32];
        snprintf(name, sizeof name, "nut %zu", i);
        assert_int_equal(tks_body_nut(body, &world, &nuts[i], NULL), TKS_OK);
        assert_closed(body, 0, name);
        assert_counted(body, name);
        assert_sided(body, name);
        double masked = tks_body_area(body, TKS_MASKED), thread = tks_body_area(body, TKS_THREAD);
        assert_true((masked > 0) == (i == 2 || i == 4) && (thread > 0) == (i != 2));
        tks_arena_free(arena);
    }
}

static void test_thread_solids_close(void **state)
{
    (void)state;
    for (int internal = 0; internal < 2; internal++) {
        tks_arena *arena = tks_arena_new();
        tks_body *body = tks_body_new(arena);
        tks_thread thread = metric(10, 1.5);
        thread.internal = internal;
        tks_thread_profile p;
        assert_int_equal(tks_thread_profile_of(&thread, &p, NULL), TKS_OK);
        tks_thread_end ends[2] = {tks_thread_chamfer(&p), tks_thread_countersink(&p)};
        assert_int_equal(tks_body_thread(body, &world, &thread, 12e-3, ends, NULL), TKS_OK);
        assert_closed(body, 0, "thread");
        assert_counted(body, "thread");
        assert_sided(body, "thread");
        tks_thread_measures m;
        assert_int_equal(tks_thread_measure(&p, 12e-3, ends, &m, NULL), TKS_OK);
        assert_near(tks_body_area(body, TKS_THREAD), m.helicoid + m.cones[0] + m.cones[1], 1e-12,
                    "helicoid and cones");
        assert_near(tks_body_area(body, TKS_END), m.faces[0] + m.faces[1], 1e-12, "faces");
        tks_arena_free(arena);
    }
}

/* ------------------------------------------------------------------ hexagons */

static void test_hexagon_by_hand(void **state)
{
    (void)state;
    tks_hexagon h = hexagon(13, 5.3, 0, 0);
    tks_hexagon_measures m;
    assert_int_equal(tks_hexagon_measure(&h, &m, NULL), TKS_OK);
    assert_near(m.face[0], sqrt(3) / 2 * 169e-6, 1e-14, "face: sqrt(3)/2 s^2");
    assert_near(6 * m.side, 2 * sqrt(3) * 13 * 5.3e-6, 1e-14, "sides: 2 sqrt(3) s k");
    h.angle = 1e-6; /* a flat chamfer changes nothing */
    h.circle[0] = h.circle[1] = 12e-3;
    tks_hexagon_measures flat;
    assert_int_equal(tks_hexagon_measure(&h, &flat, NULL), TKS_OK);
    assert_near(flat.face[1] + flat.cone[1], m.face[1], 1e-9, "face and cone");
    assert_near(flat.volume, m.volume, 1e-6, "volume");
}

/* A chamfered hexagon by brute force: the prism's plan in small squares, the cone above it. */
static void test_chamfered_hexagon_against_squares(void **state)
{
    (void)state;
    static const double circles[] = {11, 12.35, 13, 14, 15};
    for (size_t i = 0; i < sizeof circles / sizeof *circles; i++) {
        tks_hexagon h = hexagon(13, 5.3, 0, circles[i]);
        tks_hexagon_measures m;
        assert_int_equal(tks_hexagon_measure(&h, &m, NULL), TKS_OK);
        double a = 6.5, flat = 0, cone = 0, volume = 0, side = 0, d = 0.01;
        for (double x = -8 + d / 2; x < 8; x += d) {
            for (double y = -8 + d / 2; y < 8; y += d) {
                if (fmax(fabs(x), fabs(x) / 2 + fabs(y) * sqrt(3) / 2) > a) continue;
                double fall = fmax(0, hypot(x, y) - circles[i] / 2) * tan(PI / 6);
                flat += fall == 0 ? d * d : 0;
                cone += fall > 0 ? d * d / cos(PI / 6) : 0;
                volume += d * d * (5.3 - fall);
            }
        }
        for (double y = -a / sqrt(3) + d / 20; y < a / sqrt(3); y += d / 10)
            side += d / 10 * (5.3 - fmax(0, hypot(a, y) - circles[i] / 2) * tan(PI / 6));
        assert_near(m.face[1] * 1e6, flat, 1e-3, "flat");
        if (circles[i] < 15) assert_near(m.cone[1] * 1e6, cone, 1e-2, "cone");
        assert_near(m.volume * 1e9, volume, 1e-3, "volume");
        assert_near(m.side * 1e6, side, 1e-3, "side");
    }
}

/* ISO 4042:1999 table G.1 and ISO 10684:2004 table D.1 print the area of a hexagon head with the
 * end face [mm2], from heads to the older DIN 931 with s and k as given; secondary copies. They are
 * those of a plain hexagonal prism; the M10 row is 0.8 % off that by itself. */
static void test_published_head_areas(void **state)
{
    (void)state;
    static const struct {
        double d, pitch, s, k, area, tolerance;
    } rows[] = {
        {8, 1.25, 13, 5.5, 541.3, 0.003}, {10, 1.5, 17, 7, 905.8, 0.009},
        {12, 1.75, 19, 8, 1151, 0.003},   {14, 2, 22, 9, 1523, 0.003},
        {16, 2, 24, 10, 1830, 0.003},     {18, 2.5, 27, 12, 2385, 0.003},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tks_hexagon h = hexagon(rows[i].s, rows[i].k, 0, 0);
        tks_hexagon_measures m;
        assert_int_equal(tks_hexagon_measure(&h, &m, NULL), TKS_OK);
        double prism = 6 * m.side + m.face[0] + m.face[1];
        assert_near(prism * 1e6, rows[i].area, rows[i].tolerance, "prism");
        /* the true head: chamfered, less the shank, with the chamfered tip: up to 3 % less */
        tks_screw screw = {.thread = metric(rows[i].d, rows[i].pitch),
                           .thread_length = 20e-3,
                           .runout = 2 * rows[i].pitch * MM,
                           .shank_length = 20e-3,
                           .head = TKS_HEAD_HEXAGON,
                           .hexagon = hexagon(rows[i].s, rows[i].k, 0, 0.95 * rows[i].s)};
        tks_arena *arena = tks_arena_new();
        tks_body *body = body_of(arena, &screw);
        tks_thread_profile p;
        assert_int_equal(tks_thread_profile_of(&screw.thread, &p, NULL), TKS_OK);
        double rest = tks_body_wetted(body) - 20 / rows[i].pitch * tks_thread_area_per_pitch(&p) -
                      PI * rows[i].d * MM * 20e-3;
        assert_true(rest * 1e6 / rows[i].area > 0.90 && rest * 1e6 / rows[i].area < 1.0);
        tks_arena_free(arena);
    }
}

/* ------------------------------------------------------------------ laws and refusals */

static void test_masking_moves_area_only(void **state)
{
    (void)state;
    tks_screw screw = {.thread = metric(8, 1.25), .thread_length = 20e-3};
    tks_arena *arena = tks_arena_new();
    tks_body *open = body_of(arena, &screw);
    screw.masked_from = 5e-3;
    screw.masked_length = 7.5e-3;
    tks_body *masked = body_of(arena, &screw);
    double area = tks_body_area(masked, TKS_MASKED);
    tks_thread_profile p;
    assert_int_equal(tks_thread_profile_of(&screw.thread, &p, NULL), TKS_OK);
    assert_near(area, 6 * tks_thread_area_per_pitch(&p), 1e-12, "six pitches");
    assert_near(tks_body_wetted(masked) + area, tks_body_wetted(open), 1e-12, "sum");
    screw.masked_from = 0;
    screw.masked_length = 20e-3;
    tks_body *whole = body_of(arena, &screw);
    assert_near(tks_body_area(whole, TKS_THREAD), 0, 1e-15, "all masked");
    tks_arena_free(arena);
}

static void assert_refused(tks_screw screw, const char *part)
{
    tks_arena *arena = tks_arena_new();
    tks_body *body = tks_body_new(arena);
    tks_error err = {0};
    assert_int_equal(tks_body_screw(body, &world, &screw, &err), TKS_EGEOMETRY);
    if (!strstr(err.text, part)) fail_msg("'%s' lacks '%s'", err.text, part);
    assert_int_equal(body->patch_count, 0);
    assert_int_equal(body->solid_count, 0);
    tks_arena_free(arena);
}

static void test_impossible_screws_are_refused(void **state)
{
    (void)state;
    tks_screw good = {.thread = metric(8, 1.25),
                      .thread_length = 10e-3,
                      .head = TKS_HEAD_CYLINDER,
                      .head_diameter = 13e-3,
                      .head_height = 8e-3,
                      .socket = {6e-3, 4e-3, PI / 3}};
    tks_screw s = good;
    s.thread.pitch = 5e-3;
    assert_refused(s, "too coarse");
    s = good, s.thread_length = 0.5e-3;
    assert_refused(s, "no room");
    s = good, s.head_diameter = 7e-3;
    assert_refused(s, "wider than what it sits on");
    s = good, s.socket.across_flats = 12e-3;
    assert_refused(s, "does not fit");
    s = good, s.socket.depth = 30e-3;
    assert_refused(s, "does not fit");
    s = good, s.masked_from = 5e-3, s.masked_length = 6e-3;
    assert_refused(s, "beyond the thread");
    s = good, s.shank_diameter = 5e-3, s.shank_length = 4e-3, s.runout = 2e-3;
    assert_refused(s, "must be over");
    s = good, s.shank_length = -1e-3;
    assert_refused(s, "below zero");
    s = good, s.head = TKS_HEAD_HEXAGON, s.hexagon = hexagon(13, 5.3, 0, 16);
    assert_refused(s, "cannot be chamfered");
    s = good, s.head = TKS_HEAD_HEXAGON, s.hexagon = hexagon(13, 0.5, 0, 11);
    assert_refused(s, "more than its height");
    s = good, s.second_length = 5e-3;
    assert_refused(s, "no second thread");
    s = good, s.head_height = NAN;
    assert_refused(s, "above zero");
    tks_arena *arena = tks_arena_new();
    tks_body *body = tks_body_new(arena);
    tks_nut nut = {.thread = metric(12, 1.75), .hexagon = hexagon(13, 6, 12, 12)};
    tks_error err;
    assert_int_equal(tks_body_nut(body, &world, &nut, &err), TKS_EGEOMETRY);
    assert_non_null(strstr(err.text, "narrower than its bearing face"));
    tks_arena_free(arena);
}

/* Every allocation is failed in turn: no crash, and the body stays as it was. */
static void test_short_of_memory(void **state)
{
    (void)state;
    tks_screw screw = screws[12];
    screw.thread = metric(8, 1.25);
    tks_nut nut = {.thread = metric(8, 1.25), .hexagon = hexagon(13, 6.8, 12.3, 12.3)};
    bool enough = false;
    for (long n = 1; n < 400 && !enough; n++) {
        tks_arena *arena = tks_arena_new();
        tks_body *body = tks_body_new(arena);
        base_alloc_fail_at(n);
        tks_status status = tks_body_screw(body, &world, &screw, NULL);
        if (!status) status = tks_body_nut(body, &world, &nut, NULL);
        base_alloc_fail_at(0);
        enough = status == TKS_OK;
        if (!enough) {
            assert_int_equal(status, TKS_EMEMORY);
            assert_true(body->solid_count < 2);
        }
        tks_arena_free(arena);
    }
    assert_true(enough);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_hexagon_by_hand),
        cmocka_unit_test(test_chamfered_hexagon_against_squares),
        cmocka_unit_test(test_thread_solids_close),
        cmocka_unit_test(test_screws_close),
        cmocka_unit_test(test_nuts_close),
        cmocka_unit_test(test_published_head_areas),
        cmocka_unit_test(test_masking_moves_area_only),
        cmocka_unit_test(test_impossible_screws_are_refused),
        cmocka_unit_test(test_short_of_memory),
    };
    return cmocka_run_group_tests_name("fastener", tests, NULL, NULL);
}
