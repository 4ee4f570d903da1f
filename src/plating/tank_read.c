#include "tankside/tank.h"

#include <math.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

/* What the rack cannot use of the tank's length, where no rack length is given. */
#define RACK_CLEARANCE 0.04

/* What is being read, so that helpers need not be given four arguments. */
typedef struct reading {
    tks_arena *arena;
    const char *file;
    tks_error *err;
} reading;

/* Reads the value under a key, when it is there; it must not be negative. */
static tks_status read_value(const reading *r, const tks_node *map, const char *key, tks_kind kind,
                             double *value)
{
    const tks_node *node = tks_node_get(map, key);
    double read = 0;
    if (!node) return TKS_OK;
    tks_status status = tks_node_quantity(node, r->file, kind, key, &read, r->err);
    if (status) return status;
    if (!(read >= 0))
        return tks_fail(r->err, TKS_EDOMAIN, tks_node_place(node, r->file),
                        "%s is '%s'; it must not be negative", key, node->text);
    *value = read;
    return TKS_OK;
}

static tks_status read_size(const reading *r, const tks_node *node, const char *what, double *size)
{
    double read[3];
    tks_status status = tks_node_vector(node, r->file, TKS_LENGTH, what, 3, read, r->err);
    if (status) return status;
    for (int i = 0; i < 3; i++)
        if (!(read[i] > 0))
            return tks_fail(r->err, TKS_EDOMAIN, tks_node_place(node, r->file),
                            "%s: all three lengths must be above zero", what);
    memcpy(size, read, sizeof read);
    return TKS_OK;
}

/* ------------------------------------------------------------------ bath */

typedef struct figure_key {
    const char *key;
    tks_kind kind;
    size_t offset; /* of the figure in tks_bath */
    double scale;  /* of what is read: 1000 for A/L, which has no unit of its own here */
} figure_key;

static const figure_key figure_keys[] = {
    {"efficiency", TKS_NUMBER, offsetof(tks_bath, efficiency), 1},
    {"current density", TKS_CURRENT_DENSITY, offsetof(tks_bath, current_density), 1},
    {"conductivity", TKS_CONDUCTIVITY, offsetof(tks_bath, conductivity), 1},
    {"polarisation", TKS_POLARISATION, offsetof(tks_bath, polarisation), 1},
    {"temperature", TKS_TEMPERATURE, offsetof(tks_bath, temperature), 1},
    {"voltage", TKS_VOLTAGE, offsetof(tks_bath, voltage), 1},
    {"anode ratio", TKS_NUMBER, offsetof(tks_bath, anode_ratio), 1},
    {"amperes per litre", TKS_NUMBER, offsetof(tks_bath, loading), 1000},
};

static const char *const bath_keys[] = {
    "like",         "name",        "efficiency", "current density", "conductivity",
    "polarisation", "temperature", "voltage",    "anode ratio",     "amperes per litre"};

static tks_status read_figure(const reading *r, const tks_node *node, const figure_key *key,
                              tks_figure *figure)
{
    tks_figure f = {.source = "given by the user"};
    if (node->kind == TKS_LIST) {
        double v[3];
        tks_status status = tks_node_vector(node, r->file, key->kind, key->key, 3, v, r->err);
        if (status) return status;
        f.low = v[0] * key->scale;
        f.usual = v[1] * key->scale;
        f.high = v[2] * key->scale;
    } else {
        double v;
        tks_status status = tks_node_quantity(node, r->file, key->kind, key->key, &v, r->err);
        if (status) return status;
        f.usual = v * key->scale;
        f.low = f.usual * figure->low / figure->usual;
        f.high = f.usual * figure->high / figure->usual;
        /* An efficiency of 99 % must not be given a high end over 100 %. */
        if (key->offset == offsetof(tks_bath, efficiency) && f.usual <= 1) f.high = fmin(f.high, 1);
    }
    *figure = f;
    return TKS_OK;
}

/* A check that knows no place, told with the node's. */
static tks_status at_node(const reading *r, const tks_node *node, tks_status status)
{
    char text[sizeof r->err->text];
    if (!status || !r->err) return status;
    memcpy(text, r->err->text, sizeof text);
    return tks_fail(r->err, status, tks_node_place(node, r->file), "%s", text);
}

static tks_status read_bath_map(const reading *r, const tks_node *node, tks_bath *bath)
{
    tks_status status =
        tks_node_known(node, r->file, "a bath", bath_keys, COUNT(bath_keys), r->err);
    for (size_t i = 0; i < COUNT(figure_keys) && !status; i++) {
        const tks_node *value = tks_node_get(node, figure_keys[i].key);
        tks_figure *figure = (tks_figure *)(void *)((char *)bath + figure_keys[i].offset);
        if (!value) continue;
        status = read_figure(r, value, &figure_keys[i], figure);
        if (!status) status = at_node(r, value, tks_bath_check(bath, r->err));
    }
    const tks_node *name = tks_node_get(node, "name");
    if (status || !name) return status;
    bath->name = tks_arena_text(r->arena, name->text, name->length);
    return bath->name ? TKS_OK : tks_fail(r->err, TKS_EMEMORY, tks_nowhere(), "out of memory");
}

static tks_status read_bath(const reading *r, const tks_node *node, tks_bath *bath)
{
    const tks_node *name = node->kind == TKS_MAP ? tks_node_get(node, "like") : node;
    const tks_bath *row = tks_bath_default();
    tks_status status = TKS_OK;
    if (name) status = tks_node_expect(name, r->file, TKS_SCALAR, "a bath's name", r->err);
    if (!status && name)
        status =
            tks_bath_find(name->text, name->length, tks_node_place(name, r->file), &row, r->err);
    if (status) return status;
    *bath = *row;
    return node->kind == TKS_MAP ? read_bath_map(r, node, bath) : TKS_OK;
}

/* ------------------------------------------------------------------ supply */

static tks_status read_kind(const reading *r, const tks_node *map, tks_supply *s)
{
    static const char *const kinds[] = {"bench supply", "battery", "charger"};
    static const char *const modes[] = {"constant current", "constant voltage"};
    const tks_node *kind = tks_node_get(map, "kind"), *mode = tks_node_get(map, "mode");
    size_t index = 0;
    tks_status status = TKS_OK;
    if (kind) status = tks_node_choice(kind, r->file, "kind of supply", kinds, 3, &index, r->err);
    s->kind = index ? TKS_BATTERY : TKS_BENCH;
    index = 0;
    if (!status && mode)
        status = tks_node_choice(mode, r->file, "mode of the supply", modes, 2, &index, r->err);
    s->mode = index ? TKS_CONSTANT_VOLTAGE : TKS_CONSTANT_CURRENT;
    return status;
}

static tks_status read_supply(const reading *r, const tks_node *node, tks_supply *supply)
{
    static const char *const keys[] = {
        "kind",       "mode",     "current",        "voltage",       "current step", "voltage step",
        "resistance", "rheostat", "rheostat power", "ammeter range", "ammeter step", "margin"};
    tks_supply s = {0};
    const struct {
        const char *key;
        tks_kind kind;
        double *value;
    } rows[] = {
        {"current", TKS_CURRENT, &s.max_current},
        {"voltage", TKS_VOLTAGE, &s.voltage},
        {"current step", TKS_CURRENT, &s.current_step},
        {"voltage step", TKS_VOLTAGE, &s.voltage_step},
        {"resistance", TKS_RESISTANCE, &s.internal_resistance},
        {"rheostat", TKS_RESISTANCE, &s.rheostat_resistance},
        {"rheostat power", TKS_POWER, &s.rheostat_power},
        {"ammeter range", TKS_CURRENT, &s.ammeter_range},
        {"ammeter step", TKS_CURRENT, &s.ammeter_resolution},
        {"margin", TKS_NUMBER, &s.margin},
    };
    tks_status status = tks_node_expect(node, r->file, TKS_MAP, "a supply", r->err);
    if (!status) status = tks_node_known(node, r->file, "a supply", keys, COUNT(keys), r->err);
    if (!status) status = read_kind(r, node, &s);
    for (size_t i = 0; i < COUNT(rows) && !status; i++)
        status = read_value(r, node, rows[i].key, rows[i].kind, rows[i].value);
    if (!status) status = at_node(r, node, tks_supply_check(&s, r->err));
    if (!status) *supply = s;
    return status;
}

/* ------------------------------------------------------------------ anodes */

static tks_status read_anode(const reading *r, const tks_node *node, tks_anode *anode)
{
    static const char *const keys[] = {"size", "diameter", "length", "at"};
    tks_status status = tks_node_expect(node, r->file, TKS_MAP, "an anode", r->err);
    if (!status) status = tks_node_known(node, r->file, "an anode", keys, COUNT(keys), r->err);
    if (status) return status;
    const tks_node *size = tks_node_get(node, "size"), *at = tks_node_get(node, "at");
    if (size) {
        status = read_size(r, size, "the anode's size", anode->size);
    } else {
        anode->rod = true;
        status = read_value(r, node, "diameter", TKS_LENGTH, &anode->size[0]);
        if (!status) status = read_value(r, node, "length", TKS_LENGTH, &anode->size[2]);
        anode->size[1] = anode->size[0];
        if (!status && !(anode->size[0] > 0 && anode->size[2] > 0))
            return tks_fail(r->err, TKS_EMISSING, tks_node_place(node, r->file),
                            "an anode wants its size, or its diameter and length");
    }
    if (status) return status;
    if (!at)
        return tks_fail(r->err, TKS_EMISSING, tks_node_place(node, r->file),
                        "an anode wants its place: at: [x, y, z], from the middle of the floor");
    return tks_node_vector(at, r->file, TKS_LENGTH, "the anode's place", 3, anode->at, r->err);
}

/* Whether the anode stands in the liquid, but for its upper end, which may stand out. */
static bool stands_inside(const tks_anode *a, const double *tank)
{
    const double rounding = 1e-9;
    for (int i = 0; i < 2; i++)
        if (fabs(a->at[i]) + a->size[i] / 2 > tank[i] / 2 + rounding) return false;
    return a->at[2] - a->size[2] / 2 > -rounding && a->at[2] < tank[2];
}

/* Sides of the anode below the surface: a current line reaches its back as well, if it is longer.
 */
static double wetted_sides(const tks_anode *a, double depth)
{
    double top = a->at[2] + a->size[2] / 2;
    double height = a->size[2] - (depth > 0 ? fmax(0, top - depth) : 0);
    double around = a->rod ? M_PI * a->size[0] : 2 * (a->size[0] + a->size[1]);
    return around * height;
}

static tks_status read_anodes(const reading *r, const tks_node *node, tks_tank *tank)
{
    enum { MOST_ANODES = 1000 };
    tks_status status = tks_node_expect(node, r->file, TKS_LIST, "a list of anodes", r->err);
    if (status) return status;
    if (node->count > MOST_ANODES)
        return tks_fail(r->err, TKS_ELIMIT, tks_node_place(node, r->file),
                        "%zu anodes; at most %d can be", node->count, MOST_ANODES);
    tks_anode *anodes = tks_arena_take(r->arena, node->count, sizeof *anodes);
    if (!anodes) return tks_fail(r->err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    double distance = INFINITY;
    size_t n = 0;
    for (const tks_node *c = node->first; c; c = c->next, n++) {
        status = read_anode(r, c, &anodes[n]);
        if (status) return status;
        if (tks_tank_volume(tank) > 0 && !stands_inside(&anodes[n], tank->size))
            return tks_fail(r->err, TKS_EGEOMETRY, tks_node_place(c, r->file),
                            "the anode stands outside the tank; places count from the middle of "
                            "its floor");
        tank->anode_area += wetted_sides(&anodes[n], tank->size[2]);
        distance = fmin(distance, fabs(anodes[n].at[1]) - anodes[n].size[1] / 2);
    }
    if (isfinite(distance) && distance > 0) tank->anode_distance = distance;
    tank->anodes = anodes;
    tank->anode_count = n;
    return TKS_OK;
}

/* ------------------------------------------------------------------ tank */

static tks_status read_text(const reading *r, const tks_node *root, const char *key,
                            const char **text)
{
    const tks_node *node = tks_node_get(root, key);
    if (!node) return TKS_OK;
    tks_status status = tks_node_expect(node, r->file, TKS_SCALAR, key, r->err);
    if (status) return status;
    char *copy = tks_arena_text(r->arena, node->text, node->length);
    if (!copy) return tks_fail(r->err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    *text = copy;
    return TKS_OK;
}

static tks_status read_measures(const reading *r, const tks_node *root, tks_tank *t)
{
    const tks_node *size = tks_node_get(root, "size"), *anodes = tks_node_get(root, "anodes");
    tks_status status = size ? read_size(r, size, "the tank's size", t->size) : TKS_OK;
    t->rack_length = fmax(0, t->size[0] - RACK_CLEARANCE);
    t->anode_distance = t->size[1] / 2;
    if (!status) status = read_value(r, root, "rack length", TKS_LENGTH, &t->rack_length);
    if (!status && anodes) status = read_anodes(r, anodes, t);
    if (!status) status = read_value(r, root, "anode area", TKS_AREA, &t->anode_area);
    if (!status) status = read_value(r, root, "anode distance", TKS_LENGTH, &t->anode_distance);
    return status;
}

tks_status tks_tank_read(tks_arena *arena, const tks_node *root, const char *file, tks_tank *tank,
                         tks_error *err)
{
    static const char *const keys[] = {
        "tank",           "size", "rack length", "anodes",    "anode area",
        "anode distance", "bath", "supply",      "bench log", "note"};
    const reading r = {arena, file, err};
    tks_tank t = tks_tank_of(tks_bath_default());
    tks_status status = tks_node_expect(root, file, TKS_MAP, "a tank", err);
    if (!status) status = tks_node_known(root, file, "a tank", keys, COUNT(keys), err);
    if (!status) status = read_text(&r, root, "tank", &t.name);
    if (!status) status = read_text(&r, root, "bench log", &t.bench_log);
    if (!status) status = read_measures(&r, root, &t);
    const tks_node *bath = tks_node_get(root, "bath"), *supply = tks_node_get(root, "supply");
    if (!status && bath) status = read_bath(&r, bath, &t.bath);
    if (!status && supply) status = read_supply(&r, supply, &t.supply);
    if (!status) *tank = t;
    return status;
}
