/* Cells of a face: which surfaces reach them, what is inside, what is exposed. */
#include "geometry/union_curve.h"

#include "base/alloc.h"
#include "base/vec.h"
#include "geometry/outline.h"

#include <math.h>

typedef struct work {
    const union_model *m;
    const union_face *own;
    union_item *item;
    const union_round *round;
    union_lists stack;   /* entries and reaches of the cells above this one */
    double spent, limit; /* of the item's work */
    double next_look;    /* when to ask whether to go on */
    bool halted;
} work;

/* What is looked at besides the cell itself, in cells' worth: about as the times compare. */
static const double cost_of_entry = 0.02, cost_of_face = 0.04, cost_of_jet = 0.2,
                    cost_of_comparison = 0.1, cost_of_distance = 20, cost_of_curve = 2,
                    cost_of_waiting = 1;

static void spend(work *w, double cost)
{
    w->spent += cost;
}

/* Whether there is no more work to be spent on the item in this round. */
static bool is_over(work *w)
{
    static const double often = 1000;
    if (w->spent >= w->next_look) {
        w->next_look = w->spent + often;
        w->halted |= !w->round->go_on(w->round->context);
    }
    return w->halted || w->spent >= w->limit;
}

/* ------------------------------------------------------------------ growing lists */

static bool push_entry(union_lists *l, union_entry e)
{
    if (!base_grow((void **)&l->entries, &l->entry_room, l->entry_count + 1, sizeof e))
        return false;
    l->entries[l->entry_count++] = e;
    return true;
}

static bool push_reach(union_lists *l, union_reach r)
{
    if (!base_grow((void **)&l->reaches, &l->reach_room, l->reach_count + 1, sizeof r))
        return false;
    l->reaches[l->reach_count++] = r;
    return true;
}

void union_lists_free(union_lists *l)
{
    base_free(l->entries);
    base_free(l->reaches);
    base_free(l->cells);
    *l = (union_lists){0};
}

/* ------------------------------------------------------------------ what reaches a cell */

typedef struct place {
    union_cell cell;
    uint32_t node; /* in the item's map */
    union_site site;
    double radius;           /* no point of the cell is farther from its centre */
    double wide, high;       /* half sizes [m] */
    double along_u, along_v; /* share of each parameter in what keeps surfaces undecided */
    bool seam;               /* two faces of one solid reach it */
} place;

static void place_at(const union_face *f, const union_cell *c, place *p)
{
    *p = (place){.cell = *c};
    union_site_at(f, c->u, c->v, &p->site);
    union_bend bend = union_bend_at(f, p->site.radius, c->hu, c->hv, true);
    p->wide = f->turned ? bend.uu * c->hu : c->hu;
    p->high = f->arc ? f->radius * c->hv : c->hv;
    p->radius = hypot(p->wide, p->high);
}

/* A surface that only touches the rim of a cell, within rounding, does not keep it open. |f| is
 * bounded by a polynomial that grows from the middle at least by |f_u|, |f_v|, so that what the
 * surface may cut off is a strip of that slope; it counts as slack. */
static bool grazes(work *w, const union_jet *j, const place *p, double gap)
{
    double slack = w->m->slack;
    if (!(gap <= slack)) return false;
    double steep = fmax(fabs(j->fv) * p->cell.hv, fabs(j->fu) * p->cell.hu);
    double share = 2 * slack / steep;
    if (!(share < 1e-3)) return false;
    w->item->area_slack += share * 4 * p->wide * p->high;
    return true;
}

/* How a face stands to a cell. ABOVE: all of the cell is on the outer side of its surface. */
typedef enum stand { MISSES, REACHES, ABOVE } stand;

/* Notes which way a cell has to be halved for f to become simpler, by what each parameter changes
 * f: eu, ev. A surface that crosses the cell along a line of one parameter is simple already, and
 * tells the way only where no other surface does. */
static void note_way(const work *w, const union_jet *j, double eu, double ev, place *p)
{
    double hu = p->cell.hu, hv = p->cell.hv, slack = w->m->slack;
    bool line = (ev <= slack && fabs(j->fu) > j->slope.uu * hu + j->slope.uv * hv) ||
                (eu <= slack && fabs(j->fv) > j->slope.vv * hv + j->slope.uv * hu);
    double weight = line ? 1e-3 : 1;
    if (!(eu + ev > 0 && eu + ev < INFINITY)) return;
    p->along_u += weight * eu / (eu + ev);
    p->along_v += weight * ev / (eu + ev);
}

static stand surface_stand(work *w, const union_face *g, union_reach *r, place *p)
{
    union_range range = {p->cell.hu, p->cell.hv, true, r->coaxial};
    double hu = p->cell.hu, hv = p->cell.hv;
    spend(w, cost_of_jet);
    union_jet_at(w->own, &g->surface, &p->site, &range, &r->jet);
    const union_jet *j = &r->jet;
    double cross = j->value.uv * hu * hv / 2;
    double eu = fabs(j->fu) * hu + j->value.uu * hu * hu / 2 + cross;
    double ev = fabs(j->fv) * hv + j->value.vv * hv * hv / 2 + cross;
    double gap = eu + ev - fabs(j->f);
    if (gap < 0) return j->f > 0 ? ABOVE : MISSES;
    if (grazes(w, j, p, gap)) return MISSES;
    note_way(w, j, eu, ev, p);
    return REACHES;
}

static stand face_stand(work *w, union_reach *r, place *p)
{
    const union_face *g = &w->m->faces[r->face];
    spend(w, cost_of_face);
    if (vec3_distance(p->site.spot.at, g->centre) > g->ball + p->radius) return MISSES;
    if (g->surface.form == UNION_FREE) {
        const union_solid *s = &w->m->solids[g->solid];
        if (union_face_distance(g, p->site.spot.at) > p->radius) return MISSES;
        spend(w, cost_of_distance);
        return fabs(s->distance(s->context, p->site.spot.at)) <= p->radius ? REACHES : MISSES;
    }
    return union_face_distance(g, p->site.spot.at) > p->radius ? MISSES : surface_stand(w, g, r, p);
}

/* ------------------------------------------------------------------ inside or outside */

static bool inside_solid(const union_model *m, const union_solid *s, tks_vec3 q)
{
    if (!s->convex) return s->distance(s->context, q) < 0;
    for (uint32_t i = s->face_first; i < s->face_first + s->face_count; i++) {
        tks_vec3 g;
        if (!(union_value(&m->faces[i].surface, q, &g) < 0)) return false;
    }
    return true;
}

static bool inside_at(work *w, uint32_t solid, tks_vec3 q)
{
    if (solid != UNION_WINDOW) {
        const union_solid *s = &w->m->solids[solid];
        spend(w, cost_of_face * s->face_count);
        return inside_solid(w->m, s, q);
    }
    tks_vec3 p = frame_local_point(&w->own->frame, q);
    return geometry_outlines_distance(w->own->window, w->own->window_count, false,
                                      (tks_vec2){p.x, p.y}) < 0;
}

/* How far to step off the face, to be past another that coincides with it. */
static double offset_of(const work *w, const union_entry *e)
{
    return e->near ? 2 * w->m->snap : fmin(2 * w->m->snap, 1e3 * w->m->slack);
}

/* Remembers a solid that meets the face; memory trouble only loses a caution. */
static void touch(work *w, uint32_t solid)
{
    union_item *item = w->item;
    if (solid == UNION_WINDOW || w->round->marks[solid]) return;
    if (!base_grow((void **)&item->touched, &item->touched_room, item->touched_count + 1,
                   sizeof *item->touched))
        return;
    item->touched[item->touched_count++] = solid;
    w->round->marks[solid] = true;
}

static void mark_touched(const work *w, bool mark)
{
    for (size_t i = 0; i < w->item->touched_count; i++) w->round->marks[w->item->touched[i]] = mark;
}

/* Whether a point is far enough from all faces of a solid but the coincident ones for a step below
 * or above the face to stay on their same side. */
static bool clear_of(work *w, const union_entry *e, tks_vec3 q)
{
    const union_solid *s = &w->m->solids[e->solid];
    spend(w, cost_of_face * s->face_count);
    double least = 1.5 * offset_of(w, e);
    for (uint32_t i = 0; i < s->face_count; i++) {
        const union_face *f = &w->m->faces[s->face_first + i];
        tks_vec3 g;
        if (f->surface.form != UNION_FREE && fabs(union_value(&f->surface, q, &g)) > least)
            continue;
        if (union_face_distance(f, q) > least) continue;
        if (f->surface.form == UNION_FREE && fabs(s->distance(s->context, q)) > least) continue;
        if (w->own->sheet != f->sheet) return false;
    }
    return true;
}

/* Sides of a convex solid of which some faces coincide with the own one: these bound it where they
 * face, and of the others it is the sign that tells. */
static void look_beside(work *w, union_entry *e, tks_vec3 normal, tks_vec3 q)
{
    const union_solid *s = &w->m->solids[e->solid];
    e->under = e->over = true;
    spend(w, cost_of_face * s->face_count);
    for (uint32_t i = s->face_first; i < s->face_first + s->face_count; i++) {
        const union_face *f = &w->m->faces[i];
        tks_vec3 g;
        double value = union_value(&f->surface, q, &g);
        if (fabs(value) <= 4 * w->m->snap && w->own->sheet == f->sheet) {
            bool alike = vec3_dot(normal, g) > 0;
            e->under &= alike, e->over &= !alike;
        } else if (!(value < 0))
            e->under = e->over = false;
    }
}

/* Decides an entry by a point that none of the solid's faces comes between and the rest of the
 * place that it stands for. False, and the entry untouched, when the point is too near to one. */
static bool decide(work *w, union_entry *e, double u, double v, tks_vec3 q)
{
    if (!e->offset)
        e->under = e->over = inside_at(w, e->solid, q);
    else if (e->solid != UNION_WINDOW && w->m->solids[e->solid].convex)
        look_beside(w, e, union_normal(w->own, u, v), q);
    else {
        if (!clear_of(w, e, q)) return false;
        tks_vec3 n = union_normal(w->own, u, v);
        e->under = inside_at(w, e->solid, vec3_step(q, -offset_of(w, e), n));
        e->over = inside_at(w, e->solid, vec3_step(q, offset_of(w, e), n));
    }
    e->open = false;
    e->count = 0;
    if (e->under || e->over) touch(w, e->solid);
    if (e->under != e->over) w->item->nearly |= e->near;
    return true;
}

/* Copies to the stack the faces of an open entry that reach a smaller cell. A cell on the outer
 * side of one face of a convex solid is outside of it all. */
static bool reduce_faces(work *w, union_entry *e, place *p)
{
    bool convex = e->solid != UNION_WINDOW && w->m->solids[e->solid].convex;
    uint32_t from = e->first, to = from + e->count, turned = 0;
    double u = p->along_u, v = p->along_v;
    e->first = (uint32_t)w->stack.reach_count;
    for (uint32_t i = from; i < to; i++) {
        union_reach r = w->stack.reaches[i];
        stand at = face_stand(w, &r, p);
        if (at == ABOVE && convex) {
            w->stack.reach_count = e->first;
            p->along_u = u, p->along_v = v;
            e->open = e->under = e->over = false;
            return true;
        }
        if (at != REACHES) continue;
        if (!push_reach(&w->stack, r)) return false;
        turned += !r.coaxial; /* does not keep to a parameter line */
    }
    e->count = (uint32_t)w->stack.reach_count - e->first;
    if (turned > 1) p->seam = true;
    if (e->count == 0) (void)decide(w, e, p->cell.u, p->cell.v, p->site.spot.at);
    if (!e->open && e->solid == UNION_WINDOW && !e->under) e->over = true; /* see off_window */
    return true;
}

/* Copies to the stack what of an entry matters in a smaller cell. */
static bool reduce(work *w, const union_entry *entry, place *p)
{
    union_entry e = *entry;
    spend(w, cost_of_entry);
    if (e.open && !reduce_faces(w, &e, p)) return false;
    if (!e.open && !e.under && !e.over) return true;
    return push_entry(&w->stack, e);
}

/* Off the face's own outlines: marked by under false and over true. */
static bool off_window(const union_entry *entries, size_t count)
{
    const union_entry *last = count ? &entries[count - 1] : NULL;
    return last && last->solid == UNION_WINDOW && !last->open && !last->under;
}

/* Drops open entries that no longer matter: of a body whose later solid holds the whole cell, and
 * of all added bodies once one of them holds it. */
static void prune(work *w, size_t first)
{
    const union_model *m = w->m;
    union_entry *e = w->stack.entries;
    size_t count = w->stack.entry_count, kept = first;
    bool covered = false, any = false;
    for (size_t i = first; i < count; i++) any |= !e[i].open && e[i].under && e[i].over;
    if (!any) return;
    for (size_t i = first; i < count && e[i].solid != UNION_WINDOW;) {
        size_t from = i;
        bool cut = m->body_cut[m->solids[e[i].solid].body], masked = false;
        union_states s = union_body_states(m, e, count, &i);
        covered |= !cut && s.under == 1 && s.over == 1;
        for (size_t k = i; k-- > from;) {
            if (masked && e[k].open && !e[k].offset) e[k].open = e[k].under = e[k].over = false;
            masked |= !e[k].open && e[k].under && e[k].over;
        }
    }
    for (size_t i = first; i < count; i++) {
        bool window = e[i].solid == UNION_WINDOW;
        if (covered && !window && e[i].open && !e[i].offset &&
            !m->body_cut[m->solids[e[i].solid].body])
            e[i].open = e[i].under = e[i].over = false;
        if (e[i].open || e[i].under || e[i].over) e[kept++] = e[i];
    }
    w->stack.entry_count = kept;
}

/* ------------------------------------------------------------------ adding what is known */

static void add_share(work *w, union_share share, union_verdict verdict)
{
    if (verdict != UNION_BELOW && verdict != UNION_ABOVE) return;
    base_sum_add(&w->item->area, share.area);
    base_sum_add(&w->item->volume, verdict == UNION_BELOW ? share.volume : -share.volume);
}

static union_share cell_share(const union_face *f, const union_cell *c)
{
    return union_rectangle(f, c->u - c->hu, c->u + c->hu, c->v - c->hv, c->v + c->hv);
}

/* The different surfaces that the open entries of a cell still have. Of two solids that touch, both
 * faces are one surface to whatever crosses them: *gap is how far such are apart at most. False
 * when there are too many, or some that cannot be crossed. */
static bool gather(work *w, size_t first, union_crosser *by, int *count, double *gap)
{
    const union_entry *e = w->stack.entries;
    *count = 0, *gap = 0;
    for (size_t i = first; i < w->stack.entry_count; i++) {
        if (!e[i].open) continue;
        if (e[i].count == 0) return false;
        for (uint32_t k = 0; k < e[i].count; k++) {
            const union_reach *r = &w->stack.reaches[e[i].first + k];
            const union_face *face = &w->m->faces[r->face];
            double apart = INFINITY;
            if (face->surface.form == UNION_FREE) return false;
            for (int j = 0; j < *count && !(apart < INFINITY); j++)
                apart = union_sheet_gap(w->m, by[j].face, face);
            spend(w, cost_of_comparison * *count);
            if (apart < INFINITY) {
                *gap = fmax(*gap, apart);
                continue;
            }
            if (*count == UNION_SURFACES) return false;
            *gap = fmax(*gap, face->apart);
            by[(*count)++] = (union_crosser){face, r->coaxial, &r->jet};
        }
    }
    return true;
}

/* Area between surfaces, a gap apart, that cross a cell as one. */
static double gap_area(const work *w, const union_crosser *by, int count, const place *p,
                       double gap)
{
    if (gap <= w->m->slack) return 0;
    double area = 0;
    for (int i = 0; i < count; i++) {
        tks_vec3 g, n = union_normal(w->own, p->cell.u, p->cell.v);
        union_value(&by[i].face->surface, p->site.spot.at, &g);
        double slope = vec3_length(vec3_step(g, -vec3_dot(g, n), n));
        area += gap * 4 * (p->wide + p->high) / fmax(slope / 2, 1e-3);
    }
    return fmin(area, cell_share(w->own, &p->cell).area);
}

/* Verdict on the place of the cell at (u, v); UNION_OPEN when it cannot be told. */
static union_verdict judge_at(work *w, size_t first, double u, double v)
{
    size_t end = w->stack.entry_count, count = end - first;
    bool sure = true;
    spend(w, cost_of_entry * (double)count);
    for (size_t i = first; i < end && sure; i++) /* a copy, to be decided */
        sure = push_entry(&w->stack, w->stack.entries[i]);
    union_entry *e = w->stack.entries + end;
    tks_vec3 q = union_point(w->own, u, v);
    for (size_t i = 0; i < count && sure; i++)
        if (e[i].open) sure = decide(w, &e[i], u, v, q);
    union_verdict verdict = !sure                  ? UNION_OPEN
                            : off_window(e, count) ? UNION_HIDDEN
                                                   : union_judge(w->m, w->own, e, count);
    w->stack.entry_count = end;
    return verdict;
}

/* Judges each band; slight ones go with the one before. False when another cannot be told. */
static bool judge_bands(work *w, size_t first, const union_crossing *x, int *verdicts)
{
    int known = UNION_HIDDEN;
    for (int i = 0; i < x->band_count; i++) {
        const union_band *b = &x->bands[i];
        if (!b->slight) known = judge_at(w, first, b->u, b->v);
        if (known == UNION_OPEN) return false;
        verdicts[i] = known;
    }
    return true;
}

/* Area of the slight bands, which may be on the wrong side. */
static double slight_area(union_crossing *x, double *volume_slack)
{
    int weights[UNION_BANDS];
    bool any = false;
    double slack = 0;
    for (int i = 0; i < x->band_count; i++) any |= weights[i] = x->bands[i].slight;
    if (!any) return 0;
    double area = fabs(union_cross_measure(x, weights, NULL, &slack, volume_slack).area);
    return area + slack;
}

static bool record_cell(work *w, const place *p, union_share share, union_verdict verdict)
{
    union_leaf leaf = {
        .cell = p->cell, .bare = verdict != UNION_HIDDEN, .verdicts = {(signed char)verdict}};
    union_share part = {share.area, (int)verdict * share.volume};
    return union_map_leaf(&w->item->map, p->node, &leaf, &part);
}

/* A cell that a few surfaces cross along graphs: adds what is exposed and returns true. */
static bool add_crossed(work *w, size_t first, const place *p, bool *memory)
{
    union_crosser by[UNION_SURFACES];
    union_share parts[UNION_PATTERNS] = {{0, 0}};
    union_crossing x;
    int count, verdicts[UNION_BANDS];
    double gap, whole = cell_share(w->own, &p->cell).area;
    double allowed = fmax(w->round->allowed * whole, 1e-16 * w->own->area);
    if (!gather(w, first, by, &count, &gap) || count == 0) return false;
    spend(w, cost_of_curve * count);
    if (!union_cross(w->own, by, count, &p->cell, allowed, w->m->slack, &x) ||
        !judge_bands(w, first, &x, verdicts))
        return false;
    double area_slack = 0, volume_slack = 0;
    double slight = slight_area(&x, &volume_slack);
    if (slight > 1e-6 * whole) return false;
    union_share share = union_cross_measure(&x, verdicts, parts, &area_slack, &volume_slack);
    double rounding = 1e-14 * whole + slight + gap_area(w, by, count, p, gap);
    w->item->curve_slack += area_slack;
    area_slack += rounding;
    base_sum_add(&w->item->area, share.area);
    base_sum_add(&w->item->volume, share.volume);
    w->item->area_slack += area_slack;
    w->item->volume_slack += volume_slack + rounding * w->m->scale;
    if (w->item->map.wanted)
        *memory =
            union_record_crossed(w->m, w->item, p->node, &x, &p->cell, verdicts, parts, area_slack);
    return true;
}

/* ------------------------------------------------------------------ going through the cells */

/* A cell of which nothing is known. */
static union_waiting waiting_of(const work *w, const union_cell *c, uint32_t node)
{
    union_share whole = cell_share(w->own, c);
    return (union_waiting){.cell = *c,
                           .node = node,
                           .area = whole.area,
                           .under = whole.volume,
                           .bound = fabs(whole.volume) + whole.area * w->own->ball};
}

static bool keep_waiting(work *w, union_waiting cell, size_t first, size_t count)
{
    union_lists *l = &w->item->waiting;
    cell.entry_first = l->entry_count, cell.entry_count = count;
    cell.reach_first = l->reach_count;
    for (size_t i = 0; i < count; i++) {
        union_entry e = w->stack.entries[first + i];
        uint32_t from = e.first;
        e.first = (uint32_t)(l->reach_count - cell.reach_first);
        for (uint32_t k = 0; k < e.count; k++)
            if (!push_reach(l, w->stack.reaches[from + k])) return false;
        if (!push_entry(l, e)) return false;
    }
    cell.reach_count = l->reach_count - cell.reach_first;
    spend(w, cost_of_waiting * (double)(count + cell.reach_count));
    if (!base_grow((void **)&l->cells, &l->cell_room, l->cell_count + 1, sizeof cell)) return false;
    l->cells[l->cell_count++] = cell;
    w->item->waiting_sure += cell.sure;
    w->item->waiting_area += cell.area;
    w->item->waiting_under += cell.under;
    w->item->waiting_volume += cell.bound;
    return true;
}

static bool split_along_u(const place *p)
{
    double longer = p->seam ? 8 : 1e6;
    if (p->wide > longer * p->high) return true;
    if (p->high > longer * p->wide) return false;
    if (p->along_u != p->along_v) return p->along_u > p->along_v;
    return p->wide > p->high;
}

static bool visit(work *w, const union_cell *c, uint32_t node, size_t first, size_t count);

static bool visit_halves(work *w, const place *p, size_t first, size_t count)
{
    union_cell a = p->cell, b = p->cell;
    uint32_t child;
    bool along_u = split_along_u(p);
    if (!union_map_split(&w->item->map, p->node, along_u, along_u ? a.u : a.v, &child))
        return false;
    if (along_u) {
        a.hu = b.hu = p->cell.hu / 2;
        a.u -= a.hu, b.u += b.hu;
    } else {
        a.hv = b.hv = p->cell.hv / 2;
        a.v -= a.hv, b.v += b.hv;
    }
    return visit(w, &a, child, first, count) && visit(w, &b, child + 1, first, count);
}

/* A free face that crosses a cell which is small beside it; UNION_WINDOW: there is none. */
static uint32_t free_crosser(const work *w, size_t first, const place *p)
{
    uint32_t found = UNION_WINDOW;
    for (size_t i = first; i < w->stack.entry_count; i++) {
        const union_entry *e = &w->stack.entries[i];
        for (uint32_t k = 0; e->open && k < e->count; k++) {
            uint32_t index = w->stack.reaches[e->first + k].face;
            const union_face *f = &w->m->faces[index];
            if (f->surface.form != UNION_FREE) continue;
            double least = fmin(f->shell[1] - f->shell[0], f->shell[3] - f->shell[2]);
            if (p->radius > least / 2) return UNION_WINDOW;
            found = index;
        }
    }
    return found;
}

/* What rows have found, for a cell that waits. */
static void improve(union_waiting *wait, const union_free_part *part)
{
    if (!(2 * part->slack.area < wait->area)) return;
    wait->area = 2 * part->slack.area;
    wait->sure = part->bare.area - part->slack.area;
    wait->under = 2 * part->bare.volume;
    wait->bound = part->slack.volume;
}

/* A small cell that free faces cross: adds what rows leave exposed and returns true, unless halves
 * of the cell would be better known. */
static bool add_rows(work *w, size_t first, const place *p, union_waiting *wait, bool *memory)
{
    const double ease = 50; /* the two rules differ by far more than the better one errs */
    uint32_t face = free_crosser(w, first, p);
    double whole = wait->area, size[2] = {p->wide, p->high};
    double allowed = fmax(ease * w->round->allowed * whole, 1e-4 * w->round->smallest);
    union_free_part part;
    if (face == UNION_WINDOW || is_over(w)) return false;
    if (!union_free_cell(w->m, w->own, w->stack.entries + first, w->stack.entry_count - first,
                         &p->cell, size, &part))
        return false;
    spend(w, (double)part.looks);
    if (part.slack.area > allowed) {
        improve(wait, &part);
        return false;
    }
    bool below = union_sign(w->m, w->own->solid) > 0;
    union_verdict verdict = part.bare.area == 0 ? UNION_HIDDEN : below ? UNION_BELOW : UNION_ABOVE;
    add_share(w, part.bare, verdict);
    w->item->area_slack += part.slack.area;
    w->item->curve_slack += part.slack.area;
    w->item->volume_slack += part.slack.volume;
    union_map *map = &w->item->map;
    union_link link = {(uint32_t)map->leaf_count, face, 0, UNION_NO_PATTERN, p->cell.u, p->cell.v};
    *memory = record_cell(w, p, part.bare, verdict) &&
              (verdict == UNION_HIDDEN || union_map_link(map, link));
    return true;
}

/* What is left once the entries of a cell, at first on the stack, are reduced. */
static bool settle(work *w, place *p, size_t first)
{
    size_t count = w->stack.entry_count - first;
    const union_entry *entries = w->stack.entries + first;
    union_verdict verdict =
        off_window(entries, count) ? UNION_HIDDEN : union_judge(w->m, w->own, entries, count);
    if (verdict != UNION_OPEN) {
        union_share share = cell_share(w->own, &p->cell);
        add_share(w, share, verdict);
        return record_cell(w, p, share, verdict);
    }
    bool memory = true;
    if (add_crossed(w, first, p, &memory)) return memory;
    union_waiting wait = waiting_of(w, &p->cell, p->node);
    if (add_rows(w, first, p, &wait, &memory)) return memory;
    if (wait.area <= w->round->smallest || is_over(w)) return keep_waiting(w, wait, first, count);
    return visit_halves(w, p, first, count);
}

/* Looks at a cell whose parent's entries are at first on the stack. */
static bool visit(work *w, const union_cell *c, uint32_t node, size_t first, size_t count)
{
    size_t entries = w->stack.entry_count, reaches_before = w->stack.reach_count;
    place p;
    bool ok = true;
    if (is_over(w)) return keep_waiting(w, waiting_of(w, c, node), first, count);
    w->item->cells++;
    spend(w, 1);
    place_at(w->own, c, &p);
    p.node = node;
    bool elsewhere = false;
    for (size_t i = 0; i < count && ok && !elsewhere; i++) {
        union_entry e = w->stack.entries[first + i];
        size_t before = w->stack.entry_count;
        ok = reduce(w, &e, &p);
        elsewhere = union_counted_elsewhere(w->stack.entries + before,
                                            w->stack.entry_count - before, w->own->solid);
    }
    if (ok && elsewhere)
        ok = record_cell(w, &p, cell_share(w->own, c), UNION_HIDDEN);
    else if (ok) {
        prune(w, entries);
        ok = settle(w, &p, entries);
    }
    w->stack.entry_count = entries;
    w->stack.reach_count = reaches_before;
    return ok;
}

/* ------------------------------------------------------------------ the first round */

/* Whether f of the surface does not depend on the angle u of a turned face. */
static bool is_coaxial(const union_model *m, const union_face *own, const union_surface *s)
{
    if (!own->turned) return false;
    tks_vec3 z = own->frame.z, d = vec3_sub(s->origin, own->frame.origin);
    double off = vec3_length(vec3_step(d, -vec3_dot(d, z), z));
    double tilt = vec3_length(vec3_cross(s->axis, z));
    double slack = 1e-2 * m->slack;
    if (s->form == UNION_PLANE) return tilt * own->ball <= slack;
    if (s->form == UNION_SPHERE) return off <= slack;
    return s->form != UNION_FREE && off <= slack && tilt * (own->ball + off) <= slack;
}

/* Whether the shell of a free face keeps off the plane of a flat one, as under a countersink. */
static bool is_off_plane(const union_model *m, const union_face *own, const union_face *face)
{
    if (own->surface.form != UNION_PLANE || face->surface.form != UNION_FREE) return false;
    double along = fabs(vec3_dot(own->surface.axis, face->frame.z));
    double across = sqrt(fmax(0, 1 - along * along));
    double reach = along * (face->shell[3] - face->shell[2]) / 2 + across * face->shell[1];
    double off = vec3_dot(vec3_sub(face->centre, own->surface.origin), own->surface.axis);
    return fabs(off) > reach + 8 * m->snap;
}

static bool push_faces(work *w, uint32_t first, uint32_t count, union_entry *e)
{
    const union_model *m = w->m;
    e->first = (uint32_t)w->stack.reach_count;
    for (uint32_t i = first; i < first + count; i++) {
        const union_face *face = &m->faces[i];
        if (face->sheet == w->own->sheet && e->solid != UNION_WINDOW) {
            double gap = face->apart + w->own->apart;
            e->offset = true;
            e->near |= gap > m->slack;
            w->item->deviation = fmax(w->item->deviation, gap);
            continue;
        }
        if (face->follows || is_off_plane(m, w->own, face)) continue;
        union_reach r = {.face = i, .coaxial = is_coaxial(m, w->own, &face->surface)};
        if (!push_reach(&w->stack, r)) return false;
    }
    e->count = (uint32_t)w->stack.reach_count - e->first;
    return true;
}

/* Puts the entry of one solid, reduced to the whole face, on the stack. */
static bool push_solid(work *w, uint32_t solid, place *p)
{
    if (solid == w->own->solid)
        return push_entry(&w->stack, (union_entry){.solid = solid, .under = true});
    union_entry e = {.solid = solid, .open = true};
    const union_solid *s = &w->m->solids[solid];
    size_t before = w->stack.reach_count;
    if (!push_faces(w, s->face_first, s->face_count, &e) || !reduce(w, &e, p)) return false;
    /* the unreduced faces may go when nothing above them is in use */
    const union_entry *last =
        w->stack.entry_count ? &w->stack.entries[w->stack.entry_count - 1] : NULL;
    if (!last || last->solid != solid || !last->open) w->stack.reach_count = before;
    return true;
}

/* The whole face, when nothing but its own outline is left to cut it: its area is known. */
static bool add_whole(work *w, const place *p, bool *memory)
{
    union_verdict verdict = union_judge(w->m, w->own, w->stack.entries, w->stack.entry_count);
    if (verdict == UNION_OPEN) return false;
    union_share share = {w->own->area, w->own->area * union_density(w->own, 0).a};
    if (w->own->turned)
        share = union_rectangle(w->own, w->own->low[0], w->own->high[0], w->own->low[1],
                                w->own->high[1]);
    add_share(w, share, verdict);
    *memory = record_cell(w, p, share, verdict);
    return true;
}

static bool first_visit(work *w, const uint32_t *near, size_t count)
{
    const union_face *f = w->own;
    union_cell c = {(f->low[0] + f->high[0]) / 2, (f->low[1] + f->high[1]) / 2,
                    (f->high[0] - f->low[0]) / 2, (f->high[1] - f->low[1]) / 2};
    place p;
    bool own = false, memory = true;
    if (!union_map_start(&w->item->map)) return false;
    place_at(f, &c, &p);
    w->item->cells++;
    spend(w, 1);
    for (size_t i = 0; i <= count; i++) {
        if (!own && (i == count || near[i] > f->solid)) {
            own = true;
            if (!push_solid(w, f->solid, &p)) return false;
        }
        size_t before = w->stack.entry_count;
        if (i < count && near[i] != f->solid && !push_solid(w, near[i], &p)) return false;
        size_t more = w->stack.entry_count - before;
        if (more > 0 && union_counted_elsewhere(w->stack.entries + before, more, f->solid))
            return true;
    }
    w->limit = w->spent + w->round->work;
    w->next_look = w->spent;
    prune(w, 0);
    if (add_whole(w, &p, &memory)) return memory;
    if (f->window) {
        union_entry e = {.solid = UNION_WINDOW, .open = true};
        if (!push_faces(w, f->edge_first, f->edge_count, &e) || !reduce(w, &e, &p)) return false;
    }
    return settle(w, &p, 0);
}

static bool later_visit(work *w)
{
    union_lists old = w->item->waiting;
    bool ok = true;
    w->limit = w->spent + w->round->work;
    w->next_look = w->spent;
    w->item->waiting = (union_lists){0};
    w->item->waiting_sure = w->item->waiting_area = 0;
    w->item->waiting_under = w->item->waiting_volume = 0;
    for (size_t i = 0; i < old.cell_count && ok; i++) {
        const union_waiting *c = &old.cells[i];
        w->stack.entry_count = w->stack.reach_count = 0;
        for (size_t k = 0; k < c->reach_count && ok; k++)
            ok = push_reach(&w->stack, old.reaches[c->reach_first + k]);
        for (size_t k = 0; k < c->entry_count && ok; k++)
            ok = push_entry(&w->stack, old.entries[c->entry_first + k]);
        if (ok && (c->area <= w->round->smallest || is_over(w)))
            ok = keep_waiting(w, *c, 0, c->entry_count);
        else if (ok)
            ok = visit(w, &c->cell, c->node, 0, c->entry_count);
    }
    union_lists_free(&old);
    return ok;
}

void union_item_run(const union_model *m, union_item *item, const uint32_t *near, size_t near_count,
                    const union_round *round)
{
    work w = {
        .m = m, .own = &m->faces[item->face], .item = item, .round = round, .limit = round->work};
    if (w.own->apart > m->slack) { /* has been moved */
        item->nearly = true;
        item->deviation = fmax(item->deviation, w.own->apart);
    }
    mark_touched(&w, true);
    bool ok = round->first ? first_visit(&w, near, near_count) : later_visit(&w);
    mark_touched(&w, false);
    item->work = w.spent;
    if (!ok) item->status = TKS_EMEMORY;
    union_lists_free(&w.stack);
}

bool union_item_close(union_item *item)
{
    const union_lists *l = &item->waiting;
    for (size_t i = 0; i < l->cell_count; i++) {
        const union_waiting *c = &l->cells[i];
        union_leaf leaf = {
            .cell = c->cell, .bare = true, .verdicts = {UNION_BELOW}, .slack = c->area / 2};
        union_share part = {c->sure + c->area / 2, 0};
        if (!union_map_leaf(&item->map, c->node, &leaf, &part)) return false;
    }
    return true;
}
