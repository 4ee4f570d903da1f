/* The tank and what is asked of a load: options that plan and spread share. */
#ifndef CLI_TANK_OPTIONS_H
#define CLI_TANK_OPTIONS_H

#include "cli/loading.h"
#include "tankside/tank.h"

/* Rows for a command's options. */
/* clang-format off */
#define CLI_TANK_OPTIONS                                                            \
    {"tank", "FILE", "the tank, when the load names none"},                         \
    {"thickness", "T", "mean thickness wanted (default: the load's, or 8 um)"},     \
    {"minimum", "T", "thickness wanted at the thinnest significant surface"},       \
    {"density", "D", "current density (default: the load's or the bath's)"}
/* clang-format on */

/* The tank of the call: --tank, or the load's own, or one of which only the bath is known; with the
 * bath of --bath and --efficiency. When the tank names a bench log with runs enough, its bath has
 * the efficiency measured, and a note among the cautions says so. *failed gets the open reader of
 * the tank's file; the caller closes it. */
tks_status cli_option_tank(const cli_call *call, cli_loaded *loaded, tks_tank *tank,
                           tks_reader **failed, tks_error *err);

/* Puts --thickness, --minimum and --density in place of the load's own. */
tks_status cli_option_asked(const cli_call *call, tks_load *load, tks_error *err);

#endif
