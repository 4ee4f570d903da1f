/* Where to refine: the panels whose neighbours differ most from them. */
#ifndef FIELD_ADAPT_H
#define FIELD_ADAPT_H

#include "field/level.h"

/* Makes a finer mesh of about `aim` panels from a solved level, with a density to start from for
 * each panel (the caller frees both). */
tks_status field_adapt(const field_level *level, double conductivity, size_t aim, field_mesh *finer,
                       double **start, tks_error *err);

#endif
