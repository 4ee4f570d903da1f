/* Current into bores against the eigenvalue law of a long cylinder: density falls inward as
 * exp(-z / L), L = r / x, with x the first root of x J1(x) = B J0(x), B = r / (kappa dη/di).
 * Roots: tables of heat conduction in the infinite cylinder, e.g. Incropera and DeWitt, Table 5.1
 * (B 0.1: 0.4417, 1: 1.2558, 10: 2.1795); found here from Bessel's functions of the C library. */
#include "support/fields.h"

#include "base/vec.h"

static double root(double b)
{
    double low = 0, high = 2.404825557695773; /* first zero of J0: B without end */
    for (int i = 0; i < 80; i++) {
        double x = (low + high) / 2;
        *(x * j1(x) < b * j0(x) ? &low : &high) = x;
    }
    return (low + high) / 2;
}

static const struct {
    double b, x;
} table[] = {{0.1, 0.4417}, {1, 1.2558}, {10, 2.1795}};

static void test_roots(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        assert_near(root(table[i].b), table[i].x, 1e-4, "root");
}

/* A tube of bore radius r, 8 mm, length and wall as given, upright in a tank between two anodes. */
static const double r = 8e-3, wall = 3e-3, length = 0.08;
static const tks_vec3 foot = {0.15, 0.1, 0.05};

static void add_tank(stage *s)
{
    surface *tube = stage_add(s, "tube", TKS_FIELD_PART);
    size_t around = 24;
    double cell = 4e-3;
    surface_mantle(tube, foot, r + wall, length, (size_t)(length / cell / 2), around, NULL, false);
    tube->patch = 1;
    surface_mantle(tube, foot, r, length, (size_t)(length / cell), around, NULL, true);
    tube->patch = 0;
    tks_vec3 top = vec3_add(foot, vec3(0, 0, length));
    surface_disk(tube, foot, r, r + wall, 1, around, NULL, true);
    surface_disk(tube, top, r, r + wall, 1, around, NULL, false);
    for (int side = 0; side < 2; side++)
        surface_box(stage_add(s, side ? "right anode" : "left anode", TKS_FIELD_ANODE),
                    vec3(side ? 0.27 : 0.02, 0.03, 0.03), vec3(side ? 0.28 : 0.03, 0.17, 0.17),
                    0.05, NULL, false);
    s->scene.tank = vec3(0.3, 0.2, 0.2);
}

/* Mean density in the bore at a depth, over a slice. */
static double at_depth(const tks_field *field, double depth, double half)
{
    double current = 0, area = 0;
    for (size_t i = 0; i < tks_field_element_count(field); i++) {
        tks_field_element e = tks_field_element_at(field, i);
        if (e.body != 0) continue;
        tks_vec3 c = vec3_scale(vec3_add(vec3_add(e.corner[0], e.corner[1]), e.corner[2]), 1.0 / 3);
        double z = foot.z + length - c.z;
        if (hypot(c.x - foot.x, c.y - foot.y) > r + 1e-4 || fabs(z - depth) > half) continue;
        current += e.density * e.area;
        area += e.area;
    }
    return current / area;
}

/* Decay length from the ratio of densities at two depths of one half of the tube: at its middle the
 * two sides meet, which makes the fall a hyperbolic cosine. */
static double decay_length(const tks_field *field, double near, double far)
{
    double ratio = at_depth(field, near, 4e-3) / at_depth(field, far, 4e-3), low = 1e-4, high = 1;
    for (int i = 0; i < 100; i++) {
        double l = sqrt(low * high), half = length / 2;
        *(cosh((half - near) / l) / cosh((half - far) / l) > ratio ? &low : &high) = l;
    }
    return low;
}

static void test_decay(void **state)
{
    (void)state;
    static const double lengths[] = {0.02, 0.1};
    stage s = {0};
    add_tank(&s);
    tks_field_options options = {.elements = 6000};
    for (size_t i = 0; i < 2; i++) {
        tks_field_bath bath = stage_bath(20, lengths[i]);
        tks_field *field = stage_solve(&s, &options, &bath, &(tks_field_drive){.current = 1});
        double want = r / root(r / lengths[i]), got = decay_length(field, r, 4 * r);
        printf("kappa dη/di = %g mm: decay length %.2f mm, law %.2f mm (%+.1f %%), %zu elements\n",
               lengths[i] * 1e3, got * 1e3, want * 1e3, 100 * (got / want - 1),
               tks_field_summarise(field).elements);
        assert_near(got, want, 0.03, "decay length, 1 to 4 radii");
        tks_field_free(field);
    }
    stage_free(&s);
}

/* Without polarisation it falls by exp(-2.405 z / r); five radii in it is below 1e-5 of the mouth,
 * and what the method leaves there must stay under a thousandth of the outside. */
static void test_floor(void **state)
{
    (void)state;
    stage s = {0};
    add_tank(&s);
    tks_field_options options = {.elements = 6000};
    tks_field_bath bath = stage_bath(20, 0);
    tks_field *field = stage_solve(&s, &options, &bath, &(tks_field_drive){.current = 1});
    tks_field_spread spread;
    assert_int_equal(tks_field_spread_of(field, 0, TKS_FIELD_EVERY, &spread, NULL), TKS_OK);
    double deep = at_depth(field, length / 2, 4e-3);
    double rate = log(at_depth(field, r, 2e-3) / at_depth(field, 2 * r, 2e-3));
    printf("no polarisation: %.2g of the mean at the middle; decay constant %.2f (exact 2.405)\n",
           deep / spread.mean.value, rate);
    assert_true(deep >= 0);
    assert_true(deep < 1e-3 * spread.mean.value);
    assert_near(rate, 2.405, 0.1, "decay constant, 1 to 2 radii");
    tks_field_free(field);
    stage_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_roots),
        cmocka_unit_test(test_decay),
        cmocka_unit_test(test_floor),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
