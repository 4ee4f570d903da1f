#include "field/field.h"

#include "base/alloc.h"
#include "base/sum.h"
#include "base/vec.h"

#include <stdlib.h>

/* What is measured: a density and a spot's mean for each panel. */
typedef struct view {
    const field_mesh *mesh;
    const double *density, *spot;
} view;

static view view_of(const field_level *level)
{
    return (view){&level->mesh, level->density, level->spot};
}

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

static bool chosen(const field_panel *panel, int body, uint32_t groups)
{
    if (!(groups >> (panel->group < 31 ? panel->group : 31) & 1)) return false;
    return body >= 0 ? panel->kind != FIELD_WALL && panel->body == (uint32_t)body
                     : panel->kind == FIELD_CATHODE;
}

/* No density is below zero: nothing dissolves from a part that is being plated; the rest is the
 * method's own error, in the depth of bores. */
static size_t gather(const view *v, int body, uint32_t groups, sample *samples)
{
    size_t count = 0;
    for (size_t i = 0; i < v->mesh->count; i++)
        if (chosen(&v->mesh->panels[i], body, groups))
            samples[count++] =
                (sample){fmax(v->density[i], 0), vec3_length(field_mesh_area(v->mesh, i)), i};
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

static void find_extremes(const view *v, const sample *samples, size_t count,
                          tks_field_spread *spread)
{
    size_t low = samples[0].panel, high = low;
    for (size_t i = 1; i < count; i++) {
        size_t panel = samples[i].panel;
        if (v->spot[panel] < v->spot[low]) low = panel;
        if (v->spot[panel] > v->spot[high]) high = panel;
    }
    spread->minimum.value = fmax(v->spot[low], 0);
    spread->maximum.value = fmax(v->spot[high], 0);
    spread->lowest = field_mesh_centre(v->mesh, low);
    spread->highest = field_mesh_centre(v->mesh, high);
}

static tks_status measure(const view *v, int body, uint32_t groups, tks_field_spread *spread,
                          tks_error *err)
{
    sample *samples = base_alloc(v->mesh->count, sizeof *samples);
    if (!samples) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    size_t count = gather(v, body, groups, samples);
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
    find_extremes(v, samples, count, spread);
    base_free(samples);
    return TKS_OK;
}

double field_error_between(const tks_field *field, double fine, double coarse)
{
    if (!field->coarse.system) return NAN;
    double ratio = (double)field->fine.mesh.count / (double)field->coarse.mesh.count;
    double factor = 2 / fmin(1, fmax(ratio - 1, 0.25));
    return factor * fabs(fine - coarse) + 3e-3 * fabs(fine);
}

tks_status tks_field_spread_of(const tks_field *field, int body, uint32_t groups,
                               tks_field_spread *spread, tks_error *err)
{
    if (!field->solved) return tks_fail(err, TKS_EMISSING, tks_nowhere(), "nothing was solved yet");
    tks_field_spread fine = {0}, coarse = {0};
    view now = view_of(&field->fine), before = view_of(&field->coarse);
    tks_status status = measure(&now, body, groups, &fine, err);
    if (status) return status;
    coarse = fine;
    if (field->coarse.system && (status = measure(&before, body, groups, &coarse, err)))
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

/* Means of two arrays of n values each; NULL when memory is short. */
static double *mean_of(const double *a, const double *b, size_t n)
{
    double *mean = base_alloc(n, sizeof *mean);
    for (size_t i = 0; mean && i < n; i++) mean[i] = (fmax(a[i], 0) + fmax(b[i], 0)) / 2;
    return mean;
}

tks_status tks_field_spread_of_halves(const tks_field *first, const tks_field *second, int body,
                                      uint32_t groups, tks_field_spread *spread, tks_error *err)
{
    size_t n = first->fine.mesh.count;
    if (!first->solved || !second->solved || second->fine.mesh.count != n)
        return tks_fail(err, TKS_EMISSING, tks_nowhere(),
                        "the two fields are not both solved on the same elements");
    double *density = mean_of(first->fine.density, second->fine.density, n);
    double *spot = mean_of(first->fine.spot, second->fine.spot, n);
    view both = {&first->fine.mesh, density, spot};
    tks_status status = density && spot
                            ? measure(&both, body, groups, spread, err)
                            : tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    base_free(density);
    base_free(spot);
    if (status) return status;
    spread->mean.error = spread->minimum.error = spread->maximum.error = NAN;
    spread->low2.error = spread->low5.error = spread->high95.error = spread->high98.error = NAN;
    return TKS_OK;
}
