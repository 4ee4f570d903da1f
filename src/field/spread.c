#include "field/field.h"

#include "base/alloc.h"
#include "base/sum.h"
#include "base/vec.h"

#include <stdlib.h>

/* A density and the area that has it. */
typedef struct sample {
    double density, area;
    size_t panel;
} sample;

static int by_density(const void *a, const void *b)
{
    double x = ((const sample *)a)->density, y = ((const sample *)b)->density;
    return (x > y) - (x < y);
}

static bool chosen(const field_panel *panel, int body, int group)
{
    if (group >= 0 && panel->group != (uint32_t)group) return false;
    return body >= 0 ? panel->kind != FIELD_WALL && panel->body == (uint32_t)body
                     : panel->kind == FIELD_CATHODE;
}

/* No density is below zero: nothing dissolves from a part that is being plated; the rest is the
 * method's own error, in the depth of bores. */
static size_t gather(const field_level *level, int body, int group, sample *samples)
{
    size_t count = 0;
    for (size_t i = 0; i < level->mesh.count; i++)
        if (chosen(&level->mesh.panels[i], body, group))
            samples[count++] = (sample){fmax(level->density[i], 0),
                                        vec3_length(field_mesh_area(&level->mesh, i)), i};
    qsort(samples, count, sizeof *samples, by_density);
    return count;
}

/* Density below which `part` of the area lies, between the samples by line. */
static double percentile(const sample *samples, size_t count, double area, double part)
{
    double below = 0, wanted = part * area;
    for (size_t i = 0; i < count; i++) {
        double middle = below + samples[i].area / 2;
        if (middle >= wanted) {
            if (i == 0) return samples[0].density;
            double width = (samples[i - 1].area + samples[i].area) / 2;
            double t = (middle - wanted) / width;
            return samples[i].density + t * (samples[i - 1].density - samples[i].density);
        }
        below += samples[i].area;
    }
    return samples[count - 1].density;
}

static void find_extremes(const field_level *level, const sample *samples, size_t count,
                          tks_field_spread *spread)
{
    size_t low = samples[0].panel, high = low;
    for (size_t i = 1; i < count; i++) {
        size_t panel = samples[i].panel;
        if (level->spot[panel] < level->spot[low]) low = panel;
        if (level->spot[panel] > level->spot[high]) high = panel;
    }
    spread->minimum.value = fmax(level->spot[low], 0);
    spread->maximum.value = fmax(level->spot[high], 0);
    spread->lowest = field_mesh_centre(&level->mesh, low);
    spread->highest = field_mesh_centre(&level->mesh, high);
}

static tks_status measure(const field_level *level, int body, int group, tks_field_spread *spread,
                          tks_error *err)
{
    sample *samples = base_alloc(level->mesh.count, sizeof *samples);
    if (!samples) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    size_t count = gather(level, body, group, samples);
    if (count == 0) {
        base_free(samples);
        return tks_fail(err, TKS_EMISSING, tks_nowhere(), "no surface of that kind is in the tank");
    }
    base_sum area = {0}, current = {0};
    for (size_t i = 0; i < count; i++) {
        base_sum_add(&area, samples[i].area);
        base_sum_add(&current, samples[i].area * samples[i].density);
    }
    spread->area = base_sum_total(&area);
    spread->mean.value = base_sum_total(&current) / spread->area;
    spread->low2.value = percentile(samples, count, spread->area, 0.02);
    spread->low5.value = percentile(samples, count, spread->area, 0.05);
    spread->high95.value = percentile(samples, count, spread->area, 0.95);
    spread->high98.value = percentile(samples, count, spread->area, 0.98);
    find_extremes(level, samples, count, spread);
    base_free(samples);
    return TKS_OK;
}

double field_error_between(const tks_field *field, double fine, double coarse)
{
    if (!field->coarse.system) return NAN;
    double ratio = (double)field->fine.mesh.count / (double)field->coarse.mesh.count;
    double factor = 2 / fmin(1, fmax(ratio - 1, 0.25));
    return factor * fabs(fine - coarse) + 1e-3 * fabs(fine);
}

tks_status tks_field_spread_of(const tks_field *field, int body, int group,
                               tks_field_spread *spread, tks_error *err)
{
    if (!field->solved) return tks_fail(err, TKS_EMISSING, tks_nowhere(), "nothing was solved yet");
    tks_field_spread fine = {0}, coarse = {0};
    tks_status status = measure(&field->fine, body, group, &fine, err);
    if (status) return status;
    coarse = fine;
    if (field->coarse.system && (status = measure(&field->coarse, body, group, &coarse, err)))
        return status;
    tks_estimate *values[] = {&fine.mean, &fine.minimum, &fine.maximum, &fine.low2,
                              &fine.low5, &fine.high95,  &fine.high98};
    const tks_estimate *others[] = {&coarse.mean, &coarse.minimum, &coarse.maximum, &coarse.low2,
                                    &coarse.low5, &coarse.high95,  &coarse.high98};
    for (size_t i = 0; i < sizeof values / sizeof *values; i++)
        values[i]->error = field_error_between(field, values[i]->value, others[i]->value);
    *spread = fine;
    return TKS_OK;
}
