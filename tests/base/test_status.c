/* Codes and messages. */
#include "tankside/status.h"

#include "base/show.h"
#include "support/near.h"

#include <string.h>

static void each_code_has_a_name_and_a_text_of_its_own(void **state)
{
    (void)state;
    for (int a = 0; a < TKS_STATUS_COUNT; a++) {
        assert_memory_equal(tks_status_name((tks_status)a), "TKS_", 4);
        assert_true(strlen(tks_status_text((tks_status)a)) > 0);
        for (int b = 0; b < a; b++) {
            assert_string_not_equal(tks_status_name((tks_status)a), tks_status_name((tks_status)b));
            assert_string_not_equal(tks_status_text((tks_status)a), tks_status_text((tks_status)b));
        }
    }
    assert_string_equal(tks_status_name(TKS_EDOMAIN), "TKS_EDOMAIN");
    assert_string_equal(tks_status_text(TKS_OK), "no error");
}

static void codes_that_are_none_are_safe(void **state)
{
    (void)state;
    assert_non_null(tks_status_text(TKS_STATUS_COUNT));
    assert_non_null(tks_status_name((tks_status)1000));
}

static void an_error_keeps_its_place(void **state)
{
    (void)state;
    char file[] = "bracket.yaml";
    tks_error err = {0};
    tks_status status =
        tks_fail(&err, TKS_EDOMAIN, (tks_place){file, 3, 9}, "length is '%d mm'", -4);
    memset(file, 'x', sizeof file - 1); /* the error outlives the name */
    assert_int_equal(status, TKS_EDOMAIN);
    assert_int_equal(err.code, TKS_EDOMAIN);
    assert_int_equal(err.line, 3);
    assert_int_equal(err.column, 9);
    assert_string_equal(err.file, "bracket.yaml");
    assert_string_equal(err.text, "length is '-4 mm'");
}

static void an_error_nowhere_has_no_file(void **state)
{
    (void)state;
    tks_error err;
    memset(&err, 0xFF, sizeof err);
    tks_fail(&err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    assert_string_equal(err.file, "");
    assert_int_equal(err.line, 0);
    assert_int_equal(tks_fail(NULL, TKS_EREAD, tks_nowhere(), "%s", "unheard"), TKS_EREAD);
}

static void long_texts_and_paths_are_cut(void **state)
{
    (void)state;
    char text[1000];
    tks_error err;
    memset(text, 'a', sizeof text);
    text[999] = '\0';
    memcpy(text + 993, "/b.yam", 6);
    tks_fail(&err, TKS_EOPEN, (tks_place){text, 1, 1}, "%s", text);
    assert_int_equal(strlen(err.text), sizeof err.text - 1);
    assert_string_equal(err.text + sizeof err.text - 4, "...");
    assert_int_equal(strlen(err.file), sizeof err.file - 1);
    assert_memory_equal(err.file, "...a", 4);
    assert_string_equal(err.file + sizeof err.file - 7, "/b.yam"); /* the end tells more */
}

/* A text cut in the middle of a character must still be UTF-8. */
static void cut_texts_stay_utf8(void **state)
{
    (void)state;
    for (int shift = 0; shift < 4; shift++) {
        char text[600];
        tks_error err;
        memset(text, 'a', 4);
        for (int i = 0; i < 297; i++) memcpy(text + shift + 2 * i, "\xC3\xA9", 2);
        text[shift + 2 * 297] = '\0';
        tks_fail(&err, TKS_EUNKNOWN, (tks_place){text, 1, 1}, "%s", text);
        for (const char *c = err.text; *c; c += base_character(c, strlen(c)))
            assert_true(base_character(c, strlen(c)) > 0);
        assert_true(strlen(err.text) < sizeof err.text);
        assert_true(strlen(err.file) < sizeof err.file);
    }
}

static void control_characters_do_not_pass(void **state)
{
    (void)state;
    tks_error err;
    tks_fail(&err, TKS_EUNKNOWN, (tks_place){"a\033[2J", 1, 1}, "'%s'", "b\r\n\x07");
    assert_string_equal(err.file, "a?[2J");
    assert_string_equal(err.text, "'b?"
                                  "?"
                                  "?'");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_code_has_a_name_and_a_text_of_its_own),
        cmocka_unit_test(codes_that_are_none_are_safe),
        cmocka_unit_test(an_error_keeps_its_place),
        cmocka_unit_test(an_error_nowhere_has_no_file),
        cmocka_unit_test(long_texts_and_paths_are_cut),
        cmocka_unit_test(cut_texts_stay_utf8),
        cmocka_unit_test(control_characters_do_not_pass),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
