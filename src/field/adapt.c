#include "field/adapt.h"

#include "base/alloc.h"
#include "base/vec.h"
#include "field/refine.h"

/* Splits of one panel between two levels. */
enum { MOST_SPLITS = 6 };

/* Of the panels that a level gains, the part that is due to their own error, to begin with; the
 * rest comes along so that edges meet. Where too many come along, or too few, it is tried again. */
static const double own_share = 0.6;

enum { TRIES = 4 };

/* How much a panel's own error matters: what anodes and walls do is smoothed by the distance. */
static const double weights[] = {[FIELD_WALL] = 0.05, [FIELD_CATHODE] = 1, [FIELD_ANODE] = 0.15};

/* Thin places and thick ones matter for themselves, not only by the current that they take: their
 * errors count up to four times and twice. */
static double weight_of(const field_level *level, size_t i, double mean)
{
    double weight = weights[level->mesh.panels[i].kind], density = level->density[i];
    if (level->mesh.panels[i].kind != FIELD_CATHODE || !(mean > 0)) return weight;
    if (density > mean) return weight * fmin(2, sqrt(density / mean));
    return weight * fmin(4, mean / fmax(density, 1e-3 * mean));
}

/* Current [A] that is put in the wrong place by holding the density even over the panel: its area
 * times the largest step to a neighbour. Walls have potential steps over their size instead. */
static double misplaced(const field_level *level, const size_t *neighbours, size_t i,
                        double conductivity, double mean)
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
    return weight_of(level, i, mean) * step * vec3_length(field_mesh_area(mesh, i));
}

/* Mean density of the parts. */
static double mean_density(const field_level *level)
{
    double area = 0, current = 0;
    for (size_t i = 0; i < level->mesh.count; i++) {
        if (level->mesh.panels[i].kind != FIELD_CATHODE) continue;
        double a = vec3_length(field_mesh_area(&level->mesh, i));
        area += a;
        current += a * level->density[i];
    }
    return area > 0 ? fmax(current / area, 0) : 0;
}

/* How often a panel is split so that its error falls to the limit: a split halves the area, and two
 * splits the step to the neighbours. */
static int splits_for(double error, double limit)
{
    if (!(error > limit)) return 0;
    return (int)fmin(ceil(log2(error / limit) / 1.5), MOST_SPLITS);
}

/* Panels that the splits add. */
static double added(const double *errors, size_t n, double limit)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++) sum += (double)((1 << splits_for(errors[i], limit)) - 1);
    return sum;
}

/* The limit at which about `wanted` panels are added, by halving on a logarithmic scale. */
static double find_limit(const double *errors, size_t n, double wanted)
{
    double most = 0;
    for (size_t i = 0; i < n; i++) most = fmax(most, errors[i]);
    double low = most * 1e-9, high = most;
    for (int k = 0; k < 40; k++) {
        double middle = sqrt(low * high);
        *(added(errors, n, middle) > wanted ? &low : &high) = middle;
    }
    return low;
}

/* Splits still due for each panel of a mesh, and the panel of the level that it came from. */
typedef struct due {
    uint8_t *splits;
    size_t *origin;
} due;

static bool plan_splits(const field_level *level, double conductivity, double wanted, due *d)
{
    size_t n = level->mesh.count, *neighbours = NULL;
    double *errors = base_alloc(n, sizeof *errors);
    d->splits = base_alloc(n, sizeof *d->splits);
    d->origin = base_alloc(n, sizeof *d->origin);
    bool ready = errors && d->splits && d->origin && field_neighbours(&level->mesh, &neighbours);
    if (ready) {
        double mean = mean_density(level);
        for (size_t i = 0; i < n; i++)
            errors[i] = misplaced(level, neighbours, i, conductivity, mean);
        double limit = find_limit(errors, n, wanted);
        for (size_t i = 0; i < n; i++) {
            d->splits[i] = (uint8_t)splits_for(errors[i], limit);
            d->origin[i] = i;
        }
    }
    base_free(errors);
    base_free(neighbours);
    return ready;
}

/* One pass: splits what is due, and hands on what is due still. */
static bool split_once(field_mesh *mesh, due *d)
{
    size_t n = mesh->count, *parents = NULL;
    uint8_t *before = base_alloc(n, sizeof *before);
    for (size_t i = 0; before && i < n; i++) before[i] = mesh->panels[i].depth;
    due next = {0};
    bool ready = before && field_refine(mesh, d->splits, &parents);
    if (ready) {
        next.splits = base_alloc(mesh->count, sizeof *next.splits);
        next.origin = base_alloc(mesh->count, sizeof *next.origin);
        ready = next.splits && next.origin;
    }
    for (size_t i = 0; ready && i < mesh->count; i++) {
        size_t parent = parents[i];
        int done = mesh->panels[i].depth - before[parent], left = d->splits[parent] - done;
        next.splits[i] = (uint8_t)(left > 0 ? left : 0);
        next.origin[i] = d->origin[parent];
    }
    base_free(before);
    base_free(parents);
    base_free(d->splits);
    base_free(d->origin);
    *d = next;
    return ready;
}

static bool split_all(field_mesh *mesh, due *d)
{
    for (int pass = 0; pass < MOST_SPLITS; pass++)
        if (!split_once(mesh, d)) return false;
    return true;
}

static void free_due(due *d)
{
    base_free(d->splits);
    base_free(d->origin);
    *d = (due){0};
}

/* One finer mesh, with `wanted` panels gained by their own error. */
static bool make_finer(const field_level *level, double conductivity, double wanted,
                       field_mesh *finer, due *d)
{
    *finer = (field_mesh){0};
    bool ready = plan_splits(level, conductivity, wanted, d) &&
                 field_mesh_copy(&level->mesh, finer) && split_all(finer, d);
    if (ready) return true;
    free_due(d);
    field_mesh_free(finer);
    return false;
}

tks_status field_adapt(const field_level *level, double conductivity, size_t aim, field_mesh *finer,
                       double **start, tks_error *err)
{
    due d = {0};
    double gain = (double)aim - (double)level->mesh.count, wanted = own_share * gain;
    bool ready = make_finer(level, conductivity, wanted, finer, &d);
    for (int k = 1; ready && k < TRIES; k++) {
        double gained = (double)finer->count - (double)level->mesh.count;
        if (gained >= 0.9 * gain && gained <= 1.1 * gain) break;
        wanted *= gain / fmax(gained, gain / 4);
        free_due(&d);
        field_mesh_free(finer);
        ready = make_finer(level, conductivity, wanted, finer, &d);
    }
    *start = ready ? base_alloc(finer->count, sizeof **start) : NULL;
    for (size_t i = 0; *start && i < finer->count; i++) (*start)[i] = level->density[d.origin[i]];
    free_due(&d);
    if (*start) return TKS_OK;
    if (ready) field_mesh_free(finer);
    return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
}
