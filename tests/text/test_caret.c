/* How an error is shown. */
#include "support/near.h"
#include "tankside/document.h"

#include <stdlib.h>
#include <string.h>

static const char *shown(const char *file, int line, int column, const char *source)
{
    static char text[1000];
    tks_error err = {0};
    tks_fail(&err, TKS_EDOMAIN, (tks_place){file, line, column}, "it is wrong");
    int length = tks_error_print(text, sizeof text, &err, source, source ? strlen(source) : 0);
    assert_int_equal(length, strlen(text));
    return text;
}

static void the_caret_stands_below_its_column(void **state)
{
    (void)state;
    assert_string_equal(shown("b.yaml", 3, 9, "length: -4 mm"),
                        "b.yaml:3:9: it is wrong\n    length: -4 mm\n            ^");
    assert_string_equal(shown("b.yaml", 3, 4, "a\t\xC3\xA9: 1"),
                        "b.yaml:3:4: it is wrong\n    a \xC3\xA9: 1\n       ^");
    assert_string_equal(shown("b.yaml", 1, 2, "a\x1B[2J"),
                        "b.yaml:1:2: it is wrong\n    a?[2J\n     ^");
    assert_string_equal(shown("b.yaml", 1, 4, "a: "), "b.yaml:1:4: it is wrong\n    a: \n       ^");
}

static void places_are_as_full_as_known(void **state)
{
    (void)state;
    assert_string_equal(shown("b.yaml", 0, 0, NULL), "b.yaml: it is wrong");
    assert_string_equal(shown("b.yaml", 4, 0, "x"), "b.yaml:4: it is wrong");
    assert_string_equal(shown("b.yaml", 4, 2, NULL), "b.yaml:4:2: it is wrong");
    assert_string_equal(shown(NULL, 0, 0, NULL), "it is wrong");
    assert_string_equal(shown("\x1B[2Jb\nc", 0, 0, NULL), "?[2Jb?c: it is wrong");
}

/* The caret stands below the X wherever that is, and the line is about 100 characters. */
static void long_lines_are_cut_around_the_place(void **state)
{
    (void)state;
    char line[1001];
    for (int place = 0; place < 1000; place += 37) {
        memset(line, 'a', 1000);
        line[1000] = '\0';
        line[place] = 'X';
        const char *text = shown("b", 1, place + 1, line);
        const char *source = strchr(text, '\n') + 1;
        const char *caret = strchr(source, '\n') + 1;
        assert_true(caret - source <= 112);
        assert_int_equal(strchr(source, 'X') - source, strchr(caret, '^') - caret);
    }
    assert_string_equal(strrchr(shown("b", 1, 900, line), ' '), " ^");
    assert_non_null(strstr(shown("b", 1, 500, line), "\n    ...aaaa"));
    assert_non_null(strstr(shown("b", 1, 500, line), "aaaa...\n"));
}

static void a_small_room_is_kept_to(void **state)
{
    (void)state;
    tks_error err = {0};
    tks_fail(&err, TKS_EDOMAIN, (tks_place){"b.yaml", 3, 9}, "it is wrong");
    int whole = tks_error_print(NULL, 0, &err, "length: 4", 9);
    for (size_t size = 1; size <= (size_t)whole + 1; size++) {
        char *text = malloc(size);
        assert_int_equal(tks_error_print(text, size, &err, "length: 4", 9), whole);
        assert_true(strlen(text) == size - 1);
        free(text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_caret_stands_below_its_column),
        cmocka_unit_test(places_are_as_full_as_known),
        cmocka_unit_test(long_lines_are_cut_around_the_place),
        cmocka_unit_test(a_small_room_is_kept_to),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
