#include "geometry/path.h"
#include "geometry/solid.h"

#include "base/vec.h"

#include <math.h>
#include <string.h>

/* ---- checks */

static tks_status check_section(const tks_section *s, tks_error *err)
{
    if (s->kind == TKS_RECTANGULAR) {
        if (geometry_size_ok(s->width) && geometry_size_ok(s->height)) return TKS_OK;
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a section of %g by %g mm; both should be above zero", s->width * 1e3,
                        s->height * 1e3);
    }
    if (!geometry_size_ok(s->radius))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a section of %g mm diameter; it should be above zero", s->radius * 2e3);
    if (s->kind == TKS_ROUND) return TKS_OK;
    if (!geometry_size_ok(s->bore) || !(s->radius - s->bore >= GEOMETRY_SMALLEST))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a bore of %g mm in a tube of %g mm: there is no wall", s->bore * 2e3,
                        s->radius * 2e3);
    return TKS_OK;
}

/* How far the section reaches from the path towards the centre of a bend. */
static double reach(const tks_section *s, double psi)
{
    if (s->kind != TKS_RECTANGULAR) return s->radius;
    return (fabs(cos(psi)) * s->width + fabs(sin(psi)) * s->height) / 2;
}

/* Least advance of a coil from one turn to the next; the pitch changes evenly. */
static double least_pitch(const tks_stretch *s)
{
    double change = (s->pitch_end - s->pitch) * M_PI / s->angle;
    return fmin(s->pitch + change, s->pitch_end - change);
}

static tks_status check_stretch(const tks_stretch *s, const tks_section *section, double psi,
                                size_t number, tks_error *err)
{
    if (s->kind == TKS_STRAIGHT) return TKS_OK;
    if (!(s->radius >= reach(section, psi) * (1 - 1e-12)))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "stretch %zu: a radius of %g mm is tighter than the section, which reaches "
                        "%g mm from its centre",
                        number, s->radius * 1e3, reach(section, psi) * 1e3);
    if (s->kind == TKS_BEND) return TKS_OK;
    if (section->kind == TKS_RECTANGULAR)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "stretch %zu: only round wire and tube can be coiled", number);
    if (s->angle > 2 * M_PI && least_pitch(s) < 2 * section->radius * (1 - 1e-9))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "stretch %zu: a pitch of %g mm is below the %g mm of the wire, so turns "
                        "would run into one another",
                        number, least_pitch(s) * 1e3, section->radius * 2e3);
    return TKS_OK;
}

/* ---- the section and the way it stands along the path */

static void make_section(geometry_sweep *w, tks_segment segments[4])
{
    const tks_section *s = &w->section;
    w->outline_count = 1;
    if (s->kind == TKS_RECTANGULAR) {
        double x = s->width / 2, y = s->height / 2;
        tks_vec2 c[5] = {{x, -y}, {x, y}, {-x, y}, {-x, -y}, {x, -y}};
        for (int i = 0; i < 4; i++) segments[i] = geometry_line(c[i], c[i + 1], TKS_OUTSIDE, -1);
        w->outlines[0] = (tks_outline){segments, 4, 0};
        return;
    }
    tks_vec2 o = {0, 0};
    segments[0] = geometry_circle(o, s->radius, 0, false, TKS_OUTSIDE, -1);
    w->outlines[0] = (tks_outline){&segments[0], 1, 0};
    if (s->kind == TKS_ROUND) return;
    segments[1] = geometry_circle(o, s->bore, 0, true, s->inside, s->cavity);
    w->outlines[1] = (tks_outline){&segments[1], 1, 0};
    w->outline_count = 2;
}

/* The section keeps its side as it moves; frames turn with the plane of the bends. */
static void follow_section(geometry_sweep *w)
{
    tks_vec3 side = w->path.stretches[0].start.x;
    for (size_t i = 0; i < w->path.count; i++) {
        const tks_stretch *s = &w->path.stretches[i];
        w->psi[i] = atan2(vec3_dot(side, s->start.y), vec3_dot(side, s->start.x));
        tks_frame end = geometry_stretch_frame(s, 1);
        w->last = geometry_frame_turned(&end, w->psi[i]);
        side = w->last.x;
    }
    w->first = w->path.stretches[0].start;
}

/* The record of the sweep, all in the arena; NULL when memory is short. */
static geometry_sweep *make_sweep(tks_arena *arena, const tks_path *path,
                                  const tks_section *section)
{
    geometry_sweep *w = tks_arena_take(arena, 1, sizeof *w);
    tks_stretch *stretches = tks_arena_take(arena, path->count, sizeof *stretches);
    double *psi = tks_arena_take(arena, path->count, sizeof *psi);
    tks_outline *outlines = tks_arena_take(arena, 2, sizeof *outlines);
    tks_segment *segments = tks_arena_take(arena, 4, sizeof *segments);
    if (!w || !stretches || !psi || !outlines || !segments) return NULL;
    memcpy(stretches, path->stretches, path->count * sizeof *stretches);
    *w = (geometry_sweep){.path = *path, .section = *section, .psi = psi, .outlines = outlines};
    w->path.stretches = stretches;
    make_section(w, segments);
    follow_section(w);
    return w;
}

/* ---- patches */

static tks_vec2 turned(tks_vec2 p, double psi)
{
    double c = cos(psi), n = sin(psi);
    return (tks_vec2){c * p.x - n * p.y, n * p.x + c * p.y};
}

/* A segment of the section as it stands in the stretch's frame. */
static tks_segment turned_segment(const tks_segment *s, double psi)
{
    tks_segment t = *s;
    if (psi == 0) return t;
    t.from = turned(s->from, psi);
    t.to = turned(s->to, psi);
    t.centre = turned(s->centre, psi);
    return t;
}

/* Seen in the half-plane of the bend's axis, where the radius grows away from the centre, the
 * section is a mirror image, so that its segments run the other way. */
static tks_segment mirrored(const tks_segment *s, double radius)
{
    tks_segment m = *s;
    m.from = (tks_vec2){radius - s->to.x, s->to.y};
    m.to = (tks_vec2){radius - s->from.x, s->from.y};
    m.centre = (tks_vec2){radius - s->centre.x, s->centre.y};
    return m;
}

static tks_frame bend_axis(const tks_stretch *s)
{
    return (tks_frame){vec3_step(s->start.origin, s->radius, s->start.x),
                       vec3_scale(s->start.x, -1), s->start.z, s->start.y};
}

static const tks_patch_kind patch_kinds[] = {
    [TKS_STRAIGHT] = TKS_PATCH_PRISM,
    [TKS_BEND] = TKS_PATCH_REVOLVED,
    [TKS_COIL] = TKS_PATCH_COIL,
};

static void shape_patch(tks_patch *p, const tks_stretch *s, const tks_segment *segment)
{
    double length = tks_segment_length(segment);
    p->segment = s->kind == TKS_BEND ? mirrored(segment, s->radius) : *segment;
    p->travel = s->kind == TKS_STRAIGHT ? s->length : s->angle;
    p->area = length * s->length;
    if (s->kind == TKS_BEND) p->area = length * s->angle * geometry_segment_mean(&p->segment).x;
    p->radius = s->radius;
    p->pitch = s->pitch;
    p->pitch_end = s->pitch_end;
    p->hand = s->hand;
}

static void add_stretch(geometry_build *build, const geometry_sweep *w, size_t i)
{
    const tks_stretch *s = &w->path.stretches[i];
    tks_frame frame = s->kind == TKS_BEND ? bend_axis(s) : s->start;
    for (size_t o = 0; o < w->outline_count; o++)
        for (size_t k = 0; k < w->outlines[o].count; k++) {
            tks_segment segment = turned_segment(&w->outlines[o].segments[k], w->psi[i]);
            tks_patch *p =
                geometry_patch(build, patch_kinds[s->kind], segment.label, segment.cavity);
            if (!p) return;
            p->frame = frame_compose(&build->solid.frame, &frame);
            shape_patch(p, s, &segment);
        }
}

static void add_ends(geometry_build *build, const geometry_sweep *w)
{
    if (w->path.closed) return;
    const tks_section *s = &w->section;
    bool full = s->kind == TKS_TUBULAR && s->inside == TKS_SEALED;
    size_t count = full ? 1 : w->outline_count;
    double area = 0;
    for (size_t o = 0; o < count; o++) area += tks_outline_area(&w->outlines[o]);
    geometry_plane(build, &w->first, w->outlines, count, true, area, s->start, -1);
    geometry_plane(build, &w->last, w->outlines, count, false, area, s->end, -1);
}

static tks_status check_path(const geometry_sweep *w, tks_error *err)
{
    for (size_t i = 0; i < w->path.count; i++) {
        tks_status status =
            check_stretch(&w->path.stretches[i], &w->section, w->psi[i], i + 1, err);
        if (status) return status;
    }
    const tks_section *s = &w->section;
    double radius = s->kind == TKS_RECTANGULAR ? fmin(s->width, s->height) / 2 : s->radius;
    size_t a = 0, b = 0;
    if (w->path.count < 2 || geometry_path_clear(&w->path, radius, &a, &b)) return TKS_OK;
    return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                    "the path runs through itself: stretch %zu meets stretch %zu", a + 1, b + 1);
}

tks_status tks_body_sweep(tks_body *body, const tks_path *path, const tks_section *section,
                          tks_error *err)
{
    if (path->count == 0)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "a path needs a straight, bend or coil");
    tks_status status = check_section(section, err);
    if (status) return status;
    geometry_sweep *w = make_sweep(body->arena, path, section);
    if (!w) return geometry_no_memory(err);
    status = check_path(w, err);
    if (status) return status;
    tks_frame identity = frame_identity();
    size_t patches = path->count * (section->kind == TKS_RECTANGULAR ? 4 : w->outline_count) + 2;
    geometry_build build = geometry_start(body, GEOMETRY_SWEEP, &identity, patches);
    build.solid.sweep = w;
    for (size_t i = 0; i < path->count; i++) add_stretch(&build, w, i);
    add_ends(&build, w);
    double area = 0;
    for (size_t o = 0; o < w->outline_count; o++) area += tks_outline_area(&w->outlines[o]);
    return geometry_finish(&build, area * path->length, err);
}
