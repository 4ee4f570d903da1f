/* Faces known by their points only (threads, coils, hexagons under a chamfer), and the small cells
 * of other faces that such cross: rows.
 *
 * Either is a map of the unit square. Along a row (v fixed) steps no longer than the distance to
 * the other solids' surfaces find every place where the verdict changes, but for features under the
 * least step. What rows hide is integrated over v by a Gauss-Kronrod rule, whose panels (or the
 * cells) are halved where its two sums differ most: where a plane cuts a thread or coil square to
 * its axis, rows change evenly and the sums agree to rounding; where a surface only touches a row,
 * the difference is what the interval tells. A free face's own area, and the volume under all free
 * faces of a body, are known: only what is hidden is taken off by points. */
#include "geometry/gauss.h"
#include "geometry/trim.h"
#include "geometry/union.h"

#include "base/vec.h"

#include <math.h>

enum { MOST_NEAR = 64, CELLS = 16000, EVEN_LOOKS = 1000, MOST_LOOKS = 100000, MOST_PANELS = 96 };

/* Relative error of areas by differences of points; see add_density. */
static const double rough = 1e-8;

/* Points this near to a surface, in snaps, are on it. */
static const double touching = 0.01;

typedef struct sheet {
    const union_model *m;
    const union_face *own;
    tks_vec3 origin;
    double slope_u, slope_v; /* no point moves faster with u, with v [m] */
    double fine;             /* features smaller than this may be missed [m] */
    double broad, gap;       /* from the first row to the last; from any point to a row [m] */
    double stride;           /* the points turn by 3 radians at most while u grows by this */
    uint32_t near[MOST_NEAR];
    bool flush[MOST_NEAR]; /* has a face on the same plane: look below and above */
    size_t near_count, looks, cells;
    const union_cell *cell;   /* of a face that is not free: the part that is looked at */
    const union_entry *given; /* of near; those that are not open stay as they are */
    bool swapped;             /* rows run along v */
} sheet;

/* A point, and the normal out of the own solid. */
static tks_vec3 spot(const sheet *s, double u, double v, tks_vec3 *normal)
{
    tks_vec3 q;
    const union_cell *c = s->cell;
    if (!c) {
        tks_patch_at(s->own->patch, u, v, &q, normal);
        return vec3_sub(q, s->origin);
    }
    double a = c->u + (2 * (s->swapped ? v : u) - 1) * c->hu;
    double b = c->v + (2 * (s->swapped ? u : v) - 1) * c->hv;
    *normal = union_normal(s->own, a, b);
    return union_point(s->own, a, b);
}

static tks_vec3 point(const sheet *s, double u, double v)
{
    tks_vec3 normal;
    return spot(s, u, v, &normal);
}

/* The fastest that points move, by differences, with something to spare. */
static void find_slopes(sheet *s)
{
    enum { ALONG = 64, ACROSS = 16 };
    const double d = 1e-4;
    for (int i = 0; i < ALONG; i++)
        for (int k = 0; k < ACROSS; k++) {
            double u = (i + 0.5) / ALONG, v = (k + 0.5) / ACROSS;
            tks_vec3 q = point(s, u, v);
            s->slope_u = fmax(s->slope_u, vec3_distance(q, point(s, u + d, v)) / d);
            s->slope_v = fmax(s->slope_v, vec3_distance(q, point(s, u, v + d)) / d);
        }
    s->slope_u *= 1.5;
    s->slope_v *= 1.5;
}

static double find_stride(const tks_patch *p)
{
    double turn = 2 * M_PI; /* of trimmed faces, at most */
    if (p->kind == TKS_PATCH_COIL) turn = p->travel;
    if (p->kind == TKS_PATCH_HELICOID) turn = (p->trim->to - p->trim->from) / fabs(p->advance);
    return 3 / turn;
}

/* ------------------------------------------------------------------ how other solids stand */

static bool is_flush(const sheet *s, const union_face *g)
{
    const union_surface *a = &s->own->surface, *b = &g->surface;
    if (a->form != UNION_PLANE || b->form != UNION_PLANE) return false;
    double off = fabs(vec3_dot(vec3_sub(s->own->centre, b->origin), b->axis));
    double tilt = vec3_length(vec3_cross(a->axis, b->axis)) * s->own->ball;
    return off + tilt <= s->m->snap;
}

/* How far one may go from q, in the plane of the face, before a flush solid begins or ends. */
static double flush_room(const sheet *s, const union_solid *solid, tks_vec3 q)
{
    double room = INFINITY;
    for (uint32_t i = 0; i < solid->face_count; i++) {
        const union_face *g = &s->m->faces[solid->face_first + i];
        if (!is_flush(s, g)) room = fmin(room, union_face_distance(g, q));
    }
    return room;
}

/* The entry of one solid at q, where n points out of the own one; and how far that holds. */
static double stand(const sheet *s, size_t i, tks_vec3 q, tks_vec3 n, union_entry *e)
{
    if (s->given && !s->given[i].open) {
        *e = s->given[i];
        return INFINITY;
    }
    const union_solid *solid = &s->m->solids[s->near[i]];
    *e = (union_entry){.solid = s->near[i]};
    if (e->solid == s->own->solid) {
        e->under = true;
        return INFINITY;
    }
    if (s->flush[i]) {
        double off = 4 * s->m->snap;
        e->under = solid->distance(solid->context, vec3_step(q, -off, n)) < 0;
        e->over = solid->distance(solid->context, vec3_step(q, off, n)) < 0;
        return flush_room(s, solid, q);
    }
    double d = solid->distance(solid->context, q);
    e->under = e->over = d < 0;
    return fabs(d);
}

/* The verdict at a point, and how far from it the same holds. */
static union_verdict look(sheet *s, double u, double v, double *room)
{
    union_entry entries[MOST_NEAR];
    tks_vec3 n, q = spot(s, u, v, &n);
    *room = INFINITY;
    for (size_t i = 0; i < s->near_count; i++) *room = fmin(*room, stand(s, i, q, n, &entries[i]));
    s->looks++;
    return union_judge(s->m, s->own, entries, s->near_count);
}

/* The solids that may hide some of the face, its own among them. False when there are too many. */
static bool gather(sheet *s, const uint32_t *near, size_t count)
{
    bool own = false;
    for (size_t i = 0; i <= count; i++) {
        if (s->near_count + 2 > MOST_NEAR) return false;
        if (!own && (i == count || near[i] > s->own->solid)) {
            own = true;
            s->near[s->near_count++] = s->own->solid;
        }
        if (i < count && near[i] != s->own->solid) s->near[s->near_count++] = near[i];
    }
    for (size_t i = 0; i < s->near_count; i++) {
        const union_solid *solid = &s->m->solids[s->near[i]];
        for (uint32_t k = 0; k < solid->face_count; k++)
            s->flush[i] |= is_flush(s, &s->m->faces[solid->face_first + k]);
    }
    return true;
}

/* ------------------------------------------------------------------ all alike */

/* Whether the face lies on other solids' surfaces wherever it is looked at, as that of a thread
 * given twice: no row could tell what is hidden. */
static bool is_touching(sheet *s)
{
    enum { SAMPLES = 25 };
    bool all = true;
    for (int i = 0; i < SAMPLES && all; i++) {
        double room;
        look(s, (i + 0.5) / SAMPLES, fmod((i + 0.5) * 0.6180339887498949, 1), &room);
        all = room <= touching * s->m->snap;
    }
    return all;
}

/* Whether the verdict is the same all over a cell; UNION_OPEN in *all when none is known yet. */
static bool is_even(sheet *s, const union_cell *c, union_verdict *all)
{
    double wide = s->slope_u * c->hu, high = s->slope_v * c->hv, room;
    union_verdict verdict = look(s, c->u, c->v, &room);
    s->cells++;
    if (*all == UNION_OPEN) *all = verdict;
    if (verdict != *all) return false;
    if (room > wide + high) return true;
    if (wide + high <= s->fine || s->looks > EVEN_LOOKS) return false; /* rows are better at it */
    union_cell a = *c, b = *c;
    if (wide > high) {
        a.hu = b.hu = c->hu / 2;
        a.u -= a.hu, b.u += b.hu;
    } else {
        a.hv = b.hv = c->hv / 2;
        a.v -= a.hv, b.v += b.hv;
    }
    return is_even(s, &a, all) && is_even(s, &b, all);
}

/* ------------------------------------------------------------------ one row */

/* What a row or a panel hides, what of it is not decided, and how much of it is so near to another
 * surface that this may come across between the rows [m^2]; met: it does come across. */
typedef struct hidden {
    union_share sure, open;
    double near;
    bool met;
} hidden;

/* Area per u and v. The tangents of a free face come from differences over about 1e-4 of a radian.
 */
static double spread(const sheet *s, double u, double v)
{
    const union_cell *c = s->cell;
    if (c) {
        double at = c->v + (2 * (s->swapped ? u : v) - 1) * c->hv;
        return 4 * c->hu * c->hv * union_density(s->own, at).j;
    }
    double du = 2e-5 * s->stride, dv = 2e-5;
    tks_vec3 a = vec3_sub(point(s, u + du, v), point(s, u - du, v));
    tks_vec3 b = vec3_sub(point(s, u, v + dv), point(s, u, v - dv));
    return vec3_length(vec3_cross(a, b)) / (4 * du * dv);
}

/* The same, and three times the volume under it. */
static union_share density(const sheet *s, double u, double v)
{
    tks_vec3 n, q = spot(s, u, v, &n);
    double area = spread(s, u, v);
    return (union_share){area, area * vec3_dot(q, n)};
}

static void add(union_share *sum, double weight, union_share more)
{
    sum->area += weight * more.area;
    sum->volume += weight * more.volume;
}

static union_share stretch(const sheet *s, double v, double from, double to)
{
    union_share sum = {0, 0};
    int pieces = (int)fmin(1e5, ceil((to - from) / s->stride));
    for (int i = 0; i < pieces * GEOMETRY_GAUSS; i++) {
        int piece = i / GEOMETRY_GAUSS, k = i % GEOMETRY_GAUSS;
        double u = from + (to - from) * (piece + geometry_gauss[k].at) / pieces;
        double weight = geometry_gauss[k].weight * (to - from) / pieces;
        add(&sum, weight, density(s, u, v));
    }
    return sum;
}

/* Where between two points the verdict changes: the zero of the distance, signed by the verdict, by
 * false position with halved weights (Illinois), so that both ends move in. */
static double find_change(sheet *s, double v, const double ends[2], const double rooms[2],
                          union_verdict first)
{
    double a = ends[0], b = ends[1], fa = rooms[0], fb = rooms[1], room;
    double fine = fmax(s->m->slack / s->slope_u, 1e-11);
    int side = 0;
    for (int i = 0; i < 60 && b - a > fine; i++) {
        double share = i % 4 < 3 && fa + fb > 0 ? fa / (fa + fb) : 0.5;
        double at = a + (b - a) * fmin(fmax(share, 1e-3), 1 - 1e-3);
        bool before = look(s, at, v, &room) == first;
        if (before)
            a = at, fa = room, fb = side > 0 ? fb / 2 : fb;
        else
            b = at, fb = room, fa = side < 0 ? fa / 2 : fa;
        side = before ? 1 : -1;
        if (room <= fine * s->slope_u) return at;
    }
    return (a + b) / 2;
}

/* Two points in a row that both lie on another surface leave it open what is between them. A step
 * is the room at its start at most, so that the room is a half and a sixth of its ends' at least.
 */
static hidden walk_row(sheet *s, double v)
{
    hidden row = {.near = 0};
    double u = 0, start = 0, room, ahead, next, least = s->fine / 4;
    union_verdict now = look(s, 0, v, &room), then;
    s->cells++;
    for (; u < 1 && s->looks < 8 * MOST_LOOKS; u = next, room = ahead) {
        next = fmin(1, u + fmax(room, least) / s->slope_u);
        then = look(s, next, v, &ahead);
        bool open = fmax(room, ahead) <= touching * s->m->snap;
        if (ahead / 2 + room / 6 <= s->gap) row.near += (next - u) * spread(s, u, v);
        if (then == now && !open) continue;
        row.met = true;
        double at = u, ends[2] = {u, next}, rooms[2] = {room, ahead};
        if (!open) at = find_change(s, v, ends, rooms, now);
        if (now == UNION_HIDDEN) add(&row.sure, 1, stretch(s, v, start, at));
        if (open) add(&row.open, 1, stretch(s, v, u, next));
        start = open ? next : at;
        now = then;
    }
    if (u < 1) add(&row.open, 1, stretch(s, v, u, 1));
    if (now == UNION_HIDDEN) add(&row.sure, 1, stretch(s, v, start, fmin(u, 1)));
    return row;
}

/* ------------------------------------------------------------------ over all rows */

/* Gauss-Kronrod pair of 7 and 15 points on 0..1, exact to degree 13 and 22. Source: Piessens et
 * al., QUADPACK (1983), rule QK15, whose exactness was checked on powers. */
enum { KRONROD = 15 };
static const struct {
    double at, weight, gauss;
} kronrod[KRONROD] = {
    {0.0042723144395936941, 0.011467661005264612, 0},
    {0.025446043828620757, 0.031546046314989279, 0.064742483084434851},
    {0.067567788320115452, 0.052395005161125094, 0},
    {0.12923440720030277, 0.070326629857762959, 0.13985269574463832},
    {0.20695638226615443, 0.084502363319633955, 0},
    {0.29707742431130141, 0.09517528903239271, 0.19091502525255946},
    {0.39610752249605075, 0.10221647003764944, 0},
    {0.5, 0.10474107054236391, 0.2089795918367347},
    {0.60389247750394925, 0.10221647003764944, 0},
    {0.70292257568869854, 0.09517528903239271, 0.19091502525255946},
    {0.79304361773384557, 0.084502363319633955, 0},
    {0.87076559279969723, 0.070326629857762959, 0.13985269574463832},
    {0.93243221167988455, 0.052395005161125094, 0},
    {0.97455395617137919, 0.031546046314989279, 0.064742483084434851},
    {0.99572768556040625, 0.011467661005264612, 0},
};

typedef struct panel {
    double from, to;
    hidden sum;
    union_share error;
} panel;

static panel add_panel(sheet *s, double from, double to, bool all)
{
    panel p = {.from = from, .to = to};
    union_share coarse = {0, 0};
    s->gap = 0.06 * s->broad * (to - from); /* no rule's points are farther apart than twice that */
    for (int i = 0; i < KRONROD; i++) {
        double v = from + (to - from) * kronrod[i].at;
        double weight = (to - from) * kronrod[i].weight, other = (to - from) * kronrod[i].gauss;
        hidden row = {.near = 0};
        if (all)
            row.sure = stretch(s, v, 0, 1);
        else
            row = walk_row(s, v);
        add(&p.sum.sure, weight, row.sure);
        add(&p.sum.open, weight, row.open);
        p.sum.near += weight * row.near;
        p.sum.met |= row.met;
        add(&coarse, other, row.sure);
    }
    double unseen = p.sum.met ? 0 : p.sum.near;
    p.error.area = fabs(p.sum.sure.area - coarse.area) + unseen;
    p.error.volume = fabs(p.sum.sure.volume - coarse.volume) + unseen * s->m->scale;
    return p;
}

static panel sum_of(const panel *panels, size_t count, size_t *worst)
{
    panel all = {.from = 0};
    *worst = 0;
    for (size_t i = 0; i < count; i++) {
        const panel *p = &panels[i];
        add(&all.sum.sure, 1, p->sum.sure);
        add(&all.sum.open, 1, p->sum.open);
        add(&all.error, 1, p->error);
        all.sum.near += p->sum.near;
        all.sum.met |= p->sum.met;
        if (p->error.area > panels[*worst].error.area) *worst = i;
    }
    return all;
}

/* What is hidden of the whole face or cell, from so many panels up to the most; all: every row is.
 */
static panel integrate(sheet *s, bool all, int first, size_t most, double allowed)
{
    panel panels[MOST_PANELS];
    size_t count = 0, worst;
    for (int i = 0; i < first; i++)
        panels[count++] = add_panel(s, (double)i / first, (i + 1.0) / first, all);
    for (;;) {
        panel sum = sum_of(panels, count, &worst);
        if (sum.error.area <= allowed || count == most || s->looks >= MOST_LOOKS) return sum;
        double from = panels[worst].from, to = panels[worst].to, middle = (from + to) / 2;
        panels[worst] = add_panel(s, from, middle, all);
        panels[count++] = add_panel(s, middle, to, all);
    }
}

/* ------------------------------------------------------------------ the face */

/* So many that features as small as are looked for at all do not pass between rows. */
static int first_panels(const sheet *s)
{
    return (int)fmax(1, fmin(8, ceil(s->broad / (KRONROD * s->fine))));
}

/* Three times the volume under the whole face: what is known of the body's is spread over its free
 * faces, which does for their sum; of a body whose solids overlap nothing is known. */
static double whole_volume(sheet *s)
{
    uint32_t body = s->m->solids[s->own->solid].body;
    if (s->m->body_plain[body]) return s->own->area * s->m->free_volume[body];
    return integrate(s, true, 1, 1, INFINITY).sum.sure.volume;
}

/* What is exposed is the whole less what is hidden, and less half of what is open. The volume
 * counts as that of metal, or as taken from it. */
static void add_result(sheet *s, union_item *item, const panel *all)
{
    double sign = union_sign(s->m, s->own->solid), whole = s->own->area;
    double lost = fmin(all->sum.sure.area, whole), open = fmin(all->sum.open.area, whole);
    double slack = all->error.area + open / 2 + (lost < whole ? rough * lost : 0);
    double area = fmax(0, whole - lost - open / 2);
    base_sum_add(&item->area, area);
    item->area_slack += slack;
    base_sum_add(&item->volume,
                 sign * (whole_volume(s) - all->sum.sure.volume - all->sum.open.volume / 2));
    item->volume_slack += all->error.volume + (open + rough * lost) * s->m->scale;
}

void union_free_run(const union_model *m, union_item *item, const uint32_t *near, size_t near_count,
                    double allowed)
{
    const union_face *f = &m->faces[item->face];
    sheet s = {.m = m, .own = f, .origin = m->origin};
    panel all = {.from = 0};
    if (gather(&s, near, near_count) && !is_touching(&s)) {
        union_verdict verdict = UNION_OPEN;
        const union_cell whole = {0.5, 0.5, 0.5, 0.5};
        find_slopes(&s);
        s.stride = find_stride(f->patch);
        s.fine = fmax(sqrt(f->area / CELLS) / 4, s.slope_u * s.slope_v / (CELLS * f->ball));
        s.broad = 1.5 * f->area / s.slope_u; /* on the average, as the slope has a half to spare */
        bool even = is_even(&s, &whole, &verdict);
        allowed = fmax(allowed, rough * f->area) / 10;
        if (!even) {
            all = integrate(&s, false, first_panels(&s), MOST_PANELS, allowed);
            even = !all.sum.met && all.sum.near == 0 && all.sum.open.area == 0;
        }
        if (even && verdict == UNION_HIDDEN) {
            all = integrate(&s, true, 1, MOST_PANELS, allowed);
            all.sum.sure.area = f->area;
            all.error.area = 0;
        }
    } else
        all.sum.open.area = f->area;
    item->cells += s.cells + 1;
    item->work += 1 + (double)s.looks / 4;
    add_result(&s, item, &all);
}

/* ------------------------------------------------------------------ cells of other faces */

/* Whether the open solids' distances change more along v than along u. */
static bool is_steeper_along_v(const sheet *s)
{
    double along_u = 0, along_v = 0;
    for (size_t i = 0; i < s->near_count; i++) {
        if (!s->given[i].open) continue;
        const union_solid *o = &s->m->solids[s->near[i]];
        along_u += fabs(o->distance(o->context, point(s, 0.75, 0.5)) -
                        o->distance(o->context, point(s, 0.25, 0.5)));
        along_v += fabs(o->distance(o->context, point(s, 0.5, 0.75)) -
                        o->distance(o->context, point(s, 0.5, 0.25)));
    }
    return along_v > along_u;
}

bool union_free_cell(const union_model *m, const union_face *own, const union_entry *entries,
                     size_t count, const union_cell *cell, const double size[2],
                     union_free_part *part)
{
    sheet s = {.m = m, .own = own, .near_count = count, .cell = cell, .given = entries};
    if (count > MOST_NEAR) return false;
    for (size_t i = 0; i < count; i++) {
        if (entries[i].open && (entries[i].solid == UNION_WINDOW || entries[i].offset))
            return false;
        s.near[i] = entries[i].solid;
    }
    s.swapped = is_steeper_along_v(&s);
    s.slope_u = 2 * size[s.swapped];
    s.stride = 1;
    s.fine = (size[0] + size[1]) / 16;
    s.broad = 2 * size[!s.swapped];
    panel all = add_panel(&s, 0, 1, false);
    union_share whole = union_rectangle(own, cell->u - cell->hu, cell->u + cell->hu,
                                        cell->v - cell->hv, cell->v + cell->hv);
    part->bare = whole;
    add(&part->bare, -1, all.sum.sure);
    add(&part->bare, -0.5, all.sum.open);
    part->slack = all.error;
    part->slack.area += all.sum.open.area / 2;
    part->slack.volume += all.sum.open.area * m->scale;
    part->looks = s.looks;
    if (part->bare.area <= 1e-12 * whole.area) part->bare = (union_share){0, 0};
    return true;
}
