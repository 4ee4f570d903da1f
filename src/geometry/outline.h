/* Closed outlines: checks, moments, signed distance. room: geometry */
#ifndef GEOMETRY_OUTLINE_H
#define GEOMETRY_OUTLINE_H

#include "geometry/segment.h"

/* Whether an outline is closed, of sensible size, free of crossings and of the right sense.
 * what: how messages call it, e.g. "the profile". Errors: TKS_EGEOMETRY, TKS_EMEMORY. */
tks_status geometry_outline_check(const tks_outline *outline, bool clockwise, const char *what,
                                  tks_error *err);

/* Whether the holes outlines[1..] lie inside outlines[0], clear of it and of one another. Each is
 * already checked by itself. */
tks_status geometry_holes_check(const tks_outline *outlines, size_t count, tks_error *err);

/* Area, and first moment about the y axis (the integral of x) into *moment, by Green's theorem. */
double geometry_outline_moment(const tks_outline *outline, double *moment);

geometry_box geometry_outline_box(const tks_outline *outline);

/* Signed distance to the nearest of several outlines, negative in the metal. Segments on the axis
 * x = 0 are passed over when profile is true. */
double geometry_outlines_distance(const tks_outline *outlines, size_t count, bool profile,
                                  tks_vec2 point);

/* Copies outlines into the arena; NULL when memory is short. */
tks_outline *geometry_outlines_copy(tks_arena *arena, const tks_outline *outlines, size_t count);

/* Whether a segment lies on the axis of a profile, where it makes no surface. */
static inline bool geometry_on_axis(const tks_segment *s)
{
    return s->from.x == 0 && s->to.x == 0 && s->turn == 0;
}

#endif
