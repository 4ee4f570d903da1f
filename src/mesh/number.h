/* Decimal numbers in mesh files, read without the locale and without a length check: the text must
 * end in a byte that belongs to no number (a NUL behind the buffer serves), and eight more bytes
 * behind that must be readable, whatever they are. */
#ifndef MESH_NUMBER_H
#define MESH_NUMBER_H

#include <endian.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* For numbers that the quick way cannot hold; see number.c. */
bool mesh_number_slow(const char **at, double *value);

static inline bool mesh_digit(char c)
{
    return (unsigned char)(c - '0') < 10;
}

/* Whether four digits stand at p; then *value gets them appended. In each byte of a digit the sum
 * leaves the top bit clear; a carry can only come from a byte that has it set. */
static inline bool mesh_four_digits(const char *p, uint64_t *value)
{
    uint32_t digits;
    memcpy(&digits, p, sizeof digits);
    digits = le32toh(digits) ^ 0x30303030;
    if (((digits + 0x76767676) | digits) & 0x80808080) return false;
    digits = digits * 10 + (digits >> 8);
    *value = *value * 10000 + (digits & 255) * 100 + (digits >> 16 & 255);
    return true;
}

/* The same for two and for one. */
static inline bool mesh_two_digits(const char *p, uint64_t *value)
{
    unsigned first = (unsigned char)p[0] - '0', second = (unsigned char)p[1] - '0';
    if (first > 9 || second > 9) return false;
    *value = *value * 100 + first * 10 + second;
    return true;
}

static inline bool mesh_one_digit(const char *p, uint64_t *value)
{
    if (!mesh_digit(*p)) return false;
    *value = *value * 10 + (uint64_t)(*p - '0');
    return true;
}

/* Appends the digits at p to *value, modulo 2^64; gives the place behind them. (Eight at once, the
 * place found from their bits, is slower: what comes next would wait for it, while the branches
 * here are foretold.) */
static inline const char *mesh_digits(const char *p, uint64_t *value)
{
    while (mesh_four_digits(p, value)) p += 4;
    if (mesh_two_digits(p, value)) p += 2;
    if (mesh_one_digit(p, value)) p++;
    return p;
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
    p = mesh_digits(p, &digits);
    long count = p - first, places = 0;
    if (*p == '.') {
        const char *point = ++p;
        p = mesh_digits(p, &digits);
        places = p - point;
        count += places;
    }
    if ((*p | 32) == 'e') {
        const char *q = p + 1;
        bool down = *q == '-';
        q += down || *q == '+';
        uint64_t exponent = 0;
        const char *start = q;
        if (mesh_two_digits(q, &exponent)) q += 2;
        if (mesh_one_digit(q, &exponent)) q++;
        if (q == start || mesh_digit(*q)) return mesh_number_slow(at, value);
        places -= down ? -(long)exponent : (long)exponent;
        p = q;
    }
    if (count == 0 || count > 19 || digits >> 53 || labs(places) > 22)
        return mesh_number_slow(at, value);
    double size = places < 0 ? (double)digits * powers[-places] : (double)digits / powers[places];
    *value = minus ? -size : size;
    *at = p;
    return true;
}

#endif
