#include "text/reader.h"

#include "base/alloc.h"

#include <string.h>

/* Deeper than any description needs; it bounds the recursions over a tree. */
enum { DEEPEST = 200 };

tks_limits tks_limits_default(void)
{
    return (tks_limits){
        .bytes = (size_t)256 << 20, .nodes = 4000000, .aliases = 10000, .depth = 32};
}

/* ------------------------------------------------------------------ opening and closing */

static int give(void *reader, unsigned char *to, size_t size, size_t *given)
{
    text_respelling *respelling = &((tks_reader *)reader)->respelling;
    *given = text_respelling_give(respelling, (char *)to, size);
    return !respelling->failed;
}

static tks_status out_of_memory(const char *file, tks_error *err)
{
    return tks_fail(err, TKS_EMEMORY, (tks_place){file, 0, 0}, "out of memory");
}

static tks_status new_reader(const char *name, const tks_limits *limits, tks_reader **reader,
                             tks_error *err)
{
    tks_reader *r = base_alloc(1, sizeof *r);
    if (!r) return out_of_memory(name, err);
    r->tree.limits = limits ? *limits : tks_limits_default();
    int *depth = &r->tree.limits.depth;
    *depth = *depth < 1 ? 1 : *depth > DEEPEST ? DEEPEST : *depth;
    r->tree.open = base_alloc((size_t)*depth, sizeof *r->tree.open);
    r->parsing = r->tree.open && yaml_parser_initialize(&r->parser);
    if (!r->parsing) {
        tks_reader_close(r);
        return out_of_memory(name, err);
    }
    yaml_parser_set_encoding(&r->parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input(&r->parser, give, r);
    *reader = r;
    return TKS_OK;
}

static tks_status begin(tks_reader *r, tks_status status, tks_reader **reader)
{
    if (status) {
        tks_reader_close(r);
        return status;
    }
    r->tree.file = r->source.name;
    text_respelling_start(&r->respelling, r->source.text, r->source.length);
    *reader = r;
    return TKS_OK;
}

tks_status tks_reader_open(const char *path, const tks_limits *limits, tks_reader **reader,
                           tks_error *err)
{
    tks_reader *r = NULL;
    tks_status status = new_reader(path, limits, &r, err);
    if (status) return status;
    return begin(r, text_source_open(&r->source, path, r->tree.limits.bytes, err), reader);
}

tks_status tks_reader_memory(const char *name, const char *text, size_t length,
                             const tks_limits *limits, tks_reader **reader, tks_error *err)
{
    tks_reader *r = NULL;
    tks_status status = new_reader(name, limits, &r, err);
    if (status) return status;
    status = text_source_memory(&r->source, name, text, length, r->tree.limits.bytes, err);
    return begin(r, status, reader);
}

void tks_reader_close(tks_reader *reader)
{
    if (!reader) return;
    if (reader->parsing) yaml_parser_delete(&reader->parser);
    text_respelling_end(&reader->respelling);
    text_source_close(&reader->source);
    text_stream_free(&reader->tree.stream);
    base_free(reader->tree.anchors);
    base_free(reader->tree.open);
    base_free(reader);
}

const char *tks_reader_name(const tks_reader *reader)
{
    return reader->source.name;
}

const char *tks_reader_line(const tks_reader *reader, int line, size_t *length)
{
    return text_source_line(&reader->source, line, length);
}

void text_reader_formulas(tks_reader *reader)
{
    reader->tree.formulas = true;
}

/* ------------------------------------------------------------------ reading a document */

tks_place text_place(const char *file, yaml_mark_t mark)
{
    return (tks_place){file, (int)mark.line + 1, (int)mark.column + 1};
}

/* Whether the event is the end of the list whose unit was moved into it. An event beyond that
 * place, without it, means that the text was no such list: then nothing may be made of it. */
static tks_status match_respelling(tks_reader *r, const yaml_event_t *event, bool *respelt,
                                   tks_error *err)
{
    const text_respelt *one = text_respelling_first(&r->respelling);
    *respelt = false;
    if (!one) return TKS_OK;
    int line = (int)event->start_mark.line, column = (int)event->start_mark.column;
    if (line < one->line || (line == one->line && column < one->column)) return TKS_OK;
    *respelt = line == one->line && column == one->column && event->type == YAML_SEQUENCE_END_EVENT;
    if (!*respelt)
        return tks_fail(err, TKS_ESYNTAX,
                        (tks_place){r->source.name, one->line + 1, one->column + 1},
                        "a unit behind ']' cannot stand here; put quotes around the text");
    text_respelling_drop(&r->respelling);
    return TKS_OK;
}

static tks_status check_root(const tks_reader *r, tks_error *err)
{
    const tks_node *root = r->tree.root;
    if (root && (root->kind != TKS_SCALAR || root->length || root->quoted)) return TKS_OK;
    tks_place at = {r->source.name, root ? root->line : 0, root ? root->column : 0};
    return tks_fail(err, TKS_ESYNTAX, at, "document %zu of the file is empty", r->documents);
}

static tks_status end_stream(tks_reader *r, tks_error *err)
{
    r->ended = true;
    if (r->documents) return TKS_OK;
    return tks_fail(err, TKS_ESYNTAX, (tks_place){r->source.name, 0, 0},
                    r->source.length ? "the file is empty but for blank lines and comments"
                                     : "the file is empty");
}

/* What one event does; *done at the end of a document or of the file. */
static tks_status take_event(tks_reader *r, const yaml_event_t *event, tks_arena *arena, bool *done,
                             tks_error *err)
{
    bool respelt = false;
    tks_status status = match_respelling(r, event, &respelt, err);
    if (status) return status;
    *done = event->type == YAML_DOCUMENT_END_EVENT || event->type == YAML_STREAM_END_EVENT;
    switch (event->type) {
    case YAML_NO_EVENT:
    case YAML_STREAM_START_EVENT: return TKS_OK;
    case YAML_STREAM_END_EVENT: return end_stream(r, err);
    case YAML_DOCUMENT_START_EVENT:
        r->documents++;
        text_tree_start(&r->tree, arena);
        return TKS_OK;
    case YAML_DOCUMENT_END_EVENT: return check_root(r, err);
    default: return text_tree_add(&r->tree, event, respelt, err);
    }
}

static tks_status read_document(tks_reader *r, tks_arena *arena, tks_error *err)
{
    bool done = r->ended;
    r->tree.root = NULL;
    while (!done) {
        yaml_event_t event;
        if (!yaml_parser_parse(&r->parser, &event)) return text_parser_problem(r, err);
        tks_status status = take_event(r, &event, arena, &done, err);
        yaml_event_delete(&event);
        if (status) return status;
    }
    return TKS_OK;
}

tks_status tks_reader_next(tks_reader *reader, tks_arena *arena, const tks_node **root,
                           tks_error *err)
{
    if (!reader->failure.code && !read_document(reader, arena, &reader->failure)) {
        *root = reader->tree.root;
        return TKS_OK;
    }
    if (err) *err = reader->failure;
    return reader->failure.code;
}

tks_status tks_reader_stream(tks_reader *reader, tks_arena *arena, const char *first,
                             const char *key, tks_take *take, void *context, const tks_node **root,
                             tks_error *err)
{
    text_stream *stream = &reader->tree.stream;
    tks_error failure;
    stream->first = first;
    stream->key = key;
    stream->take = take;
    stream->context = context;
    tks_status status = tks_reader_next(reader, arena, root, err);
    tks_status earlier = text_stream_finish(stream, &failure);
    text_stream_end(stream);
    if (!earlier) return status;
    reader->failure = failure; /* of an item that stands before whatever else was wrong */
    if (err) *err = failure;
    return earlier;
}
