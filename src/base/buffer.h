/* A growing text: what a command prints is gathered here and written when the whole is known. */
#ifndef BASE_BUFFER_H
#define BASE_BUFFER_H

#include "tankside/status.h"

#include <stdbool.h>
#include <stddef.h>

/* Start with {0}. Once memory is short, failed is set and further text is dropped:
 * check it once, at the end. */
typedef struct base_buffer {
    char *text; /* NUL-ended when not NULL */
    size_t length, room;
    bool failed;
} base_buffer;

void base_buffer_add(base_buffer *b, const char *text, size_t length);
void base_buffer_puts(base_buffer *b, const char *text);
void base_buffer_printf(base_buffer *b, const char *format, ...) TKS_PRINTF(2, 3);
/* Appends count times the byte c. */
void base_buffer_fill(base_buffer *b, char c, size_t count);
void base_buffer_free(base_buffer *b);

#endif
