#include "tankside/caution.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

tks_cautions tks_cautions_new(tks_arena *arena)
{
    return (tks_cautions){arena, NULL, NULL, 0};
}

const char *tks_severity_name(tks_severity severity)
{
    static const char *const names[] = {"note", "doubt", "spoil", "injury"};
    return names[severity];
}

static bool stands_already(const tks_cautions *list, const char *code, const char *what,
                           const char *text)
{
    for (const tks_caution *c = list->first; c; c = c->next)
        if (!strcmp(c->code, code) && !strcmp(c->what, what) && !strcmp(c->text, text)) return true;
    return false;
}

tks_status tks_caution_add(tks_cautions *list, tks_severity severity, const char *code,
                           const char *what, const char *format, ...)
{
    char text[512];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    if (stands_already(list, code, what, text)) return TKS_OK;
    tks_caution *c = tks_arena_take(list->arena, 1, sizeof *c);
    char *kept_what = tks_arena_text(list->arena, what, strlen(what));
    char *kept_text = tks_arena_text(list->arena, text, strlen(text));
    if (!c || !kept_what || !kept_text) return TKS_EMEMORY;
    *c = (tks_caution){code, kept_what, kept_text, severity, NULL};
    if (list->last)
        list->last->next = c;
    else
        list->first = c;
    list->last = c;
    list->count++;
    return TKS_OK;
}
