/* Rounds over all faces, on some threads, until the interval is narrow. */
#include "geometry/union_round.h"

#include "base/alloc.h"

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>

/* Solids near a face to look at once for all, for one ordinary cell's worth. */
static const double looks_per_work = 4;

double union_run_seconds(const union_run *r)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - r->start.tv_sec) + 1e-9 * (double)(now.tv_nsec - r->start.tv_nsec);
}

/* ------------------------------------------------------------------ items */

/* An item of which nothing is known. */
static union_item new_item(const union_run *r, uint32_t face)
{
    double area = r->model.faces[face].area;
    return (union_item){.face = face,
                        .map.wanted = r->options->voids,
                        .waiting_area = area,
                        .waiting_volume = 2 * area * r->model.scale};
}

tks_status union_run_start(union_run *r)
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

void union_run_clear(union_run *r)
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

/* Adds what is known of one item, or takes it away. */
static void count_item(union_standing *s, const union_item *item, int sign)
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

static union_standing standing_of(const union_run *r)
{
    union_standing s = {.cells = r->cells, .work = r->work};
    for (size_t i = 0; i < r->item_count; i++) count_item(&s, &r->items[i], 1);
    return s;
}

double union_half_width(const union_standing *s)
{
    return s->waiting / 2 + s->slack;
}

static bool report_progress(union_run *r, const union_standing *s)
{
    const tks_union_options *o = r->options;
    if (!o->progress) return true;
    tks_union_progress p = {.cells = s->cells, .area = s->area, .half_width = union_half_width(s)};
    p.seconds = r->reported = union_run_seconds(r);
    double width = p.area > 0 ? p.half_width / p.area : 1;
    p.fraction = fmin(1, fmax(0, log(fmin(width, 1)) / log(o->tolerance)));
    return o->progress(o->context, &p);
}

/* ------------------------------------------------------------------ a round, on some threads */

typedef struct shift {
    union_run *r;
    double waiting, budget;
    atomic_size_t next;
    atomic_bool failed, halted;
    pthread_mutex_t lock; /* of what follows */
    union_standing now;   /* with the items done so far */
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
    union_run *r = h->s->r;
    if (h->calling && r->options->progress && union_run_seconds(r) - r->reported > often) {
        pthread_mutex_lock(&h->s->lock);
        union_standing now = h->s->now;
        pthread_mutex_unlock(&h->s->lock);
        if (!report_progress(r, &now)) atomic_store(&h->s->halted, true);
    }
    return !atomic_load(&h->s->halted);
}

/* Solids that may meet a face; the others of its own body only where they may hide it. */
static size_t find_near(const union_run *r, const union_face *face, uint32_t *near)
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
    const union_run *r = h->s->r;
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
    union_run *r = s->r;
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

/* The calling thread works as well. */
static void share_out(shift *s, int threads)
{
    pthread_t helpers[UNION_THREADS];
    hand caller = {.s = s, .calling = true};
    int started = 0;
    pthread_mutex_lock(&s->lock);
    while (started < threads - 1 && started < UNION_THREADS &&
           pthread_create(&helpers[started], NULL, help, s) == 0)
        started++;
    s->helpers = started;
    pthread_mutex_unlock(&s->lock);
    work_shift(&caller);
    await(&caller);
    for (int i = 0; i < started; i++) pthread_join(helpers[i], NULL);
}

/* Every item's result depends on the item alone, so the number of threads does not show. */
static bool run_round(union_run *r, const union_standing *now)
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
static double next_smallest(const union_run *r, const union_standing *s)
{
    double wanted = fmax(r->options->tolerance * s->area - s->slack, 0);
    double factor = s->waiting > 0 ? wanted / s->waiting : 1;
    return r->smallest * fmin(0.25, fmax(factor, 1.0 / 256));
}

/* Whether the interval is as narrow as asked for; or all that may be left is next to nothing. */
static bool is_narrow(const union_run *r, const union_standing *s)
{
    double tolerance = r->options->tolerance;
    return union_half_width(s) <= tolerance * s->area ||
           s->area + union_half_width(s) <= 1e-3 * tolerance * r->total;
}

/* How many items, from the first on, may have their first look, which is at all solids near them:
 * where thousands lie in one place these are too many. */
static tks_status find_seen(union_run *r)
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
static bool must_stop(union_run *r, const union_standing *s)
{
    bool out = s->work >= (double)r->options->work || r->smallest < 1e-20 * r->total;
    return r->stopped || out || !report_progress(r, s);
}

/* Rounds until the interval is narrow, or what waits is not what keeps it wide. */
static tks_status narrow(union_run *r, union_standing *s)
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
static bool begin_finer(union_run *r, const union_standing *s)
{
    double wanted = r->options->tolerance * s->area;
    if (r->stopped || is_narrow(r, s) || union_half_width(s) - s->curves > 0.5 * wanted)
        return false;
    r->quadrature *= 0.2 * wanted / s->curves;
    r->cells = s->cells, r->work = s->work;
    union_run_clear(r);
    return true;
}

tks_status union_run_rounds(union_run *r, union_standing *s)
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
