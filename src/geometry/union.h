/* Certified area of united and cut solids: the parts of the engine. room: geometry
 *
 * A solid is known by its faces (bounded pieces of planes, cylinders, cones, spheres and tori) and
 * by a test whether a point is inside. The faces are halved into cells until each is either clear
 * of all other faces, so that it counts whole or not at all, or is crossed by one surface along a
 * curve, so that a one-dimensional integral gives its exposed share. */
#ifndef GEOMETRY_UNION_H
#define GEOMETRY_UNION_H

#include "tankside/union.h"

#include "base/sum.h"

#include <stdint.h>

/* ------------------------------------------------------------------ unbounded surfaces */

typedef enum union_form {
    UNION_PLANE,
    UNION_CYLINDER,
    UNION_CONE,
    UNION_SPHERE,
    UNION_TORUS,
    UNION_FREE /* known by the distance of its solid alone */
} union_form;

/* The surface f = 0, with f < 0 on the metal's side and a slope of one on it:
 *   plane     axis . (q - origin)
 *   cylinder  side (rho^2 - radius^2) / (2 radius)
 *   cone      cosine rho + sine h - radius
 *   sphere    side (|q - origin|^2 - radius^2) / (2 radius)
 *   torus     side ((rho - ring)^2 + h^2 - radius^2) / (2 radius)
 * with h and rho the height along and the distance from the axis. */
typedef struct union_surface {
    union_form form;
    tks_vec3 origin, axis;
    double radius, ring, cosine, sine, side;
} union_surface;

/* f at q, and its gradient. */
double union_value(const union_surface *s, tks_vec3 q, tks_vec3 *gradient);

/* Bound of the norm of f's matrix of second derivatives within `reach` of q; real: at real points
 * only, else at complex ones too (Hermitian norm). Infinite where f is not smooth. */
double union_curvature(const union_surface *s, tks_vec3 q, double reach, bool real);

/* Length of the part of a step that f's second derivatives feel. */
double union_transverse(const union_surface *s, tks_vec3 step);

/* ------------------------------------------------------------------ faces */

/* A bounded face over a rectangle of parameters: a flat one, q = origin + u x + v y; or one turned
 * about z by the angle u: a line (v its length) or an arc (v the angle about its centre). */
typedef struct union_face {
    union_surface surface;
    bool turned, arc;
    bool free; /* its own area is found from points only: trimmed faces, helicoids, coils */
    tks_frame frame;
    double x, y, dx, dy; /* line: start and direction (radius, height) */
    double radius;       /* arc: of it; x, y: its centre */
    double side;         /* +1 when the solid is on the left of growing v (flat: faces z) */
    double low[2], high[2];
    const tks_outline *window; /* flat: the outlines that bound it; NULL: the rectangle */
    size_t window_count;
    uint32_t edge_first, edge_count; /* the faces that stand on the window's outlines */
    tks_vec3 centre;                 /* of a ball about the face */
    double ball;
    double area;
    uint32_t solid;         /* that it bounds */
    const tks_patch *patch; /* that it was made from */
    double shell[4];        /* free: least and greatest distance from z, and height along it */
    bool follows;           /* free: the solid's first free face stands for this one as well */
    tks_label label;        /* that its area counts under */
    size_t report;          /* index of the patch in the result */
} union_face;

/* Surface through the segment of a face, once its frame and sizes are set. */
void union_face_surface(union_face *f);

/* Ball about a face, and corners of a box that holds it. */
void union_face_ball(union_face *f);
void union_face_box(const union_face *f, tks_vec3 *low, tks_vec3 *high);

/* A lower bound of the distance from q to the bounded face (exact for whole turns). */
double union_face_distance(const union_face *f, tks_vec3 q);

/* Parameters of the point of the (unbounded) face nearest to q. */
void union_face_locate(const union_face *f, tks_vec3 q, double *u, double *v);

/* Point of a face and its first derivatives. */
typedef struct union_spot {
    tks_vec3 at, du, dv;
} union_spot;

/* Cosine and sine of an angle. */
typedef struct union_turn {
    double cosine, sine;
} union_turn;

union_turn union_turn_of(double angle);

void union_spot_at(const union_face *f, double u, double v, union_spot *spot);
tks_vec3 union_point(const union_face *f, double u, double v);
/* Unit normal that points out of the face's own solid. */
tks_vec3 union_normal(const union_face *f, double u, double v);

/* Bounds of the second derivatives of a point within ru, rv of (u, v). */
typedef struct union_bend {
    double uu, uv, vv;
} union_bend;

union_bend union_bend_at(const union_face *f, double v, double ru, double rv, bool real);

/* Value and first derivatives of another surface's f over a face, with bounds of the second ones
 * within ru, rv. coaxial: f is known not to depend on u. */
typedef struct union_jet {
    double f, fu, fv, fuu, fuv, fvv;
} union_jet;

typedef struct union_range {
    double ru, rv;
    bool real, coaxial;
} union_range;

void union_jet_at(const union_face *f, const union_surface *s, const union_spot *spot, double v,
                  const union_range *range, union_jet *jet);

/* Area and three times the volume under a face (divergence theorem) are integrals of
 *   dA = j(v) du dv,  3 dV = (a(v) + b(v) (ox cos u + oy sin u)) du dv.
 * j, a, b and their integrals over v. */
typedef struct union_measure {
    double j, a, b;
} union_measure;

union_measure union_density(const union_face *f, double v);
union_measure union_integral(const union_face *f, double v);

/* The share of an area and a volume, exact for a rectangle of parameters. */
typedef struct union_share {
    double area, volume;
} union_share;

union_share union_rectangle(const union_face *f, double u0, double u1, double v0, double v1);

/* ------------------------------------------------------------------ solids */

typedef struct union_solid {
    uint32_t body;
    bool cut;    /* taken from the body instead of added */
    bool convex; /* inside is where f < 0 of all its faces */
    uint32_t face_first, face_count;
    tks_vec3 low, high;
    /* Signed distance: of the right sign, in size at most the true one. */
    double (*distance)(const void *context, tks_vec3 q);
    const void *context;
} union_solid;

typedef struct union_model {
    tks_arena *arena;
    union_face *faces;
    size_t face_count, face_room;
    union_solid *solids; /* bodies in order, each one's solids together */
    size_t solid_count, solid_room;
    bool *body_cut;
    bool *body_plain;    /* its patches are its whole surface: they hide nothing of one another */
    double *free_volume; /* three times the volume under a body's free faces, per area [m] */
    size_t body_count;
    tks_vec3 origin; /* in the world, of the model's coordinates */
    double scale;    /* largest size of all [m] */
    double slack;    /* lengths below this are rounding [m] */
    double snap;     /* faces nearer than this are taken as coincident [m] */
} union_model;

/* Makes the model of bodies less cuts; m->arena is set. Errors: TKS_EGEOMETRY, TKS_ELIMIT,
 * TKS_EMEMORY. */
tks_status union_model_build(union_model *m, const tks_body *const *bodies, size_t body_count,
                             const tks_body *const *cuts, size_t cut_count, double snap,
                             tks_error *err);

/* ------------------------------------------------------------------ which solids are near */

typedef struct union_index {
    const union_model *m;
    int axis;        /* along which the boxes are sorted by their low ends */
    uint32_t *order; /* solid_count */
    double *reach;   /* highest high end among this one and those before */
} union_index;

tks_status union_index_build(union_index *index, const union_model *m);

/* Turns whole spheres so that their parameters go with the axis of a rod or cone through their
 * centre: a sphere as wide as its rod touches it all along a circle, which costs many cells unless
 * the circle is a parameter line. near: room for all solids. */
void union_index_turn_spheres(const union_index *index, union_model *m, uint32_t *near);

/* The solids whose boxes come within the snap of a face's box, ascending; room for all of them. */
size_t union_index_near(const union_index *index, const union_face *face, uint32_t *near);

/* ------------------------------------------------------------------ cells */

/* How a cell stands to one solid. under and over: the space just below and just above the face that
 * the cell lies on is inside the solid. */
typedef struct union_entry {
    uint32_t solid;
    uint32_t first, count; /* open: the faces that may still reach the cell */
    bool open, offset;     /* offset: has a coincident face, so look below and above */
    bool near;             /* that face coincides only nearly */
    bool under, over;
} union_entry;

#define UNION_WINDOW UINT32_MAX /* in place of a solid: the face's own outlines */

typedef struct union_reach {
    uint32_t face;
    bool coaxial;
    union_jet jet; /* of the face's surface over the cell last looked at */
} union_reach;

typedef struct union_cell {
    double u, v, hu, hv;
} union_cell;

/* ------------------------------------------------------------------ the record of a face's cells
 */

/* Surfaces that may cross one cell. */
enum { UNION_SURFACES = 4, UNION_PATTERNS = 1 << UNION_SURFACES };

/* A decided cell. The signs of the surfaces that cross it make a pattern (bit i: f of surface i is
 * above zero), which tells what is exposed: -1, 0, 1 as union_verdict. */
typedef struct union_leaf {
    union_cell cell;
    uint32_t faces[UNION_SURFACES];
    bool coaxial[UNION_SURFACES]; /* as in union_reach */
    int count;
    bool bare; /* something of it is exposed */
    signed char verdicts[UNION_PATTERNS];
} union_leaf;

/* A cell halved at u or v = at into child and child + 1; or, child 0, one decided (leaf - 1). */
typedef struct union_node {
    uint32_t child, leaf;
    bool along_u;
    double at;
} union_node;

/* On the rim of what is exposed of a cell with this pattern; or, when other is not NO_PATTERN,
 * where it meets another pattern that is exposed as well. */
typedef struct union_link {
    uint32_t leaf, face; /* face: that goes on there, as far as known; else UNION_WINDOW */
    unsigned char pattern, other;
    double u, v;
} union_link;

enum { UNION_NO_PATTERN = 255 };

typedef struct union_map {
    bool wanted;
    union_node *nodes;
    union_leaf *leaves;
    union_link *links;
    size_t node_count, node_room, leaf_count, leaf_room, link_count, link_room;
} union_map;

/* Records; false when memory is short. Nothing is done, and true given, when it is not wanted, or
 * is no longer because the face has too many cells. */
bool union_map_start(union_map *map);
bool union_map_split(union_map *map, uint32_t node, bool along_u, double at, uint32_t *child);
bool union_map_leaf(union_map *map, uint32_t node, const union_leaf *leaf);
bool union_map_link(union_map *map, union_link link);
void union_map_free(union_map *map);

/* The decided cell at (u, v); SIZE_MAX when there is none. */
size_t union_map_find(const union_map *map, double u, double v);

/* The pattern of a leaf's surfaces at a point. */
unsigned union_map_pattern(const union_model *m, const union_leaf *leaf, tks_vec3 at);

/* A cell that waits, with its own entries and faces. */
typedef struct union_waiting {
    union_cell cell;
    uint32_t node;
    double area;
    size_t entry_first, entry_count;
    size_t reach_first, reach_count;
} union_waiting;

typedef struct union_lists {
    union_entry *entries;
    size_t entry_count, entry_room;
    union_reach *reaches;
    size_t reach_count, reach_room;
    union_waiting *cells;
    size_t cell_count, cell_room;
} union_lists;

void union_lists_free(union_lists *lists);

/* What one face has given so far. */
typedef struct union_item {
    uint32_t face;
    base_sum area, volume;           /* volume: three times it */
    double area_slack, volume_slack; /* bounds of quadrature and rounding */
    double deviation;                /* of nearly coincident faces [m] */
    bool nearly;                     /* such faces were met */
    bool wide;                       /* a free face that something else reaches */
    union_map map;
    union_lists waiting; /* cells not yet decided */
    double waiting_area, waiting_volume;
    size_t cells;      /* looked at so far */
    uint32_t *touched; /* solids that hold a cell of the face or share a face with it */
    size_t touched_count, touched_room;
    tks_status status;
} union_item;

/* The same for a face that is free, all at once. */
void union_free_run(const union_model *m, union_item *item, const uint32_t *near,
                    size_t near_count);

/* Verdict on a place of a face: 0 hidden, +1 exposed with the metal below, -1 exposed with the
 * metal above (the wall of a cut), 2 not yet known. */
typedef enum union_verdict {
    UNION_HIDDEN = 0,
    UNION_BELOW = 1,
    UNION_ABOVE = -1,
    UNION_OPEN = 2
} union_verdict;

union_verdict union_judge(const union_model *m, const union_face *own, const union_entry *entries,
                          size_t count);

/* How far to go in one round. */
typedef struct union_round {
    double smallest; /* area of cells that are left waiting [m^2] */
    double allowed;  /* quadrature error per stretch [m^2] */
    size_t cells;    /* budget of the item */
    bool first;
} union_round;

/* Works on one face until each of its cells is decided or small. near: the other solids whose boxes
 * meet the face's, in ascending order. */
void union_item_run(const union_model *m, union_item *item, const uint32_t *near, size_t near_count,
                    const union_round *round);

/* ------------------------------------------------------------------ sealed cavities */

/* The part of an item's exposed area that bounds a closed void. */
typedef struct union_sealed {
    size_t item;
    double area, slack;
} union_sealed;

typedef struct union_voids {
    union_sealed *sealed; /* in the model's arena */
    size_t sealed_count;
    size_t count; /* of voids */
} union_voids;

/* Looks for closed surfaces that face inwards. Errors: TKS_EMEMORY. */
tks_status union_voids_find(const union_index *index, const union_item *items, size_t item_count,
                            union_voids *voids);

#endif
