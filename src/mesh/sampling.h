/* Sharpness of sampling; the method is described in sampling.c. */
#ifndef MESH_SAMPLING_H
#define MESH_SAMPLING_H

#include "mesh/edges.h"

/* Fills missed_area and facets_per_turn of health; large meshes are sampled. */
void mesh_judge_sampling(const tks_mesh *mesh, const mesh_edges *edges, tks_mesh_health *health);

#endif
