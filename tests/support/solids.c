#include "support/solids.h"

#include "support/near.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const double pi = 3.14159265358979323846;

static tks_vec3 vec(double x, double y, double z)
{
    return (tks_vec3){x, y, z};
}

static tks_vec3 onto_sphere(tks_vec3 a, double r)
{
    double s = r / sqrt(a.x * a.x + a.y * a.y + a.z * a.z);
    return vec(a.x * s, a.y * s, a.z * s);
}

void soup_add(soup *s, tks_vec3 a, tks_vec3 b, tks_vec3 c)
{
    if (s->count == s->room) {
        s->room = s->room ? s->room * 2 : 256;
        s->xyz = realloc(s->xyz, s->room * 9 * sizeof *s->xyz);
        if (!s->xyz) fail_msg("out of memory");
    }
    double all[9] = {a.x, a.y, a.z, b.x, b.y, b.z, c.x, c.y, c.z};
    memcpy(s->xyz + 9 * s->count++, all, sizeof all);
}

void soup_free(soup *s)
{
    free(s->xyz);
    *s = (soup){0};
}

/* Facets of a convex solid about the origin: every three corners at the distance of one edge. */
static soup hull(const tks_vec3 *corners, int n, double edge, double r)
{
    soup s = {0};
    for (int i = 0; i < n; i++)
        for (int j = i + 1; j < n; j++)
            for (int k = j + 1; k < n; k++) {
                tks_vec3 a = corners[i], b = corners[j], c = corners[k];
                double ab = hypot(hypot(a.x - b.x, a.y - b.y), a.z - b.z);
                double bc = hypot(hypot(b.x - c.x, b.y - c.y), b.z - c.z);
                double ca = hypot(hypot(c.x - a.x, c.y - a.y), c.z - a.z);
                if (fabs(ab - edge) + fabs(bc - edge) + fabs(ca - edge) > 1e-6) continue;
                double out = a.x * (b.y * c.z - b.z * c.y) + a.y * (b.z * c.x - b.x * c.z) +
                             a.z * (b.x * c.y - b.y * c.x);
                a = onto_sphere(a, r);
                b = onto_sphere(b, r);
                c = onto_sphere(c, r);
                soup_add(&s, a, out > 0 ? b : c, out > 0 ? c : b);
            }
    return s;
}

soup soup_regular(int faces, double r)
{
    double g = (1 + sqrt(5)) / 2;
    tks_vec3 four[] = {vec(1, 1, 1), vec(1, -1, -1), vec(-1, 1, -1), vec(-1, -1, 1)};
    tks_vec3 six[] = {vec(1, 0, 0),  vec(-1, 0, 0), vec(0, 1, 0),
                      vec(0, -1, 0), vec(0, 0, 1),  vec(0, 0, -1)};
    tks_vec3 twelve[] = {vec(0, 1, g), vec(0, 1, -g), vec(0, -1, g), vec(0, -1, -g),
                         vec(1, g, 0), vec(1, -g, 0), vec(-1, g, 0), vec(-1, -g, 0),
                         vec(g, 0, 1), vec(-g, 0, 1), vec(g, 0, -1), vec(-g, 0, -1)};
    if (faces == 4) return hull(four, 4, sqrt(8), r);
    if (faces == 8) return hull(six, 6, sqrt(2), r);
    return hull(twelve, 12, 2, r);
}

soup soup_sphere(double r, int times)
{
    soup s = soup_regular(20, r);
    for (; times > 0; times--) {
        soup finer = {0};
        for (size_t i = 0; i < s.count; i++) {
            const double *p = s.xyz + 9 * i;
            tks_vec3 a = vec(p[0], p[1], p[2]), b = vec(p[3], p[4], p[5]),
                     c = vec(p[6], p[7], p[8]);
            /* The midpoint must not depend on the direction of the edge: addition commutes. */
            tks_vec3 d = onto_sphere(vec(a.x + b.x, a.y + b.y, a.z + b.z), r);
            tks_vec3 e = onto_sphere(vec(b.x + c.x, b.y + c.y, b.z + c.z), r);
            tks_vec3 f = onto_sphere(vec(c.x + a.x, c.y + a.y, c.z + a.z), r);
            soup_add(&finer, a, d, f);
            soup_add(&finer, d, b, e);
            soup_add(&finer, f, e, c);
            soup_add(&finer, d, e, f);
        }
        soup_free(&s);
        s = finer;
    }
    return s;
}

static void add_quad(soup *s, tks_vec3 a, tks_vec3 b, tks_vec3 c, tks_vec3 d)
{
    soup_add(s, a, b, c);
    soup_add(s, a, c, d);
}

/* Places on an even grid, computed alike from wherever it is asked. */
static double step(double low, double high, int i, int n)
{
    return i == n ? high : low + (high - low) * i / n;
}

soup soup_box(tks_vec3 low, tks_vec3 high, int n)
{
    soup s = {0};
    for (int side = 0; side < 6; side++)
        for (int i = 0; i < n; i++)
            for (int j = 0; j < n; j++) {
                tks_vec3 p[4];
                for (int k = 0; k < 4; k++) {
                    int u = i + (k == 1 || k == 2), v = j + (k > 1), w = side % 2 ? n : 0;
                    int at[3] = {0, 0, 0};
                    at[side / 2] = w;
                    at[(side / 2 + 1) % 3] = u;
                    at[(side / 2 + 2) % 3] = v;
                    p[k] = vec(step(low.x, high.x, at[0], n), step(low.y, high.y, at[1], n),
                               step(low.z, high.z, at[2], n));
                }
                if (side % 2)
                    add_quad(&s, p[0], p[1], p[2], p[3]);
                else
                    add_quad(&s, p[0], p[3], p[2], p[1]);
            }
    return s;
}

static tks_vec3 ring_point(double r, double z, int i, int n)
{
    double t = 2 * pi * (i % n) / n;
    return vec(r * cos(t), r * sin(t), z);
}

static void add_wall(soup *s, double r, double length, int n, int m, bool outward)
{
    for (int j = 0; j < m; j++)
        for (int i = 0; i < n; i++) {
            double z0 = step(0, length, j, m), z1 = step(0, length, j + 1, m);
            tks_vec3 a = ring_point(r, z0, i, n), b = ring_point(r, z0, i + 1, n);
            tks_vec3 c = ring_point(r, z1, i + 1, n), d = ring_point(r, z1, i, n);
            if (outward)
                add_quad(s, a, b, c, d);
            else
                add_quad(s, a, d, c, b);
        }
}

soup soup_tube(double inner, double outer, double length, int n, int m)
{
    soup s = {0};
    add_wall(&s, outer, length, n, m, true);
    if (inner > 0) add_wall(&s, inner, length, n, m, false);
    for (int i = 0; i < n; i++) {
        tks_vec3 a = ring_point(outer, 0, i, n), b = ring_point(outer, 0, i + 1, n);
        tks_vec3 c = ring_point(outer, length, i, n), d = ring_point(outer, length, i + 1, n);
        if (inner > 0) {
            tks_vec3 e = ring_point(inner, 0, i, n), f = ring_point(inner, 0, i + 1, n);
            tks_vec3 g = ring_point(inner, length, i, n), h = ring_point(inner, length, i + 1, n);
            add_quad(&s, a, e, f, b);
            add_quad(&s, c, d, h, g);
        } else {
            soup_add(&s, vec(0, 0, 0), b, a);
            soup_add(&s, vec(0, 0, length), c, d);
        }
    }
    return s;
}

static tks_vec3 torus_point(double major, double minor, int i, int n, int j, int m)
{
    double u = 2 * pi * (i % n) / n, v = 2 * pi * (j % m) / m, r = major + minor * cos(v);
    return vec(r * cos(u), r * sin(u), minor * sin(v));
}

soup soup_torus(double major, double minor, int n, int m)
{
    soup s = {0};
    for (int i = 0; i < n; i++)
        for (int j = 0; j < m; j++)
            add_quad(&s, torus_point(major, minor, i, n, j, m),
                     torus_point(major, minor, i + 1, n, j, m),
                     torus_point(major, minor, i + 1, n, j + 1, m),
                     torus_point(major, minor, i, n, j + 1, m));
    return s;
}

void soup_join(soup *to, const soup *from, tks_vec3 t)
{
    for (size_t i = 0; i < from->count; i++) {
        const double *p = from->xyz + 9 * i;
        soup_add(to, vec(p[0] + t.x, p[1] + t.y, p[2] + t.z),
                 vec(p[3] + t.x, p[4] + t.y, p[5] + t.z), vec(p[6] + t.x, p[7] + t.y, p[8] + t.z));
    }
}

static void swap_numbers(double *a, double *b, int n)
{
    for (int i = 0; i < n; i++) {
        double kept = a[i];
        a[i] = b[i];
        b[i] = kept;
    }
}

void soup_turn_over(soup *s)
{
    for (size_t i = 0; i < s->count; i++) swap_numbers(s->xyz + 9 * i, s->xyz + 9 * i + 3, 3);
}

void soup_scale(soup *s, double factor)
{
    for (size_t i = 0; i < 9 * s->count; i++) s->xyz[i] *= factor;
}

static uint64_t next_random(uint64_t *state)
{
    uint64_t x = *state += UINT64_C(0x9e3779b97f4a7c15);
    x = (x ^ x >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    x = (x ^ x >> 27) * UINT64_C(0x94d049bb133111eb);
    return x ^ x >> 31;
}

void soup_shuffle(soup *s, uint64_t seed)
{
    for (size_t i = s->count; i > 1; i--) {
        size_t j = (size_t)(next_random(&seed) % i);
        if (j != i - 1) swap_numbers(s->xyz + 9 * j, s->xyz + 9 * (i - 1), 9);
    }
}

tks_mesh soup_mesh(const soup *s)
{
    tks_mesh mesh = {0};
    tks_error err;
    if (tks_mesh_from_triangles(s->xyz, s->count, &mesh, &err) != TKS_OK) fail_msg("%s", err.text);
    return mesh;
}

/* Box and Muller. */
static double normal(uint64_t *state)
{
    double u = ((double)(next_random(state) >> 11) + 0.5) * 0x1p-53;
    double v = ((double)(next_random(state) >> 11) + 0.5) * 0x1p-53;
    return sqrt(-2 * log(u)) * cos(2 * pi * v);
}

void mesh_add_noise(tks_mesh *mesh, double s, uint64_t seed)
{
    for (size_t i = 0; i < 3 * mesh->vertex_count; i++) mesh->xyz[i] += s * normal(&seed);
}

const char *scratch_path(const char *ending)
{
    static char paths[4][256];
    static int turn;
    const char *folder = getenv("TMPDIR");
    turn = (turn + 1) % 4;
    snprintf(paths[turn], sizeof paths[turn], "%s/tankside-%d-%s", folder ? folder : "/tmp",
             (int)getpid(), ending);
    return paths[turn];
}

void write_bytes(const char *path, const void *bytes, size_t length)
{
    FILE *file = fopen(path, "wb");
    if (!file || fwrite(bytes, 1, length, file) != length || fclose(file))
        fail_msg("cannot write %s", path);
}

void write_text(const char *path, const char *text)
{
    write_bytes(path, text, strlen(text));
}

void soup_write_binary(const soup *s, const char *path, const char *title)
{
    size_t length = 84 + 50 * s->count;
    unsigned char *bytes = calloc(length, 1);
    if (!bytes) fail_msg("out of memory");
    memcpy(bytes, title, strlen(title) < 80 ? strlen(title) : 80);
    for (int i = 0; i < 4; i++) bytes[80 + i] = (unsigned char)(s->count >> (8 * i) & 255);
    for (size_t i = 0; i < s->count; i++)
        for (size_t k = 0; k < 9; k++) {
            float single = (float)s->xyz[9 * i + k];
            memcpy(bytes + 84 + 50 * i + 12 + 4 * k, &single, 4);
        }
    write_bytes(path, bytes, length);
    free(bytes);
}

void soup_write_ascii(const soup *s, const char *path)
{
    FILE *file = fopen(path, "w");
    if (!file) fail_msg("cannot write %s", path);
    fprintf(file, "solid made for a test\n");
    for (size_t i = 0; i < s->count; i++) {
        fprintf(file, " facet normal 0 0 0\n  outer loop\n");
        for (size_t k = 0; k < 3; k++) {
            const double *p = s->xyz + 9 * i + 3 * k;
            fprintf(file, "   vertex %.9g %.9g %.9g\n", p[0], p[1], p[2]);
        }
        fprintf(file, "  endloop\n endfacet\n");
    }
    fprintf(file, "endsolid made for a test\n");
    if (fclose(file)) fail_msg("cannot write %s", path);
}
