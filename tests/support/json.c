#include "support/json.h"

#include <stddef.h>
#include <string.h>

enum { DEEPEST = 100 };

/* Each gives the place behind what it read, or NULL. */
static const char *value(const char *at, int depth);

static const char *space(const char *at)
{
    return at ? at + strspn(at, " \t\r\n") : NULL;
}

static const char *digits(const char *at)
{
    size_t count = at ? strspn(at, "0123456789") : 0;
    return count ? at + count : NULL;
}

static const char *number(const char *at)
{
    if (*at == '-') at++;
    at = *at == '0' ? at + 1 : digits(at);
    if (at && *at == '.') at = digits(at + 1);
    if (at && (*at == 'e' || *at == 'E')) {
        at++;
        if (*at == '+' || *at == '-') at++;
        at = digits(at);
    }
    return at;
}

static const char *string(const char *at)
{
    if (*at++ != '"') return NULL;
    for (; *at != '"'; at++) {
        if ((unsigned char)*at < 0x20) return NULL;
        if (*at != '\\') continue;
        at++;
        if (*at == 'u' && strspn(at + 1, "0123456789abcdefABCDEF") < 4) return NULL;
        if (!*at || !strchr("\"\\/bfnrtu", *at)) return NULL;
    }
    return at + 1;
}

static const char *member(const char *at, int depth)
{
    at = space(string(at));
    return at && *at == ':' ? value(space(at + 1), depth) : NULL;
}

/* From the opening bracket to behind the closing one. */
static const char *list(const char *at, int depth, char end,
                        const char *(*item)(const char *at, int depth))
{
    at = space(at + 1);
    if (*at == end) return at + 1;
    for (;;) {
        at = space(item(at, depth));
        if (!at || *at == end) return at ? at + 1 : NULL;
        if (*at != ',') return NULL;
        at = space(at + 1);
    }
}

static const char *value(const char *at, int depth)
{
    static const char *const words[] = {"true", "false", "null"};
    if (depth > DEEPEST) return NULL;
    if (*at == '{') return list(at, depth + 1, '}', member);
    if (*at == '[') return list(at, depth + 1, ']', value);
    if (*at == '"') return string(at);
    for (int i = 0; i < 3; i++)
        if (!strncmp(at, words[i], strlen(words[i]))) return at + strlen(words[i]);
    return number(at);
}

bool json_is_value(const char *text)
{
    const char *end = space(value(space(text), 0));
    return end && !*end;
}

bool json_are_values(const char *text)
{
    const char *at = space(text);
    do at = space(value(at, 0));
    while (at && *at);
    return at != NULL;
}
