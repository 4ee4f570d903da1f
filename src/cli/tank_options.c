#include "cli/tank_options.h"

#include "cli/bath_options.h"
#include "tankside/bench_log.h"

#include <string.h>

/* The log stands beside the tank's file unless its path says otherwise. */
static const char *beside(tks_arena *arena, const char *file, const char *name)
{
    const char *slash = file ? strrchr(file, '/') : NULL;
    if (!slash || name[0] == '/') return name;
    size_t folder = (size_t)(slash - file) + 1, length = strlen(name);
    char *path = tks_arena_take(arena, folder + length + 1, 1);
    if (!path) return name;
    memcpy(path, file, folder);
    memcpy(path + folder, name, length);
    return path;
}

static tks_status learn(cli_loaded *l, const char *file, tks_tank *tank, tks_error *err)
{
    tks_bench_log log;
    const char *path = beside(l->arena, file, tank->bench_log);
    tks_status status = tks_bench_log_read(l->arena, path, &log, err);
    if (status) return status;
    tks_bench_summary s = tks_bench_log_summarise(&log, &tank->bath);
    if (!tks_bench_log_apply(&s, &tank->bath)) return TKS_OK;
    status = tks_caution_add(&l->cautions, TKS_NOTE, "efficiency-learnt", "",
                             "The efficiency of %.3g %% is what %zu runs of the bench log gave "
                             "(%.3g to %.3g %%), not the table's.",
                             100 * s.mean, s.runs, 100 * s.least, 100 * s.most);
    return status ? tks_fail(err, status, tks_nowhere(), "out of memory") : TKS_OK;
}

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
    bool own = cli_option_value(call, "bath") || cli_option_value(call, "efficiency");
    if (!status && own) status = cli_option_bath(call, &tank->bath, &tank->bath, err);
    if (!status && !own && tank->bench_log)
        status = learn(l, path ? path : l->load.file, tank, err);
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
    if (thickness || minimum)
        status =
            cli_option_thickness(call, minimum ? "minimum" : "thickness", &load->thickness, err);
    const char *density = cli_option_value(call, "density");
    if (!status && density)
        status = cli_word_quantity(density, "--density", TKS_CURRENT_DENSITY, &load->density, err);
    return status;
}
