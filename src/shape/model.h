/* A shape as it stands in memory once its file has been read: compiled expressions and what they
 * feed. */
#ifndef SHAPE_MODEL_H
#define SHAPE_MODEL_H

#include "shape/records.h"
#include "tankside/fastener.h"
#include "tankside/fastener_size.h"
#include "tankside/shape.h"

enum { SHAPE_MOST_VARIABLES = 64 }; /* parameters and derived values of one shape: bits of a mask */

/* Most formulas are one variable, or a constant: these need no working out. */
typedef enum shape_form { SHAPE_WORKED, SHAPE_VARIABLE, SHAPE_CONSTANT } shape_form;

/* An expression of a shape's file; code NULL: not given. */
typedef struct shape_formula {
    const tks_expression *code;
    uint64_t needs; /* bit i: reads variable i */
    shape_form form;
    size_t variable;       /* which it is */
    tks_quantity constant; /* what it is */
    tks_place at;
} shape_formula;

typedef enum shape_type {
    SHAPE_QUANTITY,
    SHAPE_COUNT,
    SHAPE_CHOICE,
    SHAPE_RECORDS,
    SHAPE_THREAD /* a designation, e.g. M8x1.25 */
} shape_type;

/* Where a value comes from that follows from the shape's thread: a column of its table of fasteners
 * (0 and up), or the thread itself. */
enum { COLUMN_NONE = -1, COLUMN_DIAMETER = -2, COLUMN_PITCH = -3, COLUMN_INCH = -4 };

/* A parameter that the user sets, or a derived value that follows from them. Its index is the slot
 * that expressions read. */
typedef struct shape_variable {
    const char *name, *about;
    shape_type type;
    tks_kind kind;               /* of a quantity */
    const record_layout *layout; /* of records */
    const char *const *words;    /* of a choice */
    size_t word_count;
    bool derived;
    int column; /* of the table that fills it; COLUMN_NONE: none */
    shape_formula preset, above, least, most;
    const char *preset_text, *range_text;
} shape_variable;

typedef struct shape_rule {
    shape_formula that;
    const char *otherwise; /* text of the error */
    int blame;             /* variable whose place the error names; -1: the piece */
} shape_rule;

typedef struct shape_warning {
    shape_formula when;
    tks_severity severity;
    const char *code, *text;
} shape_warning;

typedef struct shape_cavity {
    tks_label label; /* the surfaces that bound it */
    tks_cavity_kind kind;
    shape_formula width, length, mouths;
} shape_cavity;

typedef struct shape_corner {
    shape_formula when, x, y, round, bulge;
    tks_label label;
} shape_corner;

typedef struct shape_pace { /* a step of a path, unevaluated */
    tks_step_kind kind;
    shape_formula length, angle, radius, pitch, pitch_end, hand, when;
} shape_pace;

typedef struct shape_bore { /* a round hole that the shape itself has */
    shape_formula when, diameter, x, y;
} shape_bore;

typedef enum shape_generator {
    SHAPE_REVOLVE,
    SHAPE_EXTRUDE,
    SHAPE_SWEEP,
    SHAPE_SCREW,
    SHAPE_NUT,
    SHAPE_TAP
} shape_generator;

typedef struct shape_place {
    shape_formula at[3], axis[3], side[3]; /* code NULL: not given */
} shape_place;

/* One solid of a shape. Which fields are read depends on the generator: see solid_read.c. */
typedef struct shape_solid {
    shape_generator generator;
    tks_place at;
    shape_formula when;
    bool cut;
    shape_place place;
    shape_corner *corners; /* outline or profile */
    size_t corner_count;
    shape_corner *inner; /* extrude: an inner outline, anticlockwise as the outer one */
    size_t inner_count;
    shape_bore *bores; /* extrude */
    size_t bore_count;
    shape_formula circle;            /* extrude: diameter of a round outline */
    shape_formula sides, flats;      /* extrude: a regular polygon */
    shape_formula strip;             /* extrude: thickness of a bent strip; legs and bends below */
    shape_formula angle, length;     /* revolve; extrude */
    tks_label base, top, ends, side; /* side: of circle, polygon and strip */
    int legs, bends, holes, slots, steps, path, points,
        radii; /* variables with records; -1: none */
    shape_formula grid_hole, grid_columns, grid_rows, grid_x, grid_y, grid_shift;
    shape_pace *paces;
    size_t pace_count;
    shape_formula round, outside, bore, width, height; /* sweep: section */
    tks_label inside;
    shape_formula fillet;  /* sweep through points: radius at each corner */
    shape_formula *fields; /* screw, nut, tap: see fastener_make.c */
    tks_head_kind head;
} shape_solid;

struct tks_shape {
    tks_shape *next; /* in the registry */
    bool added;      /* by tks_shapes_add: found by name, not by path */
    const char *name, *file, *family, *about, *origin, *example, *needs;
    const char *const *other_names;
    size_t other_name_count;
    shape_variable *variables;
    size_t variable_count, parameter_count; /* parameters first, then derived */
    const tks_fastener_table *table;        /* fills parameters by thread; NULL: none */
    int thread;                             /* variable that is the thread; -1: none */
    const char **words;                     /* of all choices; a choice's value is its index here */
    size_t word_count;
    shape_rule *rules;
    size_t rule_count;
    shape_warning *warnings;
    size_t warning_count;
    shape_cavity *cavities;
    size_t cavity_count;
    shape_solid *solids;
    size_t solid_count;
};

/* Values of one piece, by variable. Records stand for their number in expressions. */
typedef struct shape_values {
    const tks_shape *shape;
    tks_quantity slots[SHAPE_MOST_VARIABLES];
    const record *records[SHAPE_MOST_VARIABLES];
    size_t record_counts[SHAPE_MOST_VARIABLES];
    const tks_node *nodes[SHAPE_MOST_VARIABLES]; /* where the user gave it; NULL: preset */
    tks_designation thread;
    uint64_t set;
    const char *file;
    tks_place at; /* of the piece */
} shape_values;

/* Reads a shape's file (its root node) into the arena. */
tks_status shape_read(tks_arena *arena, const tks_node *root, const char *file, tks_shape **shape,
                      tks_error *err);

/* Compiles the text of a node as a formula over the shape's variables. */
tks_status shape_formula_read(tks_arena *arena, const tks_shape *shape, const tks_node *node,
                              shape_formula *formula, tks_error *err);

/* Reads the label that a node names. */
tks_status shape_label_read(const tks_shape *shape, const tks_node *node, tks_label *label,
                            tks_error *err);

/* Reads one solid of a shape whose variables are known. */
tks_status shape_solid_read(tks_arena *arena, const tks_shape *shape, const tks_node *node,
                            shape_solid *solid, tks_error *err);

/* Fills the values of a piece: what the user gave, then presets and derived values, then the rules.
 */
tks_status shape_values_read(const tks_shape *shape, const tks_node *piece, const char *file,
                             const char *const *others, size_t other_count, tks_arena *arena,
                             shape_values *values, tks_error *err);

/* The value of a formula that is given. */
tks_status shape_work_out(const shape_values *values, const shape_formula *formula,
                          tks_quantity *value, tks_error *err);

/* Evaluates a formula as a kind; preset is the value when the formula is not given. */
tks_status shape_evaluate(const shape_values *values, const shape_formula *formula, tks_kind kind,
                          double preset, double *value, tks_error *err);

/* Whether a condition holds; one that is not given does. */
tks_status shape_holds(const shape_values *values, const shape_formula *formula, bool *holds,
                       tks_error *err);

/* Adds one solid to the body. cavities[label]: index of the cavity that surfaces of the label
 * bound. */
tks_status shape_solid_make(const shape_values *values, const shape_solid *solid,
                            const int cavities[TKS_LABEL_COUNT], tks_body *body, tks_error *err);

/* The extrusion, with its holes, slots, grid of holes, and holes through the legs of a strip. */
tks_status shape_extrude_make(const shape_values *values, const shape_solid *solid,
                              const int cavities[TKS_LABEL_COUNT], const tks_frame *frame,
                              tks_body *body, tks_error *err);

/* Reads the keys of a screw or nut, and makes it. */
tks_status shape_fastener_read(tks_arena *arena, const tks_shape *shape, const tks_node *node,
                               shape_solid *solid, tks_error *err);
tks_status shape_fastener_make(const shape_values *values, const shape_solid *solid,
                               const tks_frame *frame, tks_body *body, tks_error *err);

/* The outline of corners; clockwise turns it round, as a hole runs. */
tks_status shape_corners_make(const shape_values *values, const shape_corner *corners, size_t count,
                              const int cavities[TKS_LABEL_COUNT], bool clockwise, tks_arena *arena,
                              tks_outline *outline, tks_error *err);

enum { SHAPE_LONGEST_PATH = 1024, SHAPE_FOLDERS = 3 };

/* A folder of the user's own shapes: the beginning of its path (may be NULL), and what goes behind.
 */
typedef struct shape_folder {
    const char *folder, *between;
} shape_folder;

/* Those folders, nearest first; beside: folder of the part file, or NULL. */
void shape_own_folders(const char *beside, shape_folder to[SHAPE_FOLDERS]);

#endif
