#include "report/plan.h"

#include <stdio.h>
#include <string.h>

/* ------------------------------------------------------------------ text */

static void put_head(base_buffer *out, const tks_plan *plan, tks_system units)
{
    tks_system other = units == TKS_METRIC ? TKS_INCH : TKS_METRIC;
    const tks_bath *bath = &plan->tank->bath;
    base_buffer_printf(out, "%s%s%s bath at %s (%s), %s %s\n",
                       plan->load->name ? plan->load->name : "", plan->load->name ? ": " : "",
                       bath->name, report_say(plan->density, TKS_CURRENT_DENSITY, units).text,
                       report_say(plan->density, TKS_CURRENT_DENSITY, other).text,
                       report_say(plan->thickness, TKS_LENGTH, units).text,
                       plan->aim == TKS_AIM_MINIMUM ? "at the thinnest significant surface"
                                                    : "in the mean");
    base_buffer_printf(out, "wetted area %s (%s), of which the current sees %s\n",
                       report_say(plan->area, TKS_AREA, units).text,
                       report_say(plan->area, TKS_AREA, other).text,
                       report_say(plan->effective, TKS_AREA, units).text);
    base_buffer_puts(out, plan->by_field
                              ? "estimate: the field of the whole tank with the parts in their "
                                "places\n"
                              : "estimate: penetration law for bores, gaps and threads; how parts "
                                "hide one another is not in it\n");
    if (plan->run_count > 1)
        base_buffer_printf(out, "%zu runs, %s%s%s\n", plan->run_count,
                           plan->exact ? "and fewer are not possible" : "close to the fewest",
                           plan->limit[0] ? ": " : "", plan->limit);
    if (plan->run_count > 1 && !plan->exact)
        base_buffer_printf(out, "  (no split has fewer than %zu)\n", plan->bound);
}

/* Under a hundredth of a micron a thickness is nothing that a person can use or measure. */
static bool is_something(double thickness)
{
    return thickness >= 1e-8;
}

static report_word say_thickness(double value, tks_system units)
{
    report_word none = {"next to nothing"};
    return is_something(value) ? report_say(value, TKS_LENGTH, units) : none;
}

static bool same_run(const tks_plan_run *a, const tks_plan_run *b)
{
    bool same = a->entry_count == b->entry_count;
    for (size_t i = 0; i < a->entry_count && same; i++)
        same =
            a->entries[i].part == b->entries[i].part && a->entries[i].count == b->entries[i].count;
    return same;
}

/* How many runs are like run i, itself among them; 0 when one before it is. */
static size_t runs_like(const tks_plan *plan, size_t i)
{
    size_t count = 0;
    for (size_t k = 0; k < plan->run_count; k++) {
        if (!same_run(&plan->runs[k], &plan->runs[i])) continue;
        if (k < i) return 0;
        count++;
    }
    return count;
}

/* ` (low to high, why)`, or nothing when the two read the same as the value. */
static void put_range(base_buffer *out, double low, double high, tks_kind kind, tks_system units,
                      const char *why)
{
    report_word from = report_say(low, kind, units), to = report_say(high, kind, units);
    if (strcmp(from.text, to.text))
        base_buffer_printf(out, "   (%s to %s%s)", from.text, to.text, why);
    base_buffer_puts(out, "\n");
}

/* What a bore's middle or a thread's root gets, and how far that may be off. */
static void put_place(base_buffer *out, const char *where, const tks_spread *t, tks_system units)
{
    if (t->usual == 0 && t->high == 0) return;
    base_buffer_printf(out, "         %s %s", where, say_thickness(t->usual, units).text);
    if (is_something(t->high) && t->high > t->low)
        base_buffer_printf(out, " (%s to %s)", say_thickness(t->low, units).text,
                           say_thickness(t->high, units).text);
    base_buffer_puts(out, "\n");
}

static void put_open(base_buffer *out, const tks_plan_entry *e, tks_system units)
{
    base_buffer_printf(out, "   %s open", say_thickness(e->thickness_open, units).text);
    if (e->thickness_mean < 0.99 * e->thickness_open)
        base_buffer_printf(out, ", %s mean", say_thickness(e->thickness_mean, units).text);
}

/* By the field. */
static void put_spots(base_buffer *out, const tks_plan_entry *e, tks_system units)
{
    base_buffer_printf(out, "   %s mean, %s to %s", say_thickness(e->spots.usual, units).text,
                       say_thickness(e->spots.low, units).text,
                       say_thickness(e->spots.high, units).text);
}

static void put_entry(base_buffer *out, const tks_plan_entry *e, tks_system units)
{
    base_buffer_printf(out, "  %4zu x %-28.28s", e->count, e->part->item.name);
    report_put_quantity(out, e->part->area, TKS_AREA, units, 10);
    if (e->spots.high > 0)
        put_spots(out, e, units);
    else
        put_open(out, e, units);
    base_buffer_puts(out, "\n");
    put_place(out, "at the deepest place inside", &e->inside, units);
    put_place(out, "at thread roots", &e->root, units);
}

static void put_supply(base_buffer *out, const tks_plan_run *run, const tks_supply *supply,
                       tks_system units)
{
    const tks_supply_setting *s = &run->supply;
    base_buffer_printf(out, "  voltage  about %s over the tank",
                       report_say(run->voltage.usual, TKS_VOLTAGE, units).text);
    put_range(out, run->voltage.low, run->voltage.high, TKS_VOLTAGE, units, "");
    if (supply->max_current <= 0 && supply->voltage <= 0) return;
    if (supply->rheostat_resistance > 0)
        base_buffer_printf(out, "  rheostat %s, which turns %s into heat\n",
                           report_say(s->resistance, TKS_RESISTANCE, units).text,
                           report_say(s->dissipation, TKS_POWER, units).text);
    else
        base_buffer_printf(out, "  supply   set %s, voltage limit %s\n",
                           report_say(s->current, TKS_CURRENT, units).text,
                           report_say(s->voltage, TKS_VOLTAGE, units).text);
}

static void put_setting(base_buffer *out, const tks_setting *s, const tks_bath *bath,
                        tks_system units)
{
    base_buffer_printf(out, "  current  %s", report_say(s->current, TKS_CURRENT, units).text);
    put_range(out, s->current_low, s->current_high, TKS_CURRENT, units, ": the bath's window");
    base_buffer_printf(out, "  time     %s", report_say(s->time, TKS_TIME, units).text);
    put_range(out, s->time_low, s->time_high, TKS_TIME, units, " by the bath's efficiency");
    base_buffer_printf(out, "  charge   %.3g Ah; %s of %s\n", s->charge / 3600,
                       report_say(s->metal, TKS_MASS, units).text, bath->metal->name);
}

static void put_run(base_buffer *out, const tks_plan *plan, size_t i, size_t like, tks_system units)
{
    const tks_plan_run *run = &plan->runs[i];
    if (plan->run_count == 1)
        base_buffer_puts(out, "\none run\n");
    else if (like == 1)
        base_buffer_puts(out, "\na run of\n");
    else
        base_buffer_printf(out, "\n%zu runs, each of\n", like);
    for (size_t k = 0; k < run->entry_count; k++) put_entry(out, &run->entries[k], units);
    if (run->hanger_area > 0)
        base_buffer_printf(out, "  and hangers, %s\n",
                           report_say(run->hanger_area, TKS_AREA, units).text);
    put_setting(out, &run->setting, &plan->tank->bath, units);
    put_supply(out, run, &plan->tank->supply, units);
}

void report_plan_text(base_buffer *out, const tks_plan *plan, tks_system units)
{
    put_head(out, plan, units);
    for (size_t i = 0; i < plan->run_count; i++) {
        size_t like = runs_like(plan, i);
        if (like) put_run(out, plan, i, like, units);
    }
    if (plan->run_count > 1)
        base_buffer_printf(out, "\nall runs: %s in the tank, %s of %s\n",
                           report_say(plan->time, TKS_TIME, units).text,
                           report_say(plan->metal, TKS_MASS, units).text,
                           plan->tank->bath.metal->name);
    base_buffer_puts(out, "\n");
}

/* ------------------------------------------------------------------ JSON */

/* `"inside":{"low_m","usual_m","high_m"}`; null where there is no such place. */
static void put_place_json(base_buffer *out, const char *key, const tks_spread *t)
{
    if (t->usual == 0 && t->high == 0) {
        base_buffer_printf(out, ",\"%s\":null", key);
        return;
    }
    base_buffer_printf(out, ",\"%s\":{", key);
    report_put_json_field(out, false, "low_m", t->low);
    report_put_json_field(out, true, "usual_m", t->usual);
    report_put_json_field(out, true, "high_m", t->high);
    base_buffer_puts(out, "}");
}

static void put_entry_json(base_buffer *out, const tks_plan_entry *e)
{
    base_buffer_puts(out, "{\"name\":");
    report_put_json_text(out, e->part->item.name);
    base_buffer_printf(out, ",\"count\":%zu", e->count);
    report_put_json_field(out, true, "area_m2", e->part->area);
    report_put_json_field(out, true, "thickness_open_m", e->thickness_open);
    report_put_json_field(out, true, "thickness_mean_m", e->thickness_mean);
    report_put_json_field(out, true, "thickness_least_m", e->thickness_least);
    put_place_json(out, "inside", &e->inside);
    put_place_json(out, "thread_root", &e->root);
    if (e->spots.high > 0) {
        report_put_json_field(out, true, "thinnest_spot_m", e->spots.low);
        report_put_json_field(out, true, "thickest_spot_m", e->spots.high);
    }
    base_buffer_puts(out, "}");
}

static void put_run_json(base_buffer *out, const tks_plan_run *run)
{
    const tks_setting *s = &run->setting;
    const struct {
        const char *key;
        double value;
    } fields[] = {
        {"area_m2", s->area},
        {"effective_area_m2", s->effective_area},
        {"current_A", s->current},
        {"current_low_A", s->current_low},
        {"current_high_A", s->current_high},
        {"voltage_V", run->voltage.usual},
        {"time_s", s->time},
        {"time_low_s", s->time_low},
        {"time_high_s", s->time_high},
        {"charge_C", s->charge},
        {"metal_kg", s->metal},
    };
    base_buffer_puts(out, "{");
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        report_put_json_field(out, i > 0, fields[i].key, fields[i].value);
    base_buffer_puts(out, ",\"parts\":[");
    for (size_t i = 0; i < run->entry_count; i++) {
        if (i) base_buffer_puts(out, ",");
        put_entry_json(out, &run->entries[i]);
    }
    base_buffer_puts(out, "]}");
}

void report_plan_json(base_buffer *out, const tks_plan *plan, const tks_process *process,
                      const tks_cautions *cautions)
{
    base_buffer_puts(out, "{\"runs\":[");
    for (size_t i = 0; i < plan->run_count; i++) {
        if (i) base_buffer_puts(out, ",");
        put_run_json(out, &plan->runs[i]);
    }
    base_buffer_printf(out, "],\"runs_bound\":%zu,\"estimate\":\"%s\",", plan->bound,
                       plan->by_field ? "field" : "penetration law");
    report_process_json(out, process);
    base_buffer_puts(out, ",");
    if (plan->tank->bath.metal == tks_bath_default()->metal) {
        report_life_json(out, plan->thickness);
        base_buffer_puts(out, ",");
    }
    report_put_cautions_json(out, cautions);
    base_buffer_puts(out, "}\n");
}
