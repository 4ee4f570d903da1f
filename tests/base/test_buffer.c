/* The growing text. */
#include "base/buffer.h"

#include "base/alloc.h"
#include "support/near.h"

#include <string.h>

static void text_grows(void **state)
{
    (void)state;
    base_buffer b = {0};
    char want[3001];
    memset(want, 'x', 3000);
    want[3000] = '\0';
    for (int i = 0; i < 3000; i++) base_buffer_puts(&b, "x");
    assert_int_equal(b.length, 3000);
    assert_string_equal(b.text, want);
    base_buffer_free(&b);
    assert_null(b.text);
    assert_int_equal(b.length, 0);
}

/* Lengths around those at which the text must grow. */
static void formatted_text_of_any_length_fits(void **state)
{
    (void)state;
    for (int length = 0; length < 1100; length++) {
        base_buffer b = {0};
        base_buffer_puts(&b, "<");
        base_buffer_printf(&b, "%*s", length, "");
        base_buffer_puts(&b, ">");
        assert_false(b.failed);
        assert_int_equal(b.length, length + 2);
        assert_int_equal(strlen(b.text), length + 2);
        assert_int_equal(b.text[length + 1], '>');
        base_buffer_free(&b);
    }
}

static void filling_and_parts_of_texts(void **state)
{
    (void)state;
    base_buffer b = {0};
    base_buffer_fill(&b, '-', 3);
    base_buffer_fill(&b, '-', 0);
    base_buffer_add(&b, "abcdef", 2);
    assert_string_equal(b.text, "---ab");
    base_buffer_free(&b);
}

static void short_memory_keeps_what_was_there(void **state)
{
    (void)state;
    base_buffer b = {0};
    base_buffer_puts(&b, "kept");
    base_alloc_fail_at(1);
    base_buffer_fill(&b, 'x', 1000);
    base_alloc_fail_at(0);
    assert_true(b.failed);
    base_buffer_puts(&b, "more"); /* dropped, so that no half of a text is taken for the whole */
    base_buffer_printf(&b, "%d", 1);
    assert_string_equal(b.text, "kept");
    base_buffer_free(&b);
    assert_false(b.failed);
}

static void a_length_that_cannot_be_fails(void **state)
{
    (void)state;
    base_buffer b = {0};
    base_buffer_fill(&b, 'x', SIZE_MAX);
    assert_true(b.failed);
    assert_null(b.text);
    base_buffer_free(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_grows),
        cmocka_unit_test(formatted_text_of_any_length_fits),
        cmocka_unit_test(filling_and_parts_of_texts),
        cmocka_unit_test(short_memory_keeps_what_was_there),
        cmocka_unit_test(a_length_that_cannot_be_fails),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
