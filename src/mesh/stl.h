/* STL, binary and ASCII, read by our own hands. */
#ifndef MESH_STL_H
#define MESH_STL_H

#include "mesh/file.h"
#include "mesh/tally.h"

/* Takes the triangles of a file as they are read: xyz count x 9, in the file's unit, at most
 * MESH_BLOCK at a time, finite or not. */
typedef struct mesh_sink {
    tks_status (*take)(void *context, double *xyz, size_t count, tks_error *err);
    void *context;
} mesh_sink;

tks_status mesh_stl_binary(const mesh_file *file, const mesh_sink *sink, tks_error *err);
tks_status mesh_stl_ascii(const mesh_file *file, const mesh_sink *sink, tks_error *err);

/* Area, volume and bounds of a binary STL in constant memory. The file is always summed in two
 * halves, which threads = 2 does at once. */
tks_status mesh_stl_tally(const mesh_file *file, int threads, mesh_tally *tally, tks_error *err);

#endif
