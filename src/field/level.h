/* One mesh with its solution; the field keeps two, a coarse one and a fine one. */
#ifndef FIELD_LEVEL_H
#define FIELD_LEVEL_H

#include "field/system.h"

#include "tankside/field.h"

typedef struct field_level {
    field_mesh mesh;
    field_system *system;
    /* By panel, in the mesh's order. density: deposited on parts, dissolved at anodes, not yet
     * freed of signs that are not possible; spot: its mean over a spot of 2 mm about the centre. */
    double *density, *potential, *spot;
    double current, voltage, leak; /* current: through the anodes */
    int iterations, rounds;
} field_level;

/* What the solution is for, and what may stop it. */
typedef struct field_task {
    const tks_field_bath *bath;
    const tks_field_drive *drive;
    double tolerance;
    field_going going;
    void *context;
} field_task;

/* Takes over the mesh and makes its system. start: a density for each panel to begin from, or NULL.
 */
tks_status field_level_make(field_level *level, field_mesh *mesh, const double *start,
                            base_team *team, bool open, size_t limit, tks_error *err);
void field_level_free(field_level *level);

/* Solves, by Newton's method where a law is not linear. */
tks_status field_level_solve(field_level *level, const field_task *task, tks_error *err);

#endif
