/* tankside spread: how thick the deposit will be, and where. */
#include "base/output.h"
#include "cli/bath_options.h"
#include "cli/tank_options.h"
#include "report/deposit.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

extern const cli_command command_spread;

/* A line that is written over as the work goes on; only where a person watches. */
static bool show_progress(void *context, double done, size_t elements)
{
    int *shown = context;
    int now = (int)(100 * done);
    if (now != *shown) fprintf(stderr, "\r%3d %%  %zu elements ", now, elements);
    *shown = now;
    return true;
}

static void wipe_progress(const int *shown)
{
    if (*shown >= 0) fprintf(stderr, "\r%*s\r", 40, "");
}

static tks_status read_options(const cli_call *call, tks_deposit_options *o, tks_error *err)
{
    const char *current = cli_option_value(call, "current"), *time = cli_option_value(call, "time");
    const char *elements = cli_option_value(call, "elements"), *out = cli_option_value(call, "out");
    tks_status status = TKS_OK;
    double count = 0;
    o->linear = cli_option_value(call, "linear") != NULL;
    o->advise = cli_option_value(call, "advise") != NULL;
    if (current) status = cli_word_quantity(current, "--current", TKS_CURRENT, &o->current, err);
    if (!status && time) status = cli_word_quantity(time, "--time", TKS_TIME, &o->time, err);
    if (!status && elements)
        status = cli_word_quantity(elements, "--elements", TKS_NUMBER, &count, err);
    if (!status && elements && !(count >= 500 && count <= 200000))
        status = tks_fail(err, TKS_EUSAGE, tks_nowhere(),
                          "--elements is %g; it must be from 500 to 200000", count);
    if (!status && out && report_element_file_of(out) == REPORT_NO_FILE)
        status = tks_fail(err, TKS_EUSAGE, tks_nowhere(),
                          "--out is '%.100s'; its name must end in .csv, .vtu or .ply", out);
    o->field.elements = (size_t)count;
    return status;
}

/* Writes the elements to the file of --out. */
static tks_status write_elements(const cli_call *call, const tks_deposit *deposit, tks_error *err)
{
    const char *path = cli_option_value(call, "out");
    base_buffer text = {0};
    if (!path) return TKS_OK;
    report_deposit_elements(&text, deposit, report_element_file_of(path));
    tks_status status = text.failed ? tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory")
                                    : base_output_write(path, text.text, text.length, err);
    base_buffer_free(&text);
    return status;
}

static int print_deposit(const cli_call *call, const cli_loaded *l, const tks_deposit *deposit)
{
    base_buffer out = {0};
    if (call->json) {
        report_deposit_json(&out, deposit, &l->cautions);
    } else {
        report_deposit_text(&out, deposit, call->units);
        report_put_cautions(&out, &l->cautions, call->quiet, cli_colour(STDOUT_FILENO));
    }
    return cli_print(&out);
}

static int spread(const cli_call *call, cli_loaded *l)
{
    tks_error err = {0};
    tks_reader *reader = NULL;
    tks_tank tank;
    tks_deposit deposit = {0};
    tks_deposit_options options = {0};
    int shown = -1;
    if (!call->quiet && isatty(STDERR_FILENO)) {
        options.field.progress = show_progress;
        options.field.context = &shown;
    }
    tks_status status = read_options(call, &options, &err);
    if (!status) status = cli_option_asked(call, &l->load, &err);
    if (!status) status = cli_option_tank(call, l, &tank, &reader, &err);
    if (!status)
        status =
            tks_deposit_make(l->arena, &l->load, &tank, &options, &l->cautions, &deposit, &err);
    wipe_progress(&shown);
    if (!status) status = write_elements(call, &deposit, &err);
    int code = status ? cli_fail(&err, reader) : print_deposit(call, l, &deposit);
    tks_deposit_free(&deposit);
    tks_reader_close(reader);
    return code;
}

static int run_spread(const cli_call *call)
{
    cli_loaded loaded;
    int code = CLI_OK;
    if (cli_load(call, CLI_BODIES, &loaded, &code)) code = spread(call, &loaded);
    cli_loaded_free(&loaded);
    return code;
}

static const cli_option options[] = {
    CLI_TANK_OPTIONS,
    {"current", "I", "current through the parts (default: the plan's)"},
    {"time", "T", "how long (default: the plan's)"},
    {"advise", NULL, "try what would spread it better; say what it gives"},
    {"out", "FILE", "write the elements: .csv, .vtu or .ply"},
    {"elements", "N", "about how many (default 8000); more is finer, slower"},
    {"linear", NULL, "polarisation as a line in place of Tafel's law"},
    CLI_BATH_OPTION,
    CLI_EFFICIENCY_OPTION,
    {NULL, NULL, NULL},
};

const cli_command command_spread = {
    .name = "spread",
    .about = "how thick it will be, and where, from the field in the tank",
    .usage = "LOAD",
    .details = "LOAD is a load file whose parts have places (at: [x, y, z] mm, from the middle\n"
               "of the tank's floor), and whose tank has its size and anodes. The potential in\n"
               "the bath is computed with parts, anodes and walls, so that nearness, edges,\n"
               "shielding and bores count. Thinnest and thickest are means over 2 mm spots.",
    .example = "  tankside spread rack.yaml --advise\n"
               "  tankside spread rack.yaml --minimum 8um --out rack.vtu",
    .options = options,
    .run = run_spread,
};
