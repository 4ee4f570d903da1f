/* What is stopped off: `masked:` of a piece or a part. */
#include "part/reading.h"

#include <math.h>

static tks_status read_area(const part_document *d, const tks_node *node, part_mask *mask)
{
    double more = 0;
    tks_status status = tks_node_quantity(node, d->file, TKS_AREA, "masked", &more, d->err);
    if (!status && more < 0)
        status = part_fail(d, TKS_EDOMAIN, node, "masked is '%.40s'; it must not be below zero",
                           node->text);
    if (!status) mask->area += more;
    return status;
}

/* {box: [[0, 0, 0], [10, 10, 5]] mm}: two opposite corners. */
static tks_status read_box(const part_document *d, const tks_node *node, part_mask *mask)
{
    static const char *const keys[] = {"box"};
    double a[3], b[3];
    tks_status status = tks_node_known(node, d->file, "a mask", keys, 1, d->err);
    const tks_node *box = tks_node_get(node, "box");
    if (!status && (!box || box->kind != TKS_LIST || box->count != 2))
        status = part_fail(d, TKS_ESYNTAX, node,
                           "a masked box has two corners, as in {box: [[0,0,0], [10,10,5]] mm}");
    if (!status)
        status = tks_node_vector(box->first, d->file, TKS_LENGTH, "a corner", 3, a, d->err);
    if (!status)
        status = tks_node_vector(box->first->next, d->file, TKS_LENGTH, "a corner", 3, b, d->err);
    if (status) return status;
    mask->boxes[mask->box_count++] =
        (tks_mesh_box){{fmin(a[0], b[0]), fmin(a[1], b[1]), fmin(a[2], b[2])},
                       {fmax(a[0], b[0]), fmax(a[1], b[1]), fmax(a[2], b[2])}};
    return TKS_OK;
}

static tks_status read_item(const part_document *d, const tks_node *node, part_mask *mask)
{
    if (node->kind == TKS_MAP) return read_box(d, node, mask);
    tks_label label = tks_label_find(node->text, node->length);
    if (label < TKS_LABEL_COUNT && tks_label_wetted(label)) {
        mask->labels |= 1u << label;
        return TKS_OK;
    }
    bool number = (node->text[0] >= '0' && node->text[0] <= '9') || node->text[0] == '.' ||
                  node->text[0] == '-';
    if (number || !node->length) return read_area(d, node, mask);
    return part_fail(
        d, TKS_EUNKNOWN, node,
        "masked is '%.40s'; write an area, or any of outside, end, thread, hole, inside",
        node->text);
}

tks_status part_mask_read(const part_document *d, const tks_node *node, part_mask *mask)
{
    *mask = (part_mask){.where = node};
    if (!node) return TKS_OK;
    mask->boxes = tks_arena_take(d->reading->arena, node->kind == TKS_LIST ? node->count : 1,
                                 sizeof *mask->boxes);
    if (!mask->boxes) return part_fail(d, TKS_EMEMORY, node, "out of memory");
    if (node->kind != TKS_LIST) return read_item(d, node, mask);
    tks_status status = TKS_OK;
    for (const tks_node *item = node->first; item && !status; item = item->next)
        status = read_item(d, item, mask);
    return status;
}
