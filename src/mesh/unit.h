/* The length of one unit of a mesh file. */
#ifndef MESH_UNIT_H
#define MESH_UNIT_H

#include "tankside/mesh.h"

/* What was given [m], or the file's own unit [m] (either may be 0), or a guess from the longest
 * side in the file's unit: millimetres from 5 up, inches from 0.2 up, metres below, so that parts
 * of 5 mm to 5 m in the usual units are guessed right. Common practice, no source. */
tks_mesh_unit mesh_unit_choose(double given, double own, double longest);

#endif
