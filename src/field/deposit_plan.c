/* The plan of a load whose parts have places. */
#include "tankside/deposit.h"

#include "tankside/plating.h"

#include <math.h>

/* A plan is to come quickly; a few thousand elements give means to about 1 %, thinnest spots to
 * about 2 %. */
enum { PLAN_ELEMENTS = 4000 };

static size_t count_placed(const tks_load *load)
{
    size_t count = 0;
    for (const tks_part *p = load->first; p; p = p->next) count += p->placed;
    return count;
}

static tks_status say_unused(tks_cautions *cautions, const char *why)
{
    return tks_caution_add(cautions, TKS_DOUBT, "places-unused", "",
                           "the places of the parts are not used, and how parts hide one another "
                           "is not reckoned: %s",
                           why);
}

/* Why the places are of no use; NULL when they are. */
static const char *obstacle(const tks_plan *plan)
{
    const tks_tank *tank = plan->tank;
    if (count_placed(plan->load) < plan->load->part_count) return "some parts have none";
    if (!(tank->size[0] > 0)) return "the tank's size is not known";
    if (!tank->anode_count) return "the tank has no anodes with places";
    if (plan->run_count > 1) return "the load takes more than one run";
    return NULL;
}

/* ------------------------------------------------------------------ one part */

static const tks_deposit_row *row_of(const tks_deposit *d, const tks_part *part, int label)
{
    for (size_t i = 0; i < d->row_count; i++)
        if (d->rows[i].part == part && d->rows[i].label == label) return &d->rows[i];
    return NULL;
}

/* The thinnest spot inside. */
static double inside_of(const tks_deposit *d, const tks_part *part)
{
    const tks_deposit_row *inside = row_of(d, part, TKS_INSIDE), *hole = row_of(d, part, TKS_HOLE);
    if (!inside || !hole) return inside ? inside->minimum.value : hole ? hole->minimum.value : 0;
    return fmin(inside->minimum.value, hole->minimum.value);
}

static tks_spread stretched(tks_spread s, double times)
{
    return (tks_spread){s.low * times, s.usual * times, s.high * times};
}

/* The field takes threads as plain, so their roots keep the law of penetration's share. */
static void take_entry(const tks_deposit *d, double times, tks_plan_entry *e)
{
    const tks_deposit_row *all = row_of(d, e->part, TKS_DEPOSIT_ALL);
    const tks_deposit_row *open = row_of(d, e->part, TKS_DEPOSIT_SIGNIFICANT);
    double inside = inside_of(d, e->part);
    if (!all) return;
    if (!open) open = all;
    e->spots = (tks_spread){open->minimum.value, open->mean.value, open->maximum.value};
    e->thickness_open = open->mean.value;
    e->thickness_mean = all->mean.value;
    e->thickness_least = all->minimum.value;
    e->inside = (tks_spread){inside, inside, inside};
    e->root = stretched(e->root, times);
}

/* ------------------------------------------------------------------ the run */

static void stretch_setting(tks_setting *s, double times)
{
    double *const all[] = {&s->thickness, &s->time,   &s->time_low,
                           &s->time_high, &s->charge, &s->metal};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) *all[i] *= times;
}

static tks_status take_run(const tks_deposit *d, tks_plan *plan, tks_error *err)
{
    tks_plan_run *run = &plan->runs[0];
    double times = d->time / run->setting.time;
    for (size_t i = 0; i < run->entry_count; i++) take_entry(d, times, &run->entries[i]);
    stretch_setting(&run->setting, times);
    run->voltage = stretched(run->voltage, d->summary.voltage / run->voltage.usual);
    plan->time = run->setting.time;
    plan->charge = run->setting.charge;
    plan->metal = run->setting.metal;
    plan->by_field = true;
    if (!(run->supply.wanted > 0)) return TKS_OK;
    tks_spread room = run->voltage;
    room.high = fmax(room.high, plan->tank->bath.voltage.usual);
    return tks_supply_set(&plan->tank->supply, run->setting.current, room, &run->supply, err);
}

tks_status tks_plan_by_field(tks_arena *arena, const tks_field_options *options,
                             tks_cautions *cautions, tks_plan *plan, tks_error *err)
{
    if (!count_placed(plan->load)) return TKS_OK;
    const char *why = obstacle(plan);
    tks_deposit_options wish = {.field = *options, .as_asked = true};
    tks_deposit deposit = {0};
    tks_error trouble = {0};
    tks_status status = TKS_OK;
    if (!wish.field.elements) wish.field.elements = PLAN_ELEMENTS;
    if (!why &&
        tks_deposit_make(arena, plan->load, plan->tank, &wish, cautions, &deposit, &trouble))
        why = trouble.text;
    if (why)
        status = say_unused(cautions, why);
    else
        status = take_run(&deposit, plan, err);
    tks_deposit_free(&deposit);
    return status;
}
