/* Pieces that every report is made of: text for the bench, JSON for machines. */
#ifndef REPORT_REPORT_H
#define REPORT_REPORT_H

#include "base/buffer.h"
#include "tankside/caution.h"
#include "tankside/quantity.h"
#include "tankside/vec.h"

#include <stdbool.h>

/* Adds text broken between words, at a width that a terminal and a printed sheet both hold, and a
 * line end. indent: of the lines behind the first; column: where the first one stands already. */
void report_put_wrapped(base_buffer *out, const char *text, size_t indent, size_t column);

/* Adds a quantity as tks_quantity_print writes it with 3 digits, right-aligned in width columns
 * (0: as it is). */
void report_put_quantity(base_buffer *out, double value, tks_kind kind, tks_system units,
                         int width);

/* A quantity as tks_quantity_print writes it, for use within a line. */
typedef struct report_word {
    char text[64];
} report_word;

report_word report_say(double value, tks_kind kind, tks_system units);

/* Adds the cautions as text, the gravest first. With quiet only those about injury. */
void report_put_cautions(base_buffer *out, const tks_cautions *cautions, bool quiet, bool colour);

/* Adds one warning, indented, as it stands beside a step: "CAUTION: text". */
void report_put_warning(base_buffer *out, tks_severity severity, const char *text, size_t indent,
                        bool colour);

/* Adds `"cautions":[{"code","severity","what","text"}]`, no comma before or behind. */
void report_put_cautions_json(base_buffer *out, const tks_cautions *cautions);

/* Adds a JSON string, quoted and escaped. */
void report_put_json_text(base_buffer *out, const char *text);

/* Adds a number as JSON with all its digits; null when it is not finite. */
void report_put_json_number(base_buffer *out, double value);

/* Adds `"key":number`, with a comma in front when comma is set. */
void report_put_json_field(base_buffer *out, bool comma, const char *key, double value);

/* `,"key":[x,y,z]`. */
void report_put_json_point(base_buffer *out, const char *key, tks_vec3 point);

#endif
