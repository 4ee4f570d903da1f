/* Numbers of mesh files against the C library's own reading of the same text. */
#include "mesh/number.h"
#include "support/near.h"

#include <stdio.h>

enum { TRIED = 3000000 };

static uint64_t state = 88172645463325252;

/* Marsaglia, J. Statist. Softw. 8 (2003) no. 14: xorshift with 13, 7, 17. */
static unsigned below(unsigned n)
{
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return (unsigned)(state >> 32) % n;
}

static char *add_digits(char *p, unsigned count)
{
    while (count--) *p++ = (char)('0' + below(10));
    return p;
}

static char *add_sign(char *p)
{
    unsigned which = below(3);
    if (which) *p++ = which == 1 ? '-' : '+';
    return p;
}

/* A number with up to `most` digits on either side of the point, and what may stand behind it. */
static void write_number(char *p, unsigned most)
{
    static const char behind[] = " \t\n\r/#\\,:;-";
    p = add_sign(p);
    p = add_digits(p, below(most + 1));
    if (below(4)) {
        *p++ = '.';
        p = add_digits(p, below(most + 1));
    }
    if (below(2)) {
        *p++ = below(2) ? 'e' : 'E';
        p = add_sign(p);
        p = add_digits(p, below(4));
    }
    *p++ = behind[below(sizeof behind)];
    add_digits(p, 8);
}

/* strtod, without its passing over blanks in front. */
static double read_plainly(const char *text, const char **end)
{
    char *behind = NULL;
    double value = strtod(text, &behind);
    *end = (unsigned char)*text <= ' ' ? text : behind;
    return value;
}

static void expect_same(const char *text, double most_off)
{
    const char *end, *at = text;
    double want = read_plainly(text, &end), got = 0;
    bool read = mesh_number(&at, &got);
    if (read != (end > text) || at != end) fail_msg("'%s': stops at '%s', not '%s'", text, at, end);
    if (!read) return;
    if (!(fabs(got - want) <= most_off * fabs(want)) && got != want)
        fail_msg("'%s': got %.17g, want %.17g", text, got, want);
    if (signbit(got) != signbit(want)) fail_msg("'%s': the sign is lost", text);
}

/* At most 14 digits and a small exponent: every bit as the C library has it. */
static void test_exact(void **unused)
{
    (void)unused;
    char text[64];
    for (int i = 0; i < TRIED; i++) {
        memset(text, 0, sizeof text);
        write_number(text, 7);
        char *e = strpbrk(text, "eE");
        bool digits = e && mesh_digit(e[1 + (e[1] == '-' || e[1] == '+')]);
        if (e && (!digits || labs(atol(e + 1)) > 15)) *e = ' ';
        expect_same(text, 0);
    }
}

/* Longer ones and extreme exponents: within one unit in the last place, infinite beyond. */
static void test_long(void **unused)
{
    (void)unused;
    char text[128];
    for (int i = 0; i < TRIED / 10; i++) {
        memset(text, 0, sizeof text);
        write_number(text, 30);
        char *e = strpbrk(text, "eE");
        if (e && labs(atol(e + 1)) > 250) *e = ' ';
        expect_same(text, 2.3e-16);
    }
}

/* Each number of digits up to 19, with nothing but a NUL behind. */
static void test_lengths(void **unused)
{
    (void)unused;
    for (unsigned whole = 0; whole < 20; whole++)
        for (unsigned places = 0; places < 20; places++) {
            char text[64] = {0}, *p = add_digits(text, whole);
            *p++ = '.';
            add_digits(p, places);
            expect_same(text, whole + places < 16 ? 0 : 2.3e-16);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_exact),
        cmocka_unit_test(test_long),
        cmocka_unit_test(test_lengths),
    };
    return cmocka_run_group_tests_name("mesh: numbers", tests, NULL, NULL);
}
