/* Paths in space: frames along a stretch, coils. room: geometry */
#ifndef GEOMETRY_PATH_H
#define GEOMETRY_PATH_H

#include "tankside/geometry.h"

/* The frame at u in 0..1 along a stretch: z along the path, x towards the centre or the axis. */
tks_frame geometry_stretch_frame(const tks_stretch *s, double u);

/* Length of a coil whose pitch changes evenly, closed form, without cancellation for nearly equal
 * pitches. radius, pitches [m], angle [rad]. */
double geometry_coil_length(double radius, double angle, double pitch, double pitch_end);

/* Advance along the axis of a coil after an angle, signed by the hand; and per radian there. */
double geometry_coil_height(const tks_stretch *s, double angle);
double geometry_coil_slope(const tks_stretch *s, double angle);

/* Frame of a coil's axis: origin at the centre level with the start, z along the axis, x towards
 * the start. */
tks_frame geometry_coil_axis(const tks_stretch *s);

/* The coil that a patch of a coiled wire runs along, starting at a frame. */
tks_stretch geometry_patch_coil(const tks_patch *p, const tks_frame *start);

/* The frame at an angle along a coil, given its axis. */
tks_frame geometry_coil_frame(const tks_stretch *s, const tks_frame *axis, double angle);

/* Whether a rod of this radius along the path keeps clear of itself; else *first and *second are
 * the stretches (from 0) that meet. Straights and bends only. */
bool geometry_path_clear(const tks_path *path, double radius, size_t *first, size_t *second);

/* f turned about its own z by an angle. */
tks_frame geometry_frame_turned(const tks_frame *f, double angle);

#endif
