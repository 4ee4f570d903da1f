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

/* A file is always read in two parts, the first into the first sink, which threads = 2 does at
 * once; so the result does not depend on the number of threads. */
tks_status mesh_stl_read(const mesh_file *file, int threads, const mesh_sink sinks[2],
                         tks_error *err);

/* Area, volume and bounds in constant memory; the same whatever the number of threads. */
tks_status mesh_stl_tally(const mesh_file *file, int threads, mesh_tally *tally, tks_error *err);

#endif
