#include "geometry/solid.h"

#include "base/sum.h"
#include "base/vec.h"

#include <string.h>

tks_body *tks_body_new(tks_arena *arena)
{
    geometry_body *made = tks_arena_take(arena, 1, sizeof *made);
    if (!made) return NULL;
    made->body.arena = arena;
    return &made->body;
}

static geometry_body *whole(tks_body *body)
{
    return (geometry_body *)(void *)body;
}

/* A block with room for more items than before, holding the old ones; NULL when memory is short.
 * The old block stays in the arena: doubling keeps that waste below the size in use. */
static void *grown(tks_arena *arena, const void *old, size_t used, size_t size, size_t wanted,
                   size_t *room)
{
    size_t more = *room ? *room : 4;
    while (more < wanted) more *= 2;
    void *block = tks_arena_take(arena, more, size);
    if (!block) return NULL;
    if (used) memcpy(block, old, used * size);
    *room = more;
    return block;
}

static bool patch_room(tks_body *body, size_t wanted)
{
    geometry_body *b = whole(body);
    if (wanted <= b->patch_room) return true;
    tks_patch *patches = grown(body->arena, body->patches, body->patch_count, sizeof *patches,
                               wanted, &b->patch_room);
    if (patches) body->patches = patches;
    return patches != NULL;
}

static bool solid_room(tks_body *body)
{
    geometry_body *b = whole(body);
    if (body->solid_count < b->solid_room) return true;
    tks_solid *solids = grown(body->arena, body->solids, body->solid_count, sizeof *solids,
                              body->solid_count + 1, &b->solid_room);
    if (solids) body->solids = solids;
    return solids != NULL;
}

tks_status geometry_no_memory(tks_error *err)
{
    return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory for a solid");
}

tks_status tks_body_cavity(tks_body *body, tks_cavity cavity, int *index, tks_error *err)
{
    if (!geometry_size_ok(cavity.width) || !geometry_size_ok(cavity.length) || cavity.mouths < 1 ||
        cavity.mouths > 2)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a cavity of width %g mm and length %g mm with %d mouths: sizes should be "
                        "above zero, mouths 1 or 2",
                        cavity.width * 1e3, cavity.length * 1e3, cavity.mouths);
    geometry_body *b = whole(body);
    if (body->cavity_count == b->cavity_room) {
        tks_cavity *cavities = grown(body->arena, body->cavities, body->cavity_count,
                                     sizeof *cavities, body->cavity_count + 1, &b->cavity_room);
        if (!cavities) return geometry_no_memory(err);
        body->cavities = cavities;
    }
    *index = (int)body->cavity_count;
    body->cavities[body->cavity_count++] = cavity;
    return TKS_OK;
}

void tks_body_cut(tks_body *body, bool cut)
{
    whole(body)->cut = cut;
    if (cut) body->overlap = true;
}

geometry_build geometry_start(tks_body *body, geometry_solid_kind kind, const tks_frame *frame,
                              size_t patches)
{
    geometry_build build = {.body = body};
    build.solid.kind = kind;
    build.solid.frame = *frame;
    build.solid.cut = whole(body)->cut;
    build.solid.first_patch = body->patch_count;
    build.failed = !patch_room(body, body->patch_count + patches) || !solid_room(body);
    return build;
}

tks_patch *geometry_patch(geometry_build *build, tks_patch_kind kind, tks_label label, int cavity)
{
    tks_body *body = build->body;
    size_t at = body->patch_count + build->solid.patch_count;
    if (build->failed || !patch_room(body, at + 1)) {
        build->failed = true;
        return NULL;
    }
    build->solid.patch_count++;
    tks_patch *p = &body->patches[at];
    memset(p, 0, sizeof *p);
    p->kind = kind;
    p->label = label;
    p->cavity = cavity;
    p->solid = (unsigned)body->solid_count;
    p->frame = build->solid.frame;
    return p;
}

void geometry_plane(geometry_build *build, const tks_frame *frame, const tks_outline *outlines,
                    size_t count, bool reversed, double area, tks_label label, int cavity)
{
    if (label == TKS_JOINT) return;
    tks_patch *p = geometry_patch(build, TKS_PATCH_PLANE, label, cavity);
    if (!p) return;
    p->frame = frame_compose(&build->solid.frame, frame);
    p->outlines = outlines;
    p->outline_count = count;
    p->reversed = reversed;
    p->area = area;
}

tks_status geometry_finish(geometry_build *build, double volume, tks_error *err)
{
    if (build->failed) return geometry_no_memory(err);
    tks_body *body = build->body;
    body->solids[body->solid_count++] = build->solid;
    body->patch_count += build->solid.patch_count;
    body->volume += build->solid.cut ? -volume : volume;
    return TKS_OK;
}

bool geometry_frame_ok(const tks_frame *f)
{
    tks_vec3 z = vec3_cross(f->x, f->y);
    return vec3_length(f->origin) <= 2 * GEOMETRY_LARGEST && vec3_distance(z, f->z) <= 1e-9 &&
           fabs(vec3_length(f->x) - 1) <= 1e-9 && fabs(vec3_length(f->y) - 1) <= 1e-9 &&
           fabs(vec3_dot(f->x, f->y)) <= 1e-9;
}

tks_status geometry_bad_frame(tks_error *err)
{
    return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                    "a place whose axes are not square, or that is farther than 2000 m away");
}

void tks_body_place(tks_body *body, const tks_frame *frame)
{
    for (size_t i = 0; i < body->patch_count; i++)
        body->patches[i].frame = frame_compose(frame, &body->patches[i].frame);
    for (size_t i = 0; i < body->solid_count; i++)
        body->solids[i].frame = frame_compose(frame, &body->solids[i].frame);
}

double tks_body_area(const tks_body *body, tks_label label)
{
    base_sum sum = {0, 0};
    for (size_t i = 0; i < body->patch_count; i++)
        if (body->patches[i].label == label) base_sum_add(&sum, body->patches[i].area);
    return base_sum_total(&sum);
}

double tks_body_wetted(const tks_body *body)
{
    base_sum sum = {0, 0};
    for (size_t i = 0; i < body->patch_count; i++)
        if (tks_label_wetted(body->patches[i].label)) base_sum_add(&sum, body->patches[i].area);
    return base_sum_total(&sum);
}
