/* Mesh files that are text, in blocks of whole lines. */
#include "base/alloc.h"
#include "mesh/file.h"

#include <string.h>
#include <strings.h>

enum { BLOCK = 1 << 18, LONGEST_LINE = 1 << 24, NEAR = 4096 };

/* One past the last line end that no backslash takes back; 0 when there is none. */
static size_t last_line_end(const char *buffer, size_t length)
{
    while (length) {
        const char *newline = memrchr(buffer, '\n', length);
        if (!newline) return 0;
        length = (size_t)(newline - buffer);
        const char *before = newline;
        if (before > buffer && before[-1] == '\r') before--;
        if (before == buffer || before[-1] != '\\') return length + 1;
    }
    return 0;
}

mesh_text mesh_text_of(const mesh_file *file, size_t first, size_t last)
{
    return (mesh_text){.file = file, .offset = first, .next = first, .last = last};
}

size_t mesh_text_middle(const mesh_file *file, const char *word)
{
    char block[NEAR + 1] = {0};
    size_t at = file->size / 2, length = file->size - at < NEAR ? file->size - at : NEAR;
    if (!mesh_file_read(file, at, block, length)) return 0;
    for (const char *p = block + 2; (p = memchr(p, '\n', NEAR - (size_t)(p - block))); p++) {
        bool joined = p[-1] == '\\' || (p[-1] == '\r' && p[-2] == '\\');
        const char *first = p + 1 + strspn(p + 1, " \t");
        if (!joined && !strncasecmp(first, word, strlen(word))) return at + (size_t)(p + 1 - block);
    }
    return 0;
}

static tks_status fill(mesh_text *t, tks_error *err)
{
    size_t left = t->last - t->next, want = t->room - 1 - t->filled;
    if (want > left) want = left;
    if (!mesh_file_read(t->file, t->next, t->buffer + t->filled, want))
        return tks_fail(err, TKS_EREAD, mesh_file_place(t->file),
                        "the file could not be read to its end");
    t->filled += want;
    t->next += want;
    return TKS_OK;
}

static tks_status grow(mesh_text *t, tks_error *err)
{
    size_t room = t->room ? t->room * 2 : BLOCK;
    if (room > 2 * (size_t)LONGEST_LINE)
        return tks_fail(err, TKS_ELIMIT, mesh_file_place(t->file), "a line is longer than 16 MiB");
    char *buffer = base_resize(t->buffer, room + MESH_TEXT_SLACK, 1);
    if (!buffer) return mesh_no_memory(t->file, err);
    t->buffer = buffer;
    t->room = room;
    return TKS_OK;
}

/* What is left behind the block goes to the front. */
static void drop_block(mesh_text *t)
{
    if (!t->buffer) return;
    t->buffer[t->end] = t->kept;
    memmove(t->buffer, t->buffer + t->end, t->filled - t->end);
    t->filled -= t->end;
    t->offset += t->end;
    t->begin = t->end = 0;
}

tks_status mesh_text_next(mesh_text *t, tks_error *err)
{
    drop_block(t);
    while (!t->end) {
        tks_status status = TKS_OK;
        if (!t->room || t->filled + 1 == t->room) status = grow(t, err);
        if (status == TKS_OK) status = fill(t, err);
        if (status != TKS_OK) return status;
        bool all = t->next == t->last;
        t->end = all ? t->filled : last_line_end(t->buffer, t->filled);
        if (all) break;
    }
    t->kept = t->buffer[t->end];
    t->buffer[t->end] = '\0';
    return TKS_OK;
}

void mesh_text_free(mesh_text *t)
{
    base_free(t->buffer);
    t->buffer = NULL;
}

tks_place mesh_file_line(const mesh_file *file, size_t offset)
{
    char block[4096];
    tks_place place = {file->path, 1, 0};
    for (size_t at = 0; at < offset;) {
        size_t length = offset - at < sizeof block ? offset - at : sizeof block;
        if (!mesh_file_read(file, at, block, length)) break;
        for (size_t i = 0; i < length; i++) place.line += block[i] == '\n';
        at += length;
    }
    return place;
}
