/* From a shape's file: one solid, with the keys of its generator. */
#include "shape/model.h"

#include "base/names.h"

#include <string.h>

typedef struct solid_reading {
    tks_arena *arena;
    const tks_shape *shape;
    shape_solid *solid;
    tks_error *err;
} solid_reading;

static tks_status wrong(const solid_reading *r, tks_status code, const tks_node *node,
                        const char *text)
{
    return tks_fail(r->err, code, tks_node_place(node, r->shape->file), "%s", text);
}

static tks_status read_formula(const solid_reading *r, const tks_node *node, void *field)
{
    return shape_formula_read(r->arena, r->shape, node, field, r->err);
}

static const char *label_name(const void *context, size_t i)
{
    (void)context;
    return tks_label_name((tks_label)i);
}

tks_status shape_label_read(const tks_shape *shape, const tks_node *node, tks_label *label,
                            tks_error *err)
{
    tks_label found = tks_label_find(node->text, node->length);
    if (found == TKS_LABEL_COUNT) {
        const char *near =
            base_name_nearest(node->text, node->length, TKS_LABEL_COUNT, label_name, NULL);
        return tks_fail(err, TKS_EUNKNOWN, tks_node_place(node, shape->file),
                        "no surface has the label '%.40s'%s%s%s", node->text,
                        near ? "; did you mean '" : "", near ? near : "", near ? "'?" : "");
    }
    *label = found;
    return TKS_OK;
}

static tks_status read_label(const solid_reading *r, const tks_node *node, void *field)
{
    return shape_label_read(r->shape, node, field, r->err);
}

/* The name of a parameter that holds records. */
static tks_status read_records(const solid_reading *r, const tks_node *node, void *field)
{
    for (size_t i = 0; i < r->shape->parameter_count; i++) {
        const shape_variable *v = &r->shape->variables[i];
        if (v->type != SHAPE_RECORDS || !base_name_is(node->text, node->length, v->name)) continue;
        *(int *)field = (int)i;
        return TKS_OK;
    }
    return wrong(r, TKS_EUNKNOWN, node, "no parameter of this name holds a list");
}

static tks_status read_triple(const solid_reading *r, const tks_node *node, void *field)
{
    shape_formula *formulas = field;
    tks_status status =
        tks_node_expect(node, r->shape->file, TKS_LIST, "three expressions", r->err);
    if (!status && node->count != 3)
        status = wrong(r, TKS_ESYNTAX, node, "expected three expressions");
    for (const tks_node *item = node->first; item && !status; item = item->next)
        status = read_formula(r, item, formulas++);
    return status;
}

/* ------------------------------------------------------------------ corners */

/* `[x, y]`, `[x, y, label]`, or a map that adds round, bulge or when. */
static tks_status read_corner(const solid_reading *r, const tks_node *node, shape_corner *corner)
{
    static const char *const keys[] = {"at", "label", "round", "bulge", "when"};
    corner->label = TKS_OUTSIDE;
    tks_status status = TKS_OK;
    const tks_node *at = node;
    if (node->kind == TKS_MAP) {
        const tks_node *label = tks_node_get(node, "label"), *round = tks_node_get(node, "round");
        const tks_node *bulge = tks_node_get(node, "bulge"), *when = tks_node_get(node, "when");
        status = tks_node_known(node, r->shape->file, "a corner", keys, 5, r->err);
        if (!status && label) status = read_label(r, label, &corner->label);
        if (!status && round) status = read_formula(r, round, &corner->round);
        if (!status && bulge) status = read_formula(r, bulge, &corner->bulge);
        if (!status && when) status = read_formula(r, when, &corner->when);
        at = tks_node_get(node, "at");
    }
    if (status) return status;
    if (!at || at->kind != TKS_LIST || at->count < 2 || at->count > 3)
        return wrong(r, TKS_ESYNTAX, node, "expected a corner, as in [x, y] or [x, y, label]");
    const tks_node *y = at->first->next;
    status = read_formula(r, at->first, &corner->x);
    if (!status) status = read_formula(r, y, &corner->y);
    if (!status && y->next) status = read_label(r, y->next, &corner->label);
    return status;
}

static tks_status read_corner_list(const solid_reading *r, const tks_node *node,
                                   shape_corner **corners, size_t *count)
{
    tks_status status = tks_node_expect(node, r->shape->file, TKS_LIST, "corners", r->err);
    if (status) return status;
    *corners = tks_arena_take(r->arena, node->count, sizeof **corners);
    if (!*corners) return wrong(r, TKS_EMEMORY, node, "out of memory");
    for (const tks_node *item = node->first; item && !status; item = item->next)
        status = read_corner(r, item, &(*corners)[(*count)++]);
    return status;
}

static tks_status read_corners(const solid_reading *r, const tks_node *node, void *field)
{
    (void)field;
    return read_corner_list(r, node, &r->solid->corners, &r->solid->corner_count);
}

static tks_status read_inner(const solid_reading *r, const tks_node *node, void *field)
{
    (void)field;
    return read_corner_list(r, node, &r->solid->inner, &r->solid->inner_count);
}

static tks_status read_bore(const solid_reading *r, const tks_node *node, shape_bore *bore)
{
    static const char *const keys[] = {"diameter", "x", "y", "when"};
    shape_formula *const fields[] = {&bore->diameter, &bore->x, &bore->y, &bore->when};
    tks_status status = tks_node_expect(node, r->shape->file, TKS_MAP, "a bore", r->err);
    if (!status) status = tks_node_known(node, r->shape->file, "a bore", keys, 4, r->err);
    for (int i = 0; i < 4 && !status; i++) {
        const tks_node *value = tks_node_get(node, keys[i]);
        if (value) status = read_formula(r, value, fields[i]);
    }
    return status;
}

static tks_status read_bores(const solid_reading *r, const tks_node *node, void *field)
{
    (void)field;
    tks_status status = tks_node_expect(node, r->shape->file, TKS_LIST, "bores", r->err);
    if (status) return status;
    r->solid->bores = tks_arena_take(r->arena, node->count, sizeof *r->solid->bores);
    if (!r->solid->bores) return wrong(r, TKS_EMEMORY, node, "out of memory");
    for (const tks_node *item = node->first; item && !status; item = item->next)
        status = read_bore(r, item, &r->solid->bores[r->solid->bore_count++]);
    return status;
}

/* ------------------------------------------------------------------ rows of keys */

typedef tks_status field_reader(const solid_reading *r, const tks_node *node, void *field);

typedef struct key_row {
    const char *key;
    field_reader *read;
    size_t offset;
} key_row;

#define FORMULA(key, field)                                                                        \
    {                                                                                              \
        key, read_formula, offsetof(shape_solid, field)                                            \
    }
#define LABEL(key, field)                                                                          \
    {                                                                                              \
        key, read_label, offsetof(shape_solid, field)                                              \
    }
#define RECORDS(key, field)                                                                        \
    {                                                                                              \
        key, read_records, offsetof(shape_solid, field)                                            \
    }

static tks_status read_rows(const solid_reading *r, const tks_node *map, const char *what,
                            const key_row *rows, size_t count)
{
    const char *names[32];
    for (size_t i = 0; i < count; i++) names[i] = rows[i].key;
    tks_status status = tks_node_expect(map, r->shape->file, TKS_MAP, what, r->err);
    if (!status) status = tks_node_known(map, r->shape->file, what, names, count, r->err);
    for (size_t i = 0; i < count && !status; i++) {
        const tks_node *node = tks_node_get(map, rows[i].key);
        if (node) status = rows[i].read(r, node, (char *)r->solid + rows[i].offset);
    }
    return status;
}

#define READ_ROWS(r, map, what, rows) read_rows(r, map, what, rows, sizeof(rows) / sizeof(rows)[0])

static tks_status read_polygon(const solid_reading *r, const tks_node *node, void *field)
{
    static const key_row rows[] = {FORMULA("sides", sides), FORMULA("across flats", flats)};
    (void)field;
    return READ_ROWS(r, node, "a polygon", rows);
}

static tks_status read_strip(const solid_reading *r, const tks_node *node, void *field)
{
    static const key_row rows[] = {FORMULA("thickness", strip), RECORDS("legs", legs),
                                   RECORDS("bends", bends)};
    (void)field;
    return READ_ROWS(r, node, "a strip", rows);
}

static tks_status read_grid(const solid_reading *r, const tks_node *node, void *field)
{
    static const key_row rows[] = {FORMULA("hole", grid_hole), FORMULA("columns", grid_columns),
                                   FORMULA("rows", grid_rows), FORMULA("x", grid_x),
                                   FORMULA("y", grid_y),       FORMULA("shift", grid_shift)};
    (void)field;
    return READ_ROWS(r, node, "a grid of holes", rows);
}

static tks_status read_section(const solid_reading *r, const tks_node *node, void *field)
{
    static const key_row rows[] = {FORMULA("round", round), FORMULA("outside", outside),
                                   FORMULA("bore", bore), FORMULA("width", width),
                                   FORMULA("height", height)};
    (void)field;
    return READ_ROWS(r, node, "a section", rows);
}

static tks_status read_place(const solid_reading *r, const tks_node *node, void *field)
{
    static const key_row rows[] = {{"at", read_triple, offsetof(shape_solid, place.at)},
                                   {"axis", read_triple, offsetof(shape_solid, place.axis)},
                                   {"side", read_triple, offsetof(shape_solid, place.side)}};
    (void)field;
    return READ_ROWS(r, node, "a place", rows);
}

/* ------------------------------------------------------------------ paths */

/* The first key of a step says what it is. */
static tks_status read_pace(const solid_reading *r, const tks_node *node, shape_pace *pace)
{
    static const struct {
        const char *key;
        tks_step_kind kind;
        size_t offset;
    } rows[] = {
        {"straight", TKS_STEP_STRAIGHT, offsetof(shape_pace, length)},
        {"bend", TKS_STEP_BEND, offsetof(shape_pace, angle)},
        {"turn", TKS_STEP_TURN, offsetof(shape_pace, angle)},
        {"coil", TKS_STEP_COIL, offsetof(shape_pace, angle)},
        {"radius", TKS_STEP_BEND, offsetof(shape_pace, radius)},
        {"pitch", TKS_STEP_COIL, offsetof(shape_pace, pitch)},
        {"pitch end", TKS_STEP_COIL, offsetof(shape_pace, pitch_end)},
        {"hand", TKS_STEP_COIL, offsetof(shape_pace, hand)},
        {"when", TKS_STEP_COIL, offsetof(shape_pace, when)},
    };
    enum { ROWS = sizeof rows / sizeof rows[0], KINDS = 4 };
    const char *names[ROWS];
    for (size_t i = 0; i < ROWS; i++) names[i] = rows[i].key;
    tks_status status = tks_node_expect(node, r->shape->file, TKS_MAP, "a step of a path", r->err);
    if (!status) status = tks_node_known(node, r->shape->file, "a step", names, ROWS, r->err);
    for (size_t i = 0; i < ROWS && !status; i++) {
        const tks_node *value = tks_node_get(node, rows[i].key);
        if (!value) continue;
        if (i < KINDS) pace->kind = rows[i].kind;
        status = read_formula(r, value, (char *)pace + rows[i].offset);
    }
    return status;
}

static tks_status read_paces(const solid_reading *r, const tks_node *node, void *field)
{
    (void)field;
    tks_status status = tks_node_expect(node, r->shape->file, TKS_LIST, "steps of a path", r->err);
    if (status) return status;
    r->solid->paces = tks_arena_take(r->arena, node->count, sizeof *r->solid->paces);
    if (!r->solid->paces) return wrong(r, TKS_EMEMORY, node, "out of memory");
    for (const tks_node *item = node->first; item && !status; item = item->next)
        status = read_pace(r, item, &r->solid->paces[r->solid->pace_count++]);
    return status;
}

/* ------------------------------------------------------------------ generators */

static tks_status read_revolve(const solid_reading *r, const tks_node *node, void *field)
{
    static const key_row rows[] = {
        {"profile", read_corners, 0},
        RECORDS("steps", steps),
        FORMULA("angle", angle),
        LABEL("ends", ends),
    };
    (void)field;
    r->solid->generator = SHAPE_REVOLVE;
    return READ_ROWS(r, node, "a solid of revolution", rows);
}

static tks_status read_extrude(const solid_reading *r, const tks_node *node, void *field)
{
    static const key_row rows[] = {
        {"outline", read_corners, 0}, {"inner", read_inner, 0},
        {"bores", read_bores, 0},     {"polygon", read_polygon, 0},
        {"strip", read_strip, 0},     {"grid", read_grid, 0},
        FORMULA("circle", circle),    FORMULA("length", length),
        LABEL("base", base),          LABEL("top", top),
        LABEL("side", side),          RECORDS("holes", holes),
        RECORDS("slots", slots),
    };
    (void)field;
    r->solid->generator = SHAPE_EXTRUDE;
    return READ_ROWS(r, node, "an extrusion", rows);
}

static tks_status read_sweep(const solid_reading *r, const tks_node *node, void *field)
{
    static const key_row rows[] = {
        {"along", read_paces, 0}, {"section", read_section, 0},
        RECORDS("path", path),    RECORDS("points", points),
        RECORDS("radii", radii),  FORMULA("fillet", fillet),
        LABEL("start", base),     LABEL("end", top),
        LABEL("inside", inside),
    };
    (void)field;
    r->solid->generator = SHAPE_SWEEP;
    return READ_ROWS(r, node, "a sweep", rows);
}

static tks_status read_screw(const solid_reading *r, const tks_node *node, void *field)
{
    (void)field;
    r->solid->generator = SHAPE_SCREW;
    return shape_fastener_read(r->arena, r->shape, node, r->solid, r->err);
}

static tks_status read_nut(const solid_reading *r, const tks_node *node, void *field)
{
    (void)field;
    r->solid->generator = SHAPE_NUT;
    return shape_fastener_read(r->arena, r->shape, node, r->solid, r->err);
}

static tks_status read_tap(const solid_reading *r, const tks_node *node, void *field)
{
    (void)field;
    r->solid->generator = SHAPE_TAP;
    return shape_fastener_read(r->arena, r->shape, node, r->solid, r->err);
}

static tks_status read_cut(const solid_reading *r, const tks_node *node, void *field)
{
    static const char *const words[] = {"no", "yes"};
    size_t index = 0;
    tks_status status = tks_node_choice(node, r->shape->file, "cut", words, 2, &index, r->err);
    *(bool *)field = index == 1;
    return status;
}

tks_status shape_solid_read(tks_arena *arena, const tks_shape *shape, const tks_node *node,
                            shape_solid *solid, tks_error *err)
{
    enum { GENERATORS = 6 }; /* the first rows */
    static const key_row rows[] = {
        {"revolve", read_revolve, 0}, {"extrude", read_extrude, 0},
        {"sweep", read_sweep, 0},     {"screw", read_screw, 0},
        {"nut", read_nut, 0},         {"tap", read_tap, 0},
        {"place", read_place, 0},     {"cut", read_cut, offsetof(shape_solid, cut)},
        FORMULA("when", when),
    };
    *solid = (shape_solid){.base = TKS_END,
                           .top = TKS_END,
                           .ends = TKS_END,
                           .side = TKS_OUTSIDE,
                           .inside = TKS_INSIDE,
                           .legs = -1,
                           .bends = -1,
                           .holes = -1,
                           .slots = -1,
                           .steps = -1,
                           .path = -1,
                           .points = -1,
                           .radii = -1};
    solid->at = tks_node_place(node, shape->file);
    solid_reading r = {arena, shape, solid, err};
    int generators = 0;
    for (int i = 0; i < GENERATORS; i++) generators += tks_node_get(node, rows[i].key) != NULL;
    if (node->kind == TKS_MAP && generators != 1)
        return wrong(&r, TKS_EMISSING, node,
                     "a solid is one of revolve, extrude, sweep, screw, nut and tap");
    return READ_ROWS(&r, node, "a solid", rows);
}
