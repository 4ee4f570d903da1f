/* What the steps of planning share. */
#ifndef PLATING_PLAN_H
#define PLATING_PLAN_H

#include "tankside/embrittlement.h"
#include "tankside/part.h"
#include "tankside/plan.h"

#include <stdbool.h>

/* What hydrogen means for a part: by its hardness, its grade, or its material. known is false when
 * nothing tells of a steel. A hardness or grade that is none is TKS_EUNKNOWN: it must not pass as a
 * steel that needs no baking; a material that is no steel may. */
tks_status plan_embrittlement(const tks_part *part, tks_steel *steel, tks_embrittlement *advice,
                              bool *known, tks_error *err);

/* Adds "thread-tight" for threads of the planned parts that their deposit may jam. thickest: of
 * each part of the load, most that its open faces get in any run [m]; the arena is for scratch. */
tks_status plan_thread_cautions(tks_arena *arena, const tks_plan *plan, const double *thickest,
                                tks_cautions *cautions, tks_error *err);

#endif
