#include "cli/bath_options.h"

#include <string.h>

tks_status cli_option_bath(const cli_call *call, tks_bath *bath, tks_error *err)
{
    const char *name = cli_option_value(call, "bath");
    const tks_bath *row = tks_bath_default();
    tks_status status = TKS_OK;
    if (name) status = tks_bath_find(name, strlen(name), tks_nowhere(), &row, err);
    if (status) return status;
    tks_bath own = *row;
    double efficiency = own.efficiency.usual;
    status = cli_option_quantity(call, "efficiency", TKS_NUMBER, &efficiency, err);
    if (!status && efficiency != own.efficiency.usual)
        own.efficiency = (tks_figure){efficiency, efficiency, efficiency, "given by the user"};
    if (!status) status = tks_bath_check(&own, err);
    if (!status) *bath = own;
    return status;
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
