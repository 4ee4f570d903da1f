/* Faces known by their points only (threads, coils, hexagons under a chamfer): plain cells.
 *
 * A cell of the unit square is decided when its middle is farther from every other solid than the
 * cell is wide; what is left undecided goes into the interval. Cells get the share of the patch's
 * exact area that their tangents span. */
#include "geometry/union.h"

#include "base/vec.h"

#include <math.h>

enum { MOST_NEAR = 64, CELLS = 16000, MOST_CELLS = 1000000 };

typedef struct sheet {
    const union_model *m;
    const union_face *own;
    union_item *item;
    tks_vec3 origin;
    double slope_u, slope_v; /* no point moves faster with u, with v [m] */
    double fine;             /* cells this narrow are left undecided [m] */
    uint32_t near[MOST_NEAR];
    size_t near_count;
    bool rough;     /* decided cells may be of any size */
    double area[3]; /* spanned by corners: hidden, exposed, undecided */
    int sign;       /* of what is exposed */
} sheet;

static tks_vec3 point(const sheet *s, double u, double v)
{
    tks_vec3 q;
    tks_patch_at(s->own->patch, u, v, &q, NULL);
    return vec3_sub(q, s->origin);
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

/* Area of a cell by the parallelogram of its tangents in the middle. */
static double span(const sheet *s, const union_cell *c)
{
    double u = c->hu / 8, v = c->hv / 8;
    tks_vec3 a = vec3_sub(point(s, c->u + u, c->v), point(s, c->u - u, c->v));
    tks_vec3 b = vec3_sub(point(s, c->u, c->v + v), point(s, c->u, c->v - v));
    return 64 * vec3_length(vec3_cross(a, b));
}

/* How the solids stand to a cell whose middle is q. */
static union_verdict look(sheet *s, tks_vec3 q, double radius)
{
    union_entry entries[MOST_NEAR + 1];
    size_t count = 0;
    for (size_t i = 0; i < s->near_count; i++) {
        const union_solid *solid = &s->m->solids[s->near[i]];
        union_entry e = {.solid = s->near[i]};
        if (e.solid == s->own->solid)
            e.under = true;
        else {
            double d = solid->distance(solid->context, q);
            e.open = fabs(d) <= radius;
            e.under = e.over = !e.open && d < 0;
        }
        entries[count++] = e;
    }
    return union_judge(s->m, s->own, entries, count);
}

static void walk(sheet *s, const union_cell *c)
{
    double wide = s->slope_u * c->hu, high = s->slope_v * c->hv, radius = wide + high;
    union_verdict verdict = look(s, point(s, c->u, c->v), radius);
    bool even = s->rough || fmax(c->hu, c->hv) <= 1.0 / 64; /* so that the middle may speak */
    bool small = verdict == UNION_OPEN ? radius <= s->fine : even;
    small |= s->item->cells >= MOST_CELLS;
    s->item->cells++;
    if (small) {
        int kind = verdict == UNION_OPEN ? 2 : verdict == UNION_HIDDEN ? 0 : 1;
        if (kind == 1) s->sign = verdict;
        s->area[kind] += span(s, c);
        return;
    }
    union_cell a = *c, b = *c;
    if (wide > high) {
        a.hu = b.hu = c->hu / 2;
        a.u -= a.hu, b.u += b.hu;
    } else {
        a.hv = b.hv = c->hv / 2;
        a.v -= a.hv, b.v += b.hv;
    }
    walk(s, &a);
    walk(s, &b);
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
    return true;
}

static void add_result(sheet *s, double volume)
{
    double total = s->area[0] + s->area[1] + s->area[2];
    double scale = total > 0 ? s->own->area / total : 0;
    double exposed = s->area[1] * scale, open = s->area[2] * scale;
    double spare = exposed > 0 && s->area[0] + s->area[2] > 0 ? 1e-3 * s->own->area : 0;
    base_sum_add(&s->item->area, exposed + open / 2);
    s->item->area_slack += open / 2 + spare;
    double share = s->own->area > 0 ? (exposed + open / 2) / s->own->area : 0;
    base_sum_add(&s->item->volume, s->sign * share * volume);
    s->item->volume_slack +=
        (open / 2 + spare + (share < 1 ? s->own->area - exposed : 0)) * s->m->scale;
    s->item->wide = spare > 0 || open > 0;
}

void union_free_run(const union_model *m, union_item *item, const uint32_t *near, size_t near_count)
{
    const union_face *f = &m->faces[item->face];
    sheet s = {.m = m, .own = f, .item = item, .origin = m->origin, .sign = 1};
    double whole_volume = m->free_volume[m->solids[f->solid].body];
    bool fits = gather(&s, near, near_count);
    union_verdict verdict = fits ? look(&s, f->centre, f->ball) : UNION_OPEN;
    item->cells++;
    if (verdict != UNION_OPEN) {
        s.sign = verdict;
        s.area[verdict == UNION_HIDDEN ? 0 : 1] = 1;
    } else if (fits) {
        union_cell whole = {0.5, 0.5, 0.5, 0.5};
        find_slopes(&s);
        s.fine = fmax(sqrt(f->area / CELLS) / 4, s.slope_u * s.slope_v / (CELLS * f->ball));
        s.rough = true; /* often all is decided alike, and the patch's own area serves */
        walk(&s, &whole);
        s.rough = false;
        if ((s.area[0] > 0) + (s.area[1] > 0) + (s.area[2] > 0) > 1) {
            s.area[0] = s.area[1] = s.area[2] = 0;
            walk(&s, &whole);
        }
    } else
        s.area[2] = 1;
    add_result(&s, f->area * whole_volume);
}
