/* Sets by their lowest members, against a table of which are together that is kept beside them. */
#include "support/near.h"

#include "base/alloc.h"
#include "base/sets.h"

enum { THINGS = 40 };

static void sets_are_what_was_joined(void **state)
{
    (void)state;
    uint32_t parent[THINGS], table[THINGS], roll = 7;
    for (uint32_t i = 0; i < THINGS; i++) parent[i] = table[i] = i;
    for (int n = 0; n < 60; n++) {
        roll = roll * 1664525u + 1013904223u;
        uint32_t a = roll >> 8 & 63, b = roll >> 20 & 63;
        if (a >= THINGS || b >= THINGS) continue;
        assert_int_equal(base_set_join(parent, a, b), table[a] != table[b]);
        uint32_t low = table[a] < table[b] ? table[a] : table[b];
        uint32_t high = table[a] < table[b] ? table[b] : table[a];
        for (int i = 0; i < THINGS; i++)
            if (table[i] == high) table[i] = low;
        for (uint32_t i = 0; i < THINGS; i++) assert_int_equal(base_set_root(parent, i), table[i]);
    }
}

static void blocks_grow(void **state)
{
    (void)state;
    void *block = NULL;
    size_t room = 0;
    for (size_t n = 1; n <= 1000; n++) {
        assert_true(base_grow(&block, &room, n, sizeof(size_t)));
        assert_true(room >= n && room <= n + n / 2 + 16);
        ((size_t *)block)[n - 1] = n;
    }
    for (size_t n = 1; n <= 1000; n++) assert_int_equal(((size_t *)block)[n - 1], n);
    void *before = block;
    size_t had = room;
    base_alloc_fail_at(1);
    assert_true(base_grow(&block, &room, room, sizeof(size_t))); /* has the room already */
    assert_false(base_grow(&block, &room, room + 1, sizeof(size_t)));
    base_alloc_fail_at(0);
    assert_ptr_equal(block, before);
    assert_int_equal(room, had);
    assert_false(base_grow(&block, &room, SIZE_MAX / 2, sizeof(size_t)));
    assert_false(base_grow(&block, &room, SIZE_MAX - 3, 1));
    base_free(block);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sets_are_what_was_joined),
        cmocka_unit_test(blocks_grow),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
