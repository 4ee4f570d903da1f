/* Signed distance bound of a stretch of thread. */
#include "tankside/thread.h"

#include "base/vec.h"

#define PI 3.14159265358979323846

/* Distance from a point of the half-plane to one piece of the half-profile. */
static double piece_distance(const tks_segment *s, tks_vec2 point)
{
    if (s->turn == 0) {
        double x = s->to.x - s->from.x, y = s->to.y - s->from.y;
        double t = ((point.x - s->from.x) * x + (point.y - s->from.y) * y) / (x * x + y * y);
        t = fmax(0, fmin(1, t));
        return hypot(point.x - s->from.x - t * x, point.y - s->from.y - t * y);
    }
    tks_vec2 spoke = {point.x - s->centre.x, point.y - s->centre.y};
    tks_vec2 first = {s->from.x - s->centre.x, s->from.y - s->centre.y};
    tks_vec2 last = {s->to.x - s->centre.x, s->to.y - s->centre.y};
    double side = s->turn > 0 ? 1 : -1; /* arcs of a profile turn by less than half a circle */
    if (side * vec2_cross(first, spoke) >= 0 && side * vec2_cross(spoke, last) >= 0)
        return fabs(hypot(spoke.x, spoke.y) - hypot(first.x, first.y));
    return fmin(vec2_distance(point, s->from), vec2_distance(point, s->to));
}

/* Radius of the profile at a height between -pitch/2 and 0. */
static double profile_radius(const tks_thread_profile *p, double height)
{
    const tks_segment *s = p->half;
    while (s < p->half + 2 && height > s->to.y) s++;
    if (s->turn != 0) {
        double arc = vec2_distance(s->from, s->centre), y = height - s->centre.y;
        return s->centre.x + (s->turn > 0 ? 1 : -1) * sqrt(fmax(0, arc * arc - y * y));
    }
    double rise = s->to.y - s->from.y;
    return s->from.x + (rise > 0 ? (height - s->from.y) / rise * (s->to.x - s->from.x) : 0);
}

/* Signed distance in the half-plane. The profile is its own mirror image about the middles of crest
 * and root, so the nearest point may be looked for in the half that holds the point itself. */
static double plane_distance(const tks_thread_profile *p, double radius, double height)
{
    tks_vec2 point = {radius, -fabs(remainder(height, p->pitch))};
    double least = INFINITY;
    for (int i = 0; i < 3; i++) least = fmin(least, piece_distance(&p->half[i], point));
    return radius > profile_radius(p, point.y) ? least : -least;
}

/* The endless thread: f(r, theta, z) = plane distance at (r, z - p theta) has a gradient of at most
 * sqrt(1 + p^2 / r^2), so it is divided by that at half the core radius; nearer the axis, where
 * theta loses its meaning, the distance to the core takes over. */
static double endless_distance(const tks_thread_profile *p, tks_vec3 point)
{
    double radius = hypot(point.x, point.y), half_core = p->inner / 2;
    double steepest = hypot(1, p->advance / half_core);
    if (radius < half_core) return (radius - p->inner) / steepest;
    double turned = p->advance * atan2(point.y, point.x);
    double f = plane_distance(p, radius, point.z - turned);
    return fmax(f, -half_core) / steepest;
}

/* Distance to the cone of an end; height is measured from the end plane inward. */
static double cone_distance(const tks_thread_end *end, double radius, double height)
{
    double lean = end->kind == TKS_THREAD_CHAMFER ? 1 : -1;
    return (radius - end->radius) * cos(end->angle) - lean * height * sin(end->angle);
}

double tks_thread_distance(const tks_thread_profile *p, double length, const tks_thread_end ends[2],
                           tks_vec3 point)
{
    double radius = hypot(point.x, point.y), distance = endless_distance(p, point);
    for (int i = 0; i < 2; i++) {
        if (ends[i].kind == TKS_THREAD_SQUARE) continue;
        double cone = cone_distance(&ends[i], radius, i == 0 ? point.z : length - point.z);
        bool takes = ends[i].kind == TKS_THREAD_CHAMFER;
        distance = takes ? fmax(distance, cone) : fmin(distance, cone);
    }
    return fmax(distance, fmax(-point.z, point.z - length));
}
