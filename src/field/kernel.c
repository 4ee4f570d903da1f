#include "field/kernel.h"

#include "base/vec.h"
#include "field/harmonics.h"

#include <stdbool.h>
#include <stdint.h>

typedef float lanes __attribute__((vector_size(4 * FIELD_LANES)));
typedef float lanes_loose __attribute__((vector_size(4 * FIELD_LANES), aligned(4), may_alias));
typedef int32_t lanes_int __attribute__((vector_size(4 * FIELD_LANES)));

/* Where the values of a source stand. */
enum {
    EDGES = 9, /* in the plane, square to each edge, pointing out; corners come first */
    NORMAL = 18,
    NODES = 21, /* of the 3-point rule */
    EDGE_LENGTHS = 30,
    DOUBLE_AREA = 33,
    REACH = 34 /* square of the distance from which the 3-point rule serves */
};

#define THIRD_OF_4_PI 0.0265258238f /* 1 / (3 x 4 pi) */

#define NAME(word) word##_plain
#define TARGET
#include "field/kernel_lanes.h"
#undef NAME
#undef TARGET

#if defined(__x86_64__)
#define NAME(word) word##_wide
#define TARGET     __attribute__((target("avx2")))
#include "field/kernel_lanes.h"
#undef NAME
#undef TARGET

static bool wide(void)
{
    return __builtin_cpu_supports("avx2");
}

#define CHOOSE(word, arguments) (wide() ? word##_wide arguments : word##_plain arguments)
#else
#define CHOOSE(word, arguments) (word##_plain arguments)
#endif

static void put(field_sources *s, size_t j, int k, tks_vec3 v)
{
    float *at = s->values + (size_t)k * s->stride + j;
    at[0] = (float)v.x;
    at[s->stride] = (float)v.y;
    at[2 * s->stride] = (float)v.z;
}

void field_sources_set(field_sources *s, size_t j, const tks_vec3 corner[3])
{
    tks_vec3 cross = vec3_cross(vec3_sub(corner[1], corner[0]), vec3_sub(corner[2], corner[0]));
    tks_vec3 normal = vec3_unit(cross);
    tks_vec3 sum = vec3_add(vec3_add(corner[0], corner[1]), corner[2]);
    double longest = 0;
    for (int k = 0; k < 3; k++) {
        tks_vec3 edge = vec3_sub(corner[(k + 1) % 3], corner[k]);
        double length = vec3_length(edge);
        if (length > longest) longest = length;
        put(s, j, 3 * k, corner[k]);
        put(s, j, EDGES + 3 * k, vec3_unit(vec3_cross(edge, normal)));
        put(s, j, NODES + 3 * k, vec3_step(vec3_scale(sum, 1.0 / 6), 0.5, corner[k]));
        s->values[(size_t)(EDGE_LENGTHS + k) * s->stride + j] = (float)length;
    }
    put(s, j, NORMAL, normal);
    s->values[(size_t)DOUBLE_AREA * s->stride + j] = (float)vec3_length(cross);
    s->values[(size_t)REACH * s->stride + j] = (float)(64 * longest * longest);
}

void field_kernel_row(const field_sources *sources, const float *points, float *single, float *twin)
{
    CHOOSE(row, (sources, points, single, twin));
}

double field_kernel_dot(const float *a, const float *x, const float *b, const float *y,
                        size_t count)
{
    return CHOOSE(dot, (a, x, b, y, count));
}

void field_kernel_translate(const float *matrix, const float *x, float *y)
{
    CHOOSE(translate, (matrix, x, y));
}
