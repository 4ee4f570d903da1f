/* The kernel's two instruction sets give the same bits. The source is included to reach both. */
#include "field/kernel.c"
#include "support/near.h"

#include <stdlib.h>

static double next(uint32_t *state)
{
    *state = *state * 1664525u + 1013904223u;
    return *state / 4294967296.0;
}

static tks_vec3 anywhere(uint32_t *state, double size)
{
    return (tks_vec3){size * next(state), size * next(state), size * next(state)};
}

static void test_same_bits(void **state)
{
    (void)state;
#if defined(__x86_64__)
    enum { COUNT = 64 };
    static float values[FIELD_SOURCE_VALUES * COUNT];
    float plain[2][COUNT], other[2][COUNT], points[9];
    field_sources sources = {values, COUNT, COUNT};
    uint32_t seed = 7;
    if (!wide()) skip();
    for (int round = 0; round < 200; round++) {
        for (size_t j = 0; j < COUNT; j++) {
            tks_vec3 at = anywhere(&seed, round % 2 ? 0.01 : 1), corner[3];
            for (int k = 0; k < 3; k++) corner[k] = vec3_add(at, anywhere(&seed, 0.004));
            field_sources_set(&sources, j, corner);
        }
        for (int k = 0; k < 9; k++) points[k] = (float)(0.01 * next(&seed));
        row_plain(&sources, points, plain[0], plain[1]);
        row_wide(&sources, points, other[0], other[1]);
        assert_memory_equal(plain, other, sizeof plain);
        double a = dot_plain(plain[0], values, plain[1], values, COUNT);
        double b = dot_wide(plain[0], values, plain[1], values, COUNT);
        assert_memory_equal(&a, &b, sizeof a);
    }
#else
    skip();
#endif
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_same_bits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
