/* Names for the shell's completion, one a line on standard output. */
#ifndef CLI_NAMES_H
#define CLI_NAMES_H

#include "cli/command.h"

/* Of a command: its options, and the built-in shapes when it takes them. */
void cli_print_command_names(const cli_command *command);

/* Of a shape: its parameters as `name=`; nothing when there is no such shape. */
void cli_print_parameter_names(const char *shape);

#endif
