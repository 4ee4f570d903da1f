#include "tankside/adjust.h"

#include "base/sum.h"

#include <math.h>

/* Without current a zinc bath begins to attack the deposit and a film forms on it. Common practice,
 * no source. */
#define LONG_PAUSE 120.0

/* Beyond this share over the wanted thickness it is told. */
#define OVER 1.2

static tks_status check_reading(const tks_reading *r, const tks_reading *before, tks_error *err)
{
    if (!(isfinite(r->time) && r->current >= 0 && isfinite(r->current)))
        return tks_fail(err, TKS_EDOMAIN, r->at,
                        "a reading of %g A at %g s cannot be; the current must not be negative",
                        r->current, r->time);
    if (before && !(r->time > before->time))
        return tks_fail(err, TKS_EDOMAIN, r->at,
                        "time runs backwards: %g s comes after %g s; readings must be in order",
                        r->time, before->time);
    return TKS_OK;
}

static tks_status check_all(double area, double thickness, const tks_reading *readings,
                            size_t count, tks_error *err)
{
    if (!(area > 0 && isfinite(area) && thickness > 0 && isfinite(thickness)))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "area %g m^2 and thickness %g m must be above zero", area, thickness);
    if (!count)
        return tks_fail(err, TKS_EMISSING, tks_nowhere(), "there is no reading of the ammeter");
    for (size_t i = 0; i < count; i++) {
        tks_status status = check_reading(&readings[i], i ? &readings[i - 1] : NULL, err);
        if (status) return status;
    }
    return TKS_OK;
}

/* Mean current from one reading to the next. */
static double mean_current(const tks_reading *from, const tks_reading *to)
{
    if (from->current == 0 || to->current == 0) return from->current;
    return (from->current + to->current) / 2;
}

typedef struct tally {
    base_sum charge, plated;
    double pause, longest_pause;
    bool began;
} tally;

static void count_stretch(tally *t, const tks_reading *from, const tks_reading *to)
{
    double time = to->time - from->time, current = mean_current(from, to);
    if (current > 0) {
        base_sum_add(&t->charge, current * time);
        base_sum_add(&t->plated, time);
        t->began = true;
        t->pause = 0;
    } else {
        t->pause += time;
        bool between = t->began && to->current > 0;
        if (between) t->longest_pause = fmax(t->longest_pause, t->pause);
    }
}

static void find_densities(const tks_reading *readings, size_t count, double area, tks_progress *p)
{
    p->least_density = INFINITY;
    for (size_t i = 0; i < count; i++) {
        double density = readings[i].current / area;
        p->most_density = fmax(p->most_density, density);
        if (density > 0) p->least_density = fmin(p->least_density, density);
    }
    if (!isfinite(p->least_density)) p->least_density = 0;
    p->density = readings[count - 1].current / area;
}

tks_status tks_adjust(const tks_bath *bath, double area, double thickness,
                      const tks_reading *readings, size_t count, tks_progress *progress,
                      tks_error *err)
{
    tks_status status = tks_bath_check(bath, err);
    if (!status) status = check_all(area, thickness, readings, count, err);
    if (status) return status;
    tally t = {0};
    for (size_t i = 1; i < count; i++) count_stretch(&t, &readings[i - 1], &readings[i]);
    double efficiency = bath->efficiency.usual;
    tks_progress p = {.elapsed = readings[count - 1].time - readings[0].time,
                      .plated = base_sum_total(&t.plated),
                      .longest_pause = t.longest_pause,
                      .charge = base_sum_total(&t.charge),
                      .wanted = thickness};
    p.thickness = tks_faraday_thickness(bath->metal, efficiency, p.charge / area);
    p.metal = tks_faraday_mass(bath->metal, efficiency, p.charge);
    find_densities(readings, count, area, &p);
    double rate = tks_faraday_thickness(bath->metal, efficiency, p.density);
    double to_go = fmax(0, thickness - p.thickness);
    p.left = to_go > 0 ? to_go / rate : 0;
    if (!isfinite(p.charge) || !isfinite(p.most_density) || isnan(p.left))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "the readings are too large to reckon with");
    *progress = p;
    return TKS_OK;
}

tks_status tks_adjust_cautions(const tks_bath *bath, const tks_progress *p, tks_cautions *cautions)
{
    tks_status status = tks_density_cautions(bath, p->most_density, "", cautions);
    if (!status && p->least_density > 0 && p->least_density < bath->current_density.low)
        status = tks_density_cautions(bath, p->least_density, "", cautions);
    if (!status && p->longest_pause > LONG_PAUSE)
        status = tks_caution_add(cautions, TKS_SPOIL, "pause-dry", "",
                                 "%.3g minutes without current: the deposit may have dulled or "
                                 "dried, and what comes on top of it may peel. Dip in dilute acid "
                                 "for a few seconds and rinse before going on.",
                                 p->longest_pause / 60);
    if (!status && p->thickness > OVER * p->wanted)
        status = tks_caution_add(cautions, TKS_DOUBT, "overplated", "",
                                 "%.3g um are there and %.3g um were wanted: check threads and "
                                 "fits.",
                                 p->thickness * 1e6, p->wanted * 1e6);
    return status;
}

static tks_status read_pair(const tks_node *node, const char *file, tks_reading *r, tks_error *err)
{
    tks_status status = tks_node_expect(node, file, TKS_LIST, "a pair [time, current]", err);
    if (status) return status;
    if (node->count != 2)
        return tks_fail(err, TKS_ESYNTAX, tks_node_place(node, file),
                        "a reading is a pair: [12 min, 3.4 A]");
    r->at = tks_node_place(node, file);
    status = tks_node_quantity(node->first, file, TKS_TIME, "time", &r->time, err);
    if (status) return status;
    return tks_node_quantity(node->first->next, file, TKS_CURRENT, "current", &r->current, err);
}

tks_status tks_readings_read(tks_arena *arena, const tks_node *root, const char *file,
                             tks_reading **readings, size_t *count, tks_error *err)
{
    enum { MOST_READINGS = 100000 };
    tks_status status = tks_node_expect(root, file, TKS_LIST, "a list of readings", err);
    if (status) return status;
    if (root->count > MOST_READINGS)
        return tks_fail(err, TKS_ELIMIT, tks_node_place(root, file), "more than %d readings",
                        MOST_READINGS);
    tks_reading *list = tks_arena_take(arena, root->count, sizeof *list);
    if (!list) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    size_t n = 0;
    for (const tks_node *c = root->first; c; c = c->next, n++) {
        status = read_pair(c, file, &list[n], err);
        if (!status) status = check_reading(&list[n], n ? &list[n - 1] : NULL, err);
        if (status) return status;
    }
    *readings = list;
    *count = n;
    return TKS_OK;
}
