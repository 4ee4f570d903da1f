#include "field/system.h"

#include "base/alloc.h"
#include "base/sum.h"
#include "base/vec.h"
#include "field/krylov.h"
#include "field/lu.h"

#include <string.h>

enum { MOST_STEPS = 400 };

/* ------------------------------------------------------------------ making */

static void *take(size_t count, size_t size, bool *ready)
{
    void *block = base_alloc(count, size);
    if (!block) *ready = false;
    return block;
}

static bool take_memory(field_system *s)
{
    bool ready = true;
    size_t n = s->count, blocks = field_operator_block_count(s->op), values = 0;
    s->factor_at = take(blocks, sizeof(size_t), &ready);
    for (size_t i = 0; ready && i < blocks; i++) {
        field_block block = field_operator_block(s->op, i);
        s->factor_at[i] = values;
        values += block.count * block.count;
    }
    s->kind = take(n, sizeof(uint8_t), &ready);
    double **vectors[] = {&s->area,      &s->weight,     &s->offset, &s->length, &s->outflow,
                          &s->potential, &s->by_voltage, &s->single, &s->twin};
    for (size_t i = 0; i < sizeof vectors / sizeof *vectors; i++)
        *vectors[i] = take(n, sizeof(double), &ready);
    s->factors = take(values, sizeof(double), &ready);
    s->border = take(2 * n, sizeof(double), &ready);
    s->pivots = take(n, sizeof(size_t), &ready);
    return ready;
}

/* Column of the voltage: what anodes at one volt do to every row. */
static void set_columns(field_system *s)
{
    base_sum total = {0};
    for (size_t i = 0; i < s->count; i++) {
        base_sum_add(&total, s->area[i]);
        s->single[i] = 0;
        s->twin[i] = s->kind[i] == FIELD_ANODE ? 1 : 0;
    }
    field_operator_apply(s->op, s->single, s->twin, s->by_voltage);
    for (size_t i = 0; i < s->count; i++) {
        s->weight[i] = sqrt(s->area[i] / base_sum_total(&total));
        s->by_voltage[i] = s->weight[i] * (s->by_voltage[i] - s->twin[i] / 2);
    }
}

static tks_vec3 *flat_corners(const field_mesh *mesh)
{
    tks_vec3 *corners = base_alloc(3 * mesh->count, sizeof *corners);
    for (size_t i = 0; corners && i < mesh->count; i++)
        for (int k = 0; k < 3; k++) corners[3 * i + (size_t)k] = field_mesh_corner(mesh, i, k);
    return corners;
}

tks_status field_system_new(base_team *team, const field_mesh *mesh, bool open, size_t limit,
                            field_system **system, tks_error *err)
{
    field_system *s = base_alloc(1, sizeof *s);
    tks_vec3 *corners = s ? flat_corners(mesh) : NULL;
    if (!corners) {
        base_free(s);
        return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    }
    s->team = team;
    s->count = mesh->count;
    s->open = open;
    tks_status status = field_operator_new(team, corners, mesh->count, limit, &s->op, err);
    base_free(corners);
    if (!status && !take_memory(s))
        status = tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    if (status) {
        field_system_free(s);
        return status;
    }
    const size_t *order = field_operator_tree(s->op)->order;
    for (size_t i = 0; i < s->count; i++) {
        s->kind[i] = mesh->panels[order[i]].kind;
        s->area[i] = vec3_length(field_mesh_area(mesh, order[i]));
    }
    set_columns(s);
    *system = s;
    return TKS_OK;
}

void field_system_free(field_system *s)
{
    if (!s) return;
    field_operator_free(s->op);
    void *blocks[] = {s->kind,    s->area,      s->weight,     s->offset, s->length,
                      s->outflow, s->potential, s->by_voltage, s->single, s->twin,
                      s->factors, s->factor_at, s->border,     s->pivots};
    for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++) base_free(blocks[i]);
    base_free(s);
}

/* ------------------------------------------------------------------ the borders
 *
 * Behind the count unknowns of the triangles stand C (unless the liquid is open) and V (where the
 * current is given); behind their rows, sum of p A over the electrodes, and over the anodes. */

static size_t borders(const field_system *s)
{
    return (s->open ? 0u : 1u) + (s->driven ? 1u : 0u);
}

static bool is_voltage(const field_system *s, size_t border)
{
    return s->open || border == 1;
}

static double column_value(const field_system *s, size_t border, size_t i)
{
    return is_voltage(s, border) ? s->by_voltage[i] : s->weight[i];
}

/* Sum of p A over the triangles of a border's row. */
static double flow_through(const field_system *s, size_t border, const double *x)
{
    base_sum sum = {0};
    for (size_t i = 0; i < s->count; i++) {
        bool counted = is_voltage(s, border) ? s->kind[i] == FIELD_ANODE : s->kind[i] != FIELD_WALL;
        if (counted) base_sum_add(&sum, s->area[i] * x[i]);
    }
    return base_sum_total(&sum);
}

/* ------------------------------------------------------------------ products */

/* y = weight (S p - (1/2 + D) phi). */
static void product(const field_system *s, double *y)
{
    field_operator_apply(s->op, s->single, s->twin, y);
    for (size_t i = 0; i < s->count; i++) y[i] = s->weight[i] * (y[i] - s->twin[i] / 2);
}

static void apply(void *context, const double *x, double *y)
{
    field_system *s = context;
    for (size_t i = 0; i < s->count; i++) {
        bool wall = s->kind[i] == FIELD_WALL;
        s->single[i] = wall ? 0 : x[i];
        s->twin[i] = wall ? x[i] : -s->length[i] * x[i];
    }
    product(s, y);
    for (size_t b = 0; b < borders(s); b++) {
        for (size_t i = 0; i < s->count; i++) y[i] += column_value(s, b, i) * x[s->count + b];
        y[s->count + b] = flow_through(s, b, x);
    }
}

/* ------------------------------------------------------------------ the preconditioner */

static void factor_block(void *context, size_t number)
{
    field_system *s = context;
    field_block block = field_operator_block(s->op, number);
    double *a = s->factors + s->factor_at[number];
    for (size_t i = 0; i < block.count; i++)
        for (size_t j = 0; j < block.count; j++) {
            size_t column = block.begin + j;
            double single = (double)block.single[i * block.stride + j];
            double twin = (double)block.twin[i * block.stride + j] + (i == j ? 0.5 : 0);
            bool wall = s->kind[column] == FIELD_WALL;
            a[i * block.count + j] =
                s->weight[block.begin + i] * (wall ? -twin : single + s->length[column] * twin);
        }
    if (!field_lu_factor(a, block.count, s->pivots + block.begin)) s->failed = true;
}

typedef struct block_solve {
    const field_system *s;
    double *x;
} block_solve;

static void solve_block(void *context, size_t number)
{
    const block_solve *solve = context;
    const field_system *s = solve->s;
    field_block block = field_operator_block(s->op, number);
    field_lu_solve(s->factors + s->factor_at[number], block.count, s->pivots + block.begin,
                   solve->x + block.begin);
}

static void solve_blocks(const field_system *s, double *x)
{
    base_team_run(s->team, field_operator_block_count(s->op), solve_block, &(block_solve){s, x});
}

/* c = inverse of the Schur complement times c. */
static void solve_schur(const field_system *s, double c[2])
{
    if (borders(s) == 1) c[0] /= s->schur[0][0];
    if (borders(s) < 2) return;
    double determinant = s->schur[0][0] * s->schur[1][1] - s->schur[0][1] * s->schur[1][0];
    double first = (s->schur[1][1] * c[0] - s->schur[0][1] * c[1]) / determinant;
    c[1] = (s->schur[0][0] * c[1] - s->schur[1][0] * c[0]) / determinant;
    c[0] = first;
}

/* The inverse of the blocks with their borders, exactly. */
static void prepare(void *context, const double *x, double *y)
{
    field_system *s = context;
    double c[2] = {0};
    memcpy(y, x, s->count * sizeof *y);
    solve_blocks(s, y);
    for (size_t b = 0; b < borders(s); b++) c[b] = flow_through(s, b, y) - x[s->count + b];
    solve_schur(s, c);
    for (size_t b = 0; b < borders(s); b++) {
        const double *column = s->border + b * s->count;
        for (size_t i = 0; i < s->count; i++) y[i] -= c[b] * column[i];
        y[s->count + b] = c[b];
    }
}

static bool make_preconditioner(field_system *s)
{
    s->failed = false;
    base_team_run(s->team, field_operator_block_count(s->op), factor_block, s);
    for (size_t b = 0; b < borders(s); b++) {
        double *column = s->border + b * s->count;
        for (size_t i = 0; i < s->count; i++) column[i] = column_value(s, b, i);
        solve_blocks(s, column);
        for (size_t row = 0; row < borders(s); row++)
            s->schur[row][b] = flow_through(s, row, column);
    }
    return !s->failed;
}

/* ------------------------------------------------------------------ solving */

/* Right side: what offsets and a given voltage do, moved over. */
static void right_side(field_system *s, field_demand demand, double *b)
{
    for (size_t i = 0; i < s->count; i++) {
        double voltage = !demand.driven && s->kind[i] == FIELD_ANODE ? demand.voltage : 0;
        s->single[i] = 0;
        s->twin[i] = s->kind[i] == FIELD_WALL ? 0 : s->offset[i] + voltage;
    }
    product(s, b);
    for (size_t i = 0; i < s->count; i++) b[i] = -b[i];
    for (size_t k = 0; k < borders(s); k++) b[s->count + k] = is_voltage(s, k) ? demand.flow : 0;
}

static double norm_of_rest(field_system *s, const double *b, const double *x, double *work)
{
    apply(s, x, work);
    double sum = 0;
    for (size_t i = 0; i < s->count; i++) sum += (b[i] - work[i]) * (b[i] - work[i]);
    return sqrt(sum);
}

/* Makes x meet the border rows exactly; they then stay met through all iterations. */
static void meet_borders(field_system *s, const double *b, double *x, double *work, double *step)
{
    memset(work, 0, s->count * sizeof *work);
    for (size_t k = 0; k < borders(s); k++)
        work[s->count + k] = b[s->count + k] - flow_through(s, k, x);
    prepare(s, work, step);
    for (size_t i = 0; i < s->count + borders(s); i++) x[i] += step[i];
}

static void load_solution(const field_system *s, double *x)
{
    for (size_t i = 0; i < s->count; i++)
        x[i] = s->kind[i] == FIELD_WALL ? s->potential[i] : s->outflow[i];
    for (size_t k = 0; k < borders(s); k++)
        x[s->count + k] = is_voltage(s, k) ? s->voltage : s->constant;
}

static void keep_solution(field_system *s, field_demand demand, const double *x)
{
    s->voltage = demand.voltage;
    for (size_t k = 0; k < borders(s); k++)
        *(is_voltage(s, k) ? &s->voltage : &s->constant) = x[s->count + k];
    for (size_t i = 0; i < s->count; i++) {
        bool wall = s->kind[i] == FIELD_WALL;
        s->outflow[i] = wall ? 0 : x[i];
        s->potential[i] = wall ? x[i]
                               : s->offset[i] - s->length[i] * x[i] +
                                     (s->kind[i] == FIELD_ANODE ? s->voltage : 0);
    }
}

typedef struct run {
    field_system *system;
    field_going going;
    void *context;
    double scale;
} run;

static void run_apply(void *context, const double *x, double *y)
{
    apply(((run *)context)->system, x, y);
}

static void run_prepare(void *context, const double *x, double *y)
{
    prepare(((run *)context)->system, x, y);
}

static bool run_going(void *context, int step, double residual)
{
    const run *r = context;
    (void)step;
    return !r->going || r->going(r->context, residual / r->scale);
}

tks_status field_system_solve(field_system *s, field_demand demand, double tolerance,
                              field_going going, void *context, int *steps, tks_error *err)
{
    s->driven = demand.driven;
    size_t size = s->count + borders(s);
    double *vectors = base_alloc(4 * size, sizeof *vectors);
    if (!vectors) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    double *x = vectors, *b = vectors + size, *work = b + size, *spare = work + size;
    tks_status status = TKS_ECONVERGE;
    int taken = 0;
    if (make_preconditioner(s)) {
        run r = {s, going, context, 0};
        right_side(s, demand, b);
        meet_borders(s, b, x, work, spare);
        r.scale = norm_of_rest(s, b, x, work);
        load_solution(s, x);
        meet_borders(s, b, x, work, spare);
        field_krylov k = {.size = size,
                          .apply = run_apply,
                          .prepare = run_prepare,
                          .going = run_going,
                          .context = &r,
                          .enough = tolerance * r.scale,
                          .most = MOST_STEPS};
        status = field_krylov_solve(&k, b, x, &taken);
    }
    *steps += taken;
    if (!status) keep_solution(s, demand, x);
    base_free(vectors);
    if (status == TKS_ECONVERGE)
        return tks_fail(err, status, tks_nowhere(),
                        "the field did not settle after %d iterations on %zu elements", taken,
                        s->count);
    return status ? tks_fail(err, status, tks_nowhere(), "out of memory") : TKS_OK;
}
