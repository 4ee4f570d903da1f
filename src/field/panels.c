#include "field/panels.h"

#include "base/alloc.h"
#include "base/vec.h"
#include "field/refine.h"

#include <float.h>
#include <string.h>

/* Edges against the gap that a panel looks into; and the narrowest gap that is followed, against
 * the longest edge allowed anyhow. */
static const double gap_share = 0.6, narrowest = 1.0 / 16;

static tks_status short_of_memory(tks_error *err)
{
    return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
}

/* ------------------------------------------------------------------ joining corners */

/* Corners are joined when they fall into one cell of a grid this fine against the body's size, or
 * are exactly equal; rounding within one surface is far below it. */
static const double join = 1e-9;

typedef struct joiner {
    int64_t (*cell)[3];
    uint32_t *number; /* point + 1; 0: empty */
    size_t mask;
} joiner;

static bool joiner_new(joiner *j, size_t count)
{
    size_t room = 64;
    while (room < 2 * count) room *= 2;
    j->mask = room - 1;
    j->cell = base_alloc(room, sizeof *j->cell);
    j->number = base_alloc(room, sizeof *j->number);
    return j->cell && j->number;
}

static size_t place_of(const joiner *j, const int64_t cell[3])
{
    uint64_t hash = (uint64_t)cell[0] * 0x9e3779b97f4a7c15u;
    hash = (hash ^ (hash >> 29) ^ (uint64_t)cell[1]) * 0xbf58476d1ce4e5b9u;
    hash = (hash ^ (hash >> 32) ^ (uint64_t)cell[2]) * 0x94d049bb133111ebu;
    size_t i = (size_t)(hash >> 20) & j->mask;
    while (j->number[i] && memcmp(j->cell[i], cell, sizeof j->cell[i]) != 0) i = (i + 1) & j->mask;
    return i;
}

static bool join_point(joiner *j, field_mesh *mesh, tks_vec3 p, double grid, uint32_t *number)
{
    int64_t cell[3] = {llround(p.x / grid), llround(p.y / grid), llround(p.z / grid)};
    size_t at = place_of(j, cell);
    if (!j->number[at]) {
        if (mesh->point_count >= UINT32_MAX - 1 || !field_mesh_point(mesh, p)) return false;
        memcpy(j->cell[at], cell, sizeof cell);
        j->number[at] = (uint32_t)mesh->point_count;
    }
    *number = j->number[at] - 1;
    return true;
}

static tks_vec3 vertex(const tks_triangles *t, size_t i)
{
    return vec3(t->xyz[3 * i], t->xyz[3 * i + 1], t->xyz[3 * i + 2]);
}

/* Largest coordinate; not finite when one is not. */
static double reach_of(const tks_triangles *t)
{
    double reach = 0;
    for (size_t i = 0; i < 3 * t->vertex_count; i++) {
        if (!isfinite(t->xyz[i])) return INFINITY;
        reach = fmax(reach, fabs(t->xyz[i]));
    }
    return reach;
}

static const field_kind kinds[] = {[TKS_FIELD_PART] = FIELD_CATHODE,
                                   [TKS_FIELD_ANODE] = FIELD_ANODE,
                                   [TKS_FIELD_SHIELD] = FIELD_WALL};

static bool add_triangles(field_mesh *mesh, const tks_field_body *body, uint32_t number,
                          double grid, joiner *j)
{
    const tks_triangles *t = body->triangles;
    for (size_t i = 0; i < t->count; i++) {
        field_panel panel = {.body = number,
                             .group = body->group ? body->group[i] : 0,
                             .kind = (uint8_t)kinds[body->role]};
        if (body->masked && body->masked[i]) panel.kind = FIELD_WALL;
        for (size_t k = 0; k < 3; k++)
            if (!join_point(j, mesh, vertex(t, t->corners[3 * i + k]), grid, &panel.corner[k]))
                return false;
        if (!field_mesh_panel(mesh, panel)) return false;
        double longest = field_mesh_longest(mesh, mesh->count - 1, NULL);
        double area = vec3_length(field_mesh_area(mesh, mesh->count - 1));
        if (!(area > 1e-6 * longest * longest)) mesh->count--;
    }
    return true;
}

tks_status field_panels_body(field_mesh *mesh, const tks_field_body *body, uint32_t number,
                             tks_error *err)
{
    const tks_triangles *t = body->triangles;
    size_t before = mesh->count;
    double reach = reach_of(t);
    if (!isfinite(reach))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "%s: a corner is not a finite point",
                        body->name);
    joiner j = {0};
    bool ready = joiner_new(&j, t->vertex_count) &&
                 add_triangles(mesh, body, number, fmax(join * reach, DBL_MIN * 1e20), &j);
    base_free(j.cell);
    base_free(j.number);
    if (!ready) return short_of_memory(err);
    if (mesh->count > before) return TKS_OK;
    return tks_fail(err, TKS_EMISSING, tks_nowhere(), "%s has no surface", body->name);
}

/* ------------------------------------------------------------------ the tank */

/* A side from a corner along u and v; u x v points into the liquid. */
static bool add_side(field_mesh *mesh, tks_vec3 corner, tks_vec3 u, tks_vec3 v, double cell,
                     field_panel panel)
{
    size_t n = (size_t)fmax(1, ceil(vec3_length(u) / cell - 1e-9));
    size_t m = (size_t)fmax(1, ceil(vec3_length(v) / cell - 1e-9));
    size_t first = mesh->point_count;
    for (size_t i = 0; i <= n; i++)
        for (size_t j = 0; j <= m; j++) {
            tks_vec3 p = vec3_step(corner, (double)i / (double)n, u);
            if (!field_mesh_point(mesh, vec3_step(p, (double)j / (double)m, v))) return false;
        }
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < m; j++) {
            uint32_t a = (uint32_t)(first + i * (m + 1) + j), b = a + (uint32_t)m + 1;
            uint32_t corners[2][3] = {{a, b, b + 1}, {a, b + 1, a + 1}};
            for (int k = 0; k < 2; k++) {
                memcpy(panel.corner, corners[k], sizeof panel.corner);
                if (!field_mesh_panel(mesh, panel)) return false;
            }
        }
    return true;
}

tks_status field_panels_tank(field_mesh *mesh, const tks_field_scene *scene, double cell,
                             uint32_t number, tks_error *err)
{
    tks_vec3 tank = scene->tank;
    tks_vec3 x = vec3(tank.x, 0, 0), y = vec3(0, tank.y, 0), z = vec3(0, 0, tank.z);
    const struct {
        tks_vec3 corner, u, v;
    } sides[] = {{vec3(0, 0, 0), x, y}, {z, y, x}, {vec3(0, 0, 0), y, z}, {x, z, y},
                 {vec3(0, 0, 0), z, x}, {y, x, z}};
    for (uint32_t i = 0; i < 6; i++) {
        field_panel panel = {.body = number, .group = i, .kind = FIELD_WALL};
        tks_vec3 corner = vec3_add(scene->corner, sides[i].corner);
        if (!add_side(mesh, corner, sides[i].u, sides[i].v, cell, panel))
            return short_of_memory(err);
    }
    return TKS_OK;
}

/* ------------------------------------------------------------------ sizes */

/* What is compared between panels. */
typedef struct facing {
    tks_vec3 centre, normal;
    double longest;
} facing;

/* Width of the liquid between two panels that face each other, or infinity. */
static double gap_between(const facing *a, const facing *b)
{
    tks_vec3 apart = vec3_sub(b->centre, a->centre);
    double height = vec3_dot(a->normal, apart);
    if (height <= 0 || vec3_dot(a->normal, b->normal) > -0.5) return INFINITY;
    double square = vec3_dot(apart, apart) - height * height;
    double beside = (a->longest + b->longest) / 2;
    return square < beside * beside ? height : INFINITY;
}

static facing *face_all(const field_mesh *mesh)
{
    facing *f = base_alloc(mesh->count, sizeof *f);
    for (size_t i = 0; f && i < mesh->count; i++)
        f[i] = (facing){field_mesh_centre(mesh, i), vec3_unit(field_mesh_area(mesh, i)),
                        field_mesh_longest(mesh, i, NULL)};
    return f;
}

/* How many times too long the longest edge of each panel is; returns the largest. */
static double find_excess(const field_mesh *mesh, const facing *f, double longest, float *excess)
{
    double most = 0;
    for (size_t i = 0; i < mesh->count; i++) {
        double want = mesh->panels[i].kind == FIELD_WALL ? INFINITY : longest;
        for (size_t j = 0; j < mesh->count; j++) {
            double gap = gap_between(&f[i], &f[j]);
            if (gap * gap_share < want) want = gap * gap_share;
        }
        want = fmax(want, longest * narrowest);
        excess[i] = (float)(f[i].longest / want);
        most = fmax(most, (double)excess[i]);
    }
    return most;
}

/* One pass: splits the worst offenders. *done when none is left. */
static tks_status size_pass(field_mesh *mesh, double longest, bool *done)
{
    facing *f = face_all(mesh);
    float *excess = base_alloc(mesh->count, sizeof *excess);
    uint8_t *marks = base_alloc(mesh->count, sizeof *marks);
    bool ready = f && excess && marks;
    if (ready) {
        double most = find_excess(mesh, f, longest, excess);
        double limit = fmax(1.001, most / 2);
        *done = most <= 1.001;
        for (size_t i = 0; i < mesh->count; i++) marks[i] = (double)excess[i] > limit;
        ready = *done || field_refine(mesh, marks, NULL);
    }
    base_free(f);
    base_free(excess);
    base_free(marks);
    return ready ? TKS_OK : TKS_EMEMORY;
}

tks_status field_panels_size(field_mesh *mesh, double longest, size_t most, tks_error *err)
{
    bool done = false;
    while (!done && mesh->count < most)
        if (size_pass(mesh, longest, &done)) return short_of_memory(err);
    return TKS_OK;
}
