#include "report/load.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* How the labels are told to a person: what the bath reaches freely, the walls of bores and holes,
 * threads; and what it does not reach. */
typedef struct column {
    const char *title;
    unsigned labels; /* bit by label */
} column;

static const column columns[] = {
    {"outside", 1u << TKS_OUTSIDE | 1u << TKS_END},
    {"inside", 1u << TKS_INSIDE | 1u << TKS_HOLE},
    {"thread", 1u << TKS_THREAD},
    {"masked", 1u << TKS_MASKED},
    {"sealed", 1u << TKS_SEALED},
};

enum {
    COLUMNS = sizeof columns / sizeof columns[0],
    ALWAYS = 1,
    WIDTH = 11,
    LEAST_NAME = 18,
    MOST_NAME = 32
};

static double column_area(const tks_part *part, const column *c)
{
    double area = 0;
    for (int label = 0; label < TKS_LABEL_COUNT; label++)
        if (c->labels >> label & 1) area += part->by_label[label];
    return area;
}

/* Columns that have something to tell in this load. */
static unsigned used_columns(const tks_load *load)
{
    unsigned used = (1u << ALWAYS) - 1;
    for (const tks_part *p = load->first; p; p = p->next)
        for (int c = 0; c < COLUMNS; c++)
            if (column_area(p, &columns[c]) > 0) used |= 1u << c;
    return used;
}

/* Characters of a UTF-8 text. */
static int width_of(const char *text)
{
    int width = 0;
    for (; *text; text++) width += (*text & 0xC0) != 0x80;
    return width;
}

static int name_width(const tks_load *load)
{
    int width = LEAST_NAME;
    for (const tks_part *p = load->first; p; p = p->next) {
        int own = width_of(p->item.name);
        if (own > width) width = own;
    }
    return width < MOST_NAME ? width : MOST_NAME;
}

/* The name in its column; a long one is cut, between characters. */
static void put_name(base_buffer *out, const char *name, int width)
{
    int shown = 0;
    const char *end = name;
    for (; *end; end++) {
        bool starts = (*end & 0xC0) != 0x80;
        if (starts && shown == width) break;
        shown += starts;
    }
    base_buffer_add(out, name, (size_t)(end - name));
    base_buffer_fill(out, ' ', (size_t)(width - shown));
}

static void put_area(base_buffer *out, double area, tks_system units)
{
    base_buffer_puts(out, " "); /* keeps columns apart that overflow */
    if (area > 0)
        report_put_quantity(out, area, TKS_AREA, units, WIDTH - 1);
    else
        base_buffer_printf(out, "%*s", WIDTH - 1, "-");
}

static void put_head(base_buffer *out, unsigned used, int width)
{
    put_name(out, "part", width);
    base_buffer_printf(out, "%7s%*s", "count", WIDTH, "each");
    for (int c = 0; c < COLUMNS; c++)
        if (used >> c & 1) base_buffer_printf(out, "%*s", WIDTH, columns[c].title);
    base_buffer_printf(out, "%*s\n", WIDTH, "together");
}

static void put_part(base_buffer *out, const tks_part *p, unsigned used, int width,
                     tks_system units)
{
    put_name(out, p->item.name, width);
    base_buffer_printf(out, "%7zu", p->item.count);
    put_area(out, p->area, units);
    for (int c = 0; c < COLUMNS; c++)
        if (used >> c & 1) put_area(out, column_area(p, &columns[c]), units);
    put_area(out, p->area * (double)p->item.count, units);
    base_buffer_puts(out, "\n");
}

/* How many columns stand between the name and the last one. */
static size_t gap_width(unsigned used)
{
    size_t gap = 7 + WIDTH;
    for (int c = 0; c < COLUMNS; c++) gap += used >> c & 1 ? WIDTH : 0;
    return gap;
}

static void put_total(base_buffer *out, const tks_load *load, unsigned used, int width,
                      tks_system units)
{
    char other[48];
    if (load->hanger_area > 0) {
        put_name(out, "hangers", width);
        base_buffer_fill(out, ' ', gap_width(used));
        put_area(out, load->hanger_area, units);
        base_buffer_puts(out, "\n");
    }
    put_name(out, "total wetted area", width);
    int over = width_of("total wetted area") > width ? width_of("total wetted area") - width : 0;
    base_buffer_fill(out, ' ', gap_width(used) - (size_t)over);
    put_area(out, load->total, units);
    tks_quantity_print(other, sizeof other, load->total, TKS_AREA,
                       units == TKS_METRIC ? TKS_INCH : TKS_METRIC, 0);
    base_buffer_printf(out, "  (%s)\n", other);
}

/* "exact+union" as "by formula and union". */
static void put_method(base_buffer *out, const char *method)
{
    base_buffer_puts(out, "by ");
    for (size_t n; *method; method += n + (method[n] == '+')) {
        n = strcspn(method, "+");
        if (!strncmp(method, "exact", n))
            base_buffer_puts(out, "formula");
        else
            base_buffer_add(out, method, n);
        if (method[n]) base_buffer_puts(out, " and ");
    }
}

/* Where an area is not exact, how far it may be off: half its interval. */
static void put_bounds(base_buffer *out, const tks_load *load)
{
    for (const tks_part *p = load->first; p; p = p->next) {
        if (!(p->area_high > p->area_low)) continue;
        double percent = 50 * (p->area_high - p->area_low) / p->area;
        base_buffer_printf(out, "%s: ", p->item.name);
        put_method(out, p->method);
        base_buffer_puts(out, ", ");
        if (percent < 0.001)
            base_buffer_puts(out, "certain to better than 0.001 %\n");
        else
            base_buffer_printf(out, "certain to +- %.1g %%\n", percent);
    }
}

void report_load_text(base_buffer *out, const tks_load *load, tks_system units)
{
    unsigned used = used_columns(load);
    int width = name_width(load);
    put_head(out, used, width);
    for (const tks_part *p = load->first; p; p = p->next) put_part(out, p, used, width, units);
    put_total(out, load, used, width, units);
    put_bounds(out, load);
}

static void put_part_json(base_buffer *out, const tks_part *p)
{
    static const char *const keys[COLUMNS] = {"outside_m2", "inside_m2", "thread_m2", "masked_m2",
                                              "sealed_m2"};
    base_buffer_puts(out, "{\"name\":");
    report_put_json_text(out, p->item.name);
    base_buffer_printf(out, ",\"count\":%zu", p->item.count);
    report_put_json_field(out, true, "area_m2", p->area);
    report_put_json_field(out, true, "area_low_m2", p->area_low);
    report_put_json_field(out, true, "area_high_m2", p->area_high);
    base_buffer_puts(out, ",\"surfaces\":{");
    for (int c = 0; c < COLUMNS; c++)
        report_put_json_field(out, c > 0, keys[c], column_area(p, &columns[c]));
    base_buffer_puts(out, "}");
    report_put_json_field(out, true, "volume_m3", p->volume);
    base_buffer_puts(out, ",\"method\":");
    report_put_json_text(out, p->method);
    base_buffer_puts(out, "}");
}

void report_load_json(base_buffer *out, const tks_load *load, const tks_cautions *cautions)
{
    base_buffer_puts(out, "{\"parts\":[");
    for (const tks_part *p = load->first; p; p = p->next) {
        if (p != load->first) base_buffer_puts(out, ",");
        put_part_json(out, p);
    }
    base_buffer_puts(out, "]");
    report_put_json_field(out, true, "hangers_m2", load->hanger_area);
    report_put_json_field(out, true, "total_m2", load->total);
    base_buffer_puts(out, ",");
    report_put_cautions_json(out, cautions);
    base_buffer_puts(out, "}\n");
}
