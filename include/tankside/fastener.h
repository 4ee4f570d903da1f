/* Fasteners as solids: threaded stretches, bolts and screws with their heads, nuts. All lengths
 * [m], areas [m^2]. room: geometry
 *
 * Each is one solid of a body. All areas are exact: helicoids and cut threads as thread.h says,
 * hexagons cut by a chamfer's cone in closed form. Labels: threads TKS_THREAD, ends TKS_END, drive
 * sockets TKS_HOLE (with a cavity, as the bath reaches into them badly), masked stretches
 * TKS_MASKED, all else TKS_OUTSIDE. */
#ifndef TANKSIDE_FASTENER_H
#define TANKSIDE_FASTENER_H

#include "tankside/geometry.h"
#include "tankside/thread.h"

#ifdef __cplusplus
extern "C" {
#endif

/* A hexagon: a prism of this width across its flats, both ends cut by cones that leave a circle of
 * this diameter (0: no chamfer) and fall away from it at this angle to the end plane (usually 30
 * deg; a head has one at its top only). */
typedef struct tks_hexagon {
    double across_flats, height;
    double circle[2]; /* at height 0 and at the top */
    double angle;
} tks_hexagon;

/* Area and volume of a hexagon. Closed forms: a cone cuts the six sides along hyperbolas, and what
 * it leaves of itself is the hexagon outside the circle over the cosine of its angle. */
typedef struct tks_hexagon_measures {
    double side;    /* one of the six */
    double cone[2]; /* of each end */
    double face[2]; /* flat left at each end */
    double volume;
} tks_hexagon_measures;

/* Errors, TKS_EGEOMETRY: sizes not above zero, chamfers that meet or a circle beyond the corners.
 */
tks_status tks_hexagon_measure(const tks_hexagon *hexagon, tks_hexagon_measures *measures,
                               tks_error *err);

/* A hexagon socket from above: across its flats, depth of its walls, and a conical bottom of this
 * angle between cone and axis (0: flat) as wide as its flats. across_flats 0: none. */
typedef struct tks_socket {
    double across_flats, depth, angle;
} tks_socket;

typedef enum tks_head_kind {
    TKS_HEAD_NONE,
    TKS_HEAD_HEXAGON,
    TKS_HEAD_CYLINDER,    /* its upper edge broken at 45 deg by `edge` */
    TKS_HEAD_COUNTERSUNK, /* a cone from the shank to head_diameter, then upright */
    TKS_HEAD_BUTTON       /* a sphere from an upright rim of height `edge` to a flat around the
                             socket */
} tks_head_kind;

/* A bolt, screw, stud or rod, with its axis on z. From below: thread from the tip, plain shank,
 * second thread (studs), head. */
typedef struct tks_screw {
    tks_thread thread;
    double thread_length;  /* from the tip, with its run-out */
    double runout;         /* length over which the thread rises to the shank; 0: to the very end */
    double shank_diameter; /* 0: that of the thread */
    double shank_length;   /* plain */
    double second_length;  /* of the thread at the upper end; 0: none */
    bool square_tip;       /* no chamfer on the tip (and on the upper end of a headless one) */
    tks_head_kind head;
    tks_hexagon hexagon;                     /* of a hexagon head; circle[0]: its bearing face */
    double head_diameter, head_height, edge; /* of the others */
    double cone; /* angle of a countersunk head between cone and axis; 0: 45 deg */
    tks_socket socket;
    double masked_from, masked_length; /* of the thread, from the tip: stopped off, or in a nut */
} tks_screw;

/* Length from the tip to the underside of the head (countersunk: to the top). */
double tks_screw_length(const tks_screw *screw);

/* Adds a screw. Frame: origin at the tip, z towards the head. Errors, TKS_EGEOMETRY: what thread.h
 * says of threads, a head narrower than its shank, a socket that does not fit its head, a masked
 * length beyond the thread; TKS_EMEMORY. */
tks_status tks_body_screw(tks_body *body, const tks_frame *frame, const tks_screw *screw,
                          tks_error *err);

/* A nut, or a threaded sleeve: a hexagon with a threaded hole that is countersunk at both ends.
 * collar: a plain ring on top of a lock nut, which holds its insert; its bore is masked. */
typedef struct tks_nut {
    tks_thread thread; /* taken as internal */
    tks_hexagon hexagon;
    double countersink; /* diameter at the faces; 0: 1.05 times the thread's */
    double collar_diameter, collar_height, collar_bore; /* height 0: none */
    bool masked;                                        /* the thread is stopped off or engaged */
} tks_nut;

/* Adds a nut. Frame: origin in the middle of the lower face. Errors as above. */
tks_status tks_body_nut(tks_body *body, const tks_frame *frame, const tks_nut *nut, tks_error *err);

/* Adds the metal of an external thread (or the plug of an internal one, to be cut from a plate)
 * from plane to plane. Frame: origin in the middle of the lower plane. */
tks_status tks_body_thread(tks_body *body, const tks_frame *frame, const tks_thread *thread,
                           double length, const tks_thread_end ends[2], tks_error *err);

/* A body whose threads are plain cylinders of their effective diameter, and whose hexagons have no
 * chamfers and round sockets: what current in the bath sees of a fastener, with far fewer
 * triangles. The true area of a thread is about 1.7 times that of its cylinder. *smooth is the body
 * itself when it has no fastener; otherwise a new one in the arena, whose solids may overlap.
 * Errors: TKS_EMEMORY, TKS_EGEOMETRY. */
tks_status tks_body_smooth(tks_arena *arena, const tks_body *body, const tks_body **smooth,
                           tks_error *err);

#ifdef __cplusplus
}
#endif
#endif
