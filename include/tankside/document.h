/* Reading part, load, tank and shape files: YAML to a tree of nodes that know their line and
 * column. room: text */
#ifndef TANKSIDE_DOCUMENT_H
#define TANKSIDE_DOCUMENT_H

#include "tankside/arena.h"
#include "tankside/quantity.h"
#include "tankside/status.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef enum tks_node_kind { TKS_SCALAR, TKS_LIST, TKS_MAP } tks_node_kind;

/* One node of a document, owned by the arena that it was read into. A map's children are its
 * values, each with its key; key is NULL for list items and for the root. */
typedef struct tks_node {
    tks_node_kind kind;
    int line, column;             /* of its first byte, from 1; columns count characters */
    bool quoted;                  /* a scalar written in quotes or as a block */
    bool block;                   /* a scalar written as a block, behind | or > */
    const char *text;             /* of a scalar: NUL-ended, valid UTF-8; "" for others */
    size_t length;                /* of text [bytes] */
    const struct tks_node *key;   /* of a map's value */
    const struct tks_node *first; /* first child */
    const struct tks_node *next;  /* next sibling */
    size_t count;                 /* of children */
    const struct tks_node *unit;  /* of a list written `[10, 0, 4] mm`, and of the lists in it that
                                     have none of their own: the unit; not among the children */
} tks_node;

typedef struct tks_limits {
    size_t bytes;   /* of a file; default 256 MiB */
    size_t nodes;   /* of one document; default 4 million */
    size_t aliases; /* nodes that aliases may add to one document, and anchors it may set; default
                       10,000 */
    int depth;      /* of nesting; default 32, at most 200 */
} tks_limits;

/* The limits that hold where none are given. */
tks_limits tks_limits_default(void);

typedef struct tks_reader tks_reader;

/* Opens a file ("-": standard input) of one or more documents, parted by `---`. limits may be NULL.
 * Errors: TKS_EOPEN (missing, a folder, no leave), TKS_EREAD, TKS_ELIMIT, TKS_ESYNTAX (not UTF-8
 * text). On TKS_OK the caller owns *reader. */
tks_status tks_reader_open(const char *path, const tks_limits *limits, tks_reader **reader,
                           tks_error *err);

/* The same for a text in memory, which must outlive the reader; name stands for the file in
 * messages. */
tks_status tks_reader_memory(const char *name, const char *text, size_t length,
                             const tks_limits *limits, tks_reader **reader, tks_error *err);

/* Reads the next document into the arena; *root is NULL at the end. Reset the arena in between and
 * memory does not grow with the number of documents. A document, or a file, that is empty gives
 * TKS_ESYNTAX. Duplicate keys, tags, and keys that are not scalars are refused with their place;
 * an alias (`*name`) makes a copy. Texts hold no NUL and no other control character than tab and
 * line end. After an error the reader is spent: each further call gives the same error. */
tks_status tks_reader_next(tks_reader *reader, tks_arena *arena, const tks_node **root,
                           tks_error *err);

/* Takes an item of a list, which lives until it returns. Anything but TKS_OK ends the reading. It
 * may be called from another thread, one call after the other, while the reader reads on. */
typedef tks_status tks_take(void *context, const tks_node *item, tks_error *err);

/* The same, but for a document that is a map whose first key is first: the items of the list under
 * key are handed to take one by one as they are read, and *root has that list without its items
 * (count tells how many there were). So memory does not grow with a long list. The error of take is
 * given back. */
tks_status tks_reader_stream(tks_reader *reader, tks_arena *arena, const char *first,
                             const char *key, tks_take *take, void *context, const tks_node **root,
                             tks_error *err);

/* Name as given to open; borrowed from the reader. "-" reads as "standard input". */
const char *tks_reader_name(const tks_reader *reader);

/* The line of source numbered from 1, without its end; NULL when there is none. Borrowed. */
const char *tks_reader_line(const tks_reader *reader, int line, size_t *length);

/* Ends reading; nodes live on in their arena. NULL is allowed. */
void tks_reader_close(tks_reader *reader);

/* Writes the error as users read it, with the source line and a caret below it when line is not
 * NULL (as tks_reader_line gives it):
 *
 *   bracket.yaml:3:9: length is '-4 mm'; it must be above zero
 *       length: -4 mm
 *               ^
 *
 * No line end stands at the end. Long lines are cut around the column, tabs shown as one space,
 * control characters as '?'. Gives the length as snprintf does. */
int tks_error_print(char *text, size_t size, const tks_error *err, const char *line, size_t length);

/* Place of a node; file is borrowed. */
tks_place tks_node_place(const tks_node *node, const char *file);

/* Place of the first character of a scalar's text, which for one in quotes is behind the quote. */
tks_place tks_node_text_place(const tks_node *node, const char *file);

/* The value under a key (space, '-' and '_' alike, capitals alike), or NULL. */
const tks_node *tks_node_get(const tks_node *map, const char *key);

/* Refuses (TKS_EUNKNOWN, nearest name suggested, or all names listed when none is near) each key
 * that is not among names. what names the thing: "a plate", "a part". */
tks_status tks_node_known(const tks_node *map, const char *file, const char *what,
                          const char *const *names, size_t count, tks_error *err);

/* Refuses a node that is not of the kind, or that is empty: "expected a list of holes, read 'x'";
 * what names what should stand there: "a list of holes", "the name of a shape". */
tks_status tks_node_expect(const tks_node *node, const char *file, tks_node_kind kind,
                           const char *what, tks_error *err);

/* Reads a scalar as one value of a kind, through tks_quantity_read; what names the value, here and
 * below, and stands at the beginning of the message: "length: ...", "count is 'x'; ...". */
tks_status tks_node_quantity(const tks_node *node, const char *file, tks_kind kind,
                             const char *what, double *value, tks_error *err);

/* Reads a whole number in least..most. */
tks_status tks_node_count(const tks_node *node, const char *file, const char *what, long least,
                          long most, long *value, tks_error *err);

/* Reads a list of n values of a kind, e.g. a place `[10, 0, 4] mm`: the list's own unit holds for
 * items that are bare numbers. values is written only on TKS_OK. */
tks_status tks_node_vector(const tks_node *node, const char *file, tks_kind kind, const char *what,
                           size_t n, double *values, tks_error *err);

/* Reads one of count words; gives its index. */
tks_status tks_node_choice(const tks_node *node, const char *file, const char *what,
                           const char *const *words, size_t count, size_t *index, tks_error *err);

#ifdef __cplusplus
}
#endif
#endif
