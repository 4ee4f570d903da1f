/* One part: its pieces, what is masked, and the sums over them. */
#include "part/reading.h"

#include "base/vec.h"

#include <math.h>
#include <string.h>

static const char *const part_keys[] = {"part",   "material", "grade",  "hardness", "count",
                                        "pieces", "cuts",     "masked", "weight",   "at",
                                        "axis",   "turn",     "x axis", "note"};
enum { PART_KEYS = sizeof part_keys / sizeof part_keys[0] };

static const char *text_of(const part_document *d, const tks_node *node, const char *key)
{
    const tks_node *value = tks_node_get(node, key);
    const char *kept = value ? tks_arena_text(d->reading->arena, value->text, value->length) : NULL;
    return kept ? kept : "";
}

static tks_status add_pieces(part_making *m, const tks_node *list, bool cut)
{
    const part_document *d = m->d;
    if (!list) return TKS_OK;
    tks_status status = tks_node_expect(list, d->file, TKS_LIST,
                                        cut ? "a list of cuts" : "a list of pieces", d->err);
    if (!status && !list->count && !cut)
        status = part_fail(d, TKS_EMISSING, list, "a part needs at least one piece");
    for (const tks_node *item = list->first; item && !status; item = item->next)
        status = part_piece_add(m, item, false, cut);
    return status;
}

/* `masked:` of the whole part: its labels move over, and an area comes off the outside. */
static tks_status mask_part(part_making *m, const tks_node *node)
{
    part_mask mask;
    double moved = 0;
    tks_status status = part_mask_read(m->d, tks_node_get(node, "masked"), &mask);
    if (!status && mask.box_count)
        status = part_fail(m->d, TKS_EDOMAIN, mask.where,
                           "a box masks a mesh; write it with that piece");
    if (status || !mask.where) return status;
    for (size_t i = 0; i < m->sum.surface_count; i++) {
        tks_surface *s = &m->sum.surfaces[i];
        if (!(mask.labels >> s->label & 1)) continue;
        moved += s->area;
        s->area = 0;
    }
    if (mask.labels >> TKS_THREAD & 1) m->sum.thread_count = 0;
    if (mask.labels && moved == 0)
        return part_fail(m->d, TKS_EDOMAIN, mask.where,
                         "nothing of the part has this label, so nothing is masked");
    if (!part_sum_take(&m->sum, mask.area))
        return part_fail(m->d, TKS_EDOMAIN, mask.where,
                         "masked is more than the surface that is there");
    return moved + mask.area > 0
               ? part_sum_add(&m->sum, TKS_MASKED, moved + mask.area, NULL, 0, m->d->err)
               : TKS_OK;
}

/* "exact", "union", "mesh", "weight", or some of them joined by '+'. */
static const char *method_name(const part_making *m)
{
    static const char *const names[] = {"exact", "union", "mesh", "weight"};
    char text[40] = "";
    for (int i = 0; i < 4; i++) {
        if (!(m->methods >> i & 1)) continue;
        if (text[0]) strcat(text, "+");
        strcat(text, names[i]);
    }
    const char *kept = tks_arena_text(m->d->reading->arena, text, strlen(text));
    return kept ? kept : "";
}

static void finish(part_making *m)
{
    tks_part *p = m->part;
    for (int label = 0; label < TKS_LABEL_COUNT; label++) {
        p->by_label[label] = part_sum_label(&m->sum, (tks_label)label);
        if (tks_label_wetted((tks_label)label)) p->area += p->by_label[label];
    }
    p->area_low = fmax(p->area - m->slack_low, 0);
    p->area_high = p->area + m->slack_high;
    p->method = method_name(m);
    p->pieces = m->d->reading->keep_bodies ? m->pieces : NULL;
    p->piece_count = p->pieces ? m->piece_count : 0;
    p->item.surfaces = m->sum.surfaces;
    p->item.surface_count = m->sum.surface_count;
    p->item.cavities = m->sum.cavities;
    p->item.cavity_count = m->sum.cavity_count;
    p->item.threads = m->sum.threads;
    p->item.thread_count = m->sum.thread_count;
    memcpy(p->item.size, m->box, sizeof m->box);
    /* no ball that fits into the part is wider than its narrowest side */
    p->item.section = fmin(m->box[0], fmin(m->box[1], m->box[2]));
    p->item.mass = part_density(p) * p->volume;
}

/* `weight:` of one part: what the scales say, against what the described part would weigh. */
static tks_status check_weight(const part_making *m, const tks_node *node)
{
    const part_document *d = m->d;
    const tks_node *given = tks_node_get(node, "weight");
    double weight = 0, computed = m->part->item.mass;
    if (!given) return TKS_OK;
    tks_status status = tks_node_quantity(given, d->file, TKS_MASS, "weight", &weight, d->err);
    if (!status && !(weight > 0))
        status = part_fail(d, TKS_EDOMAIN, given, "weight is '%.40s'; it must be above zero",
                           given->text);
    if (status || computed == 0 || fabs(computed - weight) <= 0.05 * weight) return status;
    status = tks_caution_add(
        d->reading->cautions, TKS_DOUBT, "weight-differs", m->part->item.name,
        "it weighs %.4g g, but as described it would weigh %.4g g (%+.0f %%): a dimension or "
        "the material is wrong, or a piece is missing",
        weight * 1e3, computed * 1e3, 100 * (computed / weight - 1));
    return status ? part_fail(d, status, given, "out of memory") : TKS_OK;
}

static tks_status check_material(const part_document *d, const tks_node *node, const tks_part *part)
{
    if (!part->material[0] || part_density(part) > 0) return TKS_OK;
    tks_status status = tks_caution_add(
        d->reading->cautions, TKS_DOUBT, "material-unknown", part->item.name,
        "'%.40s' is not in the table of materials; its mass is left out", part->material);
    return status ? part_fail(d, status, node, "out of memory") : TKS_OK;
}

static tks_status read_names(const part_document *d, const tks_node *node, tks_part *part)
{
    const tks_node *count = tks_node_get(node, "count"), *name = tks_node_get(node, "name");
    const char *key = tks_node_get(node, "part")   ? "part"
                      : name                       ? "name"
                      : tks_node_get(node, "mesh") ? "mesh"
                                                   : "shape";
    long many = 1;
    part->at = tks_node_place(node, d->file);
    part->item.name = text_of(d, node, key);
    part->material = text_of(d, node, "material");
    part->grade = text_of(d, node, "grade");
    part->hardness = text_of(d, node, "hardness");
    const tks_node *steel = tks_node_get(node, part->hardness[0] ? "hardness" : "grade");
    if (steel) part->steel = tks_node_place(steel, d->file);
    tks_status status =
        count ? tks_node_count(count, d->file, "count", 1, 1000000, &many, d->err) : TKS_OK;
    part->item.count = (size_t)many;
    return status ? status : check_material(d, node, part);
}

static void append(tks_load *load, tks_part *part)
{
    if (load->last)
        load->last->next = part;
    else
        load->first = part;
    load->last = part;
    load->part_count++;
}

static tks_status read_described(part_making *m, const tks_node *node)
{
    const part_document *d = m->d;
    const tks_node *pieces = tks_node_get(node, "pieces");
    if (!pieces &&
        (tks_node_get(node, "shape") || tks_node_get(node, "mesh") || tks_node_get(node, "sheet")))
        return part_piece_add(m, node, true, false);
    tks_status status = tks_node_known(node, d->file, "a part", part_keys, PART_KEYS, d->err);
    if (!status && !pieces)
        status = part_fail(d, TKS_EMISSING, node, "a part needs its pieces, or a shape");
    if (!status) status = add_pieces(m, pieces, false);
    if (!status) status = add_pieces(m, tks_node_get(node, "cuts"), true);
    if (!status && m->piece_count) status = part_unite(m, node);
    return status ? status : mask_part(m, node);
}

static tks_status start_making(part_making *m, const part_document *d)
{
    tks_part *part = tks_arena_take(d->reading->arena, 1, sizeof *part);
    if (!part) return tks_fail(d->err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    part->item.name = part->material = part->grade = part->hardness = "";
    part->item.count = 1;
    *m = (part_making){.d = d, .part = part, .sum = {.arena = d->reading->arena}};
    m->bodies = d->reading->keep_bodies ? d->reading->arena : d->reading->scratch;
    return TKS_OK;
}

tks_status part_read(const part_document *d, const tks_node *node, tks_load *load, tks_part **part)
{
    part_making m;
    tks_status status = start_making(&m, d);
    if (!status) status = read_names(d, node, m.part);
    if (!status) status = read_described(&m, node);
    if (!status) status = part_place_read(d, node, &m.part->placed, &m.part->frame);
    if (!status) finish(&m);
    if (!status) status = check_weight(&m, node);
    if (!d->reading->keep_bodies) tks_arena_reset(d->reading->scratch);
    if (status) return status;
    append(load, m.part);
    *part = m.part;
    return TKS_OK;
}

tks_status part_read_mesh(const part_document *d, const char *path, tks_load *load)
{
    part_making m;
    const char *slash = strrchr(path, '/'), *name = slash ? slash + 1 : path;
    tks_status status = start_making(&m, d);
    if (status) return status;
    m.part->item.name = tks_arena_text(d->reading->arena, name, strlen(name));
    if (!m.part->item.name) return tks_fail(d->err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    status = part_piece_mesh(&m, path);
    if (status) return status;
    finish(&m);
    append(load, m.part);
    return TKS_OK;
}
