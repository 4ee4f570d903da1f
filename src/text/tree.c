/* Events of the parser to nodes. */
#include "base/names.h"
#include "base/show.h"
#include "text/reader.h"

#include <string.h>

void text_tree_start(text_tree *tree, tks_arena *arena)
{
    tree->arena = arena;
    tree->root = NULL;
    tree->depth = 0;
    tree->nodes = tree->copied = tree->anchor_count = 0;
    tree->streamed = NULL;
    text_stream_free(&tree->stream);
}

static tks_status out_of_memory(const text_tree *tree, tks_error *err)
{
    return tks_fail(err, TKS_EMEMORY, (tks_place){tree->file, 0, 0}, "out of memory");
}

tks_arena *text_tree_arena(text_tree *tree)
{
    return tree->streamed ? text_stream_arena(&tree->stream) : tree->arena;
}

/* A node, and room for a text of length bytes right behind it. */
static tks_status new_node(text_tree *tree, tks_node_kind kind, yaml_mark_t mark, size_t length,
                           tks_node **node, tks_error *err)
{
    if (++tree->nodes > tree->limits.nodes)
        return tks_fail(err, TKS_ELIMIT, text_place(tree->file, mark),
                        "this document has more than %zu values, the most that are read",
                        tree->limits.nodes);
    tks_arena *arena = text_tree_arena(tree);
    tks_node *made = arena ? tks_arena_take(arena, 1, sizeof *made + length + 1) : NULL;
    if (!made) return out_of_memory(tree, err);
    made->kind = kind;
    made->line = (int)mark.line + 1;
    made->column = (int)mark.column + 1;
    made->text = (char *)(made + 1);
    made->length = length;
    *node = made;
    return TKS_OK;
}

static text_open *innermost(text_tree *tree)
{
    return tree->depth ? &tree->open[tree->depth - 1] : NULL;
}

static bool key_is_due(const text_tree *tree)
{
    const text_open *in = tree->depth ? &tree->open[tree->depth - 1] : NULL;
    return in && in->node->kind == TKS_MAP && !in->key;
}

/* Puts a finished or just begun node where it belongs. */
static void attach(text_tree *tree, tks_node *node)
{
    text_open *in = innermost(tree);
    if (!in) {
        tree->root = node;
        return;
    }
    if (key_is_due(tree)) {
        in->key = node;
        return;
    }
    node->key = in->key;
    in->key = NULL;
    if (in->last)
        in->last->next = node;
    else
        in->node->first = node;
    in->before = in->last;
    in->last = node;
    in->node->count++;
}

/* ------------------------------------------------------------------ items handed out */

static bool is_named(const tks_node *node, const char *name)
{
    return node->key && base_name_is(node->key->text, node->key->length, name);
}

/* Begins to hand out the items of the list just opened, if it is the one that was asked for. */
static void start_stream(text_tree *tree, tks_node *list)
{
    const text_stream *stream = &tree->stream;
    if (!stream->key || tree->streamed || tree->depth != 2 || tree->root->kind != TKS_MAP ||
        !is_named(list, stream->key) || !is_named(tree->root->first, stream->first))
        return;
    tree->streamed = list;
    tree->kept = tree->nodes;
    tree->kept_anchors = tree->anchor_count;
}

/* Hands out the item that was finished, if one was, and forgets it; but what an anchor stands in is
 * kept, since an alias may ask for it later. */
static tks_status hand_out(text_tree *tree, tks_error *err)
{
    text_open *list = innermost(tree);
    if (!tree->streamed || !list || list->node != tree->streamed || !list->last) return TKS_OK;
    const tks_node *item = list->last;
    bool sent, keep = tree->anchor_count > tree->kept_anchors;
    list->last = list->before = NULL;
    list->node->first = NULL;
    tks_status status =
        text_stream_give(&tree->stream, item, tree->nodes - tree->kept, keep, &sent, err);
    if (sent && !keep) tree->nodes = tree->kept;
    return status;
}

/* ------------------------------------------------------------------ scalars */

static bool holds_control(const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)text[i];
        bool upper = c == 0xC2 && i + 1 < length && (unsigned char)text[i + 1] < 0xA0;
        if ((c < 0x20 && c != '\t' && c != '\n') || c == 0x7F || upper) return true;
    }
    return false;
}

static tks_status refuse_tag(const text_tree *tree, yaml_mark_t mark, tks_error *err)
{
    return tks_fail(err, TKS_ESYNTAX, text_place(tree->file, mark),
                    "tags ('!') are not used here; put quotes around the text");
}

static tks_status check_scalar(const text_tree *tree, const yaml_event_t *event, tks_error *err)
{
    if (event->data.scalar.tag) return refuse_tag(tree, event->start_mark, err);
    if (key_is_due(tree) && !event->data.scalar.length)
        return tks_fail(err, TKS_ESYNTAX, text_place(tree->file, event->start_mark),
                        "a name is missing before the ':'");
    if (event->data.scalar.style == YAML_DOUBLE_QUOTED_SCALAR_STYLE &&
        holds_control((const char *)event->data.scalar.value, event->data.scalar.length))
        return tks_fail(err, TKS_ESYNTAX, text_place(tree->file, event->start_mark),
                        "this text holds a control character; take it out");
    return TKS_OK;
}

static tks_status add_scalar(text_tree *tree, const yaml_event_t *event, tks_error *err)
{
    tks_status status = check_scalar(tree, event, err);
    if (status) return status;
    tks_node *node;
    size_t length = event->data.scalar.length;
    status = new_node(tree, TKS_SCALAR, event->start_mark, length, &node, err);
    if (status) return status;
    memcpy(node + 1, event->data.scalar.value, length);
    yaml_scalar_style_t style = event->data.scalar.style;
    node->quoted = style != YAML_PLAIN_SCALAR_STYLE;
    node->block = style == YAML_LITERAL_SCALAR_STYLE || style == YAML_FOLDED_SCALAR_STYLE;
    attach(tree, node);
    if (!event->data.scalar.anchor) return TKS_OK;
    return text_anchor_set(tree, (const char *)event->data.scalar.anchor, node, err);
}

/* ------------------------------------------------------------------ lists and maps */

static tks_status check_open(const text_tree *tree, tks_node_kind kind, yaml_mark_t mark,
                             tks_error *err)
{
    if (key_is_due(tree))
        return tks_fail(err, TKS_ESYNTAX, text_place(tree->file, mark),
                        "a name must stand before the ':', not a %s",
                        kind == TKS_LIST ? "list" : "map");
    if (tree->depth == tree->limits.depth)
        return tks_fail(err, TKS_ELIMIT, text_place(tree->file, mark),
                        "this is nested deeper than %d levels, the most that are read",
                        tree->limits.depth);
    return TKS_OK;
}

static tks_status open_node(text_tree *tree, tks_node_kind kind, const yaml_event_t *event,
                            tks_error *err)
{
    bool list = kind == TKS_LIST;
    const yaml_char_t *tag = list ? event->data.sequence_start.tag : event->data.mapping_start.tag;
    const yaml_char_t *anchor =
        list ? event->data.sequence_start.anchor : event->data.mapping_start.anchor;
    if (tag) return refuse_tag(tree, event->start_mark, err);
    tks_node *node;
    tks_status status = check_open(tree, kind, event->start_mark, err);
    if (!status) status = new_node(tree, kind, event->start_mark, 0, &node, err);
    if (status) return status;
    attach(tree, node);
    tree->open[tree->depth++] = (text_open){.node = node};
    if (anchor) status = text_anchor_set(tree, (const char *)anchor, node, err);
    if (!status && list) start_stream(tree, node);
    return status;
}

/* The unit behind a list holds for the lists in it that have none of their own. The nodes are the
 * tree's own, and written only while it is built. */
static void hand_down(tks_node *list, const tks_node *unit)
{
    list->unit = unit;
    for (const tks_node *child = list->first; child; child = child->next)
        if (child->kind == TKS_LIST && !child->unit) hand_down((tks_node *)child, unit);
}

static tks_status take_unit(text_tree *tree, text_open *list, bool respelt, tks_error *err)
{
    tks_node *unit = list->last;
    if (!list->before || unit->kind != TKS_SCALAR || unit->quoted)
        return tks_fail(err, TKS_ESYNTAX, tks_node_place(list->node, tree->file),
                        "a unit cannot stand behind this list");
    if (respelt) unit->column++; /* respelling had moved it */
    list->before->next = NULL;
    list->node->count--;
    hand_down(list->node, unit);
    return TKS_OK;
}

/* `[10, 0, 4, mm]`: the same in plain YAML, for tools that know no units behind lists. Only behind
 * a number or a list, so that a list of words may hold one that happens to be a unit. */
static bool ends_in_unit(const text_open *in)
{
    const tks_node *last = in->last, *before = in->before;
    if (in->node->kind != TKS_LIST || !before || last->kind != TKS_SCALAR || last->quoted ||
        last->length < 2)
        return false;
    bool number =
        before->kind == TKS_SCALAR && before->length && strchr("+-.0123456789", before->text[0]);
    return (number || before->kind == TKS_LIST) && tks_unit_find(last->text, last->length, NULL);
}

static tks_status close_node(text_tree *tree, bool respelt, tks_error *err)
{
    text_open *in = innermost(tree);
    tks_status status = TKS_OK;
    if (respelt || (!tree->formulas && ends_in_unit(in)))
        status = take_unit(tree, in, respelt, err);
    if (!status && in->node->kind == TKS_MAP) status = text_check_keys(in->node, tree->file, err);
    tree->depth--;
    if (status || in->node != tree->streamed) return status;
    tree->streamed = NULL;
    return text_stream_finish(&tree->stream, err);
}

/* ------------------------------------------------------------------ aliases */

static tks_status copy_limits(const text_tree *tree, int depth, tks_place at, tks_error *err)
{
    if (tree->copied > tree->limits.aliases)
        return tks_fail(err, TKS_ELIMIT, at,
                        "aliases add more than %zu values to this document, the most that are read",
                        tree->limits.aliases);
    if (depth > tree->limits.depth)
        return tks_fail(err, TKS_ELIMIT, at,
                        "aliases nest deeper than %d levels, the most that are read",
                        tree->limits.depth);
    return TKS_OK;
}

/* A copy of a tree, which stands inside depth lists or maps; texts and keys are shared. at is the
 * place of the alias. Recursion: at most limits.depth. */
static tks_status copy_tree(text_tree *tree, const tks_node *from, int depth, yaml_mark_t at,
                            tks_node **copy, tks_error *err)
{
    tks_node *made;
    int levels = depth + (from->kind != TKS_SCALAR);
    tree->copied++;
    tks_status status = copy_limits(tree, levels, text_place(tree->file, at), err);
    if (!status) status = new_node(tree, from->kind, at, 0, &made, err);
    if (status) return status;
    *made = *from;
    made->first = made->next = NULL;
    tks_node *last = NULL;
    for (const tks_node *child = from->first; child; child = child->next) {
        tks_node *next;
        status = copy_tree(tree, child, levels, at, &next, err);
        if (status) return status;
        if (last)
            last->next = next;
        else
            made->first = next;
        last = next;
    }
    *copy = made;
    return TKS_OK;
}

static bool is_open(const text_tree *tree, const tks_node *node)
{
    for (int i = 0; i < tree->depth; i++)
        if (tree->open[i].node == node) return true;
    return false;
}

static tks_status add_alias(text_tree *tree, const yaml_event_t *event, tks_error *err)
{
    const char *name = (const char *)event->data.alias.anchor;
    base_word shown = base_shown_word(name, strlen(name));
    tks_place at = text_place(tree->file, event->start_mark);
    const tks_node *named = text_anchor_find(tree, name);
    if (key_is_due(tree))
        return tks_fail(err, TKS_ESYNTAX, at, "a name must be written out, not '*%s'", shown.text);
    if (!named)
        return tks_fail(err, TKS_EUNKNOWN, at, "'*%s' stands for nothing: no '&%s' stands above it",
                        shown.text, shown.text);
    if (is_open(tree, named))
        return tks_fail(err, TKS_ESYNTAX, at, "'*%s' stands inside of what it stands for",
                        shown.text);
    tks_node *copy;
    tks_status status = copy_tree(tree, named, tree->depth, event->start_mark, &copy, err);
    if (status) return status;
    copy->key = NULL;
    attach(tree, copy);
    return TKS_OK;
}

tks_status text_tree_add(text_tree *tree, const yaml_event_t *event, bool respelt, tks_error *err)
{
    tks_status status;
    switch (event->type) {
    case YAML_SEQUENCE_START_EVENT: return open_node(tree, TKS_LIST, event, err);
    case YAML_MAPPING_START_EVENT: return open_node(tree, TKS_MAP, event, err);
    case YAML_SCALAR_EVENT: status = add_scalar(tree, event, err); break;
    case YAML_ALIAS_EVENT: status = add_alias(tree, event, err); break;
    default: status = close_node(tree, respelt, err);
    }
    return status ? status : hand_out(tree, err);
}
