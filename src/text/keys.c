/* Keys that stand twice in a map. */
#include "base/alloc.h"
#include "base/names.h"
#include "base/show.h"
#include "text/reader.h"

#include <stdlib.h>
#include <string.h>

/* Up to this many keys each pair is compared; above, they are sorted by a hash of the name. A hash
 * table was rejected: keys chosen to collide would make it slow. */
enum { FEW = 24 };

typedef struct hashed {
    uint64_t hash;
    const tks_node *key;
} hashed;

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
    const hashed *a = left, *b = right;
    if (a->hash != b->hash) return a->hash < b->hash ? -1 : 1;
    if (a->key->length != b->key->length) return a->key->length < b->key->length ? -1 : 1;
    int order = base_name_order(a->key->text, b->key->text, a->key->length);
    return order ? order : by_place(a->key, b->key);
}

static hashed *sort_keys(const tks_node *map)
{
    hashed *keys = base_alloc(map->count, sizeof *keys);
    if (!keys) return NULL;
    size_t i = 0;
    for (const tks_node *value = map->first; value; value = value->next, i++)
        keys[i] = (hashed){base_name_hash(value->key->text, value->key->length), value->key};
    qsort(keys, map->count, sizeof *keys, by_name);
    return keys;
}

static tks_status check_sorted(const tks_node *map, const char *file, tks_error *err)
{
    hashed *keys = sort_keys(map);
    if (!keys) return tks_fail(err, TKS_EMEMORY, tks_node_place(map, file), "out of memory");
    const tks_node *earlier = NULL, *later = NULL;
    for (size_t i = 1; i < map->count; i++) {
        const tks_node *one = keys[i - 1].key, *next = keys[i].key;
        if (keys[i - 1].hash != keys[i].hash) continue;
        if (!alike(one, next) || (later && by_place(later, next) < 0)) continue;
        earlier = one;
        later = next;
    }
    base_free(keys);
    return later ? refuse(earlier, later, file, err) : TKS_OK;
}

tks_status text_check_keys(const tks_node *map, const char *file, tks_error *err)
{
    return map->count <= FEW ? check_pairs(map, file, err) : check_sorted(map, file, err);
}
