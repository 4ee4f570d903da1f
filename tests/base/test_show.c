/* Users' text made fit for a terminal. */
#include "base/show.h"
#include "support/near.h"

#include <string.h>

static void control_characters_are_replaced(void **state)
{
    (void)state;
    char text[] = "a\x1B[31m\x7F\xC2\x9B\xC3\xA9\xFF\xE2\x82z\n";
    base_show_in_place(text);
    assert_string_equal(text, "a?[31m??\xC3\xA9???z?");
}

static void long_texts_are_cut_between_characters(void **state)
{
    (void)state;
    char to[8];
    assert_string_equal(base_show(to, sizeof to, 0, "1234567", 7), "1234567");
    assert_string_equal(base_show(to, sizeof to, 0, "12345678", 8), "1234...");
    assert_string_equal(base_show(to, sizeof to, 0, "123\xC3\xA9xyz", 8), "123...");
    assert_string_equal(base_show(to, sizeof to, 5, "12345", 5), "12345");
    assert_string_equal(base_show(to, sizeof to, 5, "123456", 6), "12...");
    assert_string_equal(base_show(to, 4, 0, "12345", 5), "...");
    assert_string_equal(base_show(to, 4, 0, "", 0), "");
}

/* Well-formed and ill-formed sequences from the Unicode Standard 15.0, chapter 3.9, tables 3-7 to
 * 3-11 (from memory). */
static void utf8_is_told_from_bytes(void **state)
{
    (void)state;
    static const struct {
        const char *bytes;
        size_t want;
    } rows[] = {
        {"a", 1},
        {"\xC2\x80", 2},
        {"\xE0\xA0\x80", 3},
        {"\xED\x9F\xBF", 3},
        {"\xF4\x8F\xBF\xBF", 4},
        {"\x80", 0},
        {"\xC0\xAF", 0},
        {"\xE0\x9F\xBF", 0},
        {"\xED\xA0\x80", 0},
        {"\xF0\x8F\x80\x80", 0},
        {"\xF4\x90\x80\x80", 0},
        {"\xF5\x80\x80\x80", 0},
        {"\xE1\x80", 0},
        {"\xC3"
         "a",
         0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_int_equal(base_character(rows[i].bytes, strlen(rows[i].bytes)), rows[i].want);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(control_characters_are_replaced),
        cmocka_unit_test(long_texts_are_cut_between_characters),
        cmocka_unit_test(utf8_is_told_from_bytes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
