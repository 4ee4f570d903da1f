#include "field/advice.h"

#include "base/vec.h"
#include "field/bodies.h"

#include <float.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* [m] How much farther apart parts are tried. */
static const double step_apart = 0.02;

/* A part, sorted by its place. */
typedef struct ranked {
    double x;
    size_t part;
} ranked;

/* What all ways need. */
typedef struct trying {
    tks_arena *arena;
    tks_deposit *d;
    const tks_field_scene *scene;
    const tks_field_bath *bath;
    const tks_field_options *options;
    tks_frame *moves;  /* of every body */
    tks_vec3 *centres; /* of the parts */
    ranked *by_x;      /* parts along the rack */
    size_t parts;
    uint32_t groups; /* that count */
    tks_error *err;
} trying;

static tks_vec3 centre_of(const tks_triangles *t)
{
    tks_vec3 low = vec3(DBL_MAX, DBL_MAX, DBL_MAX), high = vec3(-DBL_MAX, -DBL_MAX, -DBL_MAX);
    for (size_t i = 0; i < t->vertex_count; i++) {
        const double *p = t->xyz + 3 * i;
        low = vec3(fmin(low.x, p[0]), fmin(low.y, p[1]), fmin(low.z, p[2]));
        high = vec3(fmax(high.x, p[0]), fmax(high.y, p[1]), fmax(high.z, p[2]));
    }
    return vec3_scale(vec3_add(low, high), 0.5);
}

/* ------------------------------------------------------------------ the moves */

static void move_none(trying *t)
{
    for (size_t i = 0; i < t->scene->body_count; i++) t->moves[i] = frame_identity();
}

/* Half a turn about the upright axis through each part's middle. */
static void move_turned(trying *t)
{
    move_none(t);
    for (size_t i = 0; i < t->parts; i++) {
        t->moves[i].x.x = t->moves[i].y.y = -1;
        t->moves[i].origin = vec3(2 * t->centres[i].x, 2 * t->centres[i].y, 0);
    }
}

/* The first along the rack goes to the place of the last, and so on. */
static void move_swapped(trying *t)
{
    move_none(t);
    for (size_t k = 0; k < t->parts; k++) {
        size_t from = t->by_x[k].part, to = t->by_x[t->parts - 1 - k].part;
        tks_vec3 way = vec3_sub(t->centres[to], t->centres[from]);
        t->moves[from].origin = vec3(way.x, way.y, 0);
    }
}

static void move_apart(trying *t)
{
    move_none(t);
    for (size_t k = 0; k < t->parts; k++)
        t->moves[t->by_x[k].part].origin.x = step_apart * ((double)k - (double)(t->parts - 1) / 2);
}

/* ------------------------------------------------------------------ judging */

static double thickness(const tks_deposit *d, double density)
{
    const tks_bath *bath = &d->tank->bath;
    return tks_faraday_thickness(bath->metal, bath->efficiency.usual, density * d->time);
}

static void judge(const tks_deposit *d, const tks_field_spread *s, double voltage,
                  tks_deposit_advice *a)
{
    a->evenness = s->minimum.value / s->mean.value;
    a->range = s->low5.value > 0 ? s->high95.value / s->low5.value : INFINITY;
    a->mean = thickness(d, s->mean.value);
    a->voltage = voltage;
}

/* A way that cannot be gone is kept with its reason; only short memory ends the trying. */
static tks_status cannot(trying *t, tks_status status, tks_deposit_advice *a)
{
    if (status == TKS_EMEMORY) return status;
    a->problem = tks_arena_text(t->arena, t->err->text, strlen(t->err->text));
    return a->problem ? TKS_OK : TKS_EMEMORY;
}

static tks_status try_moves(trying *t, bool half_way, tks_deposit_advice *a)
{
    tks_field *moved = NULL;
    tks_field_spread s;
    tks_status status = tks_field_move(t->d->field, t->moves, &moved, t->err);
    if (!status)
        status =
            tks_field_solve(moved, t->bath, &(tks_field_drive){.current = t->d->current}, t->err);
    if (!status && half_way)
        status =
            tks_field_spread_of_halves(t->d->field, moved, TKS_FIELD_ALL, t->groups, &s, t->err);
    else if (!status)
        status = tks_field_spread_of(moved, TKS_FIELD_ALL, t->groups, &s, t->err);
    if (!status) judge(t->d, &s, tks_field_summarise(moved).voltage, a);
    tks_field_free(moved);
    return status ? cannot(t, status, a) : TKS_OK;
}

/* Whether an anode stands about where this one would. */
static bool is_taken(const tks_tank *tank, const tks_anode *anode)
{
    for (size_t i = 0; i < tank->anode_count; i++) {
        const tks_anode *other = &tank->anodes[i];
        bool apart = false;
        for (int k = 0; k < 2; k++)
            if (fabs(other->at[k] - anode->at[k]) > (other->size[k] + anode->size[k]) / 2 + 0.01)
                apart = true;
        if (!apart) return true;
    }
    return false;
}

/* The mirror image of an anode on the tank's other side, where none stands yet. */
static bool find_place(const tks_tank *tank, tks_anode *anode)
{
    for (size_t i = 0; i < tank->anode_count; i++) {
        const double *at = tank->anodes[i].at;
        int side = fabs(at[0]) / tank->size[0] > fabs(at[1]) / tank->size[1] ? 0 : 1;
        *anode = tank->anodes[i];
        anode->at[side] = -at[side];
        if (!is_taken(tank, anode)) return true;
    }
    return false;
}

static tks_status try_anode(trying *t, const tks_anode *anode, tks_deposit_advice *a)
{
    tks_field_scene more = *t->scene;
    tks_field *field = NULL;
    tks_field_spread s;
    tks_status status =
        field_bodies_anode(t->arena, t->d->tank, anode, "the added anode", &more, t->err);
    if (!status) status = tks_field_new(&more, t->options, &field, t->err);
    if (!status)
        status =
            tks_field_solve(field, t->bath, &(tks_field_drive){.current = t->d->current}, t->err);
    if (!status) status = tks_field_spread_of(field, TKS_FIELD_ALL, t->groups, &s, t->err);
    if (!status) judge(t->d, &s, tks_field_summarise(field).voltage, a);
    tks_field_free(field);
    return status ? cannot(t, status, a) : TKS_OK;
}

/* ------------------------------------------------------------------ all of them */

static int by_x(const void *a, const void *b)
{
    double x = ((const ranked *)a)->x, y = ((const ranked *)b)->x;
    return (x > y) - (x < y);
}

static int better_first(const void *a, const void *b)
{
    const tks_deposit_advice *x = a, *y = b;
    if (!x->problem != !y->problem) return x->problem ? 1 : -1;
    return (x->evenness < y->evenness) - (x->evenness > y->evenness);
}

static tks_status prepare(trying *t)
{
    t->parts = t->d->load->part_count;
    t->moves = tks_arena_take(t->arena, t->scene->body_count, sizeof *t->moves);
    t->centres = tks_arena_take(t->arena, t->parts, sizeof *t->centres);
    t->by_x = tks_arena_take(t->arena, t->parts, sizeof *t->by_x);
    t->d->advice = tks_arena_take(t->arena, 6, sizeof *t->d->advice);
    if (!t->moves || !t->centres || !t->by_x || !t->d->advice) return TKS_EMEMORY;
    for (size_t i = 0; i < t->parts; i++) {
        t->centres[i] = centre_of(t->scene->bodies[i].triangles);
        t->by_x[i] = (ranked){t->centres[i].x, i};
    }
    qsort(t->by_x, t->parts, sizeof *t->by_x, by_x);
    return TKS_OK;
}

static tks_deposit_advice *next(trying *t, const char *what)
{
    tks_deposit_advice *a = &t->d->advice[t->d->advice_count++];
    *a = (tks_deposit_advice){.what = what};
    return a;
}

static tks_status as_it_hangs(trying *t)
{
    tks_field_spread s;
    tks_status status = tks_field_spread_of(t->d->field, TKS_FIELD_ALL, t->groups, &s, t->err);
    if (!status) judge(t->d, &s, t->d->summary.voltage, next(t, "leave all as it hangs"));
    return status;
}

tks_status field_advise(tks_arena *arena, tks_deposit *deposit, const tks_field_scene *scene,
                        const tks_field_bath *bath, const tks_field_options *options,
                        tks_error *err)
{
    tks_error inner = {0};
    trying t = {.arena = arena,
                .d = deposit,
                .scene = scene,
                .bath = bath,
                .options = options,
                .groups = field_deposit_groups(deposit->significant.label),
                .err = &inner};
    tks_anode anode;
    tks_status status = prepare(&t);
    if (!status) status = as_it_hangs(&t);
    if (!status) {
        move_turned(&t);
        status = try_moves(&t, true, next(&t, "turn each part round half way"));
    }
    if (!status && t.parts > 1) {
        move_swapped(&t);
        status = try_moves(&t, true, next(&t, "swap the parts' places half way, outer for outer"));
    }
    if (!status && t.parts > 1) {
        move_apart(&t);
        status = try_moves(&t, false, next(&t, "hang the parts 20 mm farther apart"));
    }
    if (!status && find_place(deposit->tank, &anode))
        status = try_anode(&t, &anode, next(&t, "hang an anode like the first on the other side"));
    if (status) return tks_fail(err, status, tks_nowhere(), "%s", tks_status_text(status));
    qsort(deposit->advice, deposit->advice_count, sizeof *deposit->advice, better_first);
    return TKS_OK;
}
