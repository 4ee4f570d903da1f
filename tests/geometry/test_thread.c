#include "support/near.h"

#include "tankside/thread.h"

#include <string.h>

#define PI 3.14159265358979323846
#define MM 1e-3
#define IN 25.4e-3

static tks_thread_profile profile_of(tks_thread thread)
{
    tks_thread_profile profile;
    assert_int_equal(tks_thread_profile_of(&thread, &profile, NULL), TKS_OK);
    return profile;
}

static tks_thread metric(double diameter, double pitch, bool basic)
{
    return (tks_thread){
        .form = TKS_THREAD_METRIC, .diameter = diameter * MM, .pitch = pitch * MM, .basic = basic};
}

/* ------------------------------------------------------------------ published sizes */

static void test_sizes_are_the_published_ones(void **state)
{
    (void)state;
    /* diameters [unit]. BS 84 is printed from a depth rounded to 0.0001 in, so its minor diameters
     * are good to one such digit, the others to half a digit. */
    static const struct {
        tks_thread_form form;
        double unit, diameter, pitch, effective, inner, digit;
        const char *source;
    } known[] = {
        {TKS_THREAD_METRIC, MM, 3, .5, 2.675, 2.459, 1e-3, "ISO 724 M3 (secondary copy)"},
        {TKS_THREAD_METRIC, MM, 5, .8, 4.480, 4.134, 1e-3, "ISO 724 M5 (secondary copy)"},
        {TKS_THREAD_METRIC, MM, 10, 1.5, 9.026, 8.376, 1e-3, "ISO 724 M10 (secondary copy)"},
        {TKS_THREAD_METRIC, MM, 24, 3, 22.051, 20.752, 1e-3, "ISO 724 M24 (secondary copy)"},
        {TKS_THREAD_UNIFIED, IN, .25, 1 / 20., .2175, .1959, 1e-4, "ASME B1.1 1/4-20"},
        {TKS_THREAD_UNIFIED, IN, .75, 1 / 10., .6850, .6417, 1e-4, "ASME B1.1 3/4-10"},
        {TKS_THREAD_WHITWORTH, IN, .25, 1 / 20., .2180, .1860, 2e-4, "BS 84 1/4 BSW"},
        {TKS_THREAD_WHITWORTH, IN, .5, 1 / 12., .4467, .3933, 2e-4,
         "BS 84 1/2 BSW (secondary copy)"},
        {TKS_THREAD_WHITWORTH, IN, .75, 1 / 10., .6860, .6220, 2e-4, "BS 84 3/4 BSW"},
        {TKS_THREAD_BA, MM, 6, 1, 5.4, 4.8, 5e-3, "BS 93 0 BA, from memory"},
        {TKS_THREAD_BA, MM, 3.6, .66, 3.205, 2.81, 5e-3, "BS 93 4 BA, from memory"},
    };
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        tks_thread_profile p =
            profile_of((tks_thread){.form = known[i].form,
                                    .diameter = known[i].diameter * known[i].unit,
                                    .pitch = known[i].pitch * known[i].unit,
                                    .basic = true});
        double rel = known[i].digit / 2 / known[i].inner * 1.05;
        assert_near(2 * p.effective / known[i].unit, known[i].effective, rel, known[i].source);
        assert_near(2 * p.inner / known[i].unit, known[i].inner, rel, known[i].source);
    }
}

static void test_published_areas_per_length(void **state)
{
    (void)state;
    /* mm2 per mm of thread. ISO 4042:1999 table G.1 (to M2.5), ISO 10684:2004 table D.1 (from M8),
     * from secondary copies. */
    static const struct {
        double diameter, pitch, area;
    } rows[] = {
        {1.6, .35, 7.34}, {2, .4, 9.31},     {2.2, .45, 10.21}, {2.5, .45, 11.81}, {8, 1.25, 38.48},
        {10, 1.5, 48.31}, {12, 1.75, 58.14}, {14, 2, 67.97},    {16, 2, 78.69},    {18, 2.5, 87.63},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char name[32];
        snprintf(name, sizeof name, "M%g", rows[i].diameter);
        tks_thread_profile real = profile_of(metric(rows[i].diameter, rows[i].pitch, false));
        tks_thread_profile flat = profile_of(metric(rows[i].diameter, rows[i].pitch, true));
        double to_rows = 1 / (rows[i].pitch * MM) / MM; /* per pitch to mm2 per mm */
        assert_near(tks_thread_area_per_pitch(&real) * to_rows, rows[i].area, 0.01, name);
        double ratio = tks_thread_area_per_pitch(&flat) * to_rows / rows[i].area;
        assert_true(ratio > 0.96 && ratio < 0.975); /* the flat root is 3 to 4 % short */
    }
}

/* ------------------------------------------------------------------ independent integrals */

/* Profile radius at a height, written anew from the standards' figures, for the 2-D integral: the
 * flat and arcs of crest and root, found by trying which piece the height is in. */
typedef struct drawn {
    double pitch, half_angle, outer, crest_flat, crest_round, root_flat, root_round, depth;
} drawn;

static double drawn_radius(const drawn *d, double height)
{
    double z = fabs(remainder(height, d->pitch)), from_root = d->pitch / 2 - z;
    double inner = d->outer - d->depth;
    double crest_edge =
        d->crest_round > 0 ? d->crest_round * cos(d->half_angle) : d->crest_flat / 2;
    double root_edge = d->root_round > 0 ? d->root_round * cos(d->half_angle) : d->root_flat / 2;
    if (z <= crest_edge)
        return d->crest_round > 0
                   ? d->outer - d->crest_round + sqrt(d->crest_round * d->crest_round - z * z)
                   : d->outer;
    if (from_root <= root_edge)
        return d->root_round > 0 ? inner + d->root_round -
                                       sqrt(d->root_round * d->root_round - from_root * from_root)
                                 : inner;
    double sagged = d->crest_round > 0 ? d->crest_round * (1 - sin(d->half_angle)) : 0;
    return d->outer - sagged - (z - crest_edge) / tan(d->half_angle);
}

static tks_vec3 drawn_point(const drawn *d, double height, double turn)
{
    double r = drawn_radius(d, height);
    return (tks_vec3){r * cos(turn), r * sin(turn), height + d->pitch * turn / (2 * PI)};
}

/* Area of a small quadrilateral of the surface: half the cross product of its diagonals. */
static double tile_area(const drawn *d, double z0, double z1, double t0, double t1)
{
    tks_vec3 a = drawn_point(d, z0, t0), b = drawn_point(d, z1, t1);
    tks_vec3 c = drawn_point(d, z1, t0), e = drawn_point(d, z0, t1);
    double ux = b.x - a.x, uy = b.y - a.y, uz = b.z - a.z;
    double vx = e.x - c.x, vy = e.y - c.y, vz = e.z - c.z;
    return sqrt(pow(uy * vz - uz * vy, 2) + pow(uz * vx - ux * vz, 2) + pow(ux * vy - uy * vx, 2)) /
           2;
}

/* Area per pitch from tiles, Richardson-extrapolated from n and 2 n; heights are spaced so that the
 * edges of the pieces fall on tile edges. */
static double tiled(const drawn *d, const double edges[5], int n)
{
    double sum = 0;
    for (int piece = 0; piece < 4; piece++) {
        for (int i = 0; i < n; i++) {
            double a = edges[piece] + (edges[piece + 1] - edges[piece]) * i / n;
            double b = edges[piece] + (edges[piece + 1] - edges[piece]) * (i + 1) / n;
            /* the tiles of one height are all alike, turned: one, and the count */
            sum += tile_area(d, a, b, 0, 2 * PI / (16 * n)) * 16 * n;
        }
    }
    return sum;
}

static double integral_of(const drawn *d)
{
    double crest = d->crest_round > 0 ? d->crest_round * cos(d->half_angle) : d->crest_flat / 2;
    double root = d->root_round > 0 ? d->root_round * cos(d->half_angle) : d->root_flat / 2;
    double edges[5] = {-crest, crest, d->pitch / 2 - root, d->pitch / 2 + root, d->pitch - crest};
    return (4 * tiled(d, edges, 2000) - tiled(d, edges, 1000)) / 3;
}

static drawn drawn_60(double diameter, double pitch, bool basic)
{
    double h = sqrt(3) / 2 * pitch;
    return (drawn){.pitch = pitch,
                   .half_angle = PI / 6,
                   .outer = diameter / 2,
                   .crest_flat = pitch / 8,
                   .root_flat = basic ? pitch / 4 : 0,
                   .root_round = basic ? 0 : pitch / 8,
                   .depth = basic ? 5 * h / 8 : 7 * h / 8 - pitch / 8};
}

static void test_area_against_an_integral_in_space(void **state)
{
    (void)state;
    static const double sizes[][2] = {{8, 1.25}, {1.6, .35}, {36, 4}, {8, 3}};
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        for (int basic = 0; basic < 2; basic++) {
            drawn d = drawn_60(sizes[i][0] * MM, sizes[i][1] * MM, basic);
            tks_thread_profile p = profile_of(metric(sizes[i][0], sizes[i][1], basic));
            assert_near(tks_thread_area_per_pitch(&p), integral_of(&d), 2e-9, "60 deg");
        }
    }
    drawn w = {.pitch = IN / 20,
               .half_angle = 27.5 * PI / 180,
               .outer = IN / 8,
               .crest_round = 0.137329 * IN / 20,
               .root_round = 0.137329 * IN / 20,
               .depth = 0.640327 * IN / 20};
    tks_thread_profile p = profile_of(
        (tks_thread){.form = TKS_THREAD_WHITWORTH, .diameter = IN / 4, .pitch = IN / 20});
    assert_near(tks_thread_area_per_pitch(&p), integral_of(&w), 3e-6,
                "1/4 BSW, 6-figure constants");
}

static void test_area_per_pitch_of_the_basic_profile(void **state)
{
    (void)state;
    tks_thread_profile p = profile_of(metric(8, 1.25, true));
    /* crest 2 pi 4 (P/8), root 2 pi r1 (P/4), two flanks by the formula, with a 30-digit
     * calculator: also what a separate evaluation of the same integral gives */
    assert_near(tks_thread_area_per_pitch(&p), 46.4411329673775e-6, 1e-13, "M8x1.25");
}

/* With the same radii, but a pitch that tends to nothing against the diameter, the thread is a
 * stack of cones: Pappus. */
static void test_fine_pitch_is_a_stack_of_cones(void **state)
{
    (void)state;
    tks_thread_profile p = profile_of(metric(1000, 1e-2, true));
    double r0 = p.inner, r1 = p.outer, pitch = p.pitch;
    double cones = 2 * PI * (r1 * pitch / 8 + r0 * pitch / 4 + (r0 + r1) * (r1 - r0) / cos(PI / 6));
    assert_near(tks_thread_area_per_pitch(&p), cones, 1e-9, "stack of cones");
}

static void test_section_and_volume(void **state)
{
    (void)state;
    for (int basic = 0; basic < 2; basic++) {
        tks_thread_profile p = profile_of(metric(8, 1.25, basic));
        drawn d = drawn_60(8 * MM, 1.25 * MM, basic);
        double sum = 0; /* half r^2 over one turn, midpoint rule */
        enum { N = 400000 };
        for (int i = 0; i < N; i++) {
            double r = drawn_radius(&d, (i + .5) / N * d.pitch);
            sum += PI * r * r / N;
        }
        assert_near(tks_thread_section_area(&p), sum, 1e-9, "section");
    }
}

/* ------------------------------------------------------------------ ends */

static tks_thread_measures measured(const tks_thread_profile *p, double length,
                                    const tks_thread_end ends[2])
{
    tks_thread_measures m;
    assert_int_equal(tks_thread_measure(p, length, ends, &m, NULL), TKS_OK);
    return m;
}

/* Helicoid left by a cone at its start, from many small tiles kept or dropped by their middles. */
static double kept_tiles(const drawn *d, double length, const tks_thread_end *end)
{
    enum { HEIGHTS = 2000, TURNS = 600 };
    double sum = 0, turns = length / d->pitch;
    for (int i = 0; i < HEIGHTS; i++) {
        double z = d->pitch * (i + .5) / HEIGHTS, dz = d->pitch / HEIGHTS;
        double r = drawn_radius(d, z);
        double tile = tile_area(d, z - dz / 2, z + dz / 2, 0, 2 * PI * turns / 60000);
        int kept = 0;
        for (int j = 0; j < TURNS; j++) {
            double height = length * (j + .5) / TURNS; /* of the middle above the end plane */
            double cone = end->radius + height * tan(end->angle);
            if (end->kind == TKS_THREAD_CHAMFER && r < cone) kept++;
            cone = end->radius - height * tan(end->angle);
            if (end->kind == TKS_THREAD_RUNOUT && r > cone) kept++;
        }
        sum += tile * 60000 * kept / TURNS;
    }
    return sum;
}

static void test_ends_against_tiles(void **state)
{
    (void)state;
    for (int basic = 0; basic < 2; basic++) {
        tks_thread_profile p = profile_of(metric(8, 1.25, basic));
        drawn d = drawn_60(8 * MM, 1.25 * MM, basic);
        tks_thread_end ends[2] = {tks_thread_chamfer(&p), {TKS_THREAD_SQUARE, 0, 0}};
        tks_thread_measures m = measured(&p, 5 * MM, ends);
        assert_near(m.helicoid, kept_tiles(&d, 5 * MM, &ends[0]), 3e-4, "chamfer under the root");
        ends[0] = (tks_thread_end){TKS_THREAD_CHAMFER, 3.55 * MM, 0.6};
        m = measured(&p, 5 * MM, ends);
        assert_near(m.helicoid, kept_tiles(&d, 5 * MM, &ends[0]), 3e-4, "chamfer within the flank");
        ends[0] = tks_thread_runout(&p, 4 * MM, 2.5 * MM);
        m = measured(&p, 5 * MM, ends);
        assert_near(m.helicoid, kept_tiles(&d, 5 * MM, &ends[0]), 3e-4, "run-out");
        ends[0] = tks_thread_runout(&p, 3.6 * MM, 2 * MM);
        m = measured(&p, 5 * MM, ends);
        assert_near(m.helicoid, kept_tiles(&d, 5 * MM, &ends[0]), 3e-4, "run-out to a thin shank");
    }
}

/* When a cone moves outward by h the volume changes by its exposed area times the step along its
 * normal: dV/dr = area cos(angle). */
static void test_cones_are_the_slope_of_the_volume(void **state)
{
    (void)state;
    static const tks_thread_end tried[] = {
        {TKS_THREAD_CHAMFER, 3.2 * MM, 0.8}, {TKS_THREAD_CHAMFER, 3.6 * MM, 0.6},
        {TKS_THREAD_RUNOUT, 4.01 * MM, 0.4}, {TKS_THREAD_RUNOUT, 4.3 * MM, 1.0},
        {TKS_THREAD_RUNOUT, 3.55 * MM, 0.3},
    };
    for (int form = 0; form < TKS_THREAD_FORM_COUNT; form++) {
        tks_thread thread = {.form = (tks_thread_form)form, .diameter = 8 * MM, .pitch = 1.25 * MM};
        tks_thread_profile p = profile_of(thread);
        for (size_t i = 0; i < sizeof tried / sizeof *tried; i++) {
            tks_thread_end ends[2] = {{TKS_THREAD_SQUARE, 0, 0}, tried[i]}, more[2], less[2];
            memcpy(more, ends, sizeof ends);
            memcpy(less, ends, sizeof ends);
            double h = 1e-8;
            more[1].radius += h;
            less[1].radius -= h;
            double slope =
                (measured(&p, 0.02, more).volume - measured(&p, 0.02, less).volume) / (2 * h);
            double cone = measured(&p, 0.02, ends).cones[1];
            assert_near(slope, cone * cos(tried[i].angle), 1e-6, tks_thread_form_name(thread.form));
        }
    }
}

/* Areas grow with the square of the size, volume with the cube; two stretches add up to one. */
static void test_laws(void **state)
{
    (void)state;
    tks_thread_profile small = profile_of(metric(5, .8, false));
    tks_thread_profile large = profile_of(metric(50, 8, false));
    tks_thread_end cut = {TKS_THREAD_SQUARE, 0, 0};
    tks_thread_end a[2] = {tks_thread_chamfer(&small), cut};
    tks_thread_end b[2] = {tks_thread_chamfer(&large), cut};
    tks_thread_end c[2] = {cut, cut};
    tks_thread_measures m = measured(&small, .01, a), n = measured(&large, .1, b);
    assert_near(n.helicoid, 100 * m.helicoid, 1e-13, "helicoid");
    assert_near(n.cones[0], 100 * m.cones[0], 1e-12, "cone");
    assert_near(n.volume, 1000 * m.volume, 1e-13, "volume");
    tks_thread_measures rest = measured(&small, .02, c), whole = measured(&small, .03, a);
    assert_near(m.helicoid + rest.helicoid, whole.helicoid, 1e-13, "stretches");
    assert_near(rest.helicoid, .02 / .8e-3 * tks_thread_area_per_pitch(&small), 1e-13, "per pitch");
    tks_thread left = metric(5, .8, false);
    left.left = true;
    tks_thread_profile mirrored = profile_of(left);
    assert_true(mirrored.advance < 0);
    assert_near(measured(&mirrored, .01, a).helicoid, m.helicoid, 1e-15, "left hand");
}

/* Volume below a height, by counting points that the distance calls inside. */
static double counted_volume(const tks_thread_profile *p, const tks_thread_end ends[2],
                             double length, double height)
{
    int inside = 0;
    enum { N = 1000000 };
    for (int i = 1; i <= N; i++) { /* additive recurrence, low discrepancy (from memory) */
        tks_vec3 point = {(fmod(i * 0.8191725133961645, 1) - .5) * 8.4 * MM,
                          (fmod(i * 0.6710436067037893, 1) - .5) * 8.4 * MM,
                          fmod(i * 0.5497004779019703, 1) * height};
        inside += tks_thread_distance(p, length, ends, point) < 0;
    }
    return (double)inside / N * 8.4 * MM * 8.4 * MM * height;
}

/* Parts add up to the whole, wherever the planes are; and a part of the middle is all helicoid. */
static void test_parts(void **state)
{
    (void)state;
    tks_thread_profile p = profile_of(metric(8, 1.25, false));
    tks_thread_end ends[2] = {tks_thread_chamfer(&p), tks_thread_runout(&p, 4 * MM, 2 * MM)};
    double length = 10 * MM;
    tks_thread_measures whole = measured(&p, length, ends), a, b, c;
    for (double from = 0; from < 9 * MM; from += 0.31 * MM) {
        double to = from + 1 * MM;
        assert_int_equal(tks_thread_measure_part(&p, length, ends, 0, from, &a, NULL), TKS_OK);
        assert_int_equal(tks_thread_measure_part(&p, length, ends, from, to, &b, NULL), TKS_OK);
        assert_int_equal(tks_thread_measure_part(&p, length, ends, to, length, &c, NULL), TKS_OK);
        assert_near(a.helicoid + b.helicoid + c.helicoid, whole.helicoid, 1e-12, "helicoid");
        assert_near(a.volume + b.volume + c.volume, whole.volume, 1e-12, "volume");
        assert_near(a.cones[0] + b.cones[0] + c.cones[0], whole.cones[0], 1e-11, "chamfer");
        assert_near(a.cones[1] + b.cones[1] + c.cones[1], whole.cones[1], 1e-11, "run-out");
        assert_true(b.helicoid >= 0 && b.cones[0] >= -1e-18 && b.cones[1] >= -1e-18);
        if (from > 2 * MM && to < 8 * MM)
            assert_near(b.helicoid, tks_thread_area_per_pitch(&p) / 1.25, 1e-12, "middle");
    }
    assert_int_equal(tks_thread_measure_part(&p, length, ends, 0, 0.5 * MM, &a, NULL), TKS_OK);
    assert_near(a.volume, counted_volume(&p, ends, length, 0.5 * MM), 2e-3, "by counting");
    tks_error err;
    assert_int_equal(tks_thread_measure_part(&p, length, ends, 0, 11 * MM, &a, &err),
                     TKS_EGEOMETRY);
}

/* ------------------------------------------------------------------ distance */

static double seed = 0.1234567;

static double next_random(void)
{
    seed = fmod(seed * 997.13 + 0.0123457, 1);
    return seed;
}

static double nearest_sample(const drawn *d, double length, tks_vec3 point)
{
    double least = INFINITY, turn = atan2(point.y, point.x);
    for (int i = -40; i <= 40; i++) {
        for (int j = 0; j < 400; j++) {
            double t = turn + i * .02, z = -d->pitch + 2 * d->pitch * j / 400;
            double base = d->pitch * t / (2 * PI);
            double shift = round((point.z - base) / d->pitch) * d->pitch;
            double r = drawn_radius(d, z), height = z + base + shift;
            if (height < 0 || height > length) continue;
            double dx = r * cos(t) - point.x, dy = r * sin(t) - point.y, dz = height - point.z;
            least = fmin(least, sqrt(dx * dx + dy * dy + dz * dz));
        }
    }
    return least;
}

static void test_distance_is_a_bound_of_the_right_sign(void **state)
{
    (void)state;
    tks_thread_profile p = profile_of(metric(8, 1.25, false));
    drawn d = drawn_60(8 * MM, 1.25 * MM, false);
    tks_thread_end cut[2] = {{TKS_THREAD_SQUARE, 0, 0}, {TKS_THREAD_SQUARE, 0, 0}};
    double length = 20 * MM, tightest = 0;
    for (int i = 0; i < 300; i++) {
        double r = (2.6 + 2.2 * next_random()) * MM, t = 2 * PI * next_random();
        tks_vec3 point = {r * cos(t), r * sin(t), (8 + 4 * next_random()) * MM};
        double bound = tks_thread_distance(&p, length, cut, point);
        double truth = nearest_sample(&d, length, point);
        bool inside = r < drawn_radius(&d, point.z - d.pitch * t / (2 * PI));
        assert_true((bound < 0) == inside);
        assert_true(fabs(bound) <= truth + 1e-9);
        if (truth > 0.05 * MM) tightest = fmax(tightest, fabs(bound) / truth);
        if (truth > 0.05 * MM && r > 3.2 * MM) assert_true(fabs(bound) > 0.9 * truth);
    }
    assert_true(tightest > 0.97);
}

static void test_distance_changes_no_faster_than_the_point_moves(void **state)
{
    (void)state;
    tks_thread_profile p = profile_of(metric(8, 1.25, false));
    tks_thread_end ends[2] = {tks_thread_chamfer(&p), tks_thread_runout(&p, 4 * MM, 2 * MM)};
    for (int i = 0; i < 20000; i++) {
        tks_vec3 a = {(next_random() - .5) * .012, (next_random() - .5) * .012,
                      (next_random() * 14 - 2) * MM};
        double step = 1e-4 * next_random();
        tks_vec3 b = {a.x + step * (next_random() - .5), a.y + step * (next_random() - .5),
                      a.z + step * (next_random() - .5)};
        double moved = sqrt(pow(a.x - b.x, 2) + pow(a.y - b.y, 2) + pow(a.z - b.z, 2));
        double change =
            tks_thread_distance(&p, .01, ends, a) - tks_thread_distance(&p, .01, ends, b);
        assert_true(fabs(change) <= moved * (1 + 1e-9) + 1e-15);
    }
}

static void test_distance_and_volume_agree(void **state)
{
    (void)state;
    tks_thread_profile p = profile_of(metric(8, 1.25, false));
    tks_thread_end ends[2] = {tks_thread_chamfer(&p), tks_thread_runout(&p, 4 * MM, 2 * MM)};
    assert_near(counted_volume(&p, ends, 10 * MM, 10 * MM), measured(&p, 10 * MM, ends).volume,
                5e-4, "volume by counting");
}

/* ------------------------------------------------------------------ bad input */

static void assert_refused(tks_thread thread, const char *part_of_text)
{
    tks_thread_profile p;
    tks_error err = {0};
    memset(&p, 7, sizeof p);
    tks_thread_profile before = p;
    assert_int_equal(tks_thread_profile_of(&thread, &p, &err), TKS_EGEOMETRY);
    assert_memory_equal(&p, &before, sizeof p);
    if (!strstr(err.text, part_of_text)) fail_msg("'%s' lacks '%s'", err.text, part_of_text);
}

static void test_impossible_threads_are_refused(void **state)
{
    (void)state;
    assert_refused(metric(8, 4, false), "a pitch of 4 mm is too coarse for a thread of 8 mm");
    assert_refused(metric(8, 4, false), "at most 3.16 mm would fit");
    assert_refused(metric(8, 0, false), "above zero");
    assert_refused(metric(8, NAN, false), "above zero");
    assert_refused(metric(-8, 1, false), "above zero");
    assert_refused(metric(INFINITY, 1, false), "above zero");
    tks_thread_profile p = profile_of(metric(8, 1.25, false));
    tks_thread_end ends[2] = {tks_thread_chamfer(&p), tks_thread_runout(&p, 4 * MM, 2 * MM)};
    tks_thread_measures m;
    tks_error err;
    assert_int_equal(tks_thread_measure(&p, 2 * MM, ends, &m, &err), TKS_EGEOMETRY);
    assert_non_null(strstr(err.text, "no room for its chamfer and run-out"));
    ends[1].angle = PI / 2;
    assert_int_equal(tks_thread_measure(&p, 9 * MM, ends, &m, &err), TKS_EGEOMETRY);
    ends[1] = tks_thread_runout(&p, 3 * MM, 2 * MM);
    assert_int_equal(tks_thread_measure(&p, 9 * MM, ends, &m, &err), TKS_EGEOMETRY);
    assert_int_equal(tks_thread_measure(&p, NAN, ends, &m, &err), TKS_EGEOMETRY);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sizes_are_the_published_ones),
        cmocka_unit_test(test_published_areas_per_length),
        cmocka_unit_test(test_area_against_an_integral_in_space),
        cmocka_unit_test(test_area_per_pitch_of_the_basic_profile),
        cmocka_unit_test(test_fine_pitch_is_a_stack_of_cones),
        cmocka_unit_test(test_section_and_volume),
        cmocka_unit_test(test_ends_against_tiles),
        cmocka_unit_test(test_cones_are_the_slope_of_the_volume),
        cmocka_unit_test(test_laws),
        cmocka_unit_test(test_parts),
        cmocka_unit_test(test_distance_is_a_bound_of_the_right_sign),
        cmocka_unit_test(test_distance_changes_no_faster_than_the_point_moves),
        cmocka_unit_test(test_distance_and_volume_agree),
        cmocka_unit_test(test_impossible_threads_are_refused),
    };
    return cmocka_run_group_tests_name("thread", tests, NULL, NULL);
}
