/* A program that uses the installed library: it describes a rod, asks for its area and for the
 * setting that belongs to it. It compiles as C and as C++. */
#include <tankside/tankside.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char rod[] =
    "part: rod\npieces:\n  - {shape: cylinder, diameter: 8 mm, length: 170 mm}\n";

/* The load's names live in the arena; its area is a number. */
static tks_status measure(tks_arena *arena, tks_shapes *shapes, double *area, tks_error *err)
{
    tks_cautions cautions = tks_cautions_new(arena);
    tks_part_reading reading;
    tks_load load;
    tks_reader *reader = NULL;
    const tks_node *root = NULL;
    memset(&reading, 0, sizeof reading);
    memset(&load, 0, sizeof load);
    reading.shapes = shapes;
    reading.arena = reading.scratch = arena;
    reading.cautions = &cautions;
    reading.keep_bodies = true;
    tks_status status = tks_reader_memory("rod", rod, sizeof rod - 1, NULL, &reader, err);
    if (!status) status = tks_reader_next(reader, arena, &root, err);
    if (!status) status = tks_load_read(&reading, root, "rod", &load, err);
    if (!status) *area = load.total;
    tks_reader_close(reader);
    return status;
}

int main(void)
{
    /* The lateral area and both ends of a cylinder, by hand. */
    const double want = 3.14159265358979324 * (0.008 * 0.170 + 2 * 0.004 * 0.004);
    double area = 0;
    tks_error err;
    tks_setting setting;
    tks_shapes *shapes = NULL;
    tks_arena *arena = tks_arena_new();
    memset(&err, 0, sizeof err);
    tks_status status = arena ? tks_shapes_new(&shapes, &err) : TKS_EMEMORY;
    if (!status) status = measure(arena, shapes, &area, &err);
    if (!status) status = tks_set(tks_bath_default(), area, area, 0, 8e-6, &setting, &err);
    tks_shapes_free(shapes);
    tks_arena_free(arena);
    if (status) {
        fprintf(stderr, "%s: %s\n", tks_status_name(status), err.text);
        return 1;
    }
    printf("rod: %.2f cm2, %.3f A for %.0f min\n", area * 1e4, setting.current, setting.time / 60);
    return fabs(area - want) <= 1e-12 * want ? 0 : 1;
}
