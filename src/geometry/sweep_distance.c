#include "geometry/path.h"
#include "geometry/solid.h"

#include "base/vec.h"

#include <float.h>
#include <math.h>

/* The nearest point of a swept surface lies in a plane square to the path at a foot of the point
 * on the centreline (where the distance to it is stationary), or on an end face. So for every
 * stretch that has a foot, the distance within the section's plane counts, and the two end faces as
 * flat figures in space. Stretches meet in tangents, so between them their feet cover the metal
 * without a seam, and nothing is to be seen of the joints. */

typedef struct search {
    double side;   /* least distance to the swept surface */
    bool in_metal; /* whether some foot shows the point inside the section */
} search;

/* Feet may be missed by so much at a joint; the neighbour sees the same there. [m] */
static const double slack = 1e-12;

/* Signed distance within the section's plane, in the section's own axes. */
static double section_distance(const tks_section *s, double x, double y)
{
    if (s->kind == TKS_RECTANGULAR) {
        double dx = fabs(x) - s->width / 2, dy = fabs(y) - s->height / 2;
        return dx > 0 && dy > 0 ? hypot(dx, dy) : fmax(dx, dy);
    }
    double r = hypot(x, y);
    if (s->kind == TKS_ROUND || s->inside == TKS_SEALED) return r - s->radius;
    return fmax(r - s->radius, s->bore - r);
}

/* A foot whose section sees the point at x, y of the stretch's frame. */
static void add_foot(search *found, const geometry_sweep *w, size_t i, double x, double y)
{
    double c = cos(w->psi[i]), s = sin(w->psi[i]);
    double d = section_distance(&w->section, c * x + s * y, c * y - s * x);
    found->side = fmin(found->side, fabs(d));
    found->in_metal |= d < 0;
}

static void look_at_straight(search *found, const geometry_sweep *w, size_t i, tks_vec3 p)
{
    const tks_stretch *s = &w->path.stretches[i];
    tks_vec3 q = frame_local_point(&s->start, p);
    if (q.z >= -slack && q.z <= s->length + slack) add_foot(found, w, i, q.x, q.y);
}

static void look_at_bend(search *found, const geometry_sweep *w, size_t i, tks_vec3 p)
{
    const tks_stretch *s = &w->path.stretches[i];
    tks_vec3 q = frame_local_point(&s->start, p);
    double out = s->radius - q.x, radius = hypot(out, q.z), angle = atan2(q.z, out);
    if (angle < 0) angle += 2 * M_PI;
    double spare = radius > slack ? slack / radius : 1;
    if (angle <= s->angle + spare || angle >= 2 * M_PI - spare)
        add_foot(found, w, i, s->radius - radius, q.y);
}

/* ---- coils */

typedef struct coil {
    const tks_stretch *stretch;
    double rho, phi, z; /* the point, in cylindrical coordinates about the axis */
    double change;      /* of the slope per radian */
} coil;

/* Half the derivative of the squared distance to the coil's point at angle t. */
static double slope_at(const coil *c, double t)
{
    return c->rho * c->stretch->radius * sin(t - c->phi) +
           (geometry_coil_height(c->stretch, t) - c->z) * geometry_coil_slope(c->stretch, t);
}

static double distance_at(const coil *c, double t)
{
    double chord = 2 * sin((t - c->phi) / 2); /* no cancellation near the wire */
    double across = c->rho - c->stretch->radius;
    double height = geometry_coil_height(c->stretch, t) - c->z;
    return sqrt(across * across + c->rho * c->stretch->radius * chord * chord + height * height);
}

/* The angle between low and high where the slope goes from negative to positive: Newton's steps
 * while they stay in the bracket, else halves. */
static double stationary(const coil *c, double low, double high)
{
    double t = (low + high) / 2;
    for (int i = 0; i < 60; i++) {
        double g = slope_at(c, t), h = geometry_coil_slope(c->stretch, t);
        if (g < 0)
            low = t;
        else
            high = t;
        double bend = c->rho * c->stretch->radius * cos(t - c->phi) + h * h +
                      (geometry_coil_height(c->stretch, t) - c->z) * c->change;
        double next = bend > 0 ? t - g / bend : low;
        if (!(next > low && next < high)) next = (low + high) / 2;
        if (fabs(next - t) <= 1e-15 * (1 + fabs(t))) return next;
        t = next;
    }
    return t;
}

/* The angle at which the coil has come to the point's height, kept within the coil. */
static double level_angle(const coil *c)
{
    const tks_stretch *s = c->stretch;
    double low = 0, high = s->angle;
    for (int i = 0; i < 50 && high - low > 1e-3; i++) {
        double t = (low + high) / 2;
        if ((geometry_coil_height(s, t) - c->z) * s->hand < 0)
            low = t;
        else
            high = t;
    }
    return (low + high) / 2;
}

static void add_coil_foot(search *found, const geometry_sweep *w, const coil *c, double t)
{
    double d = section_distance(&w->section, distance_at(c, t), 0);
    found->side = fmin(found->side, fabs(d));
    found->in_metal |= d < 0;
}

/* Height grows along the coil, so that of the feet above (or below) the point's level the first is
 * the nearest; it lies within five quarter turns of that level. */
static void look_at_coil(search *found, const geometry_sweep *w, size_t i, tks_vec3 p)
{
    const tks_stretch *s = &w->path.stretches[i];
    tks_frame axis = geometry_coil_axis(s);
    tks_vec3 q = frame_local_point(&axis, p);
    coil c = {s, hypot(q.x, q.y), atan2(q.y, q.x), q.z,
              s->hand * (s->pitch_end - s->pitch) / (2 * M_PI * s->angle)};
    double level = level_angle(&c);
    double low = fmax(0, level - 2.5 * M_PI), high = fmin(s->angle, level + 2.5 * M_PI);
    enum { STEPS = 40 };
    double t = low, g = slope_at(&c, t), speed = slack * s->radius;
    if (low == 0 && fabs(g) <= speed) add_coil_foot(found, w, &c, 0);
    for (int k = 1; k <= STEPS; k++) {
        double next = low + (high - low) * k / STEPS, h = slope_at(&c, next);
        if (g < 0 && h >= 0) add_coil_foot(found, w, &c, stationary(&c, t, next));
        t = next;
        g = h;
    }
    if (high == s->angle && fabs(g) <= speed) add_coil_foot(found, w, &c, high);
}

/* Distance from an end face, as a flat figure. */
static double face_distance(const geometry_sweep *w, const tks_frame *face, tks_vec3 p)
{
    tks_vec3 q = frame_local_point(face, p);
    return hypot(q.z, fmax(0, section_distance(&w->section, q.x, q.y)));
}

double geometry_sweep_distance(const tks_solid *solid, tks_vec3 p)
{
    const geometry_sweep *w = solid->sweep;
    search found = {DBL_MAX, false};
    for (size_t i = 0; i < w->path.count; i++) switch (w->path.stretches[i].kind) {
        case TKS_STRAIGHT: look_at_straight(&found, w, i, p); break;
        case TKS_BEND: look_at_bend(&found, w, i, p); break;
        case TKS_COIL: look_at_coil(&found, w, i, p); break;
        }
    if (!w->path.closed)
        found.side =
            fmin(found.side, fmin(face_distance(w, &w->first, p), face_distance(w, &w->last, p)));
    return found.in_metal ? -found.side : found.side;
}
