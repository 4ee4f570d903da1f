#include "tankside/caution.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

tks_cautions tks_cautions_new(tks_arena *arena)
{
    return (tks_cautions){arena, NULL, NULL, 0, NULL};
}

const char *tks_severity_name(tks_severity severity)
{
    static const char *const names[] = {"note", "doubt", "spoil", "injury"};
    return names[severity];
}

/* Enough that 100,000 parts with a caution each are looked up quickly. */
enum { BUCKETS = 1024 };

/* FNV-1a, public domain. */
static uint32_t mix(uint32_t hash, const char *text)
{
    for (; *text; text++) hash = (hash ^ (unsigned char)*text) * 16777619u;
    return hash;
}

static bool stands_already(const tks_caution *c, const char *code, const char *what,
                           const char *text)
{
    for (; c; c = c->bucket_next)
        if (!strcmp(c->code, code) && !strcmp(c->what, what) && !strcmp(c->text, text)) return true;
    return false;
}

/* The bucket that a caution belongs to; NULL when memory is short. */
static tks_caution **bucket_of(tks_cautions *list, const char *code, const char *what,
                               const char *text)
{
    if (!list->buckets) list->buckets = tks_arena_take(list->arena, BUCKETS, sizeof(tks_caution *));
    uint32_t hash = mix(mix(mix(2166136261u, code), what), text);
    return list->buckets ? &list->buckets[hash % BUCKETS] : NULL;
}

static void append(tks_cautions *list, tks_caution *c)
{
    if (list->last)
        list->last->next = c;
    else
        list->first = c;
    list->last = c;
    list->count++;
}

tks_status tks_caution_add(tks_cautions *list, tks_severity severity, const char *code,
                           const char *what, const char *format, ...)
{
    char text[512];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    tks_caution **bucket = bucket_of(list, code, what, text);
    if (!bucket) return TKS_EMEMORY;
    if (stands_already(*bucket, code, what, text)) return TKS_OK;
    tks_caution *c = tks_arena_take(list->arena, 1, sizeof *c);
    char *kept_what = tks_arena_text(list->arena, what, strlen(what));
    char *kept_text = tks_arena_text(list->arena, text, strlen(text));
    if (!c || !kept_what || !kept_text) return TKS_EMEMORY;
    *c = (tks_caution){code, kept_what, kept_text, severity, NULL, *bucket};
    *bucket = c;
    append(list, c);
    return TKS_OK;
}
