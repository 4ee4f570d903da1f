/* Solids and their surfaces: plane outlines, paths in space, and the generators that move one along
 * the other. All lengths [m], angles [rad], areas [m^2], volumes [m^3]. room: geometry
 *
 * A body is what one described piece is made of: an ordered list of solids (each added or cut), and
 * the patches that bound it. Each patch has an exact area and a label. Bodies, and all they hold,
 * live in the arena given to tks_body_new. */
#ifndef TANKSIDE_GEOMETRY_H
#define TANKSIDE_GEOMETRY_H

#include "tankside/arena.h"
#include "tankside/status.h"
#include "tankside/vec.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* What a stretch of surface is, which decides how the bath reaches it. */
/* clang-format off */
#define TKS_LABEL_LIST(X)                                                                  \
    X(TKS_OUTSIDE, "outside")  /* open to the bath */                                      \
    X(TKS_END,     "end")      /* an end face; as open as the outside */                   \
    X(TKS_THREAD,  "thread")   /* a screw thread */                                        \
    X(TKS_HOLE,    "hole")     /* the wall of a hole through or into a part */             \
    X(TKS_INSIDE,  "inside")   /* the bore of a tube, the inside of a box */               \
    X(TKS_MASKED,  "masked")   /* stopped off: not wetted */                               \
    X(TKS_SEALED,  "sealed")   /* bounds a closed void: not wetted */                      \
    X(TKS_JOINT,   "joint")    /* where solids of one body meet: not a surface, no patch */
/* clang-format on */

typedef enum tks_label {
#define TKS_LABEL_CODE(code, name) code,
    TKS_LABEL_LIST(TKS_LABEL_CODE)
#undef TKS_LABEL_CODE
        TKS_LABEL_COUNT
} tks_label;

/* The name of a label, as users write it: "outside", "thread". */
const char *tks_label_name(tks_label label);

/* The label of this name; TKS_LABEL_COUNT when there is none. */
tks_label tks_label_find(const char *name, size_t length);
/* Whether the bath reaches surfaces of this label. */
bool tks_label_wetted(tks_label label);

/* ------------------------------------------------------------------ plane outlines */

/* A straight line (turn 0) or a circular arc of a plane outline. */
typedef struct tks_segment {
    tks_vec2 from, to;
    tks_vec2 centre; /* of an arc */
    double turn;     /* angle swept by an arc, anticlockwise positive, |turn| <= 2 pi */
    tks_label label; /* of the surface that it makes */
    int cavity;      /* index into the body's cavities, -1: open */
} tks_segment;

/* A closed chain of segments, each beginning where the one before ends. The solid lies to the LEFT
 * of the way they run: outer outlines run anticlockwise, those of holes clockwise. For
 * tks_body_revolve x is the radius (>= 0), y the height, and stretches on the axis (both x zero)
 * make no surface. */
typedef struct tks_outline {
    tks_segment *segments;
    size_t count;
    signed char sound; /* 1: known to be whole and to run anticlockwise, -1: clockwise, as set by
                          those who make outlines here; 0: not known, so that generators check it.
                          Set it to 0 when the segments are changed by hand */
} tks_outline;

/* Length of a line or arc [m], exact. */
double tks_segment_length(const tks_segment *segment);

/* Area inside an outline, by Green's theorem with the arcs' own segments; negative when it runs
 * clockwise. Exact up to rounding. */
double tks_outline_area(const tks_outline *outline);
double tks_outline_length(const tks_outline *outline);

/* Distance from a point to the outline, negative inside (left of it). Exact up to rounding. */
double tks_outline_distance(const tks_outline *outline, tks_vec2 point);

/* A corner of a polygon that is to become an outline. */
typedef struct tks_corner {
    tks_vec2 at;
    double round;    /* radius of the rounding at this corner; 0: sharp */
    double bulge;    /* of the edge from here to the next corner: angle swept by its arc,
                        anticlockwise positive, |bulge| < 2 pi; 0: straight */
    tks_label label; /* of that edge (a rounding takes the label of the edge behind it) */
    int cavity;
} tks_corner;

/* Makes the closed outline of corners, rounded where asked (roundings between straight edges only).
 * Errors, TKS_EGEOMETRY: under 2 corners, a rounding longer than its edges ("corner 3: a radius of
 * 5 mm does not fit"), edges of no length, an outline that crosses itself or runs clockwise
 * (clockwise true: anticlockwise). */
tks_status tks_outline_corners(tks_arena *arena, const tks_corner *corners, size_t count,
                               bool clockwise, tks_outline *outline, tks_error *err);

/* A full circle as one segment; clockwise for a hole. */
tks_status tks_outline_circle(tks_arena *arena, tks_vec2 centre, double radius, bool clockwise,
                              tks_label label, int cavity, tks_outline *outline, tks_error *err);

/* A strip of constant thickness bent along flat legs: the section of bent sheet, seen from its
 * edge. It starts at the origin along +x with its material on the left; bend angles are positive to
 * the left; radii are those of the inner faces. Segments come as: the right-hand faces from first
 * leg to last (leg, bend, leg ...), the far edge, the left-hand faces back, the near edge, so that
 * leg i's right face is segment 2 i and its left face segment (4 legs - 2) - 2 i. Errors,
 * TKS_EGEOMETRY: a strip that runs through itself; a bend over 180 deg. */
tks_status tks_outline_strip(tks_arena *arena, double thickness, const double *legs,
                             size_t leg_count, const double *bend_angles, const double *bend_radii,
                             tks_outline *outline, tks_error *err);

/* ------------------------------------------------------------------ paths in space */

typedef enum tks_stretch_kind { TKS_STRAIGHT, TKS_BEND, TKS_COIL } tks_stretch_kind;

/* One stretch of a path. Its frame stands at its start: z along the path, x towards the centre of a
 * bend or the axis of a coil (for a straight: the way the next bend would go). */
typedef struct tks_stretch {
    tks_stretch_kind kind;
    tks_frame start;
    double length;           /* of the centreline */
    double radius, angle;    /* of a bend; of a coil: radius about its axis and angle about it */
    double pitch, pitch_end; /* of a coil: advance per turn, changing evenly from start to end */
    double hand;             /* of a coil: +1 right, -1 left */
} tks_stretch;

typedef struct tks_path {
    tks_stretch *stretches;
    size_t count;
    double length;
    bool closed;   /* the end meets the start, point and direction */
    tks_frame end; /* at the end */
} tks_path;

/* A step of a path as a person describes it, walking along it. */
typedef enum tks_step_kind {
    TKS_STEP_STRAIGHT,
    TKS_STEP_BEND,
    TKS_STEP_TURN,
    TKS_STEP_COIL
} tks_step_kind;

typedef struct tks_step {
    tks_step_kind kind;
    double length;        /* straight */
    double angle, radius; /* bend: angle > 0 and centreline radius; turn: angle by which the plane
                             of the next bend is turned about the path, right-handed;
                             coil: angle (2 pi per turn) and centreline radius */
    double pitch,
        pitch_end; /* coil; the axis is perpendicular to the bend plane but for the pitch */
    double hand;   /* coil: +1 or -1 */
} tks_step;

/* Walks the steps from the frame start (z: first direction, x: side of the first bend).
 * Errors, TKS_EGEOMETRY, naming the step: lengths, radii or angles out of range. */
tks_status tks_path_walk(tks_arena *arena, const tks_frame *start, const tks_step *steps,
                         size_t count, tks_path *path, tks_error *err);

/* The path through corners in space, each inner corner rounded with its radius (radii[0] and the
 * last are not read). points: n x 3, row-major. Errors, TKS_EGEOMETRY: coincident corners, a radius
 * that does not fit between its neighbours, a path that folds back on itself. */
tks_status tks_path_corners(tks_arena *arena, const double *points, const double *radii, size_t n,
                            tks_path *path, tks_error *err);

/* ------------------------------------------------------------------ surfaces */

/* A closed-in space that the bath's current enters through mouths. */
typedef enum tks_cavity_kind { TKS_BORE, TKS_GAP } tks_cavity_kind;

typedef struct tks_cavity {
    tks_cavity_kind kind;
    double width;  /* bore: radius; gap: distance between the faces */
    double length; /* from mouth to mouth, or from the mouth to the closed end */
    int mouths;    /* open ends: 1 or 2 */
} tks_cavity;

typedef enum tks_patch_kind {
    TKS_PATCH_PLANE,    /* the inside of outlines in the frame's xy plane; faces +z, or
                           -z when reversed */
    TKS_PATCH_PRISM,    /* a segment of the xy plane moved along z by travel */
    TKS_PATCH_REVOLVED, /* a segment of the (x = radius, y = height) half-plane turned about the
                           frame's z by travel [rad], starting at the frame's x */
    TKS_PATCH_HELICOID, /* the same, with an advance along z per radian, between two planes or
                           cones about z (see trim): of a screw thread */
    TKS_PATCH_COIL,     /* a segment of the section moved along a coil; section x: towards the
                           axis, y: along the path's binormal */
    TKS_PATCH_TRIMMED   /* part of a plane or cone with curved edges: the flanks of a hexagon under
                           its chamfer, a thread's cut face (see trim) */
} tks_patch_kind;

typedef struct tks_patch {
    tks_patch_kind kind;
    tks_label label;
    unsigned solid; /* index in the body of the solid that it bounds */
    int cavity;     /* index in the body's cavities, -1: open */
    double area;    /* exact [m^2] */
    tks_frame frame;
    const tks_outline *outlines; /* plane: outer one first; borrowed from the body */
    size_t outline_count;
    bool reversed;               /* plane: faces the frame's -z */
    tks_segment segment;         /* the others */
    double travel;               /* length, or angle */
    double advance;              /* helicoid [m/rad] */
    const struct tks_trim *trim; /* helicoid and trimmed: their edges; tks_patch_at knows */
    double radius, pitch, pitch_end, hand; /* coil; frame as that of a stretch */
} tks_patch;

/* Point and outward unit normal of a moved patch (all but TKS_PATCH_PLANE) at u, v in 0..1: u along
 * the movement, v along the segment. normal may be NULL. */
void tks_patch_at(const tks_patch *patch, double u, double v, tks_vec3 *point, tks_vec3 *normal);

/* A round plug: what fits into a round hole, and leaves one when it is cut. */
typedef struct tks_plug {
    tks_frame frame;  /* z along the axis; its origin is the middle of one end */
    double length;    /* along z */
    double radius[2]; /* of the wall at both ends; of a thread the major radius */
    double mean;      /* radius of the mean wall; of a thread the pitch radius */
} tks_plug;

/* Whether a patch is the wall of a plug, facing away from its axis all around: a cylinder, a cone
 * of less than 90 degrees, or part of the helicoid of a plug's thread (of a thread it is not asked
 * which side the metal is on). *plug is written only then. Exact. */
bool tks_patch_plug(const tks_patch *patch, tks_plug *plug);

typedef struct tks_solid tks_solid; /* a generator's own record; see src/geometry/solid.h */

typedef struct tks_body {
    tks_arena *arena;
    tks_patch *patches;
    size_t patch_count;
    tks_solid *solids; /* in order; each is added to, or cut from, what came before */
    size_t solid_count;
    tks_cavity *cavities;
    size_t cavity_count;
    double volume; /* of metal; meaningful when overlap is false */
    bool overlap;  /* solids may overlap or are cut: patches are those of the single solids, and the
                      true area needs the union */
} tks_body;

/* An empty body in an arena; NULL when memory is short. */
tks_body *tks_body_new(tks_arena *arena);

/* Adds a cavity; *index is for the segments and patches that bound it. */
tks_status tks_body_cavity(tks_body *body, tks_cavity cavity, int *index, tks_error *err);

/* Whether the next solid is added (as it is from the start) or cut from the ones before it. */
void tks_body_cut(tks_body *body, bool cut);

/* Adds a solid of revolution.
 *   frame     where the profile's axis stands (z) and where the turn begins (x)
 *   profile   closed, x >= 0; a hollow ring (a profile off the axis) is one outline
 *   angle     0 < angle <= 2 pi; under 2 pi the two flat faces get the label ends
 * Area by Pappus' first theorem (line: mean radius; arc: mean height of the arc, closed form),
 * volume by the second. Errors: TKS_EGEOMETRY (negative radius, not closed), TKS_EMEMORY. */
tks_status tks_body_revolve(tks_body *body, const tks_frame *frame, const tks_outline *profile,
                            double angle, tks_label ends, tks_error *err);

/* A hole through one straight side of an extrusion to the side opposite. */
typedef struct tks_pierce {
    size_t entry, exit; /* segments of the outer outline, straight, parallel and facing away */
    double along,
        across; /* centre: distance from the entry segment's start, and along the extrusion */
    double radius;
    tks_label label; /* TKS_HOLE; or TKS_JOINT: takes the disc off the entry face only */
    int cavity;
} tks_pierce;

/* Adds a prism: outlines[0] less the holes outlines[1..], moved along the frame's z by length.
 * base and top: labels of the end faces (TKS_JOINT: no patch). Errors: TKS_EGEOMETRY (a hole
 * outside the outer outline or crossing another, a pierce that leaves its side, length not above
 * zero). */
tks_status tks_body_extrude(tks_body *body, const tks_frame *frame, const tks_outline *outlines,
                            size_t outline_count, double length, tks_label base, tks_label top,
                            const tks_pierce *pierces, size_t pierce_count, tks_error *err);

/* Section of a sweep; centred on the path. */
typedef enum tks_section_kind { TKS_ROUND, TKS_TUBULAR, TKS_RECTANGULAR } tks_section_kind;

typedef struct tks_section {
    tks_section_kind kind;
    double radius, bore;  /* round: radius; tubular: outer radius and bore radius */
    double width, height; /* rectangular: along the start frame's x and y */
    int cavity;           /* of the bore */
    tks_label inside;     /* of the bore: TKS_INSIDE or TKS_SEALED */
    tks_label start,
        end; /* of the end faces; TKS_JOINT: none. A sealed bore's ends are full discs */
} tks_section;

/* Adds a section swept along a path; no end faces when the path is closed. Round and tubular
 * sections have area 2 pi r L and volume pi r^2 L exactly (a tube about any smooth curve: Pappus;
 * see Gray, Tubes, 2nd ed., 2004, ch. 1). Rectangular sections go along straights and bends.
 * Errors: TKS_EGEOMETRY: a bend or coil tighter than the section, turns that would run into one
 * another (pitch below the section), a wall that is not there. */
tks_status tks_body_sweep(tks_body *body, const tks_path *path, const tks_section *section,
                          tks_error *err);

/* Moves the whole body: its own coordinates become those of the frame. */
void tks_body_place(tks_body *body, const tks_frame *frame);

/* Sum of the areas of a label, compensated; and of all wetted labels. */
double tks_body_area(const tks_body *body, tks_label label);
double tks_body_wetted(const tks_body *body);

/* Signed distance from a point, negative inside the metal: 1-Lipschitz, of the right sign, and in
 * size at most the true distance (equal to it for single solids outside, but for partial revolves).
 */
double tks_body_distance(const tks_body *body, tks_vec3 point);

/* Corners of a box, parallel to the axes, that holds the body; not always the smallest. */
void tks_body_bounds(const tks_body *body, tks_vec3 *low, tks_vec3 *high);

/* ------------------------------------------------------------------ triangles */

typedef struct tks_triangles {
    double *xyz; /* vertex_count x 3, row-major [m] */
    size_t vertex_count;
    uint32_t *corners; /* count x 3, anticlockwise seen from outside */
    uint32_t *patch;   /* count: index of the patch each lies on */
    size_t count;
} tks_triangles;

/* Cuts the patches into triangles no farther than chord [m] from the true surface (at curves) and
 * with edges no longer than longest [m] (0: no bound). Patches that meet share vertices, so a body
 * without overlap gives a closed surface (but for JOINT faces). Threads and fasteners are not
 * closed: their patches are cut each by itself, their cut faces within about 4 % of their area. A
 * sealed bore of a sweep has no triangles. Area error is O(chord). Errors: TKS_ELIMIT over 20
 * million triangles, TKS_EMEMORY. All in the arena. */
tks_status tks_body_triangles(const tks_body *body, double chord, double longest, tks_arena *arena,
                              tks_triangles *triangles, tks_error *err);

#ifdef __cplusplus
}
#endif
#endif
