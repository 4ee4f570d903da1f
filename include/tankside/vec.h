/* Double-precision 2- and 3-vectors and placed frames. (cglm's vec3 is float: fit for pictures
 * only.) room: base */
#ifndef TANKSIDE_VEC_H
#define TANKSIDE_VEC_H

#ifdef __cplusplus
extern "C" {
#endif

typedef struct tks_vec2 {
    double x, y;
} tks_vec2;

typedef struct tks_vec3 {
    double x, y, z;
} tks_vec3;

/* A right-handed orthonormal frame: where a local thing stands in the world. [m] and unit vectors.
 */
typedef struct tks_frame {
    tks_vec3 origin, x, y, z;
} tks_frame;

#ifdef __cplusplus
}
#endif
#endif
