/* What of a place is metal, by how it stands to all solids near it, and so what is exposed. */
#include "geometry/union.h"

enum { UNKNOWN = 2 };

/* The state of a body after one more solid. */
static int fold(int state, const union_entry *e, bool inside, bool cut)
{
    if (e->open) return state == !cut ? state : UNKNOWN;
    return inside ? !cut : state;
}

static int either(int a, int b)
{
    if (a == 1 || b == 1) return 1;
    return a == 0 && b == 0 ? 0 : UNKNOWN;
}

static int metal(int added, int cut)
{
    if (added == 0 || cut == 1) return 0;
    return added == 1 && cut == 0 ? 1 : UNKNOWN;
}

union_states union_body_states(const union_model *m, const union_entry *entries, size_t count,
                               size_t *i)
{
    union_states s = {0, 0, false};
    uint32_t body = m->solids[entries[*i].solid].body;
    for (; *i < count && entries[*i].solid != UNION_WINDOW; ++*i) {
        const union_entry *e = &entries[*i];
        const union_solid *solid = &m->solids[e->solid];
        if (solid->body != body) break;
        s.under = fold(s.under, e, e->under, solid->cut);
        s.over = fold(s.over, e, e->over, solid->cut);
        s.differ |= e->open ? e->offset : e->under != e->over;
    }
    return s;
}

bool union_counted_elsewhere(const union_entry *entries, size_t count, uint32_t own)
{
    for (size_t i = 0; i < count && entries[i].solid < own; i++)
        if (!entries[i].open && entries[i].under != entries[i].over) return true;
    return false;
}

union_verdict union_judge(const union_model *m, const union_face *own, const union_entry *entries,
                          size_t count)
{
    union_states added = {0, 0, false}, cut = {0, 0, false};
    if (union_counted_elsewhere(entries, count, own->solid)) return UNION_HIDDEN;
    for (size_t i = 0; i < count && entries[i].solid != UNION_WINDOW;) {
        union_states *group = m->body_cut[m->solids[entries[i].solid].body] ? &cut : &added;
        union_states s = union_body_states(m, entries, count, &i);
        *group = (union_states){either(group->under, s.under), either(group->over, s.over),
                                group->differ || s.differ};
    }
    bool covered = added.under == 1 && added.over == 1, bare = added.under == 0 && added.over == 0;
    bool uncut = cut.under == 0 && cut.over == 0;
    if ((covered && !cut.differ) || bare || (uncut && !added.differ)) return UNION_HIDDEN;
    int under = metal(added.under, cut.under), over = metal(added.over, cut.over);
    if (under == UNKNOWN || over == UNKNOWN) return UNION_OPEN;
    if (under == over) return UNION_HIDDEN;
    for (size_t i = 0; i < count; i++) /* these may still take the place from the face */
        if (entries[i].open && (entries[i].solid == UNION_WINDOW ||
                                (entries[i].offset && entries[i].solid < own->solid)))
            return UNION_OPEN;
    return under ? UNION_BELOW : UNION_ABOVE;
}
