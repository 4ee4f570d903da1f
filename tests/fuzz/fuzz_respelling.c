/* A text that libyaml reads as it stands must give the same scalars through our reader: units
 * behind lists, which alone are respelt, are not YAML. Outside check: libyaml itself. */
#include "tankside/document.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <yaml.h>

enum { MOST = 4096 };

typedef struct scalars {
    char text[2 * MOST]; /* each ends in a line end */
    size_t length;
} scalars;

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static bool add(scalars *all, const char *text, size_t length)
{
    if (length >= sizeof all->text - all->length) return false;
    memcpy(all->text + all->length, text, length);
    all->length += length;
    all->text[all->length++] = '\n';
    return true;
}

/* False when libyaml refuses the text, or it holds aliases, which we copy. */
static bool read_bare(const uint8_t *data, size_t size, scalars *all)
{
    yaml_parser_t parser;
    bool well = yaml_parser_initialize(&parser), ended = false;
    if (!well) return false;
    yaml_parser_set_encoding(&parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(&parser, data, size);
    while (well && !ended) {
        yaml_event_t event;
        if (!yaml_parser_parse(&parser, &event)) break;
        if (event.type == YAML_SCALAR_EVENT)
            well = add(all, (const char *)event.data.scalar.value, event.data.scalar.length);
        if (event.type == YAML_ALIAS_EVENT) well = false;
        ended = event.type == YAML_STREAM_END_EVENT;
        yaml_event_delete(&event);
    }
    yaml_parser_delete(&parser);
    return well && ended;
}

/* The unit of a list in plain YAML, `[1, 2, mm]`, was its last scalar; lists in it share it. */
static void gather(const tks_node *node, const tks_node *outer_unit, scalars *all)
{
    if (node->kind == TKS_SCALAR && !add(all, node->text, node->length)) abort();
    for (const tks_node *child = node->first; child; child = child->next) {
        if (child->key) gather(child->key, NULL, all);
        gather(child, node->unit, all);
    }
    if (node->unit && node->unit != outer_unit) gather(node->unit, NULL, all);
}

/* Reads as far as ours goes: it refuses more (tags, keys that stand twice, depth). */
static void read_ours(const uint8_t *data, size_t size, scalars *all)
{
    static const char refusal[] = "a unit ";
    tks_reader *reader;
    const tks_node *root;
    tks_error err = {0};
    tks_arena *arena = tks_arena_new();
    if (arena && !tks_reader_memory("fuzz", (const char *)data, size, NULL, &reader, &err)) {
        while (!tks_reader_next(reader, arena, &root, &err) && root) gather(root, NULL, all);
        if (!strncmp(err.text, refusal, strlen(refusal))) abort();
        tks_reader_close(reader);
    }
    tks_arena_free(arena);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static scalars bare, ours;
    bare.length = ours.length = 0;
    /* We strip a byte order mark before the parser counts columns. */
    if (size > MOST || (size && data[0] == 0xEF) || !read_bare(data, size, &bare)) return 0;
    read_ours(data, size, &ours);
    if (ours.length > bare.length || memcmp(bare.text, ours.text, ours.length)) abort();
    return 0;
}
