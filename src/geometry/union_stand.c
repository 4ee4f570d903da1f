/* Stand-ins for threads and coils on planes square to their axes.
 *
 * Such a plane cuts a thread or an evenly pitched coil in a figure that is the same at every height
 * but turned, so that its area is the solid's volume per height. A disc or ring of that area, about
 * the same axis and as near to it as the figure, takes as much of the plane and, since the plane is
 * all at one height, as much of the volume under it: exactly, as long as nothing else crosses the
 * plane where figure and ring may differ. */
#include "geometry/path.h"
#include "geometry/trim.h"
#include "geometry/union.h"

#include "base/vec.h"

#include <math.h>

/* ------------------------------------------------------------------ what a face has */

static bool thread_stand(const union_face *f, union_stand *s)
{
    const trim_thread *t = f->patch->trim->thread;
    const tks_thread_profile *p = &t->profile;
    if (p->internal) return false;
    double lost[2];
    for (int i = 0; i < 2; i++) {
        lost[i] = fmax(trim_end_loss(&t->ends[i], p->inner), trim_end_loss(&t->ends[i], p->outer));
        s->ends[i] = t->ends[i].kind == TKS_THREAD_SQUARE;
    }
    s->low = lost[0];
    s->high = t->length - lost[1];
    s->near = p->inner;
    s->far = p->outer;
    s->inside = 0;
    s->outside = sqrt(tks_thread_section_area(p) / M_PI);
    return true;
}

/* Volume per height of a coil: pi r^2 sqrt(R^2 + h^2) / h, h the advance per radian (Pappus). */
static bool coil_stand(const union_face *f, union_stand *s)
{
    const tks_patch *p = f->patch;
    if (p->pitch != p->pitch_end || !(p->pitch > 0)) return false;
    double wire = tks_segment_length(&p->segment) / (2 * M_PI), advance = p->pitch / (2 * M_PI);
    tks_stretch stretch = geometry_patch_coil(p, &p->frame);
    double end = geometry_coil_height(&stretch, p->travel);
    double share = wire * wire * hypot(p->radius, advance) / advance / 2;
    double middle = p->radius * p->radius + wire * wire;
    s->low = fmin(0, end) + wire;
    s->high = fmax(0, end) - wire;
    s->near = p->radius - wire;
    s->far = p->radius + wire;
    s->inside = sqrt(middle - share);
    s->outside = sqrt(middle + share);
    return s->near > 0;
}

/* Heights along an axis between which a face lies. */
static void heights(const union_face *f, const tks_frame *axis, double *low, double *high)
{
    *low = INFINITY, *high = -INFINITY;
    bool along = vec3_length(vec3_cross(f->frame.z, axis->z)) < 1e-12;
    double level = vec3_dot(vec3_sub(f->frame.origin, axis->origin), axis->z);
    double way = vec3_dot(f->frame.z, axis->z);
    if (f->surface.form == UNION_FREE && along) {
        *low = level + fmin(way * f->shell[2], way * f->shell[3]);
        *high = level + fmax(way * f->shell[2], way * f->shell[3]);
    } else if (f->surface.form != UNION_FREE && !f->arc && (along || !f->turned)) {
        for (int i = 0; i < 4; i++) {
            tks_vec3 q =
                union_point(f, i % 2 ? f->low[0] : f->high[0], i / 2 ? f->low[1] : f->high[1]);
            double h = vec3_dot(vec3_sub(q, axis->origin), axis->z);
            *low = fmin(*low, h), *high = fmax(*high, h);
        }
    } else {
        double h = vec3_dot(vec3_sub(f->centre, axis->origin), axis->z);
        *low = h - f->ball, *high = h + f->ball;
    }
}

/* Keeps the stand to where no other face of the solid is. */
static bool clip(union_stand *s, const union_face *other, double slack)
{
    double low, high;
    heights(other, &s->frame, &low, &high);
    if (low < s->low - slack) s->ends[0] = false;
    if (high > s->high + slack) s->ends[1] = false;
    if (high <= s->low + slack || low >= s->high - slack) return true;
    if (low > s->low + slack && high < s->high - slack) return false;
    if (low <= s->low + slack) s->low = high;
    if (high >= s->high - slack) s->high = low;
    return s->high > s->low;
}

static bool is_part(const union_face *f, const union_face *first)
{
    const tks_patch *p = f->patch, *q = first->patch;
    if (!p || p->kind != q->kind) return false;
    return p->kind == TKS_PATCH_HELICOID ? p->trim->thread == q->trim->thread : f == first;
}

bool union_stand_of(const union_model *m, const union_solid *solid, const union_face *face,
                    union_stand *stand)
{
    const tks_patch *p = face->patch;
    *stand = (union_stand){.frame = face->frame};
    if (!p || (p->kind != TKS_PATCH_HELICOID && p->kind != TKS_PATCH_COIL)) return false;
    const union_face *faces = m->faces + solid->face_first;
    for (uint32_t i = 0; &faces[i] < face; i++)
        if (is_part(&faces[i], face)) return false; /* has been looked at */
    if (!(p->kind == TKS_PATCH_HELICOID ? thread_stand(face, stand) : coil_stand(face, stand)))
        return false;
    double slack = 1e-12 * face->ball;
    for (uint32_t i = 0; i < solid->face_count; i++)
        if (!is_part(&faces[i], face) && !clip(stand, &faces[i], slack)) return false;
    return stand->high > stand->low;
}

double union_stand_distance(const void *context, tks_vec3 q)
{
    const union_stand *s = context;
    tks_vec3 p = frame_local_point(&s->frame, q);
    double radius = hypot(p.x, p.y),
           d = fmax(radius - s->outside, fmax(s->low - p.z, p.z - s->high));
    return s->inside > 0 ? fmax(d, s->inside - radius) : d;
}

/* ------------------------------------------------------------------ where it may be used */

/* Whether a circle about a line square to the plane keeps off where figure and ring may differ. */
static bool circle_clear(const union_stand *s, double off, double radius)
{
    return off + radius <= s->near || fabs(off - radius) >= s->far;
}

/* Whether the rim of a plane face keeps off; q: where the axis goes through it. */
static bool rim_clear(const union_face *f, const union_stand *s, tks_vec3 q)
{
    tks_vec3 p = frame_local_point(&f->frame, q);
    if (f->turned)
        return f->high[0] - f->low[0] >= 2 * M_PI * (1 - 1e-12) &&
               circle_clear(s, hypot(p.x, p.y), f->low[1]) &&
               circle_clear(s, hypot(p.x, p.y), f->high[1]);
    if (f->window) {
        tks_vec2 at = {p.x, p.y};
        return fabs(geometry_outlines_distance(f->window, f->window_count, false, at)) >= s->far;
    }
    double x = fmin(p.x - f->low[0], f->high[0] - p.x);
    return fmin(x, fmin(p.y - f->low[1], f->high[1] - p.y)) >= s->far;
}

static bool parallel(tks_vec3 a, tks_vec3 b)
{
    return vec3_length(vec3_cross(a, b)) < 1e-12;
}

/* Whether a face of another solid keeps off. One parallel to the plane does not cross it. */
static bool face_clear(const union_face *g, const union_stand *s, tks_vec3 q)
{
    if (union_face_distance(g, q) > s->far) return true;
    if (g->surface.form == UNION_FREE || !parallel(g->surface.axis, s->frame.z)) return false;
    if (g->surface.form == UNION_PLANE) return true;
    if (g->surface.form != UNION_CYLINDER) return false;
    tks_vec3 off = vec3_cross(vec3_sub(q, g->surface.origin), g->surface.axis);
    return circle_clear(s, vec3_length(off), g->surface.radius);
}

static bool others_clear(const union_model *m, const union_stand *s, tks_vec3 q,
                         const uint32_t *near, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const union_solid *o = &m->solids[m->solids[near[i]].real];
        if (o->real == s->solid) continue;
        if (q.x < o->low.x - s->far || q.x > o->high.x + s->far || q.y < o->low.y - s->far ||
            q.y > o->high.y + s->far || q.z < o->low.z - s->far || q.z > o->high.z + s->far)
            continue;
        for (uint32_t k = 0; k < o->face_count; k++)
            if (!face_clear(&m->faces[o->face_first + k], s, q)) return false;
    }
    return true;
}

/* Whether the plane goes through at a height where the figure is, or lies on the solid's end. */
static bool height_fits(const union_model *m, const union_stand *s, double z)
{
    double room = 2 * m->snap;
    if (z > s->low + room && z < s->high - room) return true;
    return (s->ends[0] && fabs(z - s->low) <= m->snap) ||
           (s->ends[1] && fabs(z - s->high) <= m->snap);
}

static bool fits(const union_model *m, const union_stand *s, const union_face *plane,
                 const uint32_t *near, size_t count)
{
    const tks_frame *a = &s->frame;
    double tilt = vec3_length(vec3_cross(plane->surface.axis, a->z));
    if (tilt * (s->far + plane->ball) > m->slack) return false;
    double z = vec3_dot(vec3_sub(plane->surface.origin, a->origin), a->z);
    tks_vec3 q = vec3_step(a->origin, z, a->z);
    return height_fits(m, s, z) && rim_clear(plane, s, q) && others_clear(m, s, q, near, count);
}

void union_stand_in(const union_model *m, const union_face *plane, uint32_t *near, size_t count)
{
    if (plane->surface.form != UNION_PLANE) return;
    for (size_t i = 0; i < count; i++) {
        uint32_t next = near[i] + 1;
        if (near[i] == plane->solid) continue;
        for (; next < m->solid_count && m->solids[next].real == near[i]; next++)
            if (fits(m, m->solids[next].context, plane, near, count)) {
                near[i] = next;
                break;
            }
    }
}
