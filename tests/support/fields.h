/* Scenes of the field made in a few lines, for tests. */
#ifndef SUPPORT_FIELDS_H
#define SUPPORT_FIELDS_H

#include "support/near.h"
#include "support/surfaces.h"

#include "tankside/field.h"

enum { STAGE_BODIES = 8 };

/* Bodies with the surfaces that they are made of. Starts as {0}. */
typedef struct stage {
    surface surfaces[STAGE_BODIES];
    tks_field_body bodies[STAGE_BODIES];
    tks_field_scene scene;
} stage;

/* Adds a body without triangles yet; returns its surface to be filled. */
surface *stage_add(stage *s, const char *name, tks_field_role role);
void stage_free(stage *s);

/* Makes the field and solves it; fails the test with the message of an error. */
tks_field *stage_solve(stage *s, const tks_field_options *options, const tks_field_bath *bath,
                       const tks_field_drive *drive);

/* Resistance at conductivity 1 S/m without polarisation, the triangles taken as they are. */
double stage_resistance(stage *s);

/* A rack of three parts: a tank of 300 x 200 x 200 mm, two anodes, then two rods of 8 mm and a
 * sheet of 2 mm. tests/bench/field has the same for finite elements. */
void stage_rack(stage *s);

/* Linear polarisation of the parts: slope x conductivity is the given length [m]. */
tks_field_bath stage_bath(double conductivity, double length);

#endif
