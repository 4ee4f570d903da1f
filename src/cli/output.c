/* What every command ends with: its results on standard output, or an error on standard error. */
#include "cli/command.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static int exit_code(tks_status status)
{
    switch (status) {
    case TKS_OK: return CLI_OK;
    case TKS_EUSAGE: return CLI_USAGE;
    case TKS_EOPEN: return CLI_NO_INPUT;
    case TKS_EWRITE: return CLI_CANNOT_CREATE;
    case TKS_EREAD: return CLI_IO;
    case TKS_EMEMORY:
    case TKS_ECONVERGE:
    case TKS_EINTERNAL: return CLI_FAILURE;
    default: return CLI_BAD_DATA;
    }
}

int cli_fail(const tks_error *err, const tks_reader *reader)
{
    char text[1024];
    size_t length = 0;
    const char *line = NULL;
    tks_reader *again = NULL;
    bool open = reader && !strcmp(err->file, tks_reader_name(reader));
    if (!open && err->file[0] && err->line > 0 && !tks_reader_open(err->file, NULL, &again, NULL))
        reader = again;
    if ((open || again) && err->line > 0) line = tks_reader_line(reader, err->line, &length);
    tks_error shown = *err;
    if (!strcmp(err->file, CLI_WORDS)) shown.line = 0; /* the user wrote words, not lines */
    tks_error_print(text, sizeof text, &shown, line, length);
    fprintf(stderr, "%s%s%s", err->file[0] ? "" : "tankside: ", text,
            text[0] && text[strlen(text) - 1] == '\n' ? "" : "\n");
    tks_reader_close(again);
    return exit_code(err->code);
}

int cli_print(base_buffer *out)
{
    int code = CLI_OK;
    if (out->failed) {
        fputs("tankside: out of memory\n", stderr);
        code = CLI_FAILURE;
    } else if (out->length &&
               (fwrite(out->text, 1, out->length, stdout) < out->length || fflush(stdout))) {
        perror("tankside: standard output");
        code = CLI_IO;
    }
    base_buffer_free(out);
    return code;
}

bool cli_colour(int file)
{
    const char *no_colour = getenv("NO_COLOR");
    const char *terminal = getenv("TERM");
    return isatty(file) && !(no_colour && *no_colour) && terminal && strcmp(terminal, "dumb") != 0;
}
