/* A cell that a few surfaces cross is cut into bands that none of them crosses.
 *
 * With one parameter t across and the other, w, up the cell, every curve must be a graph w(t) (f
 * grows or falls with w all over the cell) or a line t = const. The cell is cut at those lines,
 * where curves meet the lower and upper edge, and where two of them cross; between cuts the curves
 * keep their order. Two curves cross at most once when the Jacobian of their two functions is
 * regular in the whole cell: for a convex domain that makes the map (u, v) -> (f1, f2) one to one.
 */
#include "geometry/union_curve.h"

#include "base/vec.h"

#include <math.h>
#include <stdlib.h>

enum { MOST_SPANS = 60 };

typedef union_crossing crossing;

/* ------------------------------------------------------------------ what is proved for the cell */

/* How surely f grows or falls along one parameter over the whole cell: 1 very, 0 not proved. What
 * it changes by has to be more than rounding. */
static double sureness(double first, double second, double cross, double h, double other,
                       double slack)
{
    double a = fabs(first), change = second * h + cross * other; /* may be no number */
    return a > change && a * h > slack ? 1 - change / a : -1;
}

/* Whether f does not change with a parameter, but for rounding. */
static bool is_constant(double first, double second, double cross, double h, double other,
                        double slack)
{
    return fabs(first) * h + second * h * h / 2 + cross * h * other <= slack;
}

/* As a graph of the other parameter: how surely in w; a line t = const is sure. */
static double fitness(const union_jet *j, const union_cell *c, bool swapped, double slack,
                      bool *line)
{
    double in_u = sureness(j->fu, j->slope.uu, j->slope.uv, c->hu, c->hv, slack);
    double in_v = sureness(j->fv, j->slope.vv, j->slope.uv, c->hv, c->hu, slack);
    *line = swapped ? in_v > 0 && is_constant(j->fu, j->slope.uu, j->slope.uv, c->hu, c->hv, slack)
                    : in_u > 0 && is_constant(j->fv, j->slope.vv, j->slope.uv, c->hv, c->hu, slack);
    return *line ? 1 : swapped ? in_u : in_v;
}

static double product_error(double a, double da, double b, double db)
{
    return fabs(a) * db + fabs(b) * da + da * db;
}

/* Whether the Jacobian of two functions is regular all over the cell. */
static bool cross_once(const union_jet *p, const union_jet *q, const union_cell *c)
{
    const union_second *a = &p->slope, *b = &q->slope;
    double pu = a->uu * c->hu + a->uv * c->hv, pv = a->uv * c->hu + a->vv * c->hv;
    double qu = b->uu * c->hu + b->uv * c->hv, qv = b->uv * c->hu + b->vv * c->hv;
    double one = p->fu * q->fv, other = p->fv * q->fu, rounding = 1e-13 * (fabs(one) + fabs(other));
    return fabs(one - other) >
           rounding + product_error(p->fu, pu, q->fv, qv) + product_error(p->fv, pv, q->fu, qu);
}

/* Whether p - q or p + q keeps its sign, so that p and q are never zero together. */
static bool never_cross(const union_jet *p, const union_jet *q, const union_cell *c)
{
    const union_second *a = &p->value, *b = &q->value;
    double bend = (a->uu + b->uu) * c->hu * c->hu / 2 + (a->uv + b->uv) * c->hu * c->hv +
                  (a->vv + b->vv) * c->hv * c->hv / 2;
    for (int s = -1; s <= 1; s += 2) {
        double change = fabs(p->fu + s * q->fu) * c->hu + fabs(p->fv + s * q->fv) * c->hv;
        if (fabs(p->f + s * q->f) > change + bend) return true;
    }
    return false;
}

/* ------------------------------------------------------------------ cuts */

static void add_cut(crossing *x, double t)
{
    if (x->cut_count >= UNION_CUTS) {
        x->failed = true;
        return;
    }
    int i = x->cut_count++;
    for (; i > 0 && x->cuts[i - 1] > t; i--) x->cuts[i] = x->cuts[i - 1];
    x->cuts[i] = t;
}

/* Whether f along the edge w keeps its sign between a and b, or is monotone there, or is nothing
 * but rounding. */
static bool edge_is_plain(const union_curve *c, double w, double a, double b)
{
    double h = (b - a) / 2;
    union_jet j = union_curve_bound(c, (a + b) / 2, w, h);
    double change = fabs(j.fu) * h + j.value.uu * h * h / 2;
    return fabs(j.fu) > j.slope.uu * h || fabs(j.f) > change ||
           fabs(j.f) + change < 1e-15 * c->size;
}

/* The same as far as the bounds for the whole cell tell, which costs nothing: 1 when f keeps its
 * sign along the lower (side -1) or upper edge, 2 when it is monotone there, 0 when unknown. */
static int edge_at_once(const union_curve *c, const union_jet *j, const union_cell *cell, int side)
{
    union_jet in = c->swapped ? union_jet_swapped(j) : *j;
    double ht = c->swapped ? cell->hv : cell->hu, hw = c->swapped ? cell->hu : cell->hv;
    double most = fabs(in.fu) * ht + in.value.uu * ht * ht / 2 + in.value.uv * ht * hw +
                  in.value.vv * hw * hw / 2;
    if (fabs(in.f + side * in.fv * hw) > most) return 1;
    return fabs(in.fu) > in.slope.uu * ht + in.slope.uv * hw ? 2 : 0;
}

/* The lower and upper edge of a cell, and what of f is next to nothing there. */
typedef struct edges {
    const union_curve *c;
    union_trace low, high;
    double slight;
} edges;

static edges edges_of(const union_curve *c, double slope)
{
    return (edges){c, union_trace_at(c->f, !c->swapped, c->low),
                   union_trace_at(c->f, !c->swapped, c->high),
                   1e-6 * fabs(slope) * (c->high - c->low)};
}

/* Cuts where f changes its sign along an edge, if it does: Newton's method in a bracket. */
static void cut_at_edge(crossing *x, union_trace *edge, const union_surface *s, double a, double b)
{
    double ft, fa = union_trace_value(edge, s, a, &ft), fb = union_trace_value(edge, s, b, &ft);
    if (!(fa < 0 ? fb > 0 : fa > 0 && fb < 0)) return;
    double t = a - fa * (b - a) / (fb - fa), width = b - a;
    for (int i = 0; i < 100; i++) {
        double f = union_trace_value(edge, s, t, &ft), next = t - f / ft;
        if (f == 0) break;
        if ((f < 0) == (fa < 0))
            a = t;
        else
            b = t;
        if (!(next > a && next < b)) next = (a + b) / 2;
        if (fabs(next - t) <= 1e-15 * width) break;
        t = next;
    }
    add_cut(x, t);
}

/* Whether the curve comes so near to an edge at t that it pinches the band between them: what is on
 * both sides of such a place need not be the same. */
static bool pinches(edges *e, double t)
{
    double slope;
    return fabs(union_trace_value(&e->low, e->c->s, t, &slope)) <= e->slight ||
           fabs(union_trace_value(&e->high, e->c->s, t, &slope)) <= e->slight;
}

/* Cuts where f changes its sign, and at pinches. As the halving ends where f is monotone or clearly
 * keeps its sign, these are at the ends of halves. */
static void cut_at_edges(crossing *x, edges *e, double a, double b)
{
    if (++x->spans > MOST_SPANS) x->failed = true;
    if (x->failed) return;
    if (edge_is_plain(e->c, e->c->low, a, b) && edge_is_plain(e->c, e->c->high, a, b)) {
        cut_at_edge(x, &e->low, e->c->s, a, b);
        cut_at_edge(x, &e->high, e->c->s, a, b);
        return;
    }
    double middle = (a + b) / 2;
    cut_at_edges(x, e, a, middle);
    if (pinches(e, middle)) add_cut(x, middle);
    cut_at_edges(x, e, middle, b);
}

static void cut_at_both_edges(crossing *x, const union_curve *c, const union_jet *j,
                              const union_cell *cell, double a, double b)
{
    int low = edge_at_once(c, j, cell, -1), high = edge_at_once(c, j, cell, 1);
    if (low == 1 && high == 1) return;
    edges e = edges_of(c, c->swapped ? j->fu : j->fv);
    if (low == 0 || high == 0) {
        cut_at_edges(x, &e, a, b);
        return;
    }
    if (low == 2) cut_at_edge(x, &e.low, c->s, a, b);
    if (high == 2) cut_at_edge(x, &e.high, c->s, a, b);
}

/* Where the curve is on a trace up the cell: -1 below the cell, +1 above it, 0 inside. */
static int where(const union_curve *c, union_trace *trace)
{
    double fw, sign = c->rising ? 1 : -1;
    if (sign * union_trace_value(trace, c->s, c->low, &fw) >= 0) return -1;
    return sign * union_trace_value(trace, c->s, c->high, &fw) <= 0 ? 1 : 0;
}

/* f of q on curve p at t: it tells which of them is above. */
static double lead(union_curve *p, const union_curve *q, double t)
{
    double fw;
    union_trace trace = union_curve_trace(p, t);
    return union_trace_value(&trace, q->s, union_curve_root(p, &trace), &fw);
}

/* Cuts where p and q change places between a and b, where both run inside the cell: the method of
 * false position, as bettered by Dowell and Jarratt (Illinois), BIT 11 (1971) 168. */
static void cut_at_crossing(crossing *x, union_curve *p, const union_curve *q, double a, double b)
{
    double t = (a + b) / 2, inset = 1e-6 * (b - a), least = 1e-15 * (b - a);
    union_trace middle = union_curve_trace(p, t);
    if (where(p, &middle) != 0 || where(q, &middle) != 0) return;
    a += inset, b -= inset;
    double fa = lead(p, q, a), fb = lead(p, q, b);
    if ((fa < 0) == (fb < 0)) return;
    for (int i = 0; i < 60 && fabs(b - a) > least; i++) {
        t = fb != fa ? b - fb * (b - a) / (fb - fa) : (a + b) / 2;
        double f = lead(p, q, t);
        if (fabs(f) <= 1e-16 * p->size) break;
        if ((f < 0) != (fb < 0))
            a = b, fa = fb;
        else
            fa /= 2;
        b = t, fb = f;
    }
    add_cut(x, t);
}

static void cut_at_crossings(crossing *x, int p, int q, const union_cell *cell)
{
    double cuts[UNION_CUTS + 1];
    int count = x->cut_count;
    if (never_cross(&x->jets[p], &x->jets[q], cell)) return;
    for (int i = 0; i < count; i++) cuts[i] = x->cuts[i];
    for (int i = 0; i + 1 < count && !x->failed; i++)
        if (cuts[i + 1] > cuts[i])
            cut_at_crossing(x, &x->curves[p], &x->curves[q], cuts[i], cuts[i + 1]);
}

/* Cuts at a line t = const where f changes its sign. */
static void cut_at_line(crossing *x, const union_curve *c, double a, double b)
{
    union_trace along = union_trace_at(c->f, !c->swapped, (c->low + c->high) / 2);
    cut_at_edge(x, &along, c->s, a, b);
}

/* ------------------------------------------------------------------ bands */

/* The curves inside the cell between two cuts, from the lowest up. */
typedef struct column {
    int cut, count, sorted[UNION_SURFACES];
    double t, w[UNION_SURFACES];
    unsigned pattern; /* at the low edge */
} column;

static void sort_in(column *in, int k, double at)
{
    int i = in->count++;
    for (; i > 0 && in->w[i - 1] > at; i--)
        in->w[i] = in->w[i - 1], in->sorted[i] = in->sorted[i - 1];
    in->w[i] = at, in->sorted[i] = k;
}

static column sort_curves(crossing *x, int cut)
{
    column in = {.cut = cut, .t = (x->cuts[cut] + x->cuts[cut + 1]) / 2};
    union_trace trace = union_curve_trace(&x->frame, in.t);
    for (int k = 0; k < x->count; k++) {
        union_curve *c = &x->curves[k];
        int place = where(c, &trace);
        if ((place < 0) == c->rising) in.pattern |= 1u << c->which;
        if (place == 0) sort_in(&in, k, union_curve_root(c, &trace));
    }
    for (int k = 0; k < x->line_count; k++) {
        double fw, middle = (x->frame.low + x->frame.high) / 2;
        if (union_trace_value(&trace, &x->by[x->lines[k]].face->surface, middle, &fw) > 0)
            in.pattern |= 1u << x->lines[k];
    }
    return in;
}

/* Bands next to nothing, like those beside a curve along the rim, cannot be judged. */
static const double thin = 1e-9;

static void add_band(crossing *x, const column *in, int below, double from, double to)
{
    const union_curve *c = &x->frame;
    if (x->band_count >= UNION_BANDS) {
        x->failed = true;
        return;
    }
    double w = (from + to) / 2, width = x->cuts[in->cut + 1] - x->cuts[in->cut];
    bool slight = to - from <= thin * (c->high - c->low) ||
                  width <= thin * (x->cuts[x->cut_count - 1] - x->cuts[0]);
    x->bands[x->band_count++] = (union_band){.u = c->swapped ? w : in->t,
                                             .v = c->swapped ? in->t : w,
                                             .from = from,
                                             .slight = slight,
                                             .pattern = (unsigned char)in->pattern,
                                             .cut = in->cut,
                                             .below = below};
}

static void add_bands(crossing *x, int cut)
{
    if (!(x->cuts[cut + 1] > x->cuts[cut])) return;
    column in = sort_curves(x, cut);
    double from = x->frame.low;
    int below = -1;
    for (int i = 0; i < in.count; i++) {
        add_band(x, &in, below, from, in.w[i]);
        from = in.w[i], below = in.sorted[i];
        in.pattern ^= 1u << x->curves[below].which;
    }
    add_band(x, &in, below, from, x->frame.high);
}

/* ------------------------------------------------------------------ a cell */

typedef struct setting {
    const union_face *f;
    const union_cell *cell;
    double allowed, slack;
} setting;

static union_curve curve_of(const setting *s, const union_crosser *by, bool swapped,
                            const union_jet *j)
{
    const union_cell *c = s->cell;
    double w = swapped ? c->u : c->v, hw = swapped ? c->hu : c->hv;
    return (union_curve){.f = s->f,
                         .s = &by->face->surface,
                         .coaxial = by->coaxial,
                         .swapped = swapped,
                         .rising = (swapped ? j->fu : j->fv) > 0,
                         .low = w - hw,
                         .high = w + hw,
                         .allowed = s->allowed,
                         .size = vec3_length(s->f->centre) + s->f->ball,
                         .guess = w};
}

/* Which parameter to take as t: true for v. False in *any when neither will do. */
static bool choose_way(const setting *s, const union_jet *jets, int count, bool *any)
{
    double least[2] = {1, 1};
    for (int way = 0; way < 2; way++)
        for (int i = 0; i < count; i++) {
            bool line;
            least[way] = fmin(least[way], fitness(&jets[i], s->cell, way == 1, s->slack, &line));
        }
    *any = fmax(least[0], least[1]) > 0;
    return least[1] > least[0];
}

/* Whether no two of the graphs can cross more than once. */
static bool pairs_are_plain(const setting *s, const union_jet *jets, int count, bool swapped)
{
    bool line[UNION_SURFACES];
    for (int i = 0; i < count; i++) {
        fitness(&jets[i], s->cell, swapped, s->slack, &line[i]);
        for (int k = 0; k < i; k++)
            if (!line[i] && !line[k] && !cross_once(&jets[i], &jets[k], s->cell) &&
                !never_cross(&jets[i], &jets[k], s->cell))
                return false;
    }
    return true;
}

/* Sorts the surfaces into graphs, which are kept, and lines, at which the cell is cut. */
static void set_out(crossing *x, const setting *s, const union_crosser *by, const union_jet *jets,
                    int count, bool swapped)
{
    double t = swapped ? s->cell->v : s->cell->u, h = swapped ? s->cell->hv : s->cell->hu;
    add_cut(x, t - h);
    add_cut(x, t + h);
    for (int i = 0; i < count; i++) {
        bool line;
        fitness(&jets[i], s->cell, swapped, s->slack, &line);
        union_curve c = curve_of(s, &by[i], swapped, &jets[i]);
        if (line) {
            x->lines[x->line_count++] = i;
            cut_at_line(x, &c, t - h, t + h);
            continue;
        }
        c.which = i;
        x->jets[x->count] = jets[i];
        x->curves[x->count++] = c;
        cut_at_both_edges(x, &c, &jets[i], s->cell, t - h, t + h);
    }
    for (int p = 0; p < x->count; p++)
        for (int q = 0; q < p && !x->failed; q++) cut_at_crossings(x, p, q, s->cell);
}

bool union_cross(const union_face *f, const union_crosser *by, int count, const union_cell *cell,
                 double allowed, double slack, union_crossing *x)
{
    setting s = {f, cell, allowed, slack};
    union_jet jets[UNION_SURFACES];
    bool any;
    x->count = x->line_count = x->cut_count = x->spans = x->band_count = 0;
    x->failed = false;
    x->by = by;
    x->by_count = count;
    for (int i = 0; i < count; i++) jets[i] = *by[i].jet;
    bool swapped = choose_way(&s, jets, count, &any);
    if (!any || !pairs_are_plain(&s, jets, count, swapped)) return false;
    x->frame = curve_of(&s, &by[0], swapped, &jets[0]);
    set_out(x, &s, by, jets, count, swapped);
    for (int i = 0; i + 1 < x->cut_count && !x->failed; i++) add_bands(x, i);
    return !x->failed;
}

/* ------------------------------------------------------------------ measuring */

/* What lies below a band, from the cell's low edge. */
static union_share below(union_crossing *x, const union_band *b)
{
    if (b->below < 0) return (union_share){0, 0};
    union_curve *c = &x->curves[b->below];
    c->below = (union_share){0, 0};
    union_curve_integrate(c, x->cuts[b->cut], x->cuts[b->cut + 1], b->from);
    return c->below;
}

static union_share column_share(const union_crossing *x, int cut)
{
    const union_curve *c = &x->frame;
    double a = x->cuts[cut], b = x->cuts[cut + 1];
    return c->swapped ? union_rectangle(c->f, c->low, c->high, a, b)
                      : union_rectangle(c->f, a, b, c->low, c->high);
}

static void add_weighted(union_share *sum, int weight, int sign, union_share share)
{
    sum->area += sign * abs(weight) * share.area;
    sum->volume += sign * weight * share.volume;
}

/* Only curves between bands of different weight have to be integrated. */
union_share union_cross_measure(union_crossing *x, const int *weights, union_share *parts,
                                double *area_slack, double *volume_slack)
{
    union_share own[UNION_PATTERNS] = {{0, 0}}, sum = {0, 0};
    if (!parts) parts = own;
    for (int i = 0; i < x->band_count; i++) {
        const union_band *b = &x->bands[i];
        bool lowest = i == 0 || b[-1].cut != b->cut;
        bool highest = i + 1 == x->band_count || b[1].cut != b->cut;
        if (highest && weights[i] != 0)
            add_weighted(&parts[b->pattern], weights[i], 1, column_share(x, b->cut));
        if (lowest || weights[i - 1] == weights[i]) continue;
        union_share bottom = below(x, b);
        add_weighted(&parts[b[-1].pattern], weights[i - 1], 1, bottom);
        add_weighted(&parts[b->pattern], weights[i], -1, bottom);
    }
    for (int i = 0; i < UNION_PATTERNS; i++) add_weighted(&sum, 1, 1, parts[i]);
    for (int i = 0; i < x->count; i++) {
        *area_slack += x->curves[i].area_slack;
        *volume_slack += x->curves[i].volume_slack;
    }
    return sum;
}
