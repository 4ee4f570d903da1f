/* Certified area of united and cut solids: the whole, and its result. */
#include "geometry/union_round.h"

#include "base/sets.h"

#include <math.h>
#include <string.h>

tks_union_options tks_union_options_default(void)
{
    return (tks_union_options){
        .tolerance = 1e-6, .work = 3000000, .threads = 1, .snap = 1e-7, .voids = true};
}

/* ------------------------------------------------------------------ result */

static void widen(tks_bounded *b, double value, double slack)
{
    b->value += value;
    b->low += value - slack;
    b->high += value + slack;
}

/* Of nearly coincident faces that are taken as one, rims may be off by their distance. */
static double item_slack(const union_run *r, const union_item *item)
{
    const union_face *f = &r->model.faces[item->face];
    double slack = item->area_slack + item->waiting_area / 2 + 1e-13 * f->area;
    return item->nearly ? slack + 16 * item->deviation * f->ball : slack;
}

/* Whether a face is a wall that its own body seals, as a closed tube its bore, and that others may
 * have opened: where voids are looked for, it is sealed when it bounds one. */
static bool may_open(const union_run *r, const union_item *item)
{
    const union_face *f = &r->model.faces[item->face];
    const union_solid *s = &r->model.solids[f->solid];
    return f->label == TKS_SEALED && item->face < s->face_first + s->face_count;
}

static tks_label label_of(const union_run *r, const union_item *item)
{
    tks_label own = r->model.faces[item->face].label;
    return r->search && may_open(r, item) ? TKS_INSIDE : own;
}

static void add_item(const union_run *r, const union_item *item, tks_union *u, tks_bounded *volume)
{
    const union_face *f = &r->model.faces[item->face];
    tks_label label = label_of(r, item);
    double area = base_sum_total(&item->area) + item->waiting_sure + item->waiting_area / 2;
    double slack = item_slack(r, item);
    widen(&u->label[label], area, slack);
    if (f->report != SIZE_MAX) {
        widen(&u->patches[f->report].area, area, slack);
        u->patches[f->report].label = label;
    }
    double more = item->volume_slack + item->waiting_volume + 1e-13 * f->area * r->model.scale;
    if (item->nearly) more += item_slack(r, item) * r->model.scale;
    double half = union_sign(&r->model, f->solid) * item->waiting_under / 2;
    widen(volume, (base_sum_total(&item->volume) + half) / 3, more / 3);
}

static void settle_bounds(tks_bounded *b)
{
    if (b->low < 0) b->low = 0;
    if (b->value < b->low) b->value = b->low;
    if (b->high < b->value) b->high = b->value;
}

static void add_totals(tks_union *u, const tks_bounded *volume)
{
    u->volume = *volume;
    settle_bounds(&u->volume);
    for (int i = 0; i < TKS_LABEL_COUNT; i++) {
        if (tks_label_wetted((tks_label)i)) {
            u->area.value += u->label[i].value;
            u->area.low += u->label[i].low;
            u->area.high += u->label[i].high;
        }
        settle_bounds(&u->label[i]);
    }
    settle_bounds(&u->area);
    for (size_t i = 0; i < u->patch_count; i++) settle_bounds(&u->patches[i].area);
}

static tks_status name_patches(tks_union *u, const tks_body *const *bodies, size_t body_count,
                               const tks_body *const *cuts, size_t cut_count, tks_arena *arena)
{
    size_t count = 0;
    for (size_t i = 0; i < body_count + cut_count; i++)
        count += (i < body_count ? bodies[i] : cuts[i - body_count])->patch_count;
    u->patches = tks_arena_take(arena, count ? count : 1, sizeof *u->patches);
    if (!u->patches) return TKS_EMEMORY;
    u->patch_count = count;
    tks_union_patch *p = u->patches;
    for (size_t i = 0; i < body_count + cut_count; i++) {
        const tks_body *body = i < body_count ? bodies[i] : cuts[i - body_count];
        for (size_t k = 0; k < body->patch_count; k++)
            *p++ = (tks_union_patch){.body = i,
                                     .patch = k,
                                     .label = body->patches[k].label,
                                     .cavity = body->patches[k].cavity};
    }
    return TKS_OK;
}

/* ------------------------------------------------------------------ what touches what */

/* Groups of added bodies that touch, and the cuts that meet none. */
static tks_status find_groups(const union_run *r, tks_union *u, size_t body_count, size_t cut_count,
                              tks_arena *arena)
{
    const union_model *m = &r->model;
    uint32_t *parent = tks_arena_take(m->arena, m->body_count, sizeof *parent);
    u->cut_missed = tks_arena_take(arena, cut_count ? cut_count : 1, sizeof *u->cut_missed);
    if (!parent || !u->cut_missed) return TKS_EMEMORY;
    for (size_t i = 0; i < m->body_count; i++) parent[i] = (uint32_t)i;
    for (size_t i = 0; i < cut_count; i++) u->cut_missed[i] = true;
    u->groups = body_count;
    for (size_t i = 0; i < r->item_count; i++) {
        const union_item *item = &r->items[i];
        uint32_t a = m->solids[m->faces[item->face].solid].body;
        for (size_t k = 0; k < item->touched_count; k++) {
            uint32_t b = m->solids[item->touched[k]].body;
            if (m->body_cut[a] != m->body_cut[b])
                u->cut_missed[(m->body_cut[a] ? a : b) - body_count] = false;
            if (!m->body_cut[a] && !m->body_cut[b]) u->groups -= base_set_join(parent, a, b);
        }
    }
    return TKS_OK;
}

static tks_status warn_of_bounds(const union_run *r, const tks_union *u, tks_cautions *c)
{
    double deviation = 0, free = 0;
    tks_status status = TKS_OK;
    for (size_t i = 0; i < r->item_count; i++) {
        if (r->items[i].nearly) deviation = fmax(deviation, r->items[i].deviation);
        if (r->model.faces[r->items[i].face].free) free += r->items[i].area_slack;
    }
    if (deviation > 0)
        status = tks_caution_add(c, TKS_DOUBT, "near-coincident", "",
                                 "faces only %.2g um apart are taken as one; if there is meant to "
                                 "be a gap or a step, make it 1 um or more",
                                 deviation * 1e6);
    bool wide = free > 0.5 * r->options->tolerance * u->area.value;
    if (!status && wide)
        status = tks_caution_add(c, TKS_NOTE, "wide-interval", "",
                                 "a thread, coil or chamfered hexagon meets another piece; what it "
                                 "hides is known less exactly than the rest");
    double half = (u->area.high - u->area.low) / 2;
    if (!status && !u->complete)
        status = tks_caution_add(
            c, TKS_DOUBT, "work-limit", "",
            "the search was stopped at its limit; the area is certain to +- %.2g %%",
            100 * half / u->area.value);
    bool said = wide || deviation > 0 || !u->complete;
    double all = u->area.value + u->label[TKS_SEALED].value;
    if (!status && !said && half > r->options->tolerance * all && u->area.low > 0)
        status = tks_caution_add(c, TKS_NOTE, "wide-interval", "",
                                 "rounding leaves the area certain to +- %.2g %% only",
                                 100 * half / u->area.value);
    return status;
}

/* Of hollows that their own bodies close: what of their walls others have opened; and tubes that
 * are taken as full though a cut may have opened them. */
static tks_status warn_of_hollows(const union_run *r, const tks_union *u, tks_cautions *c)
{
    const union_model *m = &r->model;
    double opened = 0;
    bool filled = false;
    for (size_t i = 0; i < r->item_count; i++) {
        const union_item *item = &r->items[i];
        const union_face *f = &m->faces[item->face];
        if (r->search && may_open(r, item) && f->report != SIZE_MAX)
            opened += u->patches[f->report].area.value;
        for (size_t k = 0; k < item->touched_count; k++)
            filled |= m->body_cut[m->solids[f->solid].body] && m->solids[item->touched[k]].filled;
    }
    tks_status status = TKS_OK;
    if (opened > 1e-9 * r->total)
        status = tks_caution_add(c, TKS_NOTE, "hollow-opened", "",
                                 "a hollow that its piece closes is opened: the %.3g cm2 of its "
                                 "wall count as wetted after all",
                                 opened * 1e4);
    if (!status && filled)
        status = tks_caution_add(c, TKS_DOUBT, "closed-bore", "",
                                 "a cut meets a bent tube with closed ends, whose bore is taken "
                                 "as full; if it opens the bore, describe the tube with open ends");
    return status;
}

static tks_status warn_of_pieces(const union_run *r, const tks_union *u, size_t cut_count,
                                 tks_cautions *c)
{
    tks_status status = TKS_OK;
    if (!u->complete) cut_count = 0; /* what touches what may not have been seen */
    if (u->complete && u->groups > 1)
        status =
            tks_caution_add(c, TKS_NOTE, "apart", "",
                            "the pieces make %zu groups that do not touch; all count", u->groups);
    for (size_t i = 0; i < cut_count && !status; i++)
        if (u->cut_missed[i])
            status = tks_caution_add(c, TKS_DOUBT, "cut-misses", "",
                                     "cut %zu takes nothing away: it meets no piece", i + 1);
    if (!status && cut_count > 0 && u->volume.high <= 1e-9 * r->total * r->model.scale)
        status = tks_caution_add(c, TKS_SPOIL, "cut-removes-all", "",
                                 "the cuts take everything away; no metal is left");
    return status;
}

/* ------------------------------------------------------------------ sealed cavities */

/* Takes an area away and part of the slack with it; a rest that may be rounding is none. */
static void take(tks_bounded *from, double area, double slack, double relief)
{
    widen(from, -area, fmax(-relief, (from->low - from->high) / 2));
    if (from->value <= slack) from->value = 0;
}

/* Takes an area from one label and patch and gives it to what is sealed. */
static void seal(const union_run *r, const union_sealed *part, tks_union *u)
{
    const union_face *f = &r->model.faces[r->items[part->item].face];
    double slack = part->slack + 1e-13 * f->area;
    take(&u->label[label_of(r, &r->items[part->item])], part->area, slack, part->relief);
    widen(&u->label[TKS_SEALED], part->area, slack);
    u->void_area += part->area;
    if (f->report == SIZE_MAX) return;
    tks_union_patch *from = &u->patches[f->report], *to = &u->patches[u->patch_count++];
    *to = *from;
    to->label = TKS_SEALED;
    to->area = (tks_bounded){0, 0, 0};
    widen(&to->area, part->area, slack);
    take(&from->area, part->area, slack, part->relief);
}

/* Cells that are looked through for voids at most; a bound of memory. */
enum { most_leaves = 2000000 };

/* When the work ended early with much left open, cavities are not looked for: any of the walls may
 * then be sealed. */
static bool is_vague(const union_run *r, const union_standing *s)
{
    return r->stopped && union_half_width(s) > 0.1 * s->area;
}

/* Whether there may be voids that are none of one body alone. */
static bool may_have_voids(const union_run *r, const union_standing *s)
{
    bool met = false;
    size_t leaves = 0;
    for (size_t i = 0; i < r->item_count; i++) {
        met |= r->items[i].touched_count > 0;
        leaves += r->items[i].map.leaf_count;
    }
    return r->options->voids && met && leaves <= most_leaves && !is_vague(r, s);
}

/* What lies within closed voids is not wetted. */
static tks_status find_voids(const union_run *r, tks_union *u, tks_arena *arena,
                             tks_cautions *cautions)
{
    union_voids voids;
    for (size_t i = 0; i < r->item_count; i++)
        if (!union_item_close(&r->items[i])) return TKS_EMEMORY;
    base_team *team = base_team_new(r->item_count >= 16 ? (unsigned)r->options->threads : 1);
    if (!team) return TKS_EMEMORY;
    tks_status status = union_voids_find(&r->index, r->items, r->item_count, team, &voids);
    base_team_free(team);
    if (status || voids.sealed_count == 0) return status;
    tks_union_patch *more =
        tks_arena_take(arena, u->patch_count + voids.sealed_count, sizeof *more);
    if (!more) return TKS_EMEMORY;
    memcpy(more, u->patches, u->patch_count * sizeof *more);
    u->patches = more;
    double found = 0; /* that no body closes by itself */
    for (size_t i = 0; i < voids.sealed_count; i++) {
        seal(r, &voids.sealed[i], u);
        if (!may_open(r, &r->items[voids.sealed[i].item])) found += voids.sealed[i].area;
    }
    u->voids = voids.count;
    if (!cautions || found <= 1e-9 * u->void_area) return TKS_OK;
    return tks_caution_add(cautions, TKS_DOUBT, "sealed-void", "",
                           "%zu closed %s no opening; the %.3g cm2 of wall inside %s not wetted. "
                           "If the bath gets in, describe the opening",
                           voids.count, voids.count == 1 ? "cavity has" : "cavities have",
                           u->void_area * 1e4, voids.count == 1 ? "it is" : "them are");
}

static void forget_lows(tks_union *u)
{
    for (int i = 0; i < TKS_LABEL_COUNT; i++) u->label[i].low = 0;
    for (size_t i = 0; i < u->patch_count; i++) u->patches[i].area.low = 0;
}

/* ------------------------------------------------------------------ start and end */

static tks_status check_options(const tks_union_options *o, size_t body_count, tks_error *err)
{
    if (body_count == 0)
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "there is no piece to unite");
    if (!(o->tolerance >= 1e-12 && o->tolerance <= 0.5))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "a tolerance of %g; it should be from 1e-12 to 0.5", o->tolerance);
    if (o->threads < 1 || o->threads > UNION_THREADS)
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "%d threads; it should be from 1 to %d",
                        o->threads, UNION_THREADS);
    if (!(o->snap >= 0 && o->snap <= 1e-3))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "a snap of %g mm; it should be from 0 to 1 mm", o->snap * 1e3);
    return TKS_OK;
}

static tks_status unite(union_run *r, tks_union *u, size_t body_count, size_t cut_count,
                        tks_arena *arena, tks_cautions *cautions, tks_error *err)
{
    union_standing s = {0};
    tks_status status = union_run_start(r);
    if (!status) status = union_run_rounds(r, &s);
    if (status) return tks_fail(err, status, tks_nowhere(), "out of memory for the union");
    tks_bounded volume = {0, 0, 0};
    widen(&volume, r->model.unruled_volume / 3, 0);
    r->search = may_have_voids(r, &s);
    for (size_t i = 0; i < r->item_count; i++) add_item(r, &r->items[i], u, &volume);
    if (r->search)
        status = find_voids(r, u, arena, cautions);
    else if (r->options->voids && is_vague(r, &s))
        forget_lows(u);
    if (status) return tks_fail(err, status, tks_nowhere(), "out of memory for the union");
    add_totals(u, &volume);
    u->complete = !r->stopped;
    u->cells = s.cells;
    u->seconds = union_run_seconds(r);
    status = find_groups(r, u, body_count, cut_count, arena);
    if (!status && cautions) status = warn_of_bounds(r, u, cautions);
    if (!status && cautions) status = warn_of_hollows(r, u, cautions);
    if (!status && cautions) status = warn_of_pieces(r, u, cut_count, cautions);
    return status ? tks_fail(err, status, tks_nowhere(), "out of memory for the union") : TKS_OK;
}

tks_status tks_union_area(const tks_body *const *bodies, size_t body_count,
                          const tks_body *const *cuts, size_t cut_count,
                          const tks_union_options *options, tks_arena *arena,
                          tks_cautions *cautions, tks_union *result, tks_error *err)
{
    tks_union_options defaults = tks_union_options_default();
    if (!options) options = &defaults;
    tks_status status = check_options(options, body_count, err);
    if (status) return status;
    tks_union u = {0};
    union_run r = {.options = options};
    clock_gettime(CLOCK_MONOTONIC, &r.start);
    r.model.arena = tks_arena_new();
    if (!r.model.arena || name_patches(&u, bodies, body_count, cuts, cut_count, arena) != TKS_OK)
        status = tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory for the union");
    if (!status)
        status =
            union_model_build(&r.model, bodies, body_count, cuts, cut_count, options->snap, err);
    if (!status) status = unite(&r, &u, body_count, cut_count, arena, cautions, err);
    union_run_clear(&r);
    tks_arena_free(r.model.arena);
    if (!status) *result = u;
    return status;
}
