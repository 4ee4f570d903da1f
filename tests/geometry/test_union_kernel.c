/* Random unions and cuts against an independent B-rep kernel (Open CASCADE 7.6): the certified
 * interval must hold the kernel's area and volume every time. The kernel's own error is allowed
 * for: it places the edges to a tolerance that it states, and integrates to 1e-11. */
#include "support/near.h"
#include "support/primitives_kernel.h"

#include "tankside/union.h"

enum { MOST = 12 };

typedef struct mix {
    tks_arena *arena;
    primitive parts[MOST];
    size_t added, cut;
} mix;

/* Faces in common, edges that touch and walls tangent to others: now and then a piece takes over
 * the frame of the one before, where it is or moved along its axis. */
static void align(primitive *p, const primitive *before, unsigned long long *seed)
{
    if (random_next(seed) > 0.4) return;
    p->frame = before->frame;
    double steps = floor(3 * random_next(seed)) / 2;
    p->frame.origin = vec3_step(p->frame.origin, steps * before->b, p->frame.z);
}

static mix make_mix(unsigned long long seed, int kinds, bool aligned)
{
    mix m = {.arena = tks_arena_new()};
    random_next(&seed);
    size_t count = 2 + (size_t)(random_next(&seed) * (MOST - 1));
    m.cut = count > 4 ? (size_t)(random_next(&seed) * 3) : 0;
    m.added = count - m.cut;
    for (size_t i = 0; i < count; i++) {
        m.parts[i] = primitive_random(&seed, 0.02, 0.02, kinds);
        if (aligned && i > 0) align(&m.parts[i], &m.parts[i - 1], &seed);
    }
    return m;
}

static tks_union unite(const mix *m, double tolerance)
{
    const tks_body *bodies[MOST];
    tks_union_options options = tks_union_options_default();
    tks_union u = {0};
    tks_error err = {0};
    options.tolerance = tolerance;
    for (size_t i = 0; i < m->added + m->cut; i++)
        bodies[i] = primitive_body(m->arena, &m->parts[i]);
    if (tks_union_area(bodies, m->added, bodies + m->added, m->cut, &options, m->arena, NULL, &u,
                       &err))
        fail_msg("%s", err.text);
    /* the kernel counts the walls of sealed cavities as well */
    u.area.value += u.label[TKS_SEALED].value;
    u.area.low += u.label[TKS_SEALED].low;
    u.area.high += u.label[TKS_SEALED].high;
    return u;
}

static kernel_solid *kernel_of(const mix *m)
{
    kernel_solid *whole = primitive_kernel(m->arena, &m->parts[0]);
    for (size_t i = 1; i < m->added; i++)
        whole = kernel_fuse(whole, primitive_kernel(m->arena, &m->parts[i]));
    for (size_t i = m->added; i < m->added + m->cut; i++)
        whole = kernel_cut(whole, primitive_kernel(m->arena, &m->parts[i]));
    return whole;
}

/* Whether [low, high], widened by what the kernel may be wrong by, holds the value. */
static bool holds(tks_bounded b, double value, double kernel_error)
{
    return value >= b.low - kernel_error && value <= b.high + kernel_error;
}

/* ------------------------------------------------------------------ a third opinion */

static bool in_metal(const mix *m, const tks_body *const *bodies, tks_vec3 q)
{
    bool in = false;
    for (size_t i = 0; i < m->added && !in; i++) in = tks_body_distance(bodies[i], q) < 0;
    for (size_t i = m->added; i < m->added + m->cut && in; i++)
        in = tks_body_distance(bodies[i], q) >= 0;
    return in;
}

/* Volume by counting random points, and its standard error. */
static double counted_volume(const mix *m, unsigned long long seed, double *error)
{
    enum { POINTS = 2000000 };
    const tks_body *bodies[MOST];
    tks_vec3 low = {1, 1, 1}, high = {-1, -1, -1};
    size_t hits = 0;
    for (size_t i = 0; i < m->added + m->cut; i++) {
        tks_vec3 a, b;
        bodies[i] = primitive_body(m->arena, &m->parts[i]);
        tks_body_bounds(bodies[i], &a, &b);
        low = vec3(fmin(low.x, a.x), fmin(low.y, a.y), fmin(low.z, a.z));
        high = vec3(fmax(high.x, b.x), fmax(high.y, b.y), fmax(high.z, b.z));
    }
    for (int i = 0; i < POINTS; i++) {
        double x = random_next(&seed), y = random_next(&seed), z = random_next(&seed);
        hits += in_metal(m, bodies,
                         vec3(low.x + x * (high.x - low.x), low.y + y * (high.y - low.y),
                              low.z + z * (high.z - low.z)));
    }
    double box = (high.x - low.x) * (high.y - low.y) * (high.z - low.z);
    double share = (double)hits / POINTS;
    *error = box * sqrt(share * (1 - share) / POINTS);
    return box * share;
}

/* Now and then the kernel loses or doubles a face. Only when counting points contradicts it, and
 * agrees with the interval, is its answer set aside. */
static bool kernel_is_wrong(const mix *m, unsigned long long seed, double volume, double ours)
{
    double error, counted = counted_volume(m, seed, &error);
    print_message("     the kernel's volume is off by %.1f, ours by %.1f standard errors\n",
                  (volume - counted) / error, (ours - counted) / error);
    return !(fabs(volume - counted) < 6 * error) && fabs(ours - counted) < 3 * error;
}

/* ------------------------------------------------------------------ comparing */

/* missed: intervals that, were they a thousand times narrower, would not hold the kernel's area; if
 * there were none, the test would prove nothing. */
typedef struct tally {
    int held, missed, set_aside;
} tally;

static void compare(unsigned long long seed, int kinds, bool aligned, double tolerance, tally *t)
{
    mix m = make_mix(seed, kinds, aligned);
    kernel_solid *kernel = kernel_of(&m);
    double area = kernel_area(kernel), volume = kernel_volume(kernel);
    double doubt = kernel_area_doubt(kernel) + 1e-10 * area;
    tks_union u = unite(&m, tolerance);
    double half = (u.area.high - u.area.low) / 2;
    print_message("%3llu: %2zu - %zu  area off %8.1e of +-%8.1e (kernel +-%8.1e)  volume off %8.1e "
                  "of +-%8.1e\n",
                  seed, m.added, m.cut, fabs(u.area.value / area - 1), half / area, doubt / area,
                  fabs(u.volume.value / volume - 1), (u.volume.high - u.volume.low) / 2 / volume);
    if (holds(u.area, area, doubt) && holds(u.volume, volume, doubt * 0.02)) {
        tks_bounded narrow = {u.area.value, u.area.value - half / 1000, u.area.value + half / 1000};
        t->held++;
        t->missed += !holds(narrow, area, 0);
    } else if (kernel_is_wrong(&m, seed, volume, u.volume.value))
        t->set_aside++;
    else
        fail_msg(
            "seed %llu: area %.15g not in %.15g .. %.15g, or volume %.15g not in %.15g .. %.15g",
            seed, area, u.area.low, u.area.high, volume, u.volume.low, u.volume.high);
    kernel_free(kernel);
    tks_arena_free(m.arena);
}

static void run(int kinds, bool aligned, double tolerance, unsigned long long from, int count)
{
    tally t = {0, 0, 0};
    for (int i = 0; i < count; i++) compare(from + (unsigned)i, kinds, aligned, tolerance, &t);
    if (t.set_aside > 1) fail_msg("the kernel failed %d times of %d", t.set_aside, count);
    if (t.missed < t.held / 4) fail_msg("only %d of %d narrowed intervals fail", t.missed, t.held);
}

static void simple_primitives(void **state)
{
    (void)state;
    run(A_RING, false, 1e-6, 1000, 16); /* box, cylinder, tube, cone, sphere */
}

static void all_primitives(void **state)
{
    (void)state;
    run(A_PLATE + 1, false, 1e-6, 2000, 15);
}

static void coarse(void **state)
{
    (void)state;
    run(A_PLATE + 1, false, 1e-3, 3000, 6);
}

static void aligned_primitives(void **state)
{
    (void)state;
    run(A_PLATE + 1, true, 1e-5, 4000, 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(simple_primitives),
        cmocka_unit_test(all_primitives),
        cmocka_unit_test(coarse),
        cmocka_unit_test(aligned_primitives),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
