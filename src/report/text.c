#include "report/report.h"

#include <string.h>

static const char *lead(tks_severity severity)
{
    static const char *const words[] = {"note", "doubtful", "may spoil", "CAUTION"};
    return words[severity];
}

void report_put_wrapped(base_buffer *out, const char *text, size_t indent, size_t column)
{
    enum { WIDTH = 96 };
    for (bool first = true; *text; first = false) {
        size_t word = strcspn(text, " ");
        if (!first && column + 1 + word > WIDTH) {
            base_buffer_puts(out, "\n");
            base_buffer_fill(out, ' ', indent);
            column = indent;
        } else if (!first) {
            base_buffer_puts(out, " ");
            column++;
        }
        base_buffer_add(out, text, word);
        column += word;
        text += word + (text[word] == ' ');
    }
    base_buffer_puts(out, "\n");
}

/* The next caution of a severity, at c or behind it. */
static const tks_caution *next_of(const tks_caution *c, tks_severity severity)
{
    while (c && c->severity != severity) c = c->next;
    return c;
}

/* One caution, and those right behind it that say the same of other parts. Returns the next. */
static const tks_caution *put_caution(base_buffer *out, const tks_caution *c, bool colour)
{
    enum { NAMED = 3 };
    bool grave = colour && c->severity == TKS_INJURY;
    base_buffer text = {0};
    const tks_caution *first = c;
    size_t parts = 0;
    for (; c && !strcmp(c->text, first->text); c = next_of(c->next, c->severity))
        if (c->what[0] && parts++ < NAMED)
            base_buffer_printf(&text, "%s%s", parts > 1 ? "; " : "", c->what);
    if (parts > NAMED) base_buffer_printf(&text, " and %zu more", parts - NAMED);
    if (parts) base_buffer_puts(&text, ": ");
    base_buffer_puts(&text, first->text);
    base_buffer_printf(out, "%s%s:%s ", grave ? "\033[1;31m" : "", lead(first->severity),
                       grave ? "\033[0m" : "");
    report_put_wrapped(out, text.text ? text.text : "", 2, strlen(lead(first->severity)) + 2);
    out->failed |= text.failed;
    base_buffer_free(&text);
    return c;
}

void report_put_warning(base_buffer *out, tks_severity severity, const char *text, size_t indent,
                        bool colour)
{
    bool grave = colour && severity == TKS_INJURY;
    base_buffer_fill(out, ' ', indent);
    base_buffer_printf(out, "%s%s:%s ", grave ? "\033[1;31m" : "", lead(severity),
                       grave ? "\033[0m" : "");
    report_put_wrapped(out, text, indent + 2, indent + strlen(lead(severity)) + 2);
}

void report_put_cautions(base_buffer *out, const tks_cautions *cautions, bool quiet, bool colour)
{
    int least = quiet ? TKS_INJURY : TKS_NOTE;
    for (int severity = TKS_INJURY; severity >= least; severity--)
        for (const tks_caution *c = next_of(cautions->first, (tks_severity)severity); c;)
            c = put_caution(out, c, colour);
}

void report_put_quantity(base_buffer *out, double value, tks_kind kind, tks_system units, int width)
{
    char text[64];
    tks_quantity_print(text, sizeof text, value, kind, units, 0);
    base_buffer_printf(out, "%*s", width, text);
}

report_word report_say(double value, tks_kind kind, tks_system units)
{
    report_word w;
    tks_quantity_print(w.text, sizeof w.text, value, kind, units, 0);
    return w;
}
