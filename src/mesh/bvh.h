/* A tree of boxes over the facets of a mesh, for rays and for pairs of facets that may meet.
 * Halving at the median of the longer axis keeps the depth at log2 n whatever the mesh. A ray
 * library was weighed and left out: the tree is small, in double, and keeps the library free of it.
 */
#ifndef MESH_BVH_H
#define MESH_BVH_H

#include "tankside/mesh.h"

typedef struct mesh_bvh_node {
    float low[3], high[3]; /* rounded outward */
    uint32_t first; /* of a leaf: in order; otherwise the first of two neighbouring children */
    uint32_t count; /* facets of a leaf; 0: inner */
} mesh_bvh_node;

typedef struct mesh_bvh {
    const tks_mesh *mesh;
    mesh_bvh_node *nodes;
    uint32_t *order;
    size_t node_count;
} mesh_bvh;

/* False: no memory, and nothing to free. */
bool mesh_bvh_build(const tks_mesh *mesh, mesh_bvh *bvh);
void mesh_bvh_free(mesh_bvh *bvh);

/* Whether a ray meets a facet beyond the distance `from`; direction need not be a unit vector. */
bool mesh_bvh_blocked(const mesh_bvh *bvh, tks_vec3 origin, tks_vec3 direction, double from);

/* Calls visit for each facet the ray meets beyond its origin, until it gives false; out: the ray
 * leaves the solid there. */
void mesh_bvh_all(const mesh_bvh *bvh, tks_vec3 origin, tks_vec3 direction,
                  bool (*visit)(void *context, uint32_t facet, bool out), void *context);

/* Calls visit for each pair of facets whose boxes overlap, until it gives false or `work` steps are
 * used up. False: stopped early. */
bool mesh_bvh_pairs(const mesh_bvh *bvh, uint64_t work,
                    bool (*visit)(void *context, uint32_t a, uint32_t b), void *context);

#endif
