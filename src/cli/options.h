/* From the words of the command line to a call. */
#ifndef CLI_OPTIONS_H
#define CLI_OPTIONS_H

#include "cli/command.h"

/* The options that every command has. */
extern const cli_option cli_common_options[];

/* Parses words behind the command's name. call->words points into words, which is reordered.
 * *help is set when --help was asked. Errors: TKS_EUSAGE with the nearest option. */
tks_status cli_parse(const cli_command *command, int count, const char **words, cli_call *call,
                     bool *help, tks_error *err);

#endif
