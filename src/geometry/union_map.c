/* The record of a face's cells: a tree of halves, and what is exposed in each leaf. */
#include "geometry/union.h"

#include "base/alloc.h"

bool union_map_start(union_map *map)
{
    if (!map->wanted) return true;
    if (!base_grow((void **)&map->nodes, &map->node_room, 1, sizeof *map->nodes)) return false;
    map->nodes[0] = (union_node){0, 0, false, 0};
    map->node_count = 1;
    return true;
}

bool union_map_split(union_map *map, uint32_t node, bool along_u, double at, uint32_t *child)
{
    *child = 0;
    if (!map->wanted) return true;
    if (!base_grow((void **)&map->nodes, &map->node_room, map->node_count + 2, sizeof *map->nodes))
        return false;
    *child = (uint32_t)map->node_count;
    map->nodes[node] = (union_node){*child, 0, along_u, at};
    map->nodes[*child] = map->nodes[*child + 1] = (union_node){0, 0, false, 0};
    map->node_count += 2;
    return true;
}

/* A face that takes more leaves than this is given up, to keep memory within bounds: cavities that
 * it bounds are then taken as open. */
enum { MOST_LEAVES = 50000 };

bool union_map_leaf(union_map *map, uint32_t node, const union_leaf *leaf, const union_share *parts)
{
    size_t patterns = (size_t)1 << leaf->count;
    if (!map->wanted) return true;
    if (map->leaf_count >= MOST_LEAVES) {
        union_map_free(map);
        return true;
    }
    if (!base_grow((void **)&map->leaves, &map->leaf_room, map->leaf_count + 1, sizeof *leaf) ||
        !base_grow((void **)&map->parts, &map->place_room, map->place_count + patterns,
                   sizeof *parts))
        return false;
    for (size_t i = 0; i < patterns; i++) map->parts[map->place_count + i] = parts[i];
    map->leaves[map->leaf_count] = *leaf;
    map->leaves[map->leaf_count++].place = (uint32_t)map->place_count;
    map->place_count += patterns;
    map->nodes[node].leaf = (uint32_t)map->leaf_count;
    return true;
}

bool union_map_link(union_map *map, union_link link)
{
    if (!map->wanted) return true;
    if (!base_grow((void **)&map->links, &map->link_room, map->link_count + 1, sizeof link))
        return false;
    map->links[map->link_count++] = link;
    return true;
}

void union_map_free(union_map *map)
{
    base_free(map->nodes);
    base_free(map->leaves);
    base_free(map->links);
    base_free(map->parts);
    *map = (union_map){.wanted = false};
}

size_t union_map_find(const union_map *map, double u, double v)
{
    if (map->node_count == 0) return SIZE_MAX;
    const union_node *n = &map->nodes[0];
    while (n->child) n = &map->nodes[n->child + ((n->along_u ? u : v) > n->at)];
    return n->leaf ? n->leaf - 1 : SIZE_MAX;
}

unsigned union_map_pattern(const union_model *m, const union_leaf *leaf, tks_vec3 at)
{
    unsigned pattern = 0;
    for (int i = 0; i < leaf->count; i++) {
        tks_vec3 g;
        if (union_value(&m->faces[leaf->faces[i]].surface, at, &g) > 0) pattern |= 1u << i;
    }
    return pattern;
}
