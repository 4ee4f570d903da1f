/* A piece that is a shape. */
#include "part/piece.h"

static const char *const common_keys[] = {"shape", "name", "count", "contact", "masked",
                                          "at",    "axis", "turn",  "x axis",  "note"};

#define COUNT_OF(array) (sizeof(array) / sizeof(array)[0])

/* Keys that a piece may have besides its shape's parameters. */
static size_t other_keys(bool alone, const char *keys[PART_MOST_KEYS])
{
    size_t count = 0;
    for (size_t i = 0; i < COUNT_OF(common_keys); i++) keys[count++] = common_keys[i];
    return alone ? part_piece_alone_keys(keys, count) : count;
}

static tks_status make_body(part_making *m, const tks_node *node, bool alone, tks_piece *piece)
{
    const part_document *d = m->d;
    const tks_node *name = tks_node_get(node, "shape");
    const tks_shape *shape = NULL;
    const char *keys[PART_MOST_KEYS];
    char what[PART_CALLED];
    if (!name || name->kind != TKS_SCALAR || !name->length)
        return part_fail(
            d, TKS_EMISSING, name ? name : node,
            "a piece needs its shape, as in `shape: plate`; `tankside shapes` lists them");
    tks_status status = tks_shapes_find(d->reading->shapes, name->text, name->length,
                                        d->folder[0] ? d->folder : ".",
                                        tks_node_place(name, d->file), &shape, d->err);
    if (!status) status = part_piece_name(d, node, tks_shape_name(shape), piece);
    if (status) return status;
    part_piece_called(m, piece, what);
    size_t count = other_keys(alone, keys);
    return tks_shape_make(shape, node, d->file, keys, count, m->bodies, d->reading->cautions, what,
                          &piece->body, d->err);
}

/* A loose piece counts by its own patches, or by its own union where its solids overlap. */
static tks_status add_surfaces(part_making *m, const tks_node *node, const tks_piece *piece)
{
    part_mask mask;
    tks_status status = part_mask_read(m->d, tks_node_get(node, "masked"), &mask);
    if (!status && mask.box_count)
        status = part_fail(m->d, TKS_EDOMAIN, mask.where,
                           "a box masks meshes only; name labels or an area");
    if (status) return status;
    if (piece->body->overlap) {
        status = part_unite_piece(m, piece, mask.labels);
    } else {
        m->methods |= 1u << PART_EXACT;
        m->part->volume += piece->body->volume * (double)piece->count;
        status = part_sum_body(&m->sum, piece->body, (double)piece->count, mask.labels, m->d->err);
    }
    if (!status) status = part_sum_threads(&m->sum, piece->body, mask.labels, m->d->err);
    return status ? status : part_piece_mask(m, &mask, (double)piece->count);
}

/* What a placed piece hides of another the union finds, so it takes no contact and no count. */
static tks_status keep_placed(part_making *m, const tks_node *node, tks_piece *piece)
{
    const part_document *d = m->d;
    part_mask mask;
    const tks_node *contact = tks_node_get(node, "contact"), *count = tks_node_get(node, "count");
    tks_status status = part_mask_read(d, tks_node_get(node, "masked"), &mask);
    if (!status && contact)
        status = part_fail(d, TKS_EDOMAIN, contact,
                           "contact is found for pieces with a place; leave it out");
    if (!status && piece->count != 1)
        status = part_fail(
            d, TKS_EDOMAIN, count,
            "a placed piece has one place, so its count is 1; write it again for each place");
    if (!status && (mask.area > 0 || mask.box_count))
        status = part_fail(d, TKS_EDOMAIN, mask.where,
                           "name the labels of a placed piece that are masked; an area can be "
                           "masked of the whole part");
    if (status) return status;
    piece->masked = mask.labels;
    return part_piece_keep(m, node, piece);
}

tks_status part_shape_add(part_making *m, const tks_node *node, bool alone, bool cut)
{
    tks_frame frame;
    tks_piece piece = {.at = tks_node_place(node, m->d->file), .cut = cut};
    tks_status status = make_body(m, node, alone, &piece);
    if (!status) status = part_piece_counts(m->d, node, &piece);
    if (!status && !alone) status = part_place_read(m->d, node, &piece.placed, &frame);
    if (status) return status;
    if (alone) piece.count = 1;
    if (alone && !tks_node_get(node, "name") && !tks_node_get(node, "part"))
        m->part->item.name = piece.name;
    if (piece.placed) tks_body_place(piece.body, &frame);
    if (m->d->reading->sizes && !cut) {
        tks_vec3 low, high;
        tks_body_bounds(piece.body, &low, &high);
        part_piece_box(m, low, high);
    }
    if (piece.placed || cut) return keep_placed(m, node, &piece);
    status = add_surfaces(m, node, &piece);
    if (!status) status = part_piece_contact(m, &piece);
    return status || !m->d->reading->keep_bodies ? status : part_piece_keep(m, node, &piece);
}
