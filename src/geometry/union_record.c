/* The record of a cell that surfaces cross: what is exposed by the signs of these, and where places
 * of different signs lie side by side. */
#include "geometry/union_curve.h"

typedef struct recorder {
    const union_model *m;
    const union_face *own;
    union_map *map;
} recorder;

static unsigned char pattern_at(const recorder *r, const union_leaf *leaf, double u, double v)
{
    return (unsigned char)union_map_pattern(r->m, leaf, union_point(r->own, u, v));
}

/* Two places of a crossed cell that lie side by side at (u, v). seen: those of each pattern that
 * were met before. */
static bool record_border(const recorder *r, const union_leaf *leaf, unsigned short *seen,
                          uint32_t face, unsigned char a, unsigned char b, double u, double v)
{
    union_map *map = r->map;
    uint32_t index = (uint32_t)map->leaf_count - 1;
    bool bare_a = leaf->verdicts[a] != 0, bare_b = leaf->verdicts[b] != 0;
    if (a == b || (!bare_a && !bare_b) || seen[a] >> b & 1) return true;
    seen[a] = (unsigned short)(seen[a] | 1u << b);
    seen[b] = (unsigned short)(seen[b] | 1u << a);
    if (bare_a && bare_b) return union_map_link(map, (union_link){index, face, a, b, u, v});
    return union_map_link(map, (union_link){index, face, bare_a ? a : b, UNION_NO_PATTERN, u, v});
}

/* A border on the curve below a band. */
static bool record_below(const recorder *r, const union_crossing *x, const union_leaf *leaf,
                         unsigned short *seen, const union_band *b, unsigned char before)
{
    bool swapped = x->frame.swapped;
    double u = swapped ? b->from : b->u, v = swapped ? b->v : b->from;
    uint32_t face = leaf->faces[x->curves[b->below].which];
    return record_border(r, leaf, seen, face, before, b->pattern, u, v);
}

/* A border across the cut that ends a band, at the height of the band. */
static bool record_beside(const recorder *r, const union_crossing *x, const union_leaf *leaf,
                          unsigned short *seen, const union_band *b)
{
    bool swapped = x->frame.swapped;
    double at = x->cuts[b->cut + 1], step = 1e-7 * (x->cuts[x->cut_count - 1] - x->cuts[0]);
    double u = swapped ? b->u : at, v = swapped ? at : b->v;
    double du = swapped ? 0 : step, dv = swapped ? step : 0;
    unsigned char before = pattern_at(r, leaf, u - du, v - dv);
    unsigned char after = pattern_at(r, leaf, u + du, v + dv);
    return record_border(r, leaf, seen, UNION_WINDOW, before, after, u, v);
}

static bool record_borders(const recorder *r, const union_crossing *x, const union_leaf *leaf)
{
    bool ok = true;
    unsigned short seen[UNION_PATTERNS] = {0};
    for (int i = 0; i < x->band_count && ok; i++) {
        const union_band *b = &x->bands[i];
        if (i > 0 && b[-1].cut == b->cut && b[-1].pattern != b->pattern)
            ok = record_below(r, x, leaf, seen, b, b[-1].pattern);
        if (ok && x->line_count > 0 && b->cut + 2 < x->cut_count)
            ok = record_beside(r, x, leaf, seen, b);
    }
    return ok;
}

bool union_record_crossed(const union_model *m, union_item *item, uint32_t node,
                          const union_crossing *x, const union_cell *cell, const int *verdicts,
                          const union_share *parts, double slack)
{
    recorder r = {m, &m->faces[item->face], &item->map};
    union_leaf leaf = {
        .cell = *cell, .count = x->by_count, .swapped = x->frame.swapped, .slack = slack};
    for (int i = 0; i < x->by_count; i++) {
        leaf.faces[i] = (uint32_t)(x->by[i].face - m->faces);
    }
    for (int i = 0; i < x->band_count; i++) {
        const union_band *b = &x->bands[i];
        if (b->slight || verdicts[i] == UNION_HIDDEN) continue;
        /* of one pattern not all need be so */
        leaf.verdicts[b->pattern] = (signed char)verdicts[i];
        leaf.bare = true;
    }
    if (!union_map_leaf(r.map, node, &leaf, parts)) return false;
    return !leaf.bare || record_borders(&r, x, &leaf);
}
