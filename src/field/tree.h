/* An octree over triangles, and which pairs of its boxes are near or far. */
#ifndef FIELD_TREE_H
#define FIELD_TREE_H

#include "tankside/status.h"
#include "tankside/vec.h"

#include <stdint.h>

enum { FIELD_LEAF = 48, FIELD_DEEPEST = 20, FIELD_OFFSETS = 12 };

/* A cube with the triangles whose centres lie in it: begin..end of the tree's order. */
typedef struct field_node {
    tks_vec3 centre;
    double side, radius; /* of a ball about the centre that holds its triangles whole */
    int level;
    int32_t at[3]; /* which cube of its level */
    size_t begin, end;
    size_t child, children; /* first child and how many; 0: a leaf */
    size_t parent;
} field_node;

/* Nodes stand level by level, the root first. far: node i gathers the fields of
 * far[far_begin[i] .. far_begin[i + 1]), of its own level; near: likewise leaf by leaf. */
typedef struct field_tree {
    size_t *order; /* triangle number at each place */
    size_t count;
    field_node *nodes;
    size_t node_count, node_room;
    size_t level_begin[FIELD_DEEPEST + 2];
    int levels;
    uint32_t *far, *near;
    size_t *far_begin, *near_begin; /* node_count + 1 */
} field_tree;

/* Builds the tree; corners: count x 3. Errors: TKS_EMEMORY. */
tks_status field_tree_build(const tks_vec3 *corners, size_t count, field_tree *tree);
void field_tree_free(field_tree *tree);

#endif
