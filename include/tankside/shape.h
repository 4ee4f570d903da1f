/* Named shapes: each is a file of data (see DEVELOPERS.md, "How to add a shape") that says which
 * parameters it takes and which solids it is made of. room: shape */
#ifndef TANKSIDE_SHAPE_H
#define TANKSIDE_SHAPE_H

#include "tankside/arena.h"
#include "tankside/caution.h"
#include "tankside/document.h"
#include "tankside/geometry.h"
#include "tankside/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* The shapes known so far. Built-in ones are read when they are first asked for. Not for use by two
 * threads at once. */
typedef struct tks_shapes tks_shapes;

/* One shape; owned by its tks_shapes. */
typedef struct tks_shape tks_shape;

/* An empty library: built-in shapes and files are read when they are asked for. *shapes is the
 * caller's to free, with all shapes found in it; NULL is allowed there. Error: TKS_EMEMORY. */
tks_status tks_shapes_new(tks_shapes **shapes, tks_error *err);
void tks_shapes_free(tks_shapes *shapes);

/* Finds a shape by name (space, '-' and '_' alike; a shape may have other names too).
 *   folder  of the part file; NULL: none. Looked for, in this order: FOLDER/shapes/NAME.yaml,
 *           $TANKSIDE_SHAPES/NAME.yaml, the user's own folder
 *           ($XDG_CONFIG_HOME or ~/.config)/tankside/shapes/NAME.yaml, the built-in ones.
 *   at      where the name was read, for messages
 * Errors: TKS_EUNKNOWN with the nearest name; whatever is wrong in a shape's file, with its place.
 */
tks_status tks_shapes_find(tks_shapes *shapes, const char *name, size_t length, const char *folder,
                           tks_place at, const tks_shape **shape, tks_error *err);

/* Reads a shape from a file's text; it is found by its name from then on, before the built-in ones.
 * The text must outlive the call only. */
tks_status tks_shapes_add(tks_shapes *shapes, const char *file, const char *text, size_t length,
                          const tks_shape **shape, tks_error *err);

/* The built-in shapes in the order of their families. */
size_t tks_shapes_count(void);
const char *tks_shapes_name(size_t i);

/* Names of the user's own shapes, sorted, as tks_shapes_find takes them: the files NAME.yaml in the
 * folders that it looks in, but for names of built-in shapes. folder: as there. names and count are
 * written only on TKS_OK; all in the arena. A folder that cannot be read counts as empty.
 * Errors: TKS_EMEMORY. */
tks_status tks_shapes_own(const char *folder, tks_arena *arena, const char *const **names,
                          size_t *count, tks_error *err);

/* What a shape tells of itself. All borrowed, never NULL. */
const char *tks_shape_name(const tks_shape *shape);
const char *tks_shape_family(const tks_shape *shape);
const char *tks_shape_about(const tks_shape *shape);
const char *tks_shape_origin(const tks_shape *shape);
const char *tks_shape_example(const tks_shape *shape); /* lines `name: value` */

typedef struct tks_parameter {
    const char *name, *kind, *preset, *range, *about; /* preset: default as written, "" when none */
} tks_parameter;

/* How many parameters a shape has, and one of them, in the file's order; i below the count.
 * Borrowed. */
size_t tks_shape_parameters(const tks_shape *shape);
tks_parameter tks_shape_parameter(const tks_shape *shape, size_t i);

/* Makes the body of one piece.
 *   piece    a map with the shape's parameters; keys in others (count of them) are left to the
 * caller file     that piece stands in, for messages arena    owns the body cautions of the shape
 * (a sealed bore, say) are added here; what names the piece in them Errors: TKS_EUNKNOWN (a
 * parameter it does not have, with the nearest), TKS_EMISSING (which, and what it is), TKS_EDOMAIN
 * and TKS_EGEOMETRY (what was read and what would be right), all with a place. */
tks_status tks_shape_make(const tks_shape *shape, const tks_node *piece, const char *file,
                          const char *const *others, size_t other_count, tks_arena *arena,
                          tks_cautions *cautions, const char *what, tks_body **body,
                          tks_error *err);

#ifdef __cplusplus
}
#endif
#endif
