/* The extrusion of a shape: its outline, and the holes that go through it. */
#include "shape/model.h"

#include "base/vec.h"

#include <math.h>

enum { MOST_HOLES = 200000 };

static const double PI = 3.1415926535897932384626433832795;

/* What an extrusion is being gathered from. */
typedef struct gathering {
    const shape_values *values;
    const shape_solid *solid;
    const int *cavities;
    tks_body *body;
    tks_error *err;
    double length;
    tks_outline *outlines; /* outer one first */
    size_t outline_count;
    tks_pierce *pierces;
    size_t pierce_count;
} gathering;

static tks_status no_memory(gathering *g)
{
    return tks_fail(g->err, TKS_EMEMORY, g->values->at, "out of memory");
}

static tks_status refused(gathering *g, tks_status status, const tks_error *inner)
{
    return tks_fail(g->err, status, g->values->at, "%s: %s", g->values->shape->name, inner->text);
}

/* ------------------------------------------------------------------ the outer outline */

static tks_status polygon_outline(gathering *g, tks_outline *outline)
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
    return status ? refused(g, status, &inner) : TKS_OK;
}

static tks_status strip_outline(gathering *g, tks_outline *outline)
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
    if (!numbers) return no_memory(g);
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
    return status ? refused(g, status, &inner) : TKS_OK;
}

static tks_status circle_outline(gathering *g, tks_outline *outline)
{
    double diameter = 0;
    tks_error inner;
    tks_status status =
        shape_evaluate(g->values, &g->solid->circle, TKS_LENGTH, 0, &diameter, g->err);
    if (status) return status;
    status = tks_outline_circle(g->body->arena, (tks_vec2){0, 0}, diameter / 2, false,
                                g->solid->side, -1, outline, &inner);
    return status ? refused(g, status, &inner) : TKS_OK;
}

static tks_status outer_outline(gathering *g)
{
    const shape_solid *s = g->solid;
    g->outline_count = 1;
    if (s->legs >= 0) return strip_outline(g, g->outlines);
    if (s->circle.code) return circle_outline(g, g->outlines);
    if (s->flats.code) return polygon_outline(g, g->outlines);
    return shape_corners_make(g->values, s->corners, s->corner_count, g->cavities, false,
                              g->body->arena, g->outlines, g->err);
}

/* ------------------------------------------------------------------ places of holes */

typedef struct rectangle {
    tks_vec2 centre;
    double x, y; /* sides */
} rectangle;

/* The box around an outline's ends of segments and arcs; a circle has its own. */
static rectangle outline_box(const tks_outline *outline)
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
    return (rectangle){{(x0 + x1) / 2, (y0 + y1) / 2}, x1 - x0, y1 - y0};
}

/* Holes without a place are spread in even rows over a rectangle: area does not depend on where
 * they are, but the picture and the field want them apart. */
typedef struct spreading {
    rectangle over;
    size_t columns, rows, next;
} spreading;

static bool spread(rectangle over, size_t count, double x, double y, spreading *s)
{
    for (size_t rows = 1; rows <= count; rows++) {
        size_t columns = (count + rows - 1) / rows;
        if ((double)columns * x >= over.x || (double)rows * y >= over.y) continue;
        *s = (spreading){over, columns, rows, 0};
        return true;
    }
    return false;
}

static tks_vec2 next_spot(spreading *s)
{
    double column = (double)(s->next % s->columns), row = (double)(s->next / s->columns);
    s->next++;
    return (tks_vec2){s->over.centre.x + s->over.x * ((column + 0.5) / (double)s->columns - 0.5),
                      s->over.centre.y + s->over.y * ((row + 0.5) / (double)s->rows - 0.5)};
}

/* How many holes a record stands for. */
static size_t hole_count(const record *r, int count_field)
{
    if (record_has(r, count_field)) return (size_t)r->values[count_field];
    return r->spot_count ? r->spot_count : 1;
}

static tks_status check_spots(gathering *g, const record *r, int count_field)
{
    if (!r->spot_count || hole_count(r, count_field) == r->spot_count) return TKS_OK;
    return tks_fail(g->err, TKS_EDOMAIN, r->at, "count is %g, but `at` gives %zu places",
                    r->values[count_field], r->spot_count);
}

static tks_status too_many(gathering *g, const record *r, size_t count, rectangle over)
{
    return tks_fail(g->err, TKS_EGEOMETRY, r->at,
                    "%zu hole%s of this size do%s not fit in %.4g mm x %.4g mm; check the sizes, "
                    "or give each its place with `at`",
                    count, count == 1 ? "" : "s", count == 1 ? "es" : "", over.x * 1e3,
                    over.y * 1e3);
}

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
static tks_status add_hole_outline(gathering *g, tks_status status, const tks_error *inner,
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

static tks_status add_round(gathering *g, const record *r, double diameter, tks_vec2 at, int cavity)
{
    tks_error inner;
    tks_status status = tks_outline_circle(g->body->arena, at, diameter / 2, true, TKS_HOLE, cavity,
                                           &g->outlines[g->outline_count], &inner);
    return add_hole_outline(g, status, &inner, r, at);
}

/* Corners given for a hole centred on the origin, turned and moved to its place. */
static tks_status add_cornered(gathering *g, const record *r, const tks_vec2 corners[4],
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

static tks_status add_square(gathering *g, const record *r, double side, tks_vec2 at, int cavity)
{
    double h = side / 2;
    const tks_vec2 corners[4] = {{-h, h}, {h, h}, {h, -h}, {-h, -h}};
    const double straight[4] = {0};
    return add_cornered(g, r, corners, straight, 0, at, cavity);
}

static tks_status add_slot(gathering *g, const record *r, tks_vec2 at, int cavity)
{
    double w = r->values[SLOT_WIDTH] / 2, h = (r->values[SLOT_LENGTH] - r->values[SLOT_WIDTH]) / 2;
    double turn = record_has(r, SLOT_TURN) ? r->values[SLOT_TURN] : 0;
    if (h <= 1e-9 * w) return add_round(g, r, r->values[SLOT_WIDTH], at, cavity);
    const tks_vec2 corners[4] = {{-h, w}, {h, w}, {h, -w}, {-h, -w}};
    const double rounded[4] = {0, -PI, 0, -PI};
    return add_cornered(g, r, corners, rounded, turn, at, cavity);
}

/* A hole through the thickness is a bore of that length, open at both ends; a slot is a gap. */
static tks_status hole_cavity(gathering *g, tks_cavity_kind kind, double width, double length,
                              int *cavity)
{
    tks_error inner;
    tks_status status =
        tks_body_cavity(g->body, (tks_cavity){kind, width, length, 2}, cavity, &inner);
    return status ? refused(g, status, &inner) : TKS_OK;
}

static tks_status check_hole(gathering *g, const record *r)
{
    if (record_has(r, HOLE_DIAMETER) + record_has(r, HOLE_SQUARE) != 1)
        return tks_fail(g->err, TKS_EMISSING, r->at,
                        "a hole needs its diameter, as in {diameter: 8.4 mm}, or its side, as in "
                        "{square: 8 mm}");
    return check_spots(g, r, HOLE_COUNT);
}

static tks_status check_slot(gathering *g, const record *r)
{
    if (!record_has(r, SLOT_LENGTH) || !record_has(r, SLOT_WIDTH))
        return tks_fail(g->err, TKS_EMISSING, r->at,
                        "a slot needs its length over all and its width");
    if (r->values[SLOT_LENGTH] < r->values[SLOT_WIDTH])
        return tks_fail(g->err, TKS_EDOMAIN, r->at,
                        "the slot's length over all is below its width");
    return check_spots(g, r, SLOT_COUNT);
}

/* Round and square holes have the same fields but the first, so one size serves: what it is and how
 * large. */
static double hole_size(const record *r)
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

static tks_status add_holes_of(gathering *g, const record *r, bool slot, spreading *s)
{
    int cavity = -1;
    size_t count = hole_count(r, slot ? SLOT_COUNT : HOLE_COUNT);
    double width = slot ? r->values[SLOT_WIDTH] : hole_size(r) / 2;
    tks_status status = hole_cavity(g, slot ? TKS_GAP : TKS_BORE, width, g->length, &cavity);
    for (size_t i = 0; i < count && !status; i++) {
        tks_vec2 at =
            r->spot_count ? (tks_vec2){r->spots[2 * i], r->spots[2 * i + 1]} : next_spot(s);
        status = slot                           ? add_slot(g, r, at, cavity)
                 : record_has(r, HOLE_DIAMETER) ? add_round(g, r, hole_size(r), at, cavity)
                                                : add_square(g, r, hole_size(r), at, cavity);
    }
    return status;
}

typedef struct hole_totals {
    size_t count, without_place;
    double x, y; /* of the largest without a place */
    const record *last;
} hole_totals;

static tks_status total_holes(gathering *g, int list, bool slots, hole_totals *totals)
{
    if (list < 0) return TKS_OK;
    const record *records = g->values->records[list];
    for (size_t i = 0; i < g->values->record_counts[list]; i++) {
        const record *r = &records[i];
        tks_status status = slots ? check_slot(g, r) : check_hole(g, r);
        if (status) return status;
        size_t count = hole_count(r, slots ? SLOT_COUNT : HOLE_COUNT);
        totals->count += count;
        if (totals->count > MOST_HOLES)
            return tks_fail(g->err, TKS_ELIMIT, r->at, "more than %d holes in one piece",
                            MOST_HOLES);
        if (r->spot_count) continue;
        totals->without_place += count;
        tks_vec2 extent = slots ? slot_extent(r) : (tks_vec2){hole_size(r), hole_size(r)};
        totals->x = fmax(totals->x, extent.x);
        totals->y = fmax(totals->y, extent.y);
        totals->last = r;
    }
    return TKS_OK;
}

static tks_status add_flat_holes(gathering *g, const hole_totals *totals)
{
    const shape_solid *s = g->solid;
    spreading spots = {0};
    rectangle box = outline_box(g->outlines);
    if (totals->without_place && !spread(box, totals->without_place, totals->x, totals->y, &spots))
        return too_many(g, totals->last, totals->without_place, box);
    const int lists[2] = {s->holes, s->slots};
    for (int k = 0; k < 2; k++)
        for (size_t i = 0; lists[k] >= 0 && i < g->values->record_counts[lists[k]]; i++) {
            tks_status status = add_holes_of(g, &g->values->records[lists[k]][i], k == 1, &spots);
            if (status) return status;
        }
    return TKS_OK;
}

/* ------------------------------------------------------------------ what the shape itself has */

static tks_status add_inner(gathering *g)
{
    const shape_solid *s = g->solid;
    if (!s->inner_count) return TKS_OK;
    return shape_corners_make(g->values, s->inner, s->inner_count, g->cavities, true,
                              g->body->arena, &g->outlines[g->outline_count++], g->err);
}

static tks_status add_bore(gathering *g, const shape_bore *bore)
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
    if (!status) status = hole_cavity(g, TKS_BORE, diameter / 2, g->length, &cavity);
    return status ? status : add_round(g, &none, diameter, at, cavity);
}

static tks_status add_own_holes(gathering *g)
{
    tks_status status = add_inner(g);
    for (size_t i = 0; i < g->solid->bore_count && !status; i++)
        status = add_bore(g, &g->solid->bores[i]);
    return status;
}

/* ------------------------------------------------------------------ a grid of holes */

typedef struct grid {
    double hole, x, y, shift;
    size_t columns, rows;
} grid;

static tks_status read_grid(gathering *g, grid *out)
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
    if (!(columns >= 0 && rows >= 0 && columns * rows <= MOST_HOLES))
        return tks_fail(g->err, TKS_ELIMIT, g->values->at, "%s: more than %d holes",
                        g->values->shape->name, MOST_HOLES);
    out->columns = (size_t)columns;
    out->rows = (size_t)rows;
    return TKS_OK;
}

static tks_status add_grid(gathering *g, const grid *holes)
{
    int cavity = -1;
    record none = {.at = g->values->at};
    tks_status status = TKS_OK;
    if (holes->columns > 0 && holes->rows > 0)
        status = hole_cavity(g, TKS_BORE, holes->hole / 2, g->length, &cavity);
    for (size_t j = 0; j < holes->rows && !status; j++)
        for (size_t i = 0; i < holes->columns && !status; i++) {
            double aside = holes->rows > 1 ? (j % 2 ? 0.5 : -0.5) * holes->shift : 0;
            tks_vec2 at = {((double)i - 0.5 * (double)(holes->columns - 1)) * holes->x + aside,
                           ((double)j - 0.5 * (double)(holes->rows - 1)) * holes->y};
            status = add_round(g, &none, holes->hole, at, cavity);
        }
    return status;
}

/* ------------------------------------------------------------------ holes through the legs of a
 * strip */

static tks_status leg_of(gathering *g, const record *r, size_t legs, size_t *leg)
{
    if (!record_has(r, HOLE_LEG) && legs > 1)
        return tks_fail(g->err, TKS_EMISSING, r->at,
                        "say which leg the hole is in, from 1 to %zu: {leg: 1, ...}", legs);
    double given = record_has(r, HOLE_LEG) ? r->values[HOLE_LEG] : 1;
    if (given > (double)legs)
        return tks_fail(g->err, TKS_EDOMAIN, r->at, "leg is %g, but there are %zu legs", given,
                        legs);
    if (!record_has(r, HOLE_DIAMETER))
        return tks_fail(g->err, TKS_EMISSING, r->at,
                        "a hole in bent sheet is round; give its diameter");
    *leg = (size_t)given - 1;
    return TKS_OK;
}

static tks_status check_on_leg(gathering *g, const record *r, size_t leg, tks_vec2 at)
{
    double long_side = g->values->records[g->solid->legs][leg].values[0], reach = hole_size(r) / 2;
    if (at.x > reach && at.x < long_side - reach && fabs(at.y) < g->length / 2 - reach)
        return TKS_OK;
    return tks_fail(g->err, TKS_EGEOMETRY, r->at,
                    "%s: a hole at (%.4g, %.4g) mm does not lie on the flat of leg %zu",
                    g->values->shape->name, at.x * 1e3, at.y * 1e3, leg + 1);
}

/* Places in a leg: along it from its beginning, and across from the middle of the sheet. */
static tks_status pierce_leg(gathering *g, size_t leg, size_t legs, spreading *s)
{
    const record *records = g->values->records[g->solid->holes];
    double thickness = 0;
    tks_status status =
        shape_evaluate(g->values, &g->solid->strip, TKS_LENGTH, 0, &thickness, g->err);
    for (size_t i = 0; i < g->values->record_counts[g->solid->holes] && !status; i++) {
        const record *r = &records[i];
        size_t in_leg = 0;
        int cavity = -1;
        status = leg_of(g, r, legs, &in_leg);
        if (status || in_leg != leg) continue;
        status = hole_cavity(g, TKS_BORE, hole_size(r) / 2, thickness, &cavity);
        for (size_t k = 0; k < hole_count(r, HOLE_COUNT) && !status; k++) {
            tks_vec2 at =
                r->spot_count ? (tks_vec2){r->spots[2 * k], r->spots[2 * k + 1]} : next_spot(s);
            status = check_on_leg(g, r, leg, at);
            g->pierces[g->pierce_count++] = (tks_pierce){2 * leg,
                                                         4 * legs - 2 - 2 * leg,
                                                         at.x,
                                                         g->length / 2 + at.y,
                                                         hole_size(r) / 2,
                                                         TKS_HOLE,
                                                         cavity};
        }
    }
    return status;
}

/* Total of the holes without a place in one leg. */
static tks_status total_leg(gathering *g, size_t leg, size_t legs, hole_totals *totals)
{
    const record *records = g->values->records[g->solid->holes];
    for (size_t i = 0; i < g->values->record_counts[g->solid->holes]; i++) {
        size_t in_leg = 0;
        tks_status status = leg_of(g, &records[i], legs, &in_leg);
        if (status) return status;
        if (in_leg != leg || records[i].spot_count) continue;
        totals->without_place += hole_count(&records[i], HOLE_COUNT);
        totals->x = fmax(totals->x, hole_size(&records[i]));
        totals->last = &records[i];
    }
    return TKS_OK;
}

static tks_status add_leg_holes(gathering *g)
{
    const record *legs = g->values->records[g->solid->legs];
    size_t leg_count = g->values->record_counts[g->solid->legs];
    tks_status status = TKS_OK;
    for (size_t leg = 0; leg < leg_count && !status; leg++) {
        hole_totals totals = {0};
        spreading spots = {0};
        double length = legs[leg].values[0];
        rectangle flat = {{length / 2, 0}, length, g->length};
        status = total_leg(g, leg, leg_count, &totals);
        if (!status && totals.without_place &&
            !spread(flat, totals.without_place, totals.x, totals.x, &spots))
            return too_many(g, totals.last, totals.without_place, flat);
        if (!status) status = pierce_leg(g, leg, leg_count, &spots);
    }
    return status;
}

/* ------------------------------------------------------------------ the whole */

static tks_status gather_holes(gathering *g, const hole_totals *totals, const grid *holes)
{
    tks_status status = outer_outline(g);
    if (status) return status;
    if (g->solid->legs >= 0) return add_leg_holes(g);
    status = add_own_holes(g);
    if (!status) status = add_flat_holes(g, totals);
    return status ? status : add_grid(g, holes);
}

tks_status shape_extrude_make(const shape_values *values, const shape_solid *solid,
                              const int cavities[TKS_LABEL_COUNT], const tks_frame *frame,
                              tks_body *body, tks_error *err)
{
    gathering g = {
        .values = values, .solid = solid, .cavities = cavities, .body = body, .err = err};
    hole_totals totals = {0};
    grid holes = {0};
    tks_status status = shape_evaluate(values, &solid->length, TKS_LENGTH, 0, &g.length, err);
    if (!status) status = total_holes(&g, solid->holes, false, &totals);
    if (!status) status = total_holes(&g, solid->slots, true, &totals);
    if (!status) status = read_grid(&g, &holes);
    if (status) return status;
    g.outlines = tks_arena_take(body->arena,
                                2 + solid->bore_count + totals.count + holes.columns * holes.rows,
                                sizeof *g.outlines);
    g.pierces = tks_arena_take(body->arena, totals.count, sizeof *g.pierces);
    if (!g.outlines || !g.pierces) return no_memory(&g);
    status = gather_holes(&g, &totals, &holes);
    if (status) return status;
    tks_error inner;
    status = tks_body_extrude(body, frame, g.outlines, g.outline_count, g.length, solid->base,
                              solid->top, g.pierces, g.pierce_count, &inner);
    return status ? refused(&g, status, &inner) : TKS_OK;
}
