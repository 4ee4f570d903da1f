#include "base/show.h"
#include "tankside/document.h"

#include <stdio.h>
#include <string.h>

/* Columns of a source line that are shown, of them so many before the place. */
enum { SHOWN = 100, BEFORE = 60 };

static int print_place(char *text, size_t size, const tks_error *err)
{
    if (!err->file[0] && !err->line) return snprintf(text, size, "%s", err->text);
    const char *file = err->file[0] ? err->file : "input";
    if (!err->line) return snprintf(text, size, "%s: %s", file, err->text);
    if (!err->column) return snprintf(text, size, "%s:%d: %s", file, err->line, err->text);
    return snprintf(text, size, "%s:%d:%d: %s", file, err->line, err->column, err->text);
}

/* Byte offset of the character numbered n from 0, or length. */
static size_t offset_of(const char *line, size_t length, size_t n)
{
    size_t i = 0;
    while (n-- > 0 && i < length) {
        size_t bytes = base_character(line + i, length - i);
        i += bytes ? bytes : 1;
    }
    return i;
}

/* Characters [first, first + SHOWN) of the line, tabs as one space. */
static void cut_line(char *to, size_t size, const char *line, size_t length, size_t first)
{
    size_t from = offset_of(line, length, first);
    size_t bytes = offset_of(line + from, length - from, SHOWN);
    base_show(to, size, 0, line + from, bytes);
    for (size_t i = 0; i < bytes && to[i]; i++)
        if (line[from + i] == '\t' && to[i] == '?') to[i] = ' ';
}

int tks_error_print(char *text, size_t size, const tks_error *err, const char *line, size_t length)
{
    int head = print_place(text, size, err);
    if (!line || head < 0 || err->column < 1) return head;
    size_t column = (size_t)err->column - 1;
    size_t first = column > BEFORE ? column - BEFORE : 0;
    if (offset_of(line, length, SHOWN) == length) first = 0;
    char shown[4 * SHOWN + 4];
    cut_line(shown, sizeof shown, line, length, first);
    bool more = offset_of(line, length, first + SHOWN) < length;
    size_t used = (size_t)head < size ? (size_t)head : size;
    int caret = (int)(column - first) + (first ? 3 : 0);
    int tail = snprintf(text ? text + used : NULL, size - used, "\n    %s%s%s\n    %*s^",
                        first ? "..." : "", shown, more ? "..." : "", caret, "");
    return tail < 0 ? tail : head + tail;
}
