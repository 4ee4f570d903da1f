/* The file that a mesh is read from: opened once, read at places (so that it may shrink without
 * harm), or as text in blocks of whole lines. */
#ifndef MESH_FILE_H
#define MESH_FILE_H

#include "tankside/mesh.h"

enum { MESH_MOST_FACETS = 350000000 }; /* their sides are numbered with 30 bits */

typedef enum mesh_format {
    MESH_BINARY_STL,
    MESH_ASCII_STL,
    MESH_OBJ,
    MESH_PLY,
    MESH_OFF,
    MESH_3MF,
    MESH_GLB,
    MESH_GLTF
} mesh_format;

typedef struct mesh_file {
    int descriptor;
    size_t size;
    const char *path; /* borrowed; "standard input" for "-" */
    mesh_format format;
    size_t facets; /* of a binary STL */
    tks_mesh_limits limits;
} mesh_file;

/* Opens a file and tells its format. A pipe is read into memory first, up to the cap. */
tks_status mesh_file_open(const char *path, const tks_mesh_limits *limits, mesh_file *file,
                          tks_error *err);
void mesh_file_close(mesh_file *file);

/* "binary STL" ... and the ending that the helper program knows a format by ("ply"). */
const char *mesh_format_name(mesh_format format);
const char *mesh_format_ending(mesh_format format);

/* Reads exactly length bytes from an offset; false: the file is shorter, or the system refused. */
bool mesh_file_read(const mesh_file *file, size_t offset, void *bytes, size_t length);

tks_place mesh_file_place(const mesh_file *file);

/* TKS_ELIMIT naming the cap of facets. */
tks_status mesh_too_many(const mesh_file *file, tks_error *err);
tks_status mesh_no_memory(const mesh_file *file, tks_error *err);

enum { MESH_TEXT_SLACK = 16 }; /* bytes behind a block that may be read, but mean nothing */

/* Text in blocks of whole lines: a stretch of a file that begins and ends with a line. Start with
 * mesh_text_of. */
typedef struct mesh_text {
    const mesh_file *file;
    char *buffer;
    size_t room, filled; /* of buffer; filled counts the bytes read */
    size_t begin, end;   /* the block handed out */
    size_t offset;       /* in the file, of buffer's first byte */
    size_t next, last;   /* in the file, of what is to be read next, and of the end */
    char kept;           /* the byte at end, which is overwritten by a NUL */
} mesh_text;

mesh_text mesh_text_of(const mesh_file *file, size_t first, size_t last);

/* A place near the middle of a file at which a line begins with a word, in any case and behind any
 * blanks, and is not joined to the line before by a backslash. 0: none is near. */
size_t mesh_text_middle(const mesh_file *file, const char *word);

/* The next block: from buffer + begin to buffer + end, ending in a NUL that is not part of it; no
 * line (with lines joined by a backslash) is cut. begin == end at the end. Errors:
 * TKS_ELIMIT (a line over 16 MiB), TKS_EMEMORY, TKS_EREAD. */
tks_status mesh_text_next(mesh_text *text, tks_error *err);
void mesh_text_free(mesh_text *text);

/* Where in the file the byte at p of the block stands. */
static inline size_t mesh_text_offset(const mesh_text *text, const char *p)
{
    return text->offset + (size_t)(p - text->buffer);
}

/* The line, from 1, in which the byte at an offset stands; the file is read again for it. */
tks_place mesh_file_line(const mesh_file *file, size_t offset);

#endif
