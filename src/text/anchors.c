/* Names that a document gives to its own nodes: `&name` sets one, `*name` uses it. */
#include "base/alloc.h"
#include "base/show.h"
#include "text/reader.h"

#include <string.h>

/* FNV-1a, which is enough: the number of anchors is limited. Source: draft-eastlake-fnv. */
static uint32_t hash_of(const char *name)
{
    uint32_t hash = 2166136261u;
    for (; *name; name++) hash = (hash ^ (unsigned char)*name) * 16777619u;
    return hash;
}

tks_status text_anchor_set(text_tree *tree, const char *name, tks_node *node, tks_error *err)
{
    tks_place at = tks_node_place(node, tree->file);
    if (tree->anchor_count >= tree->limits.aliases)
        return tks_fail(err, TKS_ELIMIT, at,
                        "this document has more than %zu anchors ('&%s'), the most that are read",
                        tree->limits.aliases, base_shown_word(name, strlen(name)).text);
    if (tree->anchor_count == tree->anchor_room) {
        size_t room = tree->anchor_room ? tree->anchor_room * 2 : 16;
        text_anchor *larger = base_resize(tree->anchors, room, sizeof *larger);
        if (!larger) return tks_fail(err, TKS_EMEMORY, at, "out of memory");
        tree->anchors = larger;
        tree->anchor_room = room;
    }
    tks_arena *arena = text_tree_arena(tree);
    const char *kept = arena ? tks_arena_text(arena, name, strlen(name)) : NULL;
    if (!kept) return tks_fail(err, TKS_EMEMORY, at, "out of memory");
    tree->anchors[tree->anchor_count++] = (text_anchor){hash_of(name), kept, node};
    return TKS_OK;
}

tks_node *text_anchor_find(const text_tree *tree, const char *name)
{
    uint32_t hash = hash_of(name);
    for (size_t i = tree->anchor_count; i-- > 0;) {
        const text_anchor *anchor = &tree->anchors[i];
        if (anchor->hash == hash && !strcmp(anchor->name, name)) return anchor->node;
    }
    return NULL;
}
