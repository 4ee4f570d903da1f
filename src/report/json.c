#include "report/report.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

void report_put_json_text(base_buffer *out, const char *text)
{
    base_buffer_puts(out, "\"");
    for (const unsigned char *c = (const unsigned char *)text; *c; c++) {
        if (*c == '"' || *c == '\\')
            base_buffer_printf(out, "\\%c", *c);
        else if (*c < 0x20)
            base_buffer_printf(out, "\\u%04x", *c);
        else
            base_buffer_add(out, (const char *)c, 1);
    }
    base_buffer_puts(out, "\"");
}

void report_put_json_number(base_buffer *out, double value)
{
    char text[40];
    if (!isfinite(value)) {
        base_buffer_puts(out, "null");
        return;
    }
    snprintf(text, sizeof text, "%.15g", value);
    if (strtod(text, NULL) != value) snprintf(text, sizeof text, "%.17g", value);
    base_buffer_puts(out, text);
}

void report_put_json_field(base_buffer *out, bool comma, const char *key, double value)
{
    base_buffer_printf(out, "%s\"%s\":", comma ? "," : "", key);
    report_put_json_number(out, value);
}

void report_put_cautions_json(base_buffer *out, const tks_cautions *cautions)
{
    base_buffer_puts(out, "\"cautions\":[");
    for (const tks_caution *c = cautions->first; c; c = c->next) {
        base_buffer_puts(out, c == cautions->first ? "{\"code\":" : ",{\"code\":");
        report_put_json_text(out, c->code);
        base_buffer_printf(out, ",\"severity\":\"%s\",\"what\":", tks_severity_name(c->severity));
        report_put_json_text(out, c->what);
        base_buffer_puts(out, ",\"text\":");
        report_put_json_text(out, c->text);
        base_buffer_puts(out, "}");
    }
    base_buffer_puts(out, "]");
}

void report_put_json_point(base_buffer *out, const char *key, tks_vec3 p)
{
    base_buffer_printf(out, ",\"%s\":[", key);
    report_put_json_number(out, p.x);
    base_buffer_puts(out, ",");
    report_put_json_number(out, p.y);
    base_buffer_puts(out, ",");
    report_put_json_number(out, p.z);
    base_buffer_puts(out, "]");
}
