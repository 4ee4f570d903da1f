/* How the facets of a mesh hang together. A half-edge is 3 * facet + c: the side of a facet from
 * its corner c to the next. */
#ifndef MESH_EDGES_H
#define MESH_EDGES_H

#include "tankside/mesh.h"

/* In place of the half-edge across: none, more than one, or one that runs the same way. */
#define MESH_OPEN    UINT32_MAX
#define MESH_ODD     (UINT32_MAX - 1)
#define MESH_FLIPPED (UINT32_MAX - 2)
#define MESH_NONE    (UINT32_MAX - 3) /* the facet has two corners at one place */

typedef struct mesh_edges {
    uint32_t *opposite; /* 3 * count: the half-edge across, or one of the above */
    uint32_t *shell;    /* count: number of the shell of each facet, by first appearance */
    size_t shell_count;
    size_t edges, open, odd, flipped;
    size_t collapsed; /* facets with two corners at one place */
    size_t duplicates;
    double duplicate_area;
} mesh_edges;

/* Pairs the sides of all facets: a bucket for each vertex with the sides of which it is the lower
 * end, each bucket sorted, so that no order of facets and no hub costs more than n log n. On false
 * (no memory) nothing is left to free. */
bool mesh_edges_build(const tks_mesh *mesh, mesh_edges *edges);
void mesh_edges_free(mesh_edges *edges);

static inline size_t mesh_next(size_t half)
{
    return half % 3 == 2 ? half - 2 : half + 1;
}

static inline size_t mesh_previous(size_t half)
{
    return half % 3 == 0 ? half + 2 : half - 1;
}

/* Vertices at which the facets make more than one fan: surfaces that touch at a point. Vertices on
 * odd or flipped edges are left out: those are counted already. False: no memory. */
bool mesh_odd_vertices(const tks_mesh *mesh, const mesh_edges *edges, size_t *count);

/* Chains the open edges to rims; fills the hole fields of health, and closes its volume. False: no
 * memory. */
bool mesh_find_holes(const tks_mesh *mesh, const mesh_edges *edges, tks_mesh_health *health);

/* Fills the shell fields of health, except for kinds that need the inside; the size is known and
 * its volume not yet closed. False: no memory. */
bool mesh_find_shells(const tks_mesh *mesh, const mesh_edges *edges, tks_mesh_health *health);

#endif
