#include "field/operator.h"

#include "base/alloc.h"
#include "base/vec.h"
#include "field/harmonics.h"
#include "field/kernel.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

enum { MATRIX = FIELD_TERMS * FIELD_TERMS, WAYS = FIELD_OFFSETS * FIELD_OFFSETS * FIELD_OFFSETS };

/* A leaf's rows of the near field: count rows of stride floats, sources in the order of its near
 * list, filled up to whole lanes with zeros. */
typedef struct leaf_rows {
    size_t node, stride, offset; /* of its first row in single and twin */
    size_t gather;               /* of its place in gathered: 2 x stride */
    size_t self;                 /* column of its own first triangle */
} leaf_rows;

struct field_operator {
    base_team *team;
    field_tree tree;
    tks_vec3 *corners; /* in the tree's order, while building */
    leaf_rows *leaves;
    size_t leaf_count;
    float *single, *twin; /* near field */
    float *gathered;      /* what each leaf's rows are multiplied with */
    size_t near_values, gather_values;
    float *means, *slopes; /* count x FIELD_TERMS: of R over each triangle, and of its derivative
                              along the normal, each times the area */
    float *areas;
    float *moments, *fields;     /* node_count x FIELD_TERMS */
    float *to_parent, *to_child; /* 8 matrices each */
    float *ways;                 /* far matrices in use */
    uint32_t *way;               /* WAYS: number of the matrix + 1; 0: not in use */
    size_t way_count;
    float signs[8][FIELD_TERMS];
    const double *given_single, *given_twin; /* of the apply under way */
    double *potential;
    size_t level_begin;
};

/* ------------------------------------------------------------------ building */

static void put_terms(float *to, const double *from, double scale)
{
    for (int k = 0; k < FIELD_TERMS; k++) to[k] = (float)(from[k] * scale);
}

/* Means over a triangle by the 3-point rule, lengths in sides of the leaf's cube. */
static void set_terms(field_operator *op, const field_node *leaf, size_t i)
{
    const tks_vec3 *corner = op->corners + 3 * i;
    tks_vec3 sum = vec3_add(vec3_add(corner[0], corner[1]), corner[2]);
    double mean[FIELD_TERMS] = {0}, slope[FIELD_TERMS], at[FIELD_TERMS];
    for (int k = 0; k < 3; k++) {
        tks_vec3 p = vec3_step(vec3_scale(sum, 1.0 / 6), 0.5, corner[k]);
        field_harmonics_regular(vec3_scale(vec3_sub(p, leaf->centre), 1 / leaf->side), at);
        for (int t = 0; t < FIELD_TERMS; t++) mean[t] += at[t] / 3;
    }
    tks_vec3 cross = vec3_cross(vec3_sub(corner[1], corner[0]), vec3_sub(corner[2], corner[0]));
    double area = vec3_length(cross) / 2;
    field_harmonics_slope(mean, vec3_unit(cross), slope);
    op->areas[i] = (float)area;
    put_terms(op->means + i * FIELD_TERMS, mean, 1);
    put_terms(op->slopes + i * FIELD_TERMS, slope, area / leaf->side);
}

static void place_sources(const field_operator *op, const leaf_rows *rows, field_sources *sources)
{
    const field_tree *tree = &op->tree;
    tks_vec3 origin = tree->nodes[rows->node].centre;
    size_t column = 0;
    for (size_t k = tree->near_begin[rows->node]; k < tree->near_begin[rows->node + 1]; k++) {
        const field_node *source = &tree->nodes[tree->near[k]];
        for (size_t j = source->begin; j < source->end; j++, column++) {
            tks_vec3 corner[3];
            for (size_t c = 0; c < 3; c++) corner[c] = vec3_sub(op->corners[3 * j + c], origin);
            field_sources_set(sources, column, corner);
        }
    }
    sources->count = column;
    for (int k = 0; k < FIELD_SOURCE_VALUES; k++)
        for (size_t j = column; j < sources->stride; j++)
            sources->values[(size_t)k * sources->stride + j] =
                sources->values[(size_t)k * sources->stride + column - 1];
}

static void target_points(const tks_vec3 *corner, tks_vec3 origin, float points[9])
{
    tks_vec3 sum = vec3_add(vec3_add(corner[0], corner[1]), corner[2]);
    for (int k = 0; k < 3; k++) {
        tks_vec3 p = vec3_sub(vec3_step(vec3_scale(sum, 1.0 / 6), 0.5, corner[k]), origin);
        points[3 * k] = (float)p.x;
        points[3 * k + 1] = (float)p.y;
        points[3 * k + 2] = (float)p.z;
    }
}

/* Fills a leaf's rows and its triangles' terms. A triangle's own double layer is nil: it is flat.
 * Where memory is short the whole is marked by a stride of zero. */
static void fill_leaf(void *context, size_t number)
{
    field_operator *op = context;
    leaf_rows *rows = &op->leaves[number];
    const field_node *leaf = &op->tree.nodes[rows->node];
    field_sources sources = {.stride = rows->stride};
    sources.values = base_alloc(FIELD_SOURCE_VALUES * rows->stride, sizeof(float));
    if (!sources.values) {
        rows->stride = 0;
        return;
    }
    place_sources(op, rows, &sources);
    for (size_t i = leaf->begin; i < leaf->end; i++) {
        size_t row = rows->offset + (i - leaf->begin) * rows->stride;
        float points[9];
        target_points(op->corners + 3 * i, leaf->centre, points);
        field_kernel_row(&sources, points, op->single + row, op->twin + row);
        op->twin[row + rows->self + i - leaf->begin] = 0;
        for (size_t j = sources.count; j < rows->stride; j++)
            op->single[row + j] = op->twin[row + j] = 0;
        set_terms(op, leaf, i);
    }
    base_free(sources.values);
}

/* Counts columns and rows before anything large is asked for. */
static tks_status plan_leaves(field_operator *op, size_t limit, tks_error *err)
{
    const field_tree *tree = &op->tree;
    op->leaves = base_alloc(tree->node_count, sizeof *op->leaves);
    if (!op->leaves) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    for (size_t i = 0; i < tree->node_count; i++) {
        const field_node *node = &tree->nodes[i];
        if (node->children) continue;
        leaf_rows rows = {.node = i, .offset = op->near_values, .gather = op->gather_values};
        for (size_t k = tree->near_begin[i]; k < tree->near_begin[i + 1]; k++) {
            const field_node *source = &tree->nodes[tree->near[k]];
            if (tree->near[k] == i) rows.self = rows.stride;
            rows.stride += source->end - source->begin;
        }
        rows.stride = (rows.stride + FIELD_LANES - 1) / FIELD_LANES * FIELD_LANES;
        op->near_values += rows.stride * (node->end - node->begin);
        op->gather_values += 2 * rows.stride;
        op->leaves[op->leaf_count++] = rows;
    }
    size_t bytes = 2 * sizeof(float) * op->near_values;
    if (bytes <= limit) return TKS_OK;
    return tks_fail(err, TKS_ELIMIT, tks_nowhere(),
                    "the field would need %.1f GB for %zu elements; the limit is %.1f GB",
                    (double)bytes * 1e-9, tree->count, (double)limit * 1e-9);
}

/* Offset of target from source: which matrix, and which of its mirror images. */
static size_t way_of(const field_node *target, const field_node *source, unsigned *mirror)
{
    size_t index = 0;
    *mirror = 0;
    for (int k = 0; k < 3; k++) {
        int32_t step = target->at[k] - source->at[k];
        if (step < 0) *mirror |= 1u << k;
        index = index * FIELD_OFFSETS + (size_t)abs(step);
    }
    return index;
}

static bool plan_ways(field_operator *op)
{
    const field_tree *tree = &op->tree;
    op->way = base_alloc(WAYS, sizeof *op->way);
    if (!op->way) return false;
    unsigned mirror;
    for (size_t i = 0; i < tree->node_count; i++)
        for (size_t k = tree->far_begin[i]; k < tree->far_begin[i + 1]; k++)
            op->way[way_of(&tree->nodes[i], &tree->nodes[tree->far[k]], &mirror)] = 1;
    for (size_t i = 0; i < WAYS; i++)
        if (op->way[i]) op->way[i] = (uint32_t)++op->way_count;
    op->ways = base_alloc(op->way_count * MATRIX, sizeof(float));
    return op->ways != NULL;
}

static void fill_way(void *context, size_t index)
{
    field_operator *op = context;
    if (!op->way[index]) return;
    tks_vec3 a =
        vec3((double)(index / (FIELD_OFFSETS * FIELD_OFFSETS)),
             (double)(index / FIELD_OFFSETS % FIELD_OFFSETS), (double)(index % FIELD_OFFSETS));
    field_harmonics_field(a, op->ways + (size_t)(op->way[index] - 1) * MATRIX);
}

static bool fill_shifts(field_operator *op)
{
    double *shift = base_alloc(MATRIX, sizeof *shift);
    op->to_parent = base_alloc(8 * MATRIX, sizeof(float));
    op->to_child = base_alloc(8 * MATRIX, sizeof(float));
    bool ready = shift && op->to_parent && op->to_child;
    for (size_t o = 0; ready && o < 8; o++) {
        field_harmonics_shift(
            vec3(o & 1 ? 0.25 : -0.25, o & 2 ? 0.25 : -0.25, o & 4 ? 0.25 : -0.25), shift);
        for (size_t row = 0; row < FIELD_TERMS; row++)
            for (size_t column = 0; column < FIELD_TERMS; column++) {
                float value = (float)shift[FIELD_TERMS * row + column];
                op->to_parent[o * MATRIX + FIELD_TERMS * column + row] = value;
                op->to_child[o * MATRIX + FIELD_TERMS * row + column] = value;
            }
    }
    base_free(shift);
    return ready;
}

static bool take_memory(field_operator *op)
{
    size_t count = op->tree.count, nodes = op->tree.node_count;
    op->single = base_alloc(op->near_values, sizeof(float));
    op->twin = base_alloc(op->near_values, sizeof(float));
    op->gathered = base_alloc(op->gather_values, sizeof(float));
    op->means = base_alloc(count * FIELD_TERMS, sizeof(float));
    op->slopes = base_alloc(count * FIELD_TERMS, sizeof(float));
    op->areas = base_alloc(count, sizeof(float));
    op->moments = base_alloc(nodes * FIELD_TERMS, sizeof(float));
    op->fields = base_alloc(nodes * FIELD_TERMS, sizeof(float));
    return op->single && op->twin && op->gathered && op->means && op->slopes && op->areas &&
           op->moments && op->fields;
}

static bool sort_corners(field_operator *op, const tks_vec3 *corners)
{
    op->corners = base_alloc(3 * op->tree.count, sizeof *op->corners);
    if (!op->corners) return false;
    for (size_t i = 0; i < op->tree.count; i++)
        memcpy(op->corners + 3 * i, corners + 3 * op->tree.order[i], 3 * sizeof *corners);
    return true;
}

static bool fill(field_operator *op)
{
    for (unsigned mirror = 0; mirror < 8; mirror++)
        field_harmonics_mirror(mirror, op->signs[mirror]);
    base_team_run(op->team, WAYS, fill_way, op);
    base_team_run(op->team, op->leaf_count, fill_leaf, op);
    for (size_t i = 0; i < op->leaf_count; i++)
        if (op->leaves[i].stride == 0) return false;
    base_free(op->corners);
    op->corners = NULL;
    return true;
}

tks_status field_operator_new(base_team *team, const tks_vec3 *corners, size_t count, size_t limit,
                              field_operator **result, tks_error *err)
{
    field_operator *op = base_alloc(1, sizeof *op);
    if (!op) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    op->team = team;
    tks_status status = field_tree_build(corners, count, &op->tree);
    if (!status) status = plan_leaves(op, limit, err);
    if (!status && !(sort_corners(op, corners) && plan_ways(op) && fill_shifts(op) &&
                     take_memory(op) && fill(op)))
        status = TKS_EMEMORY;
    if (!status) {
        *result = op;
        return TKS_OK;
    }
    field_operator_free(op);
    return status == TKS_EMEMORY ? tks_fail(err, status, tks_nowhere(), "out of memory") : status;
}

void field_operator_free(field_operator *op)
{
    if (!op) return;
    field_tree_free(&op->tree);
    void *blocks[] = {op->corners,   op->leaves,   op->single, op->twin,    op->gathered,
                      op->means,     op->slopes,   op->areas,  op->moments, op->fields,
                      op->to_parent, op->to_child, op->ways,   op->way};
    for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++) base_free(blocks[i]);
    base_free(op);
}

/* ------------------------------------------------------------------ applying */

static void gather_moments(void *context, size_t number)
{
    field_operator *op = context;
    const field_node *leaf = &op->tree.nodes[op->leaves[number].node];
    float *moments = op->moments + op->leaves[number].node * FIELD_TERMS;
    memset(moments, 0, FIELD_TERMS * sizeof *moments);
    for (size_t i = leaf->begin; i < leaf->end; i++) {
        float single = (float)op->given_single[i] * op->areas[i], twin = (float)op->given_twin[i];
        const float *mean = op->means + i * FIELD_TERMS, *slope = op->slopes + i * FIELD_TERMS;
        for (int k = 0; k < FIELD_TERMS; k++) moments[k] += single * mean[k] + twin * slope[k];
    }
}

static size_t octant_in_parent(const field_node *node)
{
    return (size_t)((node->at[0] & 1) | (node->at[1] & 1) << 1 | (node->at[2] & 1) << 2);
}

/* Moments of a node of the level under way from its children's. */
static void lift_moments(void *context, size_t number)
{
    field_operator *op = context;
    size_t index = op->level_begin + number;
    const field_node *node = &op->tree.nodes[index];
    if (!node->children) return;
    float *moments = op->moments + index * FIELD_TERMS;
    memset(moments, 0, FIELD_TERMS * sizeof *moments);
    for (size_t c = node->child; c < node->child + node->children; c++)
        field_kernel_translate(op->to_parent + octant_in_parent(&op->tree.nodes[c]) * MATRIX,
                               op->moments + c * FIELD_TERMS, moments);
}

/* The field of a node's far list about its centre. */
static void gather_field(void *context, size_t index)
{
    field_operator *op = context;
    const field_tree *tree = &op->tree;
    float *field = op->fields + index * FIELD_TERMS;
    memset(field, 0, FIELD_TERMS * sizeof *field);
    for (size_t k = tree->far_begin[index]; k < tree->far_begin[index + 1]; k++) {
        size_t source = tree->far[k];
        unsigned mirror;
        size_t way = way_of(&tree->nodes[index], &tree->nodes[source], &mirror);
        const float *signs = op->signs[mirror], *moments = op->moments + source * FIELD_TERMS;
        float mirrored[FIELD_TERMS], got[FIELD_TERMS] = {0};
        for (int t = 0; t < FIELD_TERMS; t++) mirrored[t] = signs[t] * moments[t];
        field_kernel_translate(op->ways + (size_t)(op->way[way] - 1) * MATRIX, mirrored, got);
        for (int t = 0; t < FIELD_TERMS; t++) field[t] += signs[t] * got[t];
    }
    float scale = (float)(1 / (4 * M_PI * tree->nodes[index].side));
    for (int t = 0; t < FIELD_TERMS; t++) field[t] *= scale;
}

static void lower_field(void *context, size_t number)
{
    field_operator *op = context;
    size_t index = op->level_begin + number;
    const field_node *node = &op->tree.nodes[index];
    field_kernel_translate(op->to_child + octant_in_parent(node) * MATRIX,
                           op->fields + node->parent * FIELD_TERMS,
                           op->fields + index * FIELD_TERMS);
}

static void gather_near(field_operator *op, const leaf_rows *rows, float *single, float *twin)
{
    const field_tree *tree = &op->tree;
    size_t column = 0;
    for (size_t k = tree->near_begin[rows->node]; k < tree->near_begin[rows->node + 1]; k++) {
        const field_node *source = &tree->nodes[tree->near[k]];
        for (size_t j = source->begin; j < source->end; j++, column++) {
            single[column] = (float)op->given_single[j];
            twin[column] = (float)op->given_twin[j];
        }
    }
    for (; column < rows->stride; column++) single[column] = twin[column] = 0;
}

/* Near field by rows, far field from the leaf's expansion. */
static void sum_potentials(void *context, size_t number)
{
    field_operator *op = context;
    const leaf_rows *rows = &op->leaves[number];
    const field_node *leaf = &op->tree.nodes[rows->node];
    const float *field = op->fields + rows->node * FIELD_TERMS;
    float *single = op->gathered + rows->gather, *twin = single + rows->stride;
    gather_near(op, rows, single, twin);
    for (size_t i = leaf->begin; i < leaf->end; i++) {
        size_t row = rows->offset + (i - leaf->begin) * rows->stride;
        const float *mean = op->means + i * FIELD_TERMS;
        float far = 0;
        for (int t = 0; t < FIELD_TERMS; t++) far += field[t] * mean[t];
        op->potential[i] = (double)far + field_kernel_dot(op->single + row, single, op->twin + row,
                                                          twin, rows->stride);
    }
}

static void run_level(field_operator *op, int level, void (*work)(void *, size_t))
{
    op->level_begin = op->tree.level_begin[level];
    base_team_run(op->team, op->tree.level_begin[level + 1] - op->level_begin, work, op);
}

void field_operator_apply(field_operator *op, const double *single, const double *twin,
                          double *potential)
{
    op->given_single = single;
    op->given_twin = twin;
    op->potential = potential;
    base_team_run(op->team, op->leaf_count, gather_moments, op);
    for (int level = op->tree.levels - 2; level > 0; level--) run_level(op, level, lift_moments);
    base_team_run(op->team, op->tree.node_count, gather_field, op);
    for (int level = 1; level < op->tree.levels; level++) run_level(op, level, lower_field);
    base_team_run(op->team, op->leaf_count, sum_potentials, op);
}

/* ------------------------------------------------------------------ looking in */

const field_tree *field_operator_tree(const field_operator *op)
{
    return &op->tree;
}

size_t field_operator_block_count(const field_operator *op)
{
    return op->leaf_count;
}

field_block field_operator_block(const field_operator *op, size_t i)
{
    const leaf_rows *rows = &op->leaves[i];
    const field_node *leaf = &op->tree.nodes[rows->node];
    size_t first = rows->offset + rows->self;
    return (field_block){leaf->begin, leaf->end - leaf->begin, rows->stride, op->single + first,
                         op->twin + first};
}

size_t field_operator_bytes(const field_operator *op)
{
    size_t floats = 2 * op->near_values + op->gather_values + 2 * op->tree.count * FIELD_TERMS +
                    2 * op->tree.node_count * FIELD_TERMS + (op->way_count + 16) * MATRIX;
    return floats * sizeof(float) + op->tree.node_count * sizeof(field_node);
}
