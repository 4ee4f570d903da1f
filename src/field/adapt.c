#include "field/adapt.h"

#include "base/alloc.h"
#include "base/vec.h"
#include "field/refine.h"

#include <stdlib.h>

/* How much a panel's own error matters: what anodes and walls do is smoothed by the distance. */
static const double weights[] = {[FIELD_WALL] = 0.3, [FIELD_CATHODE] = 1, [FIELD_ANODE] = 0.3};

/* Current [A] that is put in the wrong place by holding the density even over the panel: its area
 * times the largest step to a neighbour. Walls have potential steps over their size instead. */
static double misplaced(const field_level *level, const size_t *neighbours, size_t i,
                        double conductivity)
{
    const field_mesh *mesh = &level->mesh;
    bool wall = mesh->panels[i].kind == FIELD_WALL;
    const double *value = wall ? level->potential : level->density;
    double step = 0;
    for (size_t k = 0; k < 3; k++) {
        size_t j = neighbours[3 * i + k];
        if (j != SIZE_MAX) step = fmax(step, fabs(value[j] - value[i]));
    }
    if (wall) step *= conductivity / field_mesh_longest(mesh, i, NULL);
    return weights[mesh->panels[i].kind] * step * vec3_length(field_mesh_area(mesh, i));
}

static int downward(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x < y) - (x > y);
}

/* The value that `count` of the n errors lie above. */
static double threshold(const double *errors, size_t n, size_t count, double *sorted)
{
    for (size_t i = 0; i < n; i++) sorted[i] = errors[i];
    qsort(sorted, n, sizeof *sorted, downward);
    return sorted[count < n ? count : n - 1];
}

static bool mark(const field_level *level, double conductivity, size_t count, uint8_t *marks)
{
    size_t n = level->mesh.count, *neighbours = NULL;
    double *errors = base_alloc(2 * n, sizeof *errors);
    bool ready = errors && field_neighbours(&level->mesh, &neighbours);
    if (ready) {
        for (size_t i = 0; i < n; i++) errors[i] = misplaced(level, neighbours, i, conductivity);
        double least = threshold(errors, n, count, errors + n);
        for (size_t i = 0; i < n; i++) marks[i] = errors[i] > least;
    }
    base_free(errors);
    base_free(neighbours);
    return ready;
}

tks_status field_adapt(const field_level *level, double conductivity, size_t aim, field_mesh *finer,
                       double **start, tks_error *err)
{
    size_t n = level->mesh.count, *parents = NULL;
    uint8_t *marks = base_alloc(n, sizeof *marks);
    size_t count = aim > n ? 2 * (aim - n) / 5 + 1 : 1; /* each split brings about 1.5 more along */
    *finer = (field_mesh){0};
    *start = NULL;
    bool ready = marks && mark(level, conductivity, count, marks) &&
                 field_mesh_copy(&level->mesh, finer) && field_refine(finer, marks, &parents);
    if (ready) *start = base_alloc(finer->count, sizeof **start);
    ready = ready && *start;
    for (size_t i = 0; ready && i < finer->count; i++) (*start)[i] = level->density[parents[i]];
    base_free(marks);
    base_free(parents);
    if (ready) return TKS_OK;
    field_mesh_free(finer);
    return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
}
