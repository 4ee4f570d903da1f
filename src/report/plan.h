/* The plan of a load, for the bench and for machines. */
#ifndef REPORT_PLAN_H
#define REPORT_PLAN_H

#include "report/process.h"
#include "tankside/plan.h"

/* What to hang together, what to set, how long, and what it gives. */
void report_plan_text(base_buffer *out, const tks_plan *plan, tks_system units);

/* `{"runs":[...],"cautions":[...]}` and a line end; keys are in the manual page. */
void report_plan_json(base_buffer *out, const tks_plan *plan, const tks_process *process,
                      const tks_cautions *cautions);

#endif
