/* Patches as parametrised surfaces: their normals and areas against their own points. */
#include "geometry/bodies.h"

#include "base/sum.h"

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

/* A flank of 60 degrees and a crest, right and left hand. The area of one turn of a flank from r1
 * to r2 with slope m = dz/dr and advance a per radian: 2 pi times the integral of sqrt(r^2 (1 +
 * m^2) + a^2) dr, here by Simpson's rule. */
static double flank_area(double r1, double r2, double m, double a)
{
    base_sum sum = {0, 0};
    int n = 2000;
    for (int i = 0; i <= n; i++) {
        double r = r1 + (r2 - r1) * i / n;
        base_sum_add(&sum, sqrt(r * r * (1 + m * m) + a * a) * (i == 0 || i == n ? 1
                                                                : i % 2          ? 4
                                                                                 : 2));
    }
    return 2 * M_PI * base_sum_total(&sum) * (r2 - r1) / n / 3;
}

static void helicoids(void **state)
{
    (void)state;
    for (int hand = -1; hand <= 1; hand += 2) {
        double a = hand * 1.25e-3 / (2 * M_PI), m = tan(M_PI / 6);
        tks_patch p = {.kind = TKS_PATCH_HELICOID, .travel = 2 * M_PI, .advance = a};
        p.frame = placed();
        p.segment = (tks_segment){{0.0034, 0}, {0.004, 0.0006 * m}, {0, 0}, 0, TKS_THREAD, -1};
        check_normals(&p, "flank");
        assert_near(integrated_area(&p), flank_area(0.0034, 0.004, m, a), 1e-7, "flank");
        tks_vec3 point, n;
        tks_patch_at(&p, 0, 0.5, &point, &n); /* outward: right of the way it runs, below */
        assert_true(vec3_dot(n, p.frame.z) < 0);
        p.segment = (tks_segment){{0.004, 0}, {0.004, 0.0003}, {0, 0}, 0, TKS_THREAD, -1};
        check_normals(&p, "crest");
        tks_patch_at(&p, 0, 0.5, &point, &n);
        assert_near(vec3_dot(n, p.frame.x), 1, 1e-12, "a crest faces outwards");
        assert_near(integrated_area(&p), 2 * M_PI * 0.004 * 0.0003, 1e-7, "crest");
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
