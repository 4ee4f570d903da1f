/* Parts that fasteners are built of. room: geometry */
#ifndef GEOMETRY_FASTENER_H
#define GEOMETRY_FASTENER_H

#include "geometry/segment.h"
#include "geometry/solid.h"
#include "geometry/trim.h"
#include "tankside/fastener.h"

/* What a solid of kind GEOMETRY_THREAD keeps; each kind of fastener has it first in its record. */
typedef struct geometry_fastener {
    double (*distance)(const void *record, tks_vec3 p);
    /* Adds the fastener with plain cylinders for threads: see tks_body_smooth. */
    tks_status (*smooth)(const void *record, const tks_frame *frame, tks_body *body,
                         tks_error *err);
} geometry_fastener;

/* Adds a hexagon without chamfers, two sides square to x, with a round hole of this radius whose
 * wall gets a label. Frame: the middle of its base. */
tks_status geometry_hexagon_prism(tks_body *body, const tks_frame *frame,
                                  const tks_hexagon *hexagon, double hole, tks_label wall,
                                  tks_error *err);

/* Corners of a profile that is built up point by point. */
typedef struct geometry_line_of_corners {
    tks_corner corners[24];
    size_t count;
} geometry_line_of_corners;

/* Adds a corner; label: of the edge that leaves it. A point that stands there already only changes
 * its label. */
void geometry_corner_add(geometry_line_of_corners *line, double x, double y, tks_label label);

/* Turns them about z. */
tks_status geometry_corners_turn(const geometry_line_of_corners *line, const tks_frame *frame,
                                 tks_body *body, tks_error *err);

/* Adds a patch with a trim of its own, to be filled; NULL when memory is short. */
tks_trim *geometry_trim_add(geometry_build *build, tks_patch_kind kind, tks_label label,
                            double area);

/* A patch of revolution about z, its segment running with the metal on its left; none when it has
 * no length. */
void geometry_turned_add(geometry_build *build, tks_vec2 from, tks_vec2 to, tks_label label,
                         int cavity);

/* A ring between two radii on the plane or cone base + rise * r; facing +1: up. */
void geometry_ring_add(geometry_build *build, double low, double high, double base, double rise,
                       double facing, tks_label label);

/* Sides and ends of a hexagon that stands at height base. hole: radius of the circle that each end
 * lacks; below zero: no end at all. */
void geometry_hexagon_add(geometry_build *build, const tks_hexagon *hexagon,
                          const tks_hexagon_measures *measures, double base, const double hole[2]);

/* Signed distance bound of a hexagon that stands at height 0, two sides square to x. */
double geometry_hexagon_distance(const tks_hexagon *hexagon, tks_vec3 p);

/* Helicoids of a stretch of thread, in the build's frame moved up by base; masked between two of
 * its heights. */
void geometry_helicoid_add(geometry_build *build, const trim_thread *thread, double base,
                           double masked_from, double masked_to);

/* The exposed cone of an end of a thread, masked between two heights. */
void geometry_thread_cone_add(geometry_build *build, const trim_thread *thread, int end,
                              double base, double masked_from, double masked_to);

/* What the thread's section has (tooth) or lacks (gap) between two radii of an end's plane. */
void geometry_tooth_add(geometry_build *build, const trim_thread *thread, int end, double base,
                        bool gap, double low, double high, double facing, tks_label label);

#endif
