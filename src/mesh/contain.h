/* The helper program tankside-reader: a child process that may crash or hang without harm. */
#ifndef MESH_CONTAIN_H
#define MESH_CONTAIN_H

#include "mesh/file.h"

/* Reads a file of a format that is not our own. The mesh is as the file has it; own_unit gets the
 * file's unit [m], or 0. Errors: TKS_EREAD, TKS_ELIMIT, TKS_EMEMORY. */
tks_status mesh_contain_read(const mesh_file *file, tks_mesh *mesh, double *own_unit,
                             tks_error *err);

#endif
