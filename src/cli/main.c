/* The program: finds the command and runs it. */
#include "base/names.h"
#include "base/show.h"
#include "cli/command.h"
#include "cli/names.h"
#include "cli/options.h"

#include <stdio.h>
#include <string.h>

/* In the order of --help; a line each. */
/* clang-format off */
#define COMMAND_LIST(X) \
    X(area) \
    X(plan) \
    X(spread) \
    X(set) \
    X(adjust) \
    X(mix) \
    X(explain) \
    X(log) \
    X(shapes) \
    X(check) \
    X(mesh)
/* clang-format on */

#define DECLARE(name) extern const cli_command command_##name;
COMMAND_LIST(DECLARE)

#define POINT(name) &command_##name,
static const cli_command *const commands[] = {COMMAND_LIST(POINT)};

enum { COMMANDS = sizeof commands / sizeof commands[0] };

static const char *command_name(const void *context, size_t i)
{
    (void)context;
    return commands[i]->name;
}

static const cli_command *find_command(const char *name)
{
    for (size_t i = 0; i < COMMANDS; i++)
        if (!strcmp(commands[i]->name, name)) return commands[i];
    return NULL;
}

static int list_commands(FILE *to)
{
    fputs("tankside: the true wetted area of parts in a plating tank, and the current and time to "
          "set\n\n",
          to);
    for (size_t i = 0; i < COMMANDS; i++)
        fprintf(to, "  tankside %-9s %s\n", commands[i]->name, commands[i]->about);
    fputs("\nEach says more with --help, e.g. tankside area --help. The manual: man tankside.\n",
          to);
    return to == stdout ? CLI_OK : CLI_USAGE;
}

static void list_options(const cli_option *options)
{
    for (; options && options->name; options++)
        printf("  --%s %-*s %s\n", options->name, (int)(22 - strlen(options->name)),
               options->value ? options->value : "", options->about);
}

static int print_help(const cli_command *command)
{
    printf("tankside %s: %s\n\nusage: tankside %s [options] %s\n\n%s\n\noptions:\n", command->name,
           command->about, command->name, command->usage, command->details);
    list_options(command->options);
    list_options(cli_common_options);
    printf("\nexample:\n%s\n", command->example);
    return CLI_OK;
}

/* For the shell's completion: `--names`, `--names COMMAND`, `--names COMMAND SHAPE`. */
static int print_names(int count, char **words)
{
    const cli_command *command = count ? find_command(words[0]) : NULL;
    for (size_t i = 0; !count && i < COMMANDS; i++) puts(commands[i]->name);
    if (command && count == 1) cli_print_command_names(command);
    if (command && command->takes_shapes && count > 1) cli_print_parameter_names(words[1]);
    return CLI_OK;
}

static int unknown_command(const char *name)
{
    const char *near = base_name_nearest(name, strlen(name), COMMANDS, command_name, NULL);
    fprintf(stderr, "tankside: there is no command '%s'%s%s%s; tankside --help lists them\n",
            base_shown_word(name, strlen(name)).text, near ? " (did you mean " : "",
            near ? near : "", near ? "?)" : "");
    return CLI_USAGE;
}

static int run_command(const cli_command *command, int count, const char **words)
{
    cli_call call;
    tks_error err = {0};
    bool help = false;
    if (cli_parse(command, count, words, &call, &help, &err)) return cli_fail(&err, NULL);
    return help ? print_help(command) : command->run(&call);
}

static int run(int count, char **words)
{
    if (!count) return list_commands(stderr);
    const char *first = words[0];
    if (!strcmp(first, "--version")) {
        puts("tankside " TKS_VERSION);
        return CLI_OK;
    }
    if (!strcmp(first, "--names")) return print_names(count - 1, words + 1);
    bool help = !strcmp(first, "--help") || !strcmp(first, "help");
    if (help && count == 1) return list_commands(stdout);
    const cli_command *command = find_command(words[help]);
    if (!command) return unknown_command(words[help]);
    if (help) return print_help(command);
    return run_command(command, count - 1, (const char **)(words + 1));
}

/* What was printed may still wait in the stream, and a full disk shows only now. */
int main(int argc, char **argv)
{
    int code = run(argc > 0 ? argc - 1 : 0, argv + 1);
    if (code == CLI_OK && (fflush(stdout) || ferror(stdout))) {
        perror("tankside: standard output");
        return CLI_IO;
    }
    return code;
}
