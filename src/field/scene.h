/* Whether a scene can stand as described: all in the liquid, nothing through anything else. */
#ifndef FIELD_SCENE_H
#define FIELD_SCENE_H

#include "field/mesh.h"

#include "tankside/field.h"

/* Checks the scene, whose bodies stand in the mesh, one after the other. Corners that lie on a side
 * of the tank (or on the liquid's surface) are moved a little into the liquid: the film that is
 * left behind carries next to nothing. Errors as tks_field_new says. */
tks_status field_scene_check(const tks_field_scene *scene, field_mesh *mesh, tks_error *err);

/* Where a body has a signed distance, takes away the panels that lie inside metal, off its surface,
 * or twice on it, and turns those that face the wrong way; panels that are partly so are split
 * first, as long as there are fewer than `most`. */
tks_status field_scene_trim(const tks_field_scene *scene, field_mesh *mesh, size_t most,
                            tks_error *err);

/* Takes away panels of parts that lie against panels of other parts: no liquid is between them. */
tks_status field_scene_join(field_mesh *mesh, tks_error *err);

/* Longest side of the boxes about the single parts (about all bodies, when there is no part). */
double field_scene_part_size(const field_mesh *mesh);

#endif
