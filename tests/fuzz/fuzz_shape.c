/* Any bytes read as a shape's file, and a piece of that shape made: no crash, no hang. The input is
 * a shape's file and, behind a line `---`, the piece. */
#include "tankside/shape.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void describe(const tks_shape *shape)
{
    for (size_t i = 0; i < tks_shape_parameters(shape); i++) {
        tks_parameter p = tks_shape_parameter(shape, i);
        if (!p.name || !p.kind || !p.preset || !p.range || !p.about) abort();
    }
}

static void make(const tks_shape *shape, const tks_node *piece, tks_arena *arena)
{
    static const char *const others[] = {"shape"};
    tks_cautions cautions = tks_cautions_new(arena);
    tks_body *body = NULL;
    if (tks_shape_make(shape, piece, "fuzz", others, 1, arena, &cautions, "piece", &body, NULL))
        return;
    if (!isfinite(tks_body_wetted(body)) || !isfinite(body->volume)) abort();
    if (isnan(tks_body_distance(body, (tks_vec3){0.001, 0.002, 0.003}))) abort();
}

/* Where the second document begins. */
static size_t second_document(const char *text, size_t size)
{
    for (size_t i = 1; i + 4 <= size; i++)
        if (text[i - 1] == '\n' && text[i] == '-' && text[i + 1] == '-' && text[i + 2] == '-')
            return i;
    return size;
}

static void run(tks_shapes *shapes, tks_arena *arena, const char *text, size_t size)
{
    static const tks_limits limits = {1 << 16, 5000, 100, 32};
    size_t first = second_document(text, size);
    const tks_shape *shape = NULL;
    const tks_node *root = NULL;
    tks_reader *reader = NULL;
    if (tks_shapes_add(shapes, "fuzz", text, first, &shape, NULL)) return;
    describe(shape);
    if (tks_reader_memory("piece", text + first, size - first, &limits, &reader, NULL)) return;
    if (!tks_reader_next(reader, arena, &root, NULL) && root && root->kind == TKS_MAP)
        make(shape, root, arena);
    tks_reader_close(reader);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    tks_shapes *shapes = NULL;
    tks_arena *arena = tks_arena_new();
    if (arena && !tks_shapes_new(&shapes, NULL)) run(shapes, arena, (const char *)data, size);
    tks_shapes_free(shapes);
    tks_arena_free(arena);
    return 0;
}
