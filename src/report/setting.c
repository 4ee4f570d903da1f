#include "report/setting.h"

#include <stdio.h>

typedef struct shown {
    char text[64];
} shown;

static shown show(double value, tks_kind kind, tks_system units)
{
    shown s;
    tks_quantity_print(s.text, sizeof s.text, value, kind, units, 0);
    return s;
}

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
    report_put_line(out, "wetted area", show(s->area, TKS_AREA, units).text,
                    show(s->area, TKS_AREA, other).text);
    if (s->effective_area < s->area)
        report_put_line(out, "effective area", show(s->effective_area, TKS_AREA, units).text, "");
    report_put_line(out, "current density", show(s->density, TKS_CURRENT_DENSITY, units).text,
                    show(s->density, TKS_CURRENT_DENSITY, other).text);
    snprintf(remark, sizeof remark, "the bath bears %s to %s",
             show(s->current_low, TKS_CURRENT, units).text,
             show(s->current_high, TKS_CURRENT, units).text);
    report_put_line(out, "set the supply to", show(s->current, TKS_CURRENT, units).text, remark);
    snprintf(remark, sizeof remark, "%s to %s by the bath's efficiency",
             show(s->time_low, TKS_TIME, units).text, show(s->time_high, TKS_TIME, units).text);
    report_put_line(out, "time", show(s->time, TKS_TIME, units).text, remark);
    report_put_line(out, "thickness", show(s->thickness, TKS_LENGTH, units).text,
                    show(s->thickness, TKS_LENGTH, other).text);
    report_put_line(out, "charge", show(s->charge, TKS_CHARGE, units).text, "");
    snprintf(remark, sizeof remark, "%s", bath->metal->name);
    report_put_line(out, "metal", show(s->metal, TKS_MASS, units).text, remark);
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
