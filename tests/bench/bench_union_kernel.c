/* Certified areas of unions side by side with a B-rep kernel's booleans and areas of the same
 * solids, in CPU time of one core. The library's numbers come with a proved interval of 1e-6. */
#include "support/near.h"
#include "support/primitives_kernel.h"

#include "tankside/union.h"

#include <time.h>

enum { MOST = 2000 };

typedef struct scene {
    const char *name;
    size_t added, cut;
    double ratio; /* wanted: at least so many times as fast as the kernel; 0: not compared */
    double most;  /* wanted: CPU at 1e-6 [ms] */
    void (*make)(primitive *parts);
} scene;

static double cpu(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* ------------------------------------------------------------------ scenes */

static void crossed(primitive *p)
{
    p[0] = (primitive){A_CYLINDER, frame_at(0, 0, -0.02, 0, 0, 1), 0.01, 0.04, 0, 0};
    p[1] = (primitive){A_CYLINDER, frame_at(-0.02, 0, 0, 1, 0, 0), 0.01, 0.04, 0, 0};
}

static void drilled(primitive *p)
{
    p[0] = (primitive){A_CYLINDER, frame_at(0, 0, -0.02, 0, 0, 1), 0.01, 0.04, 0, 0};
    p[1] = (primitive){A_CYLINDER, frame_at(-0.02, 0, 0, 1, 0, 0), 0.004, 0.04, 0, 0};
}

static void saddle(primitive *p)
{
    p[0] = (primitive){A_TUBE, frame_at(0, 0, -0.02, 0, 0, 1), 0.01, 0.04, 0.008, 0};
    p[1] = (primitive){A_TUBE, frame_at(0, 0, 0, 1, 0, 0), 0.006, 0.03, 0.005, 0};
    p[2] = (primitive){A_CYLINDER, frame_at(0, 0, -0.02, 0, 0, 1), 0.008, 0.04, 0, 0};
    p[3] = (primitive){A_CYLINDER, frame_at(0, 0, 0, 1, 0, 0), 0.005, 0.03, 0, 0};
}

/* Plate, upright, gusset, boss and a rod across, less the hole of the boss. */
static void bracket(primitive *p)
{
    p[0] = (primitive){A_BOX, frame_at(0, 0, 0, 0, 0, 1), 0.06, 0.04, 0.005, 0};
    p[1] = (primitive){A_BOX, frame_at(0, 0, 0.005, 0, 0, 1), 0.005, 0.04, 0.045, 0};
    p[2] = (primitive){A_BOX, frame_at(0.003, 0.018, 0.022, 1, 0, -1), 0.02, 0.004, 0.03, 0};
    p[3] = (primitive){A_CYLINDER, frame_at(0.042, 0.02, 0.005, 0, 0, 1), 0.01, 0.012, 0, 0};
    p[4] = (primitive){A_CYLINDER, frame_at(-0.01, 0.012, 0.04, 1, 0, 0), 0.004, 0.04, 0, 0};
    p[5] = (primitive){A_CYLINDER, frame_at(0.042, 0.02, -0.01, 0, 0, 1), 0.006, 0.04, 0, 0};
}

static void mix(primitive *p, size_t count, unsigned long long seed, double cube)
{
    for (size_t i = 0; i < count; i++) p[i] = primitive_random(&seed, 0.02, 0.02 * cube, A_RING);
}

static void ten(primitive *p)
{
    mix(p, 10, 42, 1);
}

static void fifty(primitive *p)
{
    mix(p, 50, 43, 6);
}

static void two_thousand(primitive *p)
{
    mix(p, 2000, 44, 40);
}

static const scene scenes[] = {
    {"equal crossed cylinders", 2, 0, 0, 1, crossed},
    {"cross-drilled rod", 1, 1, 0, 1, drilled},
    {"tube saddle", 2, 2, 0, 1, saddle},
    {"bracket of six", 5, 1, 40, 1, bracket},
    {"ten that overlap", 10, 0, 100, 6, ten},
    {"fifty", 50, 0, 0, 10, fifty},
    {"two thousand, apart", 2000, 0, 0, 1000, two_thousand},
};

/* ------------------------------------------------------------------ the two sides */

static double ours(const scene *s, const tks_body *const *bodies, double tolerance, int threads,
                   tks_union *u)
{
    double best = 1e9;
    int rounds = s->added > 100 ? 1 : 20;
    tks_union_options o = tks_union_options_default();
    o.tolerance = tolerance;
    o.threads = threads;
    for (int i = 0; i < rounds; i++) {
        tks_arena *arena = tks_arena_new();
        double start = cpu();
        if (tks_union_area(bodies, s->added, bodies + s->added, s->cut, &o, arena, NULL, u, NULL))
            u->area.value = NAN;
        double taken = threads > 1 ? u->seconds : cpu() - start;
        best = taken < best ? taken : best;
        tks_arena_free(arena);
    }
    return best * 1e3;
}

static double kernels(const scene *s, tks_arena *arena, const primitive *p, double *area)
{
    double start = cpu();
    kernel_solid *whole = primitive_kernel(arena, &p[0]);
    for (size_t i = 1; i < s->added; i++)
        whole = kernel_fuse(whole, primitive_kernel(arena, &p[i]));
    for (size_t i = s->added; i < s->added + s->cut; i++)
        whole = kernel_cut(whole, primitive_kernel(arena, &p[i]));
    *area = kernel_area(whole);
    double taken = cpu() - start;
    kernel_free(whole);
    return taken * 1e3;
}

static void run(const scene *s)
{
    static primitive parts[MOST];
    static const tks_body *bodies[MOST];
    tks_arena *arena = tks_arena_new();
    tks_union u = {0}, fine = {0};
    s->make(parts);
    for (size_t i = 0; i < s->added + s->cut; i++) bodies[i] = primitive_body(arena, &parts[i]);
    double at6 = ours(s, bodies, 1e-6, 1, &u), at7 = ours(s, bodies, 1e-7, 1, &fine);
    double both = s->added >= 10 ? ours(s, bodies, 1e-6, 2, &u) : 0;
    printf("%-24s 1e-6 %8.2f ms (wanted %g)  1e-7 %8.2f ms  interval %.1e", s->name, at6, s->most,
           at7, (u.area.high - u.area.low) / 2 / u.area.value);
    if (both > 0) printf("  two threads, by the clock %.2f ms", both);
    if (s->added <= 50) {
        double area, taken = kernels(s, arena, parts, &area);
        printf("  kernel %8.1f ms: %.0f times", taken, taken / at6);
        if (s->ratio > 0) printf(" (wanted %g)", s->ratio);
        printf(", areas differ by %.1e",
               fabs(area / (u.area.value + u.label[TKS_SEALED].value) - 1));
    }
    printf("\n");
    fflush(stdout);
    tks_arena_free(arena);
}

int main(void)
{
    for (size_t i = 0; i < sizeof scenes / sizeof scenes[0]; i++) run(&scenes[i]);
    return 0;
}
