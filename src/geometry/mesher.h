/* Triangles as they gather: vertices, triangles, and cut regions of planes. room: geometry */
#ifndef GEOMETRY_MESHER_H
#define GEOMETRY_MESHER_H

#include "geometry/solid.h"

typedef struct geometry_mesher {
    const tks_body *body;
    double chord;   /* of one curvature: half of what was asked */
    double longest; /* of edges in plane regions; 0: no bound */
    double side;    /* of the sides of four-cornered cells: their diagonals keep to the bound */
    double *xyz;
    size_t vertex_count, vertex_room;
    uint32_t *corners;
    uint32_t *patch;
    size_t count, room;
    tks_status status; /* once set, nothing more is added */
} geometry_mesher;

enum { GEOMETRY_MOST_TRIANGLES = 20000000 };

/* A region of a plane being described by loops of points that are vertices already. */
typedef struct geometry_loops {
    tks_vec2 *points;
    uint32_t *ids;
    size_t count, room;
    size_t *loops;
    size_t loop_count, loop_room;
} geometry_loops;

/* Pieces into which a curve of this length, turning by angle at this radius (0: straight), must be
 * cut for chord and side. */
size_t geometry_divisions(geometry_mesher *m, double length, double radius, double angle);
size_t geometry_segment_divisions(geometry_mesher *m, const tks_segment *s);

/* Scratch memory, zeroed; NULL (and the status set) when there is none. Free with base_free. */
void *geometry_scratch(geometry_mesher *m, size_t count, size_t size);

/* Adds a vertex, and triangles, anticlockwise seen from outside. Cells are cut along the shorter
 * diagonal; those with two corners in one give one triangle. */
uint32_t geometry_add_vertex(geometry_mesher *m, tks_vec3 at);
void geometry_add_triangle(geometry_mesher *m, uint32_t a, uint32_t b, uint32_t c, size_t patch);
void geometry_add_cell(geometry_mesher *m, uint32_t a, uint32_t b, uint32_t c, uint32_t d,
                       size_t patch);

/* One point more of the loop that was opened last. */
void geometry_open_loop(geometry_mesher *m, geometry_loops *l);
void geometry_loop_point(geometry_mesher *m, geometry_loops *l, tks_vec2 point, uint32_t id);

/* Cuts the region, which stands in the world's frame, into triangles of a patch; frees the loops.
 */
void geometry_add_region(geometry_mesher *m, geometry_loops *l, const tks_frame *frame,
                         bool reversed, size_t patch);

void geometry_revolve_triangles(geometry_mesher *m, const tks_solid *solid);
void geometry_extrude_triangles(geometry_mesher *m, const tks_solid *solid);
void geometry_sweep_triangles(geometry_mesher *m, const tks_solid *solid);

/* A patch alone, by its parameters; its vertices are its own. */
void geometry_patch_triangles(geometry_mesher *m, size_t patch);

#endif
