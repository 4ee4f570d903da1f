/* Area, volume and bounds of triangles that pass by. */
#ifndef MESH_TALLY_H
#define MESH_TALLY_H

#include "base/sum.h"
#include "tankside/mesh.h"

enum { MESH_BLOCK = 4096 }; /* facets summed plainly before the sum is compensated */

typedef struct mesh_tally {
    base_sum twice_area, six_volume;
    tks_vec3 origin; /* of the tetrahedra: near the mesh, lest they cancel */
    tks_vec3 low, high;
    size_t facets, dropped;
} mesh_tally;

/* origin: a point of the mesh, or null; it need not be finite. */
void mesh_tally_start(mesh_tally *tally, tks_vec3 origin);

/* Adds at most MESH_BLOCK triangles, xyz: count x 9. Those with a coordinate that is not finite are
 * counted as dropped. */
void mesh_tally_add(mesh_tally *tally, const double *xyz, size_t count);

/* All triangles of a mesh, whose coordinates are finite; into a tally just started. */
void mesh_tally_mesh(mesh_tally *tally, const tks_mesh *mesh);

/* The same for records of a binary STL (50 bytes each), as fast as they can be read from memory.
 * 2 more bytes behind the last must be readable. */
void mesh_tally_records(mesh_tally *tally, const unsigned char *records, size_t count);

void mesh_tally_join(mesh_tally *to, const mesh_tally *from);

/* The sums so far, in the unit of the coordinates; unit and format are left empty. */
tks_mesh_size mesh_tally_size(const mesh_tally *tally);

#endif
