/* Cutting polygons into triangles. */
#ifndef MESH_POLYGON_H
#define MESH_POLYGON_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Scratch memory and the work still allowed. Start with {.work = ...}. */
typedef struct mesh_polygon {
    double *flat;     /* the corners in the plane: room x 2 */
    uint32_t *before; /* neighbours among the corners still there */
    uint32_t *after;
    size_t room;
    uint64_t work; /* corner tests left: ear cutting is quadratic, so a hostile file is stopped */
} mesh_polygon;

/* Cuts the polygon of count >= 3 corners (indices into xyz) into count - 2 triangles with the same
 * sense. Concave polygons are cut into ears (Meisters, Amer. Math. Monthly 82 (1975) 648) as seen
 * along their Newell normal; of a quadrilateral that is not flat the shorter diagonal is taken.
 *   triangles  out: (count - 2) x 3
 * False: memory or work is used up (polygon->work is 0 in that case). */
bool mesh_polygon_cut(mesh_polygon *polygon, const double *xyz, const uint32_t *loop, size_t count,
                      uint32_t *triangles);
void mesh_polygon_free(mesh_polygon *polygon);

#endif
