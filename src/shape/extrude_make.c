/* The extrusion of a shape: its outline, and the holes that go through it. */
#include "shape/extrude.h"

#include <math.h>

static const double PI = 3.1415926535897932384626433832795;

tks_status extrude_no_memory(extrude *g)
{
    return tks_fail(g->err, TKS_EMEMORY, g->values->at, "out of memory");
}

tks_status extrude_refused(extrude *g, tks_status status, const tks_error *inner)
{
    return tks_fail(g->err, status, g->values->at, "%s: %s", g->values->shape->name, inner->text);
}

/* ------------------------------------------------------------------ the outer outline */

static tks_status polygon_outline(extrude *g, tks_outline *outline)
{
    enum { MOST_SIDES = 64 };
    double sides = 6, flats = 0;
    tks_error inner;
    tks_corner corners[MOST_SIDES];
    tks_status status = shape_evaluate(g->values, &g->solid->sides, TKS_NUMBER, 6, &sides, g->err);
    if (!status)
        status = shape_evaluate(g->values, &g->solid->flats, TKS_LENGTH, 0, &flats, g->err);
    if (status) return status;
    if (!(sides >= 3 && sides <= MOST_SIDES))
        return tks_fail(g->err, TKS_EDOMAIN, g->values->at, "%s: it needs from 3 to 64 sides",
                        g->values->shape->name);
    size_t n = (size_t)sides;
    double reach = flats / 2 / cos(PI / (double)n); /* of the corners */
    for (size_t i = 0; i < n; i++) {
        double at = 2 * PI * (double)i / (double)n;
        corners[i] = (tks_corner){
            .at = {reach * cos(at), reach * sin(at)}, .label = g->solid->side, .cavity = -1};
    }
    status = tks_outline_corners(g->body->arena, corners, n, false, outline, &inner);
    return status ? extrude_refused(g, status, &inner) : TKS_OK;
}

static tks_status strip_outline(extrude *g, tks_outline *outline)
{
    const shape_values *v = g->values;
    const record *legs = v->records[g->solid->legs], *bends = v->records[g->solid->bends];
    size_t n = v->record_counts[g->solid->legs], bend_count = v->record_counts[g->solid->bends];
    double thickness = 0;
    tks_error inner;
    tks_status status = shape_evaluate(v, &g->solid->strip, TKS_LENGTH, 0, &thickness, g->err);
    if (status) return status;
    if (n == 0 || bend_count + 1 != n)
        return tks_fail(g->err, TKS_EDOMAIN, v->at,
                        "%s: %zu legs need %zu bends between them, and there are %zu",
                        v->shape->name, n, n ? n - 1 : 0, bend_count);
    double *numbers = tks_arena_take(g->body->arena, 3 * n, sizeof *numbers);
    if (!numbers) return extrude_no_memory(g);
    double *angles = numbers + n, *radii = numbers + 2 * n;
    for (size_t i = 0; i < n; i++) numbers[i] = legs[i].values[0];
    for (size_t i = 0; i < bend_count; i++) {
        if (!record_has(&bends[i], BEND_ANGLE))
            return tks_fail(g->err, TKS_EMISSING, bends[i].at,
                            "a bend needs its angle: {angle: 90 deg, inside radius: 2 mm}");
        angles[i] = bends[i].values[BEND_ANGLE];
        radii[i] = bends[i].values[BEND_INSIDE_RADIUS];
    }
    status =
        tks_outline_strip(g->body->arena, thickness, numbers, n, angles, radii, outline, &inner);
    return status ? extrude_refused(g, status, &inner) : TKS_OK;
}

static tks_status circle_outline(extrude *g, tks_outline *outline)
{
    double diameter = 0;
    tks_error inner;
    tks_status status =
        shape_evaluate(g->values, &g->solid->circle, TKS_LENGTH, 0, &diameter, g->err);
    if (status) return status;
    status = tks_outline_circle(g->body->arena, (tks_vec2){0, 0}, diameter / 2, false,
                                g->solid->side, -1, outline, &inner);
    return status ? extrude_refused(g, status, &inner) : TKS_OK;
}

static tks_status outer_outline(extrude *g)
{
    const shape_solid *s = g->solid;
    g->outline_count = 1;
    if (s->legs >= 0) return strip_outline(g, g->outlines);
    if (s->circle.code) return circle_outline(g, g->outlines);
    if (s->flats.code) return polygon_outline(g, g->outlines);
    return shape_corners_make(g->values, s->corners, s->corner_count, g->cavities, false,
                              g->body->arena, g->outlines, g->err);
}

/* ------------------------------------------------------------------ the whole */

static tks_status gather_holes(extrude *g, const extrude_totals *totals, const extrude_grid *holes)
{
    tks_status status = outer_outline(g);
    if (status) return status;
    if (g->solid->legs >= 0) return extrude_add_leg_holes(g);
    status = extrude_add_own_holes(g);
    if (!status) status = extrude_add_flat_holes(g, totals);
    return status ? status : extrude_add_grid(g, holes);
}

tks_status shape_extrude_make(const shape_values *values, const shape_solid *solid,
                              const int cavities[TKS_LABEL_COUNT], const tks_frame *frame,
                              tks_body *body, tks_error *err)
{
    extrude g = {.values = values, .solid = solid, .cavities = cavities, .body = body, .err = err};
    extrude_totals totals = {0};
    extrude_grid holes = {0};
    tks_status status = shape_evaluate(values, &solid->length, TKS_LENGTH, 0, &g.length, err);
    if (!status) status = extrude_total_holes(&g, solid->holes, false, &totals);
    if (!status) status = extrude_total_holes(&g, solid->slots, true, &totals);
    if (!status) status = extrude_read_grid(&g, &holes);
    if (status) return status;
    g.outlines = tks_arena_take(body->arena,
                                2 + solid->bore_count + totals.count + holes.columns * holes.rows,
                                sizeof *g.outlines);
    g.pierces = tks_arena_take(body->arena, totals.count, sizeof *g.pierces);
    if (!g.outlines || !g.pierces) return extrude_no_memory(&g);
    status = gather_holes(&g, &totals, &holes);
    if (status) return status;
    tks_error inner;
    status = tks_body_extrude(body, frame, g.outlines, g.outline_count, g.length, solid->base,
                              solid->top, g.pierces, g.pierce_count, &inner);
    return status ? extrude_refused(&g, status, &inner) : TKS_OK;
}
