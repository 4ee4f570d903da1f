/* How many thread areas the library gives in a second, and how long the program takes over a list
 * of 500 lines of fasteners (whole process, median and best of 21). */
#include "tankside/thread.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void run(const char *name, tks_thread_form form, bool basic)
{
    enum { COUNT = 1000000 };
    double sum = 0, start = seconds();
    for (int i = 0; i < COUNT; i++) {
        tks_thread thread = {
            .form = form, .diameter = 8e-3 + 1e-9 * i, .pitch = 1.25e-3, .basic = basic};
        tks_thread_profile profile;
        if (tks_thread_profile_of(&thread, &profile, NULL) == TKS_OK)
            sum += tks_thread_area_per_pitch(&profile);
    }
    double taken = seconds() - start;
    printf("thread areas, %-22s %6.2f million/s  (mean %.6g mm2)\n", name, COUNT / taken / 1e6,
           sum / COUNT * 1e6);
}

/* ------------------------------------------------------------------ a list of fasteners */

enum { LINES = 500, REPEATS = 21 };

static void write_list(const char *path)
{
    static const char *const kinds[] = {
        "hexagon bolt", "hexagon screw", "socket cap screw", "countersunk screw", "set screw",
        "threaded rod", "stud"};
    static const char *const bare[] = {"hexagon nut", "thin nut", "plain washer"};
    static const char *const threads[] = {"M4",  "M5",         "M6",      "M8x1.25",
                                          "M10", "1/4-20 UNC", "5/16 UNF"};
    FILE *f = fopen(path, "w");
    if (!f) exit(1);
    fprintf(f, "part: fasteners\npieces:\n");
    for (int i = 0; i < LINES; i++) {
        const char *thread = threads[i % 7];
        if (i % 3 == 0)
            fprintf(f, "  - {shape: %s, thread: %s, count: %d}\n", bare[i / 3 % 3], thread,
                    1 + i % 9);
        else
            fprintf(f, "  - {shape: %s, thread: %s, length: %d mm, count: %d}\n", kinds[i / 7 % 7],
                    thread, 60 + i % 40, 1 + i % 9);
    }
    fclose(f);
}

static double once(const char *program, const char *list, double *cpu)
{
    double start = seconds();
    pid_t child = fork();
    if (child == 0) {
        int nowhere = open("/dev/null", O_WRONLY);
        dup2(nowhere, 1);
        execl(program, program, "area", list, (char *)NULL);
        _exit(127);
    }
    struct rusage usage;
    int status = 0;
    wait4(child, &status, 0, &usage);
    if (status != 0) exit(1);
    *cpu = (double)usage.ru_utime.tv_sec + 1e-6 * (double)usage.ru_utime.tv_usec +
           (double)usage.ru_stime.tv_sec + 1e-6 * (double)usage.ru_stime.tv_usec;
    return seconds() - start;
}

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void run_list(const char *program)
{
    char path[] = "/tmp/bench_threads_XXXXXX";
    int file = mkstemp(path);
    if (file < 0) exit(1);
    close(file);
    write_list(path);
    double wall[REPEATS], cpu[REPEATS];
    for (int i = 0; i < REPEATS; i++) wall[i] = once(program, path, &cpu[i]);
    unlink(path);
    qsort(wall, REPEATS, sizeof *wall, ascending);
    qsort(cpu, REPEATS, sizeof *cpu, ascending);
    printf("list of %d fasteners: %.1f ms (best %.1f), processor %.1f ms (best %.1f)\n", LINES,
           1e3 * wall[REPEATS / 2], 1e3 * wall[0], 1e3 * cpu[REPEATS / 2], 1e3 * cpu[0]);
}

int main(void)
{
    run("metric, basic profile", TKS_THREAD_METRIC, true);
    run("metric, rounded root", TKS_THREAD_METRIC, false);
    run("whitworth", TKS_THREAD_WHITWORTH, false);
    const char *program = getenv("TANKSIDE");
    if (program) run_list(program);
    return 0;
}
