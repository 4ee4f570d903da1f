#include "field/level.h"

#include "base/alloc.h"
#include "base/sum.h"
#include "base/vec.h"

#include <stdlib.h>

enum { MOST_ROUNDS = 40 };

/* Newton's method is done when the densities change by less than this part of their mean. */
static const double settled = 1e-4;

static const double spot_radius = 1e-3; /* [m] */

tks_status field_level_make(field_level *level, field_mesh *mesh, const double *start,
                            base_team *team, bool open, size_t limit, tks_error *err)
{
    *level = (field_level){.mesh = *mesh};
    *mesh = (field_mesh){0};
    size_t n = level->mesh.count;
    level->density = base_alloc(n, sizeof(double));
    level->potential = base_alloc(n, sizeof(double));
    level->spot = base_alloc(n, sizeof(double));
    tks_status status = TKS_EMEMORY;
    if (level->density && level->potential && level->spot)
        status = field_system_new(team, &level->mesh, open, limit, &level->system, err);
    else
        tks_fail(err, status, tks_nowhere(), "out of memory");
    for (size_t i = 0; !status && start && i < n; i++) level->density[i] = start[i];
    if (status) field_level_free(level);
    return status;
}

void field_level_free(field_level *level)
{
    field_mesh_free(&level->mesh);
    field_system_free(level->system);
    base_free(level->density);
    base_free(level->potential);
    base_free(level->spot);
    *level = (field_level){0};
}

/* ------------------------------------------------------------------ Newton's method */

static const size_t *order_of(const field_level *level)
{
    return field_operator_tree(level->system->op)->order;
}

/* Sets each electrode's line phi = offset - length p, the tangent to its law at its density: at
 * parts phi = h(i), i = -conductivity p; at anodes phi = V - h(i), i = conductivity p. */
static void set_tangents(field_level *level, const tks_field_bath *bath)
{
    field_system *s = level->system;
    const size_t *order = order_of(level);
    for (size_t k = 0; k < s->count; k++) {
        bool part = s->kind[k] == FIELD_CATHODE;
        double slope = 0, i = level->density[order[k]], offset = 0;
        if (s->kind[k] != FIELD_WALL)
            offset = tks_polarisation_overpotential(part ? &bath->part : &bath->anode, i, &slope) -
                     slope * i;
        s->offset[k] = part ? offset : -offset;
        s->length[k] = slope * bath->conductivity;
    }
}

/* Where the next tangent is laid. Above the exchange density the law bends so much that a step may
 * overshoot towards zero or below; there a density may fall by five times at most. */
static double tempered(const tks_polarisation *law, double i, double old)
{
    bool bent = law->kind == TKS_POLARISATION_KINETIC && old > law->exchange;
    return bent ? fmax(i, old / 5) : i;
}

/* Takes over the densities; returns how much they differ from those that the tangents were laid at,
 * as a part of the mean. */
static double take_densities(field_level *level, const tks_field_bath *bath, bool last)
{
    const field_system *s = level->system;
    const size_t *order = order_of(level);
    base_sum change = {0}, total = {0};
    for (size_t k = 0; k < s->count; k++) {
        if (s->kind[k] == FIELD_WALL) continue;
        bool anode = s->kind[k] == FIELD_ANODE;
        double i = (anode ? 1 : -1) * bath->conductivity * s->outflow[k];
        double *old = &level->density[order[k]];
        base_sum_add(&change, s->area[k] * fabs(i - *old));
        base_sum_add(&total, s->area[k] * fabs(i));
        *old = last ? i : tempered(anode ? &bath->anode : &bath->part, i, *old);
    }
    double all = base_sum_total(&total);
    return all > 0 ? base_sum_total(&change) / all : 0;
}

/* A density to lay the first tangents at: the mean where the current is given, else what the
 * voltage would drive through the whole of the scene's width. */
static void guess_densities(field_level *level, const field_task *task)
{
    const field_system *s = level->system;
    double area[3] = {0};
    for (size_t k = 0; k < s->count; k++) area[s->kind[k]] += s->area[k];
    double width = sqrt(area[FIELD_ANODE] + area[FIELD_CATHODE] + area[FIELD_WALL]);
    for (size_t i = 0; i < level->mesh.count; i++) {
        uint8_t kind = level->mesh.panels[i].kind;
        if (level->density[i] > 0 || kind == FIELD_WALL) continue;
        double mean = task->drive->current != 0
                          ? fabs(task->drive->current) / area[kind]
                          : task->bath->conductivity * fabs(task->drive->voltage) / width;
        level->density[i] = mean;
    }
}

static bool is_linear(const tks_field_bath *bath)
{
    return bath->part.kind != TKS_POLARISATION_KINETIC &&
           bath->anode.kind != TKS_POLARISATION_KINETIC;
}

static tks_status iterate(field_level *level, const field_task *task, tks_error *err)
{
    const tks_field_bath *bath = task->bath;
    field_demand demand = {task->drive->current != 0, task->drive->current / bath->conductivity,
                           task->drive->voltage};
    bool linear = is_linear(bath), last = false;
    double change = linear ? 0 : 1;
    for (level->rounds = 1; level->rounds <= MOST_ROUNDS; level->rounds++) {
        set_tangents(level, bath);
        double tolerance = fmax(task->tolerance, fmin(1e-3, 0.03 * change));
        tks_status status = field_system_solve(level->system, demand, tolerance, task->going,
                                               task->context, &level->iterations, err);
        if (status) return status;
        last = linear || (change < 30 * settled && tolerance <= task->tolerance);
        change = take_densities(level, bath, last);
        if (last && (linear || change < settled)) return TKS_OK;
    }
    return tks_fail(err, TKS_ECONVERGE, tks_nowhere(),
                    "the polarisation did not settle in %d rounds: densities still change by %.2g",
                    MOST_ROUNDS, change);
}

/* ------------------------------------------------------------------ results */

static void sum_currents(field_level *level, double conductivity)
{
    const field_system *s = level->system;
    base_sum given = {0}, got = {0};
    for (size_t k = 0; k < s->count; k++) {
        if (s->kind[k] == FIELD_ANODE) base_sum_add(&given, s->area[k] * s->outflow[k]);
        if (s->kind[k] == FIELD_CATHODE) base_sum_add(&got, -s->area[k] * s->outflow[k]);
    }
    level->current = conductivity * base_sum_total(&given);
    level->voltage = s->voltage;
    level->leak =
        level->current != 0 ? 1 - conductivity * base_sum_total(&got) / level->current : 0;
    const size_t *order = order_of(level);
    for (size_t k = 0; k < s->count; k++) level->potential[order[k]] = s->potential[k];
}

/* What the spot means are gathered from: a panel, sorted along x. */
typedef struct spot_item {
    double x, reach; /* of its centre; from there to its farthest corner */
    size_t panel;
} spot_item;

static int by_x(const void *a, const void *b)
{
    double x = ((const spot_item *)a)->x, y = ((const spot_item *)b)->x;
    return (x > y) - (x < y);
}

/* A panel is taken as 16 small ones: shares of the second and third corner at their centres. */
enum { SIDE = 4 };

static int count_within(const field_mesh *mesh, size_t panel, tks_vec3 centre)
{
    tks_vec3 a = field_mesh_corner(mesh, panel, 0);
    tks_vec3 u = vec3_scale(vec3_sub(field_mesh_corner(mesh, panel, 1), a), 1.0 / SIDE);
    tks_vec3 v = vec3_scale(vec3_sub(field_mesh_corner(mesh, panel, 2), a), 1.0 / SIDE);
    int count = 0;
    for (int i = 0; i < SIDE; i++)
        for (int j = 0; j < SIDE - i; j++)
            for (int half = 0; half < (j == SIDE - i - 1 ? 1 : 2); half++) {
                double shift = half ? 2.0 / 3 : 1.0 / 3;
                tks_vec3 p = vec3_step(vec3_step(a, i + shift, u), j + shift, v);
                if (vec3_distance(p, centre) <= spot_radius) count++;
            }
    return count;
}

/* Whether panel b may belong to the spot about panel a: of the same body, and not the other face of
 * a sheet. Over an edge the spot bends round it. */
static bool faces_alike(const field_mesh *mesh, size_t a, size_t b)
{
    if (mesh->panels[a].body != mesh->panels[b].body) return false;
    tks_vec3 p = field_mesh_area(mesh, a), q = field_mesh_area(mesh, b);
    return vec3_dot(p, q) > -0.3 * vec3_length(p) * vec3_length(q);
}

/* Mean over what lies within the spot's radius of a panel's centre. A panel that is as large as the
 * spot is its own spot. */
static double spot_mean(const field_level *level, const spot_item *items, size_t count, size_t at,
                        double reach)
{
    const field_mesh *mesh = &level->mesh;
    size_t own = items[at].panel, low = at;
    tks_vec3 centre = field_mesh_centre(mesh, own);
    double sum = 0, area = 0;
    if (vec3_length(field_mesh_area(mesh, own)) >= M_PI * spot_radius * spot_radius)
        return level->density[own];
    while (low > 0 && items[at].x - items[low - 1].x <= spot_radius + reach) low--;
    for (size_t k = low; k < count && items[k].x - items[at].x <= spot_radius + reach; k++) {
        size_t panel = items[k].panel;
        double apart = vec3_distance(field_mesh_centre(mesh, panel), centre);
        if (apart > spot_radius + items[k].reach || !faces_alike(mesh, own, panel)) continue;
        double a = vec3_length(field_mesh_area(mesh, panel)) * count_within(mesh, panel, centre);
        sum += a * level->density[panel];
        area += a;
    }
    return area > 0 ? sum / area : level->density[own];
}

static double reach_of(const field_mesh *mesh, size_t panel)
{
    double reach = 0;
    for (int k = 0; k < 3; k++)
        reach = fmax(reach, vec3_distance(field_mesh_corner(mesh, panel, k),
                                          field_mesh_centre(mesh, panel)));
    return reach;
}

static tks_status find_spots(field_level *level)
{
    spot_item *items = base_alloc(level->mesh.count, sizeof *items);
    if (!items) return TKS_EMEMORY;
    size_t count = 0;
    double reach = 0;
    for (size_t i = 0; i < level->mesh.count; i++) {
        if (level->mesh.panels[i].kind == FIELD_WALL) continue;
        items[count] =
            (spot_item){field_mesh_centre(&level->mesh, i).x, reach_of(&level->mesh, i), i};
        reach = fmax(reach, items[count++].reach);
    }
    qsort(items, count, sizeof *items, by_x);
    for (size_t k = 0; k < count; k++)
        level->spot[items[k].panel] =
            spot_mean(level, items, count, k, fmin(reach, 4 * spot_radius));
    base_free(items);
    return TKS_OK;
}

tks_status field_level_solve(field_level *level, const field_task *task, tks_error *err)
{
    level->iterations = 0;
    guess_densities(level, task);
    tks_status status = iterate(level, task, err);
    if (status) return status;
    sum_currents(level, task->bath->conductivity);
    if (find_spots(level)) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    return TKS_OK;
}
