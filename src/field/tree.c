#include "field/tree.h"

#include "base/alloc.h"
#include "base/vec.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

/* Two boxes are far when their balls' radii together are within this part of the distance: the
 * error of degree 7 is then near 1e-4 of what the far box gives. */
static const double opening = 0.72;

static tks_vec3 centre_of(const tks_vec3 *corner)
{
    return vec3_scale(vec3_add(vec3_add(corner[0], corner[1]), corner[2]), 1.0 / 3);
}

static void set_radius(field_node *node, const field_tree *tree, const tks_vec3 *corners)
{
    node->radius = 0;
    for (size_t i = node->begin; i < node->end; i++)
        for (int k = 0; k < 3; k++) {
            double r = vec3_distance(corners[3 * tree->order[i] + (size_t)k], node->centre);
            if (r > node->radius) node->radius = r;
        }
}

static field_node root_of(const tks_vec3 *corners, size_t count)
{
    tks_vec3 low = corners[0], high = corners[0];
    for (size_t i = 0; i < 3 * count; i++) {
        low = vec3(fmin(low.x, corners[i].x), fmin(low.y, corners[i].y), fmin(low.z, corners[i].z));
        high = vec3(fmax(high.x, corners[i].x), fmax(high.y, corners[i].y),
                    fmax(high.z, corners[i].z));
    }
    tks_vec3 size = vec3_sub(high, low);
    double side = fmax(size.x, fmax(size.y, size.z)) * (1 + 1e-9);
    return (field_node){
        .centre = vec3_scale(vec3_add(low, high), 0.5), .side = side > 0 ? side : 1, .end = count};
}

static unsigned octant(tks_vec3 p, tks_vec3 centre)
{
    return (p.x >= centre.x ? 1u : 0u) | (p.y >= centre.y ? 2u : 0u) | (p.z >= centre.z ? 4u : 0u);
}

static field_node child_of(const field_node *parent, size_t index, unsigned o)
{
    double quarter = parent->side / 4;
    field_node child = {.side = parent->side / 2, .level = parent->level + 1, .parent = index};
    child.centre =
        vec3_add(parent->centre, vec3(o & 1u ? quarter : -quarter, o & 2u ? quarter : -quarter,
                                      o & 4u ? quarter : -quarter));
    for (int k = 0; k < 3; k++)
        child.at[k] = (int32_t)(2 * (uint32_t)parent->at[k] + (o >> k & 1u));
    return child;
}

static bool room_for_children(field_tree *tree)
{
    if (tree->node_count + 8 <= tree->node_room) return true;
    size_t room = 2 * tree->node_room + 64;
    field_node *nodes = base_resize(tree->nodes, room, sizeof *nodes);
    if (!nodes) return false;
    tree->nodes = nodes;
    tree->node_room = room;
    return true;
}

/* Sorts the triangles of a node by octant and gives it a child for each octant in use. */
static bool split(field_tree *tree, size_t index, const tks_vec3 *corners, size_t *spare)
{
    if (!room_for_children(tree)) return false;
    field_node *node = &tree->nodes[index];
    size_t begin[9] = {0}, at[8];
    for (size_t i = node->begin; i < node->end; i++)
        begin[octant(centre_of(corners + 3 * tree->order[i]), node->centre) + 1]++;
    for (int o = 0; o < 8; o++) {
        begin[o + 1] += begin[o];
        at[o] = begin[o];
    }
    size_t count = node->end - node->begin;
    for (size_t i = node->begin; i < node->end; i++)
        spare[at[octant(centre_of(corners + 3 * tree->order[i]), node->centre)]++] = tree->order[i];
    memcpy(tree->order + node->begin, spare, count * sizeof *spare);
    node->child = tree->node_count;
    for (unsigned o = 0; o < 8; o++) {
        if (begin[o] == begin[o + 1]) continue;
        field_node child = child_of(node, index, o);
        child.begin = node->begin + begin[o];
        child.end = node->begin + begin[o + 1];
        set_radius(&child, tree, corners);
        tree->nodes[tree->node_count++] = child;
        node->children++;
    }
    return true;
}

static tks_status grow(field_tree *tree, const tks_vec3 *corners)
{
    size_t *spare = base_alloc(tree->count, sizeof *spare);
    if (!spare || !room_for_children(tree)) goto fail;
    tree->nodes[0] = root_of(corners, tree->count);
    tree->node_count = 1;
    set_radius(&tree->nodes[0], tree, corners);
    for (size_t i = 0; i < tree->node_count; i++) {
        const field_node *node = &tree->nodes[i];
        while (tree->levels <= node->level) tree->level_begin[tree->levels++] = i;
        bool small = node->end - node->begin <= FIELD_LEAF || node->level == FIELD_DEEPEST;
        if (!small && !split(tree, i, corners, spare)) goto fail;
    }
    tree->level_begin[tree->levels] = tree->node_count;
    base_free(spare);
    return TKS_OK;
fail:
    base_free(spare);
    return TKS_EMEMORY;
}

/* Pairs of nodes (target, source), as the traversal meets them. */
typedef struct pair_list {
    uint32_t (*pairs)[2];
    size_t count, room;
    bool failed;
} pair_list;

static void add_pair(pair_list *list, size_t target, size_t source)
{
    if (list->count == list->room) {
        size_t room = 2 * list->room + 1024;
        void *pairs = base_resize(list->pairs, room, sizeof *list->pairs);
        if (!pairs) {
            list->failed = true;
            return;
        }
        list->pairs = pairs;
        list->room = room;
    }
    list->pairs[list->count][0] = (uint32_t)target;
    list->pairs[list->count++][1] = (uint32_t)source;
}

static bool far_apart(const field_node *a, const field_node *b)
{
    if (a->level != b->level) return false;
    for (int k = 0; k < 3; k++)
        if (abs(a->at[k] - b->at[k]) >= FIELD_OFFSETS) return false;
    return a->radius + b->radius <= opening * vec3_distance(a->centre, b->centre);
}

static void meet(const field_tree *tree, size_t target, size_t source, pair_list *far,
                 pair_list *near)
{
    const field_node *a = &tree->nodes[target], *b = &tree->nodes[source];
    if (far_apart(a, b)) {
        add_pair(far, target, source);
    } else if (!a->children && !b->children) {
        add_pair(near, target, source);
    } else if (a->children && b->children) {
        for (size_t i = 0; i < a->children; i++)
            for (size_t j = 0; j < b->children; j++)
                meet(tree, a->child + i, b->child + j, far, near);
    } else if (a->children) {
        for (size_t i = 0; i < a->children; i++) meet(tree, a->child + i, source, far, near);
    } else {
        for (size_t j = 0; j < b->children; j++) meet(tree, target, b->child + j, far, near);
    }
}

/* Sorts the pairs by target, keeping their order. */
static tks_status by_target(const pair_list *list, size_t nodes, size_t **begin, uint32_t **sources)
{
    *begin = base_alloc(nodes + 2, sizeof **begin);
    *sources = base_alloc(list->count, sizeof **sources);
    if (!*begin || !*sources) return TKS_EMEMORY;
    size_t *next = *begin + 1;
    for (size_t i = 0; i < list->count; i++) next[list->pairs[i][0] + 1]++;
    for (size_t i = 1; i <= nodes; i++) next[i] += next[i - 1];
    for (size_t i = 0; i < list->count; i++)
        (*sources)[next[list->pairs[i][0]]++] = list->pairs[i][1];
    return TKS_OK;
}

static tks_status find_pairs(field_tree *tree)
{
    pair_list far = {0}, near = {0};
    meet(tree, 0, 0, &far, &near);
    tks_status status = far.failed || near.failed ? TKS_EMEMORY : TKS_OK;
    if (!status) status = by_target(&far, tree->node_count, &tree->far_begin, &tree->far);
    if (!status) status = by_target(&near, tree->node_count, &tree->near_begin, &tree->near);
    base_free(far.pairs);
    base_free(near.pairs);
    return status;
}

tks_status field_tree_build(const tks_vec3 *corners, size_t count, field_tree *tree)
{
    *tree = (field_tree){.count = count};
    tree->order = base_alloc(count, sizeof *tree->order);
    if (!tree->order) return TKS_EMEMORY;
    for (size_t i = 0; i < count; i++) tree->order[i] = i;
    tks_status status = grow(tree, corners);
    if (!status) status = find_pairs(tree);
    if (status) field_tree_free(tree);
    return status;
}

void field_tree_free(field_tree *tree)
{
    base_free(tree->order);
    base_free(tree->nodes);
    base_free(tree->far);
    base_free(tree->near);
    base_free(tree->far_begin);
    base_free(tree->near_begin);
    *tree = (field_tree){0};
}
