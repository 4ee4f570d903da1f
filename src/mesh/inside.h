/* What needs rays or the tree of boxes: hollows, self-intersection, openness. */
#ifndef MESH_INSIDE_H
#define MESH_INSIDE_H

#include "mesh/bvh.h"
#include "mesh/edges.h"

/* Tells the listed closed shells that lie within others: hollows and buried solids; takes them from
 * health->parts. False: no memory. */
bool mesh_find_hollows(const mesh_bvh *bvh, const mesh_edges *edges, tks_mesh_health *health);

/* Counts pairs of facets that cut each other, or overlap in one plane, into health. Facets that
 * share a side, or touch at their borders, do not count. */
void mesh_find_crossings(const mesh_bvh *bvh, tks_mesh_health *health);

/* tks_mesh_label, with what is already known. False: no memory. */
bool mesh_label_facets(const mesh_bvh *bvh, const mesh_edges *edges, const tks_mesh_health *health,
                       double cut, uint8_t *labels);

#endif
