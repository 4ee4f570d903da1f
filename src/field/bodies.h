/* Parts and anodes as bodies of the field. */
#ifndef FIELD_BODIES_H
#define FIELD_BODIES_H

#include "tankside/deposit.h"

/* The scene of a load in its tank: parts first, in the order of the load, then anodes. All in the
 * arena. elements: about how many the whole is to have. Errors as tks_deposit_make. */
tks_status field_bodies_make(tks_arena *arena, const tks_load *load, const tks_tank *tank,
                             size_t elements, tks_field_scene *scene, tks_error *err);

/* Adds an anode to a scene whose bodies have room for one more. */
tks_status field_bodies_anode(tks_arena *arena, const tks_tank *tank, const tks_anode *anode,
                              const char *name, tks_field_scene *scene, tks_error *err);

#endif
