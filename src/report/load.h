/* Areas of a load, for people and for machines. */
#ifndef REPORT_LOAD_H
#define REPORT_LOAD_H

#include "report/report.h"
#include "tankside/part.h"

/* A table: a row for each part, the hangers, the total in both metric and inch. */
void report_load_text(base_buffer *out, const tks_load *load, tks_system units);

/* `{"parts":[...],"total_m2":...,"cautions":[...]}` and a line end; keys are in the manual page. */
void report_load_json(base_buffer *out, const tks_load *load, const tks_cautions *cautions);

#endif
