#include "report/setting.h"

#include <stdio.h>
#include <string.h>

void report_put_line(base_buffer *out, const char *title, const char *value, const char *remark)
{
    bool more = remark && remark[0];
    base_buffer_printf(out, "%-19s%s%s%s%s\n", title, value, more ? "  (" : "", more ? remark : "",
                       more ? ")" : "");
}

void report_setting_text(base_buffer *out, const tks_bath *bath, const tks_setting *s,
                         tks_system units)
{
    tks_system other = units == TKS_METRIC ? TKS_INCH : TKS_METRIC;
    char remark[192];
    snprintf(remark, sizeof remark, "%.3g %% efficient", 100 * bath->efficiency.usual);
    report_put_line(out, "bath", bath->name, remark);
    report_put_line(out, "wetted area", report_say(s->area, TKS_AREA, units).text,
                    report_say(s->area, TKS_AREA, other).text);
    if (s->effective_area < s->area)
        report_put_line(out, "effective area", report_say(s->effective_area, TKS_AREA, units).text,
                        "");
    report_put_line(out, "current density", report_say(s->density, TKS_CURRENT_DENSITY, units).text,
                    report_say(s->density, TKS_CURRENT_DENSITY, other).text);
    snprintf(remark, sizeof remark, "the bath bears %s to %s",
             report_say(s->current_low, TKS_CURRENT, units).text,
             report_say(s->current_high, TKS_CURRENT, units).text);
    report_put_line(out, "set the supply to", report_say(s->current, TKS_CURRENT, units).text,
                    remark);
    report_word soonest = report_say(s->time_low, TKS_TIME, units);
    report_word latest = report_say(s->time_high, TKS_TIME, units);
    snprintf(remark, sizeof remark, "%s to %s by the bath's efficiency", soonest.text, latest.text);
    if (!strcmp(soonest.text, latest.text)) remark[0] = '\0';
    report_put_line(out, "time", report_say(s->time, TKS_TIME, units).text, remark);
    report_put_line(out, "thickness", report_say(s->thickness, TKS_LENGTH, units).text,
                    report_say(s->thickness, TKS_LENGTH, other).text);
    report_put_line(out, "charge", report_say(s->charge, TKS_CHARGE, units).text, "");
    snprintf(remark, sizeof remark, "%s", bath->metal->name);
    report_put_line(out, "metal", report_say(s->metal, TKS_MASS, units).text, remark);
}

void report_setting_json(base_buffer *out, const tks_setting *s)
{
    report_put_json_field(out, false, "area_m2", s->area);
    report_put_json_field(out, true, "effective_area_m2", s->effective_area);
    report_put_json_field(out, true, "density_A_m2", s->density);
    report_put_json_field(out, true, "thickness_m", s->thickness);
    report_put_json_field(out, true, "current_A", s->current);
    report_put_json_field(out, true, "current_low_A", s->current_low);
    report_put_json_field(out, true, "current_high_A", s->current_high);
    report_put_json_field(out, true, "time_s", s->time);
    report_put_json_field(out, true, "time_low_s", s->time_low);
    report_put_json_field(out, true, "time_high_s", s->time_high);
    report_put_json_field(out, true, "charge_C", s->charge);
    report_put_json_field(out, true, "metal_kg", s->metal);
}
