#include "report/deposit.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ------------------------------------------------------------------ text */

static report_word say_micron(double value, tks_system units)
{
    report_word none = {"-"};
    if (!isfinite(value)) return none;
    return value < 1e-8 ? (report_word){"none"} : report_say(value, TKS_LENGTH, units);
}

static void put_head(base_buffer *out, const tks_deposit *d, tks_system units)
{
    const tks_field_summary *s = &d->summary;
    const tks_bath *bath = &d->tank->bath;
    if (d->load->name) base_buffer_printf(out, "%s: ", d->load->name);
    base_buffer_printf(out, "%s bath, %s through the parts for %s\n", bath->name,
                       report_say(d->current, TKS_CURRENT, units).text,
                       report_say(d->time, TKS_TIME, units).text);
    base_buffer_printf(out, "voltage over the tank %s, resistance %s (within %.1f %%)\n",
                       report_say(s->voltage, TKS_VOLTAGE, units).text,
                       report_say(s->resistance, TKS_RESISTANCE, units).text,
                       100 * s->resistance_error / s->resistance);
    base_buffer_printf(
        out, "estimate: the field of the whole tank, %zu elements; conductivity %s, %s\n",
        s->elements, report_say(bath->conductivity.usual, TKS_CONDUCTIVITY, units).text,
        d->law.kind == TKS_POLARISATION_LINEAR ? "linear polarisation" : "Tafel's law");
    if (s->stopped) base_buffer_puts(out, "stopped early: coarser than was aimed at\n");
}

static const char *surface_of(const tks_deposit_row *row)
{
    if (row->label == TKS_DEPOSIT_ALL) return "all";
    return row->label == TKS_DEPOSIT_SIGNIFICANT ? "significant"
                                                 : tks_label_name((tks_label)row->label);
}

static void put_row(base_buffer *out, const tks_deposit_row *row, tks_system units)
{
    bool whole = row->label == TKS_DEPOSIT_ALL;
    const char *name = whole ? row->name : surface_of(row);
    const double values[] = {row->minimum.value, row->low5.value, row->mean.value,
                             row->high95.value, row->maximum.value};
    base_buffer_printf(out, "  %s%-*.*s", whole ? "" : "  ", whole ? 24 : 22, whole ? 24 : 22,
                       name);
    for (int i = 0; i < 5; i++) base_buffer_printf(out, "%10s", say_micron(values[i], units).text);
    double error = row->minimum.value > 0 ? 100 * row->minimum.error / row->minimum.value : NAN;
    if (isfinite(error)) base_buffer_printf(out, "   +- %.1f %%", error);
    base_buffer_puts(out, "\n");
}

static void put_table(base_buffer *out, const tks_deposit *d, tks_system units)
{
    base_buffer_printf(out, "\n  %-24s%10s%10s%10s%10s%10s   error of the thinnest\n", "part",
                       "thinnest", "5 %", "mean", "95 %", "thickest");
    for (size_t i = 0; i < d->row_count; i++) put_row(out, &d->rows[i], units);
    if (d->load->part_count > 1) put_row(out, &d->all, units);
    if (d->load->part_count > 1 && d->significant.label != d->all.label &&
        d->significant.area < 0.9999 * d->all.area)
        put_row(out, &d->significant, units);
    base_buffer_puts(out, "  thinnest and thickest are means over a spot of 2 mm\n");
}

static void put_times(base_buffer *out, const tks_deposit *d, tks_system units)
{
    bool minimum = d->plan.aim == TKS_AIM_MINIMUM;
    base_buffer_printf(out, "\n%s %s takes %s\n",
                       report_say(d->plan.thickness, TKS_LENGTH, units).text,
                       minimum ? "at the thinnest significant spot" : "in the mean",
                       isfinite(d->time_asked) ? report_say(d->time_asked, TKS_TIME, units).text
                                               : "for ever: some spots get nothing");
}

static void put_advice(base_buffer *out, const tks_deposit *d)
{
    if (!d->advice_count) return;
    base_buffer_puts(out, "\nwhat would spread it, best first (thinnest significant spot "
                          "against mean; 95 % against 5 %; voltage)\n");
    for (size_t i = 0; i < d->advice_count; i++) {
        const tks_deposit_advice *a = &d->advice[i];
        base_buffer_printf(out, "  %-52s", a->what);
        if (a->problem)
            base_buffer_printf(out, "not possible: %s\n", a->problem);
        else
            base_buffer_printf(out, "%5.2f  %5.2f  %5.2f V\n", a->evenness, a->range, a->voltage);
    }
}

void report_deposit_text(base_buffer *out, const tks_deposit *deposit, tks_system units)
{
    put_head(out, deposit, units);
    put_table(out, deposit, units);
    put_times(out, deposit, units);
    put_advice(out, deposit);
    base_buffer_puts(out, "\n");
}

/* ------------------------------------------------------------------ JSON */

static void put_estimate(base_buffer *out, const char *key, tks_estimate e)
{
    base_buffer_printf(out, ",\"%s_m\":", key);
    report_put_json_number(out, e.value);
    base_buffer_printf(out, ",\"%s_error_m\":", key);
    report_put_json_number(out, e.error);
}

static void put_row_json(base_buffer *out, const tks_deposit_row *row)
{
    base_buffer_puts(out, "{\"name\":");
    report_put_json_text(out, row->name);
    base_buffer_puts(out, ",\"surface\":");
    report_put_json_text(out, row->label == TKS_FIELD_ALL ? "all"
                                                          : tks_label_name((tks_label)row->label));
    report_put_json_field(out, true, "area_m2", row->area);
    put_estimate(out, "minimum", row->minimum);
    put_estimate(out, "low5", row->low5);
    put_estimate(out, "mean", row->mean);
    put_estimate(out, "high95", row->high95);
    put_estimate(out, "maximum", row->maximum);
    report_put_json_point(out, "thinnest_m", row->thinnest);
    report_put_json_point(out, "thickest_m", row->thickest);
    report_put_json_field(out, true, "burning_share", row->burning);
    base_buffer_puts(out, "}");
}

static void put_advice_json(base_buffer *out, const tks_deposit_advice *a)
{
    base_buffer_puts(out, "{\"what\":");
    report_put_json_text(out, a->what);
    base_buffer_puts(out, ",\"problem\":");
    if (a->problem)
        report_put_json_text(out, a->problem);
    else
        base_buffer_puts(out, "null");
    report_put_json_field(out, true, "minimum_over_mean", a->problem ? NAN : a->evenness);
    report_put_json_field(out, true, "high95_over_low5", a->problem ? NAN : a->range);
    report_put_json_field(out, true, "voltage_V", a->problem ? NAN : a->voltage);
    base_buffer_puts(out, "}");
}

static void put_summary_json(base_buffer *out, const tks_deposit *d)
{
    const tks_field_summary *s = &d->summary;
    report_put_json_field(out, false, "current_A", d->current);
    report_put_json_field(out, true, "time_s", d->time);
    report_put_json_field(out, true, "time_asked_s", d->time_asked);
    report_put_json_field(out, true, "voltage_V", s->voltage);
    report_put_json_field(out, true, "resistance_ohm", s->resistance);
    report_put_json_field(out, true, "resistance_error_ohm", s->resistance_error);
    report_put_json_field(out, true, "wagner", s->wagner);
    base_buffer_printf(out, ",\"elements\":%zu,\"stopped\":%s", s->elements,
                       s->stopped ? "true" : "false");
}

void report_deposit_json(base_buffer *out, const tks_deposit *deposit, const tks_cautions *cautions)
{
    base_buffer_puts(out, "{");
    put_summary_json(out, deposit);
    base_buffer_puts(out, ",\"all\":");
    put_row_json(out, &deposit->all);
    base_buffer_puts(out, ",\"significant\":");
    put_row_json(out, &deposit->significant);
    base_buffer_puts(out, ",\"parts\":[");
    for (size_t i = 0; i < deposit->row_count; i++) {
        if (i) base_buffer_puts(out, ",");
        put_row_json(out, &deposit->rows[i]);
    }
    base_buffer_puts(out, "],\"advice\":[");
    for (size_t i = 0; i < deposit->advice_count; i++) {
        if (i) base_buffer_puts(out, ",");
        put_advice_json(out, &deposit->advice[i]);
    }
    base_buffer_puts(out, "],");
    report_put_cautions_json(out, cautions);
    base_buffer_puts(out, "}\n");
}
