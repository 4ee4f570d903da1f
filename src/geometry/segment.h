/* Lines and arcs of the plane: points, lengths, means, distances, crossings. room: geometry */
#ifndef GEOMETRY_SEGMENT_H
#define GEOMETRY_SEGMENT_H

#include "tankside/geometry.h"

/* Sizes outside these are refused as absurd; points closer than the last are one [m]. */
#define GEOMETRY_SMALLEST 1e-7
#define GEOMETRY_LARGEST  1000.0
#define GEOMETRY_SAME     1e-10

typedef struct geometry_box {
    tks_vec2 low, high;
} geometry_box;

/* Whether a size is a number within the limits above. */
bool geometry_size_ok(double size);

/* A straight line, and an arc of given centre, between two points. */
tks_segment geometry_line(tks_vec2 from, tks_vec2 to, tks_label label, int cavity);
tks_segment geometry_arc(tks_vec2 from, tks_vec2 to, tks_vec2 centre, double turn, tks_label label,
                         int cavity);

/* A full circle, beginning at angle start. */
tks_segment geometry_circle(tks_vec2 centre, double radius, double start, bool clockwise,
                            tks_label label, int cavity);

/* Radius of an arc [m]; 0 for a line. */
double geometry_arc_radius(const tks_segment *s);

/* t - sin t without cancellation: twice the area of a circular segment of radius 1. */
double geometry_arc_excess(double t);

/* Point, and unit direction of travel, at v in 0..1; the ends are met exactly. */
tks_vec2 geometry_segment_point(const tks_segment *s, double v);
tks_vec2 geometry_segment_tangent(const tks_segment *s, double v);

/* Mean point of the curve (its centroid), for Pappus' first theorem. */
tks_vec2 geometry_segment_mean(const tks_segment *s);

geometry_box geometry_segment_box(const tks_segment *s);

/* Distance from a point; *v receives where on the segment the nearest point is, 0..1. */
double geometry_segment_distance(const tks_segment *s, tks_vec2 point, double *v);

/* Least distance of two segments; 0 when they cross. */
double geometry_segment_gap(const tks_segment *a, const tks_segment *b);

/* Whether b, which begins where a ends, meets a again elsewhere or folds back on it. */
bool geometry_segments_fold(const tks_segment *a, const tks_segment *b, bool closing);

/* Calls visit for every pair i < j of boxes that overlap, until it returns false. Near-linear in
 * count for boxes that mostly do not. Errors: TKS_EMEMORY. */
tks_status geometry_box_pairs(const geometry_box *boxes, size_t count,
                              bool (*visit)(void *context, size_t i, size_t j), void *context);

#endif
