/* Screws, nuts and tapped holes of a shape: the keys of their solids, and the making. */
#include "shape/model.h"

#include <stddef.h>
#include <string.h>

/* What the keys fill; hand: -1 left, 1 right, 0 as the thread says. */
typedef struct fastener {
    tks_screw screw;
    tks_nut nut;
    double hand, square_tip, masked, basic;
    double length, mouth[2]; /* of a tapped hole; diameters of the countersinks, 0: none */
} fastener;

typedef struct field_row {
    const char *key;
    tks_kind kind;
    size_t offset;
} field_row;

#define FIELD(key, kind, field)                                                                    \
    {                                                                                              \
        key, kind, offsetof(fastener, field)                                                       \
    }

static const field_row screw_fields[] = {
    FIELD("thread length", TKS_LENGTH, screw.thread_length),
    FIELD("run out", TKS_LENGTH, screw.runout),
    FIELD("shank diameter", TKS_LENGTH, screw.shank_diameter),
    FIELD("shank length", TKS_LENGTH, screw.shank_length),
    FIELD("second length", TKS_LENGTH, screw.second_length),
    FIELD("across flats", TKS_LENGTH, screw.hexagon.across_flats),
    FIELD("hexagon height", TKS_LENGTH, screw.hexagon.height),
    FIELD("bottom circle", TKS_LENGTH, screw.hexagon.circle[0]),
    FIELD("top circle", TKS_LENGTH, screw.hexagon.circle[1]),
    FIELD("chamfer angle", TKS_ANGLE, screw.hexagon.angle),
    FIELD("head diameter", TKS_LENGTH, screw.head_diameter),
    FIELD("head height", TKS_LENGTH, screw.head_height),
    FIELD("edge", TKS_LENGTH, screw.edge),
    FIELD("cone", TKS_ANGLE, screw.cone),
    FIELD("socket", TKS_LENGTH, screw.socket.across_flats),
    FIELD("socket depth", TKS_LENGTH, screw.socket.depth),
    FIELD("socket angle", TKS_ANGLE, screw.socket.angle),
    FIELD("masked from", TKS_LENGTH, screw.masked_from),
    FIELD("masked length", TKS_LENGTH, screw.masked_length),
    FIELD("square tip", TKS_NUMBER, square_tip),
    FIELD("basic", TKS_NUMBER, basic),
    FIELD("hand", TKS_NUMBER, hand),
};

static const field_row nut_fields[] = {
    FIELD("across flats", TKS_LENGTH, nut.hexagon.across_flats),
    FIELD("height", TKS_LENGTH, nut.hexagon.height),
    FIELD("bottom circle", TKS_LENGTH, nut.hexagon.circle[0]),
    FIELD("top circle", TKS_LENGTH, nut.hexagon.circle[1]),
    FIELD("chamfer angle", TKS_ANGLE, nut.hexagon.angle),
    FIELD("countersink", TKS_LENGTH, nut.countersink),
    FIELD("collar diameter", TKS_LENGTH, nut.collar_diameter),
    FIELD("collar height", TKS_LENGTH, nut.collar_height),
    FIELD("collar bore", TKS_LENGTH, nut.collar_bore),
    FIELD("masked", TKS_NUMBER, masked),
    FIELD("hand", TKS_NUMBER, hand),
};

static const field_row tap_fields[] = {
    FIELD("length", TKS_LENGTH, length),
    FIELD("near mouth", TKS_LENGTH, mouth[0]),
    FIELD("far mouth", TKS_LENGTH, mouth[1]),
    FIELD("hand", TKS_NUMBER, hand),
};

enum { SCREW_FIELDS = sizeof screw_fields / sizeof screw_fields[0] };
enum { NUT_FIELDS = sizeof nut_fields / sizeof nut_fields[0] };
enum { TAP_FIELDS = sizeof tap_fields / sizeof tap_fields[0] };

static const field_row *fields_of(const shape_solid *solid, size_t *count)
{
    switch (solid->generator) {
    case SHAPE_SCREW: *count = SCREW_FIELDS; return screw_fields;
    case SHAPE_NUT: *count = NUT_FIELDS; return nut_fields;
    default: *count = TAP_FIELDS; return tap_fields;
    }
}

static tks_status read_head(const tks_shape *shape, const tks_node *node, shape_solid *solid,
                            tks_error *err)
{
    static const char *const heads[] = {"none", "hexagon", "cylinder", "countersunk", "button"};
    size_t index = 0;
    if (!node) return TKS_OK;
    tks_status status = tks_node_choice(node, shape->file, "head", heads, 5, &index, err);
    solid->head = (tks_head_kind)index;
    return status;
}

tks_status shape_fastener_read(tks_arena *arena, const tks_shape *shape, const tks_node *node,
                               shape_solid *solid, tks_error *err)
{
    size_t count;
    const field_row *rows = fields_of(solid, &count);
    const char *keys[SCREW_FIELDS + 1];
    for (size_t i = 0; i < count; i++) keys[i] = rows[i].key;
    keys[count] = "head";
    tks_status status = tks_node_expect(node, shape->file, TKS_MAP, "a fastener", err);
    bool screw = solid->generator == SHAPE_SCREW;
    if (!status) status = tks_node_known(node, shape->file, "it", keys, count + screw, err);
    if (!status && shape->thread < 0)
        status = tks_fail(err, TKS_EMISSING, tks_node_place(node, shape->file),
                          "a fastener needs a parameter of kind thread");
    if (!status) status = read_head(shape, tks_node_get(node, "head"), solid, err);
    if (status) return status;
    solid->fields = tks_arena_take(arena, count, sizeof *solid->fields);
    if (!solid->fields) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    for (size_t i = 0; i < count && !status; i++) {
        const tks_node *value = tks_node_get(node, rows[i].key);
        if (value) status = shape_formula_read(arena, shape, value, &solid->fields[i], err);
    }
    return status;
}

/* The thread, with the hand that was asked for; one that contradicts its designation is refused. */
static tks_status thread_of(const shape_values *values, double hand, tks_thread *thread,
                            tks_error *err)
{
    const tks_designation *d = &values->thread;
    const tks_node *node = values->nodes[values->shape->thread];
    *thread = tks_thread_of_size(d->size);
    thread->left = hand != 0 ? hand < 0 : d->left;
    if (!d->hand_said || thread->left == d->left) return TKS_OK;
    return tks_fail(err, TKS_EDOMAIN, node ? tks_node_place(node, values->file) : values->at,
                    "the thread is written as %s-handed, but hand says %s; give one of the two",
                    d->left ? "left" : "right", d->left ? "right" : "left");
}

/* The plug that a tapped hole is cut with, countersunk where asked. */
static tks_status make_tap(const fastener *f, const tks_frame *frame, tks_body *body,
                           tks_error *err)
{
    tks_thread_profile profile;
    tks_thread thread = f->screw.thread;
    thread.internal = true;
    tks_status status = tks_thread_profile_of(&thread, &profile, err);
    if (status) return status;
    tks_thread_end ends[2];
    for (int i = 0; i < 2; i++) {
        ends[i] = (tks_thread_end){TKS_THREAD_SQUARE, 0, 0};
        if (f->mouth[i] == 0) continue;
        ends[i] = tks_thread_countersink(&profile);
        ends[i].radius = f->mouth[i] / 2;
    }
    return tks_body_thread(body, frame, &thread, f->length, ends, err);
}

tks_status shape_fastener_make(const shape_values *values, const shape_solid *solid,
                               const tks_frame *frame, tks_body *body, tks_error *err)
{
    size_t count;
    const field_row *rows = fields_of(solid, &count);
    fastener f;
    memset(&f, 0, sizeof f);
    tks_status status = TKS_OK;
    for (size_t i = 0; i < count && !status; i++) {
        double *field = (double *)(void *)((char *)&f + rows[i].offset);
        status = shape_evaluate(values, &solid->fields[i], rows[i].kind, 0, field, err);
    }
    if (!status) status = thread_of(values, f.hand, &f.screw.thread, err);
    if (status) return status;
    f.screw.thread.basic = f.basic != 0;
    f.nut.thread = f.screw.thread;
    f.nut.masked = f.masked != 0;
    f.screw.square_tip = f.square_tip != 0;
    f.screw.head = solid->head;
    tks_error inner = {0};
    switch (solid->generator) {
    case SHAPE_SCREW: status = tks_body_screw(body, frame, &f.screw, &inner); break;
    case SHAPE_NUT: status = tks_body_nut(body, frame, &f.nut, &inner); break;
    default: status = make_tap(&f, frame, body, &inner); break;
    }
    return status ? tks_fail(err, status, values->at, "%s: %s", values->shape->name, inner.text)
                  : TKS_OK;
}
