/* The multipole operator and the exact kernel against plain sums. */
#include "support/near.h"
#include "support/surfaces.h"

#include "base/vec.h"
#include "field/harmonics.h"
#include "field/kernel.h"
#include "field/operator.h"

#include <stdlib.h>
#include <string.h>

/* Potential and its derivative along -normal of a triangle by very many points. */
static void by_points(const tks_vec3 corner[3], tks_vec3 from, double *single, double *twin)
{
    enum { N = 700 };
    tks_vec3 u = vec3_sub(corner[1], corner[0]), v = vec3_sub(corner[2], corner[0]);
    tks_vec3 cross = vec3_cross(u, v), normal = vec3_unit(cross);
    double area = vec3_length(cross) / 2 / N / N;
    *single = *twin = 0;
    for (int i = 0; i < N; i++)
        for (int j = 0; j < N - i; j++)
            for (int half = 0; half < (j == N - i - 1 ? 1 : 2); half++) {
                double shift = half ? 2.0 / 3 : 1.0 / 3;
                tks_vec3 p = vec3_step(corner[0], (i + shift) / N, u);
                tks_vec3 r = vec3_sub(vec3_step(p, (j + shift) / N, v), from);
                double distance = vec3_length(r);
                *single += area / (4 * M_PI * distance);
                *twin += area * vec3_dot(normal, r) / (4 * M_PI * distance * distance * distance);
            }
}

static void test_kernel(void **state)
{
    (void)state;
    const tks_vec3 corner[3] = {{0, 0, 0}, {1, 0.1, 0}, {0.2, 0.9, 0.3}};
    float values[FIELD_SOURCE_VALUES * FIELD_LANES], single[FIELD_LANES], twin[FIELD_LANES];
    field_sources sources = {values, FIELD_LANES, FIELD_LANES};
    for (size_t j = 0; j < FIELD_LANES; j++) field_sources_set(&sources, j, corner);
    for (double d = 0.3; d < 40; d *= 1.9) {
        tks_vec3 from = {0.4 + 0.1 * d, 0.3 - 0.2 * d, 0.1 + 0.9 * d};
        float points[9];
        for (int k = 0; k < 3; k++) {
            points[3 * k] = (float)from.x;
            points[3 * k + 1] = (float)from.y;
            points[3 * k + 2] = (float)from.z;
        }
        double want, want_twin;
        by_points(corner, from, &want, &want_twin);
        field_kernel_row(&sources, points, single, twin);
        assert_near((double)single[0], want, 1e-5, "single layer");
        assert_near((double)twin[0], want_twin, 3e-5, "double layer");
    }
}

/* Closed surface: seen from a point of it, means of the solid angle add to a half. */
static double apply_row_sum(unsigned threads, double *all, size_t *count)
{
    surface s = {0};
    surface_sphere(&s, vec3(0.1, 0.1, 0.1), 0.04, 4, false);
    surface_box(&s, vec3(0, 0, 0), vec3(0.3, 0.2, 0.2), 0.02, NULL, true);
    size_t n = *count = s.t.count;
    tks_vec3 *corners = calloc(3 * n, sizeof *corners);
    for (size_t i = 0; i < 3 * n; i++)
        memcpy(&corners[i], s.t.xyz + 3 * s.t.corners[i], sizeof *corners);
    base_team *team = base_team_new(threads);
    field_operator *op;
    assert_int_equal(field_operator_new(team, corners, n, (size_t)1 << 30, &op, NULL), TKS_OK);
    double *zero = calloc(n, sizeof *zero), *one = calloc(n, sizeof *one);
    for (size_t i = 0; i < n; i++) one[i] = 1;
    field_operator_apply(op, zero, one, all);
    double worst = 0;
    for (size_t i = 0; i < n; i++) worst = fmax(worst, fabs(all[i] - 0.5));
    free(zero);
    free(one);
    free(corners);
    field_operator_free(op);
    base_team_free(team);
    surface_free(&s);
    return worst;
}

static void test_solid_angles(void **state)
{
    (void)state;
    static double one[20000], two[20000];
    size_t count;
    assert_true(apply_row_sum(1, one, &count) < 1e-4);
    assert_true(apply_row_sum(3, two, &count) < 1e-4);
    assert_memory_equal(one, two, count * sizeof *one); /* whatever the number of threads */
}

static void test_too_large(void **state)
{
    (void)state;
    tks_vec3 corners[3] = {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}};
    base_team *team = base_team_new(1);
    field_operator *op = NULL;
    tks_error err;
    assert_int_equal(field_operator_new(team, corners, 1, 8, &op, &err), TKS_ELIMIT);
    assert_null(op);
    base_team_free(team);
}

/* 1 / |x - y| by moments about one point and a field about another. */
static void test_translation(void **state)
{
    (void)state;
    tks_vec3 y = {0.2, -0.3, 0.1}, a = {2, 1, -1}, z = {-0.2, 0.1, 0.3};
    double source[FIELD_TERMS], target[FIELD_TERMS], sum = 0;
    float matrix[FIELD_TERMS * FIELD_TERMS], moments[FIELD_TERMS], field[FIELD_TERMS] = {0};
    field_harmonics_regular(y, source);
    field_harmonics_regular(z, target);
    field_harmonics_field(a, matrix);
    for (int i = 0; i < FIELD_TERMS; i++) moments[i] = (float)source[i];
    field_kernel_translate(matrix, moments, field);
    for (int i = 0; i < FIELD_TERMS; i++) sum += (double)field[i] * target[i];
    assert_near(sum, 1 / vec3_length(vec3_sub(vec3_add(a, z), y)), 1e-5, "1 / r");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_kernel),
        cmocka_unit_test(test_solid_angles),
        cmocka_unit_test(test_too_large),
        cmocka_unit_test(test_translation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
