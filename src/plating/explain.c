#include "tankside/explain.h"

#include "base/names.h"
#include "base/show.h"
#include "plating/plan.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Which ratio of the facts speaks for a cause; over `from` it does, under half of it, against. */
typedef enum witness {
    NOTHING,
    DENSITY,
    SLOWNESS,
    BARE,
    ANODES,
    LOADING,
    CROWDING,
    LONG,
    HARD
} witness;

typedef struct row {
    const char *symptom, *cause, *check, *cure;
    int weight;
    witness witness;
    double from;
} row;

/* Common practice of the trade, no source; weights are how often each is met, 1 to 9. */
static const row rows[] = {
    {"rough", "the current density is too high", "edges and corners are the worst",
     "lower the current, or hang a wire as a thief beside the edges", 8, DENSITY, 0.7},
    {"rough", "dirt or anode sludge swims in the bath", "upper faces are rougher than lower ones",
     "filter the bath, bag the anodes", 7, NOTHING, 0},
    {"rough", "scale or rust was left on", "rough spots follow the old rust",
     "pickle longer, brush, rinse better", 5, NOTHING, 0},
    {"rough", "parts hang too near the anodes", "the side towards the anode is rougher",
     "more distance, or more and smaller anodes", 3, NOTHING, 0},
    {"rough", "iron has come into the bath", "the bath is yellow or brown",
     "a little hydrogen peroxide, let settle, filter", 4, NOTHING, 0},

    {"bare patches", "grease was left on", "water draws back from the spot before plating",
     "degrease again and clean hot until water films", 9, NOTHING, 0},
    {"bare patches", "the inside or recess is too deep for the current",
     "bare only in bores, corners and under flanges", "an inner anode, or turn the part in between",
     6, BARE, 0.2},
    {"bare patches", "air is caught, or parts touch", "bare at the top of hollows, or a clean line",
     "hang open side up, keep parts apart", 5, CROWDING, 0.8},
    {"bare patches", "the current density is too low to cover", "thin and grey in all recesses",
     "start at half as much again for five minutes", 4, SLOWNESS, 0.8},
    {"bare patches", "the hanger does not make contact", "one part bare, its neighbours fine",
     "clean the hook, use a stiffer wire", 4, NOTHING, 0},

    {"peeling", "the surface was not clean", "tape takes it off down to clean steel",
     "clean hot, rinse, pickle, and go into the bath wet", 9, NOTHING, 0},
    {"peeling", "the current was off in between", "it comes off in layers",
     "keep the current on; after a pause, dip in acid and rinse", 6, NOTHING, 0},
    {"peeling", "hydrogen comes out of hard or over-pickled steel",
     "blisters, hours after plating or when heated", "pickle shorter; bake; blast in place of acid",
     4, HARD, 0.5},
    {"peeling", "too much brightener, or oil in the bath", "brittle when bent, very bright",
     "plate scrap for some hours, or treat with carbon", 4, NOTHING, 0},
    {"peeling", "the deposit is very thick and strained", "flakes at edges", "plate thinner", 3,
     LONG, 1},

    {"dark and soft", "the current density is far too high", "black, powdery, gas rises strongly",
     "lower the current to the middle of the window", 9, DENSITY, 0.9},
    {"dark and soft", "there is too little zinc in the bath", "it was fine at lower current",
     "add zinc salt, check the anodes", 5, LOADING, 1.2},
    {"dark and soft", "copper, lead or other metals are in the bath",
     "black in recesses even at low current", "plate at low current on corrugated scrap", 5,
     SLOWNESS, 0.8},
    {"dark and soft", "the bath is too cold or still",
     "worse in winter, better when parts are moved", "warm it to 25 C, move the parts", 4, NOTHING,
     0},
    {"dark and soft", "the pH is off", "measure: about 5 for chloride zinc",
     "drops of hydrochloric acid or potassium hydroxide", 4, NOTHING, 0},

    {"dull", "the brightener is used up", "it was bright some runs ago",
     "add by ampere-hours as its sheet says", 7, LONG, 1},
    {"dull", "the current density is too low", "brighter at edges than in the middle",
     "raise the current", 6, SLOWNESS, 0.7},
    {"dull", "the bath is too warm", "over 35 C", "let it cool, lower the current", 4, LOADING, 1},
    {"dull", "the pH is off", "measure: about 5 for chloride zinc",
     "drops of hydrochloric acid or potassium hydroxide", 4, NOTHING, 0},
    {"dull", "no bright dip or passivate", "it is evenly grey", "passivate, or leave it", 3,
     NOTHING, 0},

    {"uneven", "one side faces the anode", "thick towards the anode, thin behind",
     "anodes on both sides, or turn the part half way", 8, ANODES, 0.8},
    {"uneven", "bores and recesses get less", "thin inside and in corners",
     "lower current for longer, an inner anode", 7, BARE, 0.6},
    {"uneven", "parts shade one another", "thin where the neighbour hangs",
     "hang less at a time, at least their width apart", 6, CROWDING, 0.9},
    {"uneven", "the current density is high, which throws badly", "thick edges, thin middles",
     "lower the current and plate longer", 5, DENSITY, 0.6},
    {"uneven", "there are too few or too small anodes", "thin at the rack's ends",
     "more anodes, as long as the rack", 4, ANODES, 1},
};

enum { ROWS = sizeof rows / sizeof *rows };

const char *tks_symptom_at(size_t i)
{
    for (size_t r = 0; r < ROWS; r++) {
        bool is_new = r == 0 || strcmp(rows[r].symptom, rows[r - 1].symptom) != 0;
        if (is_new && i-- == 0) return rows[r].symptom;
    }
    return NULL;
}

tks_facts tks_facts_none(void)
{
    return (tks_facts){NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN};
}

static const tks_plan_run *heaviest_run(const tks_plan *plan)
{
    const tks_plan_run *heaviest = &plan->runs[0];
    for (size_t i = 1; i < plan->run_count; i++)
        if (plan->runs[i].setting.current > heaviest->setting.current) heaviest = &plan->runs[i];
    return heaviest;
}

static bool holds_hard_steel(const tks_plan_run *run)
{
    for (size_t i = 0; i < run->entry_count; i++) {
        tks_steel steel;
        tks_embrittlement advice;
        bool known;
        if (plan_embrittlement(run->entries[i].part, &steel, &advice, &known, NULL)) continue;
        if (known && advice.relief != TKS_RELIEF_NONE) return true;
    }
    return false;
}

static double known_ratio(double a, double b)
{
    return b > 0 ? a / b : NAN;
}

tks_facts tks_facts_of(const tks_plan *plan)
{
    const tks_tank *tank = plan->tank;
    const tks_bath *bath = &tank->bath;
    const tks_plan_run *run = heaviest_run(plan);
    double least = INFINITY;
    for (size_t i = 0; i < run->entry_count; i++)
        least = fmin(least, run->entries[i].thickness_least / run->entries[i].thickness_open);
    double volume = tks_tank_volume(tank);
    return (tks_facts){
        .density = plan->density / bath->current_density.high,
        .slowness = bath->current_density.low / plan->density,
        .inside = least,
        .anodes = known_ratio(run->setting.area * bath->anode_ratio.low, tank->anode_area),
        .loading = known_ratio(run->setting.current, bath->loading.usual * volume),
        .crowding = known_ratio(run->rack_length, tank->rack_length),
        .time = run->setting.time / 7200,
        .hard_steel = holds_hard_steel(run),
    };
}

static double witnessed(const tks_facts *f, witness w)
{
    switch (w) {
    case NOTHING: return NAN;
    case DENSITY: return f->density;
    case SLOWNESS: return f->slowness;
    /* The barer the inside, the stronger: a ratio that falls is turned about. */
    case BARE: return f->inside > 0 ? 1 / f->inside : f->inside == 0 ? INFINITY : NAN;
    case ANODES: return f->anodes;
    case LOADING: return f->loading;
    case CROWDING: return f->crowding;
    case LONG: return f->time;
    case HARD: return f->hard_steel;
    }
    return NAN;
}

/* What a witness says, in words; each takes the ratio times its factor. */
static void tell(witness w, double ratio, char text[80])
{
    static const struct {
        const char *format;
        double factor;
    } told[] = {
        [NOTHING] = {"", 1},
        [DENSITY] = {"the density is %.0f %% of the most the bath bears", 100},
        [SLOWNESS] = {"the least density the bath wants is %.0f %% of the planned one", 100},
        [BARE] = {"the deepest place gets %.2g %% of what open faces get", 100},
        [ANODES] = {"the run wants %.2g times the anode area there is", 1},
        [LOADING] = {"the current is %.0f %% of what the volume usually bears", 100},
        [CROWDING] = {"the parts take %.0f %% of the rack", 100},
        [LONG] = {"the run lasts %.1f h", 2},
        [HARD] = {"hydrogen harms the steel of a part", 1},
    };
    double value = w == BARE ? 1 / ratio : ratio;
    if (w == BARE && value < 0.001)
        snprintf(text, 80, "the deepest place gets next to nothing");
    else
        snprintf(text, 80, told[w].format, value * told[w].factor);
}

/* What a witness that speaks for or against a cause is worth. */
enum { FOR = 10, AGAINST = 5 };

static tks_cause weigh(const row *r, const tks_facts *facts)
{
    tks_cause c = {r->cause, r->check, r->cure, r->weight, false, NAN, ""};
    double from = r->witness == BARE ? 1 / r->from : r->from;
    double seen = witnessed(facts, r->witness);
    if (seen >= from) {
        c.in_load = true;
        c.reason = seen;
        tell(r->witness, seen, c.shown);
        c.weight += FOR;
    } else if (seen < from / 2) {
        c.weight -= AGAINST;
    }
    return c;
}

static int by_falling_weight(const void *a, const void *b)
{
    const tks_cause *x = a, *y = b;
    if (x->weight != y->weight) return y->weight - x->weight;
    return strcmp(x->cause, y->cause);
}

static tks_status unknown_symptom(const char *name, size_t length, tks_error *err)
{
    const char *names[ROWS];
    size_t n = 0;
    while (n < ROWS && tks_symptom_at(n)) {
        names[n] = tks_symptom_at(n);
        n++;
    }
    const char *nearest = base_name_nearest_of(name, length, names, n);
    base_word word = base_shown_word(name, length);
    if (nearest)
        return tks_fail(err, TKS_EUNKNOWN, tks_nowhere(),
                        "there is no symptom '%s'; did you mean '%s'?", word.text, nearest);
    return tks_fail(err, TKS_EUNKNOWN, tks_nowhere(),
                    "there is no symptom '%s'; there are %s, %s, %s, %s, %s and %s", word.text,
                    names[0], names[1], names[2], names[3], names[4], names[5]);
}

tks_status tks_explain(const char *symptom, size_t length, const tks_facts *facts,
                       tks_cause *causes, size_t *count, tks_error *err)
{
    size_t n = 0;
    for (size_t r = 0; r < ROWS && n < TKS_MOST_CAUSES; r++)
        if (base_name_is(symptom, length, rows[r].symptom)) causes[n++] = weigh(&rows[r], facts);
    if (!n) return unknown_symptom(symptom, length, err);
    qsort(causes, n, sizeof *causes, by_falling_weight);
    *count = n;
    return TKS_OK;
}
