#include "cli/bath_options.h"

#include <string.h>

/* A deposit that nobody plates; files have the same bound [m]. */
#define THICKEST 1e-3

/* 93 can only be meant as 93 %, but it is said rather than guessed. */
static tks_status read_efficiency(const cli_call *call, tks_bath *bath, tks_error *err)
{
    const char *word = cli_option_value(call, "efficiency");
    double efficiency = 0;
    if (!word) return TKS_OK;
    tks_status status = cli_option_quantity(call, "efficiency", TKS_NUMBER, &efficiency, err);
    if (status) return status;
    if (!(efficiency > 0 && efficiency <= 1))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "--efficiency is '%.40s'; it must be above zero and at most 100 %%, as in "
                        "93 %%",
                        word);
    bath->efficiency = (tks_figure){efficiency, efficiency, efficiency, "given by the user"};
    return TKS_OK;
}

tks_status cli_option_bath(const cli_call *call, const tks_bath *usual, tks_bath *bath,
                           tks_error *err)
{
    const char *name = cli_option_value(call, "bath");
    tks_status status = TKS_OK;
    if (name) status = tks_bath_find(name, strlen(name), tks_nowhere(), &usual, err);
    if (status) return status;
    tks_bath own = *usual;
    status = read_efficiency(call, &own, err);
    if (!status) *bath = own;
    return status;
}

tks_status cli_option_thickness(const cli_call *call, const char *name, double *thickness,
                                tks_error *err)
{
    const char *word = cli_option_value(call, name);
    double read = 0;
    if (!word) return TKS_OK;
    tks_status status = cli_option_quantity(call, name, TKS_LENGTH, &read, err);
    if (status) return status;
    if (!(read > 0 && read <= THICKEST))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "--%s is '%.40s'; it must be above zero and at most 1 mm", name, word);
    *thickness = read;
    return TKS_OK;
}

tks_status cli_word_quantity(const char *word, const char *what, tks_kind kind, double *value,
                             tks_error *err)
{
    double read;
    tks_status status = tks_quantity_read(word, strlen(word), kind, tks_nowhere(), &read, err);
    if (status) return status;
    if (!(read > 0))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(), "%s is '%.40s'; it must be above zero",
                        what, word);
    *value = read;
    return TKS_OK;
}
