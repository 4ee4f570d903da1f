#include "field/refine.h"

#include "base/alloc.h"
#include "base/vec.h"

/* A hash table of edges (pairs of point numbers), each with a value. */
typedef struct edge_table {
    uint64_t *keys; /* 0: empty; points (0, 0) are no edge */
    size_t *values;
    size_t mask;
} edge_table;

static bool table_new(edge_table *t, size_t edges)
{
    size_t room = 64;
    while (room < 2 * edges) room *= 2;
    t->mask = room - 1;
    t->keys = base_alloc(room, sizeof *t->keys);
    t->values = base_alloc(room, sizeof *t->values);
    return t->keys && t->values;
}

static void table_free(edge_table *t)
{
    base_free(t->keys);
    base_free(t->values);
}

static uint64_t key_of(const field_panel *panel, int edge)
{
    uint64_t a = panel->corner[edge], b = panel->corner[(edge + 1) % 3];
    return a < b ? a << 32 | b : b << 32 | a;
}

/* The place of a key: where it stands or would stand. */
static size_t place_of(const edge_table *t, uint64_t key)
{
    size_t i = (size_t)(key * 0x9e3779b97f4a7c15u >> 20) & t->mask;
    while (t->keys[i] && t->keys[i] != key) i = (i + 1) & t->mask;
    return i;
}

bool field_neighbours(const field_mesh *mesh, size_t **neighbours)
{
    edge_table table = {0};
    size_t *across = base_alloc(3 * mesh->count, sizeof *across);
    bool ready = table_new(&table, 3 * mesh->count) && across;
    for (size_t i = 0; ready && i < 3 * mesh->count; i++) {
        uint64_t key = key_of(&mesh->panels[i / 3], (int)(i % 3));
        size_t at = place_of(&table, key);
        across[i] = SIZE_MAX;
        if (table.keys[at] == 0) {
            table.keys[at] = key;
            table.values[at] = i;
        } else if (table.values[at] != SIZE_MAX) {
            across[i] = table.values[at] / 3;
            across[table.values[at]] = i / 3;
            table.values[at] = SIZE_MAX;
        }
    }
    table_free(&table);
    if (ready) {
        *neighbours = across;
        return true;
    }
    base_free(across);
    return false;
}

/* Marks the longest edges of marked panels, then of all panels with a marked edge, until each panel
 * with a marked edge has its longest one marked. */
static void mark_edges(const field_mesh *mesh, const uint8_t *marks, edge_table *table)
{
    bool changed = true;
    while (changed) {
        changed = false;
        for (size_t i = 0; i < mesh->count; i++) {
            const field_panel *panel = &mesh->panels[i];
            bool wanted = marks[i] != 0;
            for (int k = 0; k < 3 && !wanted; k++)
                wanted = table->keys[place_of(table, key_of(panel, k))] != 0;
            if (!wanted) continue;
            int longest = 0;
            field_mesh_longest(mesh, i, &longest);
            uint64_t key = key_of(panel, longest);
            size_t at = place_of(table, key);
            if (table->keys[at]) continue;
            table->keys[at] = key;
            table->values[at] = SIZE_MAX;
            changed = true;
        }
    }
}

/* Point in the middle of a marked edge, made when first asked for; SIZE_MAX: memory is short. */
static size_t middle_of(field_mesh *mesh, edge_table *table, size_t at)
{
    if (table->values[at] != SIZE_MAX) return table->values[at];
    tks_vec3 a = mesh->points[table->keys[at] >> 32];
    tks_vec3 b = mesh->points[table->keys[at] & 0xffffffffu];
    if (!field_mesh_point(mesh, vec3_scale(vec3_add(a, b), 0.5))) return SIZE_MAX;
    return table->values[at] = mesh->point_count - 1;
}

/* A mesh being made from another. */
typedef struct splitting {
    field_mesh *mesh;
    edge_table *table;
    size_t *parents, parent_room;
} splitting;

static bool keep(splitting *s, field_panel panel, size_t parent)
{
    if (s->mesh->count == s->parent_room) {
        size_t room = s->parent_room + s->parent_room / 2 + 256;
        size_t *parents = base_resize(s->parents, room, sizeof *parents);
        if (!parents) return false;
        s->parents = parents;
        s->parent_room = room;
    }
    s->parents[s->mesh->count] = parent;
    return field_mesh_panel(s->mesh, panel);
}

/* Splits a panel at the longest of its marked edges, and its halves likewise. (The longest edge of
 * all is marked whenever one is.) */
static bool split_panel(splitting *s, field_panel panel, size_t parent)
{
    int edge = -1;
    double longest = 0;
    for (int k = 0; k < 3; k++) {
        size_t at = place_of(s->table, key_of(&panel, k));
        double length = vec3_distance(s->mesh->points[panel.corner[k]],
                                      s->mesh->points[panel.corner[(k + 1) % 3]]);
        if (!s->table->keys[at] || length <= longest) continue;
        edge = k;
        longest = length;
    }
    if (edge < 0) return keep(s, panel, parent);
    size_t middle = middle_of(s->mesh, s->table, place_of(s->table, key_of(&panel, edge)));
    if (middle >= UINT32_MAX) return false;
    field_panel first = panel, second = panel;
    first.corner[(edge + 1) % 3] = second.corner[edge] = (uint32_t)middle;
    first.depth = second.depth = (uint8_t)(panel.depth < 255 ? panel.depth + 1 : 255);
    return split_panel(s, first, parent) && split_panel(s, second, parent);
}

bool field_refine(field_mesh *mesh, const uint8_t *marks, size_t **parents)
{
    edge_table table = {0};
    field_mesh finer = {0};
    splitting s = {&finer, &table, NULL, 0};
    bool ready = table_new(&table, 3 * mesh->count) && field_mesh_copy(mesh, &finer);
    if (ready) {
        mark_edges(mesh, marks, &table);
        finer.count = 0;
        for (size_t i = 0; ready && i < mesh->count; i++)
            ready = split_panel(&s, mesh->panels[i], i);
    }
    table_free(&table);
    if (!ready) {
        base_free(s.parents);
        field_mesh_free(&finer);
        return false;
    }
    field_mesh_free(mesh);
    *mesh = finer;
    if (parents)
        *parents = s.parents;
    else
        base_free(s.parents);
    return true;
}
