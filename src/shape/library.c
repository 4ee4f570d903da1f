/* The shapes that are known: the built-in ones, read when first asked for, and the user's own. */
#include "shape/builtin.h"
#include "shape/model.h"

#include "base/alloc.h"
#include "base/names.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

struct tks_shapes {
    tks_arena *arena;
    tks_shape *first; /* all that were read, newest first; next in tks_shape */
    tks_shape **builtin;
};

/* A user's folder holds files; the same name may be another shape beside another part file, so what
 * was read from a file is found by its path. */
enum { LONGEST_PATH = 1024, LONGEST_NAME = 100 };

tks_status tks_shapes_new(tks_shapes **shapes, tks_error *err)
{
    tks_shapes *s = base_alloc(1, sizeof *s);
    if (s) s->arena = tks_arena_new();
    if (s && s->arena)
        s->builtin = tks_arena_take(s->arena, shape_builtin_count, sizeof *s->builtin);
    if (!s || !s->builtin) {
        tks_shapes_free(s);
        return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    }
    *shapes = s;
    return TKS_OK;
}

void tks_shapes_free(tks_shapes *shapes)
{
    if (!shapes) return;
    tks_arena_free(shapes->arena);
    base_free(shapes);
}

/* ------------------------------------------------------------------ reading */

static tks_status read_from(tks_shapes *shapes, tks_reader *reader, tks_shape **shape,
                            tks_error *err)
{
    const tks_node *root = NULL;
    tks_status status = tks_reader_next(reader, shapes->arena, &root, err);
    if (!status) status = shape_read(shapes->arena, root, tks_reader_name(reader), shape, err);
    tks_reader_close(reader);
    return status;
}

static tks_status read_text(tks_shapes *shapes, const char *file, const char *text, size_t length,
                            tks_shape **shape, tks_error *err)
{
    tks_reader *reader = NULL;
    tks_status status = tks_reader_memory(file, text, length, NULL, &reader, err);
    return status ? status : read_from(shapes, reader, shape, err);
}

static void keep(tks_shapes *shapes, tks_shape *shape)
{
    shape->next = shapes->first;
    shapes->first = shape;
}

tks_status tks_shapes_add(tks_shapes *shapes, const char *file, const char *text, size_t length,
                          const tks_shape **shape, tks_error *err)
{
    tks_shape *made = NULL;
    tks_status status = read_text(shapes, file, text, length, &made, err);
    if (status) return status;
    made->added = true;
    keep(shapes, made);
    *shape = made;
    return TKS_OK;
}

/* ------------------------------------------------------------------ finding */

static const char *builtin_name(const void *context, size_t i)
{
    (void)context;
    return shape_builtins[i].name;
}

size_t tks_shapes_count(void)
{
    size_t count = 0;
    while (count < shape_builtin_count && !shape_builtins[count].other) count++;
    return count;
}

const char *tks_shapes_name(size_t i)
{
    return shape_builtins[i].name;
}

static tks_status find_builtin(tks_shapes *shapes, const char *name, size_t length,
                               tks_shape **shape, tks_error *err)
{
    for (size_t i = 0; i < shape_builtin_count; i++) {
        if (!base_name_is(name, length, shape_builtins[i].name)) continue;
        size_t of = shape_builtins[i].other ? shape_builtins[i].of : i;
        const shape_builtin *b = &shape_builtins[of];
        if (!shapes->builtin[of]) {
            tks_status status =
                read_text(shapes, b->file, b->text, b->length, &shapes->builtin[of], err);
            if (status) return status;
        }
        *shape = shapes->builtin[of];
        return TKS_OK;
    }
    return TKS_OK;
}

/* FOLDER/NAME.yaml with the name's spaces as dashes; nothing when there is no such file. */
static tks_status find_file(tks_shapes *shapes, const char *folder, const char *between,
                            const char *name, size_t length, tks_shape **shape, tks_error *err)
{
    char path[LONGEST_PATH], file[LONGEST_NAME + 1];
    if (!folder || !*folder || length > LONGEST_NAME) return TKS_OK;
    for (size_t i = 0; i < length; i++) {
        char c = (char)tolower((unsigned char)name[i]);
        if (c == '/' || c == '.') return TKS_OK; /* a name is no path */
        file[i] = c == ' ' || c == '_' ? '-' : c;
    }
    file[length] = '\0';
    int size = snprintf(path, sizeof path, "%s%s/%s.yaml", folder, between, file);
    if (size < 0 || size >= LONGEST_PATH) return TKS_OK;
    for (tks_shape *s = shapes->first; s; s = s->next)
        if (!s->added && !strcmp(s->file, path)) {
            *shape = s;
            return TKS_OK;
        }
    if (access(path, F_OK)) return TKS_OK;
    tks_reader *reader = NULL;
    tks_status status = tks_reader_open(path, NULL, &reader, err);
    if (!status) status = read_from(shapes, reader, shape, err);
    if (!status) keep(shapes, *shape);
    return status;
}

static tks_status find_own(tks_shapes *shapes, const char *name, size_t length, const char *folder,
                           tks_shape **shape, tks_error *err)
{
    for (tks_shape *s = shapes->first; s; s = s->next)
        if (s->added && base_name_is(name, length, s->name)) {
            *shape = s;
            return TKS_OK;
        }
    const char *config = getenv("XDG_CONFIG_HOME");
    bool own = config && *config;
    tks_status status = find_file(shapes, folder, "/shapes", name, length, shape, err);
    if (!status && !*shape)
        status = find_file(shapes, getenv("TANKSIDE_SHAPES"), "", name, length, shape, err);
    if (!status && !*shape)
        status = find_file(shapes, own ? config : getenv("HOME"),
                           own ? "/tankside/shapes" : "/.config/tankside/shapes", name, length,
                           shape, err);
    return status;
}

tks_status tks_shapes_find(tks_shapes *shapes, const char *name, size_t length, const char *folder,
                           tks_place at, const tks_shape **shape, tks_error *err)
{
    tks_shape *found = NULL;
    tks_status status = find_own(shapes, name, length, folder, &found, err);
    if (!status && !found) status = find_builtin(shapes, name, length, &found, err);
    if (status) return status;
    if (!found) {
        const char *near = base_name_nearest(name, length, shape_builtin_count, builtin_name, NULL);
        return tks_fail(err, TKS_EUNKNOWN, at,
                        "there is no shape '%.*s'%s%s%s; `tankside shapes` lists them",
                        (int)(length < 40 ? length : 40), name, near ? "; did you mean '" : "",
                        near ? near : "", near ? "'?" : "");
    }
    *shape = found;
    return TKS_OK;
}

/* ------------------------------------------------------------------ what a shape tells */

const char *tks_shape_name(const tks_shape *shape)
{
    return shape->name;
}

const char *tks_shape_family(const tks_shape *shape)
{
    return shape->family;
}

const char *tks_shape_about(const tks_shape *shape)
{
    return shape->about;
}

const char *tks_shape_origin(const tks_shape *shape)
{
    return shape->origin;
}

const char *tks_shape_example(const tks_shape *shape)
{
    return shape->example;
}

size_t tks_shape_parameters(const tks_shape *shape)
{
    return shape->parameter_count;
}

static const char *kind_name(const shape_variable *v)
{
    switch (v->type) {
    case SHAPE_COUNT: return "count";
    case SHAPE_CHOICE: return "choice";
    case SHAPE_RECORDS: return v->layout->name;
    case SHAPE_QUANTITY: break;
    }
    return tks_kind_name(v->kind);
}

tks_parameter tks_shape_parameter(const tks_shape *shape, size_t i)
{
    const shape_variable *v = &shape->variables[i];
    return (tks_parameter){v->name, kind_name(v), v->preset_text, v->range_text, v->about};
}
