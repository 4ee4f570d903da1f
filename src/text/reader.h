/* The reader's parts, shared within the room. */
#ifndef TEXT_READER_H
#define TEXT_READER_H

#include "tankside/document.h"
#include "text/respelling.h"
#include "text/source.h"
#include "text/stream.h"

#include <stdint.h>
#include <yaml.h>

/* A list or map that is being read. */
typedef struct text_open {
    tks_node *node, *last, *before; /* its last child, and the one before that */
    const tks_node *key;            /* of a map: read, while its value is not */
} text_open;

typedef struct text_anchor {
    uint32_t hash;
    const char *name;
    tks_node *node;
} text_anchor;

/* A document that is being read into an arena. */
typedef struct text_tree {
    const char *file;
    tks_limits limits;
    tks_arena *arena;
    tks_node *root;
    text_open *open; /* limits.depth of them */
    int depth;       /* how many of them are in use */
    size_t nodes, copied;
    bool formulas; /* the last word of a list is never its unit: `[0, h]` ends in a name */
    text_anchor *anchors;
    size_t anchor_count, anchor_room;
    text_stream stream;
    tks_node *streamed;        /* the list whose items are handed out, while it is open */
    size_t kept, kept_anchors; /* nodes and anchors there were before it */
} text_tree;

struct tks_reader {
    text_source source;
    text_respelling respelling;
    text_tree tree;
    yaml_parser_t parser;
    bool parsing; /* the parser is there */
    bool ended;
    size_t documents;
    tks_error failure; /* of an earlier call: the reader is spent */
};

/* For a file of formulas, in whose lists a word is a name though a unit may be called so too. */
void text_reader_formulas(tks_reader *reader);

/* Forgets the last document. */
void text_tree_start(text_tree *tree, tks_arena *arena);

/* Adds what an event of a document's inside says. respelt: the event ends a list with a unit
 * behind it. */
tks_status text_tree_add(text_tree *tree, const yaml_event_t *event, bool respelt, tks_error *err);

/* What new nodes and names live in; NULL when memory is short. */
tks_arena *text_tree_arena(text_tree *tree);

/* The place of a mark. */
tks_place text_place(const char *file, yaml_mark_t mark);

/* Gives the node a name within its document; the latest of that name counts. */
tks_status text_anchor_set(text_tree *tree, const char *name, tks_node *node, tks_error *err);

/* The node of that name, or NULL. */
tks_node *text_anchor_find(const text_tree *tree, const char *name);

/* Refuses a map in which two keys are alike; names the line of the earlier. */
tks_status text_check_keys(const tks_node *map, const char *file, tks_error *err);

/* Says in plain words what the parser found wrong. */
tks_status text_parser_problem(const tks_reader *reader, tks_error *err);

#endif
