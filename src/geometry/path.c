#include "geometry/path.h"

#include "base/sum.h"
#include "base/vec.h"
#include "geometry/segment.h"
#include "geometry/solid.h"

#include <math.h>

tks_frame geometry_frame_turned(const tks_frame *f, double angle)
{
    tks_frame turned = *f;
    turned.x = vec3_step(vec3_scale(f->x, cos(angle)), sin(angle), f->y);
    turned.y = vec3_cross(f->z, turned.x);
    return turned;
}

/* Bends turn about the start's y, whose centre lies along x. */
static tks_frame bend_frame(const tks_stretch *s, double angle)
{
    double c = cos(angle), n = sin(angle);
    tks_frame f = s->start;
    tks_vec3 centre = vec3_step(f.origin, s->radius, f.x);
    f.x = vec3_step(vec3_scale(s->start.x, c), -n, s->start.z);
    f.z = vec3_step(vec3_scale(s->start.z, c), n, s->start.x);
    f.origin = vec3_step(centre, -s->radius, f.x);
    return f;
}

tks_frame geometry_stretch_frame(const tks_stretch *s, double u)
{
    if (u <= 0) return s->start;
    if (s->kind == TKS_BEND) return bend_frame(s, u * s->angle);
    if (s->kind == TKS_COIL) {
        tks_frame axis = geometry_coil_axis(s);
        return geometry_coil_frame(s, &axis, u * s->angle);
    }
    tks_frame f = s->start;
    f.origin = vec3_step(f.origin, u * s->length, f.z);
    return f;
}

/* Sets the length, the end and whether the path is closed. */
static void measure(tks_path *path, const tks_frame *end)
{
    base_sum sum = {0, 0};
    for (size_t i = 0; i < path->count; i++) base_sum_add(&sum, path->stretches[i].length);
    path->length = base_sum_total(&sum);
    path->end = *end;
    const tks_frame *start = &path->stretches[0].start;
    path->closed = path->count > 1 || path->stretches[0].kind == TKS_BEND;
    path->closed = path->closed &&
                   vec3_distance(end->origin, start->origin) <= 1e-9 * path->length &&
                   vec3_distance(end->z, start->z) <= 1e-9;
}

/* ---- walking */

static tks_status check_coil(const tks_step *s, size_t number, tks_error *err)
{
    if (!(s->pitch >= 0 && s->pitch <= GEOMETRY_LARGEST && s->pitch_end >= 0 &&
          s->pitch_end <= GEOMETRY_LARGEST))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "step %zu: pitches of %g and %g mm; they should be 0 or more", number,
                        s->pitch * 1e3, s->pitch_end * 1e3);
    if (!(s->hand == 1 || s->hand == -1))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "step %zu: a coil is right-handed (+1) or left-handed (-1)", number);
    return TKS_OK;
}

static tks_status check_step(const tks_step *s, size_t number, tks_error *err)
{
    static const double most_turns = 1e4;
    if (s->kind == TKS_STEP_TURN) {
        if (fabs(s->angle) <= 4 * M_PI) return TKS_OK;
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "step %zu: a turn of %g deg; it should be within 720 deg", number,
                        s->angle * 180 / M_PI);
    }
    if (s->kind == TKS_STEP_STRAIGHT) {
        if (geometry_size_ok(s->length)) return TKS_OK;
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "step %zu: a straight of %g mm; it should be above zero", number,
                        s->length * 1e3);
    }
    double most = s->kind == TKS_STEP_BEND ? 2 * M_PI * (1 + 1e-15) : 2 * M_PI * most_turns;
    if (!(s->angle > 0 && s->angle <= most))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "step %zu: an angle of %g deg; it should be above 0 and not above %g deg",
                        number, s->angle * 180 / M_PI, most * 180 / M_PI);
    if (!geometry_size_ok(s->radius))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "step %zu: a radius of %g mm; it should be above zero", number,
                        s->radius * 1e3);
    return s->kind == TKS_STEP_COIL ? check_coil(s, number, err) : TKS_OK;
}

static tks_stretch stretch_of(const tks_step *s, const tks_frame *at)
{
    if (s->kind == TKS_STEP_STRAIGHT)
        return (tks_stretch){.kind = TKS_STRAIGHT, .start = *at, .length = s->length};
    tks_stretch made = {.kind = TKS_BEND,
                        .start = *at,
                        .length = s->angle * s->radius,
                        .radius = s->radius,
                        .angle = s->angle};
    if (s->kind == TKS_STEP_BEND) return made;
    made.kind = TKS_COIL;
    made.pitch = s->pitch;
    made.pitch_end = s->pitch_end;
    made.hand = s->hand;
    made.length = geometry_coil_length(s->radius, s->angle, s->pitch, s->pitch_end);
    return made;
}

static tks_status finish(tks_path *made, const tks_frame *end, tks_path *path, tks_error *err)
{
    if (made->count == 0)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "a path needs a straight, bend or coil");
    measure(made, end);
    if (!(made->length <= GEOMETRY_LARGEST))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a path of %g m; it should be below 1000 m", made->length);
    *path = *made;
    return TKS_OK;
}

tks_status tks_path_walk(tks_arena *arena, const tks_frame *start, const tks_step *steps,
                         size_t count, tks_path *path, tks_error *err)
{
    if (!geometry_frame_ok(start)) return geometry_bad_frame(err);
    tks_path made = {.stretches = tks_arena_take(arena, count, sizeof(tks_stretch))};
    if (!made.stretches) return geometry_no_memory(err);
    tks_frame at = *start;
    for (size_t i = 0; i < count; i++) {
        tks_status status = check_step(&steps[i], i + 1, err);
        if (status) return status;
        if (steps[i].kind == TKS_STEP_TURN) {
            at = geometry_frame_turned(&at, steps[i].angle);
            continue;
        }
        tks_stretch *s = &made.stretches[made.count++];
        *s = stretch_of(&steps[i], &at);
        at = geometry_stretch_frame(s, 1);
    }
    return finish(&made, &at, path, err);
}

/* ---- through corners */

typedef struct corner {
    tks_vec3 at, in, out; /* unit directions of the edges before and behind */
    double angle, trim;   /* of the bend here; 0: none */
    double radius;
    tks_vec3 side; /* unit, from the edge before towards the centre; only of a bend */
} corner;

static tks_status set_corner(corner *c, size_t number, tks_error *err)
{
    tks_vec3 axis = vec3_cross(c->in, c->out);
    c->angle = atan2(vec3_length(axis), vec3_dot(c->in, c->out));
    if (c->angle < 1e-9) {
        c->angle = 0;
        return TKS_OK;
    }
    if (c->angle > M_PI - 1e-6)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "corner %zu: the path folds back",
                        number);
    if (!geometry_size_ok(c->radius))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "corner %zu: a radius of %g mm; it should be above zero", number,
                        c->radius * 1e3);
    c->side = vec3_cross(vec3_unit(axis), c->in);
    c->trim = c->radius * tan(c->angle / 2);
    return TKS_OK;
}

static tks_status read_corners(const double *points, const double *radii, size_t n, corner *corners,
                               tks_error *err)
{
    for (size_t i = 0; i < n; i++) {
        corners[i].at = vec3(points[3 * i], points[3 * i + 1], points[3 * i + 2]);
        corners[i].radius = radii[i];
        if (!(vec3_length(corners[i].at) <= GEOMETRY_LARGEST))
            return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                            "corner %zu is farther than 1000 m from the origin", i + 1);
    }
    for (size_t i = 0; i + 1 < n; i++) {
        tks_vec3 d = vec3_sub(corners[i + 1].at, corners[i].at);
        if (!(vec3_length(d) >= GEOMETRY_SMALLEST))
            return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                            "corner %zu and the next are the same point", i + 1);
        corners[i].out = corners[i + 1].in = vec3_unit(d);
    }
    for (size_t i = 1; i + 1 < n; i++) {
        tks_status status = set_corner(&corners[i], i + 1, err);
        if (status) return status;
    }
    return TKS_OK;
}

/* Any unit vector square to z. */
static tks_vec3 square_to(tks_vec3 z)
{
    tks_vec3 x = fabs(z.x) < 0.7 ? vec3(1, 0, 0) : vec3(0, 1, 0);
    return vec3_unit(vec3_step(x, -vec3_dot(x, z), z));
}

static tks_frame frame_along(tks_vec3 origin, tks_vec3 z, tks_vec3 x)
{
    return (tks_frame){origin, x, vec3_cross(z, x), z};
}

/* The edge from corner i to the next and the bend there. *x is the side last used. */
static tks_status add_edge(tks_path *path, const corner *corners, size_t n, size_t i, tks_vec3 *x,
                           tks_error *err)
{
    const corner *c = &corners[i], *next = &corners[i + 1];
    double length = vec3_distance(c->at, next->at) - c->trim - next->trim;
    if (length < -GEOMETRY_SAME) {
        size_t worst = c->trim > next->trim ? i : i + 1;
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "corner %zu: a radius of %g mm does not fit between its neighbours",
                        worst + 1, corners[worst].radius * 1e3);
    }
    bool bends = i + 2 < n && next->angle > 0;
    if (bends) *x = next->side;
    if (length > 10 * GEOMETRY_SAME)
        path->stretches[path->count++] =
            (tks_stretch){.kind = TKS_STRAIGHT,
                          .start = frame_along(vec3_step(c->at, c->trim, c->out), c->out, *x),
                          .length = length};
    if (!bends) return TKS_OK;
    tks_stretch *s = &path->stretches[path->count++];
    *s = (tks_stretch){.kind = TKS_BEND,
                       .start =
                           frame_along(vec3_step(next->at, -next->trim, next->in), next->in, *x),
                       .length = next->angle * next->radius,
                       .radius = next->radius,
                       .angle = next->angle};
    *x = geometry_stretch_frame(s, 1).x;
    return TKS_OK;
}

tks_status tks_path_corners(tks_arena *arena, const double *points, const double *radii, size_t n,
                            tks_path *path, tks_error *err)
{
    if (n < 2) return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "a path needs 2 corners or more");
    corner *corners = tks_arena_take(arena, n, sizeof *corners);
    tks_path made = {.stretches = tks_arena_take(arena, n, 2 * sizeof(tks_stretch))};
    if (!corners || !made.stretches) return geometry_no_memory(err);
    tks_status status = read_corners(points, radii, n, corners, err);
    if (status) return status;
    tks_vec3 x = square_to(corners[0].out);
    for (size_t i = 0; i + 1 < n; i++) {
        status = add_edge(&made, corners, n, i, &x, err);
        if (status) return status;
    }
    tks_frame end = geometry_stretch_frame(&made.stretches[made.count - 1], 1);
    return finish(&made, &end, path, err);
}
