/* Lists with a unit behind them, `[10, 0, 4] mm`, are not YAML. On its way to the YAML parser such
 * a text is respelt `[10, 0, 4,mm]`: as many bytes, and all other characters keep their columns. */
#ifndef TEXT_RESPELLING_H
#define TEXT_RESPELLING_H

#include <stdbool.h>
#include <stddef.h>

/* One respelling; line and column count from 0 and characters, as the parser's marks do. */
typedef struct text_respelt {
    size_t at, end; /* byte range in the text, from ']' to behind the unit */
    bool comma;     /* ']' becomes a comma; not where one stands before it already */
    int line;
    int column; /* of the ']' that now stands at end - 1 */
} text_respelt;

/* Walks through a text just ahead of the parser, knowing what is quoted, comment, or part of a
 * scalar of many lines; start with {.text, .length}. */
typedef struct text_respelling {
    const char *text;
    size_t length;
    size_t given;      /* bytes given to the parser */
    size_t at;         /* bytes walked through */
    size_t line_start; /* of the line at `at` */
    int line;          /* number of that line, from 0 */
    size_t measured;   /* the characters of that line up to here are counted: */
    int columns;
    long parent;         /* column of the innermost key or dash, -1: none; a scalar goes
                            on over lines that are indented deeper */
    size_t depth;        /* of open [ and { */
    bool line_begins;    /* `at` is the start of a line outside all brackets */
    bool in_word;        /* inside brackets: in an unquoted scalar */
    char last;           /* inside brackets: the last character that is no space */
    text_respelt *found; /* those not yet dropped: found[first] to found[count - 1] */
    size_t first, count, room;
    bool failed; /* memory was short */
} text_respelling;

void text_respelling_start(text_respelling *r, const char *text, size_t length);

/* Gives the next size bytes (fewer at the end), respelt; 0 at the end or when memory was short. */
size_t text_respelling_give(text_respelling *r, char *to, size_t size);

/* The earliest respelling that was given and not dropped, or NULL. */
const text_respelt *text_respelling_first(const text_respelling *r);

void text_respelling_drop(text_respelling *r);

void text_respelling_end(text_respelling *r);

#endif
