#include "field/advice.h"
#include "field/bodies.h"

#include "base/vec.h"

#include <string.h>

/* Exchange density against the bath's usual one. Nothing is known of it but that Tafel's law holds
 * at usual densities; judgement, no source. */
static const double exchange_share = 0.02;

/* ------------------------------------------------------------------ what to solve */

/* Tafel's law with the slope that the bath's row gives at its usual density; or that slope, at the
 * planned density, as a line. */
static tks_polarisation part_law(const tks_bath *bath, double density, bool linear)
{
    if (linear)
        return (tks_polarisation){.kind = TKS_POLARISATION_LINEAR,
                                  .slope = tks_bath_slope(bath, density).usual};
    double usual = bath->current_density.usual, tafel = bath->polarisation.usual * usual;
    return (tks_polarisation){.kind = TKS_POLARISATION_KINETIC,
                              .exchange = exchange_share * usual,
                              .forward = tafel,
                              .backward = tafel};
}

/* Anodes of the same metal: the slope at their own mean density. */
static tks_polarisation anode_law(const tks_tank *tank, double current)
{
    double area = tank->anode_area > 0 ? tank->anode_area : 0.05;
    return (tks_polarisation){.kind = TKS_POLARISATION_LINEAR,
                              .slope = tks_bath_slope(&tank->bath, current / area).usual};
}

static double longest_time(const tks_plan *plan)
{
    double time = 0;
    for (size_t i = 0; i < plan->run_count; i++) time = fmax(time, plan->runs[i].setting.time);
    return time;
}

/* Current of the parts alone: hangers are plated too, as open faces. */
static double planned_current(const tks_plan *plan)
{
    double hangers = 0;
    for (size_t i = 0; i < plan->run_count; i++) hangers += plan->runs[i].hanger_area;
    return plan->density * (plan->effective - hangers);
}

/* ------------------------------------------------------------------ results */

static double thickness_of(const tks_deposit *d, double density)
{
    const tks_bath *bath = &d->tank->bath;
    return tks_faraday_thickness(bath->metal, bath->efficiency.usual, density * d->time);
}

double tks_deposit_thickness(const tks_deposit *deposit, const tks_field_element *element)
{
    bool part = element->body < deposit->load->part_count;
    return part ? thickness_of(deposit, element->density) : 0;
}

static tks_estimate as_thickness(const tks_deposit *d, tks_estimate density)
{
    return (tks_estimate){thickness_of(d, density.value), thickness_of(d, density.error)};
}

uint32_t field_deposit_groups(int label)
{
    if (label == TKS_DEPOSIT_ALL) return TKS_FIELD_EVERY;
    if (label == TKS_DEPOSIT_SIGNIFICANT)
        return 1u << TKS_OUTSIDE | 1u << TKS_END | 1u << TKS_THREAD;
    return 1u << label;
}

/* Part of the area of a row over the bath's highest density. */
static double burning_share(const tks_deposit *d, const tks_deposit_row *row)
{
    double over = 0, area = 0;
    for (size_t i = 0; i < tks_field_element_count(d->field); i++) {
        tks_field_element e = tks_field_element_at(d->field, i);
        bool counted =
            row->body == TKS_FIELD_ALL ? e.body < d->load->part_count : e.body == (size_t)row->body;
        if (!counted || !(field_deposit_groups(row->label) >> e.group & 1)) continue;
        area += e.area;
        if (e.density > d->tank->bath.current_density.high) over += e.area;
    }
    return area > 0 ? over / area : 0;
}

static tks_status fill_row(const tks_deposit *d, tks_deposit_row *row, tks_error *err)
{
    tks_field_spread s;
    tks_status status =
        tks_field_spread_of(d->field, row->body, field_deposit_groups(row->label), &s, err);
    if (status) return status;
    row->area = s.area;
    row->mean = as_thickness(d, s.mean);
    row->minimum = as_thickness(d, s.minimum);
    row->maximum = as_thickness(d, s.maximum);
    row->low5 = as_thickness(d, s.low5);
    row->high95 = as_thickness(d, s.high95);
    row->thinnest = s.lowest;
    row->thickest = s.highest;
    row->burning = burning_share(d, row);
    return TKS_OK;
}

/* Labels that a body's plated elements have, as bits. */
static uint32_t labels_of(const tks_deposit *d, size_t body)
{
    uint32_t labels = 0;
    for (size_t i = 0; i < tks_field_element_count(d->field); i++) {
        tks_field_element e = tks_field_element_at(d->field, i);
        if (e.body == body && e.density > 0) labels |= 1u << e.group;
    }
    return labels;
}

/* The whole part; then what is significant of it, where that is not all or nothing; then each kind
 * of surface, where it has several. */
static bool has_row(uint32_t labels, int label)
{
    uint32_t significant = labels & field_deposit_groups(TKS_DEPOSIT_SIGNIFICANT);
    if (label == TKS_DEPOSIT_ALL) return true;
    if (label == TKS_DEPOSIT_SIGNIFICANT) return significant && significant != labels;
    return (labels & (labels - 1)) && labels >> label & 1;
}

static tks_status fill_part(tks_deposit *d, const tks_part *part, const char *name, int body,
                            tks_error *err)
{
    static const int first[] = {TKS_DEPOSIT_ALL, TKS_DEPOSIT_SIGNIFICANT};
    uint32_t labels = labels_of(d, (size_t)body);
    for (int i = 0; i < 2 + TKS_LABEL_COUNT; i++) {
        int label = i < 2 ? first[i] : i - 2;
        if (!has_row(labels, label)) continue;
        tks_deposit_row *row = &d->rows[d->row_count];
        *row = (tks_deposit_row){.name = name, .part = part, .body = body, .label = label};
        tks_status status = fill_row(d, row, err);
        if (status) return status;
        d->row_count++;
    }
    return TKS_OK;
}

/* A load may be all insides; then all of it is significant. */
static tks_status fill_rows(tks_arena *arena, tks_deposit *d, const tks_field_scene *scene,
                            tks_error *err)
{
    int body = 0;
    d->rows = tks_arena_take(arena, d->load->part_count * (TKS_LABEL_COUNT + 2), sizeof *d->rows);
    if (!d->rows) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    d->all =
        (tks_deposit_row){.name = "all parts", .body = TKS_FIELD_ALL, .label = TKS_DEPOSIT_ALL};
    d->significant = d->all;
    d->significant.label = TKS_DEPOSIT_SIGNIFICANT;
    tks_status status = fill_row(d, &d->all, err);
    if (!status && fill_row(d, &d->significant, NULL) == TKS_EMISSING) d->significant = d->all;
    for (const tks_part *p = d->load->first; p && !status; p = p->next, body++)
        status = fill_part(d, p, scene->bodies[body].name, body, err);
    return status;
}

/* Time until the field gives what is asked. */
static double time_asked(const tks_deposit *d)
{
    double got = d->plan.aim == TKS_AIM_MINIMUM ? d->significant.minimum.value : d->all.mean.value;
    return got > 0 ? d->time * d->plan.thickness / got : INFINITY;
}

static void stretch_row(tks_deposit_row *row, double times)
{
    tks_estimate *const all[] = {&row->mean, &row->minimum, &row->maximum, &row->low5,
                                 &row->high95};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        all[i]->value *= times;
        all[i]->error *= times;
    }
}

/* The same current for so many times as long. */
static void stretch(tks_deposit *d, double times)
{
    d->time *= times;
    stretch_row(&d->all, times);
    stretch_row(&d->significant, times);
    for (size_t i = 0; i < d->row_count; i++) stretch_row(&d->rows[i], times);
}

/* ------------------------------------------------------------------ cautions */

static tks_status warn_of_burning(const tks_deposit *d, const tks_deposit_row *row,
                                  tks_cautions *cautions)
{
    return tks_caution_add(
        cautions, TKS_SPOIL, "burning", row->name,
        "%.1f %% of it gets more than the bath's %.3g A/dm2 and may burn, first at (%.0f, %.0f, "
        "%.0f) mm: less current, or farther from the anode",
        100 * row->burning, d->tank->bath.current_density.high / 100, row->thickest.x * 1e3,
        row->thickest.y * 1e3, row->thickest.z * 1e3);
}

static tks_status warn_of_thinness(const tks_deposit *d, const tks_deposit_row *row,
                                   tks_cautions *cautions)
{
    return tks_caution_add(
        cautions, TKS_DOUBT, "thin", row->name,
        "the thinnest spot, at (%.0f, %.0f, %.0f) mm, gets %.2g um of the %.2g um asked",
        row->thinnest.x * 1e3, row->thinnest.y * 1e3, row->thinnest.z * 1e3,
        row->minimum.value * 1e6, d->plan.thickness * 1e6);
}

/* A mesh of very many facets is thinned for the field. */
static tks_status warn_of_thinning(const tks_deposit_row *row, tks_cautions *cautions)
{
    const tks_part *part = row->part;
    bool mesh = part && part->piece_count == 1 && part->pieces[0].mesh;
    double error = mesh && part->area > 0 ? row->area / part->area - 1 : 0;
    if (fabs(error) < 0.01) return TKS_OK;
    return tks_caution_add(cautions, TKS_NOTE, "mesh-thinned", row->name,
                           "the field takes the mesh thinned, with an area %.1f %% %s than the "
                           "plan's",
                           100 * fabs(error), error < 0 ? "smaller" : "larger");
}

/* The whole part may burn; thin is what is significant of it, whose row stands behind the part's
 * when it is not all of it. */
static tks_status warn_of_row(const tks_deposit *d, size_t i, tks_cautions *cautions)
{
    const tks_deposit_row *row = &d->rows[i], *behind = row + 1;
    if (row->label != TKS_DEPOSIT_ALL) return TKS_OK;
    tks_status status = row->burning > 0.005 ? warn_of_burning(d, row, cautions) : TKS_OK;
    if (!status) status = warn_of_thinning(row, cautions);
    if (i + 1 < d->row_count && behind->label == TKS_DEPOSIT_SIGNIFICANT) row = behind;
    bool thin = row->minimum.value < 0.99 * d->plan.thickness;
    if (!status && thin && d->plan.aim == TKS_AIM_MINIMUM)
        status = warn_of_thinness(d, row, cautions);
    return status;
}

/* Threads have about 1.7 times the area of the cylinder of their effective diameter (ISO 4042:1999
 * annex G). */
static tks_status warn_of_threads(const tks_deposit *d, tks_cautions *cautions)
{
    bool threads = false;
    for (const tks_part *p = d->load->first; p; p = p->next) threads |= p->item.thread_count > 0;
    if (!threads) return TKS_OK;
    return tks_caution_add(
        cautions, TKS_DOUBT, "thread-smooth", "",
        "the field takes threads as plain cylinders; their flanks have about "
        "1.7 times that area, so a thread gets about 0.6 of what the field says, "
        "more at the crests and less at the roots");
}

static tks_status warn(const tks_deposit *d, tks_cautions *cautions, tks_error *err)
{
    tks_status status = tks_caution_add(
        cautions, TKS_NOTE, "field-figures", "",
        "the field is computed to about a per cent; conductivity, polarisation and efficiency of "
        "a bath are known to 10 or 20 %% (judgement), and so is the result");
    if (!status && d->summary.wagner < 0.05)
        status = tks_caution_add(
            cautions, TKS_DOUBT, "edges", "",
            "polarisation hardly evens the current here (Wagner number %.2g): at sharp edges and "
            "corners the greatest thickness is not to be relied on",
            d->summary.wagner);
    if (!status && d->plan.run_count > 1)
        status = tks_caution_add(
            cautions, TKS_DOUBT, "one-run", "",
            "all parts are reckoned in the tank together, as they are placed; the plan would "
            "take %zu runs",
            d->plan.run_count);
    if (!status) status = warn_of_threads(d, cautions);
    for (size_t i = 0; i < d->row_count && !status; i++) status = warn_of_row(d, i, cautions);
    return status ? tks_fail(err, status, tks_nowhere(), "out of memory") : TKS_OK;
}

/* ------------------------------------------------------------------ the whole */

static tks_status solve(tks_arena *arena, tks_deposit *d, const tks_deposit_options *options,
                        tks_field_scene *scene, tks_error *err)
{
    size_t elements = options->field.elements ? options->field.elements : 8000;
    tks_status status = field_bodies_make(arena, d->load, d->tank, elements, scene, err);
    if (!status) status = tks_field_new(scene, &options->field, &d->field, err);
    if (status) return status;
    tks_field_bath bath = {.conductivity = d->tank->bath.conductivity.usual,
                           .part = d->law,
                           .anode = anode_law(d->tank, d->current)};
    status = tks_field_solve(d->field, &bath, &(tks_field_drive){.current = d->current}, err);
    if (status) return status;
    d->summary = tks_field_summarise(d->field);
    status = fill_rows(arena, d, scene, err);
    if (status) return status;
    d->time_asked = time_asked(d);
    if (options->as_asked && isfinite(d->time_asked)) stretch(d, d->time_asked / d->time);
    return options->advise ? field_advise(arena, d, scene, &bath, &options->field, err) : TKS_OK;
}

tks_status tks_deposit_make(tks_arena *arena, const tks_load *load, const tks_tank *tank,
                            const tks_deposit_options *options, tks_cautions *cautions,
                            tks_deposit *deposit, tks_error *err)
{
    tks_deposit d = {.load = load, .tank = tank};
    tks_field_scene scene;
    tks_status status = tks_plan_make(arena, load, tank, cautions, &d.plan, err);
    if (status) return status;
    d.current = options->current > 0 ? options->current : planned_current(&d.plan);
    d.time = options->time > 0 ? options->time : longest_time(&d.plan);
    d.law = part_law(&tank->bath, d.plan.density, options->linear);
    status = solve(arena, &d, options, &scene, err);
    if (!status) status = warn(&d, cautions, err);
    if (status) {
        tks_deposit_free(&d);
        return status;
    }
    *deposit = d;
    return TKS_OK;
}

void tks_deposit_free(tks_deposit *deposit)
{
    tks_field_free(deposit->field);
    deposit->field = NULL;
}
