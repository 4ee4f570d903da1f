/* What the generators remember of a solid, and how they add to a body. room: geometry */
#ifndef GEOMETRY_SOLID_H
#define GEOMETRY_SOLID_H

#include "geometry/outline.h"

typedef enum geometry_solid_kind {
    GEOMETRY_REVOLVE,
    GEOMETRY_EXTRUDE,
    GEOMETRY_SWEEP,
    GEOMETRY_THREAD /* threads and fasteners: see fastener.h */
} geometry_solid_kind;

/* A hole through one side, as the distance needs it. In the extrusion's frame. */
typedef struct geometry_drill {
    tks_vec3 from;  /* centre at the entry face */
    tks_vec3 along; /* unit, into the metal */
    double length, radius;
    double before, behind; /* free way outside the two faces, by which the drill may reach out */
} geometry_drill;

/* Where a stretch of a sweep carries the section: turned by psi about the path in the stretch's own
 * frame, so that it does not turn when only the plane of the bends does. */
typedef struct geometry_sweep {
    tks_path path;
    tks_section section;
    double *psi;           /* path.count */
    tks_outline *outlines; /* of the section, outer one first: 1 or 2, about (0, 0) */
    size_t outline_count;
    tks_frame first, last; /* at the ends, x and y along the section's */
} geometry_sweep;

struct tks_solid {
    geometry_solid_kind kind;
    bool cut;
    tks_frame frame;
    size_t first_patch, patch_count;
    const tks_outline *outlines; /* revolve: one; extrude: outer one first */
    size_t outline_count;
    double travel; /* revolve: angle; extrude: length */
    const geometry_drill *drills;
    size_t drill_count;
    const tks_pierce *pierces; /* extrude: as described, those of label JOINT too */
    size_t pierce_count;
    const geometry_sweep *sweep; /* in the solid's frame */
    const void *thread;          /* record of a fastener, with its own distance */
};

/* The public body is the first member, so that a tks_body made here may be cast to this. */
typedef struct geometry_body {
    tks_body body;
    size_t patch_room, solid_room, cavity_room;
    bool cut;
} geometry_body;

/* A solid under construction: its patches stand behind those of the body, uncounted until
 * geometry_finish, so that a failure leaves the body as it was. */
typedef struct geometry_build {
    tks_body *body;
    tks_solid solid;
    bool failed; /* memory was short */
} geometry_build;

/* Starts a solid with room for so many patches. */
geometry_build geometry_start(tks_body *body, geometry_solid_kind kind, const tks_frame *frame,
                              size_t patches);

/* The next patch, zeroed but for label, cavity, solid and frame; NULL (and failed set) when memory
 * is short. */
tks_patch *geometry_patch(geometry_build *build, tks_patch_kind kind, tks_label label, int cavity);

/* Makes the solid and its patches part of the body; volume is that of the solid. */
tks_status geometry_finish(geometry_build *build, double volume, tks_error *err);

/* A plane patch of the frame (in the solid's coordinates) unless the label is JOINT. */
void geometry_plane(geometry_build *build, const tks_frame *frame, const tks_outline *outlines,
                    size_t count, bool reversed, double area, tks_label label, int cavity);

tks_status geometry_no_memory(tks_error *err);

/* Whether the axes are unit vectors square to one another and right-handed, the origin finite. */
bool geometry_frame_ok(const tks_frame *frame);
tks_status geometry_bad_frame(tks_error *err);

/* Signed distance of one solid from a point of the world, as tks_body_distance has it of all. */
double geometry_solid_distance(const tks_solid *solid, tks_vec3 point);

/* Signed distances, points in the solid's frame; negative inside. */
double geometry_revolve_distance(const tks_solid *solid, tks_vec3 p);
double geometry_extrude_distance(const tks_solid *solid, tks_vec3 p);
double geometry_sweep_distance(const tks_solid *solid, tks_vec3 p);
double geometry_fastener_distance(const tks_solid *solid, tks_vec3 p);

#endif
