/* The potentials of single and double layers on many triangles: dense between near boxes, by
 * multipoles between far ones, so that cost and memory grow as N. */
#ifndef FIELD_OPERATOR_H
#define FIELD_OPERATOR_H

#include "base/team.h"
#include "field/tree.h"

typedef struct field_operator field_operator;

/* Builds the operator. corners: count x 3 [m], count > 0, none degenerate; not kept.
 * limit: most bytes that the near field may take. Errors: TKS_EMEMORY, TKS_ELIMIT. */
tks_status field_operator_new(base_team *team, const tks_vec3 *corners, size_t count, size_t limit,
                              field_operator **op, tks_error *err);
void field_operator_free(field_operator *op);

/* potential[i] = sum_j S_ij single[j] - D_ij twin[j], all in the tree's order: S_ij the mean over
 * triangle i (three points) of the integral of G = 1/(4 pi r) over triangle j, D_ij that of
 * dG/dnu, nu against the normal. Error near 1e-5 of the largest potential. */
void field_operator_apply(field_operator *op, const double *single, const double *twin,
                          double *potential);

/* The tree, borrowed: its order and its leaves. */
const field_tree *field_operator_tree(const field_operator *op);

/* The dense block of a leaf with itself: S and D, rows of stride floats. */
typedef struct field_block {
    size_t begin, count, stride;
    const float *single, *twin;
} field_block;

size_t field_operator_block_count(const field_operator *op);
field_block field_operator_block(const field_operator *op, size_t i);

/* Bytes held. */
size_t field_operator_bytes(const field_operator *op);

#endif
