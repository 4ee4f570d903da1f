/* A general-purpose B-rep kernel (Open CASCADE, of Debian's libocct packages) behind a small C
 * interface: an independent opinion on areas and volumes. Everything is in metres here; the kernel,
 * whose tolerance is 1e-7 of its own unit, is fed millimetres. A NULL solid means that the kernel
 * failed; it may be handed on, and gives NaN for area and volume. */
#ifndef SUPPORT_KERNEL_H
#define SUPPORT_KERNEL_H

#include "tankside/geometry.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct kernel_solid kernel_solid;

/* The generators, from the same descriptions. */
kernel_solid *kernel_revolve(const tks_frame *frame, const tks_outline *profile, double angle);
kernel_solid *kernel_prism(const tks_frame *frame, const tks_outline *outlines, size_t count,
                           double length);

/* A section (outlines about the path, in the axes of the first frame) along straights and bends:
 * prisms and turned pieces, fused. */
kernel_solid *kernel_sweep(const tks_path *path, const tks_outline *outlines, size_t count);

/* A round wire along any space curve given by many points (n x 3), approximated by a spline. */
kernel_solid *kernel_wire(const double *points, size_t n, double radius);

/* A polygon of the (x = radius, y = height) half-plane, n corners with the metal on its left, moved
 * along a helix about z: so many turns, rising by pitch in each; left: the other way round. */
kernel_solid *kernel_helix(const tks_vec2 *corners, size_t n, double pitch, double turns,
                           bool left);

/* Basic solids, standing at the frame's origin along its z: box from the origin; cone from r1 at
 * the base to r2; torus about z. */
kernel_solid *kernel_box(const tks_frame *frame, double x, double y, double z);
kernel_solid *kernel_cylinder(const tks_frame *frame, double radius, double height);
kernel_solid *kernel_cone(const tks_frame *frame, double r1, double r2, double height);
kernel_solid *kernel_sphere(const tks_frame *frame, double radius);
kernel_solid *kernel_torus(const tks_frame *frame, double ring, double section);

/* Both arguments are used up (freed). */
kernel_solid *kernel_fuse(kernel_solid *a, kernel_solid *b);
kernel_solid *kernel_cut(kernel_solid *a, kernel_solid *b);
kernel_solid *kernel_common(kernel_solid *a, kernel_solid *b);

double kernel_area(const kernel_solid *solid);
/* What the kernel itself leaves open: it places edges to a tolerance (where curved surfaces meet,
 * to that of its approximating splines); length times tolerance of each edge, added up. */
double kernel_area_doubt(const kernel_solid *solid);
double kernel_volume(const kernel_solid *solid);
size_t kernel_faces(const kernel_solid *solid);
void kernel_free(kernel_solid *solid);

#ifdef __cplusplus
}
#endif
#endif
