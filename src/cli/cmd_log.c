/* tankside log: what runs really deposited, and what efficiency that makes. */
#include "cli/bath_options.h"
#include "report/setting.h"

#include "tankside/bench_log.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

extern const cli_command command_log;

/* What was measured; 0 where it was not given. */
typedef struct measured {
    double charge, current, time; /* the charge, or current and time */
    double metal, before, after;  /* the deposit, or two weighings */
    double thickness, area;       /* or a thickness over an area */
} measured;

static tks_status read_measured(const cli_call *call, measured *m, tks_error *err)
{
    const struct {
        const char *name;
        tks_kind kind;
        double *value;
    } rows[] = {
        {"charge", TKS_CHARGE, &m->charge},
        {"current", TKS_CURRENT, &m->current},
        {"time", TKS_TIME, &m->time},
        {"metal", TKS_MASS, &m->metal},
        {"before", TKS_MASS, &m->before},
        {"after", TKS_MASS, &m->after},
        {"thickness", TKS_LENGTH, &m->thickness},
        {"area", TKS_AREA, &m->area},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tks_status status =
            cli_option_quantity(call, rows[i].name, rows[i].kind, rows[i].value, err);
        if (status) return status;
    }
    return TKS_OK;
}

static bool anything_measured(const measured *m)
{
    double all =
        m->charge + m->current + m->time + m->metal + m->before + m->after + m->thickness + m->area;
    return all != 0;
}

static tks_status make_entry(const measured *m, const tks_bath *bath, tks_bench_entry *entry,
                             tks_error *err)
{
    entry->bath = bath->name;
    entry->charge = m->charge > 0 ? m->charge : m->current * m->time;
    entry->metal = m->metal;
    if (m->before > 0 && m->after > 0) entry->metal = m->after - m->before;
    if (m->thickness > 0 && m->area > 0)
        entry->metal = m->thickness * m->area * bath->metal->density;
    if (entry->charge == 0)
        return tks_fail(err, TKS_EUSAGE, tks_nowhere(),
                        "give --charge, or --current and --time, of the run");
    if (entry->metal == 0)
        return tks_fail(err, TKS_EUSAGE, tks_nowhere(),
                        "give --metal, or --before and --after, or --thickness and --area");
    return TKS_OK;
}

static tks_status add_run(const cli_call *call, const measured *m, const tks_bath *bath,
                          tks_error *err)
{
    char today[32] = "";
    time_t now = time(NULL);
    struct tm local;
    if (localtime_r(&now, &local)) strftime(today, sizeof today, "%Y-%m-%d", &local);
    const char *date = cli_option_value(call, "date");
    tks_bench_entry entry = {.date = date ? date : today};
    tks_status status = make_entry(m, bath, &entry, err);
    return status ? status : tks_bench_log_append(call->words[0], &entry, bath->metal, err);
}

static void put_text(base_buffer *out, const tks_bench_summary *s, const tks_bath *bath)
{
    char value[64], remark[128];
    snprintf(value, sizeof value, "%zu", s->runs);
    report_put_line(out, "bath", bath->name, "");
    report_put_line(out, "runs", value, "");
    if (!s->runs) return;
    snprintf(value, sizeof value, "%.3g %%", 100 * s->mean);
    snprintf(remark, sizeof remark, "%.3g to %.3g %%, spread %.1f %%", 100 * s->least,
             100 * s->most, 100 * s->spread);
    report_put_line(out, "efficiency", value, s->runs > 1 ? remark : "");
    if (s->runs < TKS_BENCH_RUNS_ENOUGH)
        base_buffer_printf(out, "plans use it from %d runs on\n", TKS_BENCH_RUNS_ENOUGH);
    else
        base_buffer_puts(out, "plans use it when the tank's file says `bench log:`\n");
}

static void put_json(base_buffer *out, const tks_bench_summary *s, const tks_bath *bath)
{
    base_buffer_puts(out, "{\"bath\":");
    report_put_json_text(out, bath->name);
    base_buffer_printf(out, ",\"runs\":%zu", s->runs);
    report_put_json_field(out, true, "efficiency", s->mean);
    report_put_json_field(out, true, "spread", s->spread);
    report_put_json_field(out, true, "least", s->least);
    report_put_json_field(out, true, "most", s->most);
    base_buffer_puts(out, "}\n");
}

static int run_log(const cli_call *call)
{
    tks_error err = {0};
    measured m = {0};
    tks_bath bath;
    tks_bench_log log = {NULL, 0};
    tks_arena *arena = tks_arena_new();
    tks_status status = TKS_OK;
    if (!arena) status = tks_fail(&err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    if (!status && call->word_count != 1)
        status = tks_fail(&err, TKS_EUSAGE, tks_nowhere(), "log wants one file, your bench log");
    if (!status) status = cli_option_bath(call, tks_bath_default(), &bath, &err);
    if (!status) status = read_measured(call, &m, &err);
    if (!status && anything_measured(&m)) status = add_run(call, &m, &bath, &err);
    if (!status) status = tks_bench_log_read(arena, call->words[0], &log, &err);
    int code = CLI_OK;
    if (status) {
        code = cli_fail(&err, NULL);
    } else {
        base_buffer out = {0};
        tks_bench_summary s = tks_bench_log_summarise(&log, &bath);
        (call->json ? put_json : put_text)(&out, &s, &bath);
        code = cli_print(&out);
    }
    tks_arena_free(arena);
    return code;
}

static const cli_option options[] = {
    {"charge", "Q", "passed in the run, e.g. 3.08Ah"},
    {"current", "I", "or the current, with --time"},
    {"time", "T", "in the tank"},
    {"metal", "M", "deposited"},
    {"before", "M", "or what the parts weighed before, with --after"},
    {"after", "M", "plating, dry"},
    {"thickness", "T", "or the mean thickness measured, with --area"},
    {"area", "A", "wetted"},
    {"date", "D", "of the run (default today)"},
    CLI_BATH_OPTION,
    {NULL, NULL, NULL},
};

const cli_command command_log = {
    .name = "log",
    .about = "keep what runs really deposited, and learn the bath's efficiency",
    .usage = "FILE",
    .details = "Adds a run to the bench log, when one is measured, and tells what the log says\n"
               "of the bath. To add one: --charge 3.08Ah --before 812.4g --after 815.9g\n"
               "The log is a plain file of yours, one run a line. Plans use the efficiency\n"
               "measured when the tank's file names the log (bench log: my-log.yaml).",
    .example = "  tankside log my-log.yaml",
    .options = options,
    .run = run_log,
};
