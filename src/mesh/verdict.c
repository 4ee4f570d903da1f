#include "mesh/verdict.h"

#include "tankside/quantity.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { REASONS = sizeof((tks_mesh_health *)0)->reasons / sizeof((tks_mesh_health *)0)->reasons[0] };

/* Shares of the area (of the edges for tangles) from which a flaw asks for a correction first, and
 * from which the number is worth nothing. Common practice, no source: plating current is set to a
 * few per cent. */
static const struct {
    double after, never;
} holes = {0.005, 0.25}, tangles = {0.001, 0.02}, doubled = {0.002, 0.10}, noisy = {0.01, 0.30},
  coarse = {0.01, 0.10}, specks = {0.005, 0.10}, loose = {0, 0.15};

static const size_t few_tangles = 10;

const char *tks_mesh_verdict_name(tks_mesh_verdict verdict)
{
    static const char *const names[] = {"believe", "believe after", "do not believe"};
    return names[verdict];
}

static tks_mesh_verdict grade(double share, double after, double never)
{
    if (!(share < never)) return TKS_DO_NOT_BELIEVE;
    return share < after ? TKS_BELIEVE : TKS_BELIEVE_AFTER;
}

/* Keeps graver reasons first, those alike in the order in which they came. */
static void add_reason(tks_mesh_health *h, tks_mesh_verdict *grades, tks_mesh_verdict verdict,
                       const char *format, ...) TKS_PRINTF(4, 5);

static void add_reason(tks_mesh_health *h, tks_mesh_verdict *grades, tks_mesh_verdict verdict,
                       const char *format, ...)
{
    size_t at = h->reason_count;
    if (at == REASONS && grades[REASONS - 1] >= verdict) return;
    if (at == REASONS)
        at--;
    else
        h->reason_count++;
    for (; at && grades[at - 1] < verdict; at--) {
        memcpy(h->reasons[at], h->reasons[at - 1], sizeof h->reasons[at]);
        grades[at] = grades[at - 1];
    }
    va_list args;
    va_start(args, format);
    vsnprintf(h->reasons[at], sizeof h->reasons[at], format, args);
    va_end(args);
    grades[at] = verdict;
    if (verdict > h->verdict) h->verdict = verdict;
}

static const char *plural(size_t count)
{
    return count == 1 ? "" : "s";
}

/* Adds "3 edges between ..." to a list in words. */
static void list_flaw(char *text, size_t room, size_t count, const char *what, const char *where)
{
    size_t length = strlen(text);
    if (count)
        snprintf(text + length, room - length, "%s%zu %s%s %s", length ? ", " : "", count, what,
                 plural(count), where);
}

/* A few edges of a drawn part are a large share of them, and leave its area right. */
static tks_mesh_verdict grade_tangles(const tks_mesh_health *h)
{
    size_t odd = h->odd_edges + h->flipped_edges;
    tks_mesh_verdict verdict = grade((double)odd / (double)h->edges, tangles.after, tangles.never);
    return odd <= few_tangles && verdict > TKS_BELIEVE_AFTER ? TKS_BELIEVE_AFTER : verdict;
}

static void judge_edges(tks_mesh_health *h, tks_mesh_verdict *grades)
{
    double edges = (double)h->edges;
    char flaws[192] = "";

    if (h->hole_count > 20 && (double)h->open_edges > loose.never * edges)
        add_reason(h, grades, TKS_DO_NOT_BELIEVE,
                   "the facets hardly hang together: %.0f %% of the edges are open",
                   100 * (double)h->open_edges / edges);
    list_flaw(flaws, sizeof flaws, h->odd_edges, "edge", "where more than two facets meet");
    list_flaw(flaws, sizeof flaws, h->flipped_edges, "edge", "between facets that face both ways");
    list_flaw(flaws, sizeof flaws, h->odd_vertices, "place", "where surfaces touch at a point");
    if (flaws[0]) add_reason(h, grades, grade_tangles(h), "%s", flaws);
}

/* What filling leaves open is how much more than the least area it may take. */
static void judge_fills(tks_mesh_health *h, tks_mesh_verdict *grades)
{
    char low[32], more[32];
    double doubt = h->fill_high - h->fill_low;
    tks_quantity_print(low, sizeof low, h->fill_low, TKS_AREA, TKS_METRIC, 0);
    tks_quantity_print(more, sizeof more, doubt, TKS_AREA, TKS_METRIC, 0);
    tks_mesh_verdict verdict =
        grade(doubt / (h->size.area + h->fill_low), holes.after, holes.never);
    add_reason(h, grades, verdict, "%zu hole%s filled with %s, which may be %s too little",
               h->hole_count, plural(h->hole_count), low, more);
}

static void judge_holes(tks_mesh_health *h, tks_mesh_verdict *grades)
{
    char low[32], high[32];
    tks_quantity_print(low, sizeof low, h->fill_low, TKS_AREA, TKS_METRIC, 0);
    tks_quantity_print(high, sizeof high, h->fill_high, TKS_AREA, TKS_METRIC, 0);
    add_reason(h, grades, grade(h->fill_low / h->size.area, holes.after, holes.never),
               "%zu hole%s; filled they add %s to %s (%.2g %%)", h->hole_count,
               plural(h->hole_count), low, high, 100 * h->fill_low / h->size.area);
}

static void judge_bodies(tks_mesh_health *h, tks_mesh_verdict *grades, mesh_dealt dealt)
{
    double area = h->size.area;
    if (h->duplicates)
        add_reason(h, grades, grade(h->duplicate_area / area, doubled.after, doubled.never),
                   "%zu facet%s on another, %.2g %% of the area counts twice", h->duplicates,
                   h->duplicates == 1 ? " lies" : "s lie", 100 * h->duplicate_area / area);
    if (h->voids + h->buried && !dealt.closed_in)
        add_reason(h, grades, TKS_BELIEVE_AFTER,
                   "%zu closed bod%s inside another, %.2g %% of the area: the bath does not reach "
                   "that; take it off",
                   h->voids + h->buried, h->voids + h->buried == 1 ? "y" : "ies",
                   100 * (h->void_area + h->buried_area) / area);
    if (h->crossings > 0)
        add_reason(
            h, grades, TKS_BELIEVE_AFTER,
            "the surface cuts or overlies itself (%ld%s pair%s of facets): unite the bodies first",
            h->crossings, h->crossings_cut ? " or more" : "", plural((size_t)h->crossings));
    if (h->specks)
        add_reason(h, grades, grade(h->speck_area / area, specks.after, specks.never),
                   "%zu speck%s beside the part, %.2g %% of the area", h->specks, plural(h->specks),
                   100 * h->speck_area / area);
}

static void judge_surface(tks_mesh_health *h, tks_mesh_verdict *grades)
{
    char noise[32], smooth[32];
    double excess = h->smooth_area > 0 ? h->size.area / h->smooth_area - 1 : INFINITY;
    bool rough = h->rough_judged && excess >= noisy.after;
    if (rough) {
        tks_quantity_print(noise, sizeof noise, h->noise, TKS_LENGTH, TKS_METRIC, 0);
        tks_quantity_print(smooth, sizeof smooth, h->smooth_area, TKS_AREA, TKS_METRIC, 0);
        add_reason(h, grades, grade(excess, noisy.after, noisy.never),
                   "scan noise of %s makes the sum %.2g %% too large; without it %s", noise,
                   100 * excess, smooth);
    }
    double missed = h->missed_area / h->size.area;
    if (!rough && missed >= coarse.after)
        add_reason(h, grades, grade(missed, coarse.after, coarse.never),
                   "curves are cut into about %.0f facets a turn; flat facets miss %.2g %% of the "
                   "area",
                   h->facets_per_turn, 100 * missed);
}

/* In full, since "in" is a word too. */
static const char *unit_in_full(const char *name)
{
    return !strcmp(name, "mm") ? "millimetres" : !strcmp(name, "in") ? "inches" : "metres";
}

static void judge_unit(tks_mesh_health *h, tks_mesh_verdict *grades)
{
    const tks_mesh_unit *unit = &h->size.unit;
    double other = unit->other / unit->metres;
    char area[32];
    if (unit->source != TKS_UNIT_GUESSED) return;
    tks_quantity_print(area, sizeof area, h->size.area * other * other, TKS_AREA, TKS_METRIC, 0);
    add_reason(h, grades, TKS_BELIEVE_AFTER,
               "the unit is guessed as %s; if it were %s the area would be %s, %.4g times this",
               unit_in_full(unit->name), unit_in_full(unit->other_name), area, other * other);
}

static void judge_reading(tks_mesh_health *h, tks_mesh_verdict *grades)
{
    judge_unit(h, grades);
    if (h->size.dropped)
        add_reason(h, grades, TKS_BELIEVE_AFTER,
                   "%zu facet%s left out: coordinates that are not numbers", h->size.dropped,
                   plural(h->size.dropped));
    if (h->inside_out)
        add_reason(h, grades, TKS_BELIEVE, "the mesh is inside out, which leaves its area right");
    if (h->degenerate)
        add_reason(h, grades, TKS_BELIEVE, "%zu facet%s without area, which do%s no harm",
                   h->degenerate, plural(h->degenerate), h->degenerate == 1 ? "es" : "");
}

void mesh_judge(tks_mesh_health *h, mesh_dealt dealt)
{
    tks_mesh_verdict grades[REASONS];
    h->verdict = TKS_BELIEVE;
    h->reason_count = 0;
    if (!(h->size.area > 0)) {
        add_reason(h, grades, TKS_DO_NOT_BELIEVE, "no facet has an area");
        return;
    }
    judge_edges(h, grades);
    if (h->hole_count) (dealt.holes ? judge_fills : judge_holes)(h, grades);
    judge_bodies(h, grades, dealt);
    judge_surface(h, grades);
    judge_reading(h, grades);
    if (!h->reason_count)
        add_reason(h, grades, TKS_BELIEVE, "the surface is closed, without flaws that count");
}
