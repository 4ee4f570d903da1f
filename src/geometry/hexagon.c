/* Hexagons cut by the cones of their chamfers. */
#include "geometry/fastener.h"

#include "base/vec.h"

#include <math.h>

static const double root3 = 1.7320508075688772;

/* With half width a, the corners lie at 2 a / sqrt(3). Of the region of the hexagon outside a
 * circle of radius c: its area, and its first moment about the axis (the integral of r dA). */
typedef struct region {
    double area, moment;
} region;

/* Over one half-wedge, 0 to 30 deg from the middle of a side, the hexagon reaches to a / cos t.
 * Integral of sec^3 is (sec tan + ln(sec + tan)) / 2. */
static double secant_cubed(double t)
{
    double sec = 1 / cos(t), tangent = tan(t);
    return (sec * tangent + log(sec + tangent)) / 2;
}

static region outside_circle(double a, double c)
{
    double from = c > a ? acos(a / c) : 0, to = M_PI / 6; /* where the hexagon passes the circle */
    double area = (a * a * (tan(to) - tan(from)) - c * c * (to - from)) / 2;
    double moment = (a * a * a * (secant_cubed(to) - secant_cubed(from)) - c * c * c * (to - from));
    return (region){12 * area, 12 * moment / 3};
}

/* Integral over a side, from its middle to x, of the chamfer's fall: max(0, sqrt(a^2 + x^2) - c).
 */
static double fall_to(double a, double x, double c)
{
    return (x * hypot(a, x) + a * a * asinh(x / a)) / 2 - c * x;
}

static double side_lost(double a, double c)
{
    double from = c > a ? sqrt(c * c - a * a) : 0;
    return 2 * (fall_to(a, a / root3, c) - fall_to(a, from, c));
}

static tks_status check(const tks_hexagon *h, tks_error *err)
{
    double corner = h->across_flats / root3, reach = 0;
    if (!geometry_size_ok(h->across_flats) || !geometry_size_ok(h->height))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a hexagon needs a width and a height above zero");
    for (int i = 0; i < 2; i++) {
        if (h->circle[i] == 0) continue;
        if (!(h->circle[i] > 0 && h->circle[i] <= 2 * corner))
            return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                            "a hexagon %.4g mm wide cannot be chamfered to a circle of %.4g mm",
                            h->across_flats * 1e3, h->circle[i] * 1e3);
        if (!(h->angle > 0 && h->angle < 1.5))
            return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                            "a chamfer should fall away at 0 to 85 deg, usually 30 deg");
        reach += (corner - h->circle[i] / 2) * tan(h->angle);
    }
    if (reach > h->height)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "the chamfers of a hexagon take %.4g mm, more than its height of %.4g mm",
                        reach * 1e3, h->height * 1e3);
    return TKS_OK;
}

tks_status tks_hexagon_measure(const tks_hexagon *h, tks_hexagon_measures *measures, tks_error *err)
{
    tks_status status = check(h, err);
    if (status) return status;
    double a = h->across_flats / 2, whole = 2 * root3 * a * a;
    tks_hexagon_measures m = {.side = 2 * a / root3 * h->height, .volume = whole * h->height};
    for (int i = 0; i < 2; i++) {
        m.face[i] = whole;
        if (h->circle[i] == 0) continue;
        double c = h->circle[i] / 2, slope = tan(h->angle);
        region out = outside_circle(a, c);
        m.cone[i] = out.area / cos(h->angle);
        m.face[i] -= out.area;
        m.side -= slope * side_lost(a, c);
        m.volume -= slope * (out.moment - c * out.area);
    }
    *measures = m;
    return TKS_OK;
}

double geometry_hexagon_distance(const tks_hexagon *h, tks_vec3 p)
{
    double x = fabs(p.x), y = fabs(p.y), a = h->across_flats / 2;
    double distance = fmax(x, x / 2 + y * root3 / 2) - a; /* sides face along x and 60 deg on */
    distance = fmax(distance, fmax(-p.z, p.z - h->height));
    double radius = hypot(x, y);
    for (int i = 0; i < 2; i++) {
        if (h->circle[i] == 0) continue;
        double height = i == 0 ? -p.z : p.z - h->height;
        distance =
            fmax(distance, (radius - h->circle[i] / 2) * sin(h->angle) + height * cos(h->angle));
    }
    return distance;
}

static void add_facets(geometry_build *build, const tks_hexagon *h, double base, double area)
{
    for (int i = 0; i < 6; i++) {
        tks_trim *trim = geometry_trim_add(build, TKS_PATCH_TRIMMED, TKS_OUTSIDE, area);
        if (!trim) return;
        *trim = (tks_trim){.kind = TRIM_FACET,
                           .from = base,
                           .to = base + h->height,
                           .apothem = h->across_flats / 2,
                           .turn = i * M_PI / 3,
                           .slope = tan(h->angle)};
        for (int k = 0; k < 2; k++)
            trim->circle[k] = h->circle[k] > 0 ? h->circle[k] / 2 : h->across_flats;
    }
}

/* The part of a plane or cone, height base + rise * r, that the hexagon has between two circles,
 * the smaller one not under its own width. */
static void add_corners(geometry_build *build, const tks_hexagon *h, const double circle[2],
                        double base, double rise, double facing, double area)
{
    for (int i = 0; i < 6; i++) {
        tks_trim *trim = geometry_trim_add(build, TKS_PATCH_TRIMMED, TKS_OUTSIDE, area / 6);
        if (!trim) return;
        *trim = (tks_trim){.kind = TRIM_CORNER,
                           .low = circle[0],
                           .high = circle[1],
                           .base = base,
                           .rise = rise,
                           .facing = facing,
                           .apothem = h->across_flats / 2,
                           .turn = (2 * i + 1) * M_PI / 6};
    }
}

/* An end without a chamfer: a plane face, which unions know how to lay upon another. */
static void add_plain_end(geometry_build *build, const tks_hexagon *h, int end, double z,
                          double hole)
{
    double corner = h->across_flats / root3, a = h->across_flats / 2;
    tks_outline *o = tks_arena_take(build->body->arena, 2, sizeof *o);
    tks_segment *s = tks_arena_take(build->body->arena, 7, sizeof *s);
    if (!o || !s) {
        build->failed = true;
        return;
    }
    for (int i = 0; i < 6; i++) {
        double from = (2 * i - 1) * M_PI / 6, to = from + M_PI / 3;
        s[i] = geometry_line((tks_vec2){corner * cos(from), corner * sin(from)},
                             (tks_vec2){corner * cos(to), corner * sin(to)}, TKS_OUTSIDE, -1);
    }
    s[5].to = s[0].from;
    if (hole > 0) s[6] = geometry_circle((tks_vec2){0, 0}, hole, 0, true, TKS_OUTSIDE, -1);
    o[0] = (tks_outline){s, 6, 0};
    o[1] = (tks_outline){&s[6], 1, 0};
    tks_frame frame = frame_identity();
    frame.origin.z = z;
    geometry_plane(build, &frame, o, hole > 0 ? 2 : 1, end == 0,
                   2 * root3 * a * a - M_PI * hole * hole, TKS_OUTSIDE, -1);
}

/* An end of a hexagon outside the hole: flat, then the chamfer's cone. */
static void add_end(geometry_build *build, const tks_hexagon *h,
                    const tks_hexagon_measures *measures, int end, double base, double hole)
{
    double z = base + (end ? h->height : 0), facing = end ? 1 : -1, slope = tan(h->angle);
    double a = h->across_flats / 2, c = h->circle[end] / 2;
    if (c == 0) {
        add_plain_end(build, h, end, z, hole);
        return;
    }
    double apex = z + facing * slope * c, rise = -facing * slope, within = 0;
    geometry_ring_add(build, hole, fmin(a, c), z, 0, facing, TKS_OUTSIDE);
    if (c > a) {
        const double circles[2] = {a, c};
        add_corners(build, h, circles, z, 0, facing, measures->face[end] - M_PI * a * a);
    } else {
        geometry_ring_add(build, c, a, apex, rise, facing, TKS_OUTSIDE);
        within = M_PI * (a * a - c * c) / cos(h->angle);
    }
    const double circles[2] = {fmax(a, c), 2 * a / root3};
    add_corners(build, h, circles, apex, rise, facing, measures->cone[end] - within);
}

void geometry_hexagon_add(geometry_build *build, const tks_hexagon *h,
                          const tks_hexagon_measures *measures, double base, const double hole[2])
{
    add_facets(build, h, base, measures->side);
    for (int end = 0; end < 2; end++)
        if (hole[end] >= 0) add_end(build, h, measures, end, base, hole[end]);
}
