/* The surface of every built-in shape, cut into triangles: closed, and of its area and volume in
 * the limit. It shows that outlines, paths and places of a shape's file mean one solid. */
#include "support/described.h"
#include "support/near.h"

#include "base/sum.h"
#include "base/vec.h"

#include <stdlib.h>
#include <string.h>

static tks_vec3 corner(const tks_triangles *t, size_t i)
{
    const double *p = &t->xyz[3 * (size_t)t->corners[i]];
    return vec3(p[0], p[1], p[2]);
}

/* Area, and the volume inside, of triangles. */
static double measure(const tks_triangles *t, double *volume)
{
    base_sum area = {0, 0}, inside = {0, 0};
    for (size_t i = 0; i < t->count; i++) {
        tks_vec3 a = corner(t, 3 * i), b = corner(t, 3 * i + 1), c = corner(t, 3 * i + 2);
        tks_vec3 n = vec3_cross(vec3_sub(b, a), vec3_sub(c, a));
        base_sum_add(&area, vec3_length(n) / 2);
        base_sum_add(&inside, vec3_dot(a, n) / 6);
    }
    *volume = base_sum_total(&inside);
    return base_sum_total(&area);
}

static int by_edge(const void *a, const void *b)
{
    uint64_t x = *(const uint64_t *)a, y = *(const uint64_t *)b;
    return (x > y) - (x < y);
}

static uint64_t edge(const tks_triangles *t, size_t i, size_t k)
{
    return (uint64_t)t->corners[3 * i + k] << 32 | t->corners[3 * i + (k + 1) % 3];
}

/* Whether each edge is there once, and once the other way. */
static bool closed(const tks_triangles *t)
{
    size_t n = 3 * t->count;
    uint64_t *edges = malloc(n * sizeof *edges);
    for (size_t i = 0; i < n; i++) edges[i] = edge(t, i / 3, i % 3);
    qsort(edges, n, sizeof *edges, by_edge);
    bool good = true;
    for (size_t i = 0; i < n; i++) {
        uint64_t back = edges[i] << 32 | edges[i] >> 32;
        good = good && bsearch(&back, edges, n, sizeof back, by_edge) &&
               (i == 0 || edges[i] != edges[i - 1]);
    }
    free(edges);
    return good;
}

/* Relative errors of area and volume at a chord [m]. */
static void cut(const char *name, const tks_body *body, double chord, double *area, double *volume)
{
    tks_triangles t;
    tks_error err = {0};
    double all = 0;
    for (int k = 0; k < TKS_LABEL_COUNT; k++) all += tks_body_area(body, (tks_label)k);
    if (tks_body_triangles(body, chord, 0, body->arena, &t, &err))
        fail_msg("%s: %s", name, err.text);
    if (!closed(&t)) fail_msg("%s: its surface is not closed", name);
    *area = measure(&t, volume) / all - 1;
    *volume = *volume / body->volume - 1;
}

/* A quarter of the chord error makes about a quarter of the error of the area. */
static void check_shape(const char *name, const tks_body *body)
{
    double coarse, fine, coarse_volume, fine_volume;
    cut(name, body, 0.1e-3, &coarse, &coarse_volume);
    cut(name, body, 0.025e-3, &fine, &fine_volume);
    if (!(fabs(fine) < 0.02 && fabs(fine) <= 0.5 * fabs(coarse) + 1e-9))
        fail_msg("%s: areas off by %g and %g", name, coarse, fine);
    if (!(fabs(fine_volume) < 0.04 && fabs(fine_volume) <= 0.5 * fabs(coarse_volume) + 1e-9))
        fail_msg("%s: volumes off by %g and %g", name, coarse_volume, fine_volume);
}

static void test_surfaces(void **state)
{
    (void)state;
    size_t checked = 0;
    for (size_t i = 0; i < tks_shapes_count(); i++) {
        described d = described_new();
        const char *name = tks_shapes_name(i);
        const tks_shape *shape = NULL;
        char text[1000];
        tks_shapes_find(d.shapes, name, strlen(name), NULL, tks_nowhere(), &shape, &d.err);
        snprintf(text, sizeof text, "shape: %s\n%s", name, tks_shape_example(shape));
        const tks_body *body = described_body(&d, text);
        if (!body->overlap && tks_body_area(body, TKS_THREAD) == 0) {
            check_shape(name, body);
            checked++;
        }
        described_free(&d);
    }
    assert_true(checked >= 22); /* all but screws, nuts, and those whose solids overlap */
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_surfaces)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
