/* Laws that the signed distance and the patches keep to, on one body of every generator. */
#include "geometry/bodies.h"

#include <stdlib.h>

static uint64_t seed = 1;

static double random_in(double low, double high)
{
    seed = seed * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(seed >> 11) / 9007199254740992.0;
}

static tks_vec3 random_point(const tks_body *body)
{
    tks_vec3 low, high;
    tks_body_bounds(body, &low, &high);
    double m = 0.2 * vec3_distance(low, high);
    return vec3(random_in(low.x - m, high.x + m), random_in(low.y - m, high.y + m),
                random_in(low.z - m, high.z + m));
}

static void each(void (*check)(const tks_body *body, const char *name))
{
    for (size_t i = 0; i < SAMPLE_COUNT; i++) {
        tks_arena *arena = tks_arena_new();
        check(samples[i].make(arena), samples[i].name);
        tks_arena_free(arena);
    }
}

static void check_lipschitz(const tks_body *body, const char *name)
{
    for (int i = 0; i < 20000; i++) {
        tks_vec3 a = random_point(body), b = random_point(body);
        double near = pow(10, random_in(-6, 0));
        b = vec3_step(a, near, vec3_sub(b, a));
        double change = fabs(tks_body_distance(body, a) - tks_body_distance(body, b));
        double way = vec3_distance(a, b);
        if (!(change <= way * (1 + 1e-9) + 1e-11))
            fail_msg("%s: distance changes by %g over %g at (%g %g %g)", name, change, way, a.x,
                     a.y, a.z);
    }
}

static void lipschitz(void **state)
{
    (void)state;
    each(check_lipschitz);
}

/* On moved patches the distance is zero; off along the normal it has the right sign and, near by,
 * the right size. */
static void check_patches(const tks_body *body, const char *name)
{
    for (size_t i = 0; i < body->patch_count; i++) {
        const tks_patch *p = &body->patches[i];
        if (p->kind == TKS_PATCH_PLANE) continue;
        for (int k = 0; k < 300; k++) {
            tks_vec3 at, n;
            tks_patch_at(p, random_in(0.001, 0.999), random_in(0.001, 0.999), &at, &n);
            double d = tks_body_distance(body, at), step = 1e-7;
            double out = tks_body_distance(body, vec3_step(at, step, n));
            double in = tks_body_distance(body, vec3_step(at, -step, n));
            if (!(fabs(d) < 1e-14) || fabs(vec3_length(n) - 1) > 1e-12)
                fail_msg("%s, patch %zu: %g on the surface", name, i, d);
            if (!(fabs(out - step) < 1e-11 && fabs(in + step) < 1e-11))
                fail_msg("%s, patch %zu: %g outside, %g inside for %g", name, i, out, in, step);
        }
    }
}

static void patches(void **state)
{
    (void)state;
    each(check_patches);
}

/* Volume by counting random points, and by the shares outside: the sign against the exact volume,
 * within five standard deviations. */
static void check_volume(const tks_body *body, const char *name)
{
    tks_vec3 low, high;
    tks_body_bounds(body, &low, &high);
    double box = (high.x - low.x) * (high.y - low.y) * (high.z - low.z);
    int n = 40000, inside = 0;
    for (int i = 0; i < n; i++)
        inside += tks_body_distance(body, vec3(random_in(low.x, high.x), random_in(low.y, high.y),
                                               random_in(low.z, high.z))) < 0;
    double share = body->volume / box, sigma = sqrt(share * (1 - share) / n);
    if (!(fabs((double)inside / n - share) < 5 * sigma))
        fail_msg("%s: %g of the box counted, %g expected", name, (double)inside / n, share);
}

static void volume(void **state)
{
    (void)state;
    each(check_volume);
}

/* Outside, the distance is that to the nearest of many surface points, where it is exact. */
static void check_nearest(const tks_body *body, const char *name)
{
    enum { SIDE = 60 };
    for (int k = 0; k < 30; k++) {
        tks_vec3 q = random_point(body), at;
        double d = tks_body_distance(body, q), least = 1e9;
        for (size_t i = 0; i < body->patch_count; i++)
            for (int a = 0; a <= SIDE; a++)
                for (int b = 0; b <= SIDE && body->patches[i].kind != TKS_PATCH_PLANE; b++) {
                    tks_patch_at(&body->patches[i], (double)a / SIDE, (double)b / SIDE, &at, NULL);
                    least = fmin(least, vec3_distance(at, q));
                }
        if (!(fabs(d) <= least + 1e-12))
            fail_msg("%s: distance %g, but a surface point is %g away", name, d, least);
    }
}

static void nearest(void **state)
{
    (void)state;
    each(check_nearest);
}

/* By hand: a rod of radius 4 mm from z = 0 to 30 mm. */
static void rod_by_hand(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_body *body = tks_body_new(arena);
    tks_frame f = frame_identity();
    const tks_step step = {TKS_STEP_STRAIGHT, 0.03, 0, 0, 0, 0, 0};
    tks_path path;
    tks_path_walk(arena, &f, &step, 1, &path, NULL);
    tks_section s = {.kind = TKS_ROUND, .radius = 0.004, .start = TKS_END, .end = TKS_END};
    assert_int_equal(tks_body_sweep(body, &path, &s, NULL), TKS_OK);
    static const struct {
        tks_vec3 at;
        double distance;
    } known[] = {
        {{0.01, 0, 0.01}, 0.006}, {{0, 0, 0.01}, -0.004},     {{0, 0.001, 0.0005}, -0.0005},
        {{0, 0, -0.002}, 0.002},  {{0.007, 0, 0.034}, 0.005}, {{0.003, 0, 0.034}, 0.004},
    };
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++)
        assert_near(tks_body_distance(body, known[i].at), known[i].distance, 1e-13, "rod");
    tks_body_cut(body, true);
    tks_frame across = {{-0.01, 0, 0.015}, {0, 1, 0}, {0, 0, 1}, {1, 0, 0}};
    tks_path_walk(arena, &across, &step, 1, &path, NULL);
    s.radius = 0.001;
    assert_int_equal(tks_body_sweep(body, &path, &s, NULL), TKS_OK);
    assert_true(body->overlap);
    assert_near(tks_body_distance(body, vec3(0, 0, 0.015)), 0.001, 1e-13, "in the cross hole");
    assert_near(tks_body_distance(body, vec3(0, 0, 0.0175)), -0.0015, 1e-13, "above it");
    tks_arena_free(arena);
}

/* Half the bracket of a horseshoe: joints between stretches are not seen from within. */
static void joints_unseen(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_body *body = bent_rod(arena);
    const tks_patch *p = &body->patches[1]; /* the first bend */
    tks_frame f = placed();
    tks_vec3 joint = frame_point(&f, vec3(0, 0, 0.03));
    assert_int_equal(p->kind, TKS_PATCH_REVOLVED);
    for (int i = -20; i <= 20; i++) {
        tks_vec3 q = vec3_step(joint, i * 1e-9, f.z);
        assert_near(tks_body_distance(body, q), -0.004, 1e-9, "on the centreline at a joint");
    }
    tks_arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rod_by_hand), cmocka_unit_test(joints_unseen), cmocka_unit_test(lipschitz),
        cmocka_unit_test(patches),     cmocka_unit_test(volume),        cmocka_unit_test(nearest),
    };
    return cmocka_run_group_tests_name("geometry: distance", tests, NULL, NULL);
}
