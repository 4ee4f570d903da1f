/* Any bytes read as a document: no crash, no hang, and a tree that keeps its promises. */
#include "tankside/document.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Stops the fuzzer when a node is not as the header says. */
static void check(const tks_node *node, int depth)
{
    size_t children = 0;
    if (depth > 32 || node->line < 1 || node->column < 1) abort();
    if (strlen(node->text) != node->length) abort();
    for (const tks_node *child = node->first; child; child = child->next) {
        if ((node->kind == TKS_MAP) != (child->key != NULL)) abort();
        if (child->key && tks_node_get(node, child->key->text) != child) abort();
        check(child, depth + 1);
        children++;
    }
    if (children != node->count) abort();
}

static void show(const tks_reader *reader, const tks_error *err)
{
    char text[256];
    size_t length = 0;
    const char *line = tks_reader_line(reader, err->line, &length);
    tks_error_print(text, sizeof text, err, line, length);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const tks_limits limits = {1 << 20, 10000, 200, 32};
    tks_reader *reader;
    const tks_node *root = NULL;
    tks_error err = {0};
    tks_arena *arena = tks_arena_new();
    if (!arena) return 0;
    if (!tks_reader_memory("fuzz", (const char *)data, size, &limits, &reader, &err)) {
        while (!tks_reader_next(reader, arena, &root, &err) && root) {
            double values[3];
            check(root, 1);
            tks_node_vector(root->first ? root->first : root, "fuzz", TKS_LENGTH, "at", 3, values,
                            &err);
            tks_arena_reset(arena);
        }
        if (err.code) show(reader, &err);
        tks_reader_close(reader);
    }
    tks_arena_free(arena);
    return 0;
}
