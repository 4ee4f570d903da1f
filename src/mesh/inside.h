/* What needs rays or the tree of boxes: hollows, self-intersection, openness. */
#ifndef MESH_INSIDE_H
#define MESH_INSIDE_H

#include "mesh/bvh.h"
#include "mesh/edges.h"

/* What it takes to tell the shells around a point: of those listed in health the closed ones. */
typedef struct mesh_enclosures {
    const mesh_bvh *bvh;
    const mesh_edges *edges;
    uint8_t *rank; /* by shell: place in the list, + 1; 0: not listed, or open */
} mesh_enclosures;

/* False: no memory, and nothing to free. */
bool mesh_enclosures_start(const mesh_bvh *bvh, const mesh_edges *edges,
                           const tks_mesh_health *health, mesh_enclosures *enclosures);
void mesh_enclosures_free(mesh_enclosures *enclosures);

/* The closed shells around a point, whichever way their facets face, a bit for each place in the
 * list. */
uint64_t mesh_shells_around(const mesh_enclosures *enclosures, tks_vec3 point);

/* Tells the listed closed shells that lie within others: hollows and buried solids; takes them from
 * health->parts. False: no memory. */
bool mesh_find_hollows(const mesh_bvh *bvh, const mesh_edges *edges, tks_mesh_health *health);

/* Counts pairs of facets that cut each other, or overlap in one plane, into health. Facets that
 * share a side, or touch at their borders, do not count. False: no memory. */
bool mesh_find_crossings(const mesh_bvh *bvh, tks_mesh_health *health);

/* tks_mesh_label, with what is already known. False: no memory. */
bool mesh_label_facets(const mesh_bvh *bvh, const mesh_edges *edges, const tks_mesh_health *health,
                       double cut, uint8_t *labels);

#endif
