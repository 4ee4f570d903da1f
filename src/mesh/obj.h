/* OBJ and OFF: vertices and polygons; all else in the file is passed over. */
#ifndef MESH_OBJ_H
#define MESH_OBJ_H

#include "mesh/file.h"

/* Reads an OBJ or OFF into mesh->xyz and mesh->corners as the file has them: equal vertices are not
 * yet joined, lengths are in the file's unit. The result does not depend on threads, 1 or 2. The
 * caller frees the mesh, also after an error. */
tks_status mesh_obj_read(const mesh_file *file, int threads, tks_mesh *mesh, tks_error *err);

/* Drops the facets with a coordinate that is not finite, and counts them in mesh->dropped. */
void mesh_drop_unfinite(tks_mesh *mesh);

#endif
