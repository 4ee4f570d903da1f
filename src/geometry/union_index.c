/* Which solids a face may meet: boxes sorted along the model's longest side. */
#include "geometry/union.h"

#include "base/vec.h"

#include <stdlib.h>

static double along(tks_vec3 p, int axis)
{
    return axis == 0 ? p.x : axis == 1 ? p.y : p.z;
}

/* The axis along which the boxes' middles are spread most, so that few overlap. */
static int widest_axis(const union_model *m)
{
    int best = 0;
    double most = -1;
    for (int axis = 0; axis < 3; axis++) {
        double low = INFINITY, high = -INFINITY;
        for (size_t i = 0; i < m->solid_count; i++) {
            double middle = along(m->solids[i].low, axis) + along(m->solids[i].high, axis);
            low = fmin(low, middle), high = fmax(high, middle);
        }
        if (high - low > most) most = high - low, best = axis;
    }
    return best;
}

typedef struct key {
    double low;
    uint32_t solid;
} key;

static int by_low(const void *a, const void *b)
{
    const key *p = a, *q = b;
    if (p->low != q->low) return p->low < q->low ? -1 : 1;
    return p->solid < q->solid ? -1 : 1;
}

tks_status union_index_build(union_index *index, const union_model *m)
{
    size_t n = m->solid_count;
    key *keys = tks_arena_take(m->arena, n, sizeof *keys);
    *index = (union_index){.m = m, .axis = widest_axis(m)};
    index->order = tks_arena_take(m->arena, n, sizeof *index->order);
    index->reach = tks_arena_take(m->arena, n, sizeof *index->reach);
    if (!keys || !index->order || !index->reach) return TKS_EMEMORY;
    for (size_t i = 0; i < n; i++)
        keys[i] = (key){along(m->solids[i].low, index->axis), (uint32_t)i};
    qsort(keys, n, sizeof *keys, by_low);
    double reach = -INFINITY;
    for (size_t i = 0; i < n; i++) {
        index->order[i] = keys[i].solid;
        reach = fmax(reach, along(m->solids[keys[i].solid].high, index->axis));
        index->reach[i] = reach;
    }
    return TKS_OK;
}

static bool meet(const union_solid *s, tks_vec3 low, tks_vec3 high)
{
    return s->low.x <= high.x && s->high.x >= low.x && s->low.y <= high.y && s->high.y >= low.y &&
           s->low.z <= high.z && s->high.z >= low.z;
}

static int ascending(const void *a, const void *b)
{
    uint32_t p = *(const uint32_t *)a, q = *(const uint32_t *)b;
    return p < q ? -1 : p > q;
}

/* The first solid, as sorted, that begins beyond a place on the axis. */
static size_t first_beyond(const union_index *index, double place)
{
    size_t from = 0, to = index->m->solid_count;
    while (from < to) {
        size_t middle = (from + to) / 2;
        if (along(index->m->solids[index->order[middle]].low, index->axis) <= place)
            from = middle + 1;
        else
            to = middle;
    }
    return from;
}

/* The first solid, as sorted, up to which one ends at a place on the axis or behind it. */
static size_t first_reaching(const union_index *index, double place)
{
    size_t from = 0, to = index->m->solid_count;
    while (from < to) {
        size_t middle = (from + to) / 2;
        if (index->reach[middle] < place)
            from = middle + 1;
        else
            to = middle;
    }
    return from;
}

double union_index_pairs(const union_index *index)
{
    const union_model *m = index->m;
    double pairs = 0, room = 2 * m->snap;
    for (size_t i = 0; i < m->solid_count; i++) {
        const union_solid *s = &m->solids[i];
        size_t from = first_reaching(index, along(s->low, index->axis) - room);
        size_t to = first_beyond(index, along(s->high, index->axis) + room);
        pairs += (double)s->face_count * (double)(to > from ? to - from : 0);
    }
    return pairs;
}

static size_t near_box(const union_index *index, tks_vec3 low, tks_vec3 high, uint32_t *near)
{
    const union_model *m = index->m;
    tks_vec3 room = {2 * m->snap, 2 * m->snap, 2 * m->snap};
    low = vec3_sub(low, room), high = vec3_add(high, room);
    size_t from = first_beyond(index, along(high, index->axis)), found = 0;
    while (from > 0 && index->reach[from - 1] >= along(low, index->axis)) {
        uint32_t solid = index->order[--from];
        if (meet(&m->solids[solid], low, high)) near[found++] = solid;
    }
    qsort(near, found, sizeof *near, ascending);
    return found;
}

size_t union_index_near(const union_index *index, const union_face *face, uint32_t *near)
{
    tks_vec3 low, high;
    union_face_box(face, &low, &high);
    return near_box(index, low, high, near);
}

size_t union_index_near_solid(const union_index *index, const union_solid *solid, uint32_t *near)
{
    return near_box(index, solid->low, solid->high, near);
}

/* Whether a face is all of a sphere, which may be turned as one likes. */
static bool is_whole_sphere(const union_face *f)
{
    return f->surface.form == UNION_SPHERE && f->high[0] - f->low[0] >= 2 * M_PI * (1 - 1e-12) &&
           f->high[1] - f->low[1] >= M_PI * (1 - 1e-12);
}

/* The axis of a turned face that goes through a point; false when there is none. */
static bool axis_through(const union_face *f, tks_vec3 at, double slack, tks_vec3 *axis)
{
    if (f->surface.form != UNION_CYLINDER && f->surface.form != UNION_CONE &&
        f->surface.form != UNION_TORUS)
        return false;
    tks_vec3 d = vec3_sub(at, f->surface.origin);
    *axis = f->surface.axis;
    return vec3_length(vec3_step(d, -vec3_dot(d, *axis), *axis)) <= slack;
}

static void turn_sphere(union_face *f, tks_vec3 axis)
{
    tks_vec3 centre = vec3_step(f->frame.origin, f->y, f->frame.z);
    tks_vec3 side = fabs(axis.x) < 0.9 ? vec3(1, 0, 0) : vec3(0, 1, 0);
    f->frame.z = axis;
    f->frame.x = vec3_unit(vec3_cross(side, axis));
    f->frame.y = vec3_cross(axis, f->frame.x);
    f->frame.origin = vec3_step(centre, -f->y, axis);
}

void union_index_turn_spheres(const union_index *index, union_model *m, uint32_t *near)
{
    for (size_t i = 0; i < m->face_count; i++) {
        union_face *f = &m->faces[i];
        if (f->solid == UNION_WINDOW || !is_whole_sphere(f)) continue;
        size_t count = union_index_near(index, f, near);
        bool found = false;
        for (size_t k = 0; k < count && !found; k++) {
            const union_solid *s = &m->solids[near[k]];
            tks_vec3 axis;
            for (uint32_t n = 0; n < s->face_count && !found; n++) {
                found = axis_through(&m->faces[s->face_first + n], f->surface.origin,
                                     1e-2 * m->slack, &axis);
                if (found) turn_sphere(f, axis);
            }
        }
    }
}
