#include "geometry/path.h"

#include "base/vec.h"

#include <math.h>

/* Mean over the coil of sqrt(R^2 + h^2), where h, the advance per radian, goes evenly from h0 to
 * h1: the integral is (h sqrt(R^2+h^2) + R^2 asinh(h/R))/2 (Bronshtein et al., integrals with
 * sqrt(x^2+a^2)); both differences are divided by h1 - h0 before anything is rounded. */
double geometry_coil_length(double radius, double angle, double pitch, double pitch_end)
{
    double a = pitch / (2 * M_PI * radius), b = pitch_end / (2 * M_PI * radius);
    double s = hypot(1, a), t = hypot(1, b), sum = a + b;
    double ratio = sum > 0 ? sum / (a * t + b * s) : 1;
    double q = (a - b) * ratio;
    double grown = q != 0 ? asinh(q) / q : 1;
    return angle * radius * ((s + t + sum * sum / (s + t)) / 2 + ratio * grown) / 2;
}

double geometry_coil_slope(const tks_stretch *s, double angle)
{
    double pitch = s->pitch + (s->pitch_end - s->pitch) * angle / s->angle;
    return s->hand * pitch / (2 * M_PI);
}

double geometry_coil_height(const tks_stretch *s, double angle)
{
    return (geometry_coil_slope(s, 0) + geometry_coil_slope(s, angle)) / 2 * angle;
}

/* The start's z makes the angle of the first pitch with the plane square to the axis. */
tks_stretch geometry_patch_coil(const tks_patch *p, const tks_frame *start)
{
    return (tks_stretch){.kind = TKS_COIL,
                         .start = *start,
                         .radius = p->radius,
                         .angle = p->travel,
                         .pitch = p->pitch,
                         .pitch_end = p->pitch_end,
                         .hand = p->hand};
}

tks_frame geometry_coil_axis(const tks_stretch *s)
{
    const tks_frame *f = &s->start;
    double slope = geometry_coil_slope(s, 0) / s->radius, c = 1 / hypot(1, slope), n = slope * c;
    tks_frame axis;
    axis.origin = vec3_step(f->origin, s->radius, f->x);
    axis.x = vec3_scale(f->x, -1);
    axis.z = vec3_step(vec3_scale(f->y, c), n, f->z);
    axis.y = vec3_cross(axis.z, axis.x);
    return axis;
}

tks_frame geometry_coil_frame(const tks_stretch *s, const tks_frame *axis, double angle)
{
    double slope = geometry_coil_slope(s, angle) / s->radius, c = 1 / hypot(1, slope);
    double cosine = cos(angle), sine = sin(angle);
    tks_frame f;
    f.origin = frame_point(
        axis, vec3(s->radius * cosine, s->radius * sine, geometry_coil_height(s, angle)));
    f.x = frame_direction(axis, vec3(-cosine, -sine, 0));
    f.z = frame_direction(axis, vec3(-c * sine, c * cosine, c * slope));
    f.y = vec3_cross(f.z, f.x);
    return f;
}
