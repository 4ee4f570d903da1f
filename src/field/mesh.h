/* The boundary as triangles: walls, parts and anodes. */
#ifndef FIELD_MESH_H
#define FIELD_MESH_H

#include "tankside/status.h"
#include "tankside/vec.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef enum field_kind { FIELD_WALL, FIELD_CATHODE, FIELD_ANODE } field_kind;

/* A triangle: corners anticlockwise seen from the liquid. */
typedef struct field_panel {
    uint32_t corner[3];
    uint32_t body;  /* which of the scene's bodies; of a wall: which wall */
    uint32_t group; /* the caller's own number for it: a label */
    uint8_t kind;   /* field_kind */
    uint8_t depth;  /* how often it was split */
} field_panel;

typedef struct field_mesh {
    tks_vec3 *points;
    size_t point_count, point_room;
    field_panel *panels;
    size_t count, room;
} field_mesh;

/* Adds a point, a panel; false when memory is short. The point's number is point_count - 1. */
bool field_mesh_point(field_mesh *mesh, tks_vec3 point);
bool field_mesh_panel(field_mesh *mesh, field_panel panel);
bool field_mesh_copy(const field_mesh *from, field_mesh *to);
void field_mesh_free(field_mesh *mesh);

/* Corner k of a panel, its centre, its area vector (normal times area). */
tks_vec3 field_mesh_corner(const field_mesh *mesh, size_t panel, int k);
tks_vec3 field_mesh_centre(const field_mesh *mesh, size_t panel);
tks_vec3 field_mesh_area(const field_mesh *mesh, size_t panel);
double field_mesh_longest(const field_mesh *mesh, size_t panel, int *edge);

#endif
