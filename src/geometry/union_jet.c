/* A surface's f over a cell of a face: value and slopes in the middle, and bounds of the second
 * derivatives in all of the cell.
 *
 * With q(u, v) the face, g and H the gradient and second derivatives of f,
 *   f_ab = q_a H q_b + g . q_ab.
 * One bound takes the norms of all factors. The other, far better in small cells because the terms
 * may cancel, takes the value in the middle and how much it can change: with |D3 f| <= k, and the
 * derivatives of q of all orders within the cell,
 *   |f_abc| <= k |q_a| |q_b| |q_c| + |H| (|q_a| |q_bc| + |q_b| |q_ac| + |q_c| |q_ab|) + |g|
 * |q_abc|. Both hold at complex parameters too, with bounds that hold there; the lower one counts.
 */
#include "geometry/union_face.h"

#include "base/vec.h"

#include <math.h>

/* Bounds, within the cell, of the lengths of q's derivatives and of f's in space. */
typedef struct lengths {
    double u, v;          /* first derivatives, as H feels them */
    double uu, uv, vv;    /* second ones; the third ones are no longer: q_uuu as q_uu, q_uuv as
                             q_uv, q_uvv and q_vvv as q_vv */
    double across, slope; /* of g: what is square to the face's axis, and all of it */
    double second, third; /* of H and of its derivative */
} lengths;

/* The first bound: by norms alone. */
static union_second bound_by_norms(const lengths *l)
{
    return (union_second){l->second * l->u * l->u + l->across * l->uu,
                          l->second * l->u * l->v + l->across * l->uv,
                          l->second * l->v * l->v + l->slope * l->vv};
}

/* Sizes of the second derivatives at the site. */
static union_second sizes_at(const union_surface *s, const union_site *site, tks_vec3 g)
{
    const union_spot *p = &site->spot;
    union_bending b = union_bending_at(s, p->at);
    return (union_second){fabs(union_bent(&b, p->du, p->du) + vec3_dot(g, site->duu)),
                          fabs(union_bent(&b, p->du, p->dv) + vec3_dot(g, site->duv)),
                          fabs(union_bent(&b, p->dv, p->dv) + vec3_dot(g, site->dvv))};
}

/* What they can change within ru, rv: the second bound. */
static union_second changes(const lengths *l, double ru, double rv)
{
    double u = l->u, v = l->v, h = l->second, k = l->third;
    double uuu = k * u * u * u + 3 * h * u * l->uu + l->across * l->uu;
    double uuv = k * u * u * v + h * (2 * u * l->uv + v * l->uu) + l->across * l->uv;
    double uvv = k * u * v * v + h * (2 * v * l->uv + u * l->vv) + l->across * l->vv;
    double vvv = k * v * v * v + 3 * h * v * l->vv + l->slope * l->vv;
    return (union_second){uuu * ru + uuv * rv, uuv * ru + uvv * rv, uvv * ru + vvv * rv};
}

static double lower(double a, double b)
{
    return a < b ? a : b; /* b where a is no number */
}

static union_second lowest(const union_second *size, double share, const union_second *change,
                           const union_second *norm)
{
    return (union_second){lower(size->uu + share * change->uu, norm->uu),
                          lower(size->uv + share * change->uv, norm->uv),
                          lower(size->vv + share * change->vv, norm->vv)};
}

static lengths lengths_at(const union_face *f, const union_surface *s, const union_site *site,
                          tks_vec3 g, double ru, double rv, bool real)
{
    const union_spot *p = &site->spot;
    union_bend bend = union_bend_at(f, site->radius, ru, rv, real);
    lengths l = {.uu = bend.uu, .uv = bend.uv, .vv = bend.vv};
    tks_vec3 across = vec3_step(g, -vec3_dot(g, f->frame.z), f->frame.z);
    l.across = f->turned ? vec3_length(across) : 0;
    l.slope = f->turned ? vec3_length(g) : 0;
    if (s->form == UNION_PLANE) return l;
    double du = bend.uu * ru + bend.uv * rv, dv = bend.uv * ru + bend.vv * rv;
    double reach = (vec3_length(p->du) + du / 2) * ru + (vec3_length(p->dv) + dv / 2) * rv;
    union_bend_bounds(s, p->at, reach, real, &l.second, &l.third);
    l.u = union_transverse(s, p->du) + du;
    l.v = union_transverse(s, p->dv) + dv;
    l.across += f->turned ? l.second * reach : 0;
    l.slope += f->turned ? l.second * reach : 0;
    return l;
}

/* Whether f is quadratic in the parameters, so that its second derivatives are the same everywhere.
 */
static bool is_even(const union_face *f, const union_surface *s)
{
    return !f->turned &&
           (s->form == UNION_PLANE || s->form == UNION_CYLINDER || s->form == UNION_SPHERE);
}

void union_jet_at(const union_face *f, const union_surface *s, const union_site *site,
                  const union_range *range, union_jet *jet)
{
    const union_spot *p = &site->spot;
    tks_vec3 g;
    jet->f = union_value(s, p->at, &g);
    jet->fu = range->coaxial ? 0 : vec3_dot(g, p->du);
    jet->fv = vec3_dot(g, p->dv);
    union_second size = sizes_at(s, site, g);
    if (range->coaxial) size.uu = size.uv = 0;
    if (is_even(f, s)) {
        jet->value = jet->slope = jet->whole = size;
        return;
    }
    double ru = range->coaxial ? 0 : range->ru;
    lengths l = lengths_at(f, s, site, g, ru, range->rv, range->real);
    if (range->coaxial) l.u = l.uu = l.uv = 0;
    union_second norm = bound_by_norms(&l), change = changes(&l, ru, range->rv);
    jet->value = lowest(&size, 1.0 / 3, &change, &norm);
    jet->slope = lowest(&size, 1.0 / 2, &change, &norm);
    jet->whole = lowest(&size, 1, &change, &norm);
}
