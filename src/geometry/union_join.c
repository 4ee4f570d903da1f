/* Which exposed places of all faces hang together: within a face by its tree of cells, across edges
 * and crossing curves by looking which faces go through points there. Of joins that are in doubt
 * too many are made rather than too few. */
#include "geometry/union_join.h"

#include "geometry/union_curve.h"

#include "base/alloc.h"
#include "base/sets.h"
#include "base/vec.h"

#include <math.h>

/* ------------------------------------------------------------------ sets of places */

uint32_t union_joints_root(union_joints *s, uint32_t i)
{
    return base_set_root(s->parent, i);
}

/* What of one item meets what else. Found for each item by itself, on any thread, and joined when
 * all are done, so that the order is of no account. */
typedef struct seam {
    uint32_t a, b;
} seam;

typedef struct finder {
    const union_joints *s;
    size_t item;
    const uint32_t *near;
    size_t near_count;
    uint32_t *own; /* of the item's places: as parent, by what has been found within the face */
    seam *seams;
    size_t count, room;
    bool failed;
} finder;

static void find_seam(finder *by, uint32_t a, uint32_t b)
{
    if (a == UNION_NOWHERE || b == UNION_NOWHERE || by->failed) return;
    by->failed = !base_grow((void **)&by->seams, &by->room, by->count + 1, sizeof *by->seams);
    if (!by->failed) by->seams[by->count++] = (seam){a, b};
}

/* The same of two places of one face. */
static void find_own_seam(finder *by, uint32_t a, uint32_t b)
{
    uint32_t first = by->s->first[by->item];
    base_set_join(by->own, a - first, b - first);
    find_seam(by, a, b);
}

/* A place of its own, behind all others: what is joined to it counts as open. */
static uint32_t open_place(const union_joints *s)
{
    return (uint32_t)s->place_count;
}

uint32_t union_joints_place(const union_joints *s, size_t item, size_t leaf, unsigned pattern)
{
    const union_leaf *l = &s->items[item].map.leaves[leaf];
    if (l->verdicts[pattern] == 0) return UNION_NOWHERE;
    return s->first[item] + l->place + pattern;
}

static const union_face *face_of(const union_joints *s, size_t item)
{
    return &s->m->faces[s->items[item].face];
}

/* The place of a leaf that a point of the face is in. */
static uint32_t place_at(const union_joints *s, size_t item, size_t leaf, tks_vec3 q)
{
    const union_leaf *l = &s->items[item].map.leaves[leaf];
    if (!l->bare) return UNION_NOWHERE;
    return union_joints_place(s, item, leaf, l->count ? union_map_pattern(s->m, l, q) : 0);
}

/* ------------------------------------------------------------------ other faces through a point */

static double within(double x, double low, double high, double inset)
{
    double d = fmin(inset, (high - low) / 4);
    return fmin(fmax(x, low + d), high - d);
}

/* Joins a place with what another face has exposed right around a point, if anything. step: at
 * least so far from it [m]. */
static bool join_around(finder *by, uint32_t place, size_t item, tks_vec3 at, double step)
{
    const union_face *f = face_of(by->s, item);
    const union_map *map = &by->s->items[item].map;
    double u, v;
    union_spot spot;
    step = fmax(step, fmax(8 * by->s->reach, 1e-5 * f->ball));
    if (!map->wanted)
        find_seam(by, place, open_place(by->s)); /* given up: what it leads to is not known */
    if (map->leaf_count == 0) return false;
    union_face_locate(f, at, &u, &v);
    union_spot_at(f, u, v, &spot);
    double du = step / fmax(vec3_length(spot.du), step), dv = step / vec3_length(spot.dv);
    for (int i = 0; i < 4; i++) {
        double a = u + (i % 2 ? du : -du), b = v + (i / 2 ? dv : -dv);
        if (f->turned && f->high[0] - f->low[0] >= 2 * M_PI * (1 - 1e-12))
            a = f->low[0] + fmod(a - f->low[0] + 4 * M_PI, 2 * M_PI);
        a = within(a, f->low[0], f->high[0], 1e-3 * du);
        b = within(b, f->low[1], f->high[1], 1e-3 * dv);
        size_t leaf = union_map_find(map, a, b);
        if (leaf == SIZE_MAX || !map->leaves[leaf].bare) continue;
        uint32_t other = place_at(by->s, item, leaf, union_point(f, a, b));
        find_seam(by, place, other);
        if (other != UNION_NOWHERE) return true;
    }
    return false;
}

/* Whether a face other than the item's own goes through a point; if so joins what it has there. */
static bool join_face(finder *by, uint32_t place, size_t item, uint32_t face, tks_vec3 at)
{
    const union_face *f = &by->s->m->faces[face];
    if (by->s->item_of[face] == UNION_NOWHERE || f->free || by->s->item_of[face] == item)
        return false;
    if (vec3_distance(at, f->centre) > f->ball + by->s->reach) return false;
    return union_face_distance(f, at) <= by->s->reach &&
           join_around(by, place, by->s->item_of[face], at, 0);
}

static void join_through(finder *by, uint32_t place, size_t item, tks_vec3 at)
{
    if (place == UNION_NOWHERE) return;
    for (size_t i = 0; i < by->near_count; i++) {
        const union_solid *solid = &by->s->m->solids[by->near[i]];
        for (uint32_t k = 0; k < solid->face_count; k++)
            join_face(by, place, item, solid->face_first + k, at);
    }
}

/* ------------------------------------------------------------------ within a face */

/* Two leaves that share the line u (along_u) or v = at, from low to high of the other. */
typedef struct border {
    size_t item;
    bool along_u;
    double at, low, high;
} border;

/* The only exposed place of a leaf; none when there are several. */
static uint32_t only_place(const union_joints *s, size_t item, size_t leaf)
{
    const union_leaf *l = &s->items[item].map.leaves[leaf];
    uint32_t found = UNION_NOWHERE;
    for (unsigned p = 0; p < 1u << l->count; p++) {
        uint32_t place = union_joints_place(s, item, leaf, p);
        if (place != UNION_NOWHERE && found != UNION_NOWHERE) return UNION_NOWHERE;
        if (place != UNION_NOWHERE) found = place;
    }
    return found;
}

/* Whether all that two leaves have exposed hangs together by way of other faces, or by what of the
 * face has been gone through already. */
static bool are_joined(const finder *by, size_t p, size_t q)
{
    const union_joints *s = by->s;
    uint32_t a = only_place(s, by->item, p), b = only_place(s, by->item, q);
    if (a == UNION_NOWHERE || b == UNION_NOWHERE) return false;
    uint32_t first = s->first[by->item];
    return s->parent[a] == s->parent[b] ||
           base_set_root(by->own, a - first) == base_set_root(by->own, b - first);
}

/* Places along a border where the exposed parts may end. */
typedef struct breaks {
    double at[4 * UNION_SURFACES + 2];
    int count;
} breaks;

static void add_break(breaks *all, double x)
{
    enum { MOST = sizeof all->at / sizeof *all->at };
    if (all->count == MOST) return;
    int i = all->count++;
    for (; i > 0 && all->at[i - 1] > x; i--) all->at[i] = all->at[i - 1];
    all->at[i] = x;
}

/* Where f changes its sign between a and b, near enough to tell the parts of a border apart. */
static double change_of_sign(union_trace *trace, const union_surface *f, double a, double b,
                             double fa, double fb)
{
    double slope;
    for (int i = 0; i < 6; i++) {
        double middle = i % 3 == 2 ? (a + b) / 2 : a - fa * (b - a) / (fb - fa);
        double value = union_trace_value(trace, f, middle, &slope);
        if ((value < 0) == (fa < 0))
            a = middle, fa = value;
        else
            b = middle, fb = value;
    }
    return (a + b) / 2;
}

/* Where the surfaces that cross a leaf cross its border: once at most where it goes up the cell. */
static void add_breaks(const union_joints *s, const border *b, const union_leaf *l,
                       union_trace *along, breaks *all)
{
    int steps = b->along_u == l->swapped ? 4 : 1;
    for (int i = 0; i < l->count; i++) {
        const union_surface *f = &s->m->faces[l->faces[i]].surface;
        double x = b->low, slope, before = union_trace_value(along, f, x, &slope);
        for (int k = 1; k <= steps; k++) {
            double next = b->low + (b->high - b->low) * k / steps;
            double value = union_trace_value(along, f, next, &slope);
            if ((before < 0) != (value < 0))
                add_break(all, change_of_sign(along, f, x, next, before, value));
            x = next, before = value;
        }
    }
}

/* Joins the places of two leaves at a point of their border. */
static void join_at_border(finder *by, const border *b, size_t p, size_t q, double x)
{
    const union_face *f = face_of(by->s, b->item);
    tks_vec3 at = union_point(f, b->along_u ? b->at : x, b->along_u ? x : b->at);
    uint32_t a = place_at(by->s, b->item, p, at), c = place_at(by->s, b->item, q, at);
    if (a != UNION_NOWHERE && c != UNION_NOWHERE)
        find_own_seam(by, a, c);
    else if (a != UNION_NOWHERE || c != UNION_NOWHERE)
        join_through(by, a != UNION_NOWHERE ? a : c, b->item, at);
}

static void join_leaves(finder *by, const border *b, size_t p, size_t q)
{
    const union_leaf *first = &by->s->items[b->item].map.leaves[p];
    const union_leaf *second = &by->s->items[b->item].map.leaves[q];
    if (!first->bare && !second->bare) return;
    if (first->bare && second->bare && are_joined(by, p, q)) return;
    if (first->bare && second->bare && first->count + second->count == 0) {
        find_own_seam(by, union_joints_place(by->s, b->item, p, 0),
                      union_joints_place(by->s, b->item, q, 0));
        return;
    }
    breaks all = {{b->low, b->high}, 2};
    union_trace along = union_trace_at(face_of(by->s, b->item), !b->along_u, b->at);
    if (first->bare) add_breaks(by->s, b, first, &along, &all);
    if (second->bare) add_breaks(by->s, b, second, &along, &all);
    for (int i = 0; i + 1 < all.count; i++)
        if (all.at[i + 1] > all.at[i]) join_at_border(by, b, p, q, (all.at[i] + all.at[i + 1]) / 2);
}

/* Walks down to the leaves on both sides of a border: p below it, q above. */
static void join_sides(finder *by, border b, uint32_t p, uint32_t q)
{
    const union_node *nodes = by->s->items[b.item].map.nodes;
    const union_node *n = nodes[p].child ? &nodes[p] : &nodes[q];
    if (!(b.high > b.low)) return;
    if (!n->child) {
        if (nodes[p].leaf && nodes[q].leaf)
            join_leaves(by, &b, nodes[p].leaf - 1, nodes[q].leaf - 1);
        return;
    }
    bool first = nodes[p].child != 0;
    if (n->along_u == b.along_u) {
        if (first)
            join_sides(by, b, n->child + 1, q);
        else
            join_sides(by, b, p, n->child);
        return;
    }
    border lower = b, upper = b;
    lower.high = fmin(b.high, n->at);
    upper.low = fmax(b.low, n->at);
    join_sides(by, lower, first ? n->child : p, first ? q : n->child);
    join_sides(by, upper, first ? n->child + 1 : p, first ? q : n->child + 1);
}

static void join_inside(finder *by, size_t item, uint32_t node, double low[2], double high[2])
{
    const union_node *n = &by->s->items[item].map.nodes[node];
    if (!n->child) return;
    int axis = n->along_u ? 0 : 1;
    border b = {item, n->along_u, n->at, low[1 - axis], high[1 - axis]};
    join_sides(by, b, n->child, n->child + 1);
    double kept = high[axis];
    high[axis] = n->at;
    join_inside(by, item, n->child, low, high);
    high[axis] = kept;
    kept = low[axis];
    low[axis] = n->at;
    join_inside(by, item, n->child + 1, low, high);
    low[axis] = kept;
}

/* ------------------------------------------------------------------ rims of faces */

/* Joins a leaf across one side of the face's rectangle. */
static void join_rim(finder *by, size_t item, size_t leaf, bool along_u, double at)
{
    const union_face *f = face_of(by->s, item);
    const union_leaf *l = &by->s->items[item].map.leaves[leaf];
    const union_cell *c = &l->cell;
    double middle = along_u ? c->v : c->u, half = along_u ? c->hv : c->hu;
    int most = l->count ? 1 : 0;
    for (int i = -most; i <= most; i++) {
        double x = middle + i * half / 2;
        tks_vec3 q = union_point(f, along_u ? at : x, along_u ? x : at);
        join_through(by, place_at(by->s, item, leaf, q), item, q);
    }
}

static void join_rims(finder *by, size_t item, size_t leaf)
{
    const union_face *f = face_of(by->s, item);
    const union_cell *c = &by->s->items[item].map.leaves[leaf].cell;
    bool whole = f->turned && f->high[0] - f->low[0] >= 2 * M_PI * (1 - 1e-12);
    double u_room = 1e-9 * (f->high[0] - f->low[0]), v_room = 1e-9 * (f->high[1] - f->low[1]);
    if (!whole && c->u - c->hu <= f->low[0] + u_room) join_rim(by, item, leaf, true, f->low[0]);
    if (!whole && c->u + c->hu >= f->high[0] - u_room) join_rim(by, item, leaf, true, f->high[0]);
    if (c->v - c->hv <= f->low[1] + v_room) join_rim(by, item, leaf, false, f->low[1]);
    if (c->v + c->hv >= f->high[1] - v_room) join_rim(by, item, leaf, false, f->high[1]);
}

/* A face whose own outlines did not have to be cut is joined along them. */
static void join_outlines(finder *by, size_t item)
{
    const union_face *f = face_of(by->s, item);
    uint32_t place = union_joints_place(by->s, item, 0, 0);
    for (uint32_t i = f->edge_first; i < f->edge_first + f->edge_count; i++) {
        const union_face *edge = &by->s->m->faces[i];
        for (int k = 1; k < 4; k++) {
            double u = edge->low[0] + (edge->high[0] - edge->low[0]) * k / 4;
            join_through(by, place, item, union_point(edge, u, 0));
        }
    }
}

/* ------------------------------------------------------------------ all joins */

/* Threads, coils and their stand-ins are not looked at. */
static bool is_unknown(const union_joints *s, uint32_t face)
{
    if (face == UNION_WINDOW) return false;
    const union_face *f = &s->m->faces[face];
    if (f->solid == UNION_WINDOW) return false;
    return f->surface.form == UNION_FREE || s->m->solids[f->solid].real != f->solid;
}

static void join_links(finder *by, size_t item)
{
    const union_map *map = &by->s->items[item].map;
    for (size_t i = 0; i < map->link_count; i++) {
        const union_link *l = &map->links[i];
        uint32_t place = union_joints_place(by->s, item, l->leaf, l->pattern);
        if (l->other != UNION_NO_PATTERN) {
            find_seam(by, place, union_joints_place(by->s, item, l->leaf, l->other));
            continue;
        }
        tks_vec3 at = union_point(face_of(by->s, item), l->u, l->v);
        if (place == UNION_NOWHERE) continue;
        if (is_unknown(by->s, l->face)) find_seam(by, place, open_place(by->s));
        if (l->face == UNION_WINDOW || !join_face(by, place, item, l->face, at))
            join_through(by, place, item, at);
    }
}

/* What reaches a cell that was left undecided may open a way through it. Such cells may be long and
 * narrow, where surfaces touch along a curve: what is more than their breadth away is not meant. */
static void join_waiting(finder *by, size_t item, const union_waiting *w)
{
    const union_lists *l = &by->s->items[item].waiting;
    const union_cell *c = &w->cell;
    uint32_t place =
        union_joints_place(by->s, item, by->s->items[item].map.nodes[w->node].leaf - 1, 0);
    union_spot spot;
    union_spot_at(face_of(by->s, item), c->u, c->v, &spot);
    double wide = vec3_length(spot.du) * c->hu, high = vec3_length(spot.dv) * c->hv;
    double breadth = fmin(wide, high);
    for (int k = -1; k <= 1; k++) {
        double u = c->u + (wide > high ? k * c->hu / 2 : 0);
        double v = c->v + (wide > high ? 0 : k * c->hv / 2);
        tks_vec3 at = union_point(face_of(by->s, item), u, v);
        for (size_t i = w->reach_first; i < w->reach_first + w->reach_count; i++) {
            uint32_t face = l->reaches[i].face, other = by->s->item_of[face];
            if (other != UNION_NOWHERE && other != item &&
                union_face_distance(&by->s->m->faces[face], at) <= 2 * breadth)
                join_around(by, place, other, at, breadth);
        }
    }
}

/* Across edges and crossing curves. */
static void join_others(finder *by)
{
    const union_item *item = &by->s->items[by->item];
    const union_map *map = &item->map;
    if (map->leaf_count == 0) return;
    join_links(by, by->item);
    for (size_t i = 0; i < map->leaf_count; i++)
        if (map->leaves[i].bare) join_rims(by, by->item, i);
    for (size_t i = 0; i < item->waiting.cell_count; i++)
        join_waiting(by, by->item, &item->waiting.cells[i]);
    if (face_of(by->s, by->item)->window && map->leaf_count == 1 && map->leaves[0].count == 0)
        join_outlines(by, by->item);
}

/* Within the face; most of it hangs together already by way of the others. */
static void join_own(finder *by)
{
    const union_face *f = face_of(by->s, by->item);
    if (by->s->items[by->item].map.leaf_count == 0) return;
    size_t places = by->s->items[by->item].map.place_count;
    by->own = base_alloc(places, sizeof *by->own);
    by->failed = !by->own;
    for (size_t i = 0; by->own && i < places; i++) by->own[i] = (uint32_t)i;
    if (by->failed) return;
    double low[2] = {f->low[0], f->low[1]}, high[2] = {f->high[0], f->high[1]};
    join_inside(by, by->item, 0, low, high);
    if (f->turned && high[0] - low[0] >= 2 * M_PI * (1 - 1e-12))
        join_sides(by, (border){by->item, true, high[0], low[1], high[1]}, 0, 0);
    base_free(by->own);
    by->own = NULL;
}

static void work_others(void *context, size_t i)
{
    join_others((finder *)context + i);
}

static void work_own(void *context, size_t i)
{
    join_own((finder *)context + i);
}

/* Joins what all finders have found; then each place's parent is the root. */
static bool join_seams(union_joints *s, finder *finders)
{
    bool ok = true;
    for (size_t i = 0; i < s->item_count; i++) {
        finder *by = &finders[i];
        for (size_t n = 0; n < by->count; n++)
            base_set_join(s->parent, by->seams[n].a, by->seams[n].b);
        by->count = 0;
        ok = ok && !by->failed;
    }
    for (size_t i = 0; i <= s->place_count; i++) s->parent[i] = s->parent[s->parent[i]];
    return ok;
}

static bool join_all(union_joints *s, base_team *team)
{
    finder *finders = base_alloc(s->item_count, sizeof *finders);
    if (!finders) return false;
    for (size_t i = 0; i < s->item_count; i++)
        finders[i] = (finder){.s = s,
                              .item = i,
                              .near = s->near + s->near_first[i],
                              .near_count = s->near_first[i + 1] - s->near_first[i]};
    base_team_run(team, s->item_count, work_others, finders);
    bool ok = join_seams(s, finders);
    if (ok) base_team_run(team, s->item_count, work_own, finders);
    ok = join_seams(s, finders) && ok;
    for (size_t i = 0; i < s->item_count; i++) base_free(finders[i].seams);
    base_free(finders);
    return ok;
}

static bool has_free_face(const union_joints *s, uint32_t solid)
{
    const union_solid *of = &s->m->solids[solid];
    for (uint32_t k = 0; k < of->face_count; k++)
        if (s->m->faces[of->face_first + k].free) return true;
    return false;
}

/* All exposed places of a solid with free faces count as joined: those are not looked at. Its items
 * follow one another. */
static void join_free_solids(union_joints *s)
{
    uint32_t solid = UNION_NOWHERE, place = UNION_NOWHERE;
    bool any = false;
    for (size_t i = 0; i < s->item_count; i++) {
        const union_face *f = face_of(s, i);
        const union_map *map = &s->items[i].map;
        if (f->solid != solid) {
            solid = f->solid;
            place = UNION_NOWHERE;
            any = has_free_face(s, solid);
        }
        for (size_t l = 0; any && l < map->leaf_count; l++)
            for (unsigned p = 0; p < 1u << map->leaves[l].count; p++) {
                uint32_t here = union_joints_place(s, i, l, p);
                if (here != UNION_NOWHERE && place != UNION_NOWHERE)
                    base_set_join(s->parent, place, here);
                if (here != UNION_NOWHERE) place = here;
            }
    }
}

/* ------------------------------------------------------------------ the whole */

/* The solids near each item, in lists one after the other. */
static bool find_near(union_joints *s, const union_index *index)
{
    size_t solids = s->m->solid_count, room = 0, used = 0;
    s->near_first = base_alloc(s->item_count + 1, sizeof *s->near_first);
    for (size_t i = 0; s->near_first && i < s->item_count; i++) {
        if (room - used < solids) {
            room = 2 * used + 4 * solids;
            uint32_t *bigger = base_resize(s->near, room, sizeof *bigger);
            if (!bigger) return false;
            s->near = bigger;
        }
        s->near_first[i] = used;
        if (s->items[i].map.leaf_count > 0)
            used += union_index_near(index, face_of(s, i), s->near + used);
        s->near_first[i + 1] = used;
    }
    return s->near_first != NULL;
}

static bool make_room(union_joints *s)
{
    tks_arena *arena = s->m->arena;
    s->item_of = tks_arena_take(arena, s->m->face_count, sizeof *s->item_of);
    s->first = tks_arena_take(arena, s->item_count, sizeof *s->first);
    if (!s->item_of || !s->first) return false;
    for (size_t i = 0; i < s->m->face_count; i++) s->item_of[i] = UNION_NOWHERE;
    for (size_t i = 0; i < s->item_count; i++) {
        s->item_of[s->items[i].face] = (uint32_t)i;
        s->first[i] = (uint32_t)s->place_count;
        s->place_count += s->items[i].map.place_count;
        if (s->place_count >= UNION_NOWHERE) return false;
    }
    s->parent = tks_arena_take(arena, s->place_count + 1, sizeof *s->parent);
    for (size_t i = 0; s->parent && i <= s->place_count; i++) s->parent[i] = (uint32_t)i;
    return s->parent != NULL;
}

tks_status union_joints_find(const union_index *index, const union_item *items, size_t item_count,
                             base_team *team, union_joints *joints)
{
    *joints = (union_joints){
        .m = index->m, .items = items, .item_count = item_count, .reach = 3 * index->m->snap};
    if (!make_room(joints) || !find_near(joints, index) || !join_all(joints, team))
        return TKS_EMEMORY;
    join_free_solids(joints);
    return TKS_OK;
}

void union_joints_free(union_joints *joints)
{
    base_free(joints->near);
    base_free(joints->near_first);
    joints->near = NULL;
    joints->near_first = NULL;
}
