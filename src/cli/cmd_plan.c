/* tankside plan: what hangs together, what to set, and for how long. */
#include "cli/bath_options.h"
#include "cli/loading.h"
#include "report/plan.h"

#include "tankside/plan.h"

#include <string.h>
#include <unistd.h>

extern const cli_command command_plan;

/* The tank of the call: --tank, or the load's own, or one of which only the bath is known. */
static tks_status read_tank(const cli_call *call, cli_loaded *l, tks_tank *tank,
                            tks_reader **failed, tks_error *err)
{
    const char *path = cli_option_value(call, "tank");
    if (!path) path = l->load.tank;
    const tks_node *root = path ? NULL : l->load.tank_node;
    tks_status status = TKS_OK;
    *tank = tks_tank_of(tks_bath_default());
    if (path) status = tks_reader_open(path, NULL, failed, err);
    if (path && !status) status = tks_reader_next(*failed, l->arena, &root, err);
    if (!status && root)
        status = tks_tank_read(l->arena, root, path ? tks_reader_name(*failed) : l->load.file, tank,
                               err);
    if (!status && (cli_option_value(call, "bath") || cli_option_value(call, "efficiency")))
        status = cli_option_bath(call, &tank->bath, err);
    return status;
}

static tks_status read_asked(const cli_call *call, tks_load *load, tks_error *err)
{
    const char *thickness = cli_option_value(call, "thickness"),
               *minimum = cli_option_value(call, "minimum");
    if (thickness && minimum)
        return tks_fail(err, TKS_EUSAGE, tks_nowhere(),
                        "give --thickness (the mean) or --minimum, not both");
    if (thickness || minimum) load->aim = minimum ? TKS_AIM_MINIMUM : TKS_AIM_MEAN;
    tks_status status = TKS_OK;
    if (thickness)
        status = cli_word_quantity(thickness, "--thickness", TKS_LENGTH, &load->thickness, err);
    if (minimum)
        status = cli_word_quantity(minimum, "--minimum", TKS_LENGTH, &load->thickness, err);
    const char *density = cli_option_value(call, "density");
    if (!status && density)
        status = cli_word_quantity(density, "--density", TKS_CURRENT_DENSITY, &load->density, err);
    return status;
}

static int print_plan(const cli_call *call, const cli_loaded *l, const tks_plan *plan)
{
    base_buffer out = {0};
    if (call->json) {
        report_plan_json(&out, plan, &l->cautions);
    } else {
        report_plan_text(&out, plan, call->units);
        report_put_cautions(&out, &l->cautions, call->quiet, cli_colour(STDOUT_FILENO));
    }
    return cli_print(&out);
}

static int make_plan(const cli_call *call, cli_loaded *l)
{
    tks_error err = {0};
    tks_reader *reader = NULL;
    tks_tank tank;
    tks_plan plan;
    tks_status status = read_asked(call, &l->load, &err);
    if (!status) status = read_tank(call, l, &tank, &reader, &err);
    if (!status) status = tks_plan_make(l->arena, &l->load, &tank, &l->cautions, &plan, &err);
    int code = status ? cli_fail(&err, reader) : print_plan(call, l, &plan);
    tks_reader_close(reader);
    return code;
}

static int run_plan(const cli_call *call)
{
    cli_loaded loaded;
    int code = CLI_OK;
    if (cli_load(call, CLI_SIZES, &loaded, &code)) code = make_plan(call, &loaded);
    cli_loaded_free(&loaded);
    return code;
}

static const cli_option options[] = {
    {"tank", "FILE", "the tank, when the load names none"},
    {"thickness", "T", "mean thickness wanted (default: the load's, or 8 um)"},
    {"minimum", "T", "thickness wanted at the thinnest significant surface"},
    {"density", "D", "current density (default: the load's or the bath's)"},
    CLI_BATH_OPTION,
    CLI_EFFICIENCY_OPTION,
    {NULL, NULL, NULL},
};

const cli_command command_plan = {
    .name = "plan",
    .about = "what hangs together, what to set, how long, and what can go wrong",
    .usage = "FILE... | SHAPE parameter=value ...",
    .details = "FILE is a load file (or part files). The area that the current sees is less\n"
               "than the wetted area where bores, gaps and threads are hard to reach; the\n"
               "plan tells both. Parts are split into the fewest runs that the supply, the\n"
               "bath's volume, the anodes and the rack allow. Significant surfaces, for a\n"
               "minimum, are the outside, ends and threads.",
    .example = "  tankside plan load.yaml --tank shed-tank.yaml\n"
               "  tankside plan cylinder diameter=8mm length=170mm --thickness 12um",
    .options = options,
    .run = run_plan,
};
