#include "geometry/solid.h"

#include "base/sum.h"
#include "base/vec.h"

#include <math.h>
#include <stdio.h>

/* An extrusion under construction. */
typedef struct extrusion {
    const tks_outline *outlines;
    size_t outline_count;
    double length;
    const tks_pierce *pierces;
    size_t pierce_count;
    geometry_drill *drills; /* one for each pierce */
} extrusion;

static tks_status check_outlines(const tks_outline *outlines, size_t count, tks_error *err)
{
    if (count == 0)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "an extrusion needs an outline");
    tks_status status = geometry_outline_check(&outlines[0], false, "the outline", err);
    if (status) return status;
    for (size_t i = 1; i < count; i++)
        if (geometry_outline_check(&outlines[i], true, "", NULL)) {
            char name[32]; /* made only when it is needed: plates may have 10,000 holes */
            snprintf(name, sizeof name, "hole %zu", i);
            return geometry_outline_check(&outlines[i], true, name, err);
        }
    return geometry_holes_check(outlines, count, err);
}

/* ---- pierces */

static tks_segment axis_in_plane(const geometry_drill *d)
{
    tks_vec2 from = {d->from.x, d->from.y};
    tks_vec2 to = {from.x + d->length * d->along.x, from.y + d->length * d->along.y};
    return geometry_line(from, to, TKS_HOLE, -1);
}

static bool on_face(const tks_segment *face, double along, double across, double radius,
                    double length)
{
    double room = radius + GEOMETRY_SAME;
    return along > room && along < tks_segment_length(face) - room && across > room &&
           across < length - room;
}

static tks_vec2 on_segment(const tks_segment *s, double along)
{
    tks_vec2 t = geometry_segment_tangent(s, 0);
    return (tks_vec2){s->from.x + along * t.x, s->from.y + along * t.y};
}

static bool faces_ok(const extrusion *x, const tks_pierce *p)
{
    size_t sides = x->outlines[0].count;
    if (p->entry >= sides || p->exit >= sides || p->entry == p->exit) return false;
    const tks_segment *entry = &x->outlines[0].segments[p->entry];
    const tks_segment *exit = &x->outlines[0].segments[p->exit];
    if (entry->turn != 0 || exit->turn != 0) return false;
    tks_vec2 s = geometry_segment_tangent(entry, 0), t = geometry_segment_tangent(exit, 0);
    return s.x * t.x + s.y * t.y < 0 && fabs(vec2_cross(s, t)) <= 1e-9;
}

/* Half the way from the mouth of the drill to the nearest other surface: so far it may reach out of
 * the face without cutting anything else. */
static double free_way(const tks_outline *outer, size_t face, tks_vec2 mouth, double radius)
{
    tks_vec2 t = geometry_segment_tangent(&outer->segments[face], 0);
    tks_segment width =
        geometry_line((tks_vec2){mouth.x - radius * t.x, mouth.y - radius * t.y},
                      (tks_vec2){mouth.x + radius * t.x, mouth.y + radius * t.y}, TKS_HOLE, -1);
    double least = 2 * radius;
    for (size_t i = 0; i < outer->count; i++)
        if (i != face) least = fmin(least, geometry_segment_gap(&width, &outer->segments[i]));
    return least / 2;
}

/* Whether the drill stays clear of every side but those it goes through. */
static bool clear_of_sides(const extrusion *x, const tks_pierce *p, const geometry_drill *d)
{
    tks_segment axis = axis_in_plane(d);
    for (size_t o = 0; o < x->outline_count; o++)
        for (size_t i = 0; i < x->outlines[o].count; i++) {
            if (o == 0 && (i == p->entry || i == p->exit)) continue;
            if (geometry_segment_gap(&axis, &x->outlines[o].segments[i]) <= d->radius) return false;
        }
    return true;
}

static tks_status place_drill(const extrusion *x, size_t i, tks_error *err)
{
    const tks_pierce *p = &x->pierces[i];
    if (!faces_ok(x, p))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "side hole %zu: it must go from a flat side to one parallel to it", i + 1);
    const tks_segment *entry = &x->outlines[0].segments[p->entry];
    const tks_segment *exit = &x->outlines[0].segments[p->exit];
    tks_vec2 t = geometry_segment_tangent(entry, 0), at = on_segment(entry, p->along);
    double depth = vec2_cross(t, (tks_vec2){exit->from.x - at.x, exit->from.y - at.y});
    double away = (exit->from.x - at.x) * t.x + (exit->from.y - at.y) * t.y;
    if (!geometry_size_ok(p->radius) ||
        !on_face(entry, p->along, p->across, p->radius, x->length) || !(depth > 0) ||
        (p->label != TKS_JOINT && !on_face(exit, away, p->across, p->radius, x->length)))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "side hole %zu of radius %g mm leaves its side", i + 1, p->radius * 1e3);
    tks_vec2 out = {at.x - depth * t.y, at.y + depth * t.x};
    geometry_drill *d = &x->drills[i];
    *d = (geometry_drill){{at.x, at.y, p->across},
                          {-t.y, t.x, 0},
                          depth,
                          p->radius,
                          free_way(&x->outlines[0], p->entry, at, p->radius),
                          free_way(&x->outlines[0], p->exit, out, p->radius)};
    if (p->label != TKS_JOINT && !clear_of_sides(x, p, d))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "side hole %zu runs into another side or hole", i + 1);
    return TKS_OK;
}

/* Least distance of the axes of two drills: both lie square to the extrusion. */
static double drill_gap(const geometry_drill *a, const geometry_drill *b)
{
    tks_segment s = axis_in_plane(a), t = axis_in_plane(b);
    return hypot(geometry_segment_gap(&s, &t), a->from.z - b->from.z);
}

typedef struct drill_search {
    const extrusion *x;
    size_t a, b;
} drill_search;

static bool keep_looking(void *context, size_t i, size_t j)
{
    drill_search *s = context;
    const geometry_drill *a = &s->x->drills[i], *b = &s->x->drills[j];
    if (drill_gap(a, b) > a->radius + b->radius + GEOMETRY_SAME) return true;
    s->a = i;
    s->b = j;
    return false;
}

/* Boxes in the plane of the first drill's face: they overlap wherever two drills may touch. */
static tks_status check_drills(const extrusion *x, tks_arena *arena, tks_error *err)
{
    geometry_box *boxes = tks_arena_take(arena, x->pierce_count, sizeof *boxes);
    if (!boxes) return geometry_no_memory(err);
    tks_vec2 n = {x->drills[0].along.x, x->drills[0].along.y};
    for (size_t i = 0; i < x->pierce_count; i++) {
        const geometry_drill *d = &x->drills[i];
        tks_segment s = axis_in_plane(d);
        double a = vec2_cross(n, s.from), b = vec2_cross(n, s.to), r = d->radius + GEOMETRY_SAME;
        boxes[i] = (geometry_box){{fmin(a, b) - r, d->from.z - r}, {fmax(a, b) + r, d->from.z + r}};
    }
    drill_search s = {x, 0, 0};
    if (geometry_box_pairs(boxes, x->pierce_count, keep_looking, &s))
        return geometry_no_memory(err);
    if (s.a == s.b) return TKS_OK;
    return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "side hole %zu and side hole %zu touch",
                    s.a + 1, s.b + 1);
}

static tks_status place_drills(extrusion *x, tks_arena *arena, tks_error *err)
{
    if (x->pierce_count == 0) return TKS_OK;
    x->drills = tks_arena_take(arena, x->pierce_count, sizeof *x->drills);
    if (!x->drills) return geometry_no_memory(err);
    for (size_t i = 0; i < x->pierce_count; i++) {
        tks_status status = place_drill(x, i, err);
        if (status) return status;
    }
    return check_drills(x, arena, err);
}

/* ---- patches */

static bool pierced_at(const tks_pierce *p, size_t side)
{
    return p->entry == side || (p->exit == side && p->label != TKS_JOINT);
}

/* Outlines of a pierced side in its own plane: x along the side, y along the extrusion. */
static tks_outline *side_outlines(const extrusion *x, size_t side, tks_arena *arena, size_t holes)
{
    const tks_segment *s = &x->outlines[0].segments[side];
    tks_outline *o = tks_arena_take(arena, holes + 1, sizeof *o);
    tks_segment *segments = tks_arena_take(arena, holes + 4, sizeof *segments);
    if (!o || !segments) return NULL;
    double w = tks_segment_length(s);
    tks_vec2 c[5] = {{0, 0}, {w, 0}, {w, x->length}, {0, x->length}, {0, 0}};
    for (size_t i = 0; i < 4; i++) segments[i] = geometry_line(c[i], c[i + 1], s->label, s->cavity);
    o[0] = (tks_outline){segments, 4, 0};
    tks_vec2 t = geometry_segment_tangent(s, 0);
    for (size_t i = 0, k = 0; i < x->pierce_count; i++) {
        const geometry_drill *d = &x->drills[i];
        if (!pierced_at(&x->pierces[i], side)) continue;
        tks_vec2 at = {(d->from.x - s->from.x) * t.x + (d->from.y - s->from.y) * t.y, d->from.z};
        segments[4 + k] = geometry_circle(at, d->radius, 0, true, s->label, s->cavity);
        o[1 + k] = (tks_outline){&segments[4 + k], 1, 0};
        k++;
    }
    return o;
}

static void add_pierced_side(geometry_build *build, const extrusion *x, size_t side, size_t holes)
{
    const tks_segment *s = &x->outlines[0].segments[side];
    tks_outline *o = side_outlines(x, side, build->body->arena, holes);
    if (!o) {
        build->failed = true;
        return;
    }
    base_sum area = {tks_segment_length(s) * x->length, 0};
    for (size_t i = 1; i <= holes; i++) {
        double r = geometry_arc_radius(o[i].segments);
        base_sum_add(&area, -M_PI * r * r);
    }
    tks_vec2 t = geometry_segment_tangent(s, 0);
    tks_frame f = {{s->from.x, s->from.y, 0}, {t.x, t.y, 0}, {0, 0, 1}, {t.y, -t.x, 0}};
    geometry_plane(build, &f, o, holes + 1, false, base_sum_total(&area), s->label, s->cavity);
}

static void add_side(geometry_build *build, const extrusion *x, size_t outline, size_t side)
{
    const tks_segment *s = &x->outlines[outline].segments[side];
    if (s->label == TKS_JOINT) return;
    size_t holes = 0;
    for (size_t i = 0; outline == 0 && i < x->pierce_count; i++)
        holes += pierced_at(&x->pierces[i], side);
    if (holes) {
        add_pierced_side(build, x, side, holes);
        return;
    }
    tks_patch *p = geometry_patch(build, TKS_PATCH_PRISM, s->label, s->cavity);
    if (!p) return;
    p->segment = *s;
    p->travel = x->length;
    p->area = tks_segment_length(s) * x->length;
}

static void add_drill_wall(geometry_build *build, const geometry_drill *d, const tks_pierce *p)
{
    if (p->label == TKS_JOINT) return;
    tks_patch *patch = geometry_patch(build, TKS_PATCH_PRISM, p->label, p->cavity);
    if (!patch) return;
    tks_frame f = {d->from, {d->along.y, -d->along.x, 0}, {0, 0, -1}, d->along};
    patch->frame = frame_compose(&build->solid.frame, &f);
    patch->segment = geometry_circle((tks_vec2){0, 0}, d->radius, 0, true, p->label, p->cavity);
    patch->travel = d->length;
    patch->area = 2 * M_PI * d->radius * d->length;
}

static double add_patches(geometry_build *build, const extrusion *x, tks_label base, tks_label top)
{
    base_sum area = {0, 0}, drilled = {0, 0};
    for (size_t o = 0; o < x->outline_count; o++) {
        base_sum_add(&area, tks_outline_area(&x->outlines[o]));
        for (size_t i = 0; i < x->outlines[o].count; i++) add_side(build, x, o, i);
    }
    for (size_t i = 0; i < x->pierce_count; i++) {
        const geometry_drill *d = &x->drills[i];
        add_drill_wall(build, d, &x->pierces[i]);
        if (x->pierces[i].label != TKS_JOINT)
            base_sum_add(&drilled, M_PI * d->radius * d->radius * d->length);
    }
    tks_frame f = frame_identity();
    double face = base_sum_total(&area);
    geometry_plane(build, &f, x->outlines, x->outline_count, true, face, base, -1);
    f.origin.z = x->length;
    geometry_plane(build, &f, x->outlines, x->outline_count, false, face, top, -1);
    return face * x->length - base_sum_total(&drilled);
}

static size_t patches_wanted(const extrusion *x)
{
    size_t count = 2 + x->pierce_count;
    for (size_t i = 0; i < x->outline_count; i++) count += x->outlines[i].count;
    return count;
}

/* What the distance and the triangles need later; the drills of joints remove nothing. */
static void remember(tks_solid *solid, const extrusion *x)
{
    solid->outlines = x->outlines;
    solid->outline_count = x->outline_count;
    solid->travel = x->length;
    solid->drills = x->drills;
    solid->drill_count = x->pierce_count;
    solid->pierces = x->pierces;
    solid->pierce_count = x->pierce_count;
}

static bool keep(extrusion *x, tks_arena *arena)
{
    x->outlines = geometry_outlines_copy(arena, x->outlines, x->outline_count);
    if (x->pierce_count == 0) return x->outlines != NULL;
    tks_pierce *pierces = tks_arena_take(arena, x->pierce_count, sizeof *pierces);
    if (!x->outlines || !pierces) return false;
    for (size_t i = 0; i < x->pierce_count; i++) pierces[i] = x->pierces[i];
    x->pierces = pierces;
    return true;
}

tks_status tks_body_extrude(tks_body *body, const tks_frame *frame, const tks_outline *outlines,
                            size_t outline_count, double length, tks_label base, tks_label top,
                            const tks_pierce *pierces, size_t pierce_count, tks_error *err)
{
    if (!geometry_frame_ok(frame)) return geometry_bad_frame(err);
    if (!geometry_size_ok(length))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a length of %g mm; it should be above zero and below 1000 m",
                        length * 1e3);
    tks_status status = check_outlines(outlines, outline_count, err);
    if (status) return status;
    extrusion x = {outlines, outline_count, length, pierces, pierce_count, NULL};
    if (!keep(&x, body->arena)) return geometry_no_memory(err);
    status = place_drills(&x, body->arena, err);
    if (status) return status;
    geometry_build build = geometry_start(body, GEOMETRY_EXTRUDE, frame, patches_wanted(&x));
    remember(&build.solid, &x);
    double volume = add_patches(&build, &x, base, top);
    return geometry_finish(&build, volume, err);
}
