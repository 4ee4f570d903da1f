/* Memory: what is taken is aligned, zeroed and kept apart; what cannot be given is NULL. */
#include "tankside/arena.h"

#include "base/alloc.h"
#include "support/near.h"

#include <stdlib.h>
#include <string.h>

/* Pieces of all sizes: each aligned and zeroed, and none in another. */
static void pieces_stand_apart(void **state)
{
    (void)state;
    enum { PIECES = 500 };
    unsigned char *pieces[PIECES];
    tks_arena *arena = tks_arena_new();
    assert_non_null(arena);
    for (size_t i = 0; i < PIECES; i++) {
        pieces[i] = tks_arena_take(arena, i, 7);
        assert_non_null(pieces[i]);
        assert_int_equal((uintptr_t)pieces[i] % _Alignof(max_align_t), 0);
        for (size_t k = 0; k < 7 * i; k++) assert_int_equal(pieces[i][k], 0);
        memset(pieces[i], (int)(i % 255 + 1), 7 * i);
    }
    for (size_t i = 0; i < PIECES; i++)
        for (size_t k = 0; k < 7 * i; k++) assert_int_equal(pieces[i][k], i % 255 + 1);
    tks_arena_free(arena);
}

static void memory_is_zeroed_again_after_a_reset(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    for (int round = 0; round < 3; round++)
        for (int i = 0; i < 100; i++) {
            unsigned char *piece = tks_arena_take(arena, 1000, 1);
            assert_non_null(piece);
            for (int k = 0; k < 1000; k++) assert_int_equal(piece[k], 0);
            memset(piece, 0xAA, 1000);
            if (i == 99) tks_arena_reset(arena);
        }
    tks_arena_free(arena);
}

static void products_that_overflow_are_refused(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    assert_null(tks_arena_take(arena, SIZE_MAX / 2, 3));
    assert_null(tks_arena_take(arena, SIZE_MAX, SIZE_MAX));
    assert_null(tks_arena_text(arena, "", SIZE_MAX));
    assert_null(base_resize(NULL, SIZE_MAX / 2, 3));
    assert_null(base_alloc(SIZE_MAX / 2, 3));
    assert_non_null(tks_arena_take(arena, 0, 8));
    assert_non_null(tks_arena_take(arena, 8, 0));
    tks_arena_free(arena);
    tks_arena_free(NULL);
}

static void texts_are_copied_with_an_end(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    char text[] = "bracket";
    char *copy = tks_arena_text(arena, text, 3);
    text[0] = 'x';
    assert_string_equal(copy, "bra");
    assert_string_equal(tks_arena_text(arena, "abc", 0), "");
    tks_arena_free(arena);
}

/* Each allocation fails in turn; the arena stays whole and can be freed. */
static void short_memory_is_told(void **state)
{
    (void)state;
    for (long nth = 1; nth <= 4; nth++) {
        base_alloc_fail_at(nth);
        tks_arena *arena = tks_arena_new();
        void *small = arena ? tks_arena_take(arena, 1, 100) : NULL;
        void *large = arena ? tks_arena_take(arena, 1, 100000) : NULL;
        base_alloc_fail_at(0);
        assert_int_equal(arena != NULL, nth > 1);
        assert_int_equal(small != NULL, nth > 2);
        assert_int_equal(large != NULL, nth > 3);
        if (arena) assert_non_null(tks_arena_take(arena, 1, 100000));
        tks_arena_free(arena);
    }
}

/* Once memory is short it stays short until the test says otherwise; then all is as before. */
static void the_hook_counts(void **state)
{
    (void)state;
    base_alloc_fail_at(2);
    void *first = base_alloc(1, 1), *second = base_alloc(1, 1), *third = base_resize(first, 9, 1);
    base_alloc_fail_at(0);
    assert_non_null(first);
    assert_null(second);
    assert_null(third);
    first = base_resize(first, 9, 1);
    assert_non_null(first);
    base_free(first);
    base_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pieces_stand_apart),
        cmocka_unit_test(memory_is_zeroed_again_after_a_reset),
        cmocka_unit_test(products_that_overflow_are_refused),
        cmocka_unit_test(texts_are_copied_with_an_end),
        cmocka_unit_test(short_memory_is_told),
        cmocka_unit_test(the_hook_counts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
