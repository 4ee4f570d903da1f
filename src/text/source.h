/* The whole text of a file, checked to be UTF-8 text, and its lines. */
#ifndef TEXT_SOURCE_H
#define TEXT_SOURCE_H

#include "tankside/status.h"

#include <stddef.h>

typedef struct text_source {
    char *name;       /* as shown in messages; owned */
    char *owned;      /* the bytes, when they were read from a file */
    const char *text; /* behind a byte order mark */
    size_t length;
} text_source;

/* Reads a file ("-": standard input) of at most `most` bytes.
 * Errors: TKS_EOPEN, TKS_EREAD, TKS_ELIMIT, TKS_ESYNTAX (not text), TKS_EMEMORY; the source is then
 * empty. */
tks_status text_source_open(text_source *source, const char *path, size_t most, tks_error *err);

/* The same for a text in memory, which is borrowed. */
tks_status text_source_memory(text_source *source, const char *name, const char *text,
                              size_t length, size_t most, tks_error *err);

/* The line numbered from 1 without its end, or NULL. Lines end in LF, CR LF or CR. */
const char *text_source_line(const text_source *source, int line, size_t *length);

void text_source_close(text_source *source);

#endif
