/* A setting of the supply, as text and JSON. */
#ifndef REPORT_SETTING_H
#define REPORT_SETTING_H

#include "report/report.h"
#include "tankside/plating.h"

/* Adds a line "title  value  (remark)": the title in 19 columns; no brackets for an empty remark.
 */
void report_put_line(base_buffer *out, const char *title, const char *value, const char *remark);

/* Adds what to set and for how long, one figure a line. */
void report_setting_text(base_buffer *out, const tks_bath *bath, const tks_setting *setting,
                         tks_system units);

/* Adds `"area_m2":...` to `"metal_kg":...`, without braces. */
void report_setting_json(base_buffer *out, const tks_setting *setting);

#endif
