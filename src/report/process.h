/* The process sheet, and how long the deposit lasts, as text and JSON. */
#ifndef REPORT_PROCESS_H
#define REPORT_PROCESS_H

#include "report/mix.h"
#include "tankside/process.h"

/* Adds the steps in order, each with its time, temperature and warnings. */
void report_process_text(base_buffer *out, const tks_process *process, const report_style *style);

/* Adds `"process":[{"step","text","time_low_s","time_high_s","temperature_low_K",
 * "temperature_high_K","recipe","cautions"}],"solution_volume_m3","drag_out_m3":...`, no comma
 * before or behind. */
void report_process_json(base_buffer *out, const tks_process *process);

/* Adds how long a thickness of zinc [m] lasts, a line each for the usual categories. */
void report_life_text(base_buffer *out, double thickness, tks_system units);

/* Adds `"service_life":[{"category","shortest_s","longest_s"}]`. */
void report_life_json(base_buffer *out, double thickness);

#endif
