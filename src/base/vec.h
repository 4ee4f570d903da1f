/* Arithmetic on the public vectors, inline. */
#ifndef BASE_VEC_H
#define BASE_VEC_H

#include "tankside/vec.h"

#include <math.h>

static inline tks_vec3 vec3(double x, double y, double z)
{
    return (tks_vec3){x, y, z};
}

static inline tks_vec3 vec3_add(tks_vec3 a, tks_vec3 b)
{
    return vec3(a.x + b.x, a.y + b.y, a.z + b.z);
}

static inline tks_vec3 vec3_sub(tks_vec3 a, tks_vec3 b)
{
    return vec3(a.x - b.x, a.y - b.y, a.z - b.z);
}

static inline tks_vec3 vec3_scale(tks_vec3 a, double s)
{
    return vec3(a.x * s, a.y * s, a.z * s);
}

/* a + s b */
static inline tks_vec3 vec3_step(tks_vec3 a, double s, tks_vec3 b)
{
    return vec3(a.x + s * b.x, a.y + s * b.y, a.z + s * b.z);
}

static inline double vec3_dot(tks_vec3 a, tks_vec3 b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

static inline tks_vec3 vec3_cross(tks_vec3 a, tks_vec3 b)
{
    return vec3(a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x);
}

static inline double vec3_length(tks_vec3 a)
{
    return sqrt(vec3_dot(a, a));
}

static inline double vec3_distance(tks_vec3 a, tks_vec3 b)
{
    return vec3_length(vec3_sub(a, b));
}

/* Each coordinate the lesser of two, or the greater; b's where either is not a number. */
static inline tks_vec3 vec3_lesser(tks_vec3 a, tks_vec3 b)
{
    return vec3(a.x < b.x ? a.x : b.x, a.y < b.y ? a.y : b.y, a.z < b.z ? a.z : b.z);
}

static inline tks_vec3 vec3_greater(tks_vec3 a, tks_vec3 b)
{
    return vec3(a.x > b.x ? a.x : b.x, a.y > b.y ? a.y : b.y, a.z > b.z ? a.z : b.z);
}

/* a scaled to length one; a null vector stays null. */
static inline tks_vec3 vec3_unit(tks_vec3 a)
{
    double length = vec3_length(a);
    return length > 0 ? vec3_scale(a, 1 / length) : a;
}

static inline tks_frame frame_identity(void)
{
    return (tks_frame){{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
}

/* A local direction, and a local point, seen from the world; and the ways back. */
static inline tks_vec3 frame_direction(const tks_frame *f, tks_vec3 d)
{
    return vec3_add(vec3_add(vec3_scale(f->x, d.x), vec3_scale(f->y, d.y)), vec3_scale(f->z, d.z));
}

static inline tks_vec3 frame_point(const tks_frame *f, tks_vec3 p)
{
    return vec3_add(f->origin, frame_direction(f, p));
}

static inline tks_vec3 frame_local_direction(const tks_frame *f, tks_vec3 d)
{
    return vec3(vec3_dot(d, f->x), vec3_dot(d, f->y), vec3_dot(d, f->z));
}

static inline tks_vec3 frame_local_point(const tks_frame *f, tks_vec3 p)
{
    return frame_local_direction(f, vec3_sub(p, f->origin));
}

/* inner, which is given in outer's coordinates, seen from the world. */
static inline tks_frame frame_compose(const tks_frame *outer, const tks_frame *inner)
{
    return (tks_frame){frame_point(outer, inner->origin), frame_direction(outer, inner->x),
                       frame_direction(outer, inner->y), frame_direction(outer, inner->z)};
}

static inline double vec2_cross(tks_vec2 a, tks_vec2 b)
{
    return a.x * b.y - a.y * b.x;
}

static inline double vec2_distance(tks_vec2 a, tks_vec2 b)
{
    double x = a.x - b.x, y = a.y - b.y;
    return sqrt(x * x + y * y);
}

#endif
