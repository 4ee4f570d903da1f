#include "cli/tank_options.h"

#include "cli/bath_options.h"

tks_status cli_option_tank(const cli_call *call, cli_loaded *l, tks_tank *tank, tks_reader **failed,
                           tks_error *err)
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

tks_status cli_option_asked(const cli_call *call, tks_load *load, tks_error *err)
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
