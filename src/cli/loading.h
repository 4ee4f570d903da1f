/* What area, plan and spread begin with: reading files, or a shape on the command line, into a
 * load. */
#ifndef CLI_LOADING_H
#define CLI_LOADING_H

#include "cli/command.h"
#include "tankside/part.h"

typedef struct cli_loaded {
    tks_arena *arena, *scratch;
    tks_shapes *shapes;
    tks_cautions cautions;
    tks_part_reading reading;
    tks_load load;
} cli_loaded;

/* What a command needs of each part besides its areas. */
typedef enum cli_need { CLI_AREAS, CLI_SIZES, CLI_BODIES } cli_need;

/* Reads the words of the call: FILE ..., or SHAPE parameter=value ... On failure the error has been
 * printed and *code is the exit code; cli_loaded_free is due in any case. */
bool cli_load(const cli_call *call, cli_need need, cli_loaded *loaded, int *code);

void cli_loaded_free(cli_loaded *loaded);

#endif
