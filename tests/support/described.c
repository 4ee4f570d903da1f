#include "support/described.h"

#include "support/near.h"

#include <string.h>

described described_new(void)
{
    described d = {.arena = tks_arena_new(), .scratch = tks_arena_new()};
    assert_non_null(d.arena);
    assert_non_null(d.scratch);
    assert_int_equal(tks_shapes_new(&d.shapes, &d.err), TKS_OK);
    d.cautions = tks_cautions_new(d.arena);
    return d;
}

void described_free(described *d)
{
    tks_shapes_free(d->shapes);
    tks_arena_free(d->scratch);
    tks_arena_free(d->arena);
}

static tks_status make_root(described *d, const tks_node *root, const char *file, tks_body **body)
{
    static const char *const others[] = {"shape"};
    const tks_node *name = tks_node_get(root, "shape");
    const tks_shape *shape = NULL;
    tks_status status = tks_shapes_find(d->shapes, name->text, name->length, NULL,
                                        tks_node_place(name, file), &shape, &d->err);
    if (status) return status;
    return tks_shape_make(shape, root, file, others, 1, d->arena, &d->cautions, "piece", body,
                          &d->err);
}

tks_status described_make(described *d, const char *text, tks_body **body)
{
    tks_reader *reader = NULL;
    const tks_node *root = NULL;
    tks_status status = tks_reader_memory("piece.yaml", text, strlen(text), NULL, &reader, &d->err);
    if (status) return status;
    status = tks_reader_next(reader, d->arena, &root, &d->err);
    if (!status) status = make_root(d, root, "piece.yaml", body);
    tks_reader_close(reader);
    return status;
}

tks_body *described_body(described *d, const char *text)
{
    tks_body *body = NULL;
    if (described_make(d, text, &body))
        fail_msg("%s\n%d:%d: %s", text, d->err.line, d->err.column, d->err.text);
    return body;
}

tks_status described_load(described *d, const char *text, tks_load *load)
{
    tks_reader *reader = NULL;
    const tks_node *root = NULL;
    tks_part_reading reading = {.shapes = d->shapes,
                                .arena = d->arena,
                                .scratch = d->scratch,
                                .cautions = &d->cautions,
                                .sizes = true};
    tks_status status = tks_reader_memory("load.yaml", text, strlen(text), NULL, &reader, &d->err);
    if (status) return status;
    do {
        status = tks_reader_next(reader, d->arena, &root, &d->err);
        if (!status && root) status = tks_load_read(&reading, root, "load.yaml", load, &d->err);
    } while (!status && root);
    tks_reader_close(reader);
    return status;
}

const char *described_replace(described *d, const char *text, const char *old, const char *new_one)
{
    size_t most = strlen(text) * (strlen(new_one) + 1) + 1, used = 0;
    char *copy = tks_arena_take(d->arena, most, 1);
    assert_non_null(copy);
    for (const char *at = text; *at;) {
        bool here = !strncmp(at, old, strlen(old));
        size_t length = here ? strlen(new_one) : 1;
        memcpy(copy + used, here ? new_one : at, length);
        used += length;
        at += here ? strlen(old) : 1;
    }
    return copy;
}
