/* Certified area of united and cut solids: rounds over all faces until the interval is narrow. */
#include "geometry/union.h"

#include "base/alloc.h"
#include "base/vec.h"

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <string.h>
#include <time.h>

tks_union_options tks_union_options_default(void)
{
    return (tks_union_options){
        .tolerance = 1e-6, .work = 3000000, .threads = 1, .snap = 1e-7, .voids = true};
}

/* Solids near a face to look at once for all, for one ordinary cell's worth. */
static const double looks_per_work = 4;

typedef struct run {
    const tks_union_options *options;
    union_model model;
    union_index index;
    union_item *items; /* one for each face that bounds a solid */
    size_t item_count;
    double total;      /* area of all faces [m^2] */
    double smallest;   /* area of cells that a round leaves waiting [m^2] */
    double quadrature; /* error that a stretch of curve is allowed, of its cell's area */
    size_t cells;      /* looked at before the last start */
    double work;       /* spent before the last start, in cells' worth */
    double reported;   /* when progress was told last [s] */
    size_t seen;       /* of items, from the first on, that may be looked at at all */
    bool first, stopped;
    struct timespec start;
} run;

static double seconds_since(const struct timespec *start)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - start->tv_sec) + 1e-9 * (double)(now.tv_nsec - start->tv_nsec);
}

/* An item of which nothing is known. */
static union_item new_item(const run *r, uint32_t face)
{
    double area = r->model.faces[face].area;
    return (union_item){.face = face,
                        .map.wanted = r->options->voids,
                        .waiting_area = area,
                        .waiting_volume = 2 * area * r->model.scale};
}

/* Forgets what has been found of all faces. */
static void clear_items(run *r)
{
    for (size_t i = 0; i < r->item_count; i++) {
        union_item *item = &r->items[i];
        union_lists_free(&item->waiting);
        base_free(item->touched);
        union_map_free(&item->map);
        *item = new_item(r, item->face);
    }
}

/* ------------------------------------------------------------------ what is known so far */

typedef struct standing {
    double area, waiting, slack;
    double curves; /* what of the slack the integrals along curves may err by */
    double work;   /* spent, in cells' worth */
    size_t cells, waiting_cells;
    tks_status status;
} standing;

/* Adds what is known of one item, or takes it away. */
static void count_item(standing *s, const union_item *item, int sign)
{
    s->area += sign * (base_sum_total(&item->area) + item->waiting_sure + item->waiting_area / 2);
    s->waiting += sign * item->waiting_area;
    s->slack += sign * item->area_slack;
    s->curves += sign * item->curve_slack;
    s->work += sign * item->work;
    s->cells += (size_t)sign * item->cells;
    s->waiting_cells += (size_t)sign * item->waiting.cell_count;
    if (item->status) s->status = item->status;
}

static standing standing_of(const run *r)
{
    standing s = {.cells = r->cells, .work = r->work};
    for (size_t i = 0; i < r->item_count; i++) count_item(&s, &r->items[i], 1);
    return s;
}

static double half_width(const standing *s)
{
    return s->waiting / 2 + s->slack;
}

static bool report_progress(run *r, const standing *s)
{
    const tks_union_options *o = r->options;
    if (!o->progress) return true;
    tks_union_progress p = {.cells = s->cells, .area = s->area, .half_width = half_width(s)};
    p.seconds = r->reported = seconds_since(&r->start);
    double width = p.area > 0 ? p.half_width / p.area : 1;
    p.fraction = fmin(1, fmax(0, log(fmin(width, 1)) / log(o->tolerance)));
    return o->progress(o->context, &p);
}

/* ------------------------------------------------------------------ a round, on some threads */

typedef struct shift {
    run *r;
    double waiting, budget;
    atomic_size_t next;
    atomic_bool failed, halted;
    pthread_mutex_t lock; /* of what follows */
    standing now;         /* with the items done so far */
    int helpers;          /* at work */
    pthread_cond_t ended; /* a helper has */
} shift;

/* One thread's. */
typedef struct hand {
    shift *s;
    bool calling; /* the thread that called the library */
    uint32_t *near;
    bool *marks;
} hand;

/* Tells progress, from the calling thread, when it is some time since the last. */
static bool go_on(void *context)
{
    static const double often = 0.05;
    const hand *h = context;
    run *r = h->s->r;
    if (h->calling && r->options->progress && seconds_since(&r->start) - r->reported > often) {
        pthread_mutex_lock(&h->s->lock);
        standing now = h->s->now;
        pthread_mutex_unlock(&h->s->lock);
        if (!report_progress(r, &now)) atomic_store(&h->s->halted, true);
    }
    return !atomic_load(&h->s->halted);
}

/* Solids that may meet a face; the others of its own body only where they may hide it. */
static size_t find_near(const run *r, const union_face *face, uint32_t *near)
{
    const union_model *m = &r->model;
    uint32_t body = m->solids[face->solid].body;
    size_t count = union_index_near(&r->index, face, near), kept = 0;
    if (!m->body_plain[body]) return count;
    for (size_t i = 0; i < count; i++)
        if (m->solids[near[i]].body != body || near[i] == face->solid) near[kept++] = near[i];
    return kept;
}

static void run_item(const hand *h, union_item *item)
{
    const run *r = h->s->r;
    const union_face *face = &r->model.faces[item->face];
    double share = r->first ? 1 / (double)r->item_count : item->waiting_area / h->s->waiting;
    union_round round = {.smallest = r->smallest,
                         .allowed = r->quadrature,
                         .work = 64 + share * h->s->budget,
                         .first = r->first,
                         .go_on = go_on,
                         .context = (void *)h,
                         .marks = h->marks};
    size_t count = r->first ? find_near(r, face, h->near) : 0;
    if (r->first) item->waiting_area = item->waiting_volume = 0;
    if (face->free) {
        union_free_run(&r->model, item, h->near, count, r->options->tolerance * face->area);
        return;
    }
    union_stand_in(&r->model, face, h->near, count);
    union_item_run(&r->model, item, h->near, count, &round);
}

static void run_and_count(const hand *h, union_item *item)
{
    union_item before = *item;
    run_item(h, item);
    pthread_mutex_lock(&h->s->lock);
    count_item(&h->s->now, &before, -1);
    count_item(&h->s->now, item, 1);
    pthread_mutex_unlock(&h->s->lock);
}

static void work_shift(hand *h)
{
    shift *s = h->s;
    run *r = s->r;
    h->near = base_alloc(r->model.solid_count, sizeof *h->near);
    h->marks = base_alloc(r->model.solid_count, sizeof *h->marks);
    if (!h->near || !h->marks) atomic_store(&s->failed, true);
    while (h->near && h->marks && go_on(h)) {
        size_t i = atomic_fetch_add(&s->next, 1);
        if (i >= r->item_count) break;
        if (r->first ? i < r->seen : r->items[i].waiting.cell_count > 0)
            run_and_count(h, &r->items[i]);
    }
    base_free(h->near);
    base_free(h->marks);
}
static void *help(void *context)
{
    hand h = {.s = context};
    work_shift(&h);
    pthread_mutex_lock(&h.s->lock);
    h.s->helpers--;
    pthread_cond_signal(&h.s->ended);
    pthread_mutex_unlock(&h.s->lock);
    return NULL;
}

/* Tells progress while others are still at work. */
static void await(hand *h)
{
    shift *s = h->s;
    pthread_mutex_lock(&s->lock);
    while (s->helpers > 0) {
        struct timespec until;
        clock_gettime(CLOCK_REALTIME, &until);
        until.tv_nsec += 50000000;
        if (until.tv_nsec >= 1000000000) until.tv_sec++, until.tv_nsec -= 1000000000;
        pthread_cond_timedwait(&s->ended, &s->lock, &until);
        pthread_mutex_unlock(&s->lock);
        go_on(h);
        pthread_mutex_lock(&s->lock);
    }
    pthread_mutex_unlock(&s->lock);
}

enum { most_threads = 64 };

/* The calling thread works as well. */
static void share_out(shift *s, int threads)
{
    pthread_t helpers[most_threads];
    hand caller = {.s = s, .calling = true};
    int started = 0;
    pthread_mutex_lock(&s->lock);
    while (started < threads - 1 && started < most_threads &&
           pthread_create(&helpers[started], NULL, help, s) == 0)
        started++;
    s->helpers = started;
    pthread_mutex_unlock(&s->lock);
    work_shift(&caller);
    await(&caller);
    for (int i = 0; i < started; i++) pthread_join(helpers[i], NULL);
}

/* Every item's result depends on the item alone, so the number of threads does not show. */
static bool run_round(run *r, const standing *now)
{
    shift s = {.r = r, .waiting = now->waiting, .now = *now};
    bool large = r->first ? r->item_count >= 16 : now->waiting_cells >= 64;
    s.budget = fmax((double)r->options->work - now->work, 0);
    atomic_init(&s.next, 0);
    atomic_init(&s.failed, false);
    atomic_init(&s.halted, false);
    pthread_mutex_init(&s.lock, NULL);
    pthread_cond_init(&s.ended, NULL);
    share_out(&s, large ? r->options->threads : 1);
    pthread_mutex_destroy(&s.lock);
    pthread_cond_destroy(&s.ended);
    r->stopped |= atomic_load(&s.halted);
    return !atomic_load(&s.failed);
}

/* ------------------------------------------------------------------ rounds */

/* The area that waits shrinks as the cells' own area where surfaces meet in corners, and as its
 * root where they touch. */
static double next_smallest(const run *r, const standing *s)
{
    double wanted = fmax(r->options->tolerance * s->area - s->slack, 0);
    double factor = s->waiting > 0 ? wanted / s->waiting : 1;
    return r->smallest * fmin(0.25, fmax(factor, 1.0 / 256));
}

/* Whether the interval is as narrow as asked for; or all that may be left is next to nothing. */
static bool is_narrow(const run *r, const standing *s)
{
    double tolerance = r->options->tolerance;
    return half_width(s) <= tolerance * s->area ||
           s->area + half_width(s) <= 1e-3 * tolerance * r->total;
}

/* How many items, from the first on, may have their first look, which is at all solids near them:
 * where thousands lie in one place these are too many. */
static tks_status find_seen(run *r)
{
    double most = looks_per_work * (double)r->options->work, looks = 0;
    r->seen = r->item_count;
    if (union_index_pairs(&r->index) <= most) return TKS_OK;
    uint32_t *near = base_alloc(r->model.solid_count, sizeof *near);
    if (!near) return TKS_EMEMORY;
    for (r->seen = 0; r->seen < r->item_count && looks <= most; r->seen++) {
        const union_face *face = &r->model.faces[r->items[r->seen].face];
        looks += (double)union_index_near(&r->index, face, near);
    }
    base_free(near);
    return TKS_OK;
}

/* Whether the work or the caller's patience is at its end. */
static bool must_stop(run *r, const standing *s)
{
    bool out = s->work >= (double)r->options->work || r->smallest < 1e-20 * r->total;
    return r->stopped || out || !report_progress(r, s);
}

/* Rounds until the interval is narrow, or what waits is not what keeps it wide. */
static tks_status narrow(run *r, standing *s)
{
    r->smallest = 1e-5 * r->total;
    *s = standing_of(r);
    for (r->first = true;; r->first = false) {
        if (!run_round(r, s)) return TKS_EMEMORY;
        *s = standing_of(r);
        if (s->status) return s->status;
        if (is_narrow(r, s)) break;
        /* free and nearly coincident faces may leave more open than further cells could mend */
        bool wide = s->waiting / 2 <= 0.05 * s->slack && !r->stopped;
        if (wide || (s->waiting_cells == 0 && r->seen == r->item_count)) break;
        r->stopped = must_stop(r, s);
        if (r->stopped || s->waiting_cells == 0) break;
        r->smallest = next_smallest(r, s);
    }
    r->stopped |= r->seen < r->item_count && !is_narrow(r, s);
    return TKS_OK;
}

/* Begins anew with finer integrals, where these alone keep the interval wide: of large faces that
 * are mostly cut away, what is left may be less than what the cells' areas allowed for. */
static bool begin_finer(run *r, const standing *s)
{
    double wanted = r->options->tolerance * s->area;
    if (r->stopped || is_narrow(r, s) || half_width(s) - s->curves > 0.5 * wanted) return false;
    r->quadrature *= 0.2 * wanted / s->curves;
    r->cells = s->cells, r->work = s->work;
    clear_items(r);
    return true;
}

static tks_status go_through(run *r, standing *s)
{
    enum { MOST_STARTS = 4 };
    tks_status status = find_seen(r);
    r->quadrature = r->options->tolerance;
    for (int i = 0; i < MOST_STARTS && !status; i++) {
        status = narrow(r, s);
        if (status || !begin_finer(r, s)) break;
    }
    return status;
}

/* ------------------------------------------------------------------ result */

static void widen(tks_bounded *b, double value, double slack)
{
    b->value += value;
    b->low += value - slack;
    b->high += value + slack;
}

/* Of nearly coincident faces that are taken as one, rims may be off by their distance. */
static double item_slack(const run *r, const union_item *item)
{
    const union_face *f = &r->model.faces[item->face];
    double slack = item->area_slack + item->waiting_area / 2 + 1e-13 * f->area;
    return item->nearly ? slack + 16 * item->deviation * f->ball : slack;
}

static void add_item(const run *r, const union_item *item, tks_union *u, tks_bounded *volume)
{
    const union_face *f = &r->model.faces[item->face];
    double area = base_sum_total(&item->area) + item->waiting_sure + item->waiting_area / 2;
    double slack = item_slack(r, item);
    widen(&u->label[f->label], area, slack);
    if (f->report != SIZE_MAX) {
        widen(&u->patches[f->report].area, area, slack);
        u->patches[f->report].label = f->label;
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

static size_t root_of(size_t *parent, size_t i)
{
    while (parent[i] != i) i = parent[i] = parent[parent[i]];
    return i;
}

/* Groups of added bodies that touch, and the cuts that meet none. */
static tks_status find_groups(const run *r, tks_union *u, size_t body_count, size_t cut_count,
                              tks_arena *arena)
{
    const union_model *m = &r->model;
    size_t *parent = tks_arena_take(m->arena, m->body_count, sizeof *parent);
    u->cut_missed = tks_arena_take(arena, cut_count ? cut_count : 1, sizeof *u->cut_missed);
    if (!parent || !u->cut_missed) return TKS_EMEMORY;
    for (size_t i = 0; i < m->body_count; i++) parent[i] = i;
    for (size_t i = 0; i < cut_count; i++) u->cut_missed[i] = true;
    u->groups = body_count;
    for (size_t i = 0; i < r->item_count; i++) {
        const union_item *item = &r->items[i];
        size_t a = m->solids[m->faces[item->face].solid].body;
        for (size_t k = 0; k < item->touched_count; k++) {
            size_t b = m->solids[item->touched[k]].body;
            if (m->body_cut[a] != m->body_cut[b])
                u->cut_missed[(m->body_cut[a] ? a : b) - body_count] = false;
            if (m->body_cut[a] || m->body_cut[b]) continue;
            size_t p = root_of(parent, a), q = root_of(parent, b);
            if (p != q) u->groups--;
            parent[p] = q;
        }
    }
    return TKS_OK;
}

static tks_status warn_of_bounds(const run *r, const tks_union *u, tks_cautions *c)
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
    if (!status && !said && half > r->options->tolerance * u->area.value && u->area.low > 0)
        status = tks_caution_add(c, TKS_NOTE, "wide-interval", "",
                                 "rounding leaves the area certain to +- %.2g %% only",
                                 100 * half / u->area.value);
    return status;
}

static tks_status warn_of_pieces(const run *r, const tks_union *u, size_t cut_count,
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
static void seal(const run *r, const union_sealed *part, tks_union *u)
{
    const union_face *f = &r->model.faces[r->items[part->item].face];
    double slack = part->slack + 1e-13 * f->area;
    take(&u->label[f->label], part->area, slack, part->relief);
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

/* What lies within closed voids is not wetted. */
static tks_status find_voids(const run *r, tks_union *u, tks_arena *arena, tks_cautions *cautions)
{
    union_voids voids;
    bool met = false;
    size_t leaves = 0;
    for (size_t i = 0; i < r->item_count; i++) {
        met |= r->items[i].touched_count > 0;
        leaves += r->items[i].map.leaf_count;
    }
    if (!r->options->voids || !met || leaves > most_leaves) return TKS_OK;
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
    for (size_t i = 0; i < voids.sealed_count; i++) seal(r, &voids.sealed[i], u);
    u->voids = voids.count;
    if (!cautions) return TKS_OK;
    return tks_caution_add(cautions, TKS_DOUBT, "sealed-void", "",
                           "%zu closed %s no opening; the %.3g cm2 of wall inside %s not wetted. "
                           "If the bath gets in, describe the opening",
                           voids.count, voids.count == 1 ? "cavity has" : "cavities have",
                           u->void_area * 1e4, voids.count == 1 ? "it is" : "them are");
}

/* When the work ended early with much left open, cavities are not looked for: any of the walls may
 * then be sealed. */
static bool is_vague(const run *r, const standing *s)
{
    return r->stopped && half_width(s) > 0.1 * s->area;
}

static void forget_lows(tks_union *u)
{
    for (int i = 0; i < TKS_LABEL_COUNT; i++) u->label[i].low = 0;
    for (size_t i = 0; i < u->patch_count; i++) u->patches[i].area.low = 0;
}

/* ------------------------------------------------------------------ start and end */

static tks_status make_items(run *r)
{
    union_model *m = &r->model;
    r->items = tks_arena_take(m->arena, m->face_count, sizeof *r->items);
    if (!r->items) return TKS_EMEMORY;
    for (size_t i = 0; i < m->face_count; i++) {
        const union_face *f = &m->faces[i];
        if (f->solid == UNION_WINDOW || m->solids[f->solid].real != f->solid) continue;
        if (!f->patch && m->body_plain[m->solids[f->solid].body]) continue; /* a joint */
        r->items[r->item_count++] = new_item(r, (uint32_t)i);
        r->total += f->area;
    }
    tks_status status = union_index_build(&r->index, m);
    uint32_t *near = tks_arena_take(m->arena, m->solid_count + 1, sizeof *near);
    if (status || !near ||
        !union_sheets_find(&r->index, m, looks_per_work * (double)r->options->work))
        return TKS_EMEMORY;
    union_index_turn_spheres(&r->index, m, near);
    return TKS_OK;
}

static tks_status check_options(const tks_union_options *o, size_t body_count, tks_error *err)
{
    if (body_count == 0)
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "there is no piece to unite");
    if (!(o->tolerance >= 1e-12 && o->tolerance <= 0.5))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "a tolerance of %g; it should be from 1e-12 to 0.5", o->tolerance);
    if (o->threads < 1 || o->threads > most_threads)
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "%d threads; it should be from 1 to %d",
                        o->threads, most_threads);
    if (!(o->snap >= 0 && o->snap <= 1e-3))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "a snap of %g mm; it should be from 0 to 1 mm", o->snap * 1e3);
    return TKS_OK;
}

static tks_status unite(run *r, tks_union *u, size_t body_count, size_t cut_count, tks_arena *arena,
                        tks_cautions *cautions, tks_error *err)
{
    standing s = {0};
    tks_status status = make_items(r);
    if (!status) status = go_through(r, &s);
    if (status) return tks_fail(err, status, tks_nowhere(), "out of memory for the union");
    tks_bounded volume = {0, 0, 0};
    widen(&volume, r->model.unruled_volume / 3, 0);
    for (size_t i = 0; i < r->item_count; i++) add_item(r, &r->items[i], u, &volume);
    if (!is_vague(r, &s))
        status = find_voids(r, u, arena, cautions);
    else if (r->options->voids)
        forget_lows(u);
    if (status) return tks_fail(err, status, tks_nowhere(), "out of memory for the union");
    add_totals(u, &volume);
    u->complete = !r->stopped;
    u->cells = s.cells;
    u->seconds = seconds_since(&r->start);
    status = find_groups(r, u, body_count, cut_count, arena);
    if (!status && cautions) status = warn_of_bounds(r, u, cautions);
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
    run r = {.options = options};
    clock_gettime(CLOCK_MONOTONIC, &r.start);
    r.model.arena = tks_arena_new();
    if (!r.model.arena || name_patches(&u, bodies, body_count, cuts, cut_count, arena) != TKS_OK)
        status = tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory for the union");
    if (!status)
        status =
            union_model_build(&r.model, bodies, body_count, cuts, cut_count, options->snap, err);
    if (!status) status = unite(&r, &u, body_count, cut_count, arena, cautions, err);
    clear_items(&r);
    tks_arena_free(r.model.arena);
    if (!status) *result = u;
    return status;
}
