/* From a scene to panels: bodies' triangles joined at their corners, the tank's sides, and a size
 * for each panel. */
#ifndef FIELD_PANELS_H
#define FIELD_PANELS_H

#include "field/mesh.h"

#include "tankside/field.h"

/* Adds a body: corners that coincide become one point, triangles without area are left out.
 * Errors: TKS_EMISSING, TKS_EDOMAIN, TKS_EMEMORY; they name the body. */
tks_status field_panels_body(field_mesh *mesh, const tks_field_body *body, uint32_t number,
                             tks_error *err);

/* Adds the tank's six sides, facing inward, in cells of about the given size; number: their body.
 */
tks_status field_panels_tank(field_mesh *mesh, const tks_field_scene *scene, double cell,
                             uint32_t number, tks_error *err);

/* Splits panels until no edge on a body is longer than longest, and until they are small enough for
 * the gap that they look into: an edge at most 0.6 of the gap (a bore: of its diameter). The widest
 * offenders come first, and no more is split once there are most panels. */
tks_status field_panels_size(field_mesh *mesh, double longest, size_t most, tks_error *err);

#endif
