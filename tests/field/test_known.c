/* The field against solutions in closed form and published values. */
#include "support/fields.h"

#include "base/vec.h"

static const tks_vec3 origin = {0, 0, 0};

/* ------------------------------------------------------------------ capacitance, shape factors */

/* Resistance of two concentric spheres, (1/a - 1/b) / (4 pi kappa): by hand. */
static double spheres(int times)
{
    stage s = {0};
    surface_sphere(stage_add(&s, "ball", TKS_FIELD_PART), origin, 0.05, times, false);
    surface_sphere(stage_add(&s, "shell", TKS_FIELD_ANODE), origin, 0.1, times, true);
    double resistance = stage_resistance(&s);
    stage_free(&s);
    return resistance / ((1 / 0.05 - 1 / 0.1) / (4 * M_PI)) - 1;
}

static void test_spheres_converge(void **state)
{
    (void)state;
    double error[3];
    for (int i = 0; i < 3; i++) error[i] = fabs(spheres(2 + i));
    printf("spheres: %.3f %.3f %.3f %%\n", 100 * error[0], 100 * error[1], 100 * error[2]);
    assert_true(error[2] < 0.0025);
    for (int i = 0; i < 2; i++) {
        double order = log2(error[i] / error[i + 1]); /* the triangles' size halves each time */
        assert_true(order > 1.7);
    }
}

/* Capacitance over 4 pi epsilon is 1 / (4 pi kappa R). */
static double capacitance(stage *s)
{
    s->scene.open = true;
    double c = 1 / (4 * M_PI * stage_resistance(s));
    stage_free(s);
    return c;
}

static void test_unit_cube(void **state)
{
    (void)state;
    stage s = {0};
    surface_box(stage_add(&s, "cube", TKS_FIELD_ANODE), origin, vec3(1, 1, 1), 1.0 / 12,
                surface_grade, false);
    /* 0.6606782: J. Appl. Phys. 95 (2004) 3798. */
    assert_near(capacitance(&s), 0.6606782, 3e-4, "cube");
}

static void test_square_plate(void **state)
{
    (void)state;
    stage s = {0};
    surface_plate(stage_add(&s, "plate", TKS_FIELD_ANODE), origin, vec3(1, 0, 0), vec3(0, 1, 0), 24,
                  24, surface_grade);
    /* 0.3668 for both faces together; one open face carries half: from memory, and confirmed by an
     * independent panel run. */
    assert_near(capacitance(&s), 0.3668 / 2, 1e-3, "square");
}

static void test_sphere_in_the_open(void **state)
{
    (void)state;
    stage s = {0};
    surface_sphere(stage_add(&s, "ball", TKS_FIELD_ANODE), origin, 1, 4, false);
    assert_near(capacitance(&s), 1, 3e-3, "sphere: its radius, by hand");
}

/* ------------------------------------------------------------------ disk electrode */

static surface *add_disk(stage *s)
{
    surface *disk = stage_add(s, "disk", TKS_FIELD_ANODE);
    s->scene.open = true;
    surface_disk(disk, origin, 0, 1, 20, 72, surface_grade_end, false);
    return disk;
}

static void test_disk_resistance(void **state)
{
    (void)state;
    stage s = {0};
    add_disk(&s);
    /* 1 / (4 kappa a): J. Newman, J. Electrochem. Soc. 113 (1966) 501, doi 10.1149/1.2424003. */
    assert_near(stage_resistance(&s), 0.25, 2e-3, "disk");
    stage_free(&s);
}

/* Area-weighted mean density over radii from low to high, over the mean of all. */
static double ring_mean(const tks_field *field, double low, double high)
{
    double current = 0, area = 0, all = 0, whole = 0;
    for (size_t i = 0; i < tks_field_element_count(field); i++) {
        tks_field_element e = tks_field_element_at(field, i);
        tks_vec3 c = vec3_scale(vec3_add(vec3_add(e.corner[0], e.corner[1]), e.corner[2]), 1.0 / 3);
        all += e.density * e.area;
        whole += e.area;
        if (hypot(c.x, c.y) < low || hypot(c.x, c.y) > high) continue;
        current += e.density * e.area;
        area += e.area;
    }
    return current / area / (all / whole);
}

static void test_disk_profile(void **state)
{
    (void)state;
    stage s = {0};
    add_disk(&s);
    tks_field_options options = {.fixed = true};
    tks_field_bath bath = stage_bath(1, 0);
    tks_field *field = stage_solve(&s, &options, &bath, &(tks_field_drive){.current = 1});
    /* i / mean = 0.5 / sqrt(1 - (r/a)^2) (Newman 1966); the mean over a ring is its integral,
     * (sqrt(1 - low^2) - sqrt(1 - high^2)) / (high^2 - low^2). Rings end where elements do. */
    for (int k = 0; k < 14; k += 2) {
        double low = surface_grade_end(k / 20.0), high = surface_grade_end((k + 2) / 20.0);
        double want = (sqrt(1 - low * low) - sqrt(1 - high * high)) / (high * high - low * low);
        assert_near(ring_mean(field, low, high), want, 0.01, "disk profile");
    }
    tks_field_free(field);
    stage_free(&s);
}

/* Secondary distribution, linear kinetics, J = a / (kappa dη/di): i(0)/mean, i(edge)/mean, and
 * total resistance x 4 kappa a. Source: the 50-term series of Newman (1966), evaluated apart from
 * this program; no published table was found. */
static const struct {
    double j, centre, edge, resistance;
} secondary[] = {{0.1, 0.985, 1.021, 13.812},
                 {1, 0.883, 1.193, 2.3437},
                 {5, 0.695, 1.758, 1.3038},
                 {10, 0.622, 2.27, 1.1646}};

static void test_disk_secondary(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof secondary / sizeof *secondary; i++) {
        stage s = {0};
        add_disk(&s)->patch = 0;
        tks_field_options options = {.fixed = true};
        tks_field_bath bath = stage_bath(1, 0);
        bath.anode =
            (tks_polarisation){.kind = TKS_POLARISATION_LINEAR, .slope = 1 / secondary[i].j};
        tks_field *field = stage_solve(&s, &options, &bath, &(tks_field_drive){.voltage = 1});
        assert_near(4 * tks_field_summarise(field).resistance, secondary[i].resistance, 2e-3, "R");
        assert_near(ring_mean(field, 0, 0.2), secondary[i].centre, 0.01, "centre");
        assert_near(ring_mean(field, 0.997, 1), secondary[i].edge, 0.03, "edge");
        tks_field_free(field);
        stage_free(&s);
    }
}

/* ------------------------------------------------------------------ long shapes
 *
 * Shape factors of long bodies are for two dimensions: a slice with insulated ends is as good as an
 * endless one. Formulas: Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, Table 4.1
 * (conduction shape factors); the row is named beside each. */

enum { AROUND = 96, ALONG = 6 };

static const double slice = 0.5; /* [m], with radii near 1 m */

/* A closed outline about a point of the x axis: its radius at an angle. */
typedef struct outline {
    double (*radius)(double angle, double value);
    double value, centre, stretch; /* stretch: how much closer points stand along x; 0: as 1 */
} outline;

static double round_radius(double angle, double value)
{
    (void)angle;
    return value;
}

/* value: half the side. */
static double square_radius(double angle, double value)
{
    return value / fmax(fabs(cos(angle)), fabs(sin(angle)));
}

/* Three times as long as wide; value: half the width, along y. */
static double oblong_radius(double angle, double value)
{
    return value / fmax(fabs(cos(angle)) / 3, fabs(sin(angle)));
}

/* From the inner outline at height low to the outer one at high. */
typedef struct slab {
    const outline *inner, *outer;
    double low, high;
    double way; /* +1, -1: which way round, hence where the normal points */
} slab;

static tks_vec3 on_outline(const outline *o, double angle, double z)
{
    double r = o->radius(angle, o->value);
    return vec3(o->centre + r * cos(angle), r * sin(angle), z);
}

static tks_vec3 slab_point(double u, double v, const void *context)
{
    const slab *s = context;
    double angle = 2 * M_PI * s->way * (u + 0.125); /* corners of squares at grid lines */
    if (s->outer->stretch > 0) angle = atan2(sin(angle), s->outer->stretch * cos(angle));
    tks_vec3 inside = on_outline(s->inner, angle, s->low);
    return vec3_step(inside, v, vec3_sub(on_outline(s->outer, angle, s->high), inside));
}

/* Shape factor per length between an inner body and an outer wall; where |x| of the wall is at
 * least `insulated` it insulates. */
static double factor_between(outline inner, outline outer, double insulated)
{
    stage s = {0};
    slab around = {&inner, &inner, 0, slice, 1}, wall = {&outer, &outer, 0, slice, -1};
    slab bottom = {&inner, &outer, 0, 0, -1}, top = {&inner, &outer, slice, slice, 1};
    surface_patch(stage_add(&s, "inner", TKS_FIELD_PART), AROUND, ALONG, NULL, NULL, slab_point,
                  &around);
    surface *far = stage_add(&s, "outer", TKS_FIELD_ANODE);
    surface_patch(far, AROUND, ALONG, NULL, NULL, slab_point, &wall);
    static uint8_t masked[2 * AROUND * ALONG];
    for (size_t i = 0; i < far->t.count; i++) {
        double x = 0;
        for (size_t k = 0; k < 3; k++) x += far->t.xyz[3 * far->t.corners[3 * i + k]] / 3;
        masked[i] = fabs(x) > insulated;
    }
    s.bodies[1].masked = masked;
    surface *ends = stage_add(&s, "ends", TKS_FIELD_SHIELD);
    surface_patch(ends, AROUND, 2 * ALONG, NULL, surface_grade, slab_point, &bottom);
    surface_patch(ends, AROUND, 2 * ALONG, NULL, surface_grade, slab_point, &top);
    double factor = 1 / (stage_resistance(&s) * slice);
    stage_free(&s);
    return factor;
}

static void test_coaxial_cylinders(void **state)
{
    (void)state;
    double got =
        factor_between((outline){round_radius, 0.4, 0, 0}, (outline){round_radius, 1, 0, 0}, 9);
    assert_near(got, 2 * M_PI / log(1 / 0.4), 0.01, "coaxial: 2 pi / ln(b / a), by hand");
}

static void test_eccentric_cylinders(void **state)
{
    (void)state;
    double d = 0.6, outer = 2, z = 0.4; /* eccentric circular cylinders, L >> D */
    double want = 2 * M_PI / acosh((outer * outer + d * d - 4 * z * z) / (2 * outer * d));
    double got =
        factor_between((outline){round_radius, d / 2, z, 0}, (outline){round_radius, 1, 0, 0}, 9);
    assert_near(got, want, 0.01, "eccentric");
}

static void test_cylinder_in_square(void **state)
{
    (void)state;
    double d = 0.8, w = 2; /* circular cylinder centred in a square, w > D, L >> w */
    double got = factor_between((outline){round_radius, d / 2, 0, 0},
                                (outline){square_radius, w / 2, 0, 0}, 9);
    assert_near(got, 2 * M_PI / log(1.08 * w / d), 0.01, "cylinder in a square");
}

static void test_square_channels(void **state)
{
    (void)state;
    /* Square channel, W / w = 2: the table's row for W / w > 1.4 is a fit, 3 % above what follows
     * from its own rows for plane walls, A / L, and edges, 0.54 D. */
    double got =
        factor_between((outline){square_radius, 0.5, 0, 0}, (outline){square_radius, 1, 0, 0}, 9);
    assert_near(got, 2 * M_PI / (0.930 * log(2) - 0.050), 0.04, "square channel");
    assert_near(got, 4 * 1 / 0.5 + 4 * 0.54, 0.01, "four walls and four edges");
}

static void test_between_planes(void **state)
{
    (void)state;
    double z = 1, d = 0.4; /* cylinder midway between parallel planes of equal length, z >> D */
    double got = factor_between((outline){round_radius, d / 2, 0, 0},
                                (outline){oblong_radius, z, 0, 3}, 2.9);
    assert_near(got, 2 * M_PI / log(8 * z / (M_PI * d)), 0.01, "midway between planes");
}

/* ------------------------------------------------------------------ other shape factors */

static void test_buried_ball(void **state)
{
    (void)state;
    double d = 1, z = 1.5; /* sphere buried in a semi-infinite medium */
    stage s = {0};
    /* The plane is replaced by the ball's image: half the potential drives the same current. */
    surface_sphere(stage_add(&s, "ball", TKS_FIELD_PART), vec3(-z, 0, 0), d / 2, 4, false);
    surface_sphere(stage_add(&s, "image", TKS_FIELD_ANODE), vec3(z, 0, 0), d / 2, 4, false);
    assert_near(2 / stage_resistance(&s), 2 * M_PI * d / (1 - d / (4 * z)), 0.01, "buried ball");
    stage_free(&s);
}

static void test_hollow_cube(void **state)
{
    (void)state;
    double a = 1, wall = 0.5;
    stage s = {0};
    surface_box(stage_add(&s, "inside", TKS_FIELD_PART), vec3(wall, wall, wall),
                vec3(wall + a, wall + a, wall + a), 0.125, surface_grade, false);
    surface_box(stage_add(&s, "outside", TKS_FIELD_ANODE), origin,
                vec3(a + 2 * wall, a + 2 * wall, a + 2 * wall), 0.2, NULL, true);
    /* Six plane walls A / L, twelve edges 0.54 D, eight corners 0.15 L. */
    double want = 6 * a * a / wall + 12 * 0.54 * a + 8 * 0.15 * wall;
    assert_near(1 / stage_resistance(&s), want, 0.01, "walls, edges and corners");
    stage_free(&s);
}

/* A box of liquid with electrodes that fill planes across it. */
static surface *across(stage *s, const char *name, tks_field_role role, double x, bool back)
{
    surface *plate = stage_add(s, name, role);
    tks_vec3 y = vec3(0, 0.1, 0), z = vec3(0, 0, 0.1);
    surface_plate(plate, vec3(x, 0, 0), back ? z : y, back ? y : z, 8, 8, surface_grade);
    return plate;
}

static void add_channel(stage *s, double low, double high)
{
    surface *sides = stage_add(s, "channel", TKS_FIELD_SHIELD);
    tks_vec3 x = vec3(high - low, 0, 0), y = vec3(0, 0.1, 0), z = vec3(0, 0, 0.1);
    size_t n = 16;
    surface_plate(sides, vec3(low, 0, 0), x, y, n, 8, surface_grade);
    surface_plate(sides, vec3(low, 0, 0.1), y, x, 8, n, surface_grade);
    surface_plate(sides, vec3(low, 0, 0), z, x, 8, n, surface_grade);
    surface_plate(sides, vec3(low, 0.1, 0), x, z, n, 8, surface_grade);
}

static void test_plane_wall(void **state)
{
    (void)state;
    stage s = {0};
    across(&s, "plate", TKS_FIELD_PART, 0, false);
    across(&s, "anode", TKS_FIELD_ANODE, 0.2, true);
    add_channel(&s, 0, 0.2);
    assert_near(1 / stage_resistance(&s), 0.1 * 0.1 / 0.2, 0.01, "plane wall A / L");
    stage_free(&s);
}

/* Haring-Blum cell: one anode between a near and a far cathode, distances 1 : 5. In one dimension,
 * with l = kappa dη/di, near / far = (5 d + l) / (d + l); l = d / 3 makes it 4, which is a
 * throwing power of 100 (K - M) / K = 20 % (Soderberg 1952, K 5, M 4). */
static void test_haring_blum(void **state)
{
    (void)state;
    double d = 0.06;
    stage s = {0};
    across(&s, "near", TKS_FIELD_PART, -d, false);
    across(&s, "far", TKS_FIELD_PART, 5 * d, true);
    /* The anode is a gauze: both sides of a plane, with no thickness between. */
    surface *anode = across(&s, "anode", TKS_FIELD_ANODE, -d / 100, true);
    surface_plate(anode, vec3(d / 100, 0, 0), vec3(0, 0.1, 0), vec3(0, 0, 0.1), 8, 8,
                  surface_grade);
    add_channel(&s, -d, -d / 100);
    add_channel(&s, d / 100, 5 * d);
    d *= 0.99;
    tks_field_options options = {.fixed = true};
    tks_field_bath bath = stage_bath(10, d / 3);
    tks_field *field = stage_solve(&s, &options, &bath, &(tks_field_drive){.current = 1});
    tks_field_spread near, far;
    assert_int_equal(tks_field_spread_of(field, 0, TKS_FIELD_EVERY, &near, NULL), TKS_OK);
    assert_int_equal(tks_field_spread_of(field, 1, TKS_FIELD_EVERY, &far, NULL), TKS_OK);
    double want = (0.3 - d / 99 + d / 3) / (d + d / 3);
    assert_near(near.mean.value / far.mean.value, want, 0.01, "near to far");
    double power = 100 * (5 - near.mean.value / far.mean.value) / 5;
    assert_near(power, 20, 0.05, "throwing power, K 5, M 4");
    tks_field_free(field);
    stage_free(&s);
}

/* In one dimension a cell with kinetic laws at both plates has V = h_part(i) + h_anode(i) + i d /
 * kappa, by hand; the laws are inverted here by their own formula. */
static void test_plane_cell_kinetics(void **state)
{
    (void)state;
    stage s = {0};
    double d = 0.2, kappa = 20, area = 0.1 * 0.1, exchange = 3, slope = 0.05;
    across(&s, "plate", TKS_FIELD_PART, 0, false);
    across(&s, "anode", TKS_FIELD_ANODE, d, true);
    add_channel(&s, 0, d);
    tks_field_options options = {.fixed = true};
    tks_field_bath bath = {.conductivity = kappa};
    bath.part = (tks_polarisation){.kind = TKS_POLARISATION_KINETIC,
                                   .exchange = exchange,
                                   .forward = slope,
                                   .backward = slope};
    bath.anode = bath.part;
    for (double current = 0.01; current < 20; current *= 10) {
        tks_field *field = stage_solve(&s, &options, &bath, &(tks_field_drive){.current = current});
        double i = current / area, h = slope * asinh(i / (2 * exchange));
        assert_near(tks_field_summarise(field).voltage, 2 * h + i * d / kappa, 0.01, "plane cell");
        tks_field_free(field);
    }
    stage_free(&s);
}

static void test_charge_is_conserved(void **state)
{
    (void)state;
    stage s = {0};
    surface_sphere(stage_add(&s, "ball", TKS_FIELD_PART), vec3(0.1, 0.1, 0.1), 0.03, 2, false);
    surface_box(stage_add(&s, "plate", TKS_FIELD_ANODE), vec3(0.02, 0.05, 0.05),
                vec3(0.025, 0.15, 0.15), 0.05, NULL, false);
    s.scene.tank = vec3(0.3, 0.2, 0.2);
    tks_field_options options = {.elements = 1500};
    tks_field_bath bath = stage_bath(20, 0.01);
    tks_field *field = stage_solve(&s, &options, &bath, &(tks_field_drive){.current = 2});
    tks_field_summary summary = tks_field_summarise(field);
    assert_true(fabs(summary.leak) < 1e-6);
    assert_near(summary.current, 2, 1e-6, "current at the anodes");
    tks_field_spread spread;
    assert_int_equal(tks_field_spread_of(field, 0, TKS_FIELD_EVERY, &spread, NULL), TKS_OK);
    assert_near(spread.mean.value * spread.area, 2, 1e-6, "current on the part");
    tks_field_free(field);
    stage_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_spheres_converge),    cmocka_unit_test(test_unit_cube),
        cmocka_unit_test(test_square_plate),        cmocka_unit_test(test_sphere_in_the_open),
        cmocka_unit_test(test_disk_resistance),     cmocka_unit_test(test_disk_profile),
        cmocka_unit_test(test_disk_secondary),      cmocka_unit_test(test_coaxial_cylinders),
        cmocka_unit_test(test_eccentric_cylinders), cmocka_unit_test(test_cylinder_in_square),
        cmocka_unit_test(test_square_channels),     cmocka_unit_test(test_between_planes),
        cmocka_unit_test(test_buried_ball),         cmocka_unit_test(test_hollow_cube),
        cmocka_unit_test(test_plane_wall),          cmocka_unit_test(test_haring_blum),
        cmocka_unit_test(test_plane_cell_kinetics), cmocka_unit_test(test_charge_is_conserved),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
