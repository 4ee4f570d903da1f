/* The checks that the transcripts stand on must themselves be able to fail. */
#include "support/json.h"
#include "support/near.h"
#include "support/transcript.h"

static void patterns_match_what_they_say(void **state)
{
    (void)state;
    static const struct {
        const char *pattern, *text;
        bool matches;
    } rows[] = {
        {"", "", true},
        {"a\n", "a\n", true},
        {"a\n", "a", false},
        {"a\n", "", false},
        {"", "a\n", false},
        {"a...c\n", "abc\n", true},
        {"a...c\n", "ab\n", false},
        {"...\n", "", true},
        {"...\n", "a\nb\n", true},
        {"a\n...\nd\n", "a\nb\nc\nd\n", true},
        {"a\n...\nd\n", "a\nb\nc\n", false},
        {"a\nb\n", "a\n", false},
        {"a\n", "a\nb\n", false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (transcript_matches(rows[i].pattern, rows[i].text) != rows[i].matches)
            fail_msg("'%s' and '%s'", rows[i].pattern, rows[i].text);
}

/* Source: RFC 8259, sections 2 to 7. */
static void json_is_told_from_other_texts(void **state)
{
    (void)state;
    static const char *const good[] = {
        "{}", "[]", "0", "-0.5e+10", "\"\\u00e9\\n\"", " { \"a\" : [ 1 , null , true ] } \n",
    };
    static const char *const bad[] = {
        "",          "{",     "[1,]",  "{\"a\"}", "{\"a\":}", "01",  "1.",
        ".5",        "+1",    "nan",   "inf",     "\"a",      "'a'", "\"\\x\"",
        "\"\\u12\"", "[1 2]", "{1:2}", "\"\n\"",  "1e",       "tru", "{} {}",
    };
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        if (!json_is_value(good[i])) fail_msg("%s is JSON", good[i]);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        if (json_is_value(bad[i])) fail_msg("%s is not JSON", bad[i]);
    assert_true(json_are_values("{}\n[]\n"));
    assert_false(json_are_values("{}\n[\n"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(patterns_match_what_they_say),
        cmocka_unit_test(json_is_told_from_other_texts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
