/* The linear boundary-integral problem: triangles whose potential and outflow are tied.
 *
 * With nu pointing out of the liquid, p = dphi/dnu, every triangle gives one equation,
 *     S p - (1/2 + D) phi + C = 0        (means over the triangle),
 * with p = 0 on walls and phi = V + offset - length p on electrodes (V: the anodes' voltage,
 * nothing on cathodes). The constant C is closed by sum p A = 0: current is conserved to rounding.
 * In open liquid, without walls all round, C is zero and nothing closes.
 * Averages over each triangle instead of values at its centre keep narrow bores right. */
#ifndef FIELD_SYSTEM_H
#define FIELD_SYSTEM_H

#include "field/mesh.h"
#include "field/operator.h"

typedef struct field_system {
    base_team *team;
    field_operator *op;
    size_t count;
    bool open;
    uint8_t *kind; /* this and all that follows: in the tree's order */
    double *area, *weight;
    double *offset, *length; /* set these, then call field_system_ready */
    /* Solution: outflow p [V/m] and potential [V]; zero where nothing was solved yet. */
    double *outflow, *potential;
    double constant, voltage;
    /* Of the preconditioner. */
    double *factors;
    size_t *factor_at, *pivots;
    double *border; /* 2 x count */
    double schur[2][2];
    bool driven; /* the current is given, the voltage sought */
    double *by_voltage, *single, *twin;
    bool failed;
} field_system;

/* What is asked: the current through the anodes [A m / S: current over conductivity] or their
 * voltage [V]. */
typedef struct field_demand {
    bool driven;
    double flow, voltage;
} field_demand;

/* Errors: TKS_EMEMORY, TKS_ELIMIT. The team is borrowed. */
tks_status field_system_new(base_team *team, const field_mesh *mesh, bool open, size_t limit,
                            field_system **system, tks_error *err);
void field_system_free(field_system *system);

/* Where a thread of control may stop a solve: called with the residual still to go, as a ratio. */
typedef bool (*field_going)(void *context, double ratio);

/* Solves for the offsets and lengths as set, starting from the solution held.
 *   tolerance  residual to reach, against that of no flow at all
 *   steps      out, added to: iterations taken
 * Errors: TKS_ECONVERGE, TKS_EMEMORY; the solution held is then not to be used. */
tks_status field_system_solve(field_system *system, field_demand demand, double tolerance,
                              field_going going, void *context, int *steps, tks_error *err);

#endif
