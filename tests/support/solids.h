/* Triangulated solids of known area and volume, made without the library's geometry, and files in
 * which to put them. Lengths in whatever unit the caller means. */
#ifndef SUPPORT_SOLIDS_H
#define SUPPORT_SOLIDS_H

#include "tankside/mesh.h"

typedef struct soup {
    double *xyz; /* count x 9 */
    size_t count, room;
} soup;

void soup_add(soup *s, tks_vec3 a, tks_vec3 b, tks_vec3 c);
void soup_free(soup *s);

/* Regular solids about the origin with corners at the distance r: 4, 8 or 20 faces. */
soup soup_regular(int faces, double r);
/* An icosahedron whose facets are split in four `times` times, corners moved onto the sphere. */
soup soup_sphere(double r, int times);
/* A box from low to high, each side n x n squares of two triangles. */
soup soup_box(tks_vec3 low, tks_vec3 high, int n);
/* A tube along z from 0 to length: n segments round, m along; inner 0: a solid rod. */
soup soup_tube(double inner, double outer, double length, int n, int m);
/* A torus: n round the axis, m round the section. */
soup soup_torus(double major, double minor, int n, int m);

void soup_join(soup *to, const soup *from, tks_vec3 shift);
void soup_turn_over(soup *s); /* inside out */
void soup_shuffle(soup *s, uint64_t seed);
void soup_scale(soup *s, double factor);

/* The soup as a mesh; fails the test when it cannot be made. */
tks_mesh soup_mesh(const soup *s);

/* Moves every vertex by normal noise of standard deviation s in x, y and z. */
void mesh_add_noise(tks_mesh *mesh, double s, uint64_t seed);

/* A file under the temporary folder, named by the test and the ending given ("a.stl"); the text is
 * good until four further calls. */
const char *scratch_path(const char *ending);
void write_bytes(const char *path, const void *bytes, size_t length);
void write_text(const char *path, const char *text);

/* Single-precision STL files of the soup's own numbers. */
void soup_write_binary(const soup *s, const char *path, const char *title);
void soup_write_ascii(const soup *s, const char *path);

#endif
