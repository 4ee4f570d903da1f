#include "report/process.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define YEAR 31557600.0

/* `1 min to 2 min, at 80 C to 95 C, alkaline cleaner: `; nothing where nothing is told. */
static void put_conditions(base_buffer *line, const tks_work *w, tks_system units)
{
    bool timed = w->least > 0 || w->most > 0, warm = w->high > 0;
    if (timed && w->most > w->least)
        base_buffer_printf(line, "%s to ", report_say(w->least, TKS_TIME, units).text);
    if (timed && w->most == 0) base_buffer_puts(line, "at least ");
    if (timed) base_buffer_puts(line, report_say(fmax(w->least, w->most), TKS_TIME, units).text);
    if (warm)
        base_buffer_printf(line, "%sat %s to %s", timed ? ", " : "",
                           report_say(w->low, TKS_TEMPERATURE, units).text,
                           report_say(w->high, TKS_TEMPERATURE, units).text);
    if (w->recipe) base_buffer_printf(line, "%s%s", timed || warm ? ", " : "", w->recipe->name);
    if (timed || warm || w->recipe) base_buffer_puts(line, ". ");
}

/* ` For 12 L: 480 g sodium hydroxide, ...`, behind a sentence. */
static void put_amounts(base_buffer *line, const tks_recipe *recipe, double volume,
                        tks_system units)
{
    tks_mix mix;
    if (!recipe || !(volume > 0) || tks_mix_make(recipe, volume, 0, &mix, NULL)) return;
    base_buffer_printf(line, " For %s:", report_say(volume, TKS_VOLUME, units).text);
    for (size_t i = 0; i < recipe->ingredient_count; i++) {
        const tks_amount *a = &mix.amounts[i];
        tks_kind kind = a->ingredient->measure == TKS_BY_MASS ? TKS_MASS : TKS_VOLUME;
        base_buffer_printf(line, "%s %s of %s", i ? "," : "",
                           report_say(a->usual, kind, units).text, a->ingredient->name);
    }
    base_buffer_puts(line, ".");
}

static void put_work(base_buffer *out, const tks_process *process, size_t number,
                     const report_style *style)
{
    enum { TEXT_AT = 22 };
    const tks_work *w = &process->works[number - 1];
    base_buffer line = {0};
    put_conditions(&line, w, style->units);
    base_buffer_puts(&line, w->what);
    put_amounts(&line, w->recipe, process->volume, style->units);
    base_buffer_printf(out, "%2zu. %-17s ", number, w->name);
    if (line.failed) out->failed = true;
    if (line.text) report_put_wrapped(out, line.text, TEXT_AT, TEXT_AT);
    base_buffer_free(&line);
    report_put_warnings(out, w->warnings, TEXT_AT, style);
}

void report_process_text(base_buffer *out, const tks_process *process, const report_style *style)
{
    base_buffer_puts(out, "the work, step by step\n");
    for (size_t i = 0; i < process->count; i++) put_work(out, process, i + 1, style);
    base_buffer_printf(out,
                       "`tankside mix` tells how each solution is made\n"
                       "all runs together put down %s of metal and carry off about %s of bath\n",
                       report_say(process->metal, TKS_MASS, style->units).text,
                       report_say(process->drag_out, TKS_VOLUME, style->units).text);
}

void report_process_json(base_buffer *out, const tks_process *process)
{
    base_buffer_puts(out, "\"process\":[");
    for (size_t i = 0; i < process->count; i++) {
        const tks_work *w = &process->works[i];
        base_buffer_puts(out, i ? ",{\"step\":" : "{\"step\":");
        report_put_json_text(out, w->name);
        base_buffer_puts(out, ",\"text\":");
        report_put_json_text(out, w->what);
        report_put_json_field(out, true, "time_low_s", w->least);
        report_put_json_field(out, true, "time_high_s", fmax(w->least, w->most));
        report_put_json_field(out, true, "temperature_low_K", w->low > 0 ? w->low : NAN);
        report_put_json_field(out, true, "temperature_high_K", w->high > 0 ? w->high : NAN);
        base_buffer_puts(out, ",\"recipe\":");
        if (w->recipe)
            report_put_json_text(out, w->recipe->name);
        else
            base_buffer_puts(out, "null");
        base_buffer_puts(out, ",");
        report_put_warning_codes(out, w->warnings);
        base_buffer_puts(out, "}");
    }
    base_buffer_puts(out, "]");
    report_put_json_field(out, true, "solution_volume_m3",
                          process->volume > 0 ? process->volume : NAN);
    report_put_json_field(out, true, "drag_out_m3", process->drag_out);
}

/* Two digits, and never as a power of ten. */
static report_word say_years(double seconds)
{
    report_word w;
    double years = seconds / YEAR, step = pow(10, floor(log10(years)) - 1);
    snprintf(w.text, sizeof w.text, step > 1 ? "%.0f" : "%.2g", round(years / step) * step);
    return w;
}

void report_life_text(base_buffer *out, double thickness, tks_system units)
{
    const tks_corrosivity *c;
    const tks_zinc_class *met = tks_zinc_class_of(thickness);
    base_buffer_printf(out, "%s of zinc", report_say(thickness, TKS_LENGTH, units).text);
    if (met)
        base_buffer_printf(out, " (ISO 2081 %s, ASTM B633 %s: %s service)", met->iso, met->astm,
                           met->service);
    base_buffer_puts(out, " lasts, by ISO 9223 category\n");
    for (size_t i = 0; (c = tks_corrosivity_at(i)); i++) {
        double shortest, longest;
        tks_service_life(c, thickness, &shortest, &longest);
        if (isfinite(longest))
            base_buffer_printf(out, "  %s  %s to %s years: %s\n", c->name, say_years(shortest).text,
                               say_years(longest).text, c->about);
        else
            base_buffer_printf(out, "  %s  %s years and more: %s\n", c->name,
                               say_years(shortest).text, c->about);
    }
}

void report_life_json(base_buffer *out, double thickness)
{
    const tks_corrosivity *c;
    base_buffer_puts(out, "\"service_life\":[");
    for (size_t i = 0; (c = tks_corrosivity_at(i)); i++) {
        double shortest, longest;
        tks_service_life(c, thickness, &shortest, &longest);
        base_buffer_printf(out, "%s{\"category\":\"%s\"", i ? "," : "", c->name);
        report_put_json_field(out, true, "shortest_s", shortest);
        report_put_json_field(out, true, "longest_s", longest);
        base_buffer_puts(out, "}");
    }
    base_buffer_puts(out, "]");
}
