/* From bodies to the faces and solids that the union works on. */
#include "geometry/union.h"

#include "base/vec.h"
#include "geometry/path.h"
#include "geometry/solid.h"
#include "geometry/trim.h"

#include <math.h>
#include <string.h>

/* A solid of a body, as the distance sees it. */
typedef struct placed {
    const tks_solid *solid;
    tks_vec3 origin; /* of the model, in the world */
} placed;

static double placed_distance(const void *context, tks_vec3 q)
{
    const placed *p = context;
    return geometry_solid_distance(p->solid, vec3_add(q, p->origin));
}

typedef struct builder {
    union_model *m;
    tks_vec3 origin;
    const tks_body *body;
    size_t body_index;
    bool cut_body;
    bool failed, too_many;
} builder;

enum { most_faces = 4000000 };

/* ------------------------------------------------------------------ making room */

static void *roomier(tks_arena *arena, void *old, size_t used, size_t size, size_t *room)
{
    if (used < *room) return old;
    size_t more = *room ? 2 * *room : 64;
    void *block = tks_arena_take(arena, more, size);
    if (!block) return NULL;
    if (used) memcpy(block, old, used * size);
    *room = more;
    return block;
}

/* The next face, zeroed but for what its patch (NULL: none) and solid give it. */
static union_face *new_face(builder *b, const tks_patch *patch, const tks_frame *frame,
                            tks_label label)
{
    union_model *m = b->m;
    b->too_many |= m->face_count >= most_faces;
    union_face *faces = b->failed || b->too_many ? NULL
                                                 : roomier(m->arena, m->faces, m->face_count,
                                                           sizeof *faces, &m->face_room);
    if (!faces) {
        b->failed = true;
        return NULL;
    }
    m->faces = faces;
    union_face *f = &faces[m->face_count++];
    *f = (union_face){.frame = *frame, .side = 1, .patch = patch, .label = label};
    f->solid = (uint32_t)m->solid_count;
    f->frame.origin = vec3_sub(f->frame.origin, b->origin);
    f->report = SIZE_MAX;
    return f;
}

/* Surface, ball and area of a face whose shape is set. */
static void finish_face(union_face *f)
{
    union_face_surface(f);
    union_face_ball(f);
    if (f->patch)
        f->area = f->patch->area;
    else
        f->area = union_rectangle(f, f->low[0], f->high[0], f->low[1], f->high[1]).area;
}

static void set_range(union_face *f, double u0, double u1, double v0, double v1)
{
    f->low[0] = u0, f->high[0] = u1;
    f->low[1] = v0, f->high[1] = v1;
}

/* ------------------------------------------------------------------ faces from segments */

/* Angles about its centre that an arc covers, the lower first. */
static void arc_angles(const tks_segment *s, double *low, double *high)
{
    double from = atan2(s->from.y - s->centre.y, s->from.x - s->centre.x);
    if (fabs(s->turn) >= 2 * M_PI) from = 0;
    *low = s->turn > 0 ? from : from + s->turn;
    *high = s->turn > 0 ? from + s->turn : from;
}

/* A segment of the frame's xy plane moved along z from v0 to v1. */
static void prism_face(union_face *f, const tks_segment *s, double v0, double v1)
{
    tks_frame w = f->frame;
    if (s->turn == 0) {
        tks_vec2 t = geometry_segment_tangent(s, 0);
        f->frame.origin = frame_point(&w, vec3(s->from.x, s->from.y, 0));
        f->frame.x = frame_direction(&w, vec3(t.x, t.y, 0));
        f->frame.y = w.z;
        f->frame.z = frame_direction(&w, vec3(t.y, -t.x, 0));
        set_range(f, 0, tks_segment_length(s), v0, v1);
    } else {
        double low, high;
        arc_angles(s, &low, &high);
        f->frame.origin = frame_point(&w, vec3(s->centre.x, s->centre.y, 0));
        f->turned = true;
        f->x = geometry_arc_radius(s);
        f->dy = 1;
        f->side = s->turn > 0 ? 1 : -1;
        set_range(f, low, high, v0, v1);
    }
    finish_face(f);
}

/* A segment of the half-plane of radius and height turned about z. */
static void turned_face(union_face *f, const tks_segment *s, double travel)
{
    f->turned = true;
    if (s->turn == 0) {
        tks_vec2 t = geometry_segment_tangent(s, 0);
        f->x = s->from.x, f->y = s->from.y;
        f->dx = t.x, f->dy = t.y;
        set_range(f, 0, travel, 0, tks_segment_length(s));
    } else {
        double low, high;
        arc_angles(s, &low, &high);
        f->arc = true;
        f->x = s->centre.x, f->y = s->centre.y;
        f->radius = geometry_arc_radius(s);
        f->side = s->turn > 0 ? 1 : -1;
        set_range(f, 0, travel, low, high);
    }
    finish_face(f);
}

/* ------------------------------------------------------------------ flat faces */

static bool is_circle(const tks_outline *o)
{
    return o->count == 1 && fabs(o->segments[0].turn) >= 2 * M_PI * (1 - 1e-15);
}

/* A disc or ring in polar coordinates. */
static bool disc_face(union_face *f, const tks_outline *o, size_t count)
{
    if (count > 2 || !is_circle(&o[0])) return false;
    double radius = geometry_arc_radius(&o[0].segments[0]), bore = 0;
    tks_vec2 c = o[0].segments[0].centre;
    if (count == 2) {
        if (!is_circle(&o[1]) || vec2_distance(c, o[1].segments[0].centre) > 1e-15 * radius)
            return false;
        bore = geometry_arc_radius(&o[1].segments[0]);
    }
    f->frame.origin = frame_point(&f->frame, vec3(c.x, c.y, 0));
    f->turned = true;
    f->side = -f->side; /* of the outward line of radii, the disc that faces z is on the right */
    f->dx = 1;
    set_range(f, 0, 2 * M_PI, bore, radius);
    return true;
}

/* A rectangle with sides along x and y. */
static bool is_rectangle(const tks_outline *o, size_t count)
{
    if (count != 1 || o[0].count != 4) return false;
    for (size_t i = 0; i < 4; i++) {
        const tks_segment *s = &o[0].segments[i];
        if (s->turn != 0 || (s->from.x != s->to.x && s->from.y != s->to.y)) return false;
    }
    return true;
}

/* The surfaces that stand on the outlines of a flat face. They are seen from its own plane only, so
 * that their height is of no account. */
static void edge_faces(builder *b, size_t face)
{
    const union_face *of = &b->m->faces[face];
    const tks_outline *o = of->window;
    size_t count = of->window_count;
    tks_frame frame = of->frame;
    frame.origin = vec3_add(frame.origin, b->origin);
    b->m->faces[face].edge_first = (uint32_t)b->m->face_count;
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < o[i].count; k++) {
            double half = tks_segment_length(&o[i].segments[k]) * 1e-3;
            union_face *f = new_face(b, NULL, &frame, TKS_JOINT);
            if (!f) return;
            f->solid = UNION_WINDOW;
            prism_face(f, &o[i].segments[k], -half, half);
        }
    b->m->faces[face].edge_count = (uint32_t)b->m->face_count - b->m->faces[face].edge_first;
}

static void flat_face(union_face *f, const tks_outline *o, size_t count, bool reversed)
{
    if (reversed) f->side = -1;
    if (!disc_face(f, o, count)) {
        geometry_box box = geometry_outline_box(&o[0]);
        set_range(f, box.low.x, box.high.x, box.low.y, box.high.y);
        if (!is_rectangle(o, count)) {
            f->window = o;
            f->window_count = count;
        }
    }
    finish_face(f);
    if (f->patch || !f->window) return;
    f->area = 0;
    for (size_t i = 0; i < count; i++) f->area += tks_outline_area(&o[i]);
}

/* ------------------------------------------------------------------ free faces */

/* Heights between which a helicoid lies: what its ends take off goes evenly with the radius. */
static void helicoid_heights(const tks_patch *p, const geometry_box *box, double *low, double *high)
{
    const trim_thread *t = p->trim->thread;
    double lost[2];
    for (int i = 0; i < 2; i++)
        lost[i] =
            fmin(trim_end_loss(&t->ends[i], box->low.x), trim_end_loss(&t->ends[i], box->high.x));
    *low = fmax(p->trim->from, lost[0]);
    *high = fmax(*low, fmin(p->trim->to, t->length - lost[1]));
}

/* A helicoid or a coil: no surface that anything could be said of but its solid's distance, and a
 * shell about its axis that holds it. */
static void unruly_face(const builder *b, union_face *f, const tks_patch *p)
{
    double *shell = f->shell;
    geometry_box box = geometry_segment_box(&p->segment);
    f->free = true;
    f->area = p->area;
    if (p->kind == TKS_PATCH_HELICOID) {
        shell[0] = fmax(0, box.low.x), shell[1] = box.high.x;
        helicoid_heights(p, &box, &shell[2], &shell[3]);
    } else {
        tks_stretch s = geometry_patch_coil(p, &p->frame);
        double wire = fmax(fmax(-box.low.x, box.high.x), fmax(-box.low.y, box.high.y));
        double end = geometry_coil_height(&s, p->travel);
        f->frame = geometry_coil_axis(&s);
        f->frame.origin = vec3_sub(f->frame.origin, b->origin);
        shell[0] = fmax(0, p->radius - wire), shell[1] = p->radius + wire;
        shell[2] = fmin(0, end) - wire, shell[3] = fmax(0, end) + wire;
    }
    union_face_surface(f);
    f->centre = vec3_step(f->frame.origin, (shell[2] + shell[3]) / 2, f->frame.z);
    f->ball = hypot(shell[1], (shell[3] - shell[2]) / 2);
}

/* Free faces about one axis are looked for together, so that a solid's distance is asked once. */
static void join_shells(union_model *m, const union_solid *s)
{
    union_face *first = NULL;
    for (uint32_t i = 0; i < s->face_count; i++) {
        union_face *f = &m->faces[s->face_first + i];
        if (f->surface.form != UNION_FREE) continue;
        if (!first) {
            first = f;
            continue;
        }
        tks_vec3 d = vec3_sub(f->frame.origin, first->frame.origin);
        double up = vec3_dot(d, first->frame.z);
        if (vec3_distance(f->frame.z, first->frame.z) > 1e-12 ||
            vec3_length(vec3_step(d, -up, first->frame.z)) > 1e-12)
            continue;
        f->follows = true;
        first->shell[0] = fmin(first->shell[0], f->shell[0]);
        first->shell[1] = fmax(first->shell[1], f->shell[1]);
        first->shell[2] = fmin(first->shell[2], f->shell[2] + up);
        first->shell[3] = fmax(first->shell[3], f->shell[3] + up);
    }
    if (!first) return;
    double *shell = first->shell;
    first->centre = vec3_step(first->frame.origin, (shell[2] + shell[3]) / 2, first->frame.z);
    first->ball = hypot(shell[1], (shell[3] - shell[2]) / 2);
}

/* Part of a plane or cone. Its surface, over a larger range, is good enough to tell what it does
 * not reach. */
static void trimmed_face(union_face *f, const tks_patch *p)
{
    const tks_trim *t = p->trim;
    tks_frame w = f->frame;
    if (t->kind == TRIM_FACET) {
        double c = cos(t->turn), s = sin(t->turn), half = t->apothem / sqrt(3);
        f->frame.origin = frame_point(&w, vec3(t->apothem * c, t->apothem * s, 0));
        f->frame.x = frame_direction(&w, vec3(-s, c, 0));
        f->frame.y = w.z;
        f->frame.z = frame_direction(&w, vec3(c, s, 0));
        set_range(f, -half, half, t->from, t->to);
    } else {
        double lean = hypot(1, t->rise);
        f->turned = true;
        f->side = -t->facing; /* see disc_face */
        f->x = t->low, f->y = t->base + t->rise * t->low;
        f->dx = 1 / lean, f->dy = t->rise / lean;
        set_range(f, 0, 2 * M_PI, 0, (t->high - t->low) * lean);
    }
    finish_face(f);
    f->free = true;
}

/* ------------------------------------------------------------------ the faces of a solid */

static void patch_face(builder *b, size_t index)
{
    const tks_patch *p = &b->body->patches[index];
    union_face *f = new_face(b, p, &p->frame, p->label);
    if (!f) return;
    switch (p->kind) {
    case TKS_PATCH_PLANE: flat_face(f, p->outlines, p->outline_count, p->reversed); break;
    case TKS_PATCH_PRISM: prism_face(f, &p->segment, 0, p->travel); break;
    case TKS_PATCH_REVOLVED: turned_face(f, &p->segment, p->travel); break;
    case TKS_PATCH_TRIMMED: trimmed_face(f, p); break;
    case TKS_PATCH_HELICOID:
    case TKS_PATCH_COIL: unruly_face(b, f, p); break;
    }
}

/* Faces where the solid meets others of its body have no patch, but bound it all the same. */
static void joint_sides(builder *b, const tks_solid *s)
{
    for (size_t o = 0; o < s->outline_count; o++)
        for (size_t i = 0; i < s->outlines[o].count; i++) {
            const tks_segment *g = &s->outlines[o].segments[i];
            if (g->label != TKS_JOINT) continue;
            if (s->kind == GEOMETRY_REVOLVE && geometry_on_axis(g)) continue;
            union_face *f = new_face(b, NULL, &s->frame, TKS_JOINT);
            if (!f) return;
            if (s->kind == GEOMETRY_REVOLVE)
                turned_face(f, g, s->travel);
            else
                prism_face(f, g, 0, s->travel);
        }
}

/* Whether one of a solid's patches is the flat face that stands in this frame. */
static bool has_plane(const builder *b, const tks_solid *s, const tks_frame *frame)
{
    for (size_t i = 0; i < s->patch_count; i++) {
        const tks_patch *p = &b->body->patches[s->first_patch + i];
        if (p->kind == TKS_PATCH_PLANE && vec3_distance(p->frame.origin, frame->origin) < 1e-9 &&
            fabs(vec3_dot(p->frame.z, frame->z)) > 1 - 1e-9)
            return true;
    }
    return false;
}

static void joint_plane(builder *b, const tks_solid *s, const tks_frame *local,
                        const tks_outline *outlines, size_t count, bool reversed)
{
    tks_frame frame = frame_compose(&s->frame, local);
    if (has_plane(b, s, &frame)) return;
    union_face *f = new_face(b, NULL, &frame, TKS_JOINT);
    if (f) flat_face(f, outlines, count, reversed);
}

static void joint_ends(builder *b, const tks_solid *s)
{
    tks_frame f = frame_identity();
    if (s->kind == GEOMETRY_EXTRUDE) {
        joint_plane(b, s, &f, s->outlines, s->outline_count, true);
        f.origin.z = s->travel;
        joint_plane(b, s, &f, s->outlines, s->outline_count, false);
    } else if (s->kind == GEOMETRY_REVOLVE && s->travel < 2 * M_PI) {
        for (int end = 0; end < 2; end++) {
            double c = end ? cos(s->travel) : 1, n = end ? sin(s->travel) : 0;
            f.x = vec3(c, n, 0), f.y = vec3(0, 0, 1), f.z = vec3(n, -c, 0);
            joint_plane(b, s, &f, s->outlines, 1, end == 1);
        }
    } else if (s->kind == GEOMETRY_SWEEP && !s->sweep->path.closed) {
        const geometry_sweep *w = s->sweep;
        bool full = w->section.kind == TKS_TUBULAR && w->section.inside == TKS_SEALED;
        size_t count = full ? 1 : w->outline_count;
        joint_plane(b, s, &w->first, w->outlines, count, true);
        joint_plane(b, s, &w->last, w->outlines, count, false);
    }
}

/* A joint that takes a disc off a side leaves the solid whole: the disc is a face. */
static void joint_discs(builder *b, const tks_solid *s)
{
    for (size_t i = 0; s->kind == GEOMETRY_EXTRUDE && i < s->pierce_count; i++) {
        const geometry_drill *d = &s->drills[i];
        if (s->pierces[i].label != TKS_JOINT) continue;
        tks_frame local = {d->from, {d->along.y, -d->along.x, 0}, {0, 0, -1}, d->along};
        tks_frame frame = frame_compose(&s->frame, &local);
        union_face *f = new_face(b, NULL, &frame, TKS_JOINT);
        if (!f) return;
        f->turned = true;
        f->dx = 1; /* faces -z, out of the metal */
        set_range(f, 0, 2 * M_PI, 0, d->radius);
        finish_face(f);
    }
}

/* The wall of a sealed bore bounds no space that anything else could be in. */
static bool is_inner_wall(const tks_solid *s, const tks_patch *p)
{
    return s->kind == GEOMETRY_SWEEP && p->label == TKS_SEALED &&
           s->sweep->section.kind == TKS_TUBULAR;
}

static void solid_box(union_model *m, union_solid *s)
{
    s->low = vec3(INFINITY, INFINITY, INFINITY);
    s->high = vec3(-INFINITY, -INFINITY, -INFINITY);
    for (uint32_t i = 0; i < s->face_count; i++) {
        tks_vec3 low, high;
        const union_face *f = &m->faces[s->face_first + i];
        union_face_box(f, &low, &high);
        s->low = vec3(fmin(s->low.x, low.x), fmin(s->low.y, low.y), fmin(s->low.z, low.z));
        s->high = vec3(fmax(s->high.x, high.x), fmax(s->high.y, high.y), fmax(s->high.z, high.z));
    }
}

static bool turns_left(const tks_segment *a, const tks_segment *b)
{
    return vec2_cross(geometry_segment_tangent(a, 1), geometry_segment_tangent(b, 0)) > -1e-12;
}

/* Whether a plane figure is where all its lines and circles have it on their inner side: a convex
 * one, of lines and at most one arc whose circle holds all corners. */
static bool is_plain_figure(const tks_outline *o)
{
    const tks_segment *arc = NULL;
    for (size_t i = 0; i < o->count; i++) {
        const tks_segment *s = &o->segments[i];
        if (s->turn < 0 || (s->turn > 0 && arc)) return false;
        if (s->turn > 0) arc = s;
        if (o->count > 1 && !turns_left(s, &o->segments[(i + 1) % o->count])) return false;
    }
    for (size_t i = 0; arc && i < o->count; i++)
        if (vec2_distance(o->segments[i].from, arc->centre) >
            geometry_arc_radius(arc) * (1 + 1e-12))
            return false;
    return true;
}

static bool is_convex(const tks_solid *s)
{
    if (s->kind == GEOMETRY_REVOLVE)
        return s->travel >= 2 * M_PI * (1 - 1e-15) && is_plain_figure(&s->outlines[0]);
    return s->kind == GEOMETRY_EXTRUDE && s->outline_count == 1 && s->drill_count == 0 &&
           is_plain_figure(&s->outlines[0]);
}

static void stand_wall(builder *b, const union_stand *s, const tks_frame *frame, double radius,
                       double side)
{
    union_face *f = radius > 0 ? new_face(b, NULL, frame, TKS_JOINT) : NULL;
    if (!f) return;
    f->turned = true;
    f->x = radius;
    f->dy = 1;
    f->side = side;
    set_range(f, 0, 2 * M_PI, s->low, s->high);
    finish_face(f);
}

static void stand_end(builder *b, const union_stand *s, const tks_frame *frame, int end)
{
    union_face *f = new_face(b, NULL, frame, TKS_JOINT);
    if (!f) return;
    f->turned = true;
    f->side = end ? -1 : 1; /* see disc_face */
    f->y = end ? s->high : s->low;
    f->dx = 1;
    set_range(f, 0, 2 * M_PI, s->inside, s->outside);
    finish_face(f);
}

/* The stand-in that a face of a solid (the last one, or the last but its stand-ins) may give. No
 * box leads to it. */
static void add_stand(builder *b, union_solid of, uint32_t face)
{
    union_model *m = b->m;
    union_stand made;
    if (!union_stand_of(m, &of, &m->faces[face], &made)) return;
    union_stand *s = tks_arena_take(m->arena, 1, sizeof *s);
    union_solid *solids =
        roomier(m->arena, m->solids, m->solid_count, sizeof *solids, &m->solid_room);
    if (!s || !solids) {
        b->failed = true;
        return;
    }
    *s = made;
    s->solid = of.real;
    m->solids = solids;
    of.low = vec3(INFINITY, INFINITY, INFINITY);
    of.high = vec3(-INFINITY, -INFINITY, -INFINITY);
    of.convex = s->inside == 0;
    of.distance = union_stand_distance;
    of.context = s;
    of.face_first = (uint32_t)m->face_count;
    tks_frame frame = s->frame;
    frame.origin = vec3_add(frame.origin, b->origin);
    stand_wall(b, s, &frame, s->outside, 1);
    stand_wall(b, s, &frame, s->inside, -1);
    for (int end = 0; end < 2; end++) stand_end(b, s, &frame, end);
    of.face_count = (uint32_t)m->face_count - of.face_first;
    m->solids[m->solid_count++] = of;
}

static void add_solid(builder *b, const tks_solid *solid)
{
    union_model *m = b->m;
    union_solid *solids =
        roomier(m->arena, m->solids, m->solid_count, sizeof *solids, &m->solid_room);
    placed *at = tks_arena_take(m->arena, 1, sizeof *at);
    if (!solids || !at) {
        b->failed = true;
        return;
    }
    m->solids = solids;
    *at = (placed){solid, b->origin};
    union_solid s = {.body = (uint32_t)b->body_index,
                     .real = (uint32_t)m->solid_count,
                     .cut = solid->cut,
                     .convex = is_convex(solid),
                     .face_first = (uint32_t)m->face_count,
                     .distance = placed_distance,
                     .context = at};
    for (size_t i = 0; i < solid->patch_count; i++)
        if (!is_inner_wall(solid, &b->body->patches[solid->first_patch + i]))
            patch_face(b, solid->first_patch + i);
    joint_sides(b, solid);
    joint_ends(b, solid);
    joint_discs(b, solid);
    s.face_count = (uint32_t)m->face_count - s.face_first;
    for (size_t i = 0; i < solid->patch_count; i++)
        if (is_inner_wall(solid, &b->body->patches[solid->first_patch + i]))
            patch_face(b, solid->first_patch + i);
    s.filled = m->face_count > s.face_first + s.face_count;
    size_t end = m->face_count;
    for (size_t i = s.face_first; i < end && !b->failed; i++)
        if (m->faces[i].window) edge_faces(b, i);
    if (b->failed) return;
    join_shells(m, &s);
    solid_box(m, &s);
    m->solids[m->solid_count++] = s;
    for (uint32_t i = 0; i < s.face_count && !b->failed; i++) add_stand(b, s, s.face_first + i);
}

/* ------------------------------------------------------------------ the whole model */

static tks_label label_in_cut(tks_label label)
{
    return label == TKS_OUTSIDE || label == TKS_END ? TKS_HOLE : label;
}

/* Three times the volume under a face that is not free. */
static double ruled_volume(const union_face *f)
{
    return f->turned ? union_rectangle(f, f->low[0], f->high[0], f->low[1], f->high[1]).volume
                     : f->area * union_density(f, 0).a;
}

/* What is known of the volume under free faces is that the body's volume is known. A body without
 * such faces has it under the others, but for the ends of sealed bores, which are no faces. */
static void find_free_volume(builder *b, size_t first_face)
{
    union_model *m = b->m;
    double area = 0, volume = 3 * b->body->volume;
    bool sealed = false;
    for (size_t i = first_face; i < m->face_count; i++) {
        const union_face *f = &m->faces[i];
        if (f->solid == UNION_WINDOW || m->solids[f->solid].real != f->solid) continue;
        sealed |= f->patch && is_inner_wall(&b->body->solids[f->patch->solid], f->patch);
        if (f->free)
            area += f->area;
        else
            volume -= (m->solids[f->solid].cut ? -1 : 1) * ruled_volume(f);
    }
    m->free_volume[b->body_index] = area > 0 ? volume / area : 0;
    if (sealed && area == 0 && m->body_plain[b->body_index] && !b->cut_body)
        m->unruled_volume += volume;
}

static void add_body(builder *b, const tks_body *body, size_t index, bool cut, size_t report)
{
    size_t first = b->m->face_count;
    b->body = body;
    b->body_index = index;
    b->cut_body = cut;
    b->m->body_cut[index] = cut;
    b->m->body_plain[index] = !body->overlap;
    for (size_t i = 0; i < body->solid_count && !b->failed; i++) add_solid(b, &body->solids[i]);
    if (!b->failed) find_free_volume(b, first);
    for (size_t i = first; i < b->m->face_count; i++) {
        union_face *f = &b->m->faces[i];
        if (f->patch) f->report = report + (size_t)(f->patch - body->patches);
        bool taken = f->patch && body->solids[f->patch->solid].cut;
        if (cut || taken) f->label = label_in_cut(f->label);
    }
}

/* Middle of the box about all bodies, from where volumes are reckoned; false when not finite. */
static bool find_middle(const tks_body *const *bodies, size_t count, tks_vec3 *middle,
                        double *scale)
{
    tks_vec3 low = {INFINITY, INFINITY, INFINITY}, high = {-INFINITY, -INFINITY, -INFINITY};
    for (size_t i = 0; i < count; i++) {
        tks_vec3 a, b;
        tks_body_bounds(bodies[i], &a, &b);
        low = vec3(fmin(low.x, a.x), fmin(low.y, a.y), fmin(low.z, a.z));
        high = vec3(fmax(high.x, b.x), fmax(high.y, b.y), fmax(high.z, b.z));
    }
    *middle = vec3_scale(vec3_add(low, high), 0.5);
    *scale = vec3_distance(low, high);
    return *scale > 0 && *scale < 1e6;
}

double union_sign(const union_model *m, uint32_t solid)
{
    return m->solids[solid].cut != m->body_cut[m->solids[solid].body] ? -1 : 1;
}

tks_status union_model_build(union_model *m, const tks_body *const *bodies, size_t body_count,
                             const tks_body *const *cuts, size_t cut_count, double snap,
                             tks_error *err)
{
    builder b = {.m = m};
    size_t report = 0;
    if (!find_middle(bodies, body_count, &b.origin, &m->scale))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "the pieces' sizes and places must be finite numbers");
    m->body_count = body_count + cut_count;
    m->body_cut = tks_arena_take(m->arena, m->body_count, sizeof *m->body_cut);
    m->body_plain = tks_arena_take(m->arena, m->body_count, sizeof *m->body_plain);
    m->free_volume = tks_arena_take(m->arena, m->body_count, sizeof *m->free_volume);
    m->origin = b.origin;
    b.failed = !m->body_cut || !m->body_plain || !m->free_volume;
    for (size_t i = 0; i < m->body_count && !b.failed; i++) {
        const tks_body *body = i < body_count ? bodies[i] : cuts[i - body_count];
        add_body(&b, body, i, i >= body_count, report);
        report += body->patch_count;
    }
    m->slack = 1e-13 * m->scale;
    m->snap = fmax(snap, 10 * m->slack);
    if (b.too_many)
        return tks_fail(err, TKS_ELIMIT, tks_nowhere(), "more than %d faces", most_faces);
    return b.failed ? tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory for the union")
                    : TKS_OK;
}
