#include "cli/names.h"

#include "cli/options.h"
#include "tankside/shape.h"

#include <stdio.h>
#include <string.h>

/* A name as one word of the shell. */
static void print_word(const char *name, const char *end)
{
    for (; *name; name++) putchar(*name == ' ' ? '-' : *name);
    puts(end);
}

static void print_options(const cli_option *options)
{
    for (; options && options->name; options++) printf("--%s\n", options->name);
}

void cli_print_command_names(const cli_command *command)
{
    print_options(command->options);
    print_options(cli_common_options);
    size_t shapes = command->takes_shapes ? tks_shapes_count() : 0;
    for (size_t i = 0; i < shapes; i++) print_word(tks_shapes_name(i), "");
}

void cli_print_parameter_names(const char *name)
{
    const tks_shape *shape = NULL;
    tks_shapes *shapes = NULL;
    if (tks_shapes_new(&shapes, NULL)) return;
    if (!tks_shapes_find(shapes, name, strlen(name), ".", tks_nowhere(), &shape, NULL))
        for (size_t i = 0; i < tks_shape_parameters(shape); i++)
            print_word(tks_shape_parameter(shape, i).name, "=");
    tks_shapes_free(shapes);
}
