/* From what was found to what to make of it. */
#ifndef MESH_VERDICT_H
#define MESH_VERDICT_H

#include "mesh/edges.h"

/* Flaws that whoever asks has dealt with: holes of which the least fill is counted in, and closed
 * bodies inside others that are not counted. */
typedef struct mesh_dealt {
    bool holes, closed_in;
} mesh_dealt;

/* Fills verdict and reasons of health from its other fields. */
void mesh_judge(tks_mesh_health *health, mesh_dealt dealt);

/* tks_mesh_check, leaving edges to the caller (to be freed in any case). False: no memory. */
bool mesh_examine(const tks_mesh *mesh, const tks_check_options *options, mesh_edges *edges,
                  tks_mesh_health *health);

#endif
