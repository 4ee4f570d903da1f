/* A tank with anodes, rods and a sheet against three-dimensional finite elements: gmsh and getdp on
 * tests/bench/field, second-order elements, 94,250 unknowns:
 *   gmsh -3 -format msh2 -setnumber SIZE 0.003 rack.geo -o rack.msh
 *   getdp rack.pro -msh rack.msh -setnumber ORDER 2 -solve solve -pos means */
#include "support/fields.h"

enum { PARTS = 3 };

/* Currents at 1 V and 1 S/m with kappa dη/di = 20 mm. */
static const struct {
    const char *name;
    double current;
} parts[PARTS] = {{"left rod", 0.0665073}, {"right rod", 0.0665021}, {"sheet", 0.2446065}};

static void test_against_finite_elements(void **state)
{
    (void)state;
    stage s = {0};
    stage_rack(&s);
    tks_field_bath bath = stage_bath(1, 0.02);
    tks_field *field = stage_solve(&s, NULL, &bath, &(tks_field_drive){.voltage = 1});
    double total = 0, error = 0;
    for (int i = 0; i < PARTS; i++) {
        tks_field_spread spread;
        assert_int_equal(tks_field_spread_of(field, 2 + i, TKS_FIELD_EVERY, &spread, NULL), TKS_OK);
        double current = spread.mean.value * spread.area;
        printf("%-9s %.5f, finite elements %.5f (%+.2f %%)\n", parts[i].name, current,
               parts[i].current, 100 * (current / parts[i].current - 1));
        assert_near(current, parts[i].current, 0.01, parts[i].name);
        total += parts[i].current;
        error = tks_field_summarise(field).resistance_error;
    }
    assert_near(1 / tks_field_summarise(field).resistance, total, 0.01, "conductance");
    assert_true(error * total < 0.01);
    tks_field_free(field);
    stage_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_against_finite_elements),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
