/* Users' text as it may be shown on a terminal. */
#ifndef BASE_SHOW_H
#define BASE_SHOW_H

#include <stddef.h>

/* Bytes of the UTF-8 character at text (length bytes left, at least 1); 0 when it is none. */
size_t base_character(const char *text, size_t length);

/* Copies text into to (size bytes, at least 4), NUL-ended: control characters, which could steer a
 * terminal, and bytes that are not UTF-8 become '?'. A text that does not fit, or holds more than
 * `most` characters (0: any number), is cut between characters and ends in "...". Returns to. */
char *base_show(char *to, size_t size, size_t most, const char *text, size_t length);

/* The same for a NUL-ended text, in place; it never grows. */
void base_show_in_place(char *text);

/* A word of the user's for a message, quoted by the caller: '%s'. At most 40 characters. */
typedef struct base_word {
    char text[168];
} base_word;

base_word base_shown_word(const char *text, size_t length);

#endif
