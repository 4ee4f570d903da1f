/* Triangles of plane regions with holes: constrained Delaunay, on an integer grid so that every
 * decision is exact. room: geometry */
#ifndef GEOMETRY_DELAUNAY_H
#define GEOMETRY_DELAUNAY_H

#include "tankside/status.h"
#include "tankside/vec.h"

#include <stddef.h>
#include <stdint.h>

typedef struct geometry_region {
    tks_vec2 *points; /* first those of the loops, then those added within */
    size_t point_count;
    uint32_t *corners; /* triangle_count x 3, anticlockwise */
    size_t triangle_count;
} geometry_region;

/* Cuts the region bounded by closed loops of points (outer and holes in any order and sense, none
 * crossing) into triangles. The loops' edges are kept whole. With longest above zero, points are
 * added within so that no inner edge is longer and, away from the loops, no angle under about
 * 25 deg. Blocks are the caller's, by geometry_region_free. Errors: TKS_EMEMORY; TKS_ELIMIT over
 * limit triangles; TKS_ECONVERGE for points nearer than 1.5e-8 of the region's size. */
tks_status geometry_region_cut(const tks_vec2 *points, const size_t *loops, size_t loop_count,
                               double longest, size_t limit, geometry_region *region);

void geometry_region_free(geometry_region *region);

#endif
