/* Holes through the legs of a bent strip. */
#include "shape/extrude.h"

#include "base/vec.h"

#include <math.h>

static tks_status leg_of(extrude *g, const record *r, size_t legs, size_t *leg)
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

static tks_status check_on_leg(extrude *g, const record *r, size_t leg, tks_vec2 at)
{
    double long_side = g->values->records[g->solid->legs][leg].values[0],
           reach = extrude_hole_size(r) / 2;
    if (at.x > reach && at.x < long_side - reach && fabs(at.y) < g->length / 2 - reach)
        return TKS_OK;
    return tks_fail(g->err, TKS_EGEOMETRY, r->at,
                    "%s: a hole at (%.4g, %.4g) mm does not lie on the flat of leg %zu",
                    g->values->shape->name, at.x * 1e3, at.y * 1e3, leg + 1);
}

/* Places in a leg: along it from its beginning, and across from the middle of the sheet. */
static tks_status pierce_leg(extrude *g, size_t leg, size_t legs, extrude_spreading *s)
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
        status = extrude_hole_cavity(g, TKS_BORE, extrude_hole_size(r) / 2, thickness, &cavity);
        for (size_t k = 0; k < extrude_hole_count(r, HOLE_COUNT) && !status; k++) {
            tks_vec2 at = r->spot_count ? (tks_vec2){r->spots[2 * k], r->spots[2 * k + 1]}
                                        : extrude_next_spot(s);
            status = check_on_leg(g, r, leg, at);
            g->pierces[g->pierce_count++] = (tks_pierce){2 * leg,
                                                         4 * legs - 2 - 2 * leg,
                                                         at.x,
                                                         g->length / 2 + at.y,
                                                         extrude_hole_size(r) / 2,
                                                         TKS_HOLE,
                                                         cavity};
        }
    }
    return status;
}

/* Total of the holes without a place in one leg. */
static tks_status total_leg(extrude *g, size_t leg, size_t legs, extrude_totals *totals)
{
    const record *records = g->values->records[g->solid->holes];
    for (size_t i = 0; i < g->values->record_counts[g->solid->holes]; i++) {
        size_t in_leg = 0;
        tks_status status = leg_of(g, &records[i], legs, &in_leg);
        if (status) return status;
        if (in_leg != leg || records[i].spot_count) continue;
        totals->without_place += extrude_hole_count(&records[i], HOLE_COUNT);
        totals->x = fmax(totals->x, extrude_hole_size(&records[i]));
        totals->last = &records[i];
    }
    return TKS_OK;
}

tks_status extrude_add_leg_holes(extrude *g)
{
    const record *legs = g->values->records[g->solid->legs];
    size_t leg_count = g->values->record_counts[g->solid->legs];
    tks_status status = TKS_OK;
    for (size_t leg = 0; leg < leg_count && !status; leg++) {
        extrude_totals totals = {0};
        extrude_spreading spots = {0};
        double length = legs[leg].values[0];
        extrude_rectangle flat = {{length / 2, 0}, length, g->length};
        status = total_leg(g, leg, leg_count, &totals);
        if (!status && totals.without_place &&
            !extrude_spread(flat, totals.without_place, totals.x, totals.x, &spots))
            return extrude_too_many(g, totals.last, totals.without_place, flat);
        if (!status) status = pierce_leg(g, leg, leg_count, &spots);
    }
    return status;
}
