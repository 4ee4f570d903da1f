/* The shapes that are known: the built-in ones, read when first asked for, and the user's own. */
#include "shape/builtin.h"
#include "shape/model.h"

#include "base/alloc.h"
#include "base/names.h"
#include "text/reader.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* What a name turned out to be, so that the folders are looked through once. */
typedef struct known_name {
    struct known_name *next;
    const char *name, *folder;
    const tks_shape *shape;
} known_name;

enum { KNOWN_ROWS = 64 }; /* a power of two */

struct tks_shapes {
    tks_arena *arena;
    tks_shape *first; /* all that were read, newest first; next in tks_shape */
    tks_shape **builtin;
    known_name *known[KNOWN_ROWS];
};

/* A user's folder holds files; the same name may be another shape beside another part file, so what
 * was read from a file is found by its path. */
enum { LONGEST_NAME = 100 };

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
    text_reader_formulas(reader);
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
    memset(shapes->known, 0, sizeof shapes->known); /* it may hide another of its name */
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
    char path[SHAPE_LONGEST_PATH], file[LONGEST_NAME + 1];
    if (!folder || !*folder || length > LONGEST_NAME) return TKS_OK;
    for (size_t i = 0; i < length; i++) {
        char c = (char)tolower((unsigned char)name[i]);
        if (c == '/' || c == '.') return TKS_OK; /* a name is no path */
        file[i] = c == ' ' || c == '_' ? '-' : c;
    }
    file[length] = '\0';
    int size = snprintf(path, sizeof path, "%s%s/%s.yaml", folder, between, file);
    if (size < 0 || size >= SHAPE_LONGEST_PATH) return TKS_OK;
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

void shape_own_folders(const char *beside, shape_folder to[SHAPE_FOLDERS])
{
    const char *config = getenv("XDG_CONFIG_HOME");
    bool own = config && *config;
    to[0] = (shape_folder){beside, "/shapes"};
    to[1] = (shape_folder){getenv("TANKSIDE_SHAPES"), ""};
    to[2] = (shape_folder){own ? config : getenv("HOME"),
                           own ? "/tankside/shapes" : "/.config/tankside/shapes"};
}

static tks_status find_own(tks_shapes *shapes, const char *name, size_t length, const char *folder,
                           tks_shape **shape, tks_error *err)
{
    for (tks_shape *s = shapes->first; s; s = s->next)
        if (s->added && base_name_is(name, length, s->name)) {
            *shape = s;
            return TKS_OK;
        }
    shape_folder folders[SHAPE_FOLDERS];
    shape_own_folders(folder, folders);
    tks_status status = TKS_OK;
    for (int i = 0; i < SHAPE_FOLDERS && !status && !*shape; i++)
        status = find_file(shapes, folders[i].folder, folders[i].between, name, length, shape, err);
    return status;
}

/* Few names are long and alike, so their length and ends will do. */
static size_t known_row(const char *name, size_t length)
{
    unsigned first = length ? (unsigned char)name[0] & 31u : 0,
             last = length ? (unsigned char)name[length - 1] & 31u : 0;
    return (first * 7 + last * 3 + length) % KNOWN_ROWS;
}

static const tks_shape *recall(const tks_shapes *shapes, const char *name, size_t length,
                               const char *folder)
{
    const known_name *k = shapes->known[known_row(name, length)];
    for (; k; k = k->next)
        if (!strncmp(k->name, name, length) && !k->name[length] && !strcmp(k->folder, folder))
            return k->shape;
    return NULL;
}

/* Failing to remember costs time and nothing else. */
static void remember(tks_shapes *shapes, const char *name, size_t length, const char *folder,
                     const tks_shape *shape)
{
    known_name *k = tks_arena_take(shapes->arena, 1, sizeof *k);
    if (!k) return;
    *k = (known_name){shapes->known[known_row(name, length)],
                      tks_arena_text(shapes->arena, name, length),
                      tks_arena_text(shapes->arena, folder, strlen(folder)), shape};
    if (k->name && k->folder) shapes->known[known_row(name, length)] = k;
}

static tks_status unknown_shape(const char *name, size_t length, tks_place at, tks_error *err)
{
    const char *near = base_name_nearest(name, length, shape_builtin_count, builtin_name, NULL);
    return tks_fail(err, TKS_EUNKNOWN, at,
                    "there is no shape '%.*s'%s%s%s; `tankside shapes` lists them",
                    (int)(length < 40 ? length : 40), name, near ? " (did you mean '" : "",
                    near ? near : "", near ? "'?)" : "");
}

tks_status tks_shapes_find(tks_shapes *shapes, const char *name, size_t length, const char *folder,
                           tks_place at, const tks_shape **shape, tks_error *err)
{
    const char *beside = folder ? folder : "";
    const tks_shape *known = recall(shapes, name, length, beside);
    tks_shape *found = NULL;
    if (known) {
        *shape = known;
        return TKS_OK;
    }
    tks_status status = find_own(shapes, name, length, folder, &found, err);
    if (!status && !found) status = find_builtin(shapes, name, length, &found, err);
    if (!status && !found) status = unknown_shape(name, length, at, err);
    if (status) return status;
    remember(shapes, name, length, beside, found);
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
    case SHAPE_THREAD: return "thread";
    case SHAPE_QUANTITY: break;
    }
    return tks_kind_name(v->kind);
}

tks_parameter tks_shape_parameter(const tks_shape *shape, size_t i)
{
    const shape_variable *v = &shape->variables[i];
    return (tks_parameter){v->name, kind_name(v), v->preset_text, v->range_text, v->about};
}
