/* Compensated sums where plain ones lose all. */
#include "base/sum.h"
#include "support/near.h"

static double sum_of(const double *terms, size_t count)
{
    base_sum s = {0};
    for (size_t i = 0; i < count; i++) base_sum_add(&s, terms[i]);
    return base_sum_total(&s);
}

/* 1 + 1e100 + 1 - 1e100 = 2 is the case that Neumaier's variant gets right and Kahan's does not
 * (A. Neumaier, Z. Angew. Math. Mech. 54 (1974) 39; the numbers from memory). Ten times 0.1 is 1,
 * which Python's manual gives for math.fsum, with 0.9999999999999999 for the plain sum. The others
 * are whole numbers, by hand. */
static void cancelling_terms_leave_what_is_true(void **state)
{
    (void)state;
    static const struct {
        size_t count;
        double terms[10], want;
        const char *what;
    } rows[] = {
        {4, {1, 1e100, 1, -1e100}, 2, "Neumaier"},
        {4, {1e100, 1, -1e100, 1}, 2, "Neumaier, turned round"},
        {10, {.1, .1, .1, .1, .1, .1, .1, .1, .1, .1}, 1, "ten tenths"},
        {3, {0x1p53, 1, -0x1p53}, 1, "2^53 + 1 - 2^53"},
        {5, {0x1p53, 1, 1, 1, -0x1p53}, 3, "2^53 + 3 - 2^53"},
        {0, {0}, 0, "nothing"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (sum_of(rows[i].terms, rows[i].count) != rows[i].want)
            fail_msg("%s: %.17g", rows[i].what, sum_of(rows[i].terms, rows[i].count));
}

/* The sum of 1/k^2 up to n is pi^2/6 less 1/n - 1/(2 n^2) + 1/(6 n^3) - ...: Abramowitz & Stegun,
 * Handbook of Mathematical Functions, 6.4.12 (trigamma function, from memory). Summed from the
 * large end, where a plain sum is off by about 1e-14. */
static void a_million_terms_lose_nothing(void **state)
{
    (void)state;
    const double n = 1e6, pi = 3.14159265358979324;
    base_sum s = {0};
    double plain = 0;
    for (double k = 1; k <= n; k++) {
        base_sum_add(&s, 1 / (k * k));
        plain += 1 / (k * k);
    }
    double want = pi * pi / 6 - (1 / n - 1 / (2 * n * n) + 1 / (6 * n * n * n));
    assert_near(base_sum_total(&s), want, 3e-16, "sum of 1/k^2");
    if (fabs(plain - want) <= 3e-16 * want) fail_msg("a plain sum does as well: no test");
}

static void what_is_not_a_number_stays_so(void **state)
{
    (void)state;
    const double terms[] = {1, NAN, 2};
    assert_true(isnan(sum_of(terms, 3)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cancelling_terms_leave_what_is_true),
        cmocka_unit_test(a_million_terms_lose_nothing),
        cmocka_unit_test(what_is_not_a_number_stays_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
