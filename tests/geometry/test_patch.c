/* Patches as parametrised surfaces: their normals and areas against their own points. */
#include "geometry/bodies.h"

#include "base/sum.h"
#include "tankside/fastener.h"

static const double step = 1e-5;

static tks_vec3 at(const tks_patch *p, double u, double v)
{
    tks_vec3 point;
    tks_patch_at(p, u, v, &point, NULL);
    return point;
}

/* Tangents by central differences; their cross product up to the sense. */
static tks_vec3 element(const tks_patch *p, double u, double v)
{
    tks_vec3 du = vec3_sub(at(p, u + step, v), at(p, u - step, v));
    tks_vec3 dv = vec3_sub(at(p, u, v + step), at(p, u, v - step));
    return vec3_scale(vec3_cross(du, dv), 1 / (4 * step * step));
}

/* 4-point Gauss in 12 by 12 cells. */
static double integrated_area(const tks_patch *p)
{
    static const double x[] = {0.0694318442029737, 0.3300094782075719, 0.6699905217924281,
                               0.9305681557970263};
    static const double w[] = {0.1739274225687269, 0.3260725774312731, 0.3260725774312731,
                               0.1739274225687269};
    enum { CELLS = 12 };
    base_sum sum = {0, 0};
    for (int i = 0; i < CELLS * 4; i++)
        for (int j = 0; j < CELLS * 4; j++) {
            double u = (i / 4 + x[i % 4]) / CELLS, v = (j / 4 + x[j % 4]) / CELLS;
            base_sum_add(&sum, w[i % 4] * w[j % 4] * vec3_length(element(p, u, v)));
        }
    return base_sum_total(&sum) / (CELLS * CELLS);
}

static void check_normals(const tks_patch *p, const char *name)
{
    for (int i = 1; i < 10; i++)
        for (int j = 1; j < 10; j++) {
            tks_vec3 point, n, e = element(p, i / 10.0, j / 10.0);
            tks_patch_at(p, i / 10.0, j / 10.0, &point, &n);
            double size = vec3_length(e);
            if (size < 1e-12) continue;
            double across = vec3_length(vec3_cross(e, n)) / size;
            if (!(across < 1e-5)) fail_msg("%s: the normal is %g off", name, across);
        }
}

static void of_all_bodies(void **state)
{
    (void)state;
    for (size_t i = 0; i < SAMPLE_COUNT; i++) {
        tks_arena *arena = tks_arena_new();
        const tks_body *body = samples[i].make(arena);
        for (size_t k = 0; k < body->patch_count; k++) {
            const tks_patch *p = &body->patches[k];
            if (p->kind == TKS_PATCH_PLANE) continue;
            check_normals(p, samples[i].name);
            assert_near(integrated_area(p), p->area, 1e-7, samples[i].name);
        }
        tks_arena_free(arena);
    }
}

/* Threads, right and left hand: their helicoids by quadrature, and their triangles. */
static void helicoids(void **state)
{
    (void)state;
    for (int left = 0; left < 2; left++) {
        tks_arena *arena = tks_arena_new();
        tks_body *body = tks_body_new(arena);
        tks_frame f = placed();
        const tks_thread thread = {
            .form = TKS_THREAD_METRIC, .diameter = 8e-3, .pitch = 1.25e-3, .left = left};
        const tks_thread_end ends[2] = {{TKS_THREAD_SQUARE, 0, 0}, {TKS_THREAD_SQUARE, 0, 0}};
        tks_error err = {0};
        must(tks_body_thread(body, &f, &thread, 5e-3, ends, &err), &err);
        tks_triangles t = {0};
        must(tks_body_triangles(body, 1e-5, 0, arena, &t, &err), &err);
        double *area = tks_arena_take(arena, body->patch_count, sizeof *area);
        for (size_t i = 0; i < t.count; i++) {
            tks_vec3 c[3];
            for (int k = 0; k < 3; k++) {
                const double *q = &t.xyz[3 * (size_t)t.corners[3 * i + (size_t)k]];
                c[k] = vec3(q[0], q[1], q[2]);
            }
            tks_vec3 n = vec3_cross(vec3_sub(c[1], c[0]), vec3_sub(c[2], c[0]));
            area[t.patch[i]] += vec3_length(n) / 2;
        }
        for (size_t k = 0; k < body->patch_count; k++) {
            const tks_patch *p = &body->patches[k];
            /* the cut faces are coarse where the tooth meets the root */
            double allowed = p->kind == TKS_PATCH_HELICOID ? 0.02 : 0.05;
            assert_near(area[k], p->area, allowed, "triangles of a thread");
            if (p->kind != TKS_PATCH_HELICOID) continue;
            check_normals(p, "helicoid");
            assert_near(integrated_area(p), p->area, 2e-7, "helicoid");
        }
        tks_arena_free(arena);
    }
}

/* Bounds hold the surface, and touch it where they are said to be close. */
static void bounds(void **state)
{
    (void)state;
    for (size_t i = 0; i < SAMPLE_COUNT; i++) {
        tks_arena *arena = tks_arena_new();
        const tks_body *body = samples[i].make(arena);
        tks_vec3 low, high;
        tks_body_bounds(body, &low, &high);
        for (size_t k = 0; k < body->patch_count; k++) {
            if (body->patches[k].kind == TKS_PATCH_PLANE) continue;
            for (int n = 0; n <= 400; n++) {
                tks_vec3 q = at(&body->patches[k], n % 20 / 20.0, n / 20 / 20.0);
                assert_true(q.x >= low.x - 1e-12 && q.x <= high.x + 1e-12);
                assert_true(q.y >= low.y - 1e-12 && q.y <= high.y + 1e-12);
                assert_true(q.z >= low.z - 1e-12 && q.z <= high.z + 1e-12);
            }
        }
        tks_arena_free(arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(of_all_bodies),
        cmocka_unit_test(helicoids),
        cmocka_unit_test(bounds),
    };
    return cmocka_run_group_tests_name("geometry: patches", tests, NULL, NULL);
}
