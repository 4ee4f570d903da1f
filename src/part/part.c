/* One part: its pieces, what is masked, and the sums over them. */
#include "part/reading.h"

#include "base/vec.h"

#include <math.h>
#include <string.h>

static const char *const part_keys[] = {"part",  "material", "grade",  "hardness",
                                        "count", "pieces",   "masked", "at",
                                        "axis",  "turn",     "x axis", "note"};
enum { PART_KEYS = sizeof part_keys / sizeof part_keys[0] };

/* A part while it is being read. */
typedef struct part_making {
    const part_document *d;
    tks_part *part;
    part_sum sum;
    tks_piece *pieces; /* kept ones */
    double box[3];     /* the largest sides of any piece */
    double thickest;
} part_making;

static const char *text_of(const part_document *d, const tks_node *node, const char *key)
{
    const tks_node *value = tks_node_get(node, key);
    const char *kept = value ? tks_arena_text(d->reading->arena, value->text, value->length) : NULL;
    return kept ? kept : "";
}

/* Loose pieces have no common axes, so sides are compared by size: shortest with shortest. */
static void measure_box(part_making *m, const tks_body *body)
{
    tks_vec3 low, high;
    tks_body_bounds(body, &low, &high);
    double x = high.x - low.x, y = high.y - low.y, z = high.z - low.z;
    double least = fmin(x, fmin(y, z)), most = fmax(x, fmax(y, z));
    const double sides[3] = {least, x + y + z - least - most, most};
    for (int i = 0; i < 3; i++) m->box[i] = fmax(m->box[i], sides[i]);
}

/* Contact hides a footprint on this piece and as much on the one that it touches. */
static tks_status take_contact(part_making *m, const tks_piece *piece)
{
    double hidden = 2 * piece->contact * (double)piece->count;
    if (hidden == 0 || part_sum_take(&m->sum, hidden)) return TKS_OK;
    return tks_fail(m->d->err, TKS_EDOMAIN, piece->at,
                    "contact is more than the surface that is there");
}

/* A loose piece counts by its own patches. */
static tks_status add_loose(part_making *m, const tks_node *node, const tks_piece *piece)
{
    unsigned labels = 0;
    double masked = 0;
    tks_status status = part_masked_read(m->d, tks_node_get(node, "masked"), &labels, &masked);
    if (!status)
        status = part_sum_body(&m->sum, piece->body, (double)piece->count, labels, m->d->err);
    if (status || masked == 0) return status;
    if (!part_sum_take(&m->sum, masked * (double)piece->count))
        return part_fail(m->d, TKS_EDOMAIN, tks_node_get(node, "masked"),
                         "masked is more than the surface that is there");
    return part_sum_add(&m->sum, TKS_MASKED, masked * (double)piece->count, NULL, 0, m->d->err);
}

static tks_status add_body(part_making *m, const tks_node *node, const tks_piece *piece)
{
    if (m->d->reading->sizes) measure_box(m, piece->body);
    m->part->volume += piece->body->volume * (double)piece->count;
    tks_status status = add_loose(m, node, piece);
    return status ? status : take_contact(m, piece);
}

/* The name of the file is borrowed from its reader, so it does not stay. */
static void keep_piece(part_making *m, tks_piece piece)
{
    piece.at.file = NULL;
    m->pieces[m->part->piece_count++] = piece;
}

static tks_status add_piece(part_making *m, const tks_node *node)
{
    tks_piece piece;
    tks_frame frame;
    tks_status status = part_piece_read(m->d, node, m->part->item.name, &piece);
    if (!status) status = part_place_read(m->d, node, &piece.placed, &frame);
    if (status) return status;
    if (piece.placed || piece.body->overlap)
        return part_fail(m->d, TKS_EGEOMETRY, node,
                         "pieces with a place cannot be united yet; leave out at, axis and turn");
    status = add_body(m, node, &piece);
    if (!m->d->reading->keep_bodies) tks_arena_reset(m->d->reading->scratch);
    if (!status && m->pieces) keep_piece(m, piece);
    return status;
}

/* A part that is a single shape, written without a list of pieces: its count is that of the part,
 * and its place is one in the tank. */
static tks_status add_only_piece(part_making *m, const tks_node *node)
{
    tks_piece piece;
    tks_status status = part_piece_read(m->d, node, "", &piece);
    if (status) return status;
    piece.count = 1;
    status = add_body(m, node, &piece);
    if (!m->d->reading->keep_bodies) tks_arena_reset(m->d->reading->scratch);
    if (status || !m->d->reading->keep_bodies) return status;
    m->pieces = tks_arena_take(m->d->reading->arena, 1, sizeof *m->pieces);
    if (!m->pieces) return part_fail(m->d, TKS_EMEMORY, node, "out of memory");
    keep_piece(m, piece);
    return TKS_OK;
}

static tks_status add_pieces(part_making *m, const tks_node *list)
{
    const part_document *d = m->d;
    tks_status status = tks_node_expect(list, d->file, TKS_LIST, "pieces", d->err);
    if (!status && !list->count)
        status = part_fail(d, TKS_EMISSING, list, "a part needs at least one piece");
    if (!status && d->reading->keep_bodies) {
        m->pieces = tks_arena_take(d->reading->arena, list->count, sizeof *m->pieces);
        if (!m->pieces) status = part_fail(d, TKS_EMEMORY, list, "out of memory");
    }
    for (const tks_node *item = list->first; item && !status; item = item->next)
        status = add_piece(m, item);
    return status;
}

/* `masked:` of the whole part: its labels move over, and an area comes off the outside. */
static tks_status mask_part(part_making *m, const tks_node *node)
{
    unsigned labels = 0;
    double area = 0;
    const tks_node *masked = tks_node_get(node, "masked");
    tks_status status = part_masked_read(m->d, masked, &labels, &area);
    if (status) return status;
    double moved = 0;
    for (size_t i = 0; i < m->sum.surface_count; i++) {
        tks_surface *s = &m->sum.surfaces[i];
        if (!(labels >> s->label & 1)) continue;
        moved += s->area;
        s->area = 0;
    }
    if (labels && moved == 0)
        return part_fail(m->d, TKS_EDOMAIN, masked,
                         "nothing of the part has this label, so nothing is masked");
    if (!part_sum_take(&m->sum, area))
        return part_fail(m->d, TKS_EDOMAIN, masked,
                         "masked is more than the surface that is there");
    return moved + area > 0 ? part_sum_add(&m->sum, TKS_MASKED, moved + area, NULL, 0, m->d->err)
                            : TKS_OK;
}

static void finish(part_making *m)
{
    tks_part *p = m->part;
    for (int label = 0; label < TKS_LABEL_COUNT; label++) {
        p->by_label[label] = part_sum_label(&m->sum, (tks_label)label);
        if (tks_label_wetted((tks_label)label)) p->area += p->by_label[label];
    }
    p->area_low = p->area_high = p->area;
    p->method = "exact";
    p->pieces = m->pieces;
    p->item.surfaces = m->sum.surfaces;
    p->item.surface_count = m->sum.surface_count;
    p->item.cavities = m->sum.cavities;
    p->item.cavity_count = m->sum.cavity_count;
    memcpy(p->item.size, m->box, sizeof m->box);
    double density = tks_material_density(p->material[0] ? p->material : "steel",
                                          strlen(p->material[0] ? p->material : "steel"));
    p->item.mass = density * p->volume;
}

static tks_status read_names(const part_document *d, const tks_node *node, tks_part *part)
{
    const tks_node *count = tks_node_get(node, "count"), *name = tks_node_get(node, "name");
    long many = 1;
    part->at = tks_node_place(node, NULL);
    part->item.name = text_of(d, node,
                              tks_node_get(node, "part") ? "part"
                              : name                     ? "name"
                                                         : "shape");
    part->material = text_of(d, node, "material");
    part->grade = text_of(d, node, "grade");
    part->hardness = text_of(d, node, "hardness");
    const tks_node *material = tks_node_get(node, "material");
    if (material && tks_material_density(material->text, material->length) == 0) {
        tks_status status = tks_caution_add(
            d->reading->cautions, TKS_DOUBT, "material-unknown", part->item.name,
            "'%.40s' is not in the table of materials; its mass is left out", part->material);
        if (status) return part_fail(d, status, node, "out of memory");
    }
    tks_status status =
        count ? tks_node_count(count, d->file, "count", 1, 1000000, &many, d->err) : TKS_OK;
    part->item.count = (size_t)many;
    return status;
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

tks_status part_read(const part_document *d, const tks_node *node, tks_load *load, tks_part **part)
{
    tks_part *p = tks_arena_take(d->reading->arena, 1, sizeof *p);
    if (!p) return part_fail(d, TKS_EMEMORY, node, "out of memory");
    part_making m = {.d = d, .part = p, .sum = {.arena = d->reading->arena}};
    const tks_node *pieces = tks_node_get(node, "pieces");
    tks_status status = read_names(d, node, p);
    if (!status && !pieces && tks_node_get(node, "shape")) {
        status = add_only_piece(&m, node);
    } else if (!status) {
        status = tks_node_known(node, d->file, "a part", part_keys, PART_KEYS, d->err);
        if (!status && !pieces)
            status = part_fail(d, TKS_EMISSING, node, "a part needs its pieces, or a shape");
        if (!status) status = add_pieces(&m, pieces);
        if (!status) status = mask_part(&m, node);
    }
    if (!status) status = part_place_read(d, node, &p->placed, &p->frame);
    if (status) return status;
    finish(&m);
    append(load, p);
    *part = p;
    return TKS_OK;
}
