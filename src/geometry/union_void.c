/* Sealed cavities: closed surfaces of the union that face inwards.
 *
 * Each set of exposed places that hang together is a closed surface. One whose volume by the
 * divergence theorem is negative, as its normals point away from the metal into what it encloses,
 * bounds a void. As too many places are joined rather than too few, a cavity is called open unless
 * it surely is not. */
#include "geometry/union_join.h"

#include "base/alloc.h"
#include "base/vec.h"

#include <math.h>

typedef struct shell {
    double area, volume;      /* volume: three times it */
    tks_vec3 lean;            /* integral of the normal; nothing for a closed surface */
    bool open;                /* leads to what was not looked at */
    bool sealed;              /* bounds a void, or stands free in one */
    const union_leaf *widest; /* its place of most exposed area */
    size_t item;
    unsigned pattern;
    double most;
} shell;

typedef struct search {
    union_joints joints;
    shell *shells;
    uint32_t *slot_of; /* of each root of a place: its shell; UNION_NOWHERE */
    size_t count, room;
    union_sealed *sealed; /* of the item at hand */
    const shell *around;  /* whose solid angle is asked, from a point */
    tks_vec3 from;
    double angle;
} search;

/* The shell of a place; NULL when memory is short. */
static shell *shell_of(search *s, uint32_t place)
{
    uint32_t root = union_joints_root(&s->joints, place);
    if (s->slot_of[root] != UNION_NOWHERE) return &s->shells[s->slot_of[root]];
    if (!base_grow((void **)&s->shells, &s->room, s->count + 1, sizeof *s->shells)) return NULL;
    uint32_t open = union_joints_root(&s->joints, (uint32_t)s->joints.place_count);
    s->slot_of[root] = (uint32_t)s->count;
    s->shells[s->count] = (shell){.open = root == open};
    return &s->shells[s->count++];
}

/* What is done with each exposed place in turn; false when memory is short. */
typedef bool place_task(search *s, size_t item, const union_leaf *leaf, unsigned pattern);

static bool each_place(search *s, size_t item, place_task *task)
{
    const union_map *map = &s->joints.items[item].map;
    for (size_t l = 0; l < map->leaf_count; l++)
        for (unsigned p = 0; map->leaves[l].bare && p < 1u << map->leaves[l].count; p++)
            if (union_joints_place(&s->joints, item, l, p) != UNION_NOWHERE &&
                !task(s, item, &map->leaves[l], p))
                return false;
    return true;
}

static uint32_t place_in(const search *s, size_t item, const union_leaf *leaf, unsigned pattern)
{
    return s->joints.first[item] + leaf->place + pattern;
}

static const union_share *part_of(const search *s, size_t item, const union_leaf *leaf,
                                  unsigned pattern)
{
    return &s->joints.items[item].map.parts[leaf->place + pattern];
}

static bool add_part(search *s, size_t item, const union_leaf *leaf, unsigned pattern)
{
    shell *sh = shell_of(s, place_in(s, item, leaf, pattern));
    if (!sh) return false;
    const union_share *part = part_of(s, item, leaf, pattern);
    sh->area += part->area;
    sh->volume += part->volume;
    if (part->area > sh->most)
        sh->most = part->area, sh->item = item, sh->widest = leaf, sh->pattern = pattern;
    return true;
}

/* Points of a place with shares of its area and normals that point out of the metal. */
enum { ALONG = 12, POINTS = ALONG * ALONG };

typedef struct samples {
    tks_vec3 at[POINTS], normal[POINTS];
    double area[POINTS];
    int count;
} samples;

/* Of the points of its cell those that are in it, or all, when it is so small that none is. */
static void take_samples(const search *s, size_t item, const union_leaf *leaf, unsigned pattern,
                         bool all_of_it, samples *taken)
{
    const union_face *f = &s->joints.m->faces[s->joints.items[item].face];
    const union_cell *c = &leaf->cell;
    double weight = 0, sign = leaf->verdicts[pattern];
    taken->count = 0;
    for (int i = 0; i < POINTS; i++) {
        double u = c->u + c->hu * (2 * (i % ALONG) + 1 - ALONG) / ALONG;
        double v = c->v + c->hv * (2 * (double)(i / ALONG) + 1 - ALONG) / ALONG;
        tks_vec3 at = union_point(f, u, v);
        if (!all_of_it && union_map_pattern(s->joints.m, leaf, at) != pattern) continue;
        int k = taken->count++;
        taken->at[k] = at;
        taken->normal[k] = vec3_scale(union_normal(f, u, v), sign);
        taken->area[k] = union_density(f, v).j;
        weight += taken->area[k];
    }
    if (taken->count == 0 && !all_of_it) take_samples(s, item, leaf, pattern, true, taken);
    double share = part_of(s, item, leaf, pattern)->area / weight;
    for (int k = 0; weight > 0 && k < taken->count; k++) taken->area[k] *= share;
}

/* Of surfaces that face inwards. */
static bool add_lean(search *s, size_t item, const union_leaf *leaf, unsigned pattern)
{
    samples taken;
    shell *sh = shell_of(s, place_in(s, item, leaf, pattern));
    if (sh->volume >= 0) return true;
    take_samples(s, item, leaf, pattern, false, &taken);
    for (int k = 0; k < taken.count; k++)
        sh->lean = vec3_step(sh->lean, taken.area[k], taken.normal[k]);
    return true;
}

/* The angle under which a void's walls are seen from a point: 4 pi from inside, else nothing. */
static bool add_angle(search *s, size_t item, const union_leaf *leaf, unsigned pattern)
{
    samples taken;
    if (shell_of(s, place_in(s, item, leaf, pattern)) != s->around) return true;
    take_samples(s, item, leaf, pattern, false, &taken);
    for (int k = 0; k < taken.count; k++) {
        tks_vec3 way = vec3_sub(s->from, taken.at[k]);
        double far = vec3_length(way);
        if (far > 0) s->angle += taken.area[k] * vec3_dot(way, taken.normal[k]) / (far * far * far);
    }
    return true;
}

/* Whether a closed surface stands in a void. */
static bool stands_in(search *s, const shell *inner, const shell *hollow)
{
    samples taken;
    if (inner->open || !(inner->volume > 0 && inner->volume < -hollow->volume)) return false;
    take_samples(s, inner->item, inner->widest, inner->pattern, false, &taken);
    s->from = taken.at[taken.count / 2];
    s->around = hollow;
    s->angle = 0;
    for (size_t i = 0; i < s->joints.item_count; i++) each_place(s, i, add_angle);
    return s->angle > 2 * M_PI;
}

/* What stands free in a void is not wetted either. */
static void find_loose(search *s)
{
    for (size_t k = 0; k < s->count; k++)
        for (size_t n = 0; n < s->count && !s->shells[k].sealed; n++)
            s->shells[k].sealed = s->shells[n].sealed && s->shells[n].volume < 0 &&
                                  stands_in(s, &s->shells[k], &s->shells[n]);
}

/* Notes the part of an item that is sealed; its slack goes with it where nothing else of the cell
 * is exposed. */
static bool note_sealed(search *s, size_t item, const union_leaf *leaf, unsigned pattern)
{
    bool first = true, whole = true;
    if (!shell_of(s, place_in(s, item, leaf, pattern))->sealed) return true;
    for (unsigned p = 0; p < 1u << leaf->count; p++) {
        if (leaf->verdicts[p] == 0) continue;
        bool other = shell_of(s, place_in(s, item, leaf, p))->sealed;
        if (other && p < pattern) first = false;
        if (!other) whole = false;
    }
    s->sealed->area += part_of(s, item, leaf, pattern)->area;
    if (first) s->sealed->slack += leaf->slack;
    if (first && whole) s->sealed->relief += leaf->slack;
    return true;
}

static size_t find_hollow(search *s)
{
    size_t found = 0;
    for (size_t k = 0; k < s->count; k++) {
        shell *sh = &s->shells[k];
        sh->sealed = sh->volume < 0 && !sh->open && vec3_length(sh->lean) < 0.02 * sh->area;
        found += sh->sealed;
    }
    return found;
}

static bool judge_shells(search *s, union_voids *voids)
{
    bool any = false;
    for (size_t i = 0; i < s->joints.item_count; i++)
        if (!each_place(s, i, add_part)) return false;
    for (size_t k = 0; k < s->count; k++) any |= s->shells[k].volume < 0 && !s->shells[k].open;
    for (size_t i = 0; any && i < s->joints.item_count; i++) each_place(s, i, add_lean);
    voids->count = any ? find_hollow(s) : 0;
    if (voids->count == 0) return true;
    find_loose(s);
    voids->sealed = tks_arena_take(s->joints.m->arena, s->joints.item_count, sizeof *voids->sealed);
    if (!voids->sealed) return false;
    for (size_t i = 0; i < s->joints.item_count; i++) {
        s->sealed = &voids->sealed[voids->sealed_count];
        *s->sealed = (union_sealed){.item = i};
        each_place(s, i, note_sealed);
        voids->sealed_count += s->sealed->area > 0;
    }
    return true;
}

static bool find_shells(search *s, union_voids *voids)
{
    size_t places = s->joints.place_count + 1;
    s->slot_of = base_alloc(places, sizeof *s->slot_of);
    for (size_t i = 0; s->slot_of && i < places; i++) s->slot_of[i] = UNION_NOWHERE;
    bool ok = s->slot_of && judge_shells(s, voids);
    base_free(s->slot_of);
    base_free(s->shells);
    return ok;
}

tks_status union_voids_find(const union_index *index, const union_item *items, size_t item_count,
                            base_team *team, union_voids *voids)
{
    search s = {.count = 0};
    *voids = (union_voids){NULL, 0, 0};
    tks_status status = union_joints_find(index, items, item_count, team, &s.joints);
    if (!status && !find_shells(&s, voids)) status = TKS_EMEMORY;
    union_joints_free(&s.joints);
    return status;
}
