/* Shared by the tests of this room: reading a document from a string. */
#ifndef TEST_TEXT_READING_H
#define TEST_TEXT_READING_H

#include "support/near.h"
#include "tankside/document.h"

#include <string.h>

/* Reads the first document; its status. */
static inline tks_status read_first(tks_arena *arena, const char *text, size_t length,
                                    const tks_limits *limits, const tks_node **root, tks_error *err)
{
    tks_reader *reader;
    tks_status status = tks_reader_memory("t.yaml", text, length, limits, &reader, err);
    if (status) return status;
    status = tks_reader_next(reader, arena, root, err);
    tks_reader_close(reader);
    return status;
}

/* Reads a text that must be well. */
static inline const tks_node *read_well(tks_arena *arena, const char *text)
{
    const tks_node *root = NULL;
    tks_error err = {0};
    if (read_first(arena, text, strlen(text), NULL, &root, &err))
        fail_msg("%d:%d: %s in: %s", err.line, err.column, err.text, text);
    return root;
}

#endif
