#include "mesh/tally.h"

#include "base/vec.h"
#include "mesh/both.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

static inline tks_vec3 point(const double *xyz)
{
    return vec3(xyz[0], xyz[1], xyz[2]);
}

void mesh_tally_start(mesh_tally *t, tks_vec3 origin)
{
    *t = (mesh_tally){.low = vec3(INFINITY, INFINITY, INFINITY)};
    t->high = vec3_scale(t->low, -1);
    if (isfinite(vec3_dot(origin, origin))) t->origin = origin;
}

static void widen(mesh_tally *t, tks_vec3 p)
{
    t->low = vec3_lesser(p, t->low);
    t->high = vec3_greater(p, t->high);
}

/* The sums and bounds of a block, apart from the tally, so that they stay in registers. */
typedef struct block {
    double area, volume; /* twice, and six times */
    tks_vec3 low, high;
} block;

static block start_block(const mesh_tally *t)
{
    return (block){.low = t->low, .high = t->high};
}

static void finish_block(mesh_tally *t, const block *b, size_t count)
{
    base_sum_add(&t->twice_area, b->area);
    base_sum_add(&t->six_volume, b->volume);
    t->low = b->low;
    t->high = b->high;
    t->facets += count;
}

/* Inline for certain: the points would go through memory. */
__attribute__((always_inline)) static inline void add_one(block *b, tks_vec3 origin, tks_vec3 p,
                                                          tks_vec3 q, tks_vec3 r)
{
    tks_vec3 n = vec3_cross(vec3_sub(q, p), vec3_sub(r, p));
    b->area += vec3_length(n);
    b->volume += vec3_dot(vec3_sub(p, origin), n);
    b->low = vec3_lesser(vec3_lesser(p, q), vec3_lesser(r, b->low));
    b->high = vec3_greater(vec3_greater(p, q), vec3_greater(r, b->high));
}

static bool all_finite(const double *xyz)
{
    double zero = 0;
    for (int i = 0; i < 9; i++) zero += xyz[i] * 0;
    return zero == 0;
}

/* Leaves out what is not finite; for the few blocks that have such. */
static void add_carefully(mesh_tally *t, const double *xyz, size_t count)
{
    block b = start_block(t);
    size_t kept = 0;
    for (const double *p = xyz, *end = xyz + 9 * count; p < end; p += 9) {
        if (!all_finite(p)) continue;
        add_one(&b, t->origin, point(p), point(p + 3), point(p + 6));
        kept++;
    }
    finish_block(t, &b, kept);
    t->dropped += count - kept;
}

/* What is not finite shows in the sums, since it spreads through each. */
void mesh_tally_add(mesh_tally *t, const double *xyz, size_t count)
{
    block b = start_block(t);
    for (const double *p = xyz, *end = xyz + 9 * count; p < end; p += 9)
        add_one(&b, t->origin, point(p), point(p + 3), point(p + 6));
    if (isfinite(b.area) && isfinite(b.volume))
        finish_block(t, &b, count);
    else
        add_carefully(t, xyz, count);
}

static void add_corners_plainly(mesh_tally *t, const double *xyz, const uint32_t *corners,
                                size_t count)
{
    block b = start_block(t);
    for (const uint32_t *c = corners, *end = corners + 3 * count; c < end; c += 3)
        add_one(&b, t->origin, point(xyz + 3 * (size_t)c[0]), point(xyz + 3 * (size_t)c[1]),
                point(xyz + 3 * (size_t)c[2]));
    finish_block(t, &b, count);
}

/* Records one by one: the end of a block, and blocks with something in them that is not finite. */
static void add_records_plainly(mesh_tally *t, const unsigned char *records, size_t count)
{
    double xyz[9];
    float single[9];
    for (size_t i = 0; i < count; i++) {
        memcpy(single, records + 50 * i + 12, sizeof single);
        for (int k = 0; k < 9; k++) xyz[k] = (double)single[k];
        mesh_tally_add(t, xyz, 1);
    }
}

#if defined(__x86_64__) && defined(__GNUC__)
#include <immintrin.h>

#define WITH_AVX2 __attribute__((target("avx2"))) static inline

/* Points of four triangles side by side. */
typedef struct fours {
    __m256d x, y, z;
} fours;

typedef struct lanes {
    __m256d area, volume;
    fours low, high;
} lanes;

/* Corner `at` of four records, and the four bytes behind each, which are dropped. */
WITH_AVX2 fours load_corner(const unsigned char *record, int at)
{
    __m128 rows[4];
    for (int i = 0; i < 4; i++)
        rows[i] = _mm_loadu_ps((const float *)(record + 50 * i + 12 + 12 * at));
    _MM_TRANSPOSE4_PS(rows[0], rows[1], rows[2], rows[3]);
    return (fours){_mm256_cvtps_pd(rows[0]), _mm256_cvtps_pd(rows[1]), _mm256_cvtps_pd(rows[2])};
}

/* Corner `at` of four facets. */
WITH_AVX2 fours gather_corner(const double *xyz, const uint32_t *corners, int at)
{
    const double *p = xyz + 3 * (size_t)corners[at], *q = xyz + 3 * (size_t)corners[at + 3];
    const double *r = xyz + 3 * (size_t)corners[at + 6], *s = xyz + 3 * (size_t)corners[at + 9];
    return (fours){{p[0], q[0], r[0], s[0]}, {p[1], q[1], r[1], s[1]}, {p[2], q[2], r[2], s[2]}};
}

WITH_AVX2 fours spread(tks_vec3 a)
{
    return (fours){_mm256_set1_pd(a.x), _mm256_set1_pd(a.y), _mm256_set1_pd(a.z)};
}

WITH_AVX2 fours lesser(fours a, fours b)
{
    return (fours){_mm256_min_pd(a.x, b.x), _mm256_min_pd(a.y, b.y), _mm256_min_pd(a.z, b.z)};
}

WITH_AVX2 fours greater(fours a, fours b)
{
    return (fours){_mm256_max_pd(a.x, b.x), _mm256_max_pd(a.y, b.y), _mm256_max_pd(a.z, b.z)};
}

WITH_AVX2 fours difference(fours a, fours b)
{
    return (fours){a.x - b.x, a.y - b.y, a.z - b.z};
}

WITH_AVX2 fours cross(fours a, fours b)
{
    return (fours){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

WITH_AVX2 __m256d dot(fours a, fours b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

WITH_AVX2 lanes start_lanes(const mesh_tally *t)
{
    return (lanes){.low = spread(t->low), .high = spread(t->high)};
}

WITH_AVX2 void add_four(lanes *l, fours origin, fours p, fours q, fours r)
{
    fours n = cross(difference(q, p), difference(r, p));
    l->area += _mm256_sqrt_pd(dot(n, n));
    l->volume += dot(difference(p, origin), n);
    l->low = lesser(l->low, lesser(p, lesser(q, r)));
    l->high = greater(l->high, greater(p, greater(q, r)));
}

WITH_AVX2 double across(__m256d x)
{
    return x[0] + x[1] + x[2] + x[3];
}

/* A NaN or an infinity in any coordinate shows in the area, since it spreads through every sum; the
 * block is then left to the plain way. Gives how many were taken. */
WITH_AVX2 size_t finish_lanes(mesh_tally *t, const lanes *l, size_t count)
{
    block b = {across(l->area), across(l->volume), t->low, t->high};
    if (!isfinite(b.area) || !isfinite(b.volume)) return 0;
    for (int k = 0; k < 4; k++) {
        b.low = vec3_lesser(vec3(l->low.x[k], l->low.y[k], l->low.z[k]), b.low);
        b.high = vec3_greater(vec3(l->high.x[k], l->high.y[k], l->high.z[k]), b.high);
    }
    finish_block(t, &b, count);
    return count;
}

WITH_AVX2 size_t add_records_fast(mesh_tally *t, const unsigned char *records, size_t count)
{
    lanes l = start_lanes(t);
    fours origin = spread(t->origin);
    for (const unsigned char *p = records, *end = p + 50 * (count & ~(size_t)3); p < end; p += 200)
        add_four(&l, origin, load_corner(p, 0), load_corner(p, 1), load_corner(p, 2));
    return finish_lanes(t, &l, count & ~(size_t)3);
}

WITH_AVX2 size_t add_corners_fast(mesh_tally *t, const double *xyz, const uint32_t *corners,
                                  size_t count)
{
    lanes l = start_lanes(t);
    fours origin = spread(t->origin);
    for (const uint32_t *c = corners, *end = c + 3 * (count & ~(size_t)3); c < end; c += 12)
        add_four(&l, origin, gather_corner(xyz, c, 0), gather_corner(xyz, c, 1),
                 gather_corner(xyz, c, 2));
    return finish_lanes(t, &l, count & ~(size_t)3);
}

static bool fast_way(void)
{
    return __builtin_cpu_supports("avx2");
}
#else
static size_t add_records_fast(mesh_tally *t, const unsigned char *records, size_t count)
{
    (void)t, (void)records, (void)count;
    return 0;
}

static size_t add_corners_fast(mesh_tally *t, const double *xyz, const uint32_t *corners,
                               size_t count)
{
    (void)t, (void)xyz, (void)corners, (void)count;
    return 0;
}

static bool fast_way(void)
{
    return false;
}
#endif

void mesh_tally_records(mesh_tally *t, const unsigned char *records, size_t count)
{
    size_t done = fast_way() ? add_records_fast(t, records, count) : 0;
    add_records_plainly(t, records + 50 * done, count - done);
}

static void add_corners(mesh_tally *t, const double *xyz, const uint32_t *corners, size_t count)
{
    size_t done = fast_way() ? add_corners_fast(t, xyz, corners, count) : 0;
    add_corners_plainly(t, xyz, corners + 3 * done, count - done);
}

typedef struct half {
    const tks_mesh *mesh;
    size_t from, to;
    mesh_tally tally;
} half;

static void tally_half(void *context)
{
    half *h = context;
    for (size_t done = h->from; done < h->to;) {
        size_t n = h->to - done < MESH_BLOCK ? h->to - done : MESH_BLOCK;
        add_corners(&h->tally, h->mesh->xyz, h->mesh->corners + 3 * done, n);
        done += n;
    }
}

/* Always in the same two halves, which large meshes do at once. */
void mesh_tally_mesh(mesh_tally *t, const tks_mesh *mesh)
{
    size_t middle = mesh->count / 2 / MESH_BLOCK * MESH_BLOCK;
    half first = {mesh, 0, middle, *t}, second = {mesh, middle, mesh->count, *t};
    mesh_tally_start(&second.tally, t->origin);
    mesh_do_both(middle > 8 * MESH_BLOCK, (mesh_task){tally_half, &first},
                 (mesh_task){tally_half, &second});
    *t = first.tally;
    mesh_tally_join(t, &second.tally);
}

static void join_sum(base_sum *to, const base_sum *from)
{
    base_sum_add(to, from->value);
    base_sum_add(to, from->lost);
}

void mesh_tally_join(mesh_tally *to, const mesh_tally *from)
{
    join_sum(&to->twice_area, &from->twice_area);
    join_sum(&to->six_volume, &from->six_volume);
    if (from->facets) {
        widen(to, from->low);
        widen(to, from->high);
    }
    to->facets += from->facets;
    to->dropped += from->dropped;
}

tks_mesh_size mesh_tally_size(const mesh_tally *t)
{
    tks_mesh_size size = {.facets = t->facets, .dropped = t->dropped};
    size.area = base_sum_total(&t->twice_area) / 2;
    size.volume = base_sum_total(&t->six_volume) / 6;
    if (!t->facets) return size;
    size.low = t->low;
    size.high = t->high;
    return size;
}
