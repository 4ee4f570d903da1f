/* Names: alike, nearest, hashed. */
#include "base/names.h"
#include "support/near.h"

#include <string.h>

static bool same(const char *a, const char *b)
{
    return base_name_is(a, strlen(a), b);
}

static void spaces_dashes_and_capitals_are_alike(void **state)
{
    (void)state;
    assert_true(same("bent rod", "bent-rod"));
    assert_true(same("Bent_Rod", "bent rod"));
    assert_true(same("", ""));
    assert_false(same("bent rod", "bentrod"));
    assert_false(same("bent", "bent rod"));
    assert_false(same("bent rods", "bent rod"));
    assert_true(base_name_is("bent rod and more", 8, "bent-rod"));
    assert_false(base_name_is("\xC3\x89", 2, "\xC3\xA9")); /* capitals of ASCII only */
}

static void order_is_of_names(void **state)
{
    (void)state;
    assert_int_equal(base_name_order("M8_x", "m8-X", 4), 0);
    assert_true(base_name_order("abc", "abd", 3) < 0);
    assert_true(base_name_order("B", "a", 1) > 0);
}

/* Distances by hand, after F. Damerau, Commun. ACM 7 (1964) 171: one insertion, one deletion, one
 * replacement and one swap of neighbours cost 1. "kitten" to "sitting" is 3 and "saturday" to
 * "sunday" is 3 in many textbooks (from memory). */
static void distances_are_counted(void **state)
{
    (void)state;
    static const struct {
        const char *a, *b;
        int want;
    } rows[] = {
        {"", "", 0},
        {"", "abc", 3},
        {"abc", "", 3},
        {"tube", "tube", 0},
        {"tub", "tube", 1},
        {"tuube", "tube", 1},
        {"tuke", "tube", 1},
        {"tbue", "tube", 1},
        {"kitten", "sitting", 3},
        {"saturday", "sunday", 3},
        {"Bent_Rod", "bent rod", 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int got = base_name_distance(rows[i].a, strlen(rows[i].a), rows[i].b);
        if (got != rows[i].want) fail_msg("%s to %s: %d", rows[i].a, rows[i].b, got);
    }
}

static void long_names_are_cut_and_safe(void **state)
{
    (void)state;
    char a[200], b[200];
    memset(a, 'a', sizeof a);
    memset(b, 'a', sizeof b);
    a[199] = b[199] = '\0';
    b[100] = 'z';
    assert_int_equal(base_name_distance(a, 199, b), 0); /* beyond the 63 that count */
    b[10] = 'z';
    assert_int_equal(base_name_distance(a, 199, b), 1);
}

static const char *nearest(const char *text)
{
    static const char *const names[] = {"length", "width", "thickness", "wall", "at"};
    return base_name_nearest_of(text, strlen(text), names, 5);
}

static void only_a_near_name_is_meant(void **state)
{
    (void)state;
    assert_string_equal(nearest("lenght"), "length");
    assert_string_equal(nearest("THICKNES"), "thickness");
    assert_string_equal(nearest("wal"), "wall");
    assert_null(nearest("colour"));
    assert_null(nearest("x"));
    assert_null(nearest(""));
    assert_null(base_name_nearest_of("length", 6, NULL, 0));
}

/* Source: draft-eastlake-fnv, test vectors of the 64-bit FNV-1a (from memory). */
static void hashes_are_fnv(void **state)
{
    (void)state;
    assert_true(base_name_hash("", 0) == UINT64_C(0xcbf29ce484222325));
    assert_true(base_name_hash("a", 1) == UINT64_C(0xaf63dc4c8601ec8c));
    assert_true(base_name_hash("foobar", 6) == UINT64_C(0x85944171f73967e8));
    assert_true(base_name_hash("Bent-Rod", 8) == base_name_hash("bent rod", 8));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spaces_dashes_and_capitals_are_alike),
        cmocka_unit_test(order_is_of_names),
        cmocka_unit_test(distances_are_counted),
        cmocka_unit_test(long_names_are_cut_and_safe),
        cmocka_unit_test(only_a_near_name_is_meant),
        cmocka_unit_test(hashes_are_fnv),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
