#include "cli/options.h"

#include "base/names.h"

#include <string.h>

const cli_option cli_common_options[] = {
    {"json", NULL, "print JSON for machines, SI units in every key"},
    {"units", "metric|inch", "units of the printed text (default metric)"},
    {"quiet", NULL, "leave out cautions, but never those about injury"},
    {"help", NULL, "print this help"},
    {NULL, NULL, NULL},
};

static const cli_option *find_option(const cli_option *rows, const char *name, size_t length)
{
    for (; rows && rows->name; rows++)
        if (base_name_is(name, length, rows->name)) return rows;
    return NULL;
}

static const char *nearest_option(const cli_command *command, const char *name, size_t length)
{
    const char *names[CLI_MOST_OPTIONS + 8];
    size_t count = 0;
    for (const cli_option *o = command->options; o && o->name; o++) names[count++] = o->name;
    for (const cli_option *o = cli_common_options; o->name; o++) names[count++] = o->name;
    return base_name_nearest_of(name, length, names, count);
}

static tks_status unknown_option(const cli_command *command, const char *name, size_t length,
                                 tks_error *err)
{
    const char *near = nearest_option(command, name, length);
    return tks_fail(err, TKS_EUSAGE, tks_nowhere(),
                    "'%s' has no option --%.*s%s%s%s; see tankside %s --help", command->name,
                    (int)(length < 40 ? length : 40), name, near ? " (did you mean --" : "",
                    near ? near : "", near ? "?)" : "", command->name);
}

static tks_status set_units(cli_call *call, const char *value, tks_error *err)
{
    if (!strcmp(value, "metric"))
        call->units = TKS_METRIC;
    else if (!strcmp(value, "inch"))
        call->units = TKS_INCH;
    else
        return tks_fail(err, TKS_EUSAGE, tks_nowhere(), "--units is '%.40s'; write metric or inch",
                        value);
    return TKS_OK;
}

static tks_status set_common(cli_call *call, const cli_option *option, const char *value,
                             bool *help, tks_error *err)
{
    if (!strcmp(option->name, "json")) call->json = true;
    if (!strcmp(option->name, "quiet")) call->quiet = true;
    if (!strcmp(option->name, "help")) *help = true;
    return !strcmp(option->name, "units") ? set_units(call, value, err) : TKS_OK;
}

/* One option at words[*i]; its value may be the next word, and then *i moves on. */
static tks_status parse_option(cli_call *call, int count, const char **words, int *i, bool *help,
                               tks_error *err)
{
    const char *name = words[*i] + 2;
    const char *equals = strchr(name, '=');
    size_t length = equals ? (size_t)(equals - name) : strlen(name);
    const cli_option *own = find_option(call->command->options, name, length);
    const cli_option *option = own ? own : find_option(cli_common_options, name, length);
    if (!option) return unknown_option(call->command, name, length, err);
    const char *value = equals ? equals + 1 : "";
    if (!option->value && equals)
        return tks_fail(err, TKS_EUSAGE, tks_nowhere(), "--%s takes no value", option->name);
    if (option->value && !equals) {
        if (*i + 1 >= count)
            return tks_fail(err, TKS_EUSAGE, tks_nowhere(), "--%s needs a value: --%s %s",
                            option->name, option->name, option->value);
        value = words[++*i];
    }
    if (!own) return set_common(call, option, value, help, err);
    call->values[own - call->command->options] = value;
    return TKS_OK;
}

tks_status cli_parse(const cli_command *command, int count, const char **words, cli_call *call,
                     bool *help, tks_error *err)
{
    *call = (cli_call){.command = command, .words = words};
    bool options_end = false;
    for (int i = 0; i < count; i++) {
        if (!options_end && !strcmp(words[i], "--")) {
            options_end = true;
        } else if (!options_end && !strncmp(words[i], "--", 2)) {
            tks_status status = parse_option(call, count, words, &i, help, err);
            if (status) return status;
        } else if (!options_end && words[i][0] == '-' && words[i][1]) {
            return tks_fail(
                err, TKS_EUSAGE, tks_nowhere(),
                "'%.40s' is no option; options begin with two dashes; see tankside %s --help",
                words[i], command->name);
        } else {
            words[call->word_count++] = words[i];
        }
    }
    return TKS_OK;
}

const char *cli_option_value(const cli_call *call, const char *name)
{
    const cli_option *option = find_option(call->command->options, name, strlen(name));
    return option ? call->values[option - call->command->options] : NULL;
}

tks_status cli_option_quantity(const cli_call *call, const char *name, tks_kind kind, double *value,
                               tks_error *err)
{
    const char *text = cli_option_value(call, name);
    if (!text) return TKS_OK;
    tks_error inner = {0};
    tks_status status = tks_quantity_read(text, strlen(text), kind, tks_nowhere(), value, &inner);
    if (status) return tks_fail(err, TKS_EUSAGE, tks_nowhere(), "--%s: %s", name, inner.text);
    return TKS_OK;
}
