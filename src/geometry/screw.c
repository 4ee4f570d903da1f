/* Bolts, screws, studs and rods. */
#include "geometry/fastener.h"

#include "base/vec.h"
#include "geometry/outline.h"

#include <math.h>

/* A screw worked out: its stretches from below, and radii where they meet. */
typedef struct screw_record {
    geometry_fastener shared;
    tks_screw screw;
    trim_thread thread[2]; /* second: only when length > 0 */
    double base[2];        /* heights of their lower planes */
    double shank;          /* radius */
    double neck[2];        /* heights of the plain shank's ends */
    double head;           /* height of the head's underside */
    double joint;          /* radius of the disc under the head that is no surface */
    double top;            /* height of the upper end */
    tks_outline profile;   /* of a head of revolution, from its underside */
    tks_hexagon_measures hexagon;
} screw_record;

double tks_screw_length(const tks_screw *s)
{
    double length = s->thread_length + s->shank_length + s->second_length;
    return s->head == TKS_HEAD_COUNTERSUNK ? length + s->head_height : length;
}

static tks_status bad(tks_error *err, const char *what)
{
    return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "%s", what);
}

/* ------------------------------------------------------------------ threads and shank */

static tks_thread_end tip_end(const tks_thread_profile *p, bool square)
{
    return square ? (tks_thread_end){TKS_THREAD_SQUARE, 0, 0} : tks_thread_chamfer(p);
}

/* How a thread meets what follows it: the shank, the head, or the open end of a rod. */
static tks_thread_end inner_end(const screw_record *r, const tks_thread_profile *p)
{
    const tks_screw *s = &r->screw;
    bool open = s->head == TKS_HEAD_NONE && s->shank_length == 0;
    if (open) return tip_end(p, s->square_tip);
    return s->runout > 0 ? tks_thread_runout(p, r->shank, s->runout)
                         : (tks_thread_end){TKS_THREAD_SQUARE, 0, 0};
}

static tks_status set_threads(screw_record *r, double *volume, tks_error *err)
{
    const tks_screw *s = &r->screw;
    tks_thread_profile p;
    tks_thread thread = s->thread;
    thread.internal = false;
    tks_status status = tks_thread_profile_of(&thread, &p, err);
    if (status) return status;
    r->shank = s->shank_diameter > 0 ? s->shank_diameter / 2 : p.outer;
    if (!(s->shank_length >= 0 && s->second_length >= 0 && s->runout >= 0 && r->shank < 1e3))
        return bad(err, "a screw's lengths must not be below zero");
    tks_thread_end tip = tip_end(&p, s->square_tip), inner = inner_end(r, &p);
    r->thread[0] = (trim_thread){p, s->thread_length, {tip, inner}};
    r->thread[1] = (trim_thread){p, s->second_length, {inner, tip}};
    for (int i = 0; i < 2; i++) {
        if (i == 1 && s->second_length == 0) continue;
        tks_thread_measures m;
        status = tks_thread_measure(&p, r->thread[i].length, r->thread[i].ends, &m, err);
        if (status) return status;
        *volume += m.volume;
    }
    r->neck[0] = s->thread_length;
    r->neck[1] = r->base[1] = r->neck[0] + s->shank_length;
    r->head = r->top = r->neck[1] + s->second_length;
    *volume += M_PI * r->shank * r->shank * s->shank_length;
    return TKS_OK;
}

static tks_status check_thread_places(const screw_record *r, tks_error *err)
{
    const tks_screw *s = &r->screw;
    if (s->second_length > 0 && s->head != TKS_HEAD_NONE)
        return bad(err, "a screw with a head has no second thread");
    if (s->second_length > 0 && s->shank_length == 0)
        return bad(err, "two threads need a plain shank between them");
    if (!(s->masked_from >= 0 && s->masked_length >= 0 &&
          s->masked_from + s->masked_length <= s->thread_length * (1 + 1e-12)))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "the masked length from %.4g to %.4g mm goes beyond the thread, which is "
                        "%.4g mm long",
                        s->masked_from * 1e3, (s->masked_from + s->masked_length) * 1e3,
                        s->thread_length * 1e3);
    return TKS_OK;
}

/* Where a thread meets a face of radius `face` (0: the shank's): what each has beyond the other.
 * up: +1 when the thread is below. */
static void add_junction(geometry_build *build, const screw_record *r, int which, double face,
                         double up)
{
    const trim_thread *t = &r->thread[which];
    int end = up > 0 ? 1 : 0;
    double plane = r->base[which] + (end ? t->length : 0);
    double outer = t->profile.outer, inner = t->profile.inner;
    double full = t->ends[end].kind == TKS_THREAD_RUNOUT ? t->ends[end].radius : inner;
    geometry_tooth_add(build, t, end, r->base[which], false, fmax(full, face), outer, up,
                       TKS_OUTSIDE);
    geometry_tooth_add(build, t, end, r->base[which], true, full, fmin(face, outer), -up,
                       TKS_OUTSIDE);
    geometry_ring_add(build, fmax(full, outer), face, plane, 0, -up, TKS_OUTSIDE);
    geometry_ring_add(build, face, full, plane, 0, up, TKS_OUTSIDE);
}

/* A thread's own end face, at the tip or the top. */
static void add_tip(geometry_build *build, const screw_record *r, int which, int end,
                    tks_label label, double hole)
{
    const trim_thread *t = &r->thread[which];
    bool square = t->ends[end].kind == TKS_THREAD_SQUARE;
    double facing = end ? 1 : -1, plane = r->base[which] + (end ? t->length : 0);
    double full = square ? t->profile.inner : t->ends[end].radius;
    if (hole == 0) geometry_ring_add(build, 0, full, plane, 0, facing, label);
    if (square)
        geometry_tooth_add(build, t, end, r->base[which], false, full, t->profile.outer, facing,
                           label);
}

static void add_threads(geometry_build *build, const screw_record *r)
{
    const tks_screw *s = &r->screw;
    double from = s->masked_from, to = from + s->masked_length;
    geometry_helicoid_add(build, &r->thread[0], 0, from, to);
    for (int end = 0; end < 2; end++)
        geometry_thread_cone_add(build, &r->thread[0], end, 0, from, to);
    add_tip(build, r, 0, 0, from == 0 && to > 0 ? TKS_MASKED : TKS_END, 0);
    if (s->shank_length > 0) {
        add_junction(build, r, 0, r->shank, 1);
        geometry_turned_add(build, (tks_vec2){r->shank, r->neck[0]},
                            (tks_vec2){r->shank, r->neck[1]}, TKS_OUTSIDE, -1);
    }
    if (s->second_length == 0) return;
    double none = r->thread[1].length;
    add_junction(build, r, 1, r->shank, -1);
    geometry_helicoid_add(build, &r->thread[1], r->base[1], none, none);
    for (int end = 0; end < 2; end++)
        geometry_thread_cone_add(build, &r->thread[1], end, r->base[1], none, none);
}

/* ------------------------------------------------------------------ heads */

/* Profile of a head of revolution from the shank under it up to its top: points, and the sphere of
 * a button head before the last but one. */
typedef struct head_line {
    tks_vec2 points[6];
    size_t count;
    int arc; /* index of the point that an arc leads to; 0: none */
} head_line;

static double socket_corner(const tks_socket *socket)
{
    return socket->across_flats / sqrt(3);
}

static void head_point(head_line *line, double x, double y)
{
    line->points[line->count++] = (tks_vec2){x, y};
}

static tks_status head_line_of(const screw_record *r, head_line *line, tks_error *err)
{
    const tks_screw *s = &r->screw;
    double radius = s->head_diameter / 2, k = s->head_height, rise = radius - r->joint;
    *line = (head_line){.count = 0};
    if (!geometry_size_ok(s->head_diameter) || !geometry_size_ok(k) || !(s->edge >= 0))
        return bad(err, "a head needs a diameter and a height above zero");
    if (!(rise > 0)) return bad(err, "a head must be wider than what it sits on");
    head_point(line, r->joint, 0);
    if (s->head == TKS_HEAD_COUNTERSUNK) {
        rise /= tan(s->cone > 0 ? s->cone : M_PI / 4);
        if (rise > k * (1 + 1e-9))
            return bad(err, "a countersunk head needs the height of its cone");
        head_point(line, radius, rise);
        if (k > rise) head_point(line, radius, k);
        return TKS_OK;
    }
    if (s->edge >= k || s->edge >= radius) return bad(err, "a head's edge is larger than the head");
    if (s->head == TKS_HEAD_BUTTON && s->socket.across_flats == 0)
        return bad(err, "a button head needs its socket");
    head_point(line, radius, 0);
    head_point(line, radius, s->head == TKS_HEAD_BUTTON ? s->edge : k - s->edge);
    if (s->head == TKS_HEAD_BUTTON) {
        line->arc = (int)line->count;
        head_point(line, 1.05 * socket_corner(&s->socket), k);
    } else if (s->edge > 0) {
        head_point(line, radius - s->edge, k);
    }
    return TKS_OK;
}

/* Centre height of the sphere about the axis through two points of the half-plane. */
static double sphere_height(tks_vec2 a, tks_vec2 b)
{
    return (b.x * b.x + b.y * b.y - a.x * a.x - a.y * a.y) / (2 * (b.y - a.y));
}

/* The head's outline in the half-plane: axis, underside, sides, top; closed along the axis. */
static tks_status head_outline(screw_record *r, tks_arena *arena, tks_error *err)
{
    head_line line;
    tks_status status = head_line_of(r, &line, err);
    if (status) return status;
    tks_segment *s = tks_arena_take(arena, line.count + 2, sizeof *s);
    if (!s) return geometry_no_memory(err);
    size_t n = 0;
    tks_vec2 at = {0, 0};
    for (size_t i = 0; i < line.count; i++) {
        tks_vec2 to = line.points[i];
        s[n] = geometry_line(at, to, i == 0 ? TKS_JOINT : TKS_OUTSIDE, -1);
        if (line.arc && (int)i == line.arc) {
            tks_vec2 centre = {0, sphere_height(at, to)};
            double turn = atan2(to.y - centre.y, to.x) - atan2(at.y - centre.y, at.x);
            s[n] = geometry_arc(at, to, centre, turn, TKS_OUTSIDE, -1);
        }
        n++;
        at = to;
    }
    s[n++] = geometry_line(at, (tks_vec2){0, at.y}, TKS_END, -1);
    s[n++] = geometry_line((tks_vec2){0, at.y}, (tks_vec2){0, 0}, TKS_JOINT, -1);
    r->profile = (tks_outline){s, n, 0};
    return geometry_outline_check(&r->profile, false, "a head", err);
}

static double top_radius(const screw_record *r)
{
    const tks_screw *s = &r->screw;
    if (s->head == TKS_HEAD_HEXAGON) return 0; /* no sockets in hexagons */
    if (s->head != TKS_HEAD_NONE) return r->profile.segments[r->profile.count - 2].from.x;
    const trim_thread *t = &r->thread[s->second_length > 0];
    if (s->second_length == 0 && s->shank_length > 0) return r->shank;
    return t->ends[1].kind == TKS_THREAD_SQUARE ? t->profile.inner : t->ends[1].radius;
}

static tks_status set_head(screw_record *r, tks_arena *arena, double *volume, tks_error *err)
{
    const tks_screw *s = &r->screw;
    const tks_thread_profile *p = &r->thread[0].profile;
    bool thread_meets = s->shank_length == 0;
    r->joint = !thread_meets ? r->shank : s->runout > 0 ? fmax(r->shank, p->outer) : p->outer;
    if (s->head == TKS_HEAD_NONE) return TKS_OK;
    if (s->head == TKS_HEAD_HEXAGON) {
        r->top = r->head + s->hexagon.height;
        tks_status status = tks_hexagon_measure(&s->hexagon, &r->hexagon, err);
        if (status) return status;
        double bearing = s->hexagon.circle[0] > 0 ? s->hexagon.circle[0] : s->hexagon.across_flats;
        *volume += r->hexagon.volume;
        return bearing / 2 > r->joint ? TKS_OK
                                      : bad(err, "a hexagon head must be wider than its shank");
    }
    r->top = r->head + s->head_height;
    tks_status status = head_outline(r, arena, err);
    double moment;
    if (status == TKS_OK) geometry_outline_moment(&r->profile, &moment);
    if (status == TKS_OK) *volume += 2 * M_PI * moment;
    return status;
}

/* Underside of the head inside the joint's radius, where a thread that runs up to it leaves gaps.
 */
static void add_head_joint(geometry_build *build, const screw_record *r)
{
    if (r->screw.shank_length == 0 && r->screw.head != TKS_HEAD_NONE)
        add_junction(build, r, 0, r->joint, 1);
}

static void add_turned_head(geometry_build *build, const screw_record *r)
{
    for (size_t i = 1; i + 2 < r->profile.count; i++) {
        tks_segment s = r->profile.segments[i];
        tks_patch *p = geometry_patch(build, TKS_PATCH_REVOLVED, s.label, -1);
        if (!p) return;
        p->frame.origin = vec3_step(p->frame.origin, r->head, p->frame.z);
        p->segment = s;
        p->travel = 2 * M_PI;
        p->area = 2 * M_PI * geometry_segment_mean(&s).x * tks_segment_length(&s);
    }
}

static void add_head(geometry_build *build, const screw_record *r)
{
    const tks_screw *s = &r->screw;
    double none = s->socket.across_flats;
    if (s->head == TKS_HEAD_HEXAGON) {
        const double holes[2] = {r->joint, 0};
        geometry_hexagon_add(build, &s->hexagon, &r->hexagon, r->head, holes);
        return;
    }
    if (s->head != TKS_HEAD_NONE) {
        add_turned_head(build, r);
    } else if (s->second_length == 0 && s->shank_length > 0) {
        if (none == 0) geometry_ring_add(build, 0, r->shank, r->top, 0, 1, TKS_END);
        return;
    } else {
        add_tip(build, r, s->second_length > 0, 1, TKS_END, none);
        return;
    }
    if (none == 0) geometry_ring_add(build, 0, top_radius(r), r->top, 0, 1, TKS_END);
}

/* ------------------------------------------------------------------ sockets */

static double socket_bottom(const tks_socket *s)
{
    return s->angle > 0 ? s->across_flats / 2 / tan(s->angle) : 0;
}

static tks_status check_socket(const screw_record *r, double *volume, tks_error *err)
{
    const tks_socket *s = &r->screw.socket;
    if (s->across_flats == 0) return TKS_OK;
    double a = s->across_flats / 2, deep = s->depth + socket_bottom(s);
    if (!geometry_size_ok(s->across_flats) || !geometry_size_ok(s->depth) ||
        !(s->angle >= 0 && s->angle < 1.6))
        return bad(err, "a socket needs a width and a depth above zero");
    if (socket_corner(s) > top_radius(r) || deep >= r->top)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a socket %.4g mm wide and %.4g mm deep does not fit a face of %.4g mm",
                        s->across_flats * 1e3, deep * 1e3, top_radius(r) * 2e3);
    *volume -= 2 * sqrt(3) * a * a * s->depth + M_PI * a * a * (deep - s->depth) / 3;
    return TKS_OK;
}

/* Six sides about the axis, clockwise, so that the metal is outside. */
static tks_outline *socket_outlines(geometry_build *build, double a, double top)
{
    tks_outline *o = tks_arena_take(build->body->arena, 2, sizeof *o);
    tks_segment *s = tks_arena_take(build->body->arena, 7, sizeof *s);
    if (!o || !s) {
        build->failed = true;
        return NULL;
    }
    double corner = 2 * a / sqrt(3);
    for (int i = 0; i < 6; i++) {
        double from = (1 - 2 * i) * M_PI / 6, to = from - M_PI / 3;
        s[i] = geometry_line((tks_vec2){corner * cos(from), corner * sin(from)},
                             (tks_vec2){corner * cos(to), corner * sin(to)}, TKS_HOLE, -1);
    }
    s[5].to = s[0].from;
    s[6] = geometry_circle((tks_vec2){0, 0}, top, 0, false, TKS_OUTSIDE, -1);
    o[0] = (tks_outline){&s[6], 1, 0};
    o[1] = (tks_outline){s, 6, 0};
    return o;
}

static void add_socket_walls(geometry_build *build, const tks_outline *hexagon, double base,
                             double depth, int cavity)
{
    for (size_t i = 0; i < 6; i++) {
        tks_patch *p = geometry_patch(build, TKS_PATCH_PRISM, TKS_HOLE, cavity);
        if (!p) return;
        p->frame.origin = vec3_step(p->frame.origin, base, p->frame.z);
        p->segment = hexagon->segments[i];
        p->travel = depth;
        p->area = depth * tks_segment_length(&p->segment);
    }
}

static void add_socket_bottom(geometry_build *build, double a, double base, double deep, int cavity)
{
    geometry_turned_add(build, (tks_vec2){a, base}, (tks_vec2){0, base - deep}, TKS_HOLE, cavity);
    for (int i = 0; i < 6; i++) {
        double area = (2 * sqrt(3) - M_PI) * a * a / 6;
        tks_trim *trim = geometry_trim_add(build, TKS_PATCH_TRIMMED, TKS_HOLE, area);
        if (!trim) return;
        build->body->patches[build->body->patch_count + build->solid.patch_count - 1].cavity =
            cavity;
        *trim = (tks_trim){.kind = TRIM_CORNER,
                           .low = a,
                           .high = 2 * a / sqrt(3),
                           .base = base,
                           .facing = 1,
                           .apothem = a,
                           .turn = (2 * i + 1) * M_PI / 6};
    }
}

static void add_socket(geometry_build *build, const screw_record *r, int cavity)
{
    const tks_socket *s = &r->screw.socket;
    if (s->across_flats == 0) return;
    double a = s->across_flats / 2, base = r->top - s->depth, top = top_radius(r);
    tks_outline *o = socket_outlines(build, a, top);
    if (!o) return;
    tks_frame face = frame_identity();
    face.origin.z = r->top;
    geometry_plane(build, &face, o, 2, false, M_PI * top * top - 2 * sqrt(3) * a * a, TKS_END, -1);
    add_socket_walls(build, &o[1], base, s->depth, cavity);
    add_socket_bottom(build, a, base, socket_bottom(s), cavity);
}

/* ------------------------------------------------------------------ distance */

static double cylinder_distance(double radius, double z, double r, double from, double to)
{
    return fmax(radius - r, fmax(from - z, z - to));
}

static double socket_distance(const screw_record *r, tks_vec3 p, double radius)
{
    const tks_socket *s = &r->screw.socket;
    tks_hexagon walls = {.across_flats = s->across_flats, .height = 1e3};
    double base = r->top - s->depth;
    double d = geometry_hexagon_distance(&walls, vec3(p.x, p.y, p.z - base));
    if (s->angle == 0) return d;
    double cone = (radius - s->across_flats / 2) * cos(s->angle) - (p.z - base) * sin(s->angle);
    return fmin(d, fmax(cone, p.z - base));
}

static double head_distance(const screw_record *r, tks_vec3 p, double radius)
{
    tks_vec3 q = vec3(p.x, p.y, p.z - r->head);
    if (r->screw.head == TKS_HEAD_HEXAGON) return geometry_hexagon_distance(&r->screw.hexagon, q);
    return geometry_outlines_distance(&r->profile, 1, true, (tks_vec2){radius, q.z});
}

/* The stretches united, with a core through all of them so that no plane between two of them counts
 * as surface near the axis. */
static double screw_distance(const void *record, tks_vec3 p)
{
    const screw_record *r = record;
    const tks_screw *s = &r->screw;
    double radius = hypot(p.x, p.y), core = fmin(r->thread[0].profile.inner * 0.9, r->shank);
    double d = cylinder_distance(radius, p.z, core, 0, r->top);
    for (int i = 0; i < 2; i++) {
        const trim_thread *t = &r->thread[i];
        if (!(t->length > 0)) continue;
        tks_vec3 q = vec3(p.x, p.y, p.z - r->base[i]);
        d = fmin(d, tks_thread_distance(&t->profile, t->length, t->ends, q));
    }
    if (s->shank_length > 0)
        d = fmin(d, cylinder_distance(radius, p.z, r->shank, r->neck[0], r->neck[1]));
    if (s->head != TKS_HEAD_NONE) d = fmin(d, head_distance(r, p, radius));
    return s->socket.across_flats > 0 ? fmax(d, -socket_distance(r, p, radius)) : d;
}

/* ------------------------------------------------------------------ without its thread */

static void smooth_shank(const screw_record *r, geometry_line_of_corners *line)
{
    const tks_screw *s = &r->screw;
    double radius = r->thread[0].profile.effective, from = s->masked_from;
    double to = from + s->masked_length;
    geometry_corner_add(line, 0, 0, from == 0 && to > 0 ? TKS_MASKED : TKS_END);
    geometry_corner_add(line, radius, 0, TKS_THREAD);
    if (to > from) geometry_corner_add(line, radius, from, TKS_MASKED);
    if (to > from) geometry_corner_add(line, radius, to, TKS_THREAD);
    geometry_corner_add(line, radius, r->neck[0], TKS_OUTSIDE);
    if (s->shank_length > 0) {
        geometry_corner_add(line, r->shank, r->neck[0], TKS_OUTSIDE);
        geometry_corner_add(line, r->shank, r->neck[1], TKS_OUTSIDE);
    }
    if (s->second_length == 0) return;
    geometry_corner_add(line, radius, r->base[1], TKS_THREAD);
    geometry_corner_add(line, radius, r->head, TKS_END);
}

/* The head's profile and the socket, as a round one of the same width; of a hexagon the core, which
 * fills the hole in its prism. */
static void smooth_top(const screw_record *r, geometry_line_of_corners *line)
{
    const tks_screw *s = &r->screw;
    double top = r->top, a = s->socket.across_flats / 2;
    double radius = line->corners[line->count - 1].at.x;
    if (s->head == TKS_HEAD_HEXAGON) geometry_corner_add(line, radius, r->head, TKS_JOINT);
    if (s->head == TKS_HEAD_NONE || s->head == TKS_HEAD_HEXAGON)
        geometry_corner_add(line, radius, top, s->head == TKS_HEAD_HEXAGON ? TKS_OUTSIDE : TKS_END);
    for (size_t i = 1; i + 1 < r->profile.count; i++) {
        const tks_segment *g = &r->profile.segments[i];
        geometry_corner_add(line, g->from.x, r->head + g->from.y, g->label);
        line->corners[line->count - 1].bulge = g->turn;
    }
    if (a > 0) {
        geometry_corner_add(line, a, top, TKS_HOLE);
        geometry_corner_add(line, a, top - s->socket.depth, TKS_HOLE);
        top -= s->socket.depth;
    }
    geometry_corner_add(line, 0, top, TKS_END);
}

static tks_status screw_smooth(const void *record, const tks_frame *frame, tks_body *body,
                               tks_error *err)
{
    const screw_record *r = record;
    geometry_line_of_corners line = {.count = 0};
    smooth_shank(r, &line);
    smooth_top(r, &line);
    tks_status status = geometry_corners_turn(&line, frame, body, err);
    if (status || r->screw.head != TKS_HEAD_HEXAGON) return status;
    tks_frame head = *frame;
    head.origin = vec3_step(head.origin, r->head, head.z);
    double joint = r->screw.shank_length > 0 ? r->shank : r->thread[0].profile.effective;
    return geometry_hexagon_prism(body, &head, &r->screw.hexagon, joint, TKS_JOINT, err);
}

/* ------------------------------------------------------------------ the whole */

static tks_status work_out(screw_record *r, tks_arena *arena, double *volume, tks_error *err)
{
    tks_status status = set_threads(r, volume, err);
    if (status == TKS_OK) status = check_thread_places(r, err);
    if (status == TKS_OK) status = set_head(r, arena, volume, err);
    if (status == TKS_OK && r->screw.head == TKS_HEAD_HEXAGON && r->screw.socket.across_flats > 0)
        status = bad(err, "a hexagon head has no socket");
    return status == TKS_OK ? check_socket(r, volume, err) : status;
}

tks_status tks_body_screw(tks_body *body, const tks_frame *frame, const tks_screw *screw,
                          tks_error *err)
{
    if (!geometry_frame_ok(frame)) return geometry_bad_frame(err);
    screw_record *r = tks_arena_take(body->arena, 1, sizeof *r);
    if (!r) return geometry_no_memory(err);
    r->shared = (geometry_fastener){screw_distance, screw_smooth};
    r->screw = *screw;
    double volume = 0;
    tks_status status = work_out(r, body->arena, &volume, err);
    int cavity = -1;
    const tks_socket *s = &screw->socket;
    if (status == TKS_OK && s->across_flats > 0)
        status = tks_body_cavity(body, (tks_cavity){TKS_BORE, s->across_flats / 2, s->depth, 1},
                                 &cavity, err);
    if (status) return status;
    geometry_build build = geometry_start(body, GEOMETRY_THREAD, frame, 64);
    build.solid.thread = r;
    add_threads(&build, r);
    add_head_joint(&build, r);
    add_head(&build, r);
    add_socket(&build, r, cavity);
    return geometry_finish(&build, volume, err);
}
