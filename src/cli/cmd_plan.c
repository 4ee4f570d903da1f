/* tankside plan: what hangs together, what to set, and for how long. */
#include "cli/bath_options.h"
#include "cli/tank_options.h"
#include "report/plan.h"

#include "tankside/plan.h"

#include <string.h>
#include <unistd.h>

extern const cli_command command_plan;

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
    tks_status status = cli_option_asked(call, &l->load, &err);
    if (!status) status = cli_option_tank(call, l, &tank, &reader, &err);
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
    CLI_TANK_OPTIONS,
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
