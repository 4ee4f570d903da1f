/* Placed pieces are one solid: its surface, with labels and cavities, and how sure it is. */
#include "part/bore.h"
#include "part/piece.h"

#include "tankside/union.h"

#include <math.h>

/* One body of a union, and the piece that it is of. */
typedef struct united {
    const tks_body *body;
    const tks_piece *piece;
    unsigned masked;
    part_bore blind; /* of a cut: the longest blind bore that it leaves; length 0: none */
} united;

static bool is_hidden(const tks_union_patch *p, const united *member)
{
    return member->masked >> p->label & 1;
}

/* Adds an area of what is left of a patch to the part. */
static tks_status add_area(part_making *m, const tks_union_patch *p, const united *member,
                           double area, const tks_cavity *cavity)
{
    const tks_patch *patch = &member->body->patches[p->patch];
    bool hidden = is_hidden(p, member);
    bool thread = p->label == TKS_THREAD && !hidden && p->area.value > 0;
    tks_status status = TKS_OK;
    if (thread) status = part_sum_thread(&m->sum, patch, member->piece->cut, m->d->err);
    if (status) return status;
    return part_sum_add(&m->sum, hidden ? TKS_MASKED : p->label, area, hidden ? NULL : cavity,
                        thread ? part_patch_pitch(patch) : 0, m->d->err);
}

/* Whether a patch is the wall of a hole that a cut leaves. */
static bool is_wall(const tks_union_patch *p, const united *member)
{
    tks_plug plug;
    return member->piece->cut && p->cavity < 0 && p->area.value > 0 && tks_label_wetted(p->label) &&
           !is_hidden(p, member) && tks_patch_plug(&member->body->patches[p->patch], &plug);
}

/* Adds such a wall by the bores that it is in, and what is open of it. */
static tks_status add_wall(part_making *m, const tks_union_patch *p, part_metal *metal,
                           united *member)
{
    part_bore bores[PART_MOST_BORES];
    size_t count = part_bores(metal, p->body, &member->body->patches[p->patch], bores);
    double open = 1;
    for (size_t i = 0; i < count; i++) {
        const tks_cavity *cavity = &bores[i].cavity;
        tks_status status = add_area(m, p, member, p->area.value * bores[i].share, cavity);
        if (status) return status;
        if (cavity->mouths == 1 && cavity->length > member->blind.cavity.length)
            member->blind = bores[i];
        open -= bores[i].share;
    }
    return add_area(m, p, member, p->area.value * fmax(open, 0), NULL);
}

/* Adds what is left of any other patch, times of it. The bottom of a blind hole is as deep as its
 * wall is long. */
static tks_status add_patch(part_making *m, const tks_union_patch *p, const united *member,
                            double times)
{
    const tks_patch *patch = &member->body->patches[p->patch];
    const tks_cavity *cavity = NULL;
    if (p->cavity >= 0)
        cavity = &member->body->cavities[p->cavity];
    else if (member->blind.cavity.length > 0 && part_bore_bottom(&member->blind, patch))
        cavity = &member->blind.cavity;
    return add_area(m, p, member, p->area.value * times, cavity);
}

/* Adds a union's surfaces to the part, times of it (once, where there are cuts). members: what the
 * union was made of; metal: the same, NULL without cuts. Walls come first: they tell where bottoms
 * are. */
static tks_status add_union(part_making *m, const tks_union *u, united *members, part_metal *metal,
                            double times)
{
    m->methods |= 1u << PART_UNION;
    m->part->volume += u->volume.value * times;
    m->slack_low += (u->area.value - u->area.low) * times;
    m->slack_high += (u->area.high - u->area.value) * times;
    tks_status status = TKS_OK;
    for (int walls = 1; walls >= 0; walls--)
        for (size_t i = 0; i < u->patch_count && !status; i++) {
            const tks_union_patch *p = &u->patches[i];
            united *member = &members[p->body];
            if (is_wall(p, member) != walls) continue;
            status = walls ? add_wall(m, p, metal, member) : add_patch(m, p, member, times);
        }
    return status;
}

/* Passes on what the union warned of, under the name of the part or piece. */
static tks_status pass_on(const part_making *m, const tks_cautions *found, const char *what)
{
    for (const tks_caution *c = found->first; c; c = c->next) {
        tks_status status =
            tks_caution_add(m->d->reading->cautions, c->severity, c->code, what, "%s", c->text);
        if (status) return tks_fail(m->d->err, status, tks_nowhere(), "out of memory");
    }
    return TKS_OK;
}

/* Passes the union's progress on under the part's name. */
static bool tell_progress(void *context, const tks_union_progress *progress)
{
    const part_making *m = context;
    const tks_part_reading *r = m->d->reading;
    if (r->progress) r->progress(r->progress_context, m->part->item.name, progress->fraction);
    return true;
}

static tks_union_options options_of(part_making *m)
{
    const tks_part_reading *reading = m->d->reading;
    tks_union_options options = tks_union_options_default();
    options.progress = tell_progress;
    options.context = m;
    if (reading->tolerance > 0) options.tolerance = reading->tolerance;
    if (reading->threads > 0) options.threads = reading->threads;
    return options;
}

tks_status part_unite_piece(part_making *m, const tks_piece *piece, unsigned masked)
{
    united member = {.body = piece->body, .piece = piece, .masked = masked};
    tks_union_options options = options_of(m);
    tks_cautions found = tks_cautions_new(m->bodies);
    tks_union made;
    tks_error inner = {0};
    char what[PART_CALLED];
    part_piece_called(m, piece, what);
    tks_status status =
        tks_union_area(&member.body, 1, NULL, 0, &options, m->bodies, &found, &made, &inner);
    if (status) return tks_fail(m->d->err, status, piece->at, "%s: %s", piece->name, inner.text);
    status = pass_on(m, &found, what);
    return status ? status : add_union(m, &made, &member, NULL, (double)piece->count);
}

/* Bodies of the placed pieces, or those of the cuts. */
static size_t gather(const part_making *m, bool cuts, const tks_body **bodies, united *members)
{
    size_t count = 0;
    for (size_t i = 0; i < m->piece_count; i++) {
        const tks_piece *piece = &m->pieces[i];
        if (!piece->body || piece->cut != cuts || (!cuts && !piece->placed)) continue;
        members[count] = (united){.body = piece->body, .piece = piece, .masked = piece->masked};
        bodies[count++] = piece->body;
    }
    return count;
}

/* Whether what is left of the pieces cannot be told from nothing. */
static bool nothing_left(const tks_union *made, const united *members, size_t count)
{
    double before = 0;
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < members[i].body->patch_count; k++)
            before += members[i].body->patches[k].area;
    return !(made->area.low > 0) && !(made->area.high > 1e-5 * before);
}

/* What the placed pieces and the cuts make. */
typedef struct assembly {
    const tks_body **bodies; /* the pieces', then the cuts' */
    united *members;         /* alike */
    size_t added, cut;
    tks_union made;
} assembly;

/* Area of the walls that one cut leaves, as bodies are counted. */
static double walls_of(const tks_union *made, size_t body)
{
    double area = 0;
    for (size_t i = 0; i < made->patch_count; i++)
        if (made->patches[i].body == body) area += made->patches[i].area.high;
    return area;
}

/* Whether all stays as it is without one cut. */
static tks_status is_idle(part_making *m, const assembly *a, size_t cut, bool *idle)
{
    const tks_body **others = tks_arena_take(m->bodies, a->added + a->cut, sizeof *others);
    if (!others) return TKS_EMEMORY;
    size_t count = 0;
    for (size_t i = 0; i < a->added + a->cut; i++)
        if (i != a->added + cut) others[count++] = a->bodies[i];
    tks_union_options options = options_of(m);
    options.tolerance = fmax(options.tolerance, 1e-4);
    options.work /= 30;
    tks_union without;
    tks_status status = tks_union_area(others, a->added, others + a->added, a->cut - 1, &options,
                                       m->bodies, NULL, &without, NULL);
    if (status) return status;
    *idle = without.area.low <= a->made.area.high && a->made.area.low <= without.area.high &&
            fabs(without.volume.value - a->made.volume.value) <= 1e-4 * a->made.volume.value;
    return TKS_OK;
}

/* A cut that takes nothing away most likely points away from the metal. The union has warned of
 * those that meet none; of the first few that leave no wall a second union tells. */
static tks_status warn_of_idle_cuts(part_making *m, const assembly *a)
{
    enum { MOST = 4 };
    tks_status status = TKS_OK;
    int tried = 0;
    for (size_t i = 0; i < a->cut && tried < MOST && !status; i++) {
        bool idle = false;
        char what[PART_CALLED];
        if (a->made.cut_missed[i]) continue;
        if (walls_of(&a->made, a->added + i) > 1e-9 * a->made.area.value) continue;
        tried++;
        part_piece_called(m, a->members[a->added + i].piece, what);
        status = is_idle(m, a, i, &idle);
        if (!status && idle)
            status = tks_caution_add(m->d->reading->cautions, TKS_DOUBT, "cut-idle", what,
                                     "cut %zu takes nothing away: it only touches the metal, or "
                                     "lies in what is gone already. Does it point the right way?",
                                     i + 1);
    }
    return status ? tks_fail(m->d->err, status, tks_nowhere(), "out of memory") : TKS_OK;
}

/* Unites and cuts; the arrays of a are there, its union is not yet. */
static tks_status assemble(part_making *m, const tks_node *node, assembly *a)
{
    const part_document *d = m->d;
    tks_union_options options = options_of(m);
    tks_cautions found = tks_cautions_new(m->bodies);
    tks_error inner = {0};
    tks_status status = tks_union_area(a->bodies, a->added, a->bodies + a->added, a->cut, &options,
                                       m->bodies, &found, &a->made, &inner);
    if (status) return part_fail(d, status, node, "%s", inner.text);
    if (nothing_left(&a->made, a->members, a->added))
        return part_fail(d, TKS_EDOMAIN, tks_node_get(node, "cuts"),
                         "the cuts take everything away; no metal is left");
    status = pass_on(m, &found, m->part->item.name);
    return status ? status : warn_of_idle_cuts(m, a);
}

/* Adds what the pieces and the cuts have made. */
static tks_status add_assembly(part_making *m, const tks_node *node, const assembly *a)
{
    part_metal metal;
    if (part_metal_new(a->bodies, a->added, a->cut, m->bodies, &metal))
        return part_fail(m->d, TKS_EMEMORY, node, "out of memory");
    tks_status status = add_union(m, &a->made, a->members, &metal, 1);
    if (status || metal.work > 0) return status;
    status = tks_caution_add(m->d->reading->cautions, TKS_DOUBT, "bores-open", m->part->item.name,
                             "the holes that the cuts leave are too many to follow each of them; "
                             "some count as open faces, though their walls get less metal");
    return status ? part_fail(m->d, status, node, "out of memory") : TKS_OK;
}

tks_status part_unite(part_making *m, const tks_node *node)
{
    const tks_body **bodies = tks_arena_take(m->bodies, m->piece_count, sizeof *bodies);
    united *members = tks_arena_take(m->bodies, m->piece_count, sizeof *members);
    if (!bodies || !members) return part_fail(m->d, TKS_EMEMORY, node, "out of memory");
    assembly a = {.bodies = bodies, .members = members};
    a.added = gather(m, false, bodies, members);
    a.cut = gather(m, true, bodies + a.added, members + a.added);
    if (!a.added && a.cut)
        return part_fail(
            m->d, TKS_EMISSING, tks_node_get(node, "cuts"),
            "the cuts have nothing to cut: give at least one piece its place with `at`");
    if (!a.added) return TKS_OK;
    tks_status status = assemble(m, node, &a);
    return status ? status : add_assembly(m, node, &a);
}
