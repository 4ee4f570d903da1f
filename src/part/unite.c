/* Placed pieces are one solid: its surface, with labels and cavities, and how sure it is. */
#include "part/reading.h"

#include "tankside/union.h"

#include <math.h>

/* One body of a union: what of it is masked. */
typedef struct united {
    const tks_body *body;
    unsigned masked;
} united;

/* Adds a union's surfaces to the part, times of it. members: what the union was made of. */
static tks_status add_union(part_making *m, const tks_union *u, const united *members, double times)
{
    m->methods |= 1u << PART_UNION;
    m->part->volume += u->volume.value * times;
    m->slack_low += (u->area.value - u->area.low) * times;
    m->slack_high += (u->area.high - u->area.value) * times;
    for (size_t i = 0; i < u->patch_count; i++) {
        const tks_union_patch *p = &u->patches[i];
        const united *member = &members[p->body];
        bool hidden = member->masked >> p->label & 1;
        const tks_cavity *cavity =
            p->cavity >= 0 && !hidden ? &member->body->cavities[p->cavity] : NULL;
        tks_status status = part_sum_add(&m->sum, hidden ? TKS_MASKED : p->label,
                                         p->area.value * times, cavity, 0, m->d->err);
        if (status) return status;
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
    const united member = {piece->body, masked};
    tks_union_options options = options_of(m);
    tks_union made;
    tks_error inner = {0};
    tks_status status = tks_union_area(&member.body, 1, NULL, 0, &options, m->bodies,
                                       m->d->reading->cautions, &made, &inner);
    if (status) return tks_fail(m->d->err, status, piece->at, "%s: %s", piece->name, inner.text);
    return add_union(m, &made, &member, (double)piece->count);
}

/* Bodies of the placed pieces, or those of the cuts. */
static size_t gather(const part_making *m, bool cuts, const tks_body **bodies, united *members)
{
    size_t count = 0;
    for (size_t i = 0; i < m->piece_count; i++) {
        const tks_piece *piece = &m->pieces[i];
        if (!piece->body || piece->cut != cuts || (!cuts && !piece->placed)) continue;
        members[count] = (united){piece->body, piece->masked};
        bodies[count++] = piece->body;
    }
    return count;
}

tks_status part_unite(part_making *m, const tks_node *node)
{
    const part_document *d = m->d;
    const tks_body **bodies = tks_arena_take(m->bodies, m->piece_count, sizeof *bodies);
    united *members = tks_arena_take(m->bodies, m->piece_count, sizeof *members);
    if (!bodies || !members) return part_fail(d, TKS_EMEMORY, node, "out of memory");
    size_t added = gather(m, false, bodies, members);
    size_t cut = gather(m, true, bodies + added, members + added);
    if (!added && cut)
        return part_fail(
            d, TKS_EMISSING, node,
            "the cuts have nothing to cut: give at least one piece its place with `at`");
    if (!added) return TKS_OK;
    tks_union_options options = options_of(m);
    tks_union made;
    tks_error inner = {0};
    tks_status status = tks_union_area(bodies, added, bodies + added, cut, &options, m->bodies,
                                       d->reading->cautions, &made, &inner);
    if (status) return part_fail(d, status, node, "%s", inner.text);
    if (!(made.area.value > 0))
        return part_fail(d, TKS_EDOMAIN, tks_node_get(node, "cuts"),
                         "the cuts take everything away; no metal is left");
    return add_union(m, &made, members, 1);
}
