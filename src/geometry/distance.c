#include "geometry/solid.h"

#include "base/vec.h"

#include <float.h>
#include <math.h>

/* Outside by x across and y along an intersection of two slabs square to one another. */
static double slab_distance(double x, double y)
{
    return x > 0 && y > 0 ? hypot(x, y) : fmax(x, y);
}

/* The wedge between the half-planes at angle 0 and at angle, as an intersection or, over half a
 * turn, a union of two half-spaces. */
static double wedge_distance(tks_vec3 p, double angle)
{
    double a = -p.y, b = p.y * cos(angle) - p.x * sin(angle);
    return angle <= M_PI ? fmax(a, b) : fmin(a, b);
}

double geometry_revolve_distance(const tks_solid *solid, tks_vec3 p)
{
    tks_vec2 q = {hypot(p.x, p.y), p.z};
    double d = geometry_outlines_distance(solid->outlines, 1, true, q);
    return solid->travel < 2 * M_PI ? fmax(d, wedge_distance(p, solid->travel)) : d;
}

static double drill_distance(const geometry_drill *d, tks_vec3 p)
{
    tks_vec3 w = vec3_sub(p, d->from);
    double along = vec3_dot(w, d->along);
    double off = vec3_length(vec3_step(w, -along, d->along));
    return slab_distance(off - d->radius, fmax(-along - d->before, along - d->length - d->behind));
}

double geometry_extrude_distance(const tks_solid *solid, tks_vec3 p)
{
    tks_vec2 q = {p.x, p.y};
    double half = solid->travel / 2;
    double d = geometry_outlines_distance(solid->outlines, solid->outline_count, false, q);
    d = slab_distance(d, fabs(p.z - half) - half);
    for (size_t i = 0; i < solid->drill_count; i++)
        if (solid->pierces[i].label != TKS_JOINT)
            d = fmax(d, -drill_distance(&solid->drills[i], p));
    return d;
}

static double (*const distances[])(const tks_solid *solid, tks_vec3 p) = {
    [GEOMETRY_REVOLVE] = geometry_revolve_distance,
    [GEOMETRY_EXTRUDE] = geometry_extrude_distance,
    [GEOMETRY_SWEEP] = geometry_sweep_distance,
    [GEOMETRY_THREAD] = geometry_fastener_distance,
};

double geometry_solid_distance(const tks_solid *solid, tks_vec3 point)
{
    return distances[solid->kind](solid, frame_local_point(&solid->frame, point));
}

/* Minima and maxima of 1-Lipschitz functions are 1-Lipschitz. */
double tks_body_distance(const tks_body *body, tks_vec3 point)
{
    double least = DBL_MAX;
    for (size_t i = 0; i < body->solid_count; i++) {
        const tks_solid *s = &body->solids[i];
        double d = geometry_solid_distance(s, point);
        least = s->cut ? fmax(least, -d) : fmin(least, d);
    }
    return least;
}
