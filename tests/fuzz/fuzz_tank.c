/* Any bytes read as a tank, as readings of the ammeter, and as a bench log's entries: no crash, no
 * hang, and what is accepted can be reckoned with. */
#include "tankside/adjust.h"
#include "tankside/plan.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* A plate in the tank: planned, or refused with a reason. */
static void plan_in(tks_arena *arena, const tks_tank *tank)
{
    static const tks_surface face = {TKS_OUTSIDE, 0.01, -1, 0};
    tks_part part = {.item = {.name = "plate", .count = 5, .surfaces = &face, .surface_count = 1},
                     .material = "",
                     .grade = "",
                     .hardness = ""};
    tks_load load = {.first = &part, .part_count = 1};
    tks_cautions cautions = tks_cautions_new(arena);
    tks_plan plan;
    tks_error err = {0};
    tks_status status = tks_plan_make(arena, &load, tank, &cautions, &plan, &err);
    if (status ? !err.text[0] : !(plan.charge > 0 && isfinite(plan.charge))) abort();
}

static void reckon(const tks_reading *readings, size_t count)
{
    tks_progress progress;
    tks_error err = {0};
    tks_status status =
        tks_adjust(tks_bath_default(), 0.02, 8e-6, readings, count, &progress, &err);
    if (status ? !err.text[0] : !(progress.charge >= 0 && progress.left >= 0)) abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const tks_limits limits = {1 << 20, 10000, 200, 32};
    tks_reader *reader;
    const tks_node *root = NULL;
    tks_arena *arena = tks_arena_new();
    if (!arena) return 0;
    if (!tks_reader_memory("fuzz", (const char *)data, size, &limits, &reader, NULL)) {
        while (!tks_reader_next(reader, arena, &root, NULL) && root) {
            tks_tank tank;
            tks_reading *readings;
            size_t count;
            if (!tks_tank_read(arena, root, "fuzz", &tank, NULL)) plan_in(arena, &tank);
            if (!tks_readings_read(arena, root, "fuzz", &readings, &count, NULL))
                reckon(readings, count);
            tks_arena_reset(arena);
        }
        tks_reader_close(reader);
    }
    tks_arena_free(arena);
    return 0;
}
