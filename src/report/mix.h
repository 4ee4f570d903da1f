/* Recipes and process sheets, as text and JSON. */
#ifndef REPORT_MIX_H
#define REPORT_MIX_H

#include "report/report.h"
#include "tankside/mix.h"

/* How a step's text is shown. */
typedef struct report_style {
    tks_system units;
    bool quiet, colour;
} report_style;

/* Adds the warnings of a step; with quiet only those about injury. */
void report_put_warnings(base_buffer *out, const tks_warning *const *warnings, size_t indent,
                         const report_style *style);

/* Adds `"cautions":["code",...]` for a step. */
void report_put_warning_codes(base_buffer *out, const tks_warning *const *warnings);

/* The recipes, a line each. */
void report_recipes_text(base_buffer *out);
void report_recipes_json(base_buffer *out);

/* How to make a solution, step by step, each with its warnings. */
void report_mix_text(base_buffer *out, const tks_mix *mix, const report_style *style);
void report_mix_json(base_buffer *out, const tks_mix *mix, const tks_cautions *cautions);

/* What a bath wants after work. */
void report_upkeep_text(base_buffer *out, const tks_recipe *recipe, const tks_upkeep *upkeep,
                        const tks_bath *bath, tks_system units);
void report_upkeep_json(base_buffer *out, const tks_recipe *recipe, const tks_upkeep *upkeep);

#endif
