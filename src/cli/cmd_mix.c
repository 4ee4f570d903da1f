/* tankside mix: solutions, step by step. */
#include "cli/bath_options.h"
#include "report/mix.h"

#include <string.h>
#include <unistd.h>

extern const cli_command command_mix;

static int list_recipes(const cli_call *call)
{
    base_buffer out = {0};
    if (call->json)
        report_recipes_json(&out);
    else
        report_recipes_text(&out);
    return cli_print(&out);
}

static bool wants_upkeep(const cli_call *call)
{
    return cli_option_value(call, "area") || cli_option_value(call, "charge");
}

static int print_upkeep(const cli_call *call, const tks_recipe *recipe)
{
    tks_error err = {0};
    tks_bath bath;
    tks_upkeep upkeep;
    base_buffer out = {0};
    double area = 0, charge = 0, drag_out = TKS_DRAG_OUT;
    tks_status status = cli_option_bath(call, tks_bath_default(), &bath, &err);
    if (!status) status = cli_option_quantity(call, "area", TKS_AREA, &area, &err);
    if (!status) status = cli_option_quantity(call, "charge", TKS_CHARGE, &charge, &err);
    if (!status) status = tks_upkeep_of(recipe, &bath, area, charge, drag_out, &upkeep, &err);
    if (status) return cli_fail(&err, NULL);
    if (call->json)
        report_upkeep_json(&out, recipe, &upkeep);
    else
        report_upkeep_text(&out, recipe, &upkeep, &bath, call->units);
    return cli_print(&out);
}

static int print_mix(const cli_call *call, const tks_mix *mix)
{
    tks_cautions cautions = tks_cautions_new(tks_arena_new());
    base_buffer out = {0};
    if (!cautions.arena || tks_mix_cautions(mix->recipe, &cautions)) out.failed = true;
    const report_style style = {call->units, call->quiet, cli_colour(STDOUT_FILENO)};
    if (call->json)
        report_mix_json(&out, mix, &cautions);
    else
        report_mix_text(&out, mix, &style);
    tks_arena_free(cautions.arena);
    return cli_print(&out);
}

static int run_mix(const cli_call *call)
{
    tks_error err = {0};
    const tks_recipe *recipe = NULL;
    tks_mix mix;
    double volume = 1e-3, stock = 0;
    if (!call->word_count) return list_recipes(call);
    tks_status status = TKS_OK;
    if (call->word_count > 2)
        status = tks_fail(&err, TKS_EUSAGE, tks_nowhere(),
                          "mix wants a recipe and a volume, e.g. tankside mix chloride-zinc 8L");
    const char *name = call->words[0];
    if (!status) status = tks_recipe_find(name, strlen(name), tks_nowhere(), &recipe, &err);
    if (!status && wants_upkeep(call)) return print_upkeep(call, recipe);
    if (!status && call->word_count == 2)
        status = cli_word_quantity(call->words[1], "volume", TKS_VOLUME, &volume, &err);
    if (!status) status = cli_option_quantity(call, "stock", TKS_NUMBER, &stock, &err);
    if (!status) status = tks_mix_make(recipe, volume, stock, &mix, &err);
    return status ? cli_fail(&err, NULL) : print_mix(call, &mix);
}

static const cli_option options[] = {
    {"stock", "S", "strength of the acid as sold (default 36 %)"},
    {"area", "A", "plated since: tells what to put back, with --charge"},
    {"charge", "Q", "passed since, e.g. 40Ah"},
    CLI_BATH_OPTION,
    CLI_EFFICIENCY_OPTION,
    {NULL, NULL, NULL},
};

const cli_command command_mix = {
    .name = "mix",
    .about = "what goes into cleaner, pickle, bath and passivate",
    .usage = "[RECIPE [VOLUME]]",
    .details = "Without a word it lists the recipes. Amounts are for the volume (default 1 L),\n"
               "steps are in order, each with its cautions. With --area or --charge it tells\n"
               "what to put back after work. The supplier's sheet and local rules come first.",
    .example = "  tankside mix pickle 5L\n"
               "  tankside mix chloride-zinc --area 2m^2 --charge 100Ah",
    .options = options,
    .run = run_mix,
};
