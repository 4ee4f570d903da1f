/* Bounded faces: where they are, how fast they turn, how far a point is. */
#include "geometry/union_face.h"

#include "base/vec.h"

#include "geometry/outline.h"

#include <math.h>

/* Cells are halved, so that the same angles come again and again: a small table of the last ones.
 */
union_turn union_turn_of(double angle)
{
    enum { BITS = 8 };
    static _Thread_local union_turn known[1 << BITS];
    static _Thread_local double angles[1 << BITS];
    union {
        double number;
        uint64_t bits;
    } key = {angle};
    size_t slot = (size_t)((key.bits * 0x9E3779B97F4A7C15u) >> (64 - BITS));
    if (angles[slot] != angle || known[slot].cosine == 0) {
        angles[slot] = angle;
        known[slot] = (union_turn){cos(angle), sin(angle)};
    }
    return known[slot];
}

/* ------------------------------------------------------------------ surface and extent */

static union_surface turned_line(const union_face *f)
{
    double nx = f->side * f->dy, ny = -f->side * f->dx, level = nx * f->x + ny * f->y;
    union_surface s = {.origin = f->frame.origin, .axis = f->frame.z};
    if (fabs(nx) < 1e-14) {
        s.form = UNION_PLANE;
        s.origin = vec3_step(s.origin, f->y, f->frame.z);
        s.axis = vec3_scale(f->frame.z, ny > 0 ? 1 : -1);
    } else if (fabs(ny) < 1e-14) {
        s.form = UNION_CYLINDER;
        s.radius = f->x;
        s.side = nx > 0 ? 1 : -1;
    } else {
        s.form = UNION_CONE;
        s.cosine = nx;
        s.sine = ny;
        s.radius = level;
    }
    return s;
}

static union_surface turned_arc(const union_face *f)
{
    union_surface s = {.origin = vec3_step(f->frame.origin, f->y, f->frame.z),
                       .axis = f->frame.z,
                       .radius = f->radius,
                       .ring = f->x,
                       .side = f->side};
    s.form = fabs(f->x) < 1e-14 * f->radius ? UNION_SPHERE : UNION_TORUS;
    return s;
}

void union_face_surface(union_face *f)
{
    if (f->free)
        f->surface = (union_surface){.form = UNION_FREE};
    else if (f->turned)
        f->surface = f->arc ? turned_arc(f) : turned_line(f);
    else
        f->surface = (union_surface){.form = UNION_PLANE,
                                     .origin = f->frame.origin,
                                     .axis = vec3_scale(f->frame.z, f->side)};
    if (f->surface.radius > 0) f->surface.bow = f->surface.side / f->surface.radius;
}

/* Where the profile of a turned face is at v, in the half-plane of radius and height, and its
 * derivatives; a straight one has no second. */
typedef struct profile {
    double radius, height, radius_v, height_v, radius_vv, height_vv;
} profile;

static profile profile_of(const union_face *f, double v)
{
    if (!f->arc) return (profile){f->x + v * f->dx, f->y + v * f->dy, f->dx, f->dy, 0, 0};
    union_turn arc = union_turn_of(v);
    double x = f->radius * arc.cosine, y = f->radius * arc.sine;
    return (profile){f->x + x, f->y + y, -y, x, -x, -y};
}

/* Least and greatest of centre + radius cos(angle) for angles in a range. */
static void swing(double centre, double radius, double from, double to, double *low, double *high)
{
    double a = centre + radius * cos(from), b = centre + radius * cos(to);
    *low = fmin(a, b), *high = fmax(a, b);
    if (floor(to / (2 * M_PI)) > floor(from / (2 * M_PI))) *high = centre + radius;
    if (floor((to - M_PI) / (2 * M_PI)) > floor((from - M_PI) / (2 * M_PI))) *low = centre - radius;
}

/* Box of the profile in the half-plane of radius and height. */
static void profile_box(const union_face *f, tks_vec2 *low, tks_vec2 *high)
{
    if (f->arc) {
        swing(f->x, f->radius, f->low[1], f->high[1], &low->x, &high->x);
        swing(f->y, f->radius, f->low[1] - M_PI / 2, f->high[1] - M_PI / 2, &low->y, &high->y);
        return;
    }
    profile p = profile_of(f, f->low[1]), q = profile_of(f, f->high[1]);
    *low = (tks_vec2){fmin(p.radius, q.radius), fmin(p.height, q.height)};
    *high = (tks_vec2){fmax(p.radius, q.radius), fmax(p.height, q.height)};
}

/* Box in the face's own frame. */
static void local_box(const union_face *f, tks_vec3 *low, tks_vec3 *high)
{
    if (!f->turned) {
        *low = vec3(f->low[0], f->low[1], 0);
        *high = vec3(f->high[0], f->high[1], 0);
        return;
    }
    tks_vec2 from, to;
    double x0, x1, y0, y1;
    profile_box(f, &from, &to);
    swing(0, 1, f->low[0], f->high[0], &x0, &x1);
    swing(0, 1, f->low[0] - M_PI / 2, f->high[0] - M_PI / 2, &y0, &y1);
    *low = vec3(fmin(x0 * from.x, x0 * to.x), fmin(y0 * from.x, y0 * to.x), from.y);
    *high = vec3(fmax(x1 * from.x, x1 * to.x), fmax(y1 * from.x, y1 * to.x), to.y);
}

void union_face_ball(union_face *f)
{
    tks_vec3 low, high;
    local_box(f, &low, &high);
    f->centre = frame_point(&f->frame, vec3_scale(vec3_add(low, high), 0.5));
    f->ball = vec3_distance(low, high) / 2;
}

void union_face_box(const union_face *f, tks_vec3 *low, tks_vec3 *high)
{
    if (f->surface.form == UNION_FREE) {
        tks_vec3 e = {f->ball, f->ball, f->ball};
        *low = vec3_sub(f->centre, e);
        *high = vec3_add(f->centre, e);
        return;
    }
    tks_vec3 a, b;
    local_box(f, &a, &b);
    tks_vec3 c = frame_point(&f->frame, vec3_scale(vec3_add(a, b), 0.5));
    tks_vec3 h = vec3_scale(vec3_sub(b, a), 0.5);
    const tks_frame *w = &f->frame;
    tks_vec3 e = vec3(fabs(w->x.x) * h.x + fabs(w->y.x) * h.y + fabs(w->z.x) * h.z,
                      fabs(w->x.y) * h.x + fabs(w->y.y) * h.y + fabs(w->z.y) * h.z,
                      fabs(w->x.z) * h.x + fabs(w->y.z) * h.y + fabs(w->z.z) * h.z);
    *low = vec3_sub(c, e);
    *high = vec3_add(c, e);
}

/* ------------------------------------------------------------------ distance */

static double length2(double x, double y)
{
    return sqrt(x * x + y * y);
}

static double beyond(double x, double low, double high)
{
    return x < low ? low - x : x > high ? x - high : 0;
}

/* How far the angle of (x, y) lies outside a range; 0 when it is in. */
static double angle_beyond(double x, double y, double low, double high)
{
    double half = (high - low) / 2;
    if (half >= M_PI) return 0;
    double off = fabs(remainder(atan2(y, x) - (low + half), 2 * M_PI));
    return off > half ? off - half : 0;
}

static double flat_distance(const union_face *f, tks_vec3 p)
{
    double off = length2(beyond(p.x, f->low[0], f->high[0]), beyond(p.y, f->low[1], f->high[1]));
    if (f->window && off == 0)
        off = fmax(
            0, geometry_outlines_distance(f->window, f->window_count, false, (tks_vec2){p.x, p.y}));
    return length2(off, p.z);
}

/* In the half-plane of radius and height, which every point reaches at its own distance. */
static double profile_distance(const union_face *f, double rho, double h)
{
    if (!f->arc) {
        double t = (rho - f->x) * f->dx + (h - f->y) * f->dy;
        double off = (rho - f->x) * f->dy - (h - f->y) * f->dx;
        return length2(off, beyond(t, f->low[1], f->high[1]));
    }
    double x = rho - f->x, y = h - f->y;
    if (angle_beyond(x, y, f->low[1], f->high[1]) == 0) return fabs(length2(x, y) - f->radius);
    double r = f->radius;
    return fmin(hypot(x - r * cos(f->low[1]), y - r * sin(f->low[1])),
                hypot(x - r * cos(f->high[1]), y - r * sin(f->high[1])));
}

double union_face_distance(const union_face *f, tks_vec3 q)
{
    tks_vec3 p = frame_local_point(&f->frame, q);
    if (f->surface.form == UNION_FREE)
        return length2(beyond(length2(p.x, p.y), f->shell[0], f->shell[1]),
                       beyond(p.z, f->shell[2], f->shell[3]));
    if (!f->turned) return flat_distance(f, p);
    double rho = length2(p.x, p.y), flat = profile_distance(f, rho, p.z);
    double off = angle_beyond(p.x, p.y, f->low[0], f->high[0]);
    if (off == 0) return flat;
    return fmax(flat, off < M_PI / 2 ? rho * sin(off) : rho);
}

/* The representative of an angle that is nearest to a range. */
static double angle_near(double angle, double low, double high)
{
    double middle = (low + high) / 2;
    return middle + remainder(angle - middle, 2 * M_PI);
}

void union_face_locate(const union_face *f, tks_vec3 q, double *u, double *v)
{
    tks_vec3 p = frame_local_point(&f->frame, q);
    *u = p.x, *v = p.y;
    if (!f->turned) return;
    double rho = hypot(p.x, p.y);
    *u = angle_near(atan2(p.y, p.x), f->low[0], f->high[0]);
    *v = f->arc ? angle_near(atan2(p.z - f->y, rho - f->x), f->low[1], f->high[1])
                : (rho - f->x) * f->dx + (p.z - f->y) * f->dy;
}

/* ------------------------------------------------------------------ points and derivatives */

/* The direction away from the face's axis at the angle u, and its derivative. */
typedef struct spokes {
    tks_vec3 out, across;
} spokes;

static spokes spokes_at(const tks_frame *w, double u)
{
    union_turn turn = union_turn_of(u);
    return (spokes){vec3_step(vec3_scale(w->x, turn.cosine), turn.sine, w->y),
                    vec3_step(vec3_scale(w->y, turn.cosine), -turn.sine, w->x)};
}

tks_vec3 union_point(const union_face *f, double u, double v)
{
    const tks_frame *w = &f->frame;
    if (!f->turned) return vec3_step(vec3_step(w->origin, u, w->x), v, w->y);
    union_turn turn = union_turn_of(u);
    profile p = profile_of(f, v);
    tks_vec3 at = vec3_step(w->origin, p.radius * turn.cosine, w->x);
    return vec3_step(vec3_step(at, p.radius * turn.sine, w->y), p.height, w->z);
}

static void turned_spot(const tks_frame *w, const spokes *s, const profile *p, union_spot *spot)
{
    spot->at = vec3_step(vec3_step(w->origin, p->radius, s->out), p->height, w->z);
    spot->du = vec3_scale(s->across, p->radius);
    spot->dv = vec3_step(vec3_scale(s->out, p->radius_v), p->height_v, w->z);
}

void union_spot_at(const union_face *f, double u, double v, union_spot *spot)
{
    const tks_frame *w = &f->frame;
    if (!f->turned) {
        *spot = (union_spot){vec3_step(vec3_step(w->origin, u, w->x), v, w->y), w->x, w->y};
        return;
    }
    spokes s = spokes_at(w, u);
    profile p = profile_of(f, v);
    turned_spot(w, &s, &p, spot);
}

void union_site_at(const union_face *f, double u, double v, union_site *site)
{
    site->duu = site->duv = site->dvv = vec3(0, 0, 0);
    site->radius = 0;
    if (!f->turned) {
        union_spot_at(f, u, v, &site->spot);
        return;
    }
    const tks_frame *w = &f->frame;
    spokes s = spokes_at(w, u);
    profile p = profile_of(f, v);
    turned_spot(w, &s, &p, &site->spot);
    site->radius = p.radius;
    site->duu = vec3_scale(s.out, -p.radius);
    site->duv = vec3_scale(s.across, p.radius_v);
    site->dvv = vec3_step(vec3_scale(s.out, p.radius_vv), p.height_vv, w->z);
}

tks_vec3 union_normal(const union_face *f, double u, double v)
{
    if (!f->turned) return vec3_scale(f->frame.z, f->side);
    union_turn turn = union_turn_of(u), arc = f->arc ? union_turn_of(v) : turn;
    double dx = f->arc ? -arc.sine : f->dx, dy = f->arc ? arc.cosine : f->dy;
    tks_vec3 spoke = vec3_step(vec3_scale(f->frame.x, turn.cosine), turn.sine, f->frame.y);
    return vec3_add(vec3_scale(spoke, f->side * dy), vec3_scale(f->frame.z, -f->side * dx));
}

/* At complex parameters |cos|, |sin| grow as cosh; the norm of the spoke (cos u, sin u) as
 * sqrt(cosh 2 Im u). */
union_bend union_bend_at(const union_face *f, double radius, double ru, double rv, bool real)
{
    if (!f->turned) return (union_bend){0, 0, 0};
    double grow = real ? 1 : sqrt(cosh(2 * ru));
    if (!f->arc)
        return (union_bend){grow * (fabs(radius) + fabs(f->dx) * rv), grow * fabs(f->dx), 0};
    double wide = real ? 1 : cosh(rv), twice = real ? 1 : sqrt(cosh(2 * rv));
    return (union_bend){grow * (fabs(radius) + f->radius * rv * wide), grow * f->radius * wide,
                        grow * f->radius * twice};
}

/* ------------------------------------------------------------------ areas and volumes */

/* For a turned line R = x + v dx, Z = y + v dy:
 *   j = R, a = R (x dy - dx y - dx oz), b = R dy, by R Z' - R' Z = x dy - y dx;
 * for an arc R = x + r cos v, Z = y + r sin v:
 *   j = r R, a = r R (r + x cos v + (y + oz) sin v), b = r R cos v;
 * o is the origin of the face's frame, seen from where volumes are reckoned. All times the side.
 */
union_measure union_density(const union_face *f, double v)
{
    const tks_frame *w = &f->frame;
    if (!f->turned) return (union_measure){1, f->side * vec3_dot(w->origin, w->z), 0};
    double oz = vec3_dot(w->origin, w->z);
    if (!f->arc) {
        double r = f->x + v * f->dx;
        return (union_measure){r, f->side * r * (f->x * f->dy - f->dx * (f->y + oz)),
                               f->side * r * f->dy};
    }
    union_turn arc = union_turn_of(v);
    double c = arc.cosine, s = arc.sine, r = f->radius * (f->x + f->radius * c);
    return (union_measure){r, f->side * r * (f->radius + f->x * c + (f->y + oz) * s),
                           f->side * r * c};
}

union_measure union_integral(const union_face *f, double v)
{
    const tks_frame *w = &f->frame;
    double oz = vec3_dot(w->origin, w->z);
    if (!f->turned) return (union_measure){v, f->side * oz * v, 0};
    if (!f->arc) {
        double j = v * (f->x + v * f->dx / 2);
        return (union_measure){j, f->side * j * (f->x * f->dy - f->dx * (f->y + oz)),
                               f->side * j * f->dy};
    }
    union_turn arc = union_turn_of(v);
    double c = arc.cosine, s = arc.sine, x = f->x, r = f->radius, k = f->y + oz;
    double half = (v + s * c) / 2;
    double a = x * r * v + (x * x + r * r) * s - x * k * c + r * x * half + r * k * s * s / 2;
    return (union_measure){r * (x * v + r * s), f->side * r * a, f->side * r * (x * s + r * half)};
}

union_share union_rectangle(const union_face *f, double u0, double u1, double v0, double v1)
{
    union_measure p = union_integral(f, v0), q = union_integral(f, v1);
    union_share share = {(u1 - u0) * (q.j - p.j), (u1 - u0) * (q.a - p.a)};
    if (f->turned) {
        double ox = vec3_dot(f->frame.origin, f->frame.x);
        double oy = vec3_dot(f->frame.origin, f->frame.y);
        union_turn from = union_turn_of(u0), to = union_turn_of(u1);
        double way = ox * (to.sine - from.sine) - oy * (to.cosine - from.cosine);
        share.volume += way * (q.b - p.b);
    }
    return share;
}
