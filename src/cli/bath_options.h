/* The options --bath and --efficiency, which several commands have. */
#ifndef CLI_BATH_OPTIONS_H
#define CLI_BATH_OPTIONS_H

#include "cli/command.h"
#include "tankside/plating.h"

/* Rows for a command's options. */
#define CLI_BATH_OPTION                                                                            \
    {                                                                                              \
        "bath", "NAME", "the bath (default chloride zinc)"                                         \
    }
#define CLI_EFFICIENCY_OPTION                                                                      \
    {                                                                                              \
        "efficiency", "E", "its efficiency, as measured: 93 %"                                     \
    }

/* The bath that the options name, else the usual one, with their efficiency. usual may be *bath.
 * Errors: TKS_EUNKNOWN, TKS_EDOMAIN. */
tks_status cli_option_bath(const cli_call *call, const tks_bath *usual, tks_bath *bath,
                           tks_error *err);

/* The thickness [m] that an option asks, if it was given. Errors: TKS_EDOMAIN. */
tks_status cli_option_thickness(const cli_call *call, const char *name, double *thickness,
                                tks_error *err);

/* Reads a word of the command line as a quantity of a kind that must be above zero. */
tks_status cli_word_quantity(const char *word, const char *what, tks_kind kind, double *value,
                             tks_error *err);

#endif
