/* tankside adjust: the ammeter shows something else; what is there, what is left. */
#include "cli/bath_options.h"
#include "report/setting.h"

#include "tankside/adjust.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

extern const cli_command command_adjust;

/* Zinc for indoor use of moderate wear: ISO 2081 Fe/Zn 8, ASTM B633 SC 2. */
#define USUAL_THICKNESS 8e-6

typedef struct asked {
    tks_arena *arena;
    tks_reader *reader;
    tks_bath bath;
    double area, thickness;
    tks_reading *readings;
    size_t count;
} asked;

/* `12min=3.4A`, or `3.6A` for one reading right now. */
static tks_status read_word(const char *word, tks_reading *reading, tks_error *err)
{
    const char *equals = strchr(word, '=');
    tks_status status = TKS_OK;
    reading->at = tks_nowhere();
    if (equals)
        status = tks_quantity_read(word, (size_t)(equals - word), TKS_TIME, reading->at,
                                   &reading->time, err);
    const char *current = equals ? equals + 1 : word;
    if (status) return status;
    return tks_quantity_read(current, strlen(current), TKS_CURRENT, reading->at, &reading->current,
                             err);
}

static tks_status read_words(const cli_call *call, asked *a, tks_error *err)
{
    a->count = call->word_count - 1;
    a->readings = tks_arena_take(a->arena, a->count, sizeof *a->readings);
    if (!a->readings) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    for (size_t i = 0; i < a->count; i++) {
        tks_status status = read_word(call->words[i + 1], &a->readings[i], err);
        if (status) return status;
    }
    return TKS_OK;
}

static tks_status read_file(const char *path, asked *a, tks_error *err)
{
    const tks_node *root;
    tks_status status = tks_reader_open(path, NULL, &a->reader, err);
    if (!status) status = tks_reader_next(a->reader, a->arena, &root, err);
    if (status) return status;
    return tks_readings_read(a->arena, root, tks_reader_name(a->reader), &a->readings, &a->count,
                             err);
}

static tks_status read_asked(const cli_call *call, asked *a, tks_error *err)
{
    const char *log = cli_option_value(call, "log");
    a->thickness = USUAL_THICKNESS;
    a->arena = tks_arena_new();
    if (!a->arena) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    if (!call->word_count || (log != NULL) == (call->word_count > 1))
        return tks_fail(err, TKS_EUSAGE, tks_nowhere(),
                        "adjust wants the effective area and what the ammeter shows, e.g. tankside "
                        "adjust 202cm^2 3.6A, or --log FILE");
    tks_status status = cli_option_bath(call, tks_bath_default(), &a->bath, err);
    if (!status) status = cli_word_quantity(call->words[0], "area", TKS_AREA, &a->area, err);
    if (!status) status = cli_option_thickness(call, "thickness", &a->thickness, err);
    if (status) return status;
    return log ? read_file(log, a, err) : read_words(call, a, err);
}

static void put_left(base_buffer *out, const tks_progress *p, const asked *a, tks_system units)
{
    char remark[192];
    snprintf(remark, sizeof remark, "at %s",
             report_say(p->density * a->area, TKS_CURRENT, units).text);
    if (p->left == 0)
        report_put_line(out, "left", "none: the thickness is reached", "");
    else if (isinf(p->left))
        report_put_line(out, "left", "not to be told while the current is off", "");
    else
        report_put_line(out, "left", report_say(p->left, TKS_TIME, units).text, remark);
}

static void put_text(base_buffer *out, const tks_progress *p, const asked *a, tks_system units)
{
    char remark[192];
    snprintf(remark, sizeof remark, "of %s since the first reading",
             report_say(p->elapsed, TKS_TIME, units).text);
    if (a->count > 1)
        report_put_line(out, "plated so far", report_say(p->plated, TKS_TIME, units).text, remark);
    if (a->count > 1)
        report_put_line(out, "charge so far", report_say(p->charge, TKS_CHARGE, units).text,
                        report_say(p->metal, TKS_MASS, units).text);
    snprintf(remark, sizeof remark, "of %s", report_say(p->wanted, TKS_LENGTH, units).text);
    report_put_line(out, "thickness so far",
                    p->thickness > 0 ? report_say(p->thickness, TKS_LENGTH, units).text : "none",
                    remark);
    snprintf(remark, sizeof remark, "the bath bears %s to %s",
             report_say(a->bath.current_density.low, TKS_CURRENT_DENSITY, units).text,
             report_say(a->bath.current_density.high, TKS_CURRENT_DENSITY, units).text);
    report_put_line(out, "density now", report_say(p->density, TKS_CURRENT_DENSITY, units).text,
                    remark);
    put_left(out, p, a, units);
}

static void put_json(base_buffer *out, const tks_progress *p, const tks_cautions *cautions)
{
    base_buffer_puts(out, "{");
    report_put_json_field(out, false, "elapsed_s", p->elapsed);
    report_put_json_field(out, true, "plated_s", p->plated);
    report_put_json_field(out, true, "longest_pause_s", p->longest_pause);
    report_put_json_field(out, true, "charge_C", p->charge);
    report_put_json_field(out, true, "metal_kg", p->metal);
    report_put_json_field(out, true, "thickness_m", p->thickness);
    report_put_json_field(out, true, "wanted_m", p->wanted);
    report_put_json_field(out, true, "density_A_m2", p->density);
    report_put_json_field(out, true, "density_low_A_m2", p->least_density);
    report_put_json_field(out, true, "density_high_A_m2", p->most_density);
    report_put_json_field(out, true, "left_s", p->left);
    base_buffer_puts(out, ",");
    report_put_cautions_json(out, cautions);
    base_buffer_puts(out, "}\n");
}

static int print_progress(const cli_call *call, const asked *a, const tks_progress *p)
{
    base_buffer out = {0};
    tks_cautions cautions = tks_cautions_new(a->arena);
    if (tks_adjust_cautions(&a->bath, p, &cautions)) out.failed = true;
    if (call->json) {
        put_json(&out, p, &cautions);
    } else {
        put_text(&out, p, a, call->units);
        report_put_cautions(&out, &cautions, call->quiet, cli_colour(STDOUT_FILENO));
    }
    return cli_print(&out);
}

static int run_adjust(const cli_call *call)
{
    asked a = {0};
    tks_error err = {0};
    tks_progress progress;
    tks_status status = read_asked(call, &a, &err);
    if (!status)
        status = tks_adjust(&a.bath, a.area, a.thickness, a.readings, a.count, &progress, &err);
    int code = status ? cli_fail(&err, a.reader) : print_progress(call, &a, &progress);
    tks_reader_close(a.reader);
    tks_arena_free(a.arena);
    return code;
}

static const cli_option options[] = {
    {"log", "FILE", "readings: a list of [time, current] pairs"},
    {"thickness", "T", "wanted on open faces (default 8 um)"},
    CLI_BATH_OPTION,
    CLI_EFFICIENCY_OPTION,
    {NULL, NULL, NULL},
};

const cli_command command_adjust = {
    .name = "adjust",
    .about = "what is left to do when the ammeter shows something else",
    .usage = "AREA (AMPERES | TIME=AMPERES ... | --log FILE)",
    .details = "AREA is the effective area that the plan tells. Between two readings the current\n"
               "is taken to change evenly; 0 A marks switching off, the next reading switching\n"
               "on. A log file is a list: - [0 min, 3.6 A]",
    .example = "  tankside adjust 202cm^2 3.6A --thickness 25um\n"
               "  tankside adjust 202cm^2 0min=3.6A 20min=3.2A 21min=0A 30min=3.1A",
    .options = options,
    .run = run_adjust,
};
