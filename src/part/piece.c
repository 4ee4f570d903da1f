/* One piece of a part: its shape's body, where it stands, and what hides some of it. */
#include "part/reading.h"

#include "base/vec.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

const char *const part_piece_keys[] = {"shape", "name", "count", "contact", "masked",
                                       "at",    "axis", "turn",  "x axis",  "note"};
const size_t part_piece_key_count = sizeof part_piece_keys / sizeof part_piece_keys[0];

tks_status part_fail(const part_document *d, tks_status code, const tks_node *node,
                     const char *format, ...)
{
    char text[300];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    return tks_fail(d->err, code, tks_node_place(node, d->file), "%s", text);
}

/* ------------------------------------------------------------------ places */

/* The frame that the smallest rotation from z to the axis makes of the world's. */
static tks_frame smallest_rotation(tks_vec3 axis)
{
    if (axis.z < -1 + 1e-12) return (tks_frame){{0, 0, 0}, {1, 0, 0}, {0, -1, 0}, {0, 0, -1}};
    /* Rodrigues' formula about z x axis, for the images of x and y. */
    double k = 1 / (1 + axis.z);
    tks_vec3 x = vec3(1 - k * axis.x * axis.x, -k * axis.x * axis.y, -axis.x);
    return (tks_frame){{0, 0, 0}, x, vec3_cross(axis, x), axis};
}

static void turn_about_z(tks_frame *f, double angle)
{
    tks_vec3 x = vec3_add(vec3_scale(f->x, cos(angle)), vec3_scale(f->y, sin(angle)));
    f->x = x;
    f->y = vec3_cross(f->z, x);
}

static tks_status read_direction(const part_document *d, const tks_node *node, const char *what,
                                 tks_vec3 *out)
{
    double v[3];
    tks_status status = tks_node_vector(node, d->file, TKS_NUMBER, what, 3, v, d->err);
    if (status) return status;
    tks_vec3 direction = vec3(v[0], v[1], v[2]);
    double length = vec3_length(direction);
    if (!(length > 1e-9 && length < 1e9))
        return part_fail(d, TKS_EDOMAIN, node, "%s has no direction; write it as in [0, 0, 1]",
                         what);
    *out = vec3_unit(direction);
    return TKS_OK;
}

static tks_status read_x_axis(const part_document *d, const tks_node *node, tks_frame *frame)
{
    tks_vec3 x;
    tks_status status = read_direction(d, node, "x axis", &x);
    if (status) return status;
    x = vec3_step(x, -vec3_dot(x, frame->z), frame->z);
    if (vec3_length(x) < 1e-6)
        return part_fail(d, TKS_EDOMAIN, node, "x axis points along the axis");
    frame->x = vec3_unit(x);
    frame->y = vec3_cross(frame->z, frame->x);
    return TKS_OK;
}

tks_status part_place_read(const part_document *d, const tks_node *node, bool *placed,
                           tks_frame *frame)
{
    const tks_node *at = tks_node_get(node, "at"), *axis = tks_node_get(node, "axis");
    const tks_node *turn = tks_node_get(node, "turn"), *x_axis = tks_node_get(node, "x axis");
    tks_vec3 z = vec3(0, 0, 1);
    double origin[3] = {0}, angle = 0;
    tks_status status = TKS_OK;
    *placed = at || axis || turn || x_axis;
    *frame = frame_identity();
    if (!*placed) return TKS_OK;
    if (at) status = tks_node_vector(at, d->file, TKS_LENGTH, "at", 3, origin, d->err);
    if (!status && axis) status = read_direction(d, axis, "axis", &z);
    if (!status && turn)
        status = tks_node_quantity(turn, d->file, TKS_ANGLE, "turn", &angle, d->err);
    if (!status && turn && x_axis)
        status = part_fail(d, TKS_EDOMAIN, x_axis, "give turn or x axis, not both");
    if (status) return status;
    *frame = smallest_rotation(z);
    turn_about_z(frame, angle);
    if (x_axis) status = read_x_axis(d, x_axis, frame);
    frame->origin = vec3(origin[0], origin[1], origin[2]);
    return status;
}

/* ------------------------------------------------------------------ masks */

static tks_status read_mask_item(const part_document *d, const tks_node *node, unsigned *labels,
                                 double *area)
{
    tks_label label = tks_label_find(node->text, node->length);
    double more = 0;
    bool wettable = label < TKS_LABEL_COUNT && tks_label_wetted(label);
    if (wettable) {
        *labels |= 1u << label;
        return TKS_OK;
    }
    if (node->length && (node->text[0] < '0' || node->text[0] > '9') && node->text[0] != '.')
        return part_fail(
            d, TKS_EUNKNOWN, node,
            "masked is '%.40s'; write an area, or any of outside, end, thread, hole, inside",
            node->text);
    tks_status status = tks_node_quantity(node, d->file, TKS_AREA, "masked", &more, d->err);
    if (!status && more < 0)
        status = part_fail(d, TKS_EDOMAIN, node, "masked is '%.40s'; it must not be below zero",
                           node->text);
    if (!status) *area += more;
    return status;
}

tks_status part_masked_read(const part_document *d, const tks_node *node, unsigned *labels,
                            double *area)
{
    *labels = 0;
    *area = 0;
    if (!node) return TKS_OK;
    if (node->kind == TKS_SCALAR) return read_mask_item(d, node, labels, area);
    tks_status status = tks_node_expect(node, d->file, TKS_LIST, "labels or an area", d->err);
    for (const tks_node *item = node->first; item && !status; item = item->next)
        status = read_mask_item(d, item, labels, area);
    return status;
}

/* ------------------------------------------------------------------ the piece */

static tks_status read_body(const part_document *d, const tks_node *node, const char *part_name,
                            tks_piece *piece)
{
    const tks_node *name = tks_node_get(node, "shape"), *given = tks_node_get(node, "name");
    const tks_shape *shape = NULL;
    char what[160];
    if (!name || name->kind != TKS_SCALAR || !name->length)
        return part_fail(
            d, TKS_EMISSING, name ? name : node,
            "a piece needs its shape, as in `shape: plate`; `tankside shapes` lists them");
    tks_status status = tks_shapes_find(d->reading->shapes, name->text, name->length, d->folder,
                                        tks_node_place(name, d->file), &shape, d->err);
    if (status) return status;
    piece->name = tks_shape_name(shape);
    if (given && given->length)
        piece->name = tks_arena_text(d->reading->arena, given->text, given->length);
    if (!piece->name) return part_fail(d, TKS_EMEMORY, node, "out of memory");
    snprintf(what, sizeof what, "%s%s%s", part_name, part_name[0] ? ", " : "", piece->name);
    tks_arena *arena = d->reading->keep_bodies ? d->reading->arena : d->reading->scratch;
    return tks_shape_make(shape, node, d->file, part_piece_keys, part_piece_key_count, arena,
                          d->reading->cautions, what, &piece->body, d->err);
}

tks_status part_piece_read(const part_document *d, const tks_node *node, const char *part_name,
                           tks_piece *piece)
{
    enum { MOST = 1000000 };
    const tks_node *count = tks_node_get(node, "count"), *contact = tks_node_get(node, "contact");
    *piece = (tks_piece){.count = 1, .at = tks_node_place(node, d->file)};
    tks_status status = tks_node_expect(node, d->file, TKS_MAP, "a piece", d->err);
    if (!status) status = read_body(d, node, part_name, piece);
    if (!status && count)
        status = tks_node_count(count, d->file, "count", 1, MOST, &piece->count, d->err);
    if (!status && contact)
        status = tks_node_quantity(contact, d->file, TKS_AREA, "contact", &piece->contact, d->err);
    if (!status && piece->contact < 0)
        status = part_fail(d, TKS_EDOMAIN, contact, "contact is '%.40s'; it must not be below zero",
                           contact->text);
    return status;
}
