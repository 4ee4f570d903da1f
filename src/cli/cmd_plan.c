/* tankside plan: what hangs together, what to set, and for how long. */
#include "cli/bath_options.h"
#include "cli/progress.h"
#include "cli/tank_options.h"
#include "report/plan.h"

#include "tankside/deposit.h"

#include <string.h>
#include <unistd.h>

extern const cli_command command_plan;

static tks_status read_wish(const cli_call *call, tks_process_wish *wish, tks_error *err)
{
    static const char *const states[] = {"none", "light", "heavy"};
    const char *rust = cli_option_value(call, "rust");
    *wish = (tks_process_wish){TKS_RUST_LIGHT, cli_option_value(call, "chromate") != NULL};
    for (int i = 0; rust && i < 3; i++) {
        if (strcmp(rust, states[i])) continue;
        wish->rust = (tks_rust)i;
        return TKS_OK;
    }
    if (!rust) return TKS_OK;
    return tks_fail(err, TKS_EUSAGE, tks_nowhere(), "--rust is '%.40s'; write none, light or heavy",
                    rust);
}

static void put_sheet(base_buffer *out, const cli_call *call, const tks_plan *plan,
                      const tks_process *process)
{
    const report_style style = {call->units, call->quiet, cli_colour(STDOUT_FILENO)};
    bool parted = out->length > 1 && !strcmp(out->text + out->length - 2, "\n\n");
    base_buffer_puts(out, parted ? "" : "\n");
    report_process_text(out, process, &style);
    if (plan->tank->bath.metal != tks_bath_default()->metal) return;
    base_buffer_puts(out, "\n");
    report_life_text(out, plan->thickness, call->units);
}

static int print_plan(const cli_call *call, const cli_loaded *l, const tks_plan *plan,
                      const tks_process *process)
{
    base_buffer out = {0};
    if (call->json) {
        report_plan_json(&out, plan, process, &l->cautions);
    } else {
        report_plan_text(&out, plan, call->units);
        report_put_cautions(&out, &l->cautions, call->quiet, cli_colour(STDOUT_FILENO));
        if (!cli_option_value(call, "brief")) put_sheet(&out, call, plan, process);
    }
    return cli_print(&out);
}

static bool show_progress(void *context, double done, size_t elements)
{
    (void)context;
    (void)elements;
    cli_progress("field", done);
    return true;
}

static tks_status by_field(const cli_call *call, cli_loaded *l, tks_plan *plan, tks_error *err)
{
    tks_field_options options = {.progress = call->quiet ? NULL : show_progress};
    tks_status status = tks_plan_by_field(l->arena, &options, &l->cautions, plan, err);
    cli_progress_end();
    return status;
}

static int make_plan(const cli_call *call, cli_loaded *l)
{
    tks_error err = {0};
    tks_reader *reader = NULL;
    tks_tank tank;
    tks_plan plan;
    tks_process_wish wish;
    tks_process process;
    tks_status status = cli_option_asked(call, &l->load, &err);
    if (!status) status = read_wish(call, &wish, &err);
    if (!status) status = cli_option_tank(call, l, &tank, &reader, &err);
    if (!status) status = tks_plan_make(l->arena, &l->load, &tank, &l->cautions, &plan, &err);
    if (!status) status = by_field(call, l, &plan, &err);
    if (!status) status = tks_process_make(l->arena, &plan, &wish, &process, &err);
    int code = status ? cli_fail(&err, reader) : print_plan(call, l, &plan, &process);
    tks_reader_close(reader);
    return code;
}

static int run_plan(const cli_call *call)
{
    cli_loaded loaded;
    int code = CLI_OK;
    if (cli_load(call, CLI_BODIES, &loaded, &code)) code = make_plan(call, &loaded);
    cli_loaded_free(&loaded);
    return code;
}

static const cli_option options[] = {
    CLI_TANK_OPTIONS,
    {"rust", "none|light|heavy", "what the pickle has to take off (default light)"},
    {"chromate", NULL, "hexavalent passivate in the sheet, not trivalent"},
    {"brief", NULL, "leave out the process sheet"},
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
               "minimum, are the outside, ends and threads. Where all parts have places (at:),\n"
               "one run takes them and the tank has anodes, thickness and time come from the\n"
               "field, as with `spread`. The process sheet stands last.",
    .example = "  tankside plan load.yaml --tank shed-tank.yaml\n"
               "  tankside plan cylinder diameter=8mm length=170mm --thickness 12um",
    .options = options,
    .run = run_plan,
};
