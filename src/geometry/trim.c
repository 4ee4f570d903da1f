#include "geometry/trim.h"

#include "base/vec.h"

#include <math.h>

double trim_end_loss(const tks_thread_end *end, double radius)
{
    if (end->kind == TKS_THREAD_SQUARE) return 0;
    double past = end->kind == TKS_THREAD_CHAMFER ? radius - end->radius : end->radius - radius;
    return fmax(0, past) / tan(end->angle);
}

static double clamp(double x, double low, double high)
{
    return fmax(low, fmin(high, x));
}

/* Cross product of the tangents of a helicoid, (r cos t, r sin t, z + a t): along e_r r t_z, along
 * e_phi a t_r, along e_z -r t_r; the segment's solid is on its left, so that it points out. */
static void helicoid_at(const tks_patch *p, double u, double v, tks_vec3 *point, tks_vec3 *normal)
{
    const tks_trim *trim = p->trim;
    const trim_thread *thread = trim->thread;
    tks_vec2 at = geometry_segment_point(&p->segment, v);
    tks_vec2 t = geometry_segment_tangent(&p->segment, v);
    double low = trim_end_loss(&thread->ends[0], at.x);
    double high = thread->length - trim_end_loss(&thread->ends[1], at.x);
    low = clamp(low, trim->from, trim->to);
    high = clamp(high, low, trim->to);
    double z = low + u * (high - low), angle = (z - at.y) / p->advance;
    double c = cos(angle), s = sin(angle);
    double out = at.x * t.y, round = p->advance * t.x, up = -at.x * t.x;
    *point = vec3(at.x * c, at.x * s, z);
    *normal = vec3_unit(vec3(out * c - round * s, out * s + round * c, up));
}

/* Middle and half of the angle that the patch spans at a radius. */
static void span_at(const tks_trim *trim, double radius, double *middle, double *half)
{
    if (trim->kind == TRIM_CORNER) {
        *middle = trim->turn;
        *half = radius > trim->apothem ? M_PI / 6 - acos(trim->apothem / radius) : M_PI / 6;
        return;
    }
    const tks_thread_profile *profile = &trim->thread->profile;
    double tooth = thread_half_width(profile, radius) / fabs(profile->advance);
    *middle = (trim->base + trim->rise * radius) / profile->advance;
    *half = tooth;
    if (trim->kind == TRIM_TOOTH) return;
    *middle += M_PI;
    *half = M_PI - tooth;
}

/* Closer steps at both ends, where the angle spanned changes like a square root. */
trim_arc trim_arc_at(const tks_patch *patch, double v)
{
    const tks_trim *trim = patch->trim;
    double t = (1 - cos(M_PI * v)) / 2;
    trim_arc arc = {.radius = trim->low + t * (trim->high - trim->low)};
    span_at(trim, arc.radius, &arc.middle, &arc.half);
    return arc;
}

static void cone_at(const tks_patch *p, double u, double v, tks_vec3 *point, tks_vec3 *normal)
{
    const tks_trim *trim = p->trim;
    trim_arc arc = trim_arc_at(p, v);
    double angle = arc.middle + (2 * u - 1) * arc.half, lean = hypot(1, trim->rise);
    double out = -trim->facing * trim->rise / lean;
    *point = vec3(arc.radius * cos(angle), arc.radius * sin(angle),
                  trim->base + trim->rise * arc.radius);
    *normal = vec3(out * cos(angle), out * sin(angle), trim->facing / lean);
}

static void facet_at(const tks_patch *p, double u, double v, tks_vec3 *point, tks_vec3 *normal)
{
    const tks_trim *trim = p->trim;
    double y = (2 * v - 1) * trim->apothem / sqrt(3), radius = hypot(trim->apothem, y);
    double low = trim->from + trim->slope * fmax(0, radius - trim->circle[0]);
    double high = trim->to - trim->slope * fmax(0, radius - trim->circle[1]);
    double c = cos(trim->turn), s = sin(trim->turn);
    *point = vec3(trim->apothem * c - y * s, trim->apothem * s + y * c, low + u * (high - low));
    *normal = vec3(c, s, 0);
}

void trim_at(const tks_patch *patch, double u, double v, tks_vec3 *point, tks_vec3 *normal)
{
    switch (patch->trim->kind) {
    case TRIM_HELICOID: helicoid_at(patch, u, v, point, normal); break;
    case TRIM_FACET: facet_at(patch, u, v, point, normal); break;
    default: cone_at(patch, u, v, point, normal); break;
    }
}

void trim_box(const tks_patch *patch, tks_vec3 *low, tks_vec3 *high)
{
    const tks_trim *trim = patch->trim;
    double r = trim->high, bottom = trim->from, top = trim->to;
    if (trim->kind == TRIM_FACET) r = 2 * trim->apothem / sqrt(3);
    if (trim->kind == TRIM_HELICOID) r = fmax(patch->segment.from.x, patch->segment.to.x);
    if (trim->kind != TRIM_HELICOID && trim->kind != TRIM_FACET) {
        double a = trim->base + trim->rise * trim->low, b = trim->base + trim->rise * trim->high;
        bottom = fmin(a, b);
        top = fmax(a, b);
    }
    *low = vec3(-r, -r, bottom);
    *high = vec3(r, r, top);
}

bool tks_patch_thread(const tks_patch *patch, tks_thread *thread)
{
    if (patch->kind != TKS_PATCH_HELICOID) return false;
    *thread = patch->trim->thread->profile.thread;
    return true;
}
