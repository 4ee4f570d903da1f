/* Patches with curved edges: helicoids between cones, cut faces of threads, faces and chamfers of
 * hexagons. Each is a map of the unit square, so that tks_patch_at can walk it. room: geometry */
#ifndef GEOMETRY_TRIM_H
#define GEOMETRY_TRIM_H

#include "geometry/solid.h"
#include "tankside/thread.h"

typedef enum trim_kind {
    TRIM_HELICOID, /* u: from the lower edge to the upper, v: along the segment */
    TRIM_TOOTH,    /* of a cone or plane across a thread: where there is metal; v: radius */
    TRIM_GAP,      /* the same, where there is none */
    TRIM_CORNER,   /* of a cone or plane: what a hexagon has outside a circle, at one corner */
    TRIM_FACET     /* a side of a hexagon; u: height, v: across */
} trim_kind;

/* A stretch of thread, as the trims of its faces need it. */
typedef struct trim_thread {
    tks_thread_profile profile;
    double length;
    tks_thread_end ends[2];
} trim_thread;

typedef struct tks_trim tks_trim;

struct tks_trim {
    trim_kind kind;
    const trim_thread *thread; /* helicoid, tooth, gap */
    double from, to;           /* helicoid: planes; facet: heights of the two ends */
    double low, high;          /* radii */
    double base, rise;         /* cone: height = base + rise * radius */
    double facing;             /* +1: the cone's normal leans to +z */
    double apothem, turn;      /* hexagon: half its width, direction of the side or corner */
    double circle[2], slope;   /* facet: radii where the chamfers begin, their slope */
};

/* Radii between which the heights lost to an end lie, and height lost at a radius. */
double trim_end_loss(const tks_thread_end *end, double radius);

/* Half of the tooth's width along the axis at a radius: from 0 at the crest to pitch / 2 under the
 * root. */
double thread_half_width(const tks_thread_profile *profile, double radius);

/* Point and normal in the patch's frame. */
void trim_at(const tks_patch *patch, double u, double v, tks_vec3 *point, tks_vec3 *normal);

/* The arc that a tooth, gap or corner has at v: its radius, and the middle and half of its angle.
 */
typedef struct trim_arc {
    double radius, middle, half;
} trim_arc;

trim_arc trim_arc_at(const tks_patch *patch, double v);

/* Corners of a box, in the patch's frame, that holds it. */
void trim_box(const tks_patch *patch, tks_vec3 *low, tks_vec3 *high);

/* Area of one piece (0 to 2 of the half-profile) of a thread between two planes, both its mirror
 * images together. */
double thread_piece_area(const trim_thread *thread, int piece, double from, double to);

/* Area of the cone's or plane's tooth (gap) between two radii of it. */
double thread_tooth_area(const tks_thread_profile *profile, double low, double high, double rise);
double thread_gap_area(const tks_thread_profile *profile, double low, double high, double rise);

#endif
