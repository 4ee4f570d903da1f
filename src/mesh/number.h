/* Decimal numbers in mesh files, read without the locale and without a length check: the text must
 * end in a byte that belongs to no number (a NUL behind the buffer serves). */
#ifndef MESH_NUMBER_H
#define MESH_NUMBER_H

#include <math.h>
#include <stdbool.h>
#include <stdint.h>

/* For numbers that the quick way cannot hold; see number.c. */
bool mesh_number_slow(const char **at, double *value);

static inline bool mesh_digit(char c)
{
    return (unsigned char)(c - '0') < 10;
}

/* Reads the number at *at and moves *at behind it. nan and inf in any spelling read as NaN. False,
 * with *at unmoved, when there is none. Exact (correctly rounded) when the digits make at most 2^53
 * and the decimal exponent is within 22 (Clinger, SIGPLAN Not. 25 (1990) 92); otherwise within one
 * unit in the last place. */
static inline bool mesh_number(const char **at, double *value)
{
    static const double powers[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                    1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                    1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    const char *p = *at;
    bool minus = *p == '-';
    p += minus || *p == '+';
    const char *first = p;
    uint64_t digits = 0;
    while (mesh_digit(*p)) digits = digits * 10 + (uint64_t)(*p++ - '0');
    long count = p - first, places = 0;
    if (*p == '.') {
        const char *point = ++p;
        while (mesh_digit(*p)) digits = digits * 10 + (uint64_t)(*p++ - '0');
        places = p - point;
        count += places;
    }
    if ((*p | 32) == 'e') {
        const char *q = p + 1;
        bool down = *q == '-';
        q += down || *q == '+';
        long exponent = 0;
        const char *start = q;
        while (mesh_digit(*q) && q < start + 4) exponent = exponent * 10 + (*q++ - '0');
        if (q == start || mesh_digit(*q)) return mesh_number_slow(at, value);
        places -= down ? -exponent : exponent;
        p = q;
    }
    if (count == 0 || count > 19 || digits > UINT64_C(1) << 53 || places > 22 || places < -22)
        return mesh_number_slow(at, value);
    double size = places < 0 ? (double)digits * powers[-places] : (double)digits / powers[places];
    *value = minus ? -size : size;
    *at = p;
    return true;
}

#endif
