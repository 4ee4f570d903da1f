#include "support/near.h"

#include "tankside/field.h"

static const tks_polarisation even = {
    .kind = TKS_POLARISATION_KINETIC, .exchange = 2, .forward = 0.05, .backward = 0.05};
static const tks_polarisation uneven = {
    .kind = TKS_POLARISATION_KINETIC, .exchange = 0.3, .forward = 0.08, .backward = 0.02};

static double density_at(const tks_polarisation *law, double h)
{
    return law->exchange * (exp(h / law->forward) - exp(-h / law->backward));
}

static void test_inverse(void **state)
{
    (void)state;
    for (double h = -0.3; h <= 0.5; h += 0.0371) {
        assert_near(tks_polarisation_overpotential(&uneven, density_at(&uneven, h), NULL), h, 1e-10,
                    "h of the density at h");
        double want = 0.05 * asinh(density_at(&even, h) / 4); /* equal slopes: closed form */
        assert_near(tks_polarisation_overpotential(&even, density_at(&even, h), NULL), want, 1e-10,
                    "equal slopes");
    }
    assert_near(tks_polarisation_overpotential(&uneven, 0, NULL), 0, 1e-15, "rest");
}

static void test_slope(void **state)
{
    (void)state;
    for (double i = -20; i < 900; i += 33.7) {
        double slope, step = 1e-4 * (1 + fabs(i));
        tks_polarisation_overpotential(&uneven, i, &slope);
        double want = (tks_polarisation_overpotential(&uneven, i + step, NULL) -
                       tks_polarisation_overpotential(&uneven, i - step, NULL)) /
                      (2 * step);
        assert_near(slope, want, 1e-5, "slope by difference");
    }
}

/* Tafel's law, far above the exchange density: ten times the density costs one Tafel slope. */
static void test_tafel(void **state)
{
    (void)state;
    double decade = tks_polarisation_overpotential(&uneven, 3000, NULL) -
                    tks_polarisation_overpotential(&uneven, 300, NULL);
    assert_near(decade, 0.08 * log(10), 1e-4, "Tafel");
}

static void test_linear(void **state)
{
    (void)state;
    tks_polarisation law = {.kind = TKS_POLARISATION_LINEAR, .slope = 1e-3};
    double slope = 5;
    assert_near(tks_polarisation_overpotential(&law, 40, &slope), 0.04, 1e-15, "linear");
    assert_near(slope, 1e-3, 1e-15, "slope");
    law.kind = TKS_POLARISATION_NONE;
    assert_near(tks_polarisation_overpotential(&law, 40, &slope), 0, 1e-15, "none");
    assert_near(slope, 0, 1e-15, "none");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_inverse),
        cmocka_unit_test(test_slope),
        cmocka_unit_test(test_tafel),
        cmocka_unit_test(test_linear),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
