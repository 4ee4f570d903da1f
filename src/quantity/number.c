/* Decimal numbers to doubles, correctly rounded, whatever the locale. */
#include "quantity/quantity.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

enum { MOST_DIGITS = 400, EXACT_POWER = 22, LARGEST_POWER = 99999 };

typedef struct decimal {
    uint64_t mantissa; /* of the first 19 significant digits */
    int power;         /* of ten, behind the mantissa */
    bool whole;        /* all digits are in the mantissa */
    size_t digits;     /* digits and point; the exponent follows */
} decimal;

static bool digit_at(const char *text, size_t length, size_t i)
{
    return i < length && (unsigned char)(text[i] - '0') <= 9;
}

/* The exponent `e-3` at i, if one stands there; it moves i on. `8 e` is left to be a word. */
static int exponent(const char *text, size_t length, size_t *i)
{
    size_t at = *i;
    if (at >= length || (text[at] | 0x20) != 'e') return 0;
    bool negative = ++at < length && text[at] == '-';
    if (negative || (at < length && text[at] == '+')) at++;
    if (!digit_at(text, length, at)) return 0;
    int value = 0;
    for (; digit_at(text, length, at); at++)
        if (value < LARGEST_POWER) value = value * 10 + (text[at] - '0');
    *i = at;
    return negative ? -value : value;
}

static decimal scan_digits(const char *text, size_t length)
{
    decimal d = {0, 0, true, 0};
    bool point = false, any = false;
    size_t i = 0;
    for (; i < length; i++) {
        if (text[i] == '.' && !point) {
            point = true;
            continue;
        }
        if (!digit_at(text, length, i)) break;
        any = true;
        if (d.mantissa < 1000000000000000000u) {
            d.mantissa = d.mantissa * 10 + (uint64_t)(text[i] - '0');
            d.power -= point;
        } else {
            d.whole = false;
            d.power += !point;
        }
    }
    d.digits = any ? i : 0;
    return d;
}

/* The rare long or extreme number: strtod on the digits without their point, because the point is
 * the only part of a number that depends on the locale. */
static double slow_number(const char *text, size_t digits, int power)
{
    char plain[MOST_DIGITS + 16];
    size_t used = 0;
    bool point = false;
    for (size_t i = 0; i < digits; i++) {
        if (text[i] == '.') {
            point = true;
            continue;
        }
        power -= point;
        if (used == 0 && text[i] == '0') continue;
        if (used == MOST_DIGITS) return NAN;
        plain[used++] = text[i];
    }
    if (used == 0) return 0;
    unsigned left = (unsigned)(power < 0 ? -power : power);
    char reversed[12];
    size_t n = 0;
    do reversed[n++] = (char)('0' + left % 10);
    while ((left /= 10) > 0);
    plain[used++] = 'e';
    if (power < 0) plain[used++] = '-';
    while (n > 0) plain[used++] = reversed[--n];
    plain[used] = '\0';
    return strtod(plain, NULL);
}

size_t quantity_number_scan(const char *text, size_t length, double *number)
{
    static const double powers[EXACT_POWER + 1] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                   1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                                   1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    decimal d = scan_digits(text, length);
    size_t end = d.digits;
    if (!end) return 0;
    int written = exponent(text, length, &end);
    int power = d.power + written;
    /* Whole number and power of ten are both exact doubles, so one rounding is all there is
     * (W. D. Clinger, Proc. ACM PLDI 1990, 92-101). */
    if (d.whole && d.mantissa <= (1ull << 53) && power >= -EXACT_POWER && power <= EXACT_POWER) {
        double whole = (double)d.mantissa;
        *number = power < 0 ? whole / powers[-power] : whole * powers[power];
    } else {
        *number = slow_number(text, d.digits, written);
    }
    return end;
}
