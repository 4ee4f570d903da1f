#include "base/names.h"
#include "quantity/quantity.h"

#include <stdio.h>
#include <string.h>

enum { BASES = 6, LARGEST_EXPONENT = 100 };

typedef struct kind_row {
    const char *name, *unit;
    tks_dimension dimension;
} kind_row;

/* clang-format off */
static const kind_row kinds[] = {
#define KIND_ROW(code, name, unit, l, m, t, i, k, a) {name, unit, {l, m, t, i, k, a}},
    TKS_KIND_LIST(KIND_ROW)
#undef KIND_ROW
};
/* clang-format on */

static const kind_row *row_of(tks_kind kind)
{
    return &kinds[(unsigned)kind < TKS_KIND_COUNT ? kind : TKS_NUMBER];
}

const char *tks_kind_name(tks_kind kind)
{
    return row_of(kind)->name;
}

const char *tks_kind_unit(tks_kind kind)
{
    return row_of(kind)->unit;
}

tks_dimension tks_kind_dimension(tks_kind kind)
{
    return row_of(kind)->dimension;
}

tks_kind tks_kind_find(const char *name, size_t length)
{
    unsigned kind = 0;
    while (kind < TKS_KIND_COUNT && !base_name_is(name, length, kinds[kind].name)) kind++;
    return (tks_kind)kind;
}

bool tks_dimension_equal(tks_dimension a, tks_dimension b)
{
    return quantity_dimension_same(a, b);
}

bool quantity_dimension_add(tks_dimension a, tks_dimension b, int times, tks_dimension *out)
{
    signed char x[BASES], y[BASES];
    memcpy(x, &a, sizeof x);
    memcpy(y, &b, sizeof y);
    bool other = false;
    for (int i = 0; i < BASES; i++) {
        int sum = x[i] + times * y[i];
        if (sum > LARGEST_EXPONENT || sum < -LARGEST_EXPONENT) return false;
        x[i] = (signed char)sum;
        other |= i < BASES - 1 && sum != 0;
    }
    memcpy(out, x, sizeof x);
    if (other) out->angle = 0;
    return true;
}

static quantity_phrase describe_by_units(tks_dimension dimension)
{
    static const char *const bases[BASES] = {"m", "kg", "s", "A", "K", "rad"};
    signed char exponents[BASES];
    memcpy(exponents, &dimension, sizeof exponents);
    quantity_phrase phrase = {"a quantity in "};
    const char *times = "";
    for (int i = 0; i < BASES; i++) {
        size_t used = strlen(phrase.text);
        if (!exponents[i]) continue;
        snprintf(phrase.text + used, sizeof phrase.text - used,
                 exponents[i] == 1 ? "%s%s" : "%s%s^%d", times, bases[i], exponents[i]);
        times = "*";
    }
    return phrase;
}

quantity_phrase quantity_describe(tks_dimension dimension)
{
    quantity_phrase phrase = {"a plain number"};
    if (quantity_dimension_none(dimension)) return phrase;
    for (int i = 0; i < TKS_KIND_COUNT; i++) {
        if (!tks_dimension_equal(kinds[i].dimension, dimension)) continue;
        const char *article = strchr("aeiou", kinds[i].name[0]) ? "an" : "a";
        snprintf(phrase.text, sizeof phrase.text, "%s %s", article, kinds[i].name);
        return phrase;
    }
    return describe_by_units(dimension);
}

quantity_phrase quantity_quote(const char *text, size_t length)
{
    enum { SHOWN = 60 };
    quantity_phrase phrase = {""};
    size_t used = length < SHOWN ? length : SHOWN;
    /* Never cut inside a character. */
    while (used < length && used > 0 && ((unsigned char)text[used] & 0xC0) == 0x80) used--;
    for (size_t i = 0; i < used; i++) {
        unsigned char c = (unsigned char)text[i];
        phrase.text[i] = (char)(c == '\t' || c == '\n' || c == '\r' ? ' '
                                : c < 0x20 || c == 0x7F             ? '?'
                                                                    : c);
    }
    if (used < length) memcpy(phrase.text + used, "...", 4);
    return phrase;
}

tks_place quantity_place(tks_place place, const char *text, size_t offset)
{
    if (place.column <= 0) return place;
    for (size_t i = 0; i < offset; i++)
        if (((unsigned char)text[i] & 0xC0) != 0x80) place.column++;
    return place;
}
