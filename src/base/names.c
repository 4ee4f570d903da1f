#include "base/names.h"

#include <string.h>

enum { LONGEST = 63 };

/* Space, '-' and '_' become a space, capitals small letters; all else stays as it is. */
static inline int folded(char c)
{
    if (c >= 'a' && c <= 'z') return c;
    if (c == '-' || c == '_') return ' ';
    return c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c;
}

bool base_name_same(const char *text, size_t length, const char *name)
{
    for (size_t i = 0; i < length; i++)
        if (!name[i] || (text[i] != name[i] && folded(text[i]) != folded(name[i]))) return false;
    return name[length] == '\0';
}

int base_name_order(const char *a, const char *b, size_t length)
{
    for (size_t i = 0; i < length; i++)
        if (folded(a[i]) != folded(b[i])) return folded(a[i]) < folded(b[i]) ? -1 : 1;
    return 0;
}

uint64_t base_name_hash(const char *text, size_t length)
{
    uint64_t hash = 14695981039346656037u;
    for (size_t i = 0; i < length; i++)
        hash = (hash ^ (unsigned char)folded(text[i])) * 1099511628211u;
    return hash;
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

int base_name_distance(const char *a, size_t a_length, const char *b)
{
    size_t n = a_length < LONGEST ? a_length : LONGEST;
    size_t m = strnlen(b, LONGEST);
    int rows[3][LONGEST + 1];
    int *before = rows[0], *last = rows[1], *now = rows[2];
    for (size_t j = 0; j <= m; j++) last[j] = before[j] = (int)j;
    for (size_t i = 1; i <= n; i++) {
        now[0] = (int)i;
        for (size_t j = 1; j <= m; j++) {
            int differ = folded(a[i - 1]) != folded(b[j - 1]);
            now[j] = least(least(last[j] + 1, now[j - 1] + 1), last[j - 1] + differ);
            bool swapped = i > 1 && j > 1 && folded(a[i - 1]) == folded(b[j - 2]) &&
                           folded(a[i - 2]) == folded(b[j - 1]);
            if (swapped) now[j] = least(now[j], before[j - 2] + 1);
        }
        int *spare = before;
        before = last;
        last = now;
        now = spare;
    }
    return last[m];
}

const char *base_name_nearest(const char *text, size_t length, size_t count,
                              const char *(*name)(const void *context, size_t i),
                              const void *context)
{
    const char *best = NULL;
    int best_distance = (int)(length < LONGEST ? length : LONGEST) / 3 + 2;
    for (size_t i = 0; i < count; i++) {
        const char *candidate = name(context, i);
        int distance = base_name_distance(text, length, candidate);
        if (distance >= best_distance || distance >= (int)strlen(candidate)) continue;
        best = candidate;
        best_distance = distance;
    }
    return best;
}

static const char *name_in_array(const void *context, size_t i)
{
    return ((const char *const *)context)[i];
}

const char *base_name_nearest_of(const char *text, size_t length, const char *const *names,
                                 size_t count)
{
    return base_name_nearest(text, length, count, name_in_array, names);
}
