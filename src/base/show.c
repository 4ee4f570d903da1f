#include "base/show.h"

#include <stdbool.h>
#include <string.h>

enum { WORD_MOST = 40 };

static bool follows(char c)
{
    return ((unsigned char)c & 0xC0) == 0x80;
}

/* Lengths and first values by the table of well-formed byte sequences: Unicode 15, table 3-7. */
size_t base_character(const char *text, size_t length)
{
    unsigned char a = (unsigned char)text[0];
    if (a < 0x80) return 1;
    if (a < 0xC2 || a > 0xF4) return 0;
    size_t bytes = a < 0xE0 ? 2 : a < 0xF0 ? 3 : 4;
    if (length < bytes) return 0;
    for (size_t i = 1; i < bytes; i++)
        if (!follows(text[i])) return 0;
    unsigned char b = (unsigned char)text[1];
    bool bad = (a == 0xE0 && b < 0xA0) || (a == 0xED && b > 0x9F) || (a == 0xF0 && b < 0x90) ||
               (a == 0xF4 && b > 0x8F);
    return bad ? 0 : bytes;
}

static bool is_control(const char *c, size_t bytes)
{
    unsigned char a = (unsigned char)c[0];
    return a < 0x20 || a == 0x7F || (bytes == 2 && a == 0xC2 && (unsigned char)c[1] < 0xA0);
}

char *base_show(char *to, size_t size, size_t most, const char *text, size_t length)
{
    size_t used = 0, keep = 0, characters = 0, i = 0;
    while (i < length) {
        size_t bytes = base_character(text + i, length - i);
        bool replaced = !bytes || is_control(text + i, bytes);
        size_t width = replaced ? 1 : bytes;
        if (used + width >= size || (most && characters == most)) break;
        if (replaced)
            to[used] = '?';
        else
            memcpy(to + used, text + i, bytes);
        used += width;
        characters++;
        if (used + 4 <= size && (!most || characters + 3 <= most)) keep = used;
        i += bytes ? bytes : 1;
    }
    if (i < length)
        memcpy(to + keep, "...", 4);
    else
        to[used] = '\0';
    return to;
}

void base_show_in_place(char *text)
{
    size_t length = strlen(text), used = 0;
    for (size_t i = 0; i < length;) {
        size_t bytes = base_character(text + i, length - i);
        if (!bytes || is_control(text + i, bytes)) {
            text[used++] = '?';
        } else {
            memmove(text + used, text + i, bytes);
            used += bytes;
        }
        i += bytes ? bytes : 1;
    }
    text[used] = '\0';
}

base_word base_shown_word(const char *text, size_t length)
{
    base_word word;
    base_show(word.text, sizeof word.text, WORD_MOST, text, length);
    return word;
}
