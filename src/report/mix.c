#include "report/mix.h"

#include <stdio.h>
#include <string.h>

void report_put_warnings(base_buffer *out, const tks_warning *const *warnings, size_t indent,
                         const report_style *style)
{
    for (int i = 0; i < TKS_STEP_WARNINGS && warnings[i]; i++) {
        const tks_warning *w = warnings[i];
        if (style->quiet && w->severity != TKS_INJURY) continue;
        report_put_warning(out, w->severity, w->text, indent, style->colour);
    }
}

void report_put_warning_codes(base_buffer *out, const tks_warning *const *warnings)
{
    base_buffer_puts(out, "\"cautions\":[");
    for (int i = 0; i < TKS_STEP_WARNINGS && warnings[i]; i++)
        base_buffer_printf(out, "%s\"%s\"", i ? "," : "", warnings[i]->code);
    base_buffer_puts(out, "]");
}

void report_recipes_text(base_buffer *out)
{
    const tks_recipe *r;
    for (size_t i = 0; (r = tks_recipe_at(i)); i++)
        base_buffer_printf(out, "  %-22s %s\n", r->name, r->purpose);
    base_buffer_puts(out, "\n`tankside mix NAME VOLUME` tells what goes in and what to mind.\n");
}

void report_recipes_json(base_buffer *out)
{
    const tks_recipe *r;
    base_buffer_puts(out, "{\"recipes\":[");
    for (size_t i = 0; (r = tks_recipe_at(i)); i++) {
        base_buffer_puts(out, i ? ",{\"name\":" : "{\"name\":");
        report_put_json_text(out, r->name);
        base_buffer_puts(out, ",\"purpose\":");
        report_put_json_text(out, r->purpose);
        base_buffer_puts(out, "}");
    }
    base_buffer_puts(out, "]}\n");
}

static tks_kind kind_of(const tks_amount *amount)
{
    return amount->ingredient->measure == TKS_BY_MASS ? TKS_MASS : TKS_VOLUME;
}

/* ` (low to high)`, where they differ from the usual. */
static void put_spread(base_buffer *out, const tks_amount *a, tks_system units)
{
    report_word low = report_say(a->low, kind_of(a), units);
    report_word high = report_say(a->high, kind_of(a), units);
    if (strcmp(low.text, high.text)) base_buffer_printf(out, "  (%s to %s)", low.text, high.text);
}

static void put_amount(base_buffer *out, const tks_amount *a, tks_system units)
{
    base_buffer_printf(out, " %s: %s", a->ingredient->name,
                       report_say(a->usual, kind_of(a), units).text);
    put_spread(out, a, units);
    base_buffer_puts(out, "\n");
}

static void put_step(base_buffer *out, const tks_mix *mix, size_t i, const report_style *style)
{
    const tks_mix_step *step = &mix->recipe->steps[i];
    base_buffer_printf(out, "%2zu. ", i + 1);
    if (step->ingredient >= 0) {
        base_buffer_puts(out, step->text);
        put_amount(out, &mix->amounts[step->ingredient], style->units);
    } else {
        report_put_wrapped(out, step->text, 4, 4);
    }
    report_put_warnings(out, step->warnings, 4, style);
}

static void put_figure(base_buffer *out, const char *title, const tks_figure *f, tks_kind kind,
                       tks_system units)
{
    if (f->usual == 0) return;
    base_buffer_printf(out, "%s %s (%s to %s)\n", title, report_say(f->usual, kind, units).text,
                       report_say(f->low, kind, units).text, report_say(f->high, kind, units).text);
}

static void put_dilution(base_buffer *out, const tks_dilution *d, tks_system units)
{
    if (d->volume == 0) return;
    base_buffer_printf(out, "water %s, acid as sold %s (%s): %.3g %% by mass, %.0f g/L\n",
                       report_say(d->water, TKS_MASS, units).text,
                       report_say(d->stock_volume, TKS_VOLUME, units).text,
                       report_say(d->stock_mass, TKS_MASS, units).text, 100 * d->fraction,
                       d->concentration);
}

void report_mix_text(base_buffer *out, const tks_mix *mix, const report_style *style)
{
    const tks_recipe *r = mix->recipe;
    base_buffer_printf(out, "%s, %s: %s\n", r->name,
                       report_say(mix->volume, TKS_VOLUME, style->units).text, r->purpose);
    put_dilution(out, &mix->dilution, style->units);
    for (size_t i = 0; i < r->step_count; i++) put_step(out, mix, i, style);
    put_figure(out, "temperature", &r->temperature, TKS_TEMPERATURE, style->units);
    put_figure(out, "time", &r->time, TKS_TIME, style->units);
    put_figure(out, "pH", &r->acidity, TKS_NUMBER, style->units);
    base_buffer_printf(out, "figures: %s; the supplier's sheet and local rules come first\n",
                       r->source);
}

static void put_amounts_json(base_buffer *out, const tks_recipe *r, const tks_amount *amounts)
{
    base_buffer_puts(out, "\"ingredients\":[");
    for (size_t i = 0; i < r->ingredient_count; i++) {
        const tks_amount *a = &amounts[i];
        bool by_mass = a->ingredient->measure == TKS_BY_MASS;
        base_buffer_puts(out, i ? ",{\"name\":" : "{\"name\":");
        report_put_json_text(out, a->ingredient->name);
        report_put_json_field(out, true, by_mass ? "mass_kg" : "volume_m3", a->usual);
        report_put_json_field(out, true, by_mass ? "mass_low_kg" : "volume_low_m3", a->low);
        report_put_json_field(out, true, by_mass ? "mass_high_kg" : "volume_high_m3", a->high);
        base_buffer_puts(out, "}");
    }
    base_buffer_puts(out, "]");
}

static void put_steps_json(base_buffer *out, const tks_recipe *r)
{
    base_buffer_puts(out, "\"steps\":[");
    for (size_t i = 0; i < r->step_count; i++) {
        base_buffer_puts(out, i ? ",{\"text\":" : "{\"text\":");
        report_put_json_text(out, r->steps[i].text);
        base_buffer_puts(out, ",\"ingredient\":");
        if (r->steps[i].ingredient < 0)
            base_buffer_puts(out, "null");
        else
            report_put_json_text(out, r->ingredients[r->steps[i].ingredient].name);
        base_buffer_puts(out, ",");
        report_put_warning_codes(out, r->steps[i].warnings);
        base_buffer_puts(out, "}");
    }
    base_buffer_puts(out, "]");
}

static void put_dilution_json(base_buffer *out, const tks_dilution *d)
{
    report_put_json_field(out, true, "mass_fraction", d->fraction);
    report_put_json_field(out, true, "density_kg_m3", d->density);
    report_put_json_field(out, true, "stock_volume_m3", d->stock_volume);
    report_put_json_field(out, true, "stock_mass_kg", d->stock_mass);
    report_put_json_field(out, true, "water_kg", d->water);
}

void report_mix_json(base_buffer *out, const tks_mix *mix, const tks_cautions *cautions)
{
    base_buffer_puts(out, "{\"recipe\":");
    report_put_json_text(out, mix->recipe->name);
    report_put_json_field(out, true, "volume_m3", mix->volume);
    if (mix->dilution.volume > 0) put_dilution_json(out, &mix->dilution);
    base_buffer_puts(out, ",");
    put_amounts_json(out, mix->recipe, mix->amounts);
    base_buffer_puts(out, ",");
    put_steps_json(out, mix->recipe);
    base_buffer_puts(out, ",");
    report_put_cautions_json(out, cautions);
    base_buffer_puts(out, "}\n");
}

void report_upkeep_text(base_buffer *out, const tks_recipe *recipe, const tks_upkeep *u,
                        const tks_bath *bath, tks_system units)
{
    base_buffer_printf(out, "%s: parts carried off about %s; put back\n", recipe->name,
                       report_say(u->lost, TKS_VOLUME, units).text);
    for (size_t i = 0; i < recipe->ingredient_count; i++) {
        base_buffer_puts(out, " ");
        put_amount(out, &u->amounts[i], units);
    }
    base_buffer_printf(out, "the anodes gave the bath %s of %s more than the parts took\n",
                       report_say(u->metal_gain, TKS_MASS, units).text, bath->metal->name);
    base_buffer_puts(out, "brightener and carrier: by ampere-hours, as their sheet says\n");
}

void report_upkeep_json(base_buffer *out, const tks_recipe *recipe, const tks_upkeep *u)
{
    base_buffer_puts(out, "{\"recipe\":");
    report_put_json_text(out, recipe->name);
    report_put_json_field(out, true, "lost_m3", u->lost);
    base_buffer_puts(out, ",");
    put_amounts_json(out, recipe, u->amounts);
    report_put_json_field(out, true, "metal_gain_kg", u->metal_gain);
    base_buffer_puts(out, "}\n");
}
