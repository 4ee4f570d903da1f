#include "shape/records.h"

#include "base/names.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define POSITIVE(name, kind)                                                                       \
    {                                                                                              \
        name, RECORD_QUANTITY, kind, 0, true                                                       \
    }
#define PLAIN(name, kind)                                                                          \
    {                                                                                              \
        name, RECORD_QUANTITY, kind, -1e9, false                                                   \
    }
#define COUNT                                                                                      \
    {                                                                                              \
        "count", RECORD_COUNT, TKS_NUMBER, 1, false                                                \
    }
#define SPOTS                                                                                      \
    {                                                                                              \
        "at", RECORD_SPOTS, TKS_LENGTH, -1e9, false                                                \
    }

static const record_layout layouts[] = {
    {"holes",
     "a hole",
     5,
     {POSITIVE("diameter", TKS_LENGTH),
      POSITIVE("square", TKS_LENGTH),
      COUNT,
      SPOTS,
      {"leg", RECORD_COUNT, TKS_NUMBER, 1, false}},
     0},
    {"slots",
     "a slot",
     5,
     {POSITIVE("length", TKS_LENGTH), POSITIVE("width", TKS_LENGTH), COUNT, SPOTS,
      PLAIN("turn", TKS_ANGLE)},
     0},
    {"bends",
     "a bend",
     2,
     {PLAIN("angle", TKS_ANGLE), {"inside radius", RECORD_QUANTITY, TKS_LENGTH, 0, false}},
     0},
    {"path",
     "a step of a path",
     8,
     {POSITIVE("straight", TKS_LENGTH),
      POSITIVE("bend", TKS_ANGLE),
      POSITIVE("radius", TKS_LENGTH),
      PLAIN("turn", TKS_ANGLE),
      POSITIVE("coil", TKS_NUMBER),
      POSITIVE("diameter", TKS_LENGTH),
      {"pitch", RECORD_QUANTITY, TKS_LENGTH, 0, false},
      {"hand", RECORD_HAND, TKS_NUMBER, 0, false}},
     0},
    {"steps",
     "a step of a shaft",
     3,
     {POSITIVE("diameter", TKS_LENGTH),
      POSITIVE("length", TKS_LENGTH),
      {"fillet", RECORD_QUANTITY, TKS_LENGTH, 0, false}},
     0},
    {"lengths", "a length", 1, {POSITIVE("length", TKS_LENGTH)}, 1},
    {"points",
     "a point",
     3,
     {PLAIN("x", TKS_LENGTH), PLAIN("y", TKS_LENGTH), PLAIN("z", TKS_LENGTH)},
     3},
};

enum { LAYOUTS = sizeof layouts / sizeof layouts[0] };

const record_layout *record_layout_find(const char *name, size_t length)
{
    for (size_t i = 0; i < LAYOUTS; i++)
        if (base_name_is(name, length, layouts[i].name)) return &layouts[i];
    return NULL;
}

const char *record_layout_name(size_t i)
{
    return i < LAYOUTS ? layouts[i].name : NULL;
}

static tks_status check_range(const record_field *field, const tks_node *node, const char *file,
                              const record_layout *layout, double value, tks_error *err)
{
    double size = fabs(value);
    bool large_enough = field->above ? value > field->least : value >= field->least;
    bool absurd = field->kind == TKS_LENGTH && size > 0 &&
                  (size > SHAPE_LONGEST || (field->above && size < SHAPE_FINEST));
    if (large_enough && !absurd) return TKS_OK;
    return tks_fail(err, TKS_EDOMAIN, tks_node_place(node, file), "%s: %s is '%.40s'; it must %s",
                    layout->item, field->name, node->text,
                    large_enough   ? "be from 0.1 um to 100 m"
                    : field->above ? "be above zero"
                                   : "not be below zero");
}

/* A plane place `[x, y]`, or a list of such. */
static tks_status read_spots(tks_arena *arena, const tks_node *node, const char *file, record *r,
                             tks_error *err)
{
    tks_status status =
        tks_node_expect(node, file, TKS_LIST, "places, as in [[10, 5], [30, 5]] mm", err);
    if (status) return status;
    bool single = node->first && node->first->kind == TKS_SCALAR;
    size_t count = single ? 1 : node->count;
    double *spots = tks_arena_take(arena, count, 2 * sizeof *spots);
    if (!spots) return tks_fail(err, TKS_EMEMORY, tks_node_place(node, file), "out of memory");
    const tks_node *spot = single ? node : node->first;
    for (size_t i = 0; i < count; i++, spot = spot->next) {
        status = tks_node_vector(spot, file, TKS_LENGTH, "a place", 2, spots + 2 * i, err);
        if (status) return status;
    }
    r->spots = spots;
    r->spot_count = count;
    return TKS_OK;
}

static tks_status read_field(tks_arena *arena, const tks_node *node, const char *file,
                             const record_layout *layout, size_t i, record *r, tks_error *err)
{
    const record_field *field = &layout->fields[i];
    static const char *const hands[] = {"right", "left"};
    tks_status status;
    long count = 0;
    size_t hand = 0;
    r->given |= 1u << i;
    switch (field->type) {
    case RECORD_COUNT:
        status = tks_node_count(node, file, field->name, 1, RECORD_MOST_ITEMS, &count, err);
        r->values[i] = (double)count;
        return status;
    case RECORD_SPOTS: return read_spots(arena, node, file, r, err);
    case RECORD_HAND:
        status = tks_node_choice(node, file, field->name, hands, 2, &hand, err);
        r->values[i] = hand ? -1 : 1;
        return status;
    case RECORD_QUANTITY: break;
    }
    status = tks_node_quantity(node, file, field->kind, field->name, &r->values[i], err);
    return status ? status : check_range(field, node, file, layout, r->values[i], err);
}

static tks_status unknown_field(const tks_node *node, const char *file, const record_layout *layout,
                                tks_error *err)
{
    const char *names[RECORD_MOST_FIELDS];
    for (size_t i = 0; i < layout->field_count; i++) names[i] = layout->fields[i].name;
    return tks_node_known(node, file, layout->item, names, layout->field_count, err);
}

static tks_status read_map(tks_arena *arena, const tks_node *node, const char *file,
                           const record_layout *layout, record *r, tks_error *err)
{
    for (const tks_node *value = node->first; value; value = value->next) {
        size_t i = 0;
        while (i < layout->field_count &&
               !base_name_is(value->key->text, value->key->length, layout->fields[i].name))
            i++;
        if (i == layout->field_count) return unknown_field(node, file, layout, err);
        tks_status status = read_field(arena, value, file, layout, i, r, err);
        if (status) return status;
    }
    return TKS_OK;
}

/* A scalar of a list of lengths takes the list's own unit when it has none. */
static tks_status read_length(const tks_node *list, const tks_node *node, const char *file,
                              const record_layout *layout, record *r, tks_error *err)
{
    tks_node alone = *list;
    tks_node item = *node;
    item.next = NULL;
    alone.first = &item;
    alone.count = 1;
    r->given = 1;
    tks_status status = tks_node_vector(&alone, file, TKS_LENGTH, "a length", 1, r->values, err);
    return status ? status : check_range(&layout->fields[0], node, file, layout, r->values[0], err);
}

static tks_status read_item(tks_arena *arena, const tks_node *list, const tks_node *node,
                            const char *file, const record_layout *layout, record *r,
                            tks_error *err)
{
    r->at = tks_node_place(node, file);
    if (layout->vector == 1) return read_length(list, node, file, layout, r, err);
    if (layout->vector) {
        r->given = (1u << layout->vector) - 1;
        return tks_node_vector(node, file, TKS_LENGTH, layout->item, layout->vector, r->values,
                               err);
    }
    tks_status status = tks_node_expect(node, file, TKS_MAP, layout->item, err);
    return status ? status : read_map(arena, node, file, layout, r, err);
}

tks_status record_list_read(tks_arena *arena, const tks_node *node, const char *file,
                            const record_layout *layout, const record **records, size_t *count,
                            tks_error *err)
{
    bool single = node->kind == TKS_MAP;
    if (!single && node->kind != TKS_LIST) {
        char what[40];
        snprintf(what, sizeof what, "a list of %s", layout->name);
        return tks_node_expect(node, file, TKS_LIST, what, err);
    }
    size_t n = single ? 1 : node->count;
    if (n > RECORD_MOST_ITEMS)
        return tks_fail(err, TKS_ELIMIT, tks_node_place(node, file), "%zu %s; the most is %d", n,
                        layout->name, RECORD_MOST_ITEMS);
    record *list = tks_arena_take(arena, n, sizeof *list);
    if (!list) return tks_fail(err, TKS_EMEMORY, tks_node_place(node, file), "out of memory");
    const tks_node *item = single ? node : node->first;
    for (size_t i = 0; i < n; i++, item = item->next) {
        tks_status status = read_item(arena, node, item, file, layout, &list[i], err);
        if (status) return status;
    }
    *records = list;
    *count = n;
    return TKS_OK;
}
