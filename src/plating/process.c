#include "tankside/process.h"

#include "plating/plan.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MINUTE 60.0
#define HOUR   3600.0
#define DAY    86400.0

static const tks_warning solvent_fire = {
    "solvent-fire", TKS_INJURY,
    "Solvents burn and their vapour creeps: outdoors, no flame, and rags into a closed metal bin."};

static const tks_warning bath_gas = {
    "bath-gas", TKS_INJURY,
    "Plating gives off hydrogen and a fine mist: air the room, no flame, and switch off before "
    "parts are lifted out."};

static const tks_warning bake_oven = {
    "bake-oven", TKS_INJURY,
    "Not in an oven that food goes into. Sealed hollow parts burst when heated: drill or leave "
    "out."};

static const tks_warning no_drying_hot = {
    "passivate-heat", TKS_SPOIL,
    "Above 60 C a fresh passivate cracks and loses its worth: dry with cool air and do not rub it "
    "for a day."};

typedef struct sheet {
    tks_arena *arena;
    const tks_plan *plan;
    const tks_process_wish *wish;
    tks_process process;
    tks_error *err;
    tks_embrittlement worst; /* the longest bake of all parts */
    const char *worst_part;
    const char *refused_part; /* not to be plated at all; NULL: none */
    bool failed;              /* memory was short for a text */
} sheet;

static tks_work *add(sheet *s, const char *name, const char *what, double least, double most)
{
    tks_work *w = &s->process.works[s->process.count++];
    *w = (tks_work){.name = name, .what = what, .least = least, .most = most};
    return w;
}

/* A step in a solution of the recipe book: its times, temperatures, and last warnings. */
static tks_work *add_bath(sheet *s, const char *name, const char *recipe, const char *what)
{
    tks_work *w = add(s, name, what, 0, 0);
    if (tks_recipe_find(recipe, strlen(recipe), tks_nowhere(), &w->recipe, NULL)) return w;
    w->least = w->recipe->time.low;
    w->most = w->recipe->time.high;
    w->low = w->recipe->temperature.low;
    w->high = w->recipe->temperature.high;
    const tks_mix_step *last = &w->recipe->steps[w->recipe->step_count - 1];
    memcpy(w->warnings, last->warnings, sizeof w->warnings);
    return w;
}

static void add_rinse(sheet *s)
{
    add(s, "rinse", "In clean cold water, twice; it must run off in an unbroken film.", 30, 60);
}

static tks_status find_worst(sheet *s)
{
    for (const tks_part *p = s->plan->load->first; p; p = p->next) {
        tks_steel steel;
        tks_embrittlement advice;
        bool known;
        tks_status status = plan_embrittlement(p, &steel, &advice, &known, s->err);
        if (status) return status;
        if (known && advice.relief == TKS_RELIEF_REFUSED) {
            s->refused_part = p->item.name;
            continue;
        }
        bool worse = known && (advice.relief > s->worst.relief ||
                               (advice.relief == s->worst.relief && advice.time > s->worst.time));
        if (!worse) continue;
        s->worst = advice;
        s->worst_part = p->item.name;
    }
    return TKS_OK;
}

static const char *text(sheet *s, const char *format, const char *name, double value)
{
    char line[300];
    snprintf(line, sizeof line, format, name, value);
    const char *kept = tks_arena_text(s->arena, line, strlen(line));
    if (!kept) s->failed = true;
    return kept ? kept : "";
}

/* 1 minute for light rust, up to 4 for heavy. Steels that hydrogen harms are cleaned without acid.
 */
static void add_pickle(sheet *s)
{
    if (s->worst.relief >= TKS_RELIEF_ADVISED) {
        add(s, "blast or brush",
            text(s,
                 "No acid for %s: hydrogen would go into it. Blast or brush it bright, then dip "
                 "all for a few seconds only.",
                 s->worst_part, 0),
            0, 0);
        return;
    }
    tks_work *w = add_bath(s, "pickle", "pickle",
                           s->wish->rust == TKS_RUST_HEAVY
                               ? "Until the rust is gone, brushing between dips, and no longer."
                               : "Until the steel is evenly grey, and no longer.");
    w->least = s->wish->rust == TKS_RUST_HEAVY   ? 2 * MINUTE
               : s->wish->rust == TKS_RUST_LIGHT ? MINUTE
                                                 : 30;
    w->most = s->wish->rust == TKS_RUST_HEAVY   ? 4 * MINUTE
              : s->wish->rust == TKS_RUST_LIGHT ? 2 * MINUTE
                                                : MINUTE;
}

static void add_plating(sheet *s)
{
    tks_work *w = add(s, "plate",
                      "Hang while still wet, current on at once, at the setting of each "
                      "run; look after five minutes.",
                      INFINITY, 0);
    for (size_t i = 0; i < s->plan->run_count; i++) {
        w->least = fmin(w->least, s->plan->runs[i].setting.time);
        w->most = fmax(w->most, s->plan->runs[i].setting.time);
    }
    const tks_bath *bath = &s->plan->tank->bath;
    w->low = bath->temperature.low;
    w->high = bath->temperature.high;
    const tks_recipe *own; /* a bath mixed at home bears less heat than one with bought carriers */
    if (!tks_recipe_find(bath->name, strlen(bath->name), tks_nowhere(), &own, NULL)) {
        w->low = fmax(w->low, own->temperature.low);
        w->high = fmin(w->high, own->temperature.high);
        w->recipe = own;
    }
    w->warnings[0] = &bath_gas;
}

/* Baked before the passivate, which heat would spoil. */
static void add_bake(sheet *s)
{
    if (s->worst.relief != TKS_RELIEF_NEEDED && s->worst.relief != TKS_RELIEF_ADVISED) return;
    const char *format =
        s->worst.relief == TKS_RELIEF_NEEDED
            ? "%s must be baked against hydrogen, begun within an hour of plating, "
              "%.2g hours at the latest."
            : "%s had better be baked against hydrogen, begun within an hour of "
              "plating, %.2g hours at the latest.";
    tks_work *w = add(s, "bake", text(s, format, s->worst_part, s->worst.start_latest / HOUR),
                      s->worst.time, 0);
    w->low = s->worst.temperature_low;
    w->high = s->worst.temperature_high;
    w->warnings[0] = &bake_oven;
    add(s, "wake the surface",
        "Dip baked parts in dilute acid (half a per cent) and rinse, so that "
        "the passivate takes.",
        5, 10);
}

static void add_finish(sheet *s)
{
    if (s->plan->tank->bath.metal != tks_bath_default()->metal) return;
    if (s->wish->hexavalent) {
        add_bath(s, "passivate", "chromate passivate", "Move the parts; rinse at once.");
        add_bath(s, "reducing rinse", "reducing rinse", "All that drips goes in here.");
    } else {
        add_bath(s, "passivate", "trivalent passivate", "Move the parts; rinse at once.");
    }
    add_rinse(s);
    tks_work *w =
        add(s, "dry", "Hang a day before handling: the passivate hardens slowly.", DAY, DAY);
    w->warnings[0] = &no_drying_hot;
}

/* What comes before the first bath. */
static void add_preparation(sheet *s)
{
    if (s->refused_part)
        add(s, "sort out",
            text(s, "Leave %s out, and all of its steel: see the caution.", s->refused_part, 0), 0,
            0);
    if (s->worst.relief_before) {
        tks_work *relief = add(s, "relieve stress",
                               text(s,
                                    "If %s was ground, machined or bent after hardening, heat it "
                                    "before anything else.",
                                    s->worst_part, 0),
                               HOUR, 0);
        relief->low = s->worst.temperature_low;
        relief->high = s->worst.temperature_high;
    }
    tks_work *w = add(s, "degrease",
                      "Wipe and brush in white spirit or strong dishwashing liquid, threads and "
                      "bores too.",
                      0, 0);
    w->warnings[0] = &solvent_fire;
}

tks_status tks_process_make(tks_arena *arena, const tks_plan *plan, const tks_process_wish *wish,
                            tks_process *process, tks_error *err)
{
    sheet s = {.arena = arena, .plan = plan, .wish = wish, .err = err};
    tks_status status = find_worst(&s);
    if (status) return status;
    s.process.volume = tks_tank_volume(plan->tank);
    s.process.metal = plan->metal;
    s.process.drag_out = plan->area * TKS_DRAG_OUT;
    add_preparation(&s);
    add_bath(&s, "clean hot", "alkaline cleaner", "Until water wets all of it.");
    add_rinse(&s);
    add_pickle(&s);
    add_rinse(&s);
    add_plating(&s);
    add_rinse(&s);
    add_bake(&s);
    add_finish(&s);
    if (s.failed) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    *process = s.process;
    return TKS_OK;
}
