/* tankside-reader: reads meshes of foreign formats for tankside to look at. It does nothing that
 * needs trust: it shuts itself in before it touches a byte of the file. */
#ifndef READER_READER_H
#define READER_READER_H

#include "mesh/wire.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

/* What the parent allows. */
typedef struct reader_limits {
    size_t memory, facets;
    unsigned long seconds;
} reader_limits;

/* Gives up memory beyond the limit, processor time, files beyond a few, writing to files, core
 * dumps, and (by a filter on system calls) the network, new processes, and everything that changes
 * the file system. False: the system refuses the filter. */
bool reader_shut_in(const reader_limits *limits);

/* Reads the mesh on standard input, of a format known by its ending ("ply"); name is the file's
 * own, beside which it may have others. Writes to standard output; gives the exit code. */
int reader_read(const char *ending, const char *name, const reader_limits *limits);

/* Writes a message in place of a mesh. */
int reader_refuse(unsigned status, const char *text);

/* What is wrong with the PLY file on standard input, or NULL: its header, its length, or that it
 * has strips of triangles. */
const char *reader_ply_fault(void);

/* Unit of the 3MF package on standard input [m]; 0 when it cannot be told, as when it holds several
 * models and none has the usual name. Source: 3MF Core Specification 1.3, section 3.4: millimetre
 * unless `unit` says otherwise. */
double reader_3mf_unit(void);

/* Reads exactly length bytes of standard input at an offset. */
bool reader_get(size_t offset, void *bytes, size_t length);
size_t reader_input_size(void);

#endif
