#include "report/mesh.h"

#include "report/setting.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ------------------------------------------------------------------ text */

static const char *unit_source(tks_unit_source source)
{
    static const char *const words[] = {"as given", "from the file", "guessed from the size"};
    return words[source];
}

static const char *side(double length, tks_system units, report_word *word)
{
    *word = report_say(length, TKS_LENGTH, units);
    return word->text;
}

static void put_size(base_buffer *out, const tks_mesh_size *size, tks_system units)
{
    tks_system other = units == TKS_METRIC ? TKS_INCH : TKS_METRIC;
    char value[208];
    report_word x, y, z;
    report_put_line(out, "unit", size->unit.name[0] ? size->unit.name : "an odd one",
                    unit_source(size->unit.source));
    snprintf(value, sizeof value, "%s x %s x %s", side(size->high.x - size->low.x, units, &x),
             side(size->high.y - size->low.y, units, &y),
             side(size->high.z - size->low.z, units, &z));
    report_put_line(out, "size", value, "");
    report_put_line(out, "area", report_say(size->area, TKS_AREA, units).text,
                    report_say(size->area, TKS_AREA, other).text);
    report_put_line(out, "volume", report_say(fabs(size->volume), TKS_VOLUME, units).text, "");
}

static void put_labels(base_buffer *out, const report_mesh *m, tks_system units)
{
    static const struct {
        tks_label label;
        const char *remark;
    } rows[] = {
        {TKS_OUTSIDE, "open to the bath"},
        {TKS_INSIDE, "openness below a quarter: in a bore, from 1/3 diameter inward"},
        {TKS_SEALED, "within a closed body: not wetted"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char title[24];
        snprintf(title, sizeof title, "  %s", tks_label_name(rows[i].label));
        if (m->area[rows[i].label] > 0 || rows[i].label == TKS_OUTSIDE)
            report_put_line(out, title, report_say(m->area[rows[i].label], TKS_AREA, units).text,
                            rows[i].remark);
    }
}

static void put_edges(base_buffer *out, const tks_mesh_health *h, tks_system units)
{
    char value[208];
    snprintf(value, sizeof value,
             "%zu open, %zu of three facets or more, %zu between facets that "
             "face both ways",
             h->open_edges, h->odd_edges, h->flipped_edges);
    report_put_line(out, "edges", value, "");
    if (h->odd_vertices) {
        snprintf(value, sizeof value, "%zu where surfaces touch at a point", h->odd_vertices);
        report_put_line(out, "vertices", value, "");
    }
    snprintf(value, sizeof value, "%zu", h->hole_count);
    char remark[256] = "";
    if (h->hole_count)
        snprintf(remark, sizeof remark, "rim %s in all; filling adds %s to %s",
                 report_say(h->rim, TKS_LENGTH, units).text,
                 report_say(h->fill_low, TKS_AREA, units).text,
                 report_say(h->fill_high, TKS_AREA, units).text);
    report_put_line(out, "holes", value, remark);
}

static void put_bodies(base_buffer *out, const tks_mesh_health *h)
{
    char value[208];
    snprintf(value, sizeof value, "%zu", h->parts);
    size_t length = strlen(value);
    if (h->specks)
        length +=
            (size_t)snprintf(value + length, sizeof value - length, ", and %zu specks", h->specks);
    if (h->voids + h->buried)
        snprintf(value + length, sizeof value - length, ", and %zu closed inside others",
                 h->voids + h->buried);
    report_put_line(out, "bodies", value, "");
    snprintf(value, sizeof value, "%zu double, %zu without area", h->duplicates, h->degenerate);
    report_put_line(out, "facets", value, "");
    if (h->crossings < 0) return;
    snprintf(value, sizeof value, "%ld%s", h->crossings, h->crossings_cut ? " or more" : "");
    report_put_line(out, "self-intersections", value, "");
}

static void put_surface(base_buffer *out, const tks_mesh_health *h, tks_system units)
{
    char value[208], remark[208];
    if (h->facets_per_turn > 0) {
        snprintf(value, sizeof value, "%.0f facets a turn", h->facets_per_turn);
        snprintf(remark, sizeof remark, "flat facets miss %.2g %% of the area",
                 100 * h->missed_area / h->size.area);
        report_put_line(out, "sampling", value, remark);
    }
    if (h->crossings < 0) return; /* a quick look */
    if (!h->rough_judged) {
        report_put_line(out, "roughness", "none that can be told from shape", "");
        return;
    }
    snprintf(remark, sizeof remark, "without it the area is %s +- %s",
             report_say(h->smooth_area, TKS_AREA, units).text,
             report_say(2 * h->smooth_error, TKS_AREA, units).text);
    report_put_line(out, "roughness", report_say(h->noise, TKS_LENGTH, units).text, remark);
}

static void put_written(base_buffer *out, const report_mesh *m)
{
    base_buffer_printf(out, "%s: %zu triangles, area %+.2g %%\n", m->written, m->written_count,
                       100 * m->area_error);
}

static void put_verdict(base_buffer *out, const tks_mesh_health *h, bool colour)
{
    static const char *const colours[] = {"\033[32m", "\033[33m", "\033[31m"};
    static const char *const words[] = {
        "believe this area", "believe this area after the following", "do not believe this area"};
    base_buffer_printf(out, "%-19s%s%s%s\n", "verdict", colour ? colours[h->verdict] : "",
                       words[h->verdict], colour ? "\033[0m" : "");
    for (size_t i = 0; i < h->reason_count; i++) {
        base_buffer_puts(out, "  - ");
        report_put_wrapped(out, h->reasons[i], 4, 4);
    }
}

void report_mesh_text(base_buffer *out, const report_mesh *m, tks_system units, bool colour)
{
    const tks_mesh_health *h = m->health;
    base_buffer_printf(out, "%s: %s, %zu triangles\n", m->name, h->size.format, h->size.facets);
    put_size(out, &h->size, units);
    if (m->labelled) put_labels(out, m, units);
    put_edges(out, h, units);
    put_bodies(out, h);
    put_surface(out, h, units);
    put_verdict(out, h, colour);
    if (m->written) put_written(out, m);
}

/* ------------------------------------------------------------------ JSON */

static void put_count(base_buffer *out, const char *key, size_t count)
{
    base_buffer_printf(out, ",\"%s\":%zu", key, count);
}

static void put_text(base_buffer *out, const char *key, const char *text)
{
    base_buffer_printf(out, ",\"%s\":", key);
    report_put_json_text(out, text);
}

static void put_json_size(base_buffer *out, const tks_mesh_size *s)
{
    static const char *const sources[] = {"given", "file", "guessed"};
    put_text(out, "format", s->format);
    put_count(out, "triangles", s->facets);
    put_count(out, "dropped", s->dropped);
    report_put_json_field(out, true, "unit_m", s->unit.metres);
    put_text(out, "unit_from", sources[s->unit.source]);
    if (s->unit.source == TKS_UNIT_GUESSED)
        report_put_json_field(out, true, "other_unit_m", s->unit.other);
    report_put_json_field(out, true, "area_m2", s->area);
    report_put_json_field(out, true, "volume_m3", s->volume);
    report_put_json_point(out, "low_m", s->low);
    report_put_json_point(out, "high_m", s->high);
}

static void put_json_holes(base_buffer *out, const tks_mesh_health *h)
{
    put_count(out, "hole_count", h->hole_count);
    report_put_json_field(out, true, "rim_m", h->rim);
    report_put_json_field(out, true, "fill_low_m2", h->fill_low);
    report_put_json_field(out, true, "fill_high_m2", h->fill_high);
    base_buffer_puts(out, ",\"holes\":[");
    for (size_t i = 0; i < h->holes_listed; i++) {
        const tks_mesh_hole *hole = &h->holes[i];
        base_buffer_printf(out, "%s{\"edges\":%zu,\"closed\":%s,\"inner\":%s", i ? "," : "",
                           hole->edges, hole->closed ? "true" : "false",
                           hole->inner ? "true" : "false");
        report_put_json_field(out, true, "rim_m", hole->rim);
        report_put_json_field(out, true, "fill_low_m2", hole->fill_low);
        report_put_json_field(out, true, "fill_high_m2", hole->fill_high);
        report_put_json_point(out, "centre_m", hole->centre);
        base_buffer_puts(out, "}");
    }
    base_buffer_puts(out, "]");
}

static void put_json_shells(base_buffer *out, const tks_mesh_health *h)
{
    static const char *const kinds[] = {"part", "speck", "void", "buried"};
    put_count(out, "shell_count", h->shell_count);
    put_count(out, "parts", h->parts);
    put_count(out, "specks", h->specks);
    put_count(out, "voids", h->voids);
    put_count(out, "buried", h->buried);
    report_put_json_field(out, true, "speck_area_m2", h->speck_area);
    report_put_json_field(out, true, "void_area_m2", h->void_area);
    report_put_json_field(out, true, "buried_area_m2", h->buried_area);
    base_buffer_puts(out, ",\"shells\":[");
    for (size_t i = 0; i < h->shells_listed; i++) {
        const tks_mesh_shell *s = &h->shells[i];
        base_buffer_printf(out, "%s{\"kind\":\"%s\",\"triangles\":%zu,\"open_edges\":%zu",
                           i ? "," : "", kinds[s->kind], s->facets, s->open_edges);
        report_put_json_field(out, true, "area_m2", s->area);
        report_put_json_field(out, true, "volume_m3", s->volume);
        report_put_json_point(out, "low_m", s->low);
        report_put_json_point(out, "high_m", s->high);
        base_buffer_puts(out, "}");
    }
    base_buffer_puts(out, "]");
}

static void put_json_surface(base_buffer *out, const tks_mesh_health *h)
{
    report_put_json_field(out, true, "missed_m2", h->missed_area);
    report_put_json_field(out, true, "facets_per_turn", h->facets_per_turn);
    if (h->crossings >= 0) put_count(out, "self_intersections", (size_t)h->crossings);
    if (h->crossings >= 0)
        base_buffer_printf(out, ",\"self_intersections_cut\":%s",
                           h->crossings_cut ? "true" : "false");
    if (!h->rough_judged) return;
    report_put_json_field(out, true, "noise_m", h->noise);
    report_put_json_field(out, true, "smooth_area_m2", h->smooth_area);
    report_put_json_field(out, true, "smooth_error_m2", h->smooth_error);
}

static void put_json_labels(base_buffer *out, const report_mesh *m)
{
    base_buffer_puts(out, ",\"surfaces\":{");
    report_put_json_field(out, false, "outside_m2", m->area[TKS_OUTSIDE]);
    report_put_json_field(out, true, "inside_m2", m->area[TKS_INSIDE]);
    report_put_json_field(out, true, "sealed_m2", m->area[TKS_SEALED]);
    base_buffer_puts(out, "}");
}

static void put_json_written(base_buffer *out, const report_mesh *m)
{
    base_buffer_puts(out, ",\"written\":{\"file\":");
    report_put_json_text(out, m->written);
    put_count(out, "triangles", m->written_count);
    report_put_json_field(out, true, "area_error", m->area_error);
    base_buffer_puts(out, "}");
}

void report_mesh_json(base_buffer *out, const report_mesh *m)
{
    const tks_mesh_health *h = m->health;
    base_buffer_puts(out, "{\"name\":");
    report_put_json_text(out, m->name);
    put_json_size(out, &h->size);
    if (m->labelled) put_json_labels(out, m);
    put_count(out, "vertices", h->vertices);
    put_count(out, "edges", h->edges);
    put_count(out, "open_edges", h->open_edges);
    put_count(out, "odd_edges", h->odd_edges);
    put_count(out, "flipped_edges", h->flipped_edges);
    put_count(out, "odd_vertices", h->odd_vertices);
    put_count(out, "duplicates", h->duplicates);
    report_put_json_field(out, true, "duplicate_area_m2", h->duplicate_area);
    put_count(out, "degenerate", h->degenerate);
    base_buffer_printf(out, ",\"inside_out\":%s", h->inside_out ? "true" : "false");
    put_json_holes(out, h);
    put_json_shells(out, h);
    put_json_surface(out, h);
    put_text(out, "verdict", tks_mesh_verdict_name(h->verdict));
    base_buffer_puts(out, ",\"reasons\":[");
    for (size_t i = 0; i < h->reason_count; i++) {
        if (i) base_buffer_puts(out, ",");
        report_put_json_text(out, h->reasons[i]);
    }
    base_buffer_puts(out, "]");
    if (m->written) put_json_written(out, m);
    base_buffer_puts(out, "}");
}
