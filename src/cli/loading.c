#include "cli/loading.h"

#include "cli/progress.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

static void show_progress(void *context, const char *part, double fraction)
{
    (void)context;
    cli_progress(part, fraction);
}

/* --tolerance, of the commands that have it. */
static tks_status read_tolerance(const cli_call *call, double *tolerance, tks_error *err)
{
    tks_status status = cli_option_quantity(call, "tolerance", TKS_NUMBER, tolerance, err);
    if (status || !cli_option_value(call, "tolerance") || (*tolerance >= 1e-12 && *tolerance < 1))
        return status;
    return tks_fail(err, TKS_EUSAGE, tks_nowhere(),
                    "--tolerance is relative, from 1e-12 to below 1");
}

static tks_status start(cli_loaded *l, cli_need need, tks_error *err)
{
    *l = (cli_loaded){.arena = tks_arena_new(), .scratch = tks_arena_new()};
    if (!l->arena || !l->scratch) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    l->cautions = tks_cautions_new(l->arena);
    tks_status status = tks_shapes_new(&l->shapes, err);
    l->reading = (tks_part_reading){.shapes = l->shapes,
                                    .arena = l->arena,
                                    .scratch = l->scratch,
                                    .cautions = &l->cautions,
                                    .keep_bodies = need == CLI_BODIES,
                                    .sizes = need != CLI_AREAS,
                                    .threads = 2,
                                    .progress = show_progress};
    return status;
}

/* A word is a file when it is "-", has a slash or a dot, or is there; otherwise the name of a
 * shape. */
static bool is_file(const char *word)
{
    return !strcmp(word, "-") || strpbrk(word, "/.") || access(word, F_OK) == 0;
}

/* A value as YAML takes it: `#10-32` is a thread and no comment. */
static void write_value(const char *value, base_buffer *text)
{
    const char *quote = value[0] == '#' && !strchr(value, '\'') ? "'" : "";
    base_buffer_printf(text, "%s%s%s\n", quote, value, quote);
}

/* `tube outside=22mm wall=1.5mm` becomes the lines of a part file, and is read as one: so values
 * are written the same in both places, and an error points at the word. */
static void write_shape(const cli_call *call, base_buffer *text)
{
    base_buffer_printf(text, "shape: %s\n", call->words[0]);
    for (size_t i = 1; i < call->word_count; i++) {
        const char *equals = strchr(call->words[i], '=');
        size_t length = equals ? (size_t)(equals - call->words[i]) : 0;
        base_buffer_add(text, call->words[i], length);
        base_buffer_puts(text, ": ");
        write_value(equals ? equals + 1 : "", text);
    }
}

static tks_status check_words(const cli_call *call, tks_error *err)
{
    for (size_t i = 1; i < call->word_count; i++)
        if (!strchr(call->words[i], '='))
            return tks_fail(
                err, TKS_EUSAGE, tks_nowhere(),
                "'%.60s' is neither parameter=value nor a file; '%.40s' is taken for a shape",
                call->words[i], call->words[0]);
    return TKS_OK;
}

static tks_status load_shape(const cli_call *call, cli_loaded *l, base_buffer *text,
                             tks_reader **reader, tks_error *err)
{
    const tks_node *root = NULL;
    tks_status status = check_words(call, err);
    if (status) return status;
    write_shape(call, text);
    if (text->failed) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    status = tks_reader_memory(CLI_WORDS, text->text, text->length, NULL, reader, err);
    if (!status) status = tks_reader_next(*reader, l->arena, &root, err);
    if (!status) status = tks_load_read(&l->reading, root, CLI_WORDS, &l->load, err);
    return status;
}

bool cli_load(const cli_call *call, cli_need need, cli_loaded *loaded, int *code)
{
    tks_error err = {0};
    tks_reader *reader = NULL;
    base_buffer text = {0};
    tks_status status = start(loaded, need, &err);
    if (!status) status = read_tolerance(call, &loaded->reading.tolerance, &err);
    if (!status && !call->word_count)
        status = tks_fail(&err, TKS_EUSAGE, tks_nowhere(),
                          "no file is named; see tankside %s --help", call->command->name);
    if (!status && !is_file(call->words[0]))
        status = load_shape(call, loaded, &text, &reader, &err);
    else
        for (size_t i = 0; i < call->word_count && !status; i++)
            status = tks_load_open(&loaded->reading, call->words[i], &loaded->load, &reader, &err);
    cli_progress_end();
    if (status) *code = cli_fail(&err, reader);
    tks_reader_close(reader);
    base_buffer_free(&text);
    return !status;
}

void cli_loaded_free(cli_loaded *loaded)
{
    tks_shapes_free(loaded->shapes);
    tks_arena_free(loaded->scratch);
    tks_arena_free(loaded->arena);
}
