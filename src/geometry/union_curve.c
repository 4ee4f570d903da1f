/* The share of a cell on one side of a curve that crosses it, with a proved bound.
 *
 * Along a stretch |t - t0| <= h of the cell the curve is w = g(t), the root of f(t, w) = 0. Put
 * w = w0 + slope (t - t0) + x, tangent at t0. If in the complex discs |t - t0| <= s h, |x| <= e
 *     |f_w - a| <= theta |a|,  theta < 1,  and  |f| <= (1 - theta) |a| e  at x = 0,
 * then x -> x - f / a maps the disc |x| <= e into itself and contracts, so g is one analytic
 * function there and stays within e of its tangent. Both follow from bounds of the second
 * derivatives. The error of Gauss' rule with n points is then at most
 *     64/15 M h rho^(-2n) / (1 - rho^-2),  rho = s + sqrt(s^2 - 1),
 * M the bound of the integrand (less any part that the rule takes exactly) in the disc: the
 * Chebyshev coefficients of a function bounded by M in the ellipse rho are at most 2 M rho^-k, and
 * the rule errs by at most 32/15 in each T_k, k >= 2n even (Trefethen, Approximation Theory and
 * Approximation Practice, 2013, theorems 8.1 and 19.3). */
#include "geometry/union_curve.h"

#include "base/vec.h"

#include <math.h>

typedef struct rule {
    int points;
    double at[6], weight[6]; /* the positive half */
} rule;

/* Gauss-Legendre nodes and weights on -1..1, computed to 40 digits by Newton's method on P_n; they
 * agree with Abramowitz and Stegun, table 25.4. */
static const rule rules[] = {
    {2, {0.5773502691896257645}, {1}},
    {4,
     {0.8611363115940525752, 0.3399810435848562648},
     {0.3478548451374538574, 0.6521451548625461426}},
    {6,
     {0.9324695142031520279, 0.6612093864662645137, 0.2386191860831969086},
     {0.1713244923791703450, 0.3607615730481386076, 0.4679139345726910474}},
    {8,
     {0.9602898564975362317, 0.7966664774136267396, 0.5255324099163289858, 0.1834346424956498049},
     {0.1012285362903762592, 0.2223810344533744706, 0.3137066458778872873, 0.3626837833783619829}},
    {12,
     {0.9815606342467192507, 0.9041172563704748567, 0.7699026741943046870, 0.5873179542866174473,
      0.3678314989981801938, 0.1252334085114689155},
     {0.0471753363865118272, 0.1069393259953184310, 0.1600783285433462263, 0.2031674267230659217,
      0.2334925365383548088, 0.2491470458134027850}},
};

static union_second second_swapped(union_second s)
{
    return (union_second){s.vv, s.uv, s.uu};
}

union_jet union_jet_swapped(const union_jet *j)
{
    return (union_jet){j->f,
                       j->fv,
                       j->fu,
                       second_swapped(j->value),
                       second_swapped(j->slope),
                       second_swapped(j->whole)};
}

static void site_of(const union_curve *c, double t, double w, union_site *site)
{
    union_site_at(c->f, c->swapped ? w : t, c->swapped ? t : w, site);
}

static union_jet jet_around(const union_curve *c, const union_site *site, double rt, double rw,
                            bool real)
{
    union_range range = {c->swapped ? rw : rt, c->swapped ? rt : rw, real, c->coaxial};
    union_jet j;
    union_jet_at(c->f, c->s, site, &range, &j);
    return c->swapped ? union_jet_swapped(&j) : j;
}

union_jet union_curve_bound(const union_curve *c, double t, double w, double rt)
{
    union_site site;
    site_of(c, t, w, &site);
    return jet_around(c, &site, rt, 0, true);
}

static union_trace line_from(tks_vec3 base, tks_vec3 along)
{
    return (union_trace){.straight = true, .base = base, .along = along};
}

static union_trace circle_about(tks_vec3 base, tks_vec3 along, tks_vec3 across)
{
    return (union_trace){.base = base, .along = along, .across = across, .x = INFINITY};
}

union_trace union_trace_at(const union_face *f, bool along_u, double held)
{
    const tks_frame *w = &f->frame;
    if (!f->turned) {
        tks_vec3 fixed = along_u ? w->y : w->x, free = along_u ? w->x : w->y;
        return line_from(vec3_step(w->origin, held, fixed), free);
    }
    if (along_u) {
        double radius = f->x + held * f->dx, height = f->y + held * f->dy;
        if (f->arc) {
            union_turn arc = union_turn_of(held);
            radius = f->x + f->radius * arc.cosine, height = f->y + f->radius * arc.sine;
        }
        return circle_about(vec3_step(w->origin, height, w->z), vec3_scale(w->x, radius),
                            vec3_scale(w->y, radius));
    }
    union_turn turn = union_turn_of(held);
    tks_vec3 spoke = vec3_step(vec3_scale(w->x, turn.cosine), turn.sine, w->y);
    tks_vec3 base = vec3_step(vec3_step(w->origin, f->x, spoke), f->y, w->z);
    if (f->arc)
        return circle_about(base, vec3_scale(spoke, f->radius), vec3_scale(w->z, f->radius));
    return line_from(base, vec3_add(vec3_scale(spoke, f->dx), vec3_scale(w->z, f->dy)));
}

/* Cosine and sine at x; by a turn through what x has changed by when that is small, as in the last
 * steps of Newton's method. The series leave out 1e-18. */
static union_turn turn_to(union_trace *trace, double x)
{
    double d = x - trace->x, e = d * d;
    trace->x = x;
    if (!(e < 4e-4)) return trace->turn = (union_turn){cos(x), sin(x)};
    double c = 1 - e / 2 * (1 - e / 12 * (1 - e / 30)),
           s = d * (1 - e / 6 * (1 - e / 20 * (1 - e / 42)));
    union_turn old = trace->turn;
    return trace->turn = (union_turn){old.cosine * c - old.sine * s, old.sine * c + old.cosine * s};
}

double union_trace_value(union_trace *trace, const union_surface *s, double x, double *slope)
{
    tks_vec3 g, q, d = trace->along;
    if (trace->straight)
        q = vec3_step(trace->base, x, d);
    else {
        union_turn turn = turn_to(trace, x);
        q = vec3_step(vec3_step(trace->base, turn.cosine, trace->along), turn.sine, trace->across);
        d = vec3_step(vec3_scale(trace->across, turn.cosine), -turn.sine, trace->along);
    }
    double f = union_value(s, q, &g);
    *slope = vec3_dot(g, d);
    return f;
}

/* The tangent to the curve at the middle of a stretch, and how near the curve keeps to it. */
typedef struct tangent {
    union_site site;
    double t0, h, w0, slope;
    double a;        /* f_w there */
    double residual; /* |f| there */
    double e, theta; /* within the discs last asked for */
    double fww;      /* bound of the second derivative there */
    double bend;     /* how f bends along the tangent, about */
} tangent;

/* Newton's method, kept between the edges of the cell, where f is known to change its sign once.
 * The last step is one of quadratic convergence, so that what remains is its square. */
double union_curve_root(union_curve *c, union_trace *trace)
{
    double low = c->low, high = c->high, range = high - low, w = c->guess, fw;
    for (int i = 0; i < 80; i++) {
        double f = union_trace_value(trace, c->s, w, &fw), next = w - f / fw;
        if ((f < 0) == c->rising)
            low = w;
        else
            high = w;
        if (f == 0) break;
        if (!(next >= low && next <= high)) next = (low + high) / 2;
        double step = fabs(next - w);
        w = next;
        if (step <= 1e-7 * range) break;
    }
    c->guess = w;
    return w;
}

union_trace union_curve_trace(const union_curve *c, double t)
{
    return union_trace_at(c->f, c->swapped, t);
}

static tangent tangent_at(const union_curve *c, double t0, double h, double w0)
{
    tangent g = {.t0 = t0, .h = h, .w0 = w0};
    tks_vec3 n;
    site_of(c, t0, w0, &g.site);
    g.residual = fabs(union_value(c->s, g.site.spot.at, &n));
    double fu = c->coaxial ? 0 : vec3_dot(n, g.site.spot.du), fv = vec3_dot(n, g.site.spot.dv);
    g.a = c->swapped ? fu : fv;
    g.slope = -(c->swapped ? fv : fu) / g.a;
    return g;
}

/* How f bends along the tangent, by bounds of its second derivatives. */
static double bend_along(const union_jet *b, double lean)
{
    return b->value.uu + 2 * lean * b->value.uv + lean * lean * b->value.vv;
}

/* The radius of disc, in units of h, at which tangent_holds is likely to say yes: it needs theta to
 * be about a half, which grows as s and s^2. At least worth trying from least_radius on. Sets bend,
 * a guess of what tangent_holds will find. */
static const double least_radius = 1.35;

static double fair_radius(const union_curve *c, tangent *g)
{
    double lean = fabs(g->slope), a = fabs(g->a), h = g->h, most = 4;
    union_jet b = jet_around(c, &g->site, 2 * h, 2 * lean * h, false);
    g->bend = bend_along(&b, lean);
    double p = (b.slope.uv + lean * b.slope.vv) * h / a;
    double q = 1.1 * g->bend * h * h * b.slope.vv / (a * a);
    if (!(p + q < INFINITY)) return 0;
    if (most * (p + most * q) <= 0.5) return most;
    return 1 / (p + sqrt(p * p + 2 * q)); /* of p s + q s^2 = 1/2 */
}

/* Whether the curve is one analytic function in the discs of radius s h and e; sets e and theta. */
static bool tangent_holds(const union_curve *c, tangent *g, double s)
{
    double rt = s * g->h, lean = fabs(g->slope), a = fabs(g->a);
    g->e = 2.2 * (g->bend * rt * rt / 2 + g->residual) / a;
    union_jet b = jet_around(c, &g->site, rt, lean * rt + g->e, false);
    double off = bend_along(&b, lean) * rt * rt / 2 + g->residual;
    g->theta = ((b.slope.uv + lean * b.slope.vv) * rt + b.slope.vv * g->e) / a;
    g->fww = b.whole.vv;
    return g->theta < 1 && off <= (1 - g->theta) * a * g->e;
}

/* ------------------------------------------------------------------ integrals */

static void add_rectangle(union_curve *c, double a, double b, double low, double high)
{
    union_share s = c->swapped ? union_rectangle(c->f, low, high, a, b)
                               : union_rectangle(c->f, a, b, low, high);
    c->below.area += s.area;
    c->below.volume += s.volume;
}

/* The integral over w from the low edge to g, at t. */
static union_share column(const union_curve *c, double t, double w)
{
    const union_face *f = c->f;
    double ox = vec3_dot(f->frame.origin, f->frame.x), oy = vec3_dot(f->frame.origin, f->frame.y);
    if (c->swapped) {
        union_measure d = union_density(f, t);
        union_share s = {(w - c->low) * d.j, (w - c->low) * d.a};
        if (d.b == 0) return s;
        union_turn from = union_turn_of(c->low), to = union_turn_of(w);
        s.volume += d.b * (ox * (to.sine - from.sine) - oy * (to.cosine - from.cosine));
        return s;
    }
    union_measure p = union_integral(f, c->low), q = union_integral(f, w);
    union_share s = {q.j - p.j, q.a - p.a};
    if (q.b == p.b) return s;
    union_turn turn = union_turn_of(t);
    s.volume += (q.b - p.b) * (ox * turn.cosine + oy * turn.sine);
    return s;
}

/* Bounds in the discs of the integrands, less what a rule of two points takes exactly, and of the
 * density of area. */
static void integrand_bounds(const union_curve *c, const tangent *g, double s, double *area,
                             double *volume, double *density)
{
    double rt = s * g->h, rw = fabs(g->slope) * rt + g->e, lean = fabs(g->slope) * rt;
    double ru = c->swapped ? rw : rt, rv = c->swapped ? rt : rw;
    const union_spot *spot = &g->site.spot;
    union_bend b = union_bend_at(c->f, g->site.radius, ru, rv, false);
    double su = vec3_length(spot->du) + b.uu * ru + b.uv * rv;
    double sv = vec3_length(spot->dv) + b.uv * ru + b.vv * rv;
    double height = fabs(g->w0 - c->low) + lean + g->e;
    *density = su * sv;
    if (c->swapped)
        *area = *density * (c->f->arc ? height : g->e);
    else
        *area = *density * g->e + b.uv * sv * lean * lean / 2;
    *volume = c->f->turned ? *density * height * (vec3_length(spot->at) + su * ru + sv * rv)
                           : *area * fabs(vec3_dot(c->f->frame.origin, c->f->frame.z));
}

static const rule *choose(const union_curve *c, double area, double volume, double h, double s,
                          double *error, double *volume_error)
{
    double rho = s + sqrt(s * s - 1);
    for (size_t i = 0; i < sizeof rules / sizeof *rules; i++) {
        double k = 64.0 / 15 * h * pow(rho, -2 * rules[i].points) / (1 - 1 / (rho * rho));
        *error = k * area, *volume_error = k * volume;
        if (*error <= c->allowed && *volume_error <= 10 * c->allowed * c->size) return &rules[i];
    }
    return NULL;
}

/* Adds one node of a rule; the last Newton step bounds the root's error. */
static void add_node(union_curve *c, const tangent *g, double t, double weight, double density)
{
    double w = g->w0 + g->slope * (t - g->t0), fw, a = (1 - g->theta) * fabs(g->a);
    double error = 0, good = 1e-2 * c->allowed / (2 * g->h * density);
    union_trace trace = union_curve_trace(c, t);
    for (int i = 0; i < 8; i++) {
        double step = union_trace_value(&trace, c->s, w, &fw) / fw;
        w -= step;
        error = g->fww * step * step / (2 * a);
        if (error <= good) break;
    }
    error += 4e-16 * c->size / a;
    union_share s = column(c, t, w);
    c->below.area += weight * s.area;
    c->below.volume += weight * s.volume;
    c->area_slack += weight * density * error;
    c->volume_slack += weight * density * error * c->size;
}

/* Gauss' rule of the fewest points that is good enough, if any is. */
static bool add_rule(union_curve *c, tangent *g, double s)
{
    double area, volume, density, error, volume_error;
    if (!tangent_holds(c, g, s)) return false;
    integrand_bounds(c, g, s, &area, &volume, &density);
    const rule *r = choose(c, area, volume, g->h, s, &error, &volume_error);
    if (!r) return false;
    for (int k = 0; k < r->points; k++) {
        double at = k % 2 ? r->at[k / 2] : -r->at[k / 2];
        add_node(c, g, g->t0 + g->h * at, g->h * r->weight[k / 2], density);
    }
    c->area_slack += error;
    c->volume_slack += volume_error;
    return true;
}

/* A stretch of which nothing is known but that it lies in the cell. */
static void give_up(union_curve *c, double a, double b)
{
    union_share before = c->below;
    add_rectangle(c, a, b, c->low, c->high);
    double area = (c->below.area - before.area) / 2;
    double volume = (c->below.volume - before.volume) / 2;
    c->below.area -= area;
    c->below.volume -= volume;
    c->area_slack += fabs(area);
    c->volume_slack += fabs(volume) + fabs(area) * c->size;
}

static void add_stretch(union_curve *c, tangent *g, int depth);

static void add_halves(union_curve *c, const tangent *g, int depth)
{
    double half = g->h / 2;
    for (int side = -1; side <= 1; side += 2) {
        double t = g->t0 + side * half;
        union_trace trace = union_curve_trace(c, t);
        tangent part = tangent_at(c, t, half, union_curve_root(c, &trace));
        add_stretch(c, &part, depth);
    }
}

/* A stretch on which the curve runs inside the cell. */
static void add_stretch(union_curve *c, tangent *g, int depth)
{
    double s = fair_radius(c, g);
    if (s >= least_radius && (add_rule(c, g, s) || (s > 2 && add_rule(c, g, s / 1.5)))) return;
    if (depth > 30)
        give_up(c, g->t0 - g->h, g->t0 + g->h);
    else
        add_halves(c, g, depth + 1);
}

void union_curve_integrate(union_curve *c, double a, double b, double w)
{
    if (c->coaxial) {
        add_rectangle(c, a, b, c->low, w);
        return;
    }
    tangent g = tangent_at(c, (a + b) / 2, (b - a) / 2, w);
    add_stretch(c, &g, 0);
}
