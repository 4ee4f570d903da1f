/* tankside explain: what a bad deposit tells. */
#include "cli/bath_options.h"
#include "cli/loading.h"
#include "cli/tank_options.h"
#include "report/report.h"

#include "tankside/explain.h"

#include <stdio.h>
#include <string.h>

extern const cli_command command_explain;

static int list_symptoms(const cli_call *call)
{
    base_buffer out = {0};
    base_buffer_puts(&out, call->json ? "{\"symptoms\":[" : "");
    for (size_t i = 0; tks_symptom_at(i); i++) {
        if (call->json) {
            base_buffer_puts(&out, i ? "," : "");
            report_put_json_text(&out, tks_symptom_at(i));
        } else {
            base_buffer_printf(&out, "  %s\n", tks_symptom_at(i));
        }
    }
    base_buffer_puts(&out, call->json ? "]}\n" : "");
    return cli_print(&out);
}

static void put_cause(base_buffer *out, const tks_cause *c, size_t number)
{
    base_buffer_printf(out, "%2zu. ", number);
    report_put_wrapped(out, c->cause, 4, 4);
    if (c->in_load) {
        base_buffer_puts(out, "      here: ");
        report_put_wrapped(out, c->shown, 12, 12);
    }
    base_buffer_puts(out, "      look: ");
    report_put_wrapped(out, c->check, 12, 12);
    base_buffer_puts(out, "      then: ");
    report_put_wrapped(out, c->cure, 12, 12);
}

static void put_causes_json(base_buffer *out, const char *symptom, const tks_cause *causes,
                            size_t count)
{
    base_buffer_puts(out, "{\"symptom\":");
    report_put_json_text(out, symptom);
    base_buffer_puts(out, ",\"causes\":[");
    for (size_t i = 0; i < count; i++) {
        base_buffer_puts(out, i ? ",{\"cause\":" : "{\"cause\":");
        report_put_json_text(out, causes[i].cause);
        base_buffer_puts(out, ",\"check\":");
        report_put_json_text(out, causes[i].check);
        base_buffer_puts(out, ",\"cure\":");
        report_put_json_text(out, causes[i].cure);
        base_buffer_printf(out, ",\"in_load\":%s", causes[i].in_load ? "true" : "false");
        report_put_json_field(out, true, "ratio", causes[i].reason);
        base_buffer_puts(out, "}");
    }
    base_buffer_puts(out, "]}\n");
}

static int explain(const cli_call *call, const tks_facts *facts)
{
    tks_cause causes[TKS_MOST_CAUSES];
    size_t count = 0;
    tks_error err = {0};
    base_buffer out = {0};
    const char *symptom = call->words[0];
    if (tks_explain(symptom, strlen(symptom), facts, causes, &count, &err))
        return cli_fail(&err, NULL);
    if (call->json) {
        put_causes_json(&out, symptom, causes, count);
    } else {
        for (size_t i = 0; i < count; i++) put_cause(&out, &causes[i], i + 1);
    }
    return cli_print(&out);
}

/* The words behind the symptom are a load, as plan reads it. */
static int explain_load(const cli_call *call)
{
    cli_call behind = *call;
    cli_loaded loaded;
    int code = CLI_OK;
    behind.words++;
    behind.word_count--;
    if (cli_load(&behind, CLI_SIZES, &loaded, &code)) {
        tks_error err = {0};
        tks_reader *reader = NULL;
        tks_tank tank;
        tks_plan plan;
        tks_status status = cli_option_asked(&behind, &loaded.load, &err);
        if (!status) status = cli_option_tank(&behind, &loaded, &tank, &reader, &err);
        if (!status)
            status =
                tks_plan_make(loaded.arena, &loaded.load, &tank, &loaded.cautions, &plan, &err);
        tks_facts facts = status ? tks_facts_none() : tks_facts_of(&plan);
        code = status ? cli_fail(&err, reader) : explain(call, &facts);
        tks_reader_close(reader);
    }
    cli_loaded_free(&loaded);
    return code;
}

static int run_explain(const cli_call *call)
{
    tks_facts none = tks_facts_none();
    if (!call->word_count) return list_symptoms(call);
    return call->word_count == 1 ? explain(call, &none) : explain_load(call);
}

static const cli_option options[] = {
    CLI_TANK_OPTIONS,
    CLI_BATH_OPTION,
    CLI_EFFICIENCY_OPTION,
    {NULL, NULL, NULL},
};

const cli_command command_explain = {
    .name = "explain",
    .about = "what a bad deposit tells, and what to look at first",
    .usage = "[SYMPTOM [FILE... | SHAPE name=value ...]]",
    .details = "Without a word it lists the symptoms. With a load behind the symptom, causes\n"
               "that the load as planned shows come first, and those that it rules out last.",
    .example = "  tankside explain dull\n"
               "  tankside explain bare-patches tube outside=22mm wall=1.5mm length=180mm",
    .options = options,
    .run = run_explain,
};
