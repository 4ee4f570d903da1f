#include "mesh/number.h"

#include <strings.h>

/* Reads `e-12` if it stands at p; the exponent is held within +-100000. */
static const char *read_exponent(const char *p, long *exponent)
{
    if ((*p | 32) != 'e') return p;
    const char *q = p + 1;
    bool minus = *q == '-';
    q += minus || *q == '+';
    if (!mesh_digit(*q)) return p;
    long value = 0;
    for (; mesh_digit(*q); q++)
        if (value < 100000) value = value * 10 + (*q - '0');
    *exponent += minus ? -value : value;
    return q;
}

/* The first 19 significant digits, and the power of ten that belongs to them. */
static const char *read_digits(const char *p, uint64_t *digits, long *exponent, long *count)
{
    bool point = false;
    for (;; p++) {
        if (*p == '.' && !point) {
            point = true;
        } else if (!mesh_digit(*p)) {
            return p;
        } else {
            ++*count;
            bool room = *digits < UINT64_C(1000000000000000000);
            if (room) *digits = *digits * 10 + (uint64_t)(*p - '0');
            *exponent += (point ? -1 : 0) + (room ? 0 : 1);
        }
    }
}

static long double power_of_ten(long n)
{
    long double power = 1, square = 10;
    for (; n; n >>= 1, square *= square)
        if (n & 1) power *= square;
    return power;
}

static double scaled(uint64_t digits, long exponent)
{
    if (!digits || exponent < -400) return 0;
    if (exponent > 400) return INFINITY;
    long double size = (long double)digits;
    return (double)(exponent < 0 ? size / power_of_ten(-exponent) : size * power_of_ten(exponent));
}

static bool read_not_finite(const char *p, const char **end)
{
    static const char *const words[] = {"infinity", "inf", "nan"};
    static const int lengths[] = {8, 3, 3};
    for (int i = 0; i < 3; i++)
        if (!strncasecmp(p, words[i], (size_t)lengths[i])) {
            *end = p + lengths[i];
            return true;
        }
    return false;
}

bool mesh_number_slow(const char **at, double *value)
{
    const char *p = *at;
    bool minus = *p == '-';
    p += minus || *p == '+';
    if (read_not_finite(p, at)) {
        *value = NAN;
        return true;
    }
    uint64_t digits = 0;
    long exponent = 0, count = 0;
    p = read_digits(p, &digits, &exponent, &count);
    if (!count) return false;
    p = read_exponent(p, &exponent);
    double size = scaled(digits, exponent);
    *value = minus ? -size : size;
    *at = p;
    return true;
}
