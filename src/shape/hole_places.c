/* Where the holes of an extrusion go. */
#include "shape/extrude.h"

#include "base/vec.h"

#include <math.h>

static const double PI = 3.1415926535897932384626433832795;

/* The box around an outline's ends of segments and arcs; a circle has its own. */
extrude_rectangle extrude_box(const tks_outline *outline)
{
    double x0 = INFINITY, x1 = -INFINITY, y0 = INFINITY, y1 = -INFINITY;
    for (size_t i = 0; i < outline->count; i++) {
        const tks_segment *s = &outline->segments[i];
        bool circle = fabs(s->turn) > PI;
        double r = circle ? vec2_distance(s->from, s->centre) : 0;
        tks_vec2 p = circle ? s->centre : s->from;
        x0 = fmin(x0, p.x - r);
        x1 = fmax(x1, p.x + r);
        y0 = fmin(y0, p.y - r);
        y1 = fmax(y1, p.y + r);
    }
    return (extrude_rectangle){{(x0 + x1) / 2, (y0 + y1) / 2}, x1 - x0, y1 - y0};
}

bool extrude_spread(extrude_rectangle over, size_t count, double x, double y, extrude_spreading *s)
{
    for (size_t rows = 1; rows <= count; rows++) {
        size_t columns = (count + rows - 1) / rows;
        if ((double)columns * x >= over.x || (double)rows * y >= over.y) continue;
        *s = (extrude_spreading){over, columns, rows, 0};
        return true;
    }
    return false;
}

tks_vec2 extrude_next_spot(extrude_spreading *s)
{
    double column = (double)(s->next % s->columns), row = (double)(s->next / s->columns);
    s->next++;
    return (tks_vec2){s->over.centre.x + s->over.x * ((column + 0.5) / (double)s->columns - 0.5),
                      s->over.centre.y + s->over.y * ((row + 0.5) / (double)s->rows - 0.5)};
}

/* How many holes a record stands for. */
size_t extrude_hole_count(const record *r, int count_field)
{
    if (record_has(r, count_field)) return (size_t)r->values[count_field];
    return r->spot_count ? r->spot_count : 1;
}

tks_status extrude_check_spots(extrude *g, const record *r, int count_field)
{
    if (!r->spot_count || extrude_hole_count(r, count_field) == r->spot_count) return TKS_OK;
    return tks_fail(g->err, TKS_EDOMAIN, r->at, "count is %g, but `at` gives %zu places",
                    r->values[count_field], r->spot_count);
}

tks_status extrude_too_many(extrude *g, const record *r, size_t count, extrude_rectangle over)
{
    return tks_fail(g->err, TKS_EGEOMETRY, r->at,
                    "%zu hole%s of this size do%s not fit in %.4g mm x %.4g mm; check the sizes, "
                    "or give each its place with `at`",
                    count, count == 1 ? "" : "s", count == 1 ? "es" : "", over.x * 1e3,
                    over.y * 1e3);
}
