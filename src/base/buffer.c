#include "base/buffer.h"

#include "base/alloc.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

static bool make_room(base_buffer *b, size_t more)
{
    if (b->failed) return false;
    if (b->room - b->length > more) return true;
    if (more > SIZE_MAX / 4 - b->length) {
        b->failed = true;
        return false;
    }
    size_t room = b->room ? b->room * 2 : 256;
    while (room - b->length <= more) room *= 2;
    char *text = base_resize(b->text, room, 1);
    if (!text) {
        b->failed = true;
        return false;
    }
    b->text = text;
    b->room = room;
    return true;
}

void base_buffer_add(base_buffer *b, const char *text, size_t length)
{
    if (!make_room(b, length)) return;
    memcpy(b->text + b->length, text, length);
    b->length += length;
    b->text[b->length] = '\0';
}

void base_buffer_puts(base_buffer *b, const char *text)
{
    base_buffer_add(b, text, strlen(text));
}

void base_buffer_printf(base_buffer *b, const char *format, ...)
{
    if (!make_room(b, 128)) return;
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    int needed = vsnprintf(b->text + b->length, b->room - b->length, format, args);
    if (needed >= 0 && (size_t)needed >= b->room - b->length && make_room(b, (size_t)needed))
        needed = vsnprintf(b->text + b->length, b->room - b->length, format, again);
    va_end(again);
    va_end(args);
    if (needed < 0)
        b->failed = true;
    else if (!b->failed)
        b->length += (size_t)needed;
}

void base_buffer_fill(base_buffer *b, char c, size_t count)
{
    if (!make_room(b, count)) return;
    memset(b->text + b->length, c, count);
    b->length += count;
    b->text[b->length] = '\0';
}

void base_buffer_free(base_buffer *b)
{
    base_free(b->text);
    *b = (base_buffer){0};
}
