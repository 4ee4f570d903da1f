/* The list of a user's own shapes. */
#include "shape/model.h"

#include "base/names.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_OWN = 1000 };

typedef struct own_names {
    tks_arena *arena;
    const char **names;
    size_t count;
    bool short_of_memory;
} own_names;

static bool is_builtin(const char *name, size_t length)
{
    for (size_t i = 0; i < tks_shapes_count(); i++)
        if (base_name_is(name, length, tks_shapes_name(i))) return true;
    return false;
}

static void add_name(own_names *own, const char *file)
{
    size_t length = strlen(file);
    if (length < 6 || strcmp(file + length - 5, ".yaml") || own->count == MOST_OWN) return;
    length -= 5;
    if (is_builtin(file, length)) return;
    for (size_t i = 0; i < own->count; i++)
        if (base_name_is(file, length, own->names[i])) return;
    const char *kept = tks_arena_text(own->arena, file, length);
    if (kept)
        own->names[own->count++] = kept;
    else
        own->short_of_memory = true;
}

static void add_folder(own_names *own, const shape_folder *f)
{
    char path[SHAPE_LONGEST_PATH];
    if (!f->folder || !*f->folder) return;
    int size = snprintf(path, sizeof path, "%s%s", f->folder, f->between);
    if (size < 0 || size >= SHAPE_LONGEST_PATH) return;
    DIR *folder = opendir(path);
    for (struct dirent *e = folder ? readdir(folder) : NULL; e; e = readdir(folder))
        add_name(own, e->d_name);
    if (folder) closedir(folder);
}

static int by_name(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

tks_status tks_shapes_own(const char *folder, tks_arena *arena, const char *const **names,
                          size_t *count, tks_error *err)
{
    own_names own = {arena, tks_arena_take(arena, MOST_OWN, sizeof *own.names), 0, false};
    shape_folder folders[SHAPE_FOLDERS];
    shape_own_folders(folder, folders);
    for (int i = 0; own.names && i < SHAPE_FOLDERS; i++) add_folder(&own, &folders[i]);
    if (!own.names || own.short_of_memory)
        return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    qsort(own.names, own.count, sizeof *own.names, by_name);
    *names = own.names;
    *count = own.count;
    return TKS_OK;
}
