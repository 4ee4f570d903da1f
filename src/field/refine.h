/* Splitting triangles: a finer mesh where it is wanted, that still fits edge to edge. */
#ifndef FIELD_REFINE_H
#define FIELD_REFINE_H

#include "field/mesh.h"

/* Splits each panel whose mark is not zero at its longest edge, and those beside it as far as is
 * needed for edges to meet; panels then share their corners as before. marks: one for each panel;
 * parents (may be NULL) is set to an array, the caller's to free, of each new panel's old number.
 * false when memory is short; the mesh is then untouched.
 * Source: longest-edge bisection, M. C. Rivara, Int. J. Numer. Meth. Engng 20 (1984) 745. */
bool field_refine(field_mesh *mesh, const uint8_t *marks, size_t **parents);

/* Panels across each panel's edges: neighbours[3 i + k] beside edge k (corner k to k + 1), or
 * SIZE_MAX. The caller frees *neighbours. false when memory is short. */
bool field_neighbours(const field_mesh *mesh, size_t **neighbours);

#endif
