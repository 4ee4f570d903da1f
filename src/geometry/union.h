/* Certified area of united and cut solids: the parts of the engine. room: geometry
 *
 * A solid is known by its faces (bounded pieces of planes, cylinders, cones, spheres and tori) and
 * by a test whether a point is inside. The faces are halved into cells until each is either clear
 * of all other faces, so that it counts whole or not at all, or is crossed by one surface along a
 * curve, so that a one-dimensional integral gives its exposed share. */
#ifndef GEOMETRY_UNION_H
#define GEOMETRY_UNION_H

#include "geometry/union_face.h"

#include "tankside/union.h"

#include "base/sum.h"
#include "base/team.h"

/* ------------------------------------------------------------------ solids */

typedef struct union_solid {
    uint32_t body;
    bool cut;    /* taken from the body instead of added */
    bool convex; /* inside is where f < 0 of all its faces */
    bool filled; /* a closed tube, taken as full; the faces of its bore stand behind the solid's */
    uint32_t face_first, face_count;
    tks_vec3 low, high;
    /* Signed distance: of the right sign, in size at most the true one. */
    double (*distance)(const void *context, tks_vec3 q);
    const void *context;
    uint32_t real; /* itself; of a stand-in, the solid before it that it stands for */
} union_solid;

typedef struct union_model {
    tks_arena *arena;
    union_face *faces;
    size_t face_count, face_room;
    union_solid *solids; /* bodies in order, each one's solids together */
    size_t solid_count, solid_room;
    bool *body_cut;
    bool *body_plain;      /* its patches are its whole surface: they hide nothing of one another */
    double *free_volume;   /* three times the volume under a body's free faces, per area [m] */
    double unruled_volume; /* three times the volume under what closes sealed bores */
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

/* ------------------------------------------------------------------ stand-ins */

/* A disc or ring that may stand in for a thread or coil on planes square to its axis, where its
 * section between two heights is one figure, turned. Its solid follows the one that it stands for;
 * no face of its counts, and no search finds it. */
typedef struct union_stand {
    uint32_t solid; /* that it stands for */
    tks_frame frame;
    double low, high;       /* heights along z between which the figure is all that there is */
    bool ends[2];           /* the solid ends there, with the figure */
    double near, far;       /* the figure's rim lies between these distances from the axis */
    double inside, outside; /* radii of the ring */
} union_stand;

/* The stand-in that a face of a solid, whose faces are all there, gives; false: none. */
bool union_stand_of(const union_model *m, const union_solid *solid, const union_face *face,
                    union_stand *stand);

/* Its distance; context: the union_stand. */
double union_stand_distance(const void *context, tks_vec3 q);

/* Puts stand-ins in the place of solids near a plane face, where they may be. */
void union_stand_in(const union_model *m, const union_face *plane, uint32_t *near, size_t count);

/* ------------------------------------------------------------------ which solids are near */

typedef struct union_index {
    const union_model *m;
    int axis;        /* along which the boxes are sorted by their low ends */
    uint32_t *order; /* solid_count */
    double *reach;   /* highest high end among this one and those before */
} union_index;

tks_status union_index_build(union_index *index, const union_model *m);

/* Finds which faces lie on one surface, but for the snap, and moves them there. most: pairs of
 * a face and a solid to look at; what is left then stands alone. Errors: false when memory is
 * short. */
bool union_sheets_find(const union_index *index, union_model *m, double most);

/* How far two faces were apart that are on one sheet, or are within rounding of one surface though
 * their solids are not near one another; infinite for others. */
double union_sheet_gap(const union_model *m, const union_face *a, const union_face *b);

/* Turns whole spheres so that their parameters go with the axis of a rod or cone through their
 * centre: a sphere as wide as its rod touches it all along a circle, which costs many cells unless
 * the circle is a parameter line. near: room for all solids. */
void union_index_turn_spheres(const union_index *index, union_model *m, uint32_t *near);

/* An upper bound of how many pairs there are of a face and a solid that is near it. */
double union_index_pairs(const union_index *index);

/* The solids whose boxes come within the snap of a face's or a solid's box, ascending; room for all
 * of them. */
size_t union_index_near_solid(const union_index *index, const union_solid *solid, uint32_t *near);
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
    int count;
    bool bare;      /* something of it is exposed */
    bool swapped;   /* the surfaces cross it as graphs u(v) and lines v = const, not v(u) and u */
    uint32_t place; /* number of its first pattern among all of the map */
    signed char verdicts[UNION_PATTERNS];
    double slack; /* of what is exposed of it [m^2] */
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
    union_share *parts; /* of each place: what is exposed there, the volume signed by the verdict.
                           Where exposed places of a leaf adjoin, one of them has all */
    size_t node_count, node_room, leaf_count, leaf_room, link_count, link_room;
    size_t place_count, place_room; /* patterns of all leaves */
} union_map;

/* Records; false when memory is short. Nothing is done, and true given, when it is not wanted, or
 * is no longer because the face has too many cells. */
bool union_map_start(union_map *map);
bool union_map_split(union_map *map, uint32_t node, bool along_u, double at, uint32_t *child);
/* parts: of the leaf's patterns. */
bool union_map_leaf(union_map *map, uint32_t node, const union_leaf *leaf,
                    const union_share *parts);
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
    double sure, area;   /* exposed are the first and half of the second, give or take that half */
    double under, bound; /* three times the volume: half of the first, give or take the second */
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
    double curve_slack;              /* what of it the integrals along curves may err by */
    double deviation;                /* of nearly coincident faces [m] */
    bool nearly;                     /* such faces were met */
    union_map map;
    union_lists waiting;                                              /* cells not yet decided */
    double waiting_sure, waiting_area, waiting_under, waiting_volume; /* sums over them */
    size_t cells;                                                     /* looked at so far */
    double work;       /* spent on it, in cells' worth */
    uint32_t *touched; /* solids that hold a cell of the face or share a face with it */
    size_t touched_count, touched_room;
    tks_status status;
} union_item;

/* How the volume under a solid's exposed faces counts: +1 as metal, -1 as taken away. */
double union_sign(const union_model *m, uint32_t solid);

/* The same for a face that is free, all at once. allowed: area that may stay uncertain [m^2]. */
void union_free_run(const union_model *m, union_item *item, const uint32_t *near, size_t near_count,
                    double allowed);

/* What rows leave exposed of a cell of any other face, which free faces cross. */
typedef struct union_free_part {
    union_share bare, slack;
    size_t looks;
} union_free_part;

/* Rows through a cell. entries: of all solids near, ascending; those that are not open hold for all
 * of the cell. size: half of the cell's [m]. False when an open entry is not for rows. */
bool union_free_cell(const union_model *m, const union_face *own, const union_entry *entries,
                     size_t count, const union_cell *cell, const double size[2],
                     union_free_part *part);

/* Verdict on a place of a face: 0 hidden, +1 exposed with the metal below, -1 exposed with the
 * metal above (the wall of a cut), 2 not yet known. */
typedef enum union_verdict {
    UNION_HIDDEN = 0,
    UNION_BELOW = 1,
    UNION_ABOVE = -1,
    UNION_OPEN = 2
} union_verdict;

/* States of a body just under and just over a face: 1 metal, 0 none, 2 not known; and whether the
 * two may differ. Of the body that entries[*i] begins; *i is left behind its last entry. */
typedef struct union_states {
    int under, over;
    bool differ;
} union_states;

union_states union_body_states(const union_model *m, const union_entry *entries, size_t count,
                               size_t *i);

/* Whether a place that two faces share is counted by a solid that comes before the face's own. */
bool union_counted_elsewhere(const union_entry *entries, size_t count, uint32_t own);

union_verdict union_judge(const union_model *m, const union_face *own, const union_entry *entries,
                          size_t count);

/* How far to go in one round, by one thread. */
typedef struct union_round {
    double smallest; /* area of cells that are left waiting [m^2] */
    double allowed;  /* quadrature error per stretch of curve, of its cell's area */
    double work;     /* that may be spent on the item, besides the first look; in cells' worth */
    bool first;
    bool (*go_on)(void *context); /* asked now and then; false: leave the rest waiting */
    void *context;
    bool *marks; /* one for each solid; all false, and left so */
} union_round;

/* Works on one face until each of its cells is decided or small. near: the other solids whose boxes
 * meet the face's, in ascending order. */
void union_item_run(const union_model *m, union_item *item, const uint32_t *near, size_t near_count,
                    const union_round *round);

/* Records the cells that still wait as exposed. Errors: false when memory is short. */
bool union_item_close(union_item *item);

/* ------------------------------------------------------------------ sealed cavities */

/* The part of an item's exposed area that bounds a closed void, or what stands free in one.
 * relief: of its slack what the rest of the item is rid of. */
typedef struct union_sealed {
    size_t item;
    double area, slack, relief;
} union_sealed;

typedef struct union_voids {
    union_sealed *sealed; /* in the model's arena */
    size_t sealed_count;
    size_t count; /* of voids */
} union_voids;

/* Looks for closed surfaces that face inwards. Errors: TKS_EMEMORY. */
tks_status union_voids_find(const union_index *index, const union_item *items, size_t item_count,
                            base_team *team, union_voids *voids);

#endif
