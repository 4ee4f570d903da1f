/* Placed primitives, described once and made twice: as bodies of the library and, in
 * primitives_kernel.h, as solids of the B-rep kernel. Lengths [m]. */
#ifndef SUPPORT_PRIMITIVES_H
#define SUPPORT_PRIMITIVES_H

#include "tankside/geometry.h"

typedef enum primitive_kind {
    A_BOX,      /* a, b, c along x, y, z from the frame's origin */
    A_CYLINDER, /* radius a, height b, standing on the origin along z */
    A_TUBE,     /* radius a, height b, bore c */
    A_CONE,     /* radius a at the base, b at the top (may be 0), height c */
    A_SPHERE,   /* radius a about the origin */
    A_RING,     /* radius a of the centre line, b of the section, about z */
    A_ROD,      /* radius a; straight b, bend of radius c by the angle d, straight b */
    A_PLATE     /* a x b x c, corners rounded by b / 5, a hole of radius b / 5 at 0.4 a, 0.5 b */
} primitive_kind;

typedef struct primitive {
    primitive_kind kind;
    tks_frame frame;
    double a, b, c, d;
} primitive;

/* A frame at a place whose z goes along the axis, by the smallest turn from z. */
tks_frame frame_at(double x, double y, double z, double ax, double ay, double az);

/* The library's body; fails the running test when it cannot be made. */
tks_body *primitive_body(tks_arena *arena, const primitive *p);

/* Outlines of a plate, and path of a rod, as both makers need them. */
void primitive_outlines(tks_arena *arena, const primitive *p, tks_outline outlines[2]);
void primitive_path(tks_arena *arena, const primitive *p, tks_path *path);

/* A row of numbers that looks random and is the same everywhere: 0 <= x < 1. */
double random_next(unsigned long long *seed);

/* A primitive of a random kind, size (some 0.1 to 1.5 of the unit), place in a cube of the given
 * side, and direction. kinds: how many of the list above. */
primitive primitive_random(unsigned long long *seed, double unit, double cube, int kinds);

#endif
