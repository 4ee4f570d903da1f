/* Any bytes read as a part or a load: no crash, no hang, and areas that are numbers. */
#include "tankside/part.h"

#include <ctype.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Part files, shapes and meshes are looked for beside this file, where nothing is. */
static const char file[] = "/nonexistent/fuzz.yaml";

static void check(const tks_load *load)
{
    if (!(load->total >= 0 && isfinite(load->total))) abort();
    for (const tks_part *p = load->first; p; p = p->next)
        if (!(p->area >= 0 && p->area_low <= p->area && p->area <= p->area_high)) abort();
}

/* A path from the root of the file system, perhaps hidden in an escape, would leave the folder; a
 * fraction or a unit has a letter or figure before its stroke. */
static bool names_a_path(const uint8_t *data, size_t size)
{
    for (size_t i = 0; i < size; i++)
        if (data[i] == '\\' || (data[i] == '/' && (i == 0 || !isalnum(data[i - 1])))) return true;
    return false;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const tks_limits limits = {1 << 16, 5000, 100, 32};
    static tks_shapes *shapes; /* the built-in ones are read once */
    tks_reader *reader = NULL;
    const tks_node *root = NULL;
    tks_load load = {0};
    if (names_a_path(data, size) || (!shapes && tks_shapes_new(&shapes, NULL))) return 0;
    tks_arena *arena = tks_arena_new(), *scratch = tks_arena_new();
    tks_cautions cautions = tks_cautions_new(arena);
    tks_part_reading reading = {
        .shapes = shapes, .arena = arena, .scratch = scratch, .cautions = &cautions};
    if (arena && scratch &&
        !tks_reader_memory(file, (const char *)data, size, &limits, &reader, NULL)) {
        while (!tks_reader_next(reader, arena, &root, NULL) && root)
            if (!tks_load_read(&reading, root, file, &load, NULL)) check(&load);
        tks_reader_close(reader);
    }
    tks_arena_free(scratch);
    tks_arena_free(arena);
    return 0;
}
