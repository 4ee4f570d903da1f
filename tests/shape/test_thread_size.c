#include "support/near.h"

#include "tankside/thread_size.h"

#include <string.h>

static tks_designation found(const char *text)
{
    tks_designation d;
    tks_error err = {0};
    if (tks_thread_find(text, strlen(text), tks_nowhere(), &d, &err))
        fail_msg("'%s': %s", text, err.text);
    return d;
}

static void test_designations_are_read(void **state)
{
    (void)state;
    static const struct {
        const char *text, *name;
    } known[] = {
        {"M8x1.25", "M8x1.25"},
        {"m8 x 1.25", "M8x1.25"},
        {"M8", "M8x1.25"},
        {"M 8", "M8x1.25"},
        {"M8X1", "M8x1"},
        {"M8 \303\227 1,25", "M8x1.25"},
        {"M1.6", "M1.6x0.35"},
        {"M8x1.25-6g", "M8x1.25"},
        {"M8 LH", "M8x1.25"},
        {"1/4 in BSW", "1/4-20 BSW"},
        {"1/4 Whitworth", "1/4-20 BSW"},
        {"whit 1/4\"", "1/4-20 BSW"},
        {"1/4-20 UNC", "1/4-20 UNC"},
        {"1/4\"-20 UNC-2A", "1/4-20 UNC"},
        {"1/4 UNC", "1/4-20 UNC"},
        {"1/4-28", "1/4-28 UNF"},
        {"1/4 unf", "1/4-28 UNF"},
        {"0.25-20 UNC", "1/4-20 UNC"},
        {"UNC 1/4-20", "1/4-20 UNC"},
        {"1-8 UNC", "1-8 UNC"},
        {"1-8", "1-8 UNC"},
        {"#4-40", "4-40 UNC"},
        {"No. 10-32 UNF", "10-32 UNF"},
        {"10-24", "10-24 UNC"},
        {"3/8 BSW", "3/8-16 BSW"},
        {"3/8-16 BSW", "3/8-16 BSW"},
        {"BSF 1/4", "1/4-26 BSF"},
        {"4 BA", "4 BA"},
        {"BA 4", "4 BA"},
        {"0BA", "0 BA"},
        {"ba10", "10 BA"},
    };
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        assert_string_equal(found(known[i].text).size->name, known[i].name);
    assert_string_equal(found("M8x1.25-6g").tolerance, "6g");
    assert_string_equal(found("M8x1-5g6g").tolerance, "5g6g");
    assert_string_equal(found("1/4-20 UNC-2A").tolerance, "2a");
    assert_string_equal(found("1/4-20").tolerance, "");
    assert_true(found("M8 LH").left && found("M8x1-LH").left && found("M8 left hand").left);
    assert_true(found("M8 RH").hand_said && !found("M8 RH").left && !found("M8").hand_said);
}

/* Each row is found by its own name, and gives a thread that can exist. */
static void test_every_row_is_found(void **state)
{
    (void)state;
    size_t count;
    const tks_thread_size *rows = tks_thread_sizes(&count);
    assert_true(count > 130);
    for (size_t i = 0; i < count; i++) {
        assert_ptr_equal(found(rows[i].name).size, &rows[i]);
        tks_thread thread = tks_thread_of_size(&rows[i]);
        tks_thread_profile profile;
        assert_int_equal(tks_thread_profile_of(&thread, &profile, NULL), TKS_OK);
        assert_true(rows[i].source && *rows[i].source);
    }
}

static void assert_message(const char *text, tks_status code, const char *part)
{
    tks_designation d = {.left = true};
    tks_error err = {0};
    assert_int_equal(tks_thread_find(text, strlen(text), tks_nowhere(), &d, &err), code);
    assert_true(d.left && !d.size);
    if (!strstr(err.text, part)) fail_msg("'%s' lacks '%s'", err.text, part);
}

static void test_unknown_sizes_give_the_nearest(void **state)
{
    (void)state;
    assert_message("M8x1.3", TKS_EUNKNOWN, "nearest are M8x1.25 and M8x1");
    assert_message("M8.5", TKS_EUNKNOWN, "M8x1.25");
    assert_message("M13", TKS_EUNKNOWN, "M14x2");
    assert_message("1/4-24 UNC", TKS_EUNKNOWN, "1/4-20 UNC");
    assert_message("1/4-24", TKS_EUNKNOWN, "1/4-28 UNF and 1/4-20 UNC");
    assert_message("3/8-18 BSW", TKS_EUNKNOWN, "3/8-16 BSW");
    assert_message("11 BA", TKS_EUNKNOWN, "10 BA");
    assert_message("No. 7-32", TKS_EUNKNOWN, "32");
    assert_message("M99999999999", TKS_EUNKNOWN, "M36x4");
    assert_message("wing nut", TKS_ESYNTAX, "write M8x1.25");
    assert_message("", TKS_ESYNTAX, "is no thread");
    assert_message("M", TKS_ESYNTAX, "is no thread");
    assert_message("M8x", TKS_ESYNTAX, "is no thread");
    assert_message("1/0 UNC", TKS_ESYNTAX, "is no thread");
    assert_message("M8x1.25x3", TKS_ESYNTAX, "is no thread");
    assert_message("1111111111111111111111111111111111111111111111111111111111111", TKS_ESYNTAX,
                   "is no thread");
}

/* BS 93's rule for BA: pitch 0.9^n mm, diameter 6 pitch^1.2 mm, both rounded to two figures. */
static void test_ba_rows_follow_their_rule(void **state)
{
    (void)state;
    for (int n = 0; n <= 10; n++) {
        char name[16];
        snprintf(name, sizeof name, "%d BA", n);
        const tks_thread_size *size = found(name).size;
        double pitch = pow(0.9, n);
        assert_true(fabs(size->pitch - pitch) <= 0.00501);
        assert_true(fabs(size->diameter - 6 * pow(pitch, 1.2)) <= 0.0501);
    }
}

/* Any bytes are read without harm. */
static void test_any_bytes(void **state)
{
    (void)state;
    unsigned seed = 1;
    for (int i = 0; i < 200000; i++) {
        static const char letters[] = "mMxX0123456789./-#,\" unfcbsaBAgL\303\227*";
        char text[24];
        size_t n = (seed >> 16) % 24;
        for (size_t k = 0; k < n; k++) {
            seed = seed * 1664525u + 1013904223u;
            text[k] = letters[(seed >> 16) % (sizeof letters - 1)];
        }
        seed = seed * 1664525u + 1013904223u;
        tks_designation d;
        tks_error err;
        tks_thread_find(text, n, tks_nowhere(), &d, &err);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_designations_are_read),
        cmocka_unit_test(test_every_row_is_found),
        cmocka_unit_test(test_unknown_sizes_give_the_nearest),
        cmocka_unit_test(test_ba_rows_follow_their_rule),
        cmocka_unit_test(test_any_bytes),
    };
    return cmocka_run_group_tests_name("thread size", tests, NULL, NULL);
}
