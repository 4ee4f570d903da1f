/* What a command of the program is: a row of names and texts, and a function that runs it.
 * Adding a command: write cmd_NAME.c with a `const cli_command command_NAME`, and list it in
 * main.c; its help, the list of commands and the shell completion follow from the row. */
#ifndef CLI_COMMAND_H
#define CLI_COMMAND_H

#include "base/buffer.h"
#include "report/report.h"
#include "tankside/caution.h"
#include "tankside/document.h"
#include "tankside/quantity.h"
#include "tankside/status.h"

#include <stdbool.h>
#include <stddef.h>

/* Exit codes: those of sysexits.h, so that scripts need not guess. In the manual page. */
enum {
    CLI_OK = 0,
    CLI_FAILURE = 1,        /* out of memory, no convergence, an internal error */
    CLI_USAGE = 64,         /* the command line was not understood */
    CLI_BAD_DATA = 65,      /* a file or a value is wrong; the message says where */
    CLI_NO_INPUT = 66,      /* a file cannot be opened */
    CLI_CANNOT_CREATE = 73, /* an output file cannot be written */
    CLI_IO = 74             /* reading or writing broke off */
};

/* An option `--name` or `--name VALUE` (also `--name=VALUE`). */
typedef struct cli_option {
    const char *name;  /* without the dashes */
    const char *value; /* what stands for the value in the help; NULL: a flag */
    const char *about;
} cli_option;

enum { CLI_MOST_OPTIONS = 24 };

typedef struct cli_command cli_command;

/* A parsed command line. */
typedef struct cli_call {
    const cli_command *command;
    const char *const *words; /* what is no option, in order */
    size_t word_count;
    const char
        *values[CLI_MOST_OPTIONS]; /* of the command's options: NULL when not given, "" for flags */
    bool json, quiet;
    tks_system units;
} cli_call;

struct cli_command {
    const char *name;
    const char *about;         /* one line, no full stop */
    const char *usage;         /* e.g. "FILE... | SHAPE parameter=value ..." */
    const char *details;       /* what a user should know; lines of at most 78 characters */
    const char *example;       /* one or more lines that can be pasted */
    const cli_option *options; /* its own; ends with a row of NULLs; may be NULL */
    bool takes_shapes;         /* its words may be a shape's name: for completion */
    int (*run)(const cli_call *call);
};

/* Value of the command's own option: NULL when it was not given, "" for a flag that was. */
const char *cli_option_value(const cli_call *call, const char *name);

/* Reads the option as a quantity of a kind into *value; leaves it alone when the option was not
 * given. */
tks_status cli_option_quantity(const cli_call *call, const char *name, tks_kind kind, double *value,
                               tks_error *err);

/* What errors call a shape that stands on the command line. */
#define CLI_WORDS "command line"

/* Prints the error on stderr, with its source line where it can still be read, and returns the exit
 * code that belongs to its status. reader may be NULL. */
int cli_fail(const tks_error *err, const tks_reader *reader);

/* Writes the whole of the buffer to standard output and frees it; returns the exit code. */
int cli_print(base_buffer *out);

/* Whether standard error (or output) is a terminal that wants colour (NO_COLOR is honoured). */
bool cli_colour(int file);

#endif
