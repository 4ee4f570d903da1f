/* Where a piece stands, and messages about nodes. */
#include "part/reading.h"

#include "base/vec.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

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

tks_status part_path_beside(const part_document *d, const tks_node *node,
                            char path[PART_LONGEST_PATH])
{
    bool absolute = node->text[0] == '/' || !d->folder[0];
    int size = snprintf(path, PART_LONGEST_PATH, "%s%s%s", absolute ? "" : d->folder,
                        absolute ? "" : "/", node->text);
    if (size < 0 || size >= PART_LONGEST_PATH)
        return part_fail(d, TKS_ELIMIT, node, "this path is too long");
    return TKS_OK;
}

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

static tks_status read_origin(const part_document *d, const tks_node *node, double origin[3])
{
    enum { FARTHEST = 100 }; /* m: as far as a shape may be long */
    tks_status status = tks_node_vector(node, d->file, TKS_LENGTH, "at", 3, origin, d->err);
    for (int i = 0; i < 3 && !status; i++)
        if (!(fabs(origin[i]) <= FARTHEST))
            status = part_fail(d, TKS_EDOMAIN, node, "at is more than %d m away", FARTHEST);
    return status;
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
    if (at) status = read_origin(d, at, origin);
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
