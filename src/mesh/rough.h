/* Scan roughness; the method is described at tks_mesh_check. */
#ifndef MESH_ROUGH_H
#define MESH_ROUGH_H

#include "tankside/mesh.h"

/* Fills the roughness fields of health. False: no memory. */
bool mesh_judge_roughness(const tks_mesh *mesh, tks_mesh_health *health);

#endif
