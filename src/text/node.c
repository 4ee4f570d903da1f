#include "base/names.h"
#include "base/show.h"
#include "tankside/document.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

tks_place tks_node_place(const tks_node *node, const char *file)
{
    return (tks_place){file, node->line, node->column};
}

tks_place tks_node_text_place(const tks_node *node, const char *file)
{
    return (tks_place){file, node->line, node->column + (node->quoted && !node->block)};
}

const tks_node *tks_node_get(const tks_node *map, const char *key)
{
    if (map->kind != TKS_MAP) return NULL;
    for (const tks_node *value = map->first; value; value = value->next)
        if (base_name_is(value->key->text, value->key->length, key)) return value;
    return NULL;
}

/* ------------------------------------------------------------------ kinds */

static bool is_empty(const tks_node *node)
{
    return node->kind == TKS_SCALAR && !node->length;
}

/* What was read, for "..., read %s". */
static base_word read_as(const tks_node *node)
{
    base_word word = base_shown_word(node->text, node->length), out;
    if (node->kind == TKS_SCALAR && node->length)
        snprintf(out.text, sizeof out.text, "'%.*s'", (int)sizeof out.text - 3, word.text);
    else
        snprintf(out.text, sizeof out.text, "%s",
                 is_empty(node)           ? "nothing"
                 : node->kind == TKS_LIST ? "a list"
                                          : "a map (name: value)");
    return out;
}

tks_status tks_node_expect(const tks_node *node, const char *file, tks_node_kind kind,
                           const char *what, tks_error *err)
{
    if (node->kind == kind && !(is_empty(node) && !node->quoted)) return TKS_OK;
    return tks_fail(err, is_empty(node) ? TKS_EMISSING : TKS_ESYNTAX, tks_node_place(node, file),
                    "expected %s, read %s", what, read_as(node).text);
}

/* ------------------------------------------------------------------ known keys and words */

/* "length, width or thickness", as far as it fits. */
static void list_names(char *to, size_t size, const char *const *names, size_t count)
{
    size_t used = 0;
    to[0] = '\0';
    for (size_t i = 0; i < count && used < size; i++) {
        const char *join = i == 0 ? "" : i + 1 == count ? " or " : ", ";
        size_t needed = strlen(join) + strlen(names[i]);
        if (used + needed + 4 >= size) {
            snprintf(to + used, size - used, "...");
            return;
        }
        snprintf(to + used, size - used, "%s%s", join, names[i]);
        used += needed;
    }
}

static tks_status refuse_key(const tks_node *key, const char *file, const char *what,
                             const char *const *names, size_t count, tks_error *err)
{
    base_word word = base_shown_word(key->text, key->length);
    tks_place at = tks_node_place(key, file);
    const char *near = base_name_nearest_of(key->text, key->length, names, count);
    if (near)
        return tks_fail(err, TKS_EUNKNOWN, at, "%s has no '%s'; did you mean '%s'?", what,
                        word.text, near);
    char all[200];
    list_names(all, sizeof all, names, count);
    return tks_fail(err, TKS_EUNKNOWN, at, "%s has no '%s', only %s", what, word.text, all);
}

static bool is_among(const tks_node *scalar, const char *const *names, size_t count, size_t *index)
{
    for (size_t i = 0; i < count; i++) {
        if (!base_name_is(scalar->text, scalar->length, names[i])) continue;
        *index = i;
        return true;
    }
    return false;
}

tks_status tks_node_known(const tks_node *map, const char *file, const char *what,
                          const char *const *names, size_t count, tks_error *err)
{
    size_t index;
    tks_status status = tks_node_expect(map, file, TKS_MAP, what, err);
    if (status) return status;
    for (const tks_node *value = map->first; value; value = value->next)
        if (!is_among(value->key, names, count, &index))
            return refuse_key(value->key, file, what, names, count, err);
    return TKS_OK;
}

tks_status tks_node_choice(const tks_node *node, const char *file, const char *what,
                           const char *const *words, size_t count, size_t *index, tks_error *err)
{
    if (node->kind == TKS_SCALAR && is_among(node, words, count, index)) return TKS_OK;
    const char *near = NULL;
    if (node->kind == TKS_SCALAR && node->length)
        near = base_name_nearest_of(node->text, node->length, words, count);
    tks_place at = tks_node_place(node, file);
    if (near)
        return tks_fail(err, TKS_EUNKNOWN, at, "%s is %s; did you mean '%s'?", what,
                        read_as(node).text, near);
    char all[200];
    list_names(all, sizeof all, words, count);
    return tks_fail(err, is_empty(node) ? TKS_EMISSING : TKS_EUNKNOWN, at,
                    "%s is %s; it must be %s", what, read_as(node).text, all);
}

/* ------------------------------------------------------------------ values */

static tks_status expect_value(const tks_node *node, const char *file, const char *what,
                               tks_error *err)
{
    if (node->kind == TKS_SCALAR && node->length) return TKS_OK;
    return tks_fail(err, is_empty(node) ? TKS_EMISSING : TKS_ESYNTAX, tks_node_place(node, file),
                    "%s: expected one value, read %s", what, read_as(node).text);
}

/* Passes an error on with the name of the value before it. */
static tks_status named(const tks_error *from, const char *what, tks_error *err)
{
    tks_place at = {from->file[0] ? from->file : NULL, from->line, from->column};
    return tks_fail(err, from->code, at, "%s: %s", what, from->text);
}

tks_status tks_node_quantity(const tks_node *node, const char *file, tks_kind kind,
                             const char *what, double *value, tks_error *err)
{
    tks_status status = expect_value(node, file, what, err);
    if (status) return status;
    tks_error inner;
    tks_place at = tks_node_text_place(node, file);
    if (!tks_quantity_read(node->text, node->length, kind, at, value, &inner)) return TKS_OK;
    return named(&inner, what, err);
}

tks_status tks_node_count(const tks_node *node, const char *file, const char *what, long least,
                          long most, long *value, tks_error *err)
{
    tks_status status = expect_value(node, file, what, err);
    if (status) return status;
    size_t sign = node->text[0] == '-' || node->text[0] == '+';
    size_t digits = strspn(node->text + sign, "0123456789");
    bool whole = digits && sign + digits == node->length;
    errno = 0;
    long read = whole ? strtol(node->text, NULL, 10) : 0;
    if (!whole || errno || read < least || read > most)
        return tks_fail(err, whole ? TKS_EDOMAIN : TKS_ESYNTAX, tks_node_place(node, file),
                        "%s is %s; it must be a whole number from %ld to %ld", what,
                        read_as(node).text, least, most);
    *value = read;
    return TKS_OK;
}

/* An item of a list with a unit: a bare number takes the unit, anything else is read as it is. */
static tks_status read_item(const tks_node *item, const tks_node *unit, const char *file,
                            tks_kind kind, const char *what, double *value, tks_error *err)
{
    double number;
    tks_quantity quantity;
    bool bare =
        unit && item->kind == TKS_SCALAR && tks_unit_find(unit->text, unit->length, &quantity) &&
        !tks_quantity_read(item->text, item->length, TKS_NUMBER, tks_nowhere(), &number, NULL);
    if (!bare) return tks_node_quantity(item, file, kind, what, value, err);
    quantity.value *= number;
    tks_error inner;
    if (!tks_quantity_as(quantity, kind, tks_node_place(unit, file), value, &inner)) return TKS_OK;
    return named(&inner, what, err);
}

static tks_status expect_items(const tks_node *node, const char *file, const char *what, size_t n,
                               tks_error *err)
{
    tks_place at = tks_node_place(node, file);
    if (node->kind != TKS_LIST)
        return tks_fail(err, is_empty(node) ? TKS_EMISSING : TKS_ESYNTAX, at,
                        "%s: expected a list of %zu values, read %s", what, n, read_as(node).text);
    if (node->count != n)
        return tks_fail(err, TKS_ESYNTAX, at, "%s: expected %zu values, read %zu", what, n,
                        node->count);
    return TKS_OK;
}

tks_status tks_node_vector(const tks_node *node, const char *file, tks_kind kind, const char *what,
                           size_t n, double *values, tks_error *err)
{
    tks_status status = expect_items(node, file, what, n, err);
    if (status) return status;
    double ignored;
    for (const tks_node *item = node->first; item; item = item->next) {
        status = read_item(item, node->unit, file, kind, what, &ignored, err);
        if (status) return status;
    }
    for (const tks_node *item = node->first; item; item = item->next)
        read_item(item, node->unit, file, kind, what, values++, NULL);
    return TKS_OK;
}
