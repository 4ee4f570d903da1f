/* Speed of `tankside area` on long lists of described parts, against what any program that reads
 * the same file must spend: libyaml's bare event loop, and `cat`. Each is a process of its own.
 * The target is twice the event loop, on a machine with a second core free: the reader hands parts
 * to a thread. Below 20 MiB for 1,000 parts, and 5 ms for a single shape.
 * Written for the program in $TANKSIDE; `bench_area 100000` measures so many parts as well. */
#include <yaml.h>

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { REPEATS = 9, MOST_WORDS = 8 };

typedef struct run {
    double seconds;
    double mebibytes; /* peak resident memory */
} run;

/* ---- what is measured */

/* Ten shapes of a part, whose sizes vary with the part's number. Flow style, so that the event loop
 * reads them as well. */
static const char *const shapes[] = {
    "shape: cylinder, diameter: %d mm, length: 40 mm",
    "shape: tube, outside: %d mm, wall: 1.5 mm, length: 60 mm, contact: 20 mm^2",
    "shape: plate, length: 60 mm, width: %d mm, thickness: 3 mm, holes: [{diameter: 5 mm, count: "
    "2}]",
    "shape: washer, outside: %d mm, inside: 6.4 mm, thickness: 1.6 mm, count: 4",
    "shape: bent sheet, width: %d mm, thickness: 2 mm, legs: [40 mm, 25 mm], bends: [{angle: 90 "
    "deg, "
    "inside radius: 2 mm}]",
    "shape: bent rod, diameter: 8 mm, path: [{straight: %d mm}, {bend: 90 deg, radius: 20 mm}, "
    "{straight: 40 mm}]",
    "shape: spring, mean diameter: %d mm, wire: 1.2 mm, pitch: 4 mm, turns: 8",
    "shape: angle, leg: %d mm, thickness: 3 mm, length: 80 mm",
    "shape: hexagon, across flats: %d mm, length: 20 mm, bore: 6.6 mm",
    "shape: cone, base diameter: %d mm, top diameter: 8 mm, height: 1 1/2 in",
};

enum { SHAPES = sizeof shapes / sizeof shapes[0] };

static void write_part(FILE *to, int number)
{
    fprintf(to, "  - part: bracket %d\n    count: %d\n    pieces:\n", number, 1 + number % 7);
    for (int i = 0; i < SHAPES; i++) {
        fputs("      - {", to);
        fprintf(to, shapes[i], 20 + (number * 7 + i) % 23);
        fputs("}\n", to);
    }
}

static void write_load(const char *path, int parts)
{
    FILE *to = fopen(path, "w");
    if (!to) exit(1);
    fputs("load: bench\nparts:\n", to);
    for (int i = 0; i < parts; i++) write_part(to, i);
    if (fclose(to)) exit(1);
}

/* The bare event loop, run in a child: `bench_area --events FILE`. */
static int read_events(const char *path)
{
    yaml_parser_t parser;
    yaml_event_t event;
    FILE *from = fopen(path, "r");
    if (!from || !yaml_parser_initialize(&parser)) return 1;
    yaml_parser_set_input_file(&parser, from);
    for (int last = 0; !last;) {
        if (!yaml_parser_parse(&parser, &event)) return 1;
        last = event.type == YAML_STREAM_END_EVENT;
        yaml_event_delete(&event);
    }
    yaml_parser_delete(&parser);
    fclose(from);
    return 0;
}

/* ---- measuring */

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void become(const char *const *words)
{
    int nowhere = open("/dev/null", O_WRONLY);
    dup2(nowhere, STDOUT_FILENO);
    char *copies[MOST_WORDS + 1] = {NULL};
    for (int i = 0; words[i] && i < MOST_WORDS; i++) copies[i] = strdup(words[i]);
    execvp(copies[0], copies);
    _exit(127);
}

static run run_once(const char *const *words)
{
    struct rusage usage;
    int status = 0;
    double start = now();
    pid_t child = fork();
    if (child == 0) become(words);
    if (child < 0 || wait4(child, &status, 0, &usage) != child || status != 0) {
        fprintf(stderr, "bench_area: %s %s failed\n", words[0], words[1]);
        exit(1);
    }
    return (run){now() - start, (double)usage.ru_maxrss / 1024};
}

static int by_seconds(const void *a, const void *b)
{
    double x = ((const run *)a)->seconds, y = ((const run *)b)->seconds;
    return (x > y) - (x < y);
}

/* Medians of several runs of each, taken in turn, so that a busy machine slows all alike. */
static void run_all(const char *const *const *commands, int count, int repeats, run *medians)
{
    run runs[4][REPEATS];
    for (int k = 0; k < repeats; k++)
        for (int i = 0; i < count; i++) runs[i][k] = run_once(commands[i]);
    for (int i = 0; i < count; i++) {
        qsort(runs[i], (size_t)repeats, sizeof runs[i][0], by_seconds);
        medians[i] = runs[i][repeats / 2];
    }
}

/* ---- the report */

static const char *verdict(double value, double most)
{
    return value <= most ? "" : "  (over the target)";
}

/* Time of tankside for so many parts [s]. */
static double measure_list(const char *self, const char *program, const char *path, int parts,
                           int repeats)
{
    const char *const area[] = {program, "area", path, NULL};
    const char *const events[] = {self, "--events", path, NULL};
    const char *const cat[] = {"cat", path, NULL};
    const char *const *const commands[] = {area, events, cat};
    run medians[3];
    write_load(path, parts);
    run_all(commands, 3, repeats, medians);
    double ratio = medians[0].seconds / medians[1].seconds;
    printf("%6d parts x %d shapes: %.1f ms, %.2f times libyaml's event loop%s, %.0f times cat, "
           "%.1f MiB%s\n",
           parts, SHAPES, medians[0].seconds * 1e3, ratio, verdict(ratio, 2),
           medians[0].seconds / medians[2].seconds, medians[0].mebibytes,
           verdict(medians[0].mebibytes, parts > 1000 ? 1e9 : 20));
    unlink(path);
    return medians[0].seconds;
}

static void measure_start(const char *program)
{
    const char *const area[] = {program, "area", "cylinder", "diameter=8mm", "length=170mm", NULL};
    const char *const *const commands[] = {area};
    run median;
    run_all(commands, 1, REPEATS, &median);
    printf("one shape on the command line: %.2f ms%s, %.1f MiB\n", median.seconds * 1e3,
           verdict(median.seconds * 1e3, 5), median.mebibytes);
}

int main(int argc, char **argv)
{
    if (argc == 3 && !strcmp(argv[1], "--events")) return read_events(argv[2]);
    const char *program = getenv("TANKSIDE");
    char path[64];
    snprintf(path, sizeof path, "/tmp/bench_area.%ld.yaml", (long)getpid());
    if (!program) program = "build/tankside";
    measure_start(program);
    double few = measure_list(argv[0], program, path, 1000, REPEATS);
    double many = measure_list(argv[0], program, path, 10000, 3);
    printf("10 times the parts take %.1f times as long\n", many / few);
    if (argc > 1) {
        int most = atoi(argv[1]);
        double all = measure_list(argv[0], program, path, most, 1);
        printf("%g times the parts take %.1f times as long\n", most / 1e3, all / few);
    }
    return 0;
}
