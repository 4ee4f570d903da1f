/* Speed of reading and checking meshes: ratios to `cat FILE >/dev/null` and to other libraries, all
 * in one run, each in a process of its own. `bench_mesh_peers 50` also takes a mesh of 50
 * million triangles. The meshes are tori with 2 n m facets. */
#include "peers/peers.h"
#include "tankside/mesh.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { REPEATS = 5 };

typedef struct run {
    double seconds, work, mebibytes; /* best of the repeats: by the clock, of the processors; peak
                                        resident memory */
} run;

/* ------------------------------------------------------------------ what is measured */

static const tks_mesh_options millimetres = {.unit = 1e-3};

static int run_cat(const char *path)
{
    char command[300];
    snprintf(command, sizeof command, "exec cat %s >/dev/null", path);
    return system(command);
}

static int run_size(const char *path, int threads)
{
    tks_mesh_size size;
    return tks_mesh_size_read(path, &millimetres, threads, &size, NULL) != TKS_OK;
}

static int run_one_thread(const char *path)
{
    return run_size(path, 1);
}

static int run_two_threads(const char *path)
{
    return run_size(path, 2);
}

static int run_check(const char *path)
{
    static const tks_check_options quick;
    tks_mesh mesh;
    tks_mesh_health health;
    return tks_mesh_load(path, &millimetres, &mesh, NULL) != TKS_OK ||
           tks_mesh_check(&mesh, &quick, &health, NULL) != TKS_OK;
}

static int run_openmesh(const char *path)
{
    peer_figures figures;
    return peer_openmesh(path, &figures);
}

static int run_assimp(const char *path)
{
    peer_figures figures;
    return peer_assimp(path, &figures);
}

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static double seconds_of(struct timeval t)
{
    return (double)t.tv_sec + (double)t.tv_usec * 1e-6;
}

static run measure(int (*what)(const char *path), const char *path, int repeats)
{
    run best = {INFINITY, INFINITY, 0};
    for (int i = 0; i < repeats; i++) {
        struct rusage usage;
        int status = 0;
        double start = now();
        pid_t child = fork();
        if (child == 0) _exit(what(path));
        if (child < 0 || wait4(child, &status, 0, &usage) < 0 || status)
            return (run){NAN, NAN, NAN};
        best.seconds = fmin(best.seconds, now() - start);
        best.work = fmin(best.work, seconds_of(usage.ru_utime) + seconds_of(usage.ru_stime));
        best.mebibytes = (double)usage.ru_maxrss / 1024;
    }
    return best;
}

/* ------------------------------------------------------------------ the meshes */

static void torus_point(float *to, long i, long n, long j, long m)
{
    double u = 2 * 3.14159265358979323846 * (double)(i % n) / (double)n;
    double v = 2 * 3.14159265358979323846 * (double)(j % m) / (double)m;
    double r = 12 + 1.2 * sin(7 * u) * sin(5 * v), out = 40 + r * cos(v);
    to[0] = (float)(out * cos(u));
    to[1] = (float)(out * sin(u));
    to[2] = (float)(r * sin(v));
}

static void torus_facet(float xyz[9], long facet, long n, long m)
{
    long i = facet / 2 / m, j = facet / 2 % m, second = facet % 2;
    torus_point(xyz, i, n, j, m);
    torus_point(xyz + 3, i + 1, n, j + second, m);
    torus_point(xyz + 6, i + !second, n, j + 1, m);
}

static void write_binary(FILE *file, const float xyz[9])
{
    float record[12] = {0};
    memcpy(record + 3, xyz, 9 * sizeof *xyz);
    fwrite(record, sizeof record, 1, file);
    fwrite("\0", 2, 1, file);
}

/* order: step of the walk over the facets, without a common factor with their number; 1: in file
 * order. */
static void write_stl(const char *path, long n, long m, long order)
{
    FILE *file = fopen(path, "wb");
    unsigned count = (unsigned)(2 * n * m);
    char title[80] = "bench";
    if (!file) exit(1);
    fwrite(title, sizeof title, 1, file);
    fwrite(&count, 4, 1, file);
    for (long k = 0; k < 2 * n * m; k++) {
        float xyz[9];
        torus_facet(xyz, (long)((unsigned long)k * (unsigned long)order % count), n, m);
        write_binary(file, xyz);
    }
    fclose(file);
}

static void write_ascii(const char *path, long n, long m)
{
    FILE *file = fopen(path, "w");
    if (!file) exit(1);
    fputs("solid bench\n", file);
    for (long k = 0; k < 2 * n * m; k++) {
        float p[9];
        torus_facet(p, k, n, m);
        fprintf(file, "  facet normal 0.000000e+00 0.000000e+00 1.000000e+00\n    outer loop\n");
        for (int c = 0; c < 3; c++)
            fprintf(file, "      vertex %e %e %e\n", (double)p[3 * c], (double)p[3 * c + 1],
                    (double)p[3 * c + 2]);
        fputs("    endloop\n  endfacet\n", file);
    }
    fputs("endsolid bench\n", file);
    fclose(file);
}

static void write_obj(const char *path, long n, long m)
{
    FILE *file = fopen(path, "w");
    if (!file) exit(1);
    for (long k = 0; k < n * m; k++) {
        float p[3];
        torus_point(p, k / m, n, k % m, m);
        fprintf(file, "v %.6f %.6f %.6f\n", (double)p[0], (double)p[1], (double)p[2]);
    }
    for (long k = 0; k < n * m; k++) {
        long i = k / m, j = k % m, a = k + 1, b = (i + 1) % n * m + j + 1;
        long c = (i + 1) % n * m + (j + 1) % m + 1, d = i * m + (j + 1) % m + 1;
        fprintf(file, "f %ld %ld %ld\nf %ld %ld %ld\n", a, b, c, a, c, d);
    }
    fclose(file);
}

/* Facets that all meet in one vertex (a fan), or all along one edge (a book). */
static void write_hostile(const char *path, long facets, bool book)
{
    FILE *file = fopen(path, "wb");
    unsigned count = (unsigned)facets;
    char title[80] = "bench";
    if (!file) exit(1);
    fwrite(title, sizeof title, 1, file);
    fwrite(&count, 4, 1, file);
    for (long k = 0; k < facets; k++) {
        double t = 6.283185307179586 * (double)k / (double)facets;
        double s = 6.283185307179586 * (double)((k + 1) % facets) / (double)facets;
        float xyz[9] = {0,
                        0,
                        0,
                        book ? 0 : (float)(40 * cos(s)),
                        book ? 0 : (float)(40 * sin(s)),
                        book ? 9 : 0,
                        (float)(40 * cos(t)),
                        (float)(40 * sin(t)),
                        0};
        write_binary(file, xyz);
    }
    fclose(file);
}

/* ------------------------------------------------------------------ the rows */

static void tell(const char *what, run r, const char *other, run o)
{
    printf("%-42s %7.3f s %7.3f s of work %5.0f MiB", what, r.seconds, r.work, r.mebibytes);
    if (other)
        printf("  %.2f x %s (%.2f x its work)", r.seconds / o.seconds, other, r.work / o.work);
    printf("\n");
    fflush(stdout);
}

/* Gives the run with one thread. */
static run bench_area(const char *path, const char *name)
{
    char what[80];
    run cat = measure(run_cat, path, REPEATS), one = measure(run_one_thread, path, REPEATS);
    snprintf(what, sizeof what, "%s to area, 1 thread", name);
    tell(what, one, "cat", cat);
    snprintf(what, sizeof what, "%s to area, 2 threads", name);
    tell(what, measure(run_two_threads, path, REPEATS), "cat", cat);
    return one;
}

static void bench_text(const char *path, const char *name)
{
    run own = bench_area(path, name);
    tell("  assimp reading the same", measure(run_assimp, path, 2), "our 1 thread", own);
}

static void bench_check(const char *path, const char *name, bool peers)
{
    char what[80];
    run own = measure(run_check, path, 3);
    snprintf(what, sizeof what, "%s: load and quick check", name);
    tell(what, own, NULL, own);
    if (peers) tell("  OpenMesh loading the same", measure(run_openmesh, path, 1), "ours", own);
}

int main(int argc, char **argv)
{
    char path[64];
    snprintf(path, sizeof path, "/tmp/tankside-bench-%d.stl", (int)getpid());
    long most = argc > 1 ? atol(argv[1]) : 10;
    write_stl(path, 1000, 500, 1);
    bench_area(path, "binary STL, 1 M triangles");
    bench_check(path, "1 M triangles", true);
    write_stl(path, 2000, 1250, 1);
    bench_area(path, "binary STL, 5 M triangles");
    bench_check(path, "5 M triangles", false);
    write_stl(path, 2000, 1250, 2999999);
    bench_check(path, "5 M triangles, shuffled", false);
    write_hostile(path, 1000000, false);
    bench_check(path, "1 M triangles about one vertex", false);
    write_hostile(path, 1000000, true);
    bench_check(path, "1 M triangles on one edge", false);
    write_ascii(path, 1000, 500);
    bench_text(path, "ASCII STL, 1 M triangles");
    unlink(path);
    strcpy(strrchr(path, '.'), ".obj");
    write_obj(path, 1000, 500);
    bench_text(path, "OBJ, 1 M triangles");
    unlink(path);
    strcpy(strrchr(path, '.'), ".stl");
    write_stl(path, 3162, 1582, 1);
    bench_area(path, "binary STL, 10 M triangles");
    if (most >= 50) {
        write_stl(path, 5000, 5000, 1);
        bench_area(path, "binary STL, 50 M triangles");
        bench_check(path, "50 M triangles", false);
    }
    unlink(path);
    return 0;
}
