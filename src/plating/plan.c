#include "tankside/plan.h"

#include "base/sum.h"
#include "plating/plan.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Free space between neighbours on the rack, and between tiers. Common practice, no source. */
#define RACK_GAP 0.015

/* With a minimum asked, the thinnest places of parts that hang together are within this factor: the
 * run's time is set by the thinnest, and what the others get too much is lost on threads and fits.
 */
#define LIKE_FACTOR 1.5

typedef struct planning {
    tks_arena *arena;
    const tks_load *load;
    const tks_tank *tank;
    tks_cautions *cautions;
    tks_plan *plan;
    tks_error *err;
    const tks_part **parts; /* by index */
    tks_reckoning *reckonings;
    double *thickest; /* most that the open faces of a part get in any run [m] */
    tks_run_need *needs;
    tks_run_limits limits;
    double most_current; /* of a run [A] */
    double hanger;       /* area of hangers for one piece [m^2] */
} planning;

static tks_status no_memory(const planning *p)
{
    return tks_fail(p->err, TKS_EMEMORY, tks_nowhere(), "out of memory");
}

/* ------------------------------------------------------------------ what a run may hold */

static const char *reason(const planning *p, const char *format, double value)
{
    char text[120];
    snprintf(text, sizeof text, format, value);
    const char *kept = tks_arena_text(p->arena, text, strlen(text));
    return kept ? kept : "";
}

static void find_limits(planning *p)
{
    const tks_tank *tank = p->tank;
    double supply = tks_supply_limit(&tank->supply), volume = tks_tank_volume(tank);
    double liquid = volume > 0 ? tank->bath.loading.high * volume : INFINITY;
    double least = fmin(supply, liquid);
    p->most_current = least;
    tks_run_limits limits = {INFINITY, INFINITY, INFINITY, "", "", ""};
    if (isfinite(least)) {
        limits.effective = least / p->plan->density;
        bool rheostat = least == tks_rheostat_limit(&tank->supply);
        limits.effective_reason = reason(p,
                                         rheostat           ? "the rheostat bears %.3g A"
                                         : supply <= liquid ? "the supply gives %.3g A all day"
                                                            : "the tank's volume bears %.3g A",
                                         least);
    }
    if (tank->anode_area > 0) {
        limits.area = tank->anode_area / tank->bath.anode_ratio.low;
        limits.area_reason = reason(p, "the anodes serve %.3g cm2", limits.area * 1e4);
    }
    if (tank->rack_length > 0) {
        limits.length = tank->rack_length;
        limits.length_reason = reason(p, "the rack is %.3g mm long", tank->rack_length * 1e3);
    }
    p->limits = limits;
}

/* ------------------------------------------------------------------ one kind of part */

static void sort_sizes(const double size[3], double sorted[3])
{
    double a = size[0], b = size[1], c = size[2];
    sorted[0] = fmin(a, fmin(b, c));
    sorted[2] = fmax(a, fmax(b, c));
    sorted[1] = a + b + c - sorted[0] - sorted[2];
}

/* However it is turned, a part's longest side must not be longer than the tank's longest, and so
 * on. */
static tks_status check_fits(const planning *p, const tks_part *of)
{
    const tks_item *item = &of->item;
    double part[3], tank[3];
    sort_sizes(item->size, part);
    sort_sizes(p->tank->size, tank);
    if (!(tank[0] > 0)) return TKS_OK;
    for (int i = 0; i < 3; i++)
        if (part[i] > tank[i])
            return tks_fail(p->err, TKS_ELIMIT, of->at,
                            "%s is larger than the tank: %.0f x %.0f x %.0f mm against %.0f x %.0f "
                            "x %.0f mm of liquid",
                            item->name, part[2] * 1e3, part[1] * 1e3, part[0] * 1e3, tank[2] * 1e3,
                            tank[1] * 1e3, tank[0] * 1e3);
    return TKS_OK;
}

/* What a run may carry is too little for one piece at this density; at a lower one it may do. */
static tks_status check_current(const planning *p, const tks_part *part, double effective)
{
    const tks_bath *bath = &p->tank->bath;
    double current = effective * p->plan->density, possible = p->most_current / effective;
    if (!(current > p->most_current * (1 + 1e-9))) return TKS_OK;
    if (possible >= bath->current_density.low)
        return tks_fail(p->err, TKS_ELIMIT, part->at,
                        "%s: one piece wants %.3g A, and %s; it would do with density: %.2g A/dm^2",
                        part->item.name, current, p->limits.effective_reason,
                        floor(possible) / 100);
    return tks_fail(p->err, TKS_ELIMIT, part->at,
                    "%s: no setting can do it: one piece wants %.3g A even at the least that %s "
                    "bears (%.3g A/dm2), and %s",
                    part->item.name, effective * bath->current_density.low, bath->name,
                    bath->current_density.low / 100, p->limits.effective_reason);
}

static bool is_bolt(const tks_item *item)
{
    for (size_t i = 0; i < item->thread_count; i++)
        if (!item->threads[i].internal) return true;
    return false;
}

/* Of bolts and of materials that no table has, nobody can say whether hydrogen harms them. */
static tks_status warn_of_unknown_steel(const planning *p, const tks_part *part)
{
    const char *material = part->material ? part->material : "";
    bool strange = material[0] && !(tks_material_density(material, strlen(material)) > 0);
    bool some_steel = !material[0] || strstr(material, "steel");
    if (!strange && !(some_steel && is_bolt(&part->item))) return TKS_OK;
    tks_status status = tks_caution_add(
        p->cautions, TKS_DOUBT, "hydrogen-unknown", part->item.name,
        "How hard its steel is is not told. From class 10.9 or 36 HRC up hydrogen can make it "
        "snap: write its class or hardness (grade: 8.8, hardness: 40 HRC).");
    return status ? no_memory(p) : TKS_OK;
}

static tks_status warn_of_hydrogen(const planning *p, const tks_part *part)
{
    tks_steel steel;
    tks_embrittlement advice;
    bool known;
    tks_status status = plan_embrittlement(part, &steel, &advice, &known, p->err);
    if (status) return status;
    if (!known) return warn_of_unknown_steel(p, part);
    status = tks_embrittlement_cautions(&steel, &advice, part->item.name, p->cautions);
    return status ? no_memory(p) : TKS_OK;
}

/* Hung by its longest side, the next along the rack; short parts hang in tiers. */
static double rack_need(const planning *p, const tks_item *item)
{
    double sides[3];
    sort_sizes(item->size, sides);
    if (!(sides[2] > 0)) return 0;
    double tiers = floor(p->tank->size[2] / (sides[2] + RACK_GAP));
    return (sides[1] + RACK_GAP) / fmax(1, tiers);
}

/* Which of the bands of LIKE_FACTOR the thinnest share falls into. */
static unsigned thickness_band(const planning *p, double thinnest)
{
    enum { MOST_BANDS = 40 };
    if (p->plan->aim != TKS_AIM_MINIMUM) return 0;
    double band = floor(log(1 / fmax(thinnest, 1e-12)) / log(LIKE_FACTOR) + 1e-9);
    return (unsigned)fmin(fmax(band, 0), MOST_BANDS);
}

static tks_status reckon_part(const planning *p, const tks_part *part, size_t i)
{
    const tks_item *item = &part->item;
    tks_reckoning *r = &p->reckonings[i];
    tks_status status =
        tks_reckon(item, &p->tank->bath, p->plan->density, TKS_SIGNIFICANT_DEFAULT, r, p->err);
    if (!status) status = check_fits(p, part);
    if (!status) status = check_current(p, part, r->effective.usual + p->hanger);
    if (!status)
        status = tks_inside_cautions(item, &p->tank->bath, p->plan->density, p->cautions, p->err);
    if (!status) status = warn_of_hydrogen(p, part);
    if (status) return status;
    p->parts[i] = part;
    p->needs[i] = (tks_run_need){.name = item->name,
                                 .count = item->count,
                                 .effective = r->effective.usual + p->hanger,
                                 .area = r->area + p->hanger,
                                 .length = rack_need(p, item),
                                 .group = thickness_band(p, r->thinnest)};
    return TKS_OK;
}

static tks_status reckon_parts(planning *p)
{
    size_t count = p->load->part_count, pieces = 0, i = 0;
    for (const tks_part *part = p->load->first; part; part = part->next) pieces += part->item.count;
    if (!pieces) return tks_fail(p->err, TKS_EMISSING, tks_nowhere(), "the load has no parts");
    p->hanger = p->load->hanger_area / (double)pieces;
    p->parts = tks_arena_take(p->arena, count, sizeof *p->parts);
    p->reckonings = tks_arena_take(p->arena, count, sizeof *p->reckonings);
    p->needs = tks_arena_take(p->arena, count, sizeof *p->needs);
    p->thickest = tks_arena_take(p->arena, count, sizeof *p->thickest);
    if (!p->parts || !p->reckonings || !p->needs || !p->thickest) return no_memory(p);
    for (const tks_part *part = p->load->first; part; part = part->next) {
        tks_status status = reckon_part(p, part, i++);
        if (status) return status;
    }
    return TKS_OK;
}

/* ------------------------------------------------------------------ one run */

/* Sums over a run: the least share decides when a minimum is asked. */
typedef struct run_sums {
    double area, effective, hangers, thinnest;
} run_sums;

static run_sums sum_run(const planning *p, const tks_run *run)
{
    run_sums sums = {0, 0, 0, 1};
    for (size_t i = 0; i < run->entry_count; i++) {
        const tks_run_entry *e = &run->entries[i];
        const tks_reckoning *r = &p->reckonings[e->need];
        double n = (double)e->count;
        sums.area += n * (r->area + p->hanger);
        sums.effective += n * (r->effective.usual + p->hanger);
        sums.hangers += n * p->hanger;
        sums.thinnest = fmin(sums.thinnest, r->thinnest);
    }
    return sums;
}

/* Thickness that the open faces must get so that the asked one is reached. */
static double open_thickness(const tks_plan *plan, const run_sums *sums)
{
    if (plan->aim == TKS_AIM_MINIMUM) return plan->thickness / sums->thinnest;
    return plan->thickness * sums->area / sums->effective;
}

/* The packing may name one kind of part twice in a run. */
static tks_plan_entry *entry_of(tks_plan_run *to, const tks_part *part)
{
    for (size_t i = 0; i < to->entry_count; i++)
        if (to->entries[i].part == part) return &to->entries[i];
    tks_plan_entry *e = &to->entries[to->entry_count++];
    e->part = part;
    return e;
}

/* Thickness where a share is less than all, low and high by the bath's figures and efficiency. */
static tks_spread expected(tks_spread share, double open, const tks_figure *efficiency)
{
    if (!(share.usual < 1)) return (tks_spread){0, 0, 0};
    return (tks_spread){share.low * open * efficiency->low / efficiency->usual, share.usual * open,
                        share.high * open * efficiency->high / efficiency->usual};
}

static tks_status fill_entries(const planning *p, const tks_run *run, tks_plan_run *to)
{
    to->entries = tks_arena_take(p->arena, run->entry_count, sizeof *to->entries);
    if (!to->entries) return no_memory(p);
    for (size_t i = 0; i < run->entry_count; i++) {
        size_t need = run->entries[i].need;
        const tks_reckoning *r = &p->reckonings[need];
        tks_plan_entry *e = entry_of(to, p->parts[need]);
        e->count += run->entries[i].count;
        e->thickness_open = to->setting.thickness;
        p->thickest[need] = fmax(p->thickest[need], e->thickness_open);
        e->thickness_mean = e->thickness_open * r->effective.usual / r->area;
        e->thickness_least = e->thickness_open * r->barest;
        e->inside = expected(r->inside, to->setting.thickness, &p->tank->bath.efficiency);
        e->root = expected(r->root, to->setting.thickness, &p->tank->bath.efficiency);
    }
    return TKS_OK;
}

static bool knows_supply(const tks_supply *supply)
{
    return supply->max_current > 0 || supply->voltage > 0;
}

/* Cautions name no run: runs that are alike give the same text, which then stands once. */
static tks_status set_supply(const planning *p, tks_plan_run *to)
{
    const tks_supply *supply = &p->tank->supply;
    if (!knows_supply(supply)) return TKS_OK;
    /* The limit must not hold the current back when contacts or the bath want more than reckoned.
     */
    tks_spread room = to->voltage;
    room.high = fmax(room.high, p->tank->bath.voltage.usual);
    tks_status status = tks_supply_set(supply, to->setting.current, room, &to->supply, p->err);
    if (!status && tks_supply_cautions(supply, &to->supply, "", p->cautions)) status = no_memory(p);
    return status;
}

static tks_status plan_run(const planning *p, const tks_run *run, tks_plan_run *to)
{
    run_sums sums = sum_run(p, run);
    to->hanger_area = sums.hangers;
    to->rack_length = run->length;
    tks_status status = tks_set(&p->tank->bath, sums.area, sums.effective, p->plan->density,
                                open_thickness(p->plan, &sums), &to->setting, p->err);
    if (status) return status;
    to->voltage = tks_tank_voltage(p->tank, sums.area, sums.effective, p->plan->density);
    status = fill_entries(p, run, to);
    return status ? status : set_supply(p, to);
}

static void total_up(tks_plan *plan)
{
    for (size_t i = 0; i < plan->run_count; i++) {
        const tks_setting *s = &plan->runs[i].setting;
        plan->area += s->area;
        plan->effective += s->effective_area;
        plan->time += s->time;
        plan->charge += s->charge;
        plan->metal += s->metal;
    }
}

/* The limit that all needs together take most of. */
static const char *ruling_limit(const planning *p)
{
    const tks_run_limits *l = &p->limits;
    double effective = 0, area = 0, length = 0;
    for (size_t i = 0; i < p->load->part_count; i++) {
        double n = (double)p->needs[i].count;
        effective += n * p->needs[i].effective / l->effective;
        area += n * p->needs[i].area / l->area;
        length += n * p->needs[i].length / l->length;
    }
    if (effective >= fmax(area, length)) return l->effective_reason;
    return area >= length ? l->area_reason : l->length_reason;
}

static tks_status plan_runs(const planning *p)
{
    tks_runs runs;
    tks_status status =
        tks_runs_pack(p->arena, p->needs, p->load->part_count, &p->limits, &runs, p->err);
    if (status) return status;
    p->plan->run_count = runs.count;
    p->plan->bound = runs.bound;
    p->plan->exact = runs.exact;
    p->plan->limit = ruling_limit(p);
    p->plan->runs = tks_arena_take(p->arena, runs.count, sizeof *p->plan->runs);
    if (!p->plan->runs) return no_memory(p);
    for (size_t i = 0; i < runs.count && !status; i++)
        status = plan_run(p, &runs.runs[i], &p->plan->runs[i]);
    return status;
}

/* ------------------------------------------------------------------ the whole */

static tks_status warn_of_unknowns(const planning *p)
{
    tks_status status = TKS_OK;
    if (p->load->aim == TKS_AIM_NONE)
        status = tks_caution_add(
            p->cautions, TKS_NOTE, "thickness-assumed", "",
            "no thickness is asked; 8 um in the mean is taken (ASTM B633, class SC2)");
    if (!status && p->tank->size[0] <= 0)
        status = tks_caution_add(
            p->cautions, TKS_DOUBT, "tank-unknown", "",
            "the tank's size is not known: its voltage is reckoned for anodes 10 cm away, and "
            "neither its volume nor its rack limits a run");
    if (!status && !knows_supply(&p->tank->supply))
        status = tks_caution_add(p->cautions, TKS_DOUBT, "supply-unknown", "",
                                 "no supply is described; check that yours gives the current");
    return status ? no_memory(p)
                  : tks_density_cautions(&p->tank->bath, p->plan->density, "", p->cautions);
}

tks_status tks_plan_make(tks_arena *arena, const tks_load *load, const tks_tank *tank,
                         tks_cautions *cautions, tks_plan *plan, tks_error *err)
{
    tks_plan made = {.load = load, .tank = tank};
    planning p = {.arena = arena,
                  .load = load,
                  .tank = tank,
                  .cautions = cautions,
                  .plan = &made,
                  .err = err};
    made.density = load->density > 0 ? load->density : tank->bath.current_density.usual;
    made.aim = load->aim == TKS_AIM_NONE ? TKS_AIM_MEAN : load->aim;
    made.thickness = load->aim == TKS_AIM_NONE ? TKS_USUAL_THICKNESS : load->thickness;
    tks_status status = tks_bath_check(&tank->bath, err);
    if (!status) find_limits(&p);
    if (!status) status = reckon_parts(&p);
    if (!status) status = plan_runs(&p);
    if (!status && warn_of_unknowns(&p)) status = no_memory(&p);
    if (status) return status;
    status = plan_thread_cautions(arena, &made, p.thickest, cautions, err);
    if (status) return status;
    total_up(&made);
    *plan = made;
    return TKS_OK;
}
