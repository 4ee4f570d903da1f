/* Holes in the plane of an extrusion's outline: the user's, the shape's own, and grids. */
#include "shape/extrude.h"

#include "base/vec.h"

#include <math.h>

static const double PI = 3.1415926535897932384626433832795;

/* ------------------------------------------------------------------ holes in the outline's plane
 */

/* Whether a hole's corners, or its circle, lie inside the outer outline. Geometry looks closer, but
 * does not know where the hole is written. */
static bool lies_inside(const tks_outline *outer, const tks_outline *hole)
{
    for (size_t i = 0; i < hole->count; i++) {
        const tks_segment *s = &hole->segments[i];
        bool circle = hole->count == 1;
        double reach = circle ? vec2_distance(s->from, s->centre) : 0;
        if (!(tks_outline_distance(outer, circle ? s->centre : s->from) < -reach)) return false;
    }
    return true;
}

/* Counts the outline that was made for a hole. */
static tks_status add_hole_outline(extrude *g, tks_status status, const tks_error *inner,
                                   const record *r, tks_vec2 at)
{
    if (status) return tks_fail(g->err, status, r->at, "%s", inner->text);
    if (!lies_inside(g->outlines, &g->outlines[g->outline_count]))
        return tks_fail(g->err, TKS_EGEOMETRY, r->at,
                        "%s: a hole at (%.4g, %.4g) mm does not lie inside the outline",
                        g->values->shape->name, at.x * 1e3, at.y * 1e3);
    g->outline_count++;
    return TKS_OK;
}

static tks_status add_round(extrude *g, const record *r, double diameter, tks_vec2 at, int cavity)
{
    tks_error inner;
    tks_status status = tks_outline_circle(g->body->arena, at, diameter / 2, true, TKS_HOLE, cavity,
                                           &g->outlines[g->outline_count], &inner);
    return add_hole_outline(g, status, &inner, r, at);
}

/* Corners given for a hole centred on the origin, turned and moved to its place. */
static tks_status add_cornered(extrude *g, const record *r, const tks_vec2 corners[4],
                               const double bulges[4], double turn, tks_vec2 at, int cavity)
{
    tks_corner c[4];
    double cosine = cos(turn), sine = sin(turn);
    for (int i = 0; i < 4; i++)
        c[i] = (tks_corner){.at = {at.x + cosine * corners[i].x - sine * corners[i].y,
                                   at.y + sine * corners[i].x + cosine * corners[i].y},
                            .bulge = bulges[i],
                            .label = TKS_HOLE,
                            .cavity = cavity};
    tks_error inner;
    tks_status status =
        tks_outline_corners(g->body->arena, c, 4, true, &g->outlines[g->outline_count], &inner);
    return add_hole_outline(g, status, &inner, r, at);
}

static tks_status add_square(extrude *g, const record *r, double side, tks_vec2 at, int cavity)
{
    double h = side / 2;
    const tks_vec2 corners[4] = {{-h, h}, {h, h}, {h, -h}, {-h, -h}};
    const double straight[4] = {0};
    return add_cornered(g, r, corners, straight, 0, at, cavity);
}

static tks_status add_slot(extrude *g, const record *r, tks_vec2 at, int cavity)
{
    double w = r->values[SLOT_WIDTH] / 2, h = (r->values[SLOT_LENGTH] - r->values[SLOT_WIDTH]) / 2;
    double turn = record_has(r, SLOT_TURN) ? r->values[SLOT_TURN] : 0;
    if (h <= 1e-9 * w) return add_round(g, r, r->values[SLOT_WIDTH], at, cavity);
    const tks_vec2 corners[4] = {{-h, w}, {h, w}, {h, -w}, {-h, -w}};
    const double rounded[4] = {0, -PI, 0, -PI};
    return add_cornered(g, r, corners, rounded, turn, at, cavity);
}

/* A hole through the thickness is a bore of that length, open at both ends; a slot is a gap. */
tks_status extrude_hole_cavity(extrude *g, tks_cavity_kind kind, double width, double length,
                               int *cavity)
{
    tks_error inner;
    tks_status status =
        tks_body_cavity(g->body, (tks_cavity){kind, width, length, 2}, cavity, &inner);
    return status ? extrude_refused(g, status, &inner) : TKS_OK;
}

static tks_status check_hole(extrude *g, const record *r)
{
    if (record_has(r, HOLE_DIAMETER) + record_has(r, HOLE_SQUARE) != 1)
        return tks_fail(g->err, TKS_EMISSING, r->at,
                        "a hole needs its diameter, as in {diameter: 8.4 mm}, or its side, as in "
                        "{square: 8 mm}");
    return extrude_check_spots(g, r, HOLE_COUNT);
}

static tks_status check_slot(extrude *g, const record *r)
{
    if (!record_has(r, SLOT_LENGTH) || !record_has(r, SLOT_WIDTH))
        return tks_fail(g->err, TKS_EMISSING, r->at,
                        "a slot needs its length over all and its width");
    if (r->values[SLOT_LENGTH] < r->values[SLOT_WIDTH])
        return tks_fail(g->err, TKS_EDOMAIN, r->at,
                        "the slot's length over all is below its width");
    return extrude_check_spots(g, r, SLOT_COUNT);
}

/* Round and square holes have the same fields but the first, so one size serves: what it is and how
 * large. */
double extrude_hole_size(const record *r)
{
    return record_has(r, HOLE_DIAMETER) ? r->values[HOLE_DIAMETER] : r->values[HOLE_SQUARE];
}

/* Sides of the box around a slot as it is turned. */
static tks_vec2 slot_extent(const record *r)
{
    double width = r->values[SLOT_WIDTH], straight = r->values[SLOT_LENGTH] - width;
    double turn = record_has(r, SLOT_TURN) ? r->values[SLOT_TURN] : 0;
    return (tks_vec2){width + straight * fabs(cos(turn)), width + straight * fabs(sin(turn))};
}

static tks_status add_holes_of(extrude *g, const record *r, bool slot, extrude_spreading *s)
{
    int cavity = -1;
    size_t count = extrude_hole_count(r, slot ? SLOT_COUNT : HOLE_COUNT);
    double width = slot ? r->values[SLOT_WIDTH] : extrude_hole_size(r) / 2;
    tks_status status =
        extrude_hole_cavity(g, slot ? TKS_GAP : TKS_BORE, width, g->length, &cavity);
    for (size_t i = 0; i < count && !status; i++) {
        tks_vec2 at =
            r->spot_count ? (tks_vec2){r->spots[2 * i], r->spots[2 * i + 1]} : extrude_next_spot(s);
        status = slot ? add_slot(g, r, at, cavity)
                 : record_has(r, HOLE_DIAMETER)
                     ? add_round(g, r, extrude_hole_size(r), at, cavity)
                     : add_square(g, r, extrude_hole_size(r), at, cavity);
    }
    return status;
}

tks_status extrude_total_holes(extrude *g, int list, bool slots, extrude_totals *totals)
{
    if (list < 0) return TKS_OK;
    const record *records = g->values->records[list];
    for (size_t i = 0; i < g->values->record_counts[list]; i++) {
        const record *r = &records[i];
        tks_status status = slots ? check_slot(g, r) : check_hole(g, r);
        if (status) return status;
        size_t count = extrude_hole_count(r, slots ? SLOT_COUNT : HOLE_COUNT);
        totals->count += count;
        if (totals->count > EXTRUDE_MOST_HOLES)
            return tks_fail(g->err, TKS_ELIMIT, r->at, "more than %d holes in one piece",
                            EXTRUDE_MOST_HOLES);
        if (r->spot_count) continue;
        totals->without_place += count;
        tks_vec2 extent =
            slots ? slot_extent(r) : (tks_vec2){extrude_hole_size(r), extrude_hole_size(r)};
        totals->x = fmax(totals->x, extent.x);
        totals->y = fmax(totals->y, extent.y);
        totals->last = r;
    }
    return TKS_OK;
}

tks_status extrude_add_flat_holes(extrude *g, const extrude_totals *totals)
{
    const shape_solid *s = g->solid;
    extrude_spreading spots = {0};
    extrude_rectangle box = extrude_box(g->outlines);
    if (totals->without_place &&
        !extrude_spread(box, totals->without_place, totals->x, totals->y, &spots))
        return extrude_too_many(g, totals->last, totals->without_place, box);
    const int lists[2] = {s->holes, s->slots};
    for (int k = 0; k < 2; k++)
        for (size_t i = 0; lists[k] >= 0 && i < g->values->record_counts[lists[k]]; i++) {
            tks_status status = add_holes_of(g, &g->values->records[lists[k]][i], k == 1, &spots);
            if (status) return status;
        }
    return TKS_OK;
}

/* ------------------------------------------------------------------ what the shape itself has */

static tks_status add_inner(extrude *g)
{
    const shape_solid *s = g->solid;
    if (!s->inner_count) return TKS_OK;
    return shape_corners_make(g->values, s->inner, s->inner_count, g->cavities, true,
                              g->body->arena, &g->outlines[g->outline_count++], g->err);
}

static tks_status add_bore(extrude *g, const shape_bore *bore)
{
    record none = {.at = g->values->at};
    double diameter = 0;
    tks_vec2 at;
    bool wanted = true;
    int cavity = -1;
    tks_status status = shape_holds(g->values, &bore->when, &wanted, g->err);
    if (status || !wanted) return status;
    status = shape_evaluate(g->values, &bore->diameter, TKS_LENGTH, 0, &diameter, g->err);
    if (!status) status = shape_evaluate(g->values, &bore->x, TKS_LENGTH, 0, &at.x, g->err);
    if (!status) status = shape_evaluate(g->values, &bore->y, TKS_LENGTH, 0, &at.y, g->err);
    if (!status) status = extrude_hole_cavity(g, TKS_BORE, diameter / 2, g->length, &cavity);
    return status ? status : add_round(g, &none, diameter, at, cavity);
}

tks_status extrude_add_own_holes(extrude *g)
{
    tks_status status = add_inner(g);
    for (size_t i = 0; i < g->solid->bore_count && !status; i++)
        status = add_bore(g, &g->solid->bores[i]);
    return status;
}

/* ------------------------------------------------------------------ a grid of holes */

tks_status extrude_read_grid(extrude *g, extrude_grid *out)
{
    const shape_solid *s = g->solid;
    double columns = 0, rows = 0;
    tks_status status = shape_evaluate(g->values, &s->grid_hole, TKS_LENGTH, 0, &out->hole, g->err);
    if (!status)
        status = shape_evaluate(g->values, &s->grid_columns, TKS_NUMBER, 0, &columns, g->err);
    if (!status) status = shape_evaluate(g->values, &s->grid_rows, TKS_NUMBER, 0, &rows, g->err);
    if (!status) status = shape_evaluate(g->values, &s->grid_x, TKS_LENGTH, 0, &out->x, g->err);
    if (!status) status = shape_evaluate(g->values, &s->grid_y, TKS_LENGTH, 0, &out->y, g->err);
    if (!status)
        status = shape_evaluate(g->values, &s->grid_shift, TKS_LENGTH, 0, &out->shift, g->err);
    if (status) return status;
    if (!(columns >= 0 && rows >= 0 && columns * rows <= EXTRUDE_MOST_HOLES))
        return tks_fail(g->err, TKS_ELIMIT, g->values->at, "%s: more than %d holes",
                        g->values->shape->name, EXTRUDE_MOST_HOLES);
    out->columns = (size_t)columns;
    out->rows = (size_t)rows;
    return TKS_OK;
}

tks_status extrude_add_grid(extrude *g, const extrude_grid *holes)
{
    int cavity = -1;
    record none = {.at = g->values->at};
    tks_status status = TKS_OK;
    if (holes->columns > 0 && holes->rows > 0)
        status = extrude_hole_cavity(g, TKS_BORE, holes->hole / 2, g->length, &cavity);
    for (size_t j = 0; j < holes->rows && !status; j++)
        for (size_t i = 0; i < holes->columns && !status; i++) {
            double aside = holes->rows > 1 ? (j % 2 ? 0.5 : -0.5) * holes->shift : 0;
            tks_vec2 at = {((double)i - 0.5 * (double)(holes->columns - 1)) * holes->x + aside,
                           ((double)j - 0.5 * (double)(holes->rows - 1)) * holes->y};
            status = add_round(g, &none, holes->hole, at, cavity);
        }
    return status;
}
