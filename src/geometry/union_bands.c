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

/* How surely f grows or falls along one parameter over the whole cell: 1 very, 0 not proved. */
static double sureness(double first, double second, double cross, double h, double other)
{
    double a = fabs(first), change = second * h + cross * other; /* may be no number */
    return a > change ? 1 - change / a : -1;
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
    double in_u = sureness(j->fu, j->fuu, j->fuv, c->hu, c->hv);
    double in_v = sureness(j->fv, j->fvv, j->fuv, c->hv, c->hu);
    *line = swapped ? in_v > 0 && is_constant(j->fu, j->fuu, j->fuv, c->hu, c->hv, slack)
                    : in_u > 0 && is_constant(j->fv, j->fvv, j->fuv, c->hv, c->hu, slack);
    return *line ? 1 : swapped ? in_u : in_v;
}

static double product_error(double a, double da, double b, double db)
{
    return fabs(a) * db + fabs(b) * da + da * db;
}

/* Whether the Jacobian of two functions is regular all over the cell. */
static bool cross_once(const union_jet *p, const union_jet *q, const union_cell *c)
{
    double pu = p->fuu * c->hu + p->fuv * c->hv, pv = p->fuv * c->hu + p->fvv * c->hv;
    double qu = q->fuu * c->hu + q->fuv * c->hv, qv = q->fuv * c->hu + q->fvv * c->hv;
    return fabs(p->fu * q->fv - p->fv * q->fu) >
           product_error(p->fu, pu, q->fv, qv) + product_error(p->fv, pv, q->fu, qu);
}

/* Whether p - q or p + q keeps its sign, so that p and q are never zero together. */
static bool never_cross(const union_jet *p, const union_jet *q, const union_cell *c)
{
    double bend = (p->fuu + q->fuu) * c->hu * c->hu / 2 + (p->fuv + q->fuv) * c->hu * c->hv +
                  (p->fvv + q->fvv) * c->hv * c->hv / 2;
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
    union_local j = union_curve_bound(c, (a + b) / 2, w, h, 0, true);
    double change = fabs(j.ft) * h + j.ftt * h * h / 2;
    return fabs(j.ft) > j.ftt * h || fabs(j.f) > change || fabs(j.f) + change < 1e-15 * c->size;
}

/* The same as far as the bounds for the whole cell tell, which costs nothing: 1 when f keeps its
 * sign along the lower (side -1) or upper edge, 2 when it is monotone there, 0 when unknown. */
static int edge_at_once(const union_curve *c, const union_jet *j, const union_cell *cell, int side)
{
    double ft = c->swapped ? j->fv : j->fu, fw = c->swapped ? j->fu : j->fv;
    double ftt = c->swapped ? j->fvv : j->fuu, fww = c->swapped ? j->fuu : j->fvv;
    double ht = c->swapped ? cell->hv : cell->hu, hw = c->swapped ? cell->hu : cell->hv;
    double most = fabs(ft) * ht + ftt * ht * ht / 2 + j->fuv * ht * hw + fww * hw * hw / 2;
    if (fabs(j->f + side * fw * hw) > most) return 1;
    return fabs(ft) > ftt * ht + j->fuv * hw ? 2 : 0;
}

/* Cuts where f changes its sign along the edge w, if it does: Newton's method in a bracket. */
static void cut_at_edge(crossing *x, const union_curve *c, double w, double a, double b)
{
    double ft, fw;
    double fa = union_curve_value(c, a, w, &ft, &fw), fb = union_curve_value(c, b, w, &ft, &fw);
    if (!(fa < 0 ? fb > 0 : fa > 0 && fb < 0)) return;
    double t = a - fa * (b - a) / (fb - fa), width = b - a;
    for (int i = 0; i < 100; i++) {
        double f = union_curve_value(c, t, w, &ft, &fw), next = t - f / ft;
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

static void cut_at_edges(crossing *x, const union_curve *c, double a, double b)
{
    if (++x->spans > MOST_SPANS) x->failed = true;
    if (x->failed) return;
    if (edge_is_plain(c, c->low, a, b) && edge_is_plain(c, c->high, a, b)) {
        cut_at_edge(x, c, c->low, a, b);
        cut_at_edge(x, c, c->high, a, b);
        return;
    }
    double middle = (a + b) / 2;
    cut_at_edges(x, c, a, middle);
    add_cut(x, middle);
    cut_at_edges(x, c, middle, b);
}

static void cut_at_both_edges(crossing *x, const union_curve *c, const union_jet *j,
                              const union_cell *cell, double a, double b)
{
    int low = edge_at_once(c, j, cell, -1), high = edge_at_once(c, j, cell, 1);
    if (low == 0 || high == 0) {
        cut_at_edges(x, c, a, b);
        return;
    }
    if (low == 2) cut_at_edge(x, c, c->low, a, b);
    if (high == 2) cut_at_edge(x, c, c->high, a, b);
}

/* Where the curve is at t: -1 below the cell, +1 above it, 0 inside at *w. */
static int where(union_curve *c, double t, double *w)
{
    double ft, fw, sign = c->rising ? 1 : -1;
    if (sign * union_curve_value(c, t, c->low, &ft, &fw) >= 0) return -1;
    if (sign * union_curve_value(c, t, c->high, &ft, &fw) <= 0) return 1;
    *w = union_curve_root(c, t);
    return 0;
}

/* f of q on curve p at t: it tells which of them is above. */
static double lead(union_curve *p, const union_curve *q, double t)
{
    double ft, fw;
    return union_curve_value(q, t, union_curve_root(p, t), &ft, &fw);
}

/* Whether the edges at t are on different sides of the curve. */
static bool is_inside(const union_curve *c, double t)
{
    double ft, fw;
    return (union_curve_value(c, t, c->low, &ft, &fw) < 0) !=
           (union_curve_value(c, t, c->high, &ft, &fw) < 0);
}

/* Cuts where p and q change places between a and b, where both run inside the cell: the method of
 * false position, as bettered by Dowell and Jarratt (Illinois), BIT 11 (1971) 168. */
static void cut_at_crossing(crossing *x, union_curve *p, const union_curve *q, double a, double b)
{
    double t = (a + b) / 2, inset = 1e-6 * (b - a), least = 1e-15 * (b - a);
    if (!is_inside(p, t) || !is_inside(q, t)) return;
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
    cut_at_edge(x, c, (c->low + c->high) / 2, a, b);
}

/* ------------------------------------------------------------------ bands */

/* The curves inside the cell between two cuts, from the lowest up. */
static int sort_curves(crossing *x, double t, int *sorted, double *w)
{
    int count = 0;
    for (int k = 0; k < x->count; k++) {
        double at;
        if (where(&x->curves[k], t, &at) != 0) continue;
        int i = count++;
        for (; i > 0 && w[i - 1] > at; i--) w[i] = w[i - 1], sorted[i] = sorted[i - 1];
        w[i] = at, sorted[i] = k;
    }
    return count;
}

/* Bands next to nothing, like those beside a curve along the rim, cannot be judged. */
static const double thin = 1e-9;

static void add_band(crossing *x, int cut, int below, double t, double from, double to)
{
    const union_curve *c = &x->frame;
    if (x->band_count >= UNION_BANDS) {
        x->failed = true;
        return;
    }
    double w = (from + to) / 2, width = x->cuts[cut + 1] - x->cuts[cut];
    bool slight = to - from <= thin * (c->high - c->low) ||
                  width <= thin * (x->cuts[x->cut_count - 1] - x->cuts[0]);
    x->bands[x->band_count++] =
        (union_band){c->swapped ? w : t, c->swapped ? t : w, slight, cut, below};
}

static void add_bands(crossing *x, int cut)
{
    int sorted[UNION_SURFACES];
    double w[UNION_SURFACES], t = (x->cuts[cut] + x->cuts[cut + 1]) / 2, from = x->frame.low;
    if (!(x->cuts[cut + 1] > x->cuts[cut])) return;
    int count = sort_curves(x, t, sorted, w), below = -1;
    for (int i = 0; i < count; i++) {
        add_band(x, cut, below, t, from, w[i]);
        from = w[i], below = sorted[i];
    }
    add_band(x, cut, below, t, from, x->frame.high);
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
                         .s = by->surface,
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
            x->line_count++;
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
    union_spot spot;
    bool any;
    x->count = x->line_count = x->cut_count = x->spans = x->band_count = 0;
    x->failed = false;
    union_spot_at(f, cell->u, cell->v, &spot);
    for (int i = 0; i < count; i++) {
        union_range range = {cell->hu, cell->hv, true, by[i].coaxial};
        if (by[i].jet)
            jets[i] = *by[i].jet;
        else
            union_jet_at(f, by[i].surface, &spot, cell->v, &range, &jets[i]);
    }
    bool swapped = choose_way(&s, jets, count, &any);
    if (!any || !pairs_are_plain(&s, jets, count, swapped)) return false;
    x->frame = curve_of(&s, &by[0], swapped, &jets[0]);
    set_out(x, &s, by, jets, count, swapped);
    for (int i = 0; i + 1 < x->cut_count && !x->failed; i++) add_bands(x, i);
    return !x->failed;
}

/* ------------------------------------------------------------------ measuring */

/* What lies below curve `which` (-1: nothing, from the low edge) between two cuts. */
static union_share below(union_crossing *x, int which, int cut)
{
    if (which < 0) return (union_share){0, 0};
    union_curve *c = &x->curves[which];
    c->below = (union_share){0, 0};
    union_curve_integrate(c, x->cuts[cut], x->cuts[cut + 1]);
    return c->below;
}

static union_share column_share(const union_crossing *x, int cut)
{
    const union_curve *c = &x->frame;
    double a = x->cuts[cut], b = x->cuts[cut + 1];
    return c->swapped ? union_rectangle(c->f, c->low, c->high, a, b)
                      : union_rectangle(c->f, a, b, c->low, c->high);
}

/* Only curves between bands of different weight have to be integrated. */
union_share union_cross_measure(union_crossing *x, const int *weights, double *area_slack,
                                double *volume_slack)
{
    union_share sum = {0, 0};
    for (int i = 0; i < x->band_count; i++) {
        const union_band *b = &x->bands[i];
        bool lowest = i == 0 || x->bands[i - 1].cut != b->cut;
        bool highest = i + 1 == x->band_count || x->bands[i + 1].cut != b->cut;
        union_share top = {0, 0};
        if (highest && weights[i] != 0) top = column_share(x, b->cut);
        int before = lowest ? 0 : weights[i - 1];
        union_share bottom = {0, 0};
        if (!lowest && before != weights[i]) bottom = below(x, b->below, b->cut);
        sum.area += abs(weights[i]) * top.area + (abs(before) - abs(weights[i])) * bottom.area;
        sum.volume += weights[i] * top.volume + (before - weights[i]) * bottom.volume;
    }
    for (int i = 0; i < x->count; i++) {
        *area_slack += x->curves[i].area_slack;
        *volume_slack += x->curves[i].volume_slack;
    }
    return sum;
}
