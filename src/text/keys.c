/* Keys that stand twice in a map. */
#include "base/alloc.h"
#include "base/names.h"
#include "base/show.h"
#include "text/reader.h"

#include <stdlib.h>
#include <string.h>

/* Up to this many keys each pair is compared; above, they are sorted. Sorting was taken over
 * hashing, because no choice of keys can make it slow. */
enum { FEW = 24 };

static bool alike(const tks_node *a, const tks_node *b)
{
    return a->length == b->length && base_name_is(a->text, a->length, b->text);
}

static tks_status refuse(const tks_node *earlier, const tks_node *later, const char *file,
                         tks_error *err)
{
    return tks_fail(err, TKS_ESYNTAX, tks_node_place(later, file),
                    "'%s' stands here for the second time; the first is in line %d",
                    base_shown_word(later->text, later->length).text, earlier->line);
}

static tks_status check_pairs(const tks_node *map, const char *file, tks_error *err)
{
    for (const tks_node *later = map->first; later; later = later->next)
        for (const tks_node *earlier = map->first; earlier != later; earlier = earlier->next)
            if (alike(earlier->key, later->key)) return refuse(earlier->key, later->key, file, err);
    return TKS_OK;
}

static int by_place(const tks_node *a, const tks_node *b)
{
    if (a->line != b->line) return a->line < b->line ? -1 : 1;
    return (a->column > b->column) - (a->column < b->column);
}

static int by_name(const void *left, const void *right)
{
    const tks_node *a = *(const tks_node *const *)left, *b = *(const tks_node *const *)right;
    if (a->length != b->length) return a->length < b->length ? -1 : 1;
    int order = base_name_order(a->text, b->text, a->length);
    return order ? order : by_place(a, b);
}

static tks_status check_sorted(const tks_node *map, const char *file, tks_error *err)
{
    const tks_node **keys = base_alloc(map->count, sizeof *keys);
    if (!keys) return tks_fail(err, TKS_EMEMORY, tks_node_place(map, file), "out of memory");
    size_t count = 0;
    for (const tks_node *value = map->first; value; value = value->next) keys[count++] = value->key;
    qsort(keys, count, sizeof *keys, by_name);
    const tks_node *earlier = NULL, *later = NULL;
    for (size_t i = 1; i < count; i++) {
        if (!alike(keys[i - 1], keys[i]) || (later && by_place(later, keys[i]) < 0)) continue;
        earlier = keys[i - 1];
        later = keys[i];
    }
    base_free(keys);
    return later ? refuse(earlier, later, file, err) : TKS_OK;
}

tks_status text_check_keys(const tks_node *map, const char *file, tks_error *err)
{
    return map->count <= FEW ? check_pairs(map, file, err) : check_sorted(map, file, err);
}
