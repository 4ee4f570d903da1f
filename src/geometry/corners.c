#include "geometry/outline.h"

#include "base/vec.h"

#include <math.h>

/* Makes outlines from what a person describes: corners, circles, bent strips. */

typedef struct rounding {
    double trim; /* length taken off the edge on each side */
    double turn; /* from the edge before to the edge after */
} rounding;

static tks_vec2 along(tks_vec2 from, tks_vec2 to, double length)
{
    double whole = vec2_distance(from, to);
    return (tks_vec2){from.x + (to.x - from.x) * length / whole,
                      from.y + (to.y - from.y) * length / whole};
}

static tks_status find_rounding(const tks_corner *corners, size_t count, size_t i, rounding *found,
                                tks_error *err)
{
    const tks_corner *before = &corners[(i + count - 1) % count], *c = &corners[i];
    const tks_corner *after = &corners[(i + 1) % count];
    if (!(c->round >= 0 && c->round <= GEOMETRY_LARGEST))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "corner %zu: its rounding must be a length, 0 or more", i + 1);
    *found = (rounding){0, 0};
    if (c->round == 0) return TKS_OK;
    if (before->bulge != 0 || c->bulge != 0)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "corner %zu: only corners between straight edges can be rounded", i + 1);
    tks_vec2 in = {c->at.x - before->at.x, c->at.y - before->at.y};
    tks_vec2 out = {after->at.x - c->at.x, after->at.y - c->at.y};
    double turn = atan2(vec2_cross(in, out), in.x * out.x + in.y * out.y);
    if (fabs(turn) < 1e-9) return TKS_OK; /* the edges run on: nothing to round */
    *found = (rounding){c->round * tan(fabs(turn) / 2), turn};
    return TKS_OK;
}

static tks_status check_corner(const tks_corner *corners, size_t count, size_t i, tks_error *err)
{
    const tks_corner *c = &corners[i], *next = &corners[(i + 1) % count];
    if (!(fabs(c->at.x) <= GEOMETRY_LARGEST && fabs(c->at.y) <= GEOMETRY_LARGEST))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "corner %zu is farther than 1000 m from the origin", i + 1);
    if (!(fabs(c->bulge) < 2 * M_PI))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "corner %zu: the arc behind it must turn by less than 360 deg", i + 1);
    if (vec2_distance(c->at, next->at) <= 10 * GEOMETRY_SAME) /* NaN: refused at its own turn */
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "corner %zu and the next are the same point: edges need a length", i + 1);
    return TKS_OK;
}

/* The straight edge or arc from corner i to the next, less what roundings take; an edge that they
 * take wholly is left out. *at is where the outline has come to. */
static void add_edge(tks_outline *outline, const tks_corner *corners, size_t count, size_t i,
                     const rounding *r, tks_vec2 *at)
{
    const tks_corner *c = &corners[i];
    size_t n = (i + 1) % count;
    tks_vec2 to = r[n].trim > 0 ? along(corners[n].at, c->at, r[n].trim) : corners[n].at;
    tks_segment *s = &outline->segments[outline->count];
    if (c->bulge != 0) {
        double dx = to.x - at->x, dy = to.y - at->y, t = 1 / (2 * tan(c->bulge / 2));
        tks_vec2 centre = {(at->x + to.x) / 2 - dy * t, (at->y + to.y) / 2 + dx * t};
        *s = geometry_arc(*at, to, centre, c->bulge, c->label, c->cavity);
    } else {
        if (vec2_distance(*at, to) <= 10 * GEOMETRY_SAME) return;
        *s = geometry_line(*at, to, c->label, c->cavity);
    }
    outline->count++;
    *at = to;
}

static void add_rounding(tks_outline *outline, const tks_corner *corners, size_t count, size_t i,
                         const rounding *r, tks_vec2 *at)
{
    if (!(r->trim > 0)) return;
    const tks_corner *before = &corners[(i + count - 1) % count], *c = &corners[i];
    const tks_corner *after = &corners[(i + 1) % count];
    tks_vec2 from = along(c->at, before->at, r->trim), to = along(c->at, after->at, r->trim);
    double length = vec2_distance(before->at, c->at), side = r->turn > 0 ? 1 : -1;
    double dx = (c->at.x - before->at.x) / length, dy = (c->at.y - before->at.y) / length;
    tks_vec2 centre = {from.x - side * c->round * dy, from.y + side * c->round * dx};
    outline->segments[outline->count++] =
        geometry_arc(*at, to, centre, r->turn, before->label, before->cavity);
    *at = to;
}

static tks_status check_fit(const tks_corner *corners, size_t count, const rounding *r,
                            tks_error *err)
{
    for (size_t i = 0; i < count; i++) {
        size_t n = (i + 1) % count;
        double left = vec2_distance(corners[i].at, corners[n].at) - r[i].trim - r[n].trim;
        if (left >= -GEOMETRY_SAME) continue;
        size_t worst = r[i].trim >= r[n].trim ? i : n;
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "corner %zu: a radius of %g mm does not fit", worst + 1,
                        corners[worst].round * 1e3);
    }
    return TKS_OK;
}

static tks_status check_corners(const tks_corner *corners, size_t count, rounding *r,
                                tks_error *err)
{
    for (size_t i = 0; i < count; i++) {
        tks_status status = check_corner(corners, count, i, err);
        if (!status) status = find_rounding(corners, count, i, &r[i], err);
        if (status) return status;
    }
    return check_fit(corners, count, r, err);
}

static void join_corners(tks_outline *outline, const tks_corner *corners, size_t count,
                         const rounding *r)
{
    tks_vec2 at =
        r[0].trim > 0 ? along(corners[0].at, corners[count - 1].at, r[0].trim) : corners[0].at;
    for (size_t i = 0; i < count; i++) {
        add_rounding(outline, corners, count, i, &r[i], &at);
        add_edge(outline, corners, count, i, r, &at);
    }
    outline->segments[outline->count - 1].to = outline->segments[0].from;
}

tks_status tks_outline_corners(tks_arena *arena, const tks_corner *corners, size_t count,
                               bool clockwise, tks_outline *outline, tks_error *err)
{
    if (count < 2)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "an outline needs 2 corners or more");
    rounding *r = tks_arena_take(arena, count, sizeof *r);
    tks_segment *segments = tks_arena_take(arena, count, 2 * sizeof *segments);
    if (!r || !segments)
        return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory for an outline");
    tks_status status = check_corners(corners, count, r, err);
    if (status) return status;
    tks_outline made = {segments, 0, 0};
    join_corners(&made, corners, count, r);
    status = geometry_outline_check(&made, clockwise, "the outline", err);
    made.sound = clockwise ? -1 : 1;
    if (!status) *outline = made;
    return status;
}

tks_status tks_outline_circle(tks_arena *arena, tks_vec2 centre, double radius, bool clockwise,
                              tks_label label, int cavity, tks_outline *outline, tks_error *err)
{
    if (!geometry_size_ok(radius) || !(fabs(centre.x) <= GEOMETRY_LARGEST) ||
        !(fabs(centre.y) <= GEOMETRY_LARGEST))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a circle of radius %g mm: it should be above zero and below 1000 m",
                        radius * 1e3);
    tks_segment *s = tks_arena_take(arena, 1, sizeof *s);
    if (!s) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory for a circle");
    *s = geometry_circle(centre, radius, 0, clockwise, label, cavity);
    *outline = (tks_outline){s, 1, clockwise ? -1 : 1};
    return TKS_OK;
}

/* ---- bent strips */

typedef struct strip {
    double thickness;
    const double *legs, *angles, *radii;
    size_t count; /* of legs */
} strip;

static tks_status check_strip(const strip *s, tks_error *err)
{
    if (s->count == 0)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "a strip needs one leg or more");
    if (!geometry_size_ok(s->thickness))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a thickness of %g mm: it should be above zero and below 1000 m",
                        s->thickness * 1e3);
    for (size_t i = 0; i < s->count; i++)
        if (!geometry_size_ok(s->legs[i]))
            return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                            "leg %zu: its length is %g mm; it should be above zero", i + 1,
                            s->legs[i] * 1e3);
    for (size_t i = 0; i + 1 < s->count; i++) {
        if (!(fabs(s->angles[i]) >= 1e-6 && fabs(s->angles[i]) <= M_PI * (1 + 1e-15)))
            return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                            "bend %zu: %g deg; it should be above 0 and not above 180 deg", i + 1,
                            s->angles[i] * 180 / M_PI);
        if (!geometry_size_ok(s->radii[i]))
            return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                            "bend %zu: an inside radius of %g mm; it should be above zero", i + 1,
                            s->radii[i] * 1e3);
    }
    return TKS_OK;
}

/* One leg and, when another follows, the bend behind it, on both faces. place moves along. */
static void add_leg(const strip *s, size_t i, tks_segment *segments, tks_vec2 *at, double *heading)
{
    tks_vec2 d = {cos(*heading), sin(*heading)}, left = {-d.y, d.x};
    size_t last = 4 * s->count - 2;
    tks_vec2 to = {at->x + s->legs[i] * d.x, at->y + s->legs[i] * d.y};
    double t = s->thickness;
    tks_vec2 over = {at->x + t * left.x, at->y + t * left.y};
    tks_vec2 over_to = {to.x + t * left.x, to.y + t * left.y};
    segments[2 * i] = geometry_line(*at, to, TKS_OUTSIDE, -1);
    segments[last - 2 * i] = geometry_line(over_to, over, TKS_OUTSIDE, -1);
    *at = to;
    if (i + 1 == s->count) return;
    double angle = s->angles[i], offset = angle > 0 ? t + s->radii[i] : -s->radii[i];
    tks_vec2 centre = {to.x + offset * left.x, to.y + offset * left.y};
    *heading += angle;
    left = (tks_vec2){-sin(*heading), cos(*heading)};
    tks_vec2 next = {centre.x - offset * left.x, centre.y - offset * left.y};
    tks_vec2 over_next = {next.x + t * left.x, next.y + t * left.y};
    segments[2 * i + 1] = geometry_arc(to, next, centre, angle, TKS_OUTSIDE, -1);
    segments[last - 2 * i - 1] = geometry_arc(over_next, over_to, centre, -angle, TKS_OUTSIDE, -1);
    *at = next;
}

static void close_strip(const strip *s, tks_segment *segments)
{
    size_t far = 2 * s->count - 1, near = 4 * s->count - 1;
    segments[far] = geometry_line(segments[far - 1].to, segments[far + 1].from, TKS_OUTSIDE, -1);
    segments[near] = geometry_line(segments[near - 1].to, segments[0].from, TKS_OUTSIDE, -1);
}

tks_status tks_outline_strip(tks_arena *arena, double thickness, const double *legs,
                             size_t leg_count, const double *bend_angles, const double *bend_radii,
                             tks_outline *outline, tks_error *err)
{
    strip s = {thickness, legs, bend_angles, bend_radii, leg_count};
    tks_status status = check_strip(&s, err);
    if (status) return status;
    tks_segment *segments = tks_arena_take(arena, leg_count, 4 * sizeof *segments);
    if (!segments) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory for a strip");
    tks_vec2 at = {0, 0};
    double heading = 0;
    for (size_t i = 0; i < leg_count; i++) add_leg(&s, i, segments, &at, &heading);
    close_strip(&s, segments);
    tks_outline made = {segments, 4 * leg_count, 0};
    status = geometry_outline_check(&made, false, "the bent strip", err);
    made.sound = 1;
    if (!status) *outline = made;
    return status;
}
