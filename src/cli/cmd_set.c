/* tankside set: from an area to amperes and minutes, without files. */
#include "cli/bath_options.h"
#include "report/setting.h"

#include <unistd.h>

extern const cli_command command_set;

/* Zinc for indoor use of moderate wear: ISO 2081 Fe/Zn 8, ASTM B633 SC 2. */
#define USUAL_THICKNESS 8e-6

static tks_status read_setting(const cli_call *call, tks_bath *bath, tks_setting *setting,
                               tks_error *err)
{
    double area = 0, density = 0, thickness = USUAL_THICKNESS;
    if (call->word_count != 1)
        return tks_fail(err, TKS_EUSAGE, tks_nowhere(),
                        "set wants one area, e.g. tankside set 202cm^2 --thickness 8um");
    tks_status status = cli_option_bath(call, tks_bath_default(), bath, err);
    if (!status) status = cli_word_quantity(call->words[0], "area", TKS_AREA, &area, err);
    if (!status) status = cli_option_quantity(call, "density", TKS_CURRENT_DENSITY, &density, err);
    if (!status) status = cli_option_thickness(call, "thickness", &thickness, err);
    if (!status && density == 0 && cli_option_value(call, "density"))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "a density of zero plates nothing");
    return status ? status : tks_set(bath, area, area, density, thickness, setting, err);
}

static int run_set(const cli_call *call)
{
    tks_bath bath;
    tks_setting setting;
    tks_error err = {0};
    if (read_setting(call, &bath, &setting, &err)) return cli_fail(&err, NULL);
    tks_cautions cautions = tks_cautions_new(tks_arena_new());
    base_buffer out = {0};
    if (!cautions.arena || tks_density_cautions(&bath, setting.density, "", &cautions))
        out.failed = true;
    if (call->json) {
        base_buffer_puts(&out, "{");
        report_setting_json(&out, &setting);
        base_buffer_puts(&out, ",");
        report_put_cautions_json(&out, &cautions);
        base_buffer_puts(&out, "}\n");
    } else {
        report_setting_text(&out, &bath, &setting, call->units);
        report_put_cautions(&out, &cautions, call->quiet, cli_colour(STDOUT_FILENO));
    }
    tks_arena_free(cautions.arena);
    return cli_print(&out);
}

static const cli_option options[] = {
    {"thickness", "T", "wanted on open faces (default 8 um)"},
    {"density", "D", "current density (default: the bath's usual)"},
    CLI_BATH_OPTION,
    CLI_EFFICIENCY_OPTION,
    {NULL, NULL, NULL},
};

const cli_command command_set = {
    .name = "set",
    .about = "amperes and minutes for an area, without files",
    .usage = "AREA",
    .details = "Reckons by Faraday's law from the wetted area, all of it taken as open to the\n"
               "bath. `tankside plan` also looks at bores, threads, the supply and the tank.",
    .example = "  tankside set 202cm^2 --thickness 25um --density 0.1A/in^2",
    .options = options,
    .run = run_set,
};
