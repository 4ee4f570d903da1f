/* Closed and open surfaces of plain shapes as triangles, for tests of the field. */
#ifndef SUPPORT_SURFACES_H
#define SUPPORT_SURFACES_H

#include "tankside/geometry.h"

/* Surfaces add up: each call appends to the triangles, which start as {0} and are freed with
 * surface_free. Normals point away from the metal. A test that is short of memory aborts. */
typedef struct surface {
    tks_triangles t;
    size_t vertex_room, room;
    uint32_t patch; /* given to the triangles that are added */
} surface;

void surface_free(surface *s);

/* An octahedron split `times` times, on a sphere; inward: the metal is outside it. radius is that
 * of the corners; equal_area pushes them out until the area is that of the sphere. */
void surface_sphere(surface *s, tks_vec3 centre, double radius, int times, bool inward);

/* The patch point(u, v), 0 <= u, v <= 1, cut into n x m cells of two triangles; grades: how cells
 * are spread (see surface_grade). The normal points along dp/du x dp/dv. */
void surface_patch(surface *s, size_t n, size_t m, double (*grade_u)(double),
                   double (*grade_v)(double), tks_vec3 (*point)(double u, double v, const void *),
                   const void *context);

/* Cells that shrink towards both ends as the square of the distance (NULL: even cells). */
double surface_grade(double u);
/* The same towards u = 1 only. */
double surface_grade_end(double u);

/* A flat parallelogram. */
void surface_plate(surface *s, tks_vec3 corner, tks_vec3 a, tks_vec3 b, size_t n, size_t m,
                   double (*grade)(double));

/* The six faces of a box; cells no longer than size. */
void surface_box(surface *s, tks_vec3 low, tks_vec3 high, double size, double (*grade)(double),
                 bool inward);

/* A disk about the z axis through centre, facing +z (or -z), and the mantle of a cylinder. */
void surface_disk(surface *s, tks_vec3 centre, double inner, double radius, size_t rings,
                  size_t around, double (*grade)(double), bool down);
void surface_mantle(surface *s, tks_vec3 centre, double radius, double height, size_t along,
                    size_t around, double (*grade)(double), bool inward);

double surface_area(const surface *s);

#endif
