/* Speed and memory of the field, and the finite elements' (gmsh and getdp, where they are
 * installed) on the same tank at equal error. A tank of 300 x 200 x 200 mm, two anodes, two rods of
 * 8 mm, a sheet of 2 mm; polarisation length 20 mm. */
#include "support/fields.h"

#include "base/vec.h"

#include <stdlib.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>

enum { PARTS = 3, FIRST_PART = 2 };

typedef struct timing {
    double wall, cpu;
} timing;

static timing now(void)
{
    struct timespec wall, cpu;
    clock_gettime(CLOCK_MONOTONIC, &wall);
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &cpu);
    return (timing){(double)wall.tv_sec + 1e-9 * (double)wall.tv_nsec,
                    (double)cpu.tv_sec + 1e-9 * (double)cpu.tv_nsec};
}

static timing since(timing start)
{
    timing t = now();
    return (timing){t.wall - start.wall, t.cpu - start.cpu};
}

/* Currents of the parts at 1 V and 1 S/m. */
static void part_flows(const tks_field *field, double flow[PARTS])
{
    for (int i = 0; i < PARTS; i++) {
        tks_field_spread spread;
        if (tks_field_spread_of(field, FIRST_PART + i, TKS_FIELD_EVERY, &spread, NULL)) exit(1);
        flow[i] = spread.mean.value * spread.area;
    }
}

static double worst(const double got[PARTS], const double want[PARTS])
{
    double most = 0;
    for (int i = 0; i < PARTS; i++) most = fmax(most, fabs(got[i] / want[i] - 1));
    return most;
}

/* One aim: from nothing (all levels, with the error estimate), then again with another
 * polarisation. Returns the seconds from nothing. */
static double measure(size_t elements, double flow[PARTS], bool print)
{
    stage s = {0};
    stage_rack(&s);
    tks_field_options options = {.elements = elements};
    tks_field_bath bath = stage_bath(1, 0.02);
    tks_field_drive volt = {.voltage = 1};
    timing start = now();
    tks_field *field = stage_solve(&s, &options, &bath, &volt);
    timing first = since(start);
    part_flows(field, flow);
    tks_field_summary summary = tks_field_summarise(field);
    bath = stage_bath(1, 0.01);
    start = now();
    if (tks_field_solve(field, &bath, &volt, NULL)) exit(1);
    timing again = since(start);
    if (print)
        printf("%7zu  %7zu  %8.2f %8.2f  %8.2f %8.2f  %6.0f  %4d\n", summary.elements,
               summary.coarse_elements, first.wall, first.cpu, again.wall, again.cpu,
               (double)summary.bytes * 1e-6, summary.iterations);
    tks_field_free(field);
    stage_free(&s);
    return first.wall;
}

/* ------------------------------------------------------------------ finite elements */

/* Runs gmsh and getdp on tests/bench/field; false when they are not there. */
static bool finite_elements(double flow[PARTS], double *seconds)
{
    if (system("command -v gmsh >/dev/null && command -v getdp >/dev/null")) return false;
    char folder[] = "/tmp/bench_field_XXXXXX", command[400];
    if (!mkdtemp(folder)) return false;
    snprintf(command, sizeof command,
             "cp tests/bench/field/rack.* %s && cd %s && gmsh -3 -format msh2 -setnumber SIZE "
             "0.002 rack.geo -o rack.msh >log 2>&1 && getdp rack.pro -msh rack.msh -solve solve "
             "-pos means >>log 2>&1 && grep Dofs log",
             folder, folder);
    timing start = now();
    bool ready = system(command) == 0;
    *seconds = since(start).wall;
    snprintf(command, sizeof command, "%s/flow.txt", folder);
    FILE *file = ready ? fopen(command, "r") : NULL;
    for (int i = 0; file && i < PARTS; i++)
        if (fscanf(file, "%*s %lf", &flow[i]) != 1) ready = false;
    if (file) fclose(file);
    snprintf(command, sizeof command, "rm -r %s", folder);
    return system(command) == 0 && ready && file;
}

static void compare(const double want[PARTS])
{
    double theirs[PARTS], ours[PARTS], seconds;
    if (!finite_elements(theirs, &seconds)) {
        puts("gmsh and getdp are not installed: no comparison");
        return;
    }
    double error = worst(theirs, want);
    printf("finite elements: %.2f s, worst current of a part %.2f %% off\n", seconds, 100 * error);
    for (size_t n = 1000; n <= 16000; n *= 2) {
        double wall = measure(n, ours, false);
        printf("%zu elements: %.2f s, %.2f %% off\n", n, wall, 100 * worst(ours, want));
        if (worst(ours, want) > error) continue;
        printf("at no more than their error: %.0f times as fast\n", seconds / wall);
        return;
    }
}

int main(void)
{
    static const size_t aims[] = {5000, 8000, 20000, 50000};
    double flow[PARTS];
    puts("    elements        from nothing [s]      again [s]        MB  iterations\n"
         "   fine   coarse      wall      cpu      wall      cpu");
    for (size_t i = 0; i < sizeof aims / sizeof *aims; i++) measure(aims[i], flow, true);
    struct rusage used;
    getrusage(RUSAGE_SELF, &used);
    printf("most memory of the whole program: %.0f MB\n", (double)used.ru_maxrss / 1024);
    compare(flow);
    return 0;
}
