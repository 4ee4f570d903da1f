/* Patches that fasteners are built of. */
#include "geometry/fastener.h"

#include "base/vec.h"

#include <math.h>

tks_trim *geometry_trim_add(geometry_build *build, tks_patch_kind kind, tks_label label,
                            double area)
{
    tks_trim *trim = tks_arena_take(build->body->arena, 1, sizeof *trim);
    tks_patch *p = trim ? geometry_patch(build, kind, label, -1) : NULL;
    if (!p) {
        build->failed = true;
        return NULL;
    }
    p->trim = trim;
    p->area = area;
    return trim;
}

static tks_patch *last_patch(geometry_build *build)
{
    return &build->body->patches[build->body->patch_count + build->solid.patch_count - 1];
}

static void raise_last(geometry_build *build, double base)
{
    tks_patch *p = last_patch(build);
    p->frame.origin = vec3_step(p->frame.origin, base, p->frame.z);
}

void geometry_turned_add(geometry_build *build, tks_vec2 from, tks_vec2 to, tks_label label,
                         int cavity)
{
    double length = vec2_distance(from, to);
    if (!(length > GEOMETRY_SAME)) return;
    tks_patch *p = geometry_patch(build, TKS_PATCH_REVOLVED, label, cavity);
    if (!p) return;
    p->segment = geometry_line(from, to, label, cavity);
    p->travel = 2 * M_PI;
    p->area = M_PI * (from.x + to.x) * length;
}

void geometry_ring_add(geometry_build *build, double low, double high, double base, double rise,
                       double facing, tks_label label)
{
    tks_vec2 inner = {low, base + rise * low}, outer = {high, base + rise * high};
    if (high <= low) return;
    geometry_turned_add(build, facing > 0 ? outer : inner, facing > 0 ? inner : outer, label, -1);
}

/* ------------------------------------------------------------------ threads */

static tks_segment mirrored(const tks_segment *s)
{
    tks_segment m = *s;
    m.from = (tks_vec2){s->to.x, -s->to.y};
    m.to = (tks_vec2){s->from.x, -s->from.y};
    m.centre.y = -s->centre.y;
    return m;
}

static tks_segment backward(const tks_segment *s)
{
    tks_segment b = *s;
    b.from = s->to;
    b.to = s->from;
    b.turn = -s->turn;
    return b;
}

static void add_helicoid(geometry_build *build, const trim_thread *thread, double base, int piece,
                         bool mirror, double from, double to, tks_label label)
{
    double area = thread_piece_area(thread, piece, from, to) / 2;
    if (!(to > from) || !(area > 0)) return;
    tks_trim *trim = geometry_trim_add(build, TKS_PATCH_HELICOID, label, area);
    if (!trim) return;
    *trim = (tks_trim){.kind = TRIM_HELICOID, .thread = thread, .from = from, .to = to};
    tks_patch *p = last_patch(build);
    const tks_segment *half = &thread->profile.half[piece];
    p->segment = mirror ? mirrored(half) : *half;
    if (thread->profile.internal) p->segment = backward(&p->segment);
    p->advance = thread->profile.advance;
    raise_last(build, base);
}

void geometry_helicoid_add(geometry_build *build, const trim_thread *thread, double base,
                           double masked_from, double masked_to)
{
    const double planes[] = {0, masked_from, masked_to, thread->length};
    for (int part = 0; part < 3; part++)
        for (int i = 0; i < 6; i++)
            add_helicoid(build, thread, base, i / 2, i % 2, planes[part], planes[part + 1],
                         part == 1 ? TKS_MASKED : TKS_THREAD);
}

void geometry_tooth_add(geometry_build *build, const trim_thread *thread, int end, double base,
                        bool gap, double low, double high, double facing, tks_label label)
{
    if (!(high > low)) return;
    const tks_thread_profile *p = &thread->profile;
    double area = gap ? thread_gap_area(p, low, high, 0) : thread_tooth_area(p, low, high, 0);
    tks_trim *trim = geometry_trim_add(build, TKS_PATCH_TRIMMED, label, area);
    if (!trim) return;
    *trim = (tks_trim){.kind = gap ? TRIM_GAP : TRIM_TOOTH,
                       .thread = thread,
                       .low = low,
                       .high = high,
                       .base = end ? thread->length : 0,
                       .facing = facing};
    raise_last(build, base);
}

/* The cone of an end: height apex + rise * r above the thread's lower plane, which is at base. */
typedef struct end_cone {
    double apex, rise, facing, base;
    bool gap; /* shows where the thread does not reach it (a run-out), not where it does */
} end_cone;

static end_cone cone_of(const trim_thread *thread, int end, double base)
{
    const tks_thread_end *e = &thread->ends[end];
    end_cone c = {.base = base, .gap = e->kind == TKS_THREAD_RUNOUT};
    double up = (end == 0) == !c.gap ? 1 : -1; /* how its height goes with the radius */
    c.rise = up / tan(e->angle);
    c.apex = (end ? thread->length : 0) - c.rise * e->radius;
    c.facing = thread->profile.internal ? up : -up;
    return c;
}

static void add_cone_teeth(geometry_build *build, const trim_thread *thread, const end_cone *c,
                           double low, double high, tks_label label)
{
    const tks_thread_profile *p = &thread->profile;
    double area =
        c->gap ? thread_gap_area(p, low, high, c->rise) : thread_tooth_area(p, low, high, c->rise);
    tks_trim *trim = geometry_trim_add(build, TKS_PATCH_TRIMMED, label, area);
    if (!trim) return;
    *trim = (tks_trim){.kind = c->gap ? TRIM_GAP : TRIM_TOOTH,
                       .thread = thread,
                       .low = low,
                       .high = high,
                       .base = c->apex,
                       .rise = c->rise,
                       .facing = c->facing};
    raise_last(build, c->base);
}

/* The cone between two radii: under the root whole (chamfers only), above the crest whole (run-outs
 * only), between them teeth or gaps. */
static void add_cone_ring(geometry_build *build, const trim_thread *thread, const end_cone *c,
                          double low, double high, tks_label label)
{
    const tks_thread_profile *p = &thread->profile;
    double apex = c->base + c->apex;
    geometry_ring_add(build, low, fmin(high, p->inner), apex, c->rise, c->facing, label);
    geometry_ring_add(build, fmax(low, p->outer), high, apex, c->rise, c->facing, label);
    double from = fmax(low, p->inner), to = fmin(high, p->outer);
    if (to > from) add_cone_teeth(build, thread, c, from, to, label);
}

void geometry_thread_cone_add(geometry_build *build, const trim_thread *thread, int end,
                              double base, double masked_from, double masked_to)
{
    const tks_thread_profile *p = &thread->profile;
    const tks_thread_end *e = &thread->ends[end];
    if (e->kind == TKS_THREAD_SQUARE) return;
    end_cone c = cone_of(thread, end, base);
    double low = c.gap ? p->inner : fmin(e->radius, p->outer);
    double high = c.gap ? e->radius : p->outer, edges[4] = {low, 0, 0, high};
    double a = (masked_from - c.apex) / c.rise, b = (masked_to - c.apex) / c.rise;
    edges[1] = fmax(low, fmin(high, fmin(a, b)));
    edges[2] = fmax(low, fmin(high, fmax(a, b)));
    for (int i = 0; i < 3; i++)
        if (edges[i + 1] > edges[i])
            add_cone_ring(build, thread, &c, edges[i], edges[i + 1],
                          i == 1 ? TKS_MASKED : TKS_THREAD);
}

/* ------------------------------------------------------------------ a thread by itself */

typedef struct thread_record {
    geometry_fastener shared;
    trim_thread thread;
} thread_record;

static double thread_record_distance(const void *record, tks_vec3 p)
{
    const trim_thread *t = &((const thread_record *)record)->thread;
    return tks_thread_distance(&t->profile, t->length, t->ends, p);
}

static tks_status thread_record_smooth(const void *record, const tks_frame *frame, tks_body *body,
                                       tks_error *err)
{
    const trim_thread *t = &((const thread_record *)record)->thread;
    geometry_line_of_corners line = {.count = 0};
    geometry_corner_add(&line, 0, 0, TKS_END);
    geometry_corner_add(&line, t->profile.effective, 0, TKS_THREAD);
    geometry_corner_add(&line, t->profile.effective, t->length, TKS_END);
    geometry_corner_add(&line, 0, t->length, TKS_END);
    return geometry_corners_turn(&line, frame, body, err);
}

/* The flat left in an end plane: under the root a disc, above it teeth. */
static void add_face(geometry_build *build, const trim_thread *t, int end)
{
    const tks_thread_end *e = &t->ends[end];
    const tks_thread_profile *p = &t->profile;
    double plane = end ? t->length : 0, facing = end ? 1 : -1;
    double full = e->kind == TKS_THREAD_RUNOUT   ? e->radius
                  : e->kind == TKS_THREAD_SQUARE ? p->inner
                                                 : fmin(e->radius, p->inner);
    double high = e->kind == TKS_THREAD_CHAMFER ? fmin(e->radius, p->outer) : p->outer;
    geometry_ring_add(build, 0, full, plane, 0, facing, TKS_END);
    geometry_tooth_add(build, t, end, 0, false, full, high, facing, TKS_END);
}

tks_status tks_body_thread(tks_body *body, const tks_frame *frame, const tks_thread *thread,
                           double length, const tks_thread_end ends[2], tks_error *err)
{
    if (!geometry_frame_ok(frame)) return geometry_bad_frame(err);
    trim_thread t = {.length = length, .ends = {ends[0], ends[1]}};
    tks_thread_measures measures;
    tks_status status = tks_thread_profile_of(thread, &t.profile, err);
    if (status == TKS_OK) status = tks_thread_measure(&t.profile, length, ends, &measures, err);
    if (status) return status;
    thread_record *record = tks_arena_take(body->arena, 1, sizeof *record);
    if (!record) return geometry_no_memory(err);
    t.profile.internal = false; /* the plug of an internal thread is metal here */
    *record = (thread_record){{thread_record_distance, thread_record_smooth}, t};
    geometry_build build = geometry_start(body, GEOMETRY_THREAD, frame, 16);
    build.solid.thread = record;
    geometry_helicoid_add(&build, &record->thread, 0, length, length);
    for (int end = 0; end < 2; end++) {
        geometry_thread_cone_add(&build, &record->thread, end, 0, length, length);
        add_face(&build, &record->thread, end);
    }
    return geometry_finish(&build, measures.volume, err);
}

double geometry_fastener_distance(const tks_solid *solid, tks_vec3 p)
{
    const geometry_fastener *shared = solid->thread;
    return shared->distance(solid->thread, p);
}

/* ------------------------------------------------------------------ smooth bodies */

void geometry_corner_add(geometry_line_of_corners *line, double x, double y, tks_label label)
{
    tks_corner *last = line->count ? &line->corners[line->count - 1] : NULL;
    if (!last || hypot(last->at.x - x, last->at.y - y) > GEOMETRY_SAME)
        last = &line->corners[line->count++];
    *last = (tks_corner){.at = {x, y}, .label = label, .cavity = -1};
}

tks_status geometry_corners_turn(const geometry_line_of_corners *line, const tks_frame *frame,
                                 tks_body *body, tks_error *err)
{
    tks_outline profile;
    tks_status status =
        tks_outline_corners(body->arena, line->corners, line->count, false, &profile, err);
    return status ? status : tks_body_revolve(body, frame, &profile, 2 * M_PI, TKS_END, err);
}

tks_status geometry_hexagon_prism(tks_body *body, const tks_frame *frame, const tks_hexagon *h,
                                  double hole, tks_label wall, tks_error *err)
{
    tks_corner corners[6];
    tks_outline outlines[2];
    double corner = h->across_flats / sqrt(3);
    for (int i = 0; i < 6; i++) {
        double a = (2 * i + 1) * M_PI / 6;
        corners[i] = (tks_corner){
            .at = {corner * cos(a), corner * sin(a)}, .label = TKS_OUTSIDE, .cavity = -1};
    }
    tks_status status = tks_outline_corners(body->arena, corners, 6, false, &outlines[0], err);
    if (!status)
        status = tks_outline_circle(body->arena, (tks_vec2){0, 0}, hole, true, wall, -1,
                                    &outlines[1], err);
    return status ? status
                  : tks_body_extrude(body, frame, outlines, 2, h->height, TKS_OUTSIDE, TKS_OUTSIDE,
                                     NULL, 0, err);
}

tks_status tks_body_smooth(tks_arena *arena, const tks_body *body, const tks_body **smooth,
                           tks_error *err)
{
    bool all = body->solid_count > 0;
    for (size_t i = 0; i < body->solid_count; i++) all &= body->solids[i].kind == GEOMETRY_THREAD;
    *smooth = body;
    if (!all) return TKS_OK;
    tks_body *made = tks_body_new(arena);
    if (!made) return geometry_no_memory(err);
    for (size_t i = 0; i < body->solid_count; i++) {
        const tks_solid *s = &body->solids[i];
        const geometry_fastener *shared = s->thread;
        tks_body_cut(made, s->cut);
        tks_status status = shared->smooth(s->thread, &s->frame, made, err);
        if (status) return status;
    }
    *smooth = made;
    return TKS_OK;
}
