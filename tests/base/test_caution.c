/* The list of cautions. */
#include "tankside/caution.h"

#include "base/alloc.h"
#include "support/near.h"

#include <string.h>

static void cautions_keep_their_order(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_cautions list = tks_cautions_new(arena);
    char what[] = "pin";
    assert_int_equal(tks_caution_add(&list, TKS_NOTE, "first", what, "%d mm", 3), TKS_OK);
    what[0] = 'x';
    assert_int_equal(tks_caution_add(&list, TKS_INJURY, "second", "", "acid"), TKS_OK);
    assert_int_equal(list.count, 2);
    assert_string_equal(list.first->code, "first");
    assert_string_equal(list.first->what, "pin");
    assert_string_equal(list.first->text, "3 mm");
    assert_int_equal(list.first->severity, TKS_NOTE);
    assert_ptr_equal(list.first->next, list.last);
    assert_string_equal(list.last->code, "second");
    assert_null(list.last->next);
    tks_arena_free(arena);
}

static void a_caution_stands_once(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_cautions list = tks_cautions_new(arena);
    for (int i = 0; i < 3; i++) tks_caution_add(&list, TKS_NOTE, "code", "pin", "text");
    assert_int_equal(list.count, 1);
    tks_caution_add(&list, TKS_NOTE, "code", "pin", "another text");
    tks_caution_add(&list, TKS_NOTE, "code", "rod", "text");
    tks_caution_add(&list, TKS_NOTE, "other", "pin", "text");
    assert_int_equal(list.count, 4);
    tks_arena_free(arena);
}

/* Each of many stands once, in order, however many there are. */
static void many_cautions_are_looked_up(void **state)
{
    (void)state;
    enum { MANY = 50000 };
    tks_arena *arena = tks_arena_new();
    tks_cautions list = tks_cautions_new(arena);
    for (int i = 0; i < 2 * MANY; i++)
        assert_int_equal(tks_caution_add(&list, TKS_NOTE, "code", "pin", "%d", i % MANY), TKS_OK);
    assert_int_equal(list.count, MANY);
    assert_string_equal(list.first->next->text, "1");
    assert_string_equal(list.last->text, "49999");
    tks_arena_free(arena);
}

static void severities_have_names(void **state)
{
    (void)state;
    assert_string_equal(tks_severity_name(TKS_NOTE), "note");
    assert_string_equal(tks_severity_name(TKS_DOUBT), "doubt");
    assert_string_equal(tks_severity_name(TKS_SPOIL), "spoil");
    assert_string_equal(tks_severity_name(TKS_INJURY), "injury");
}

static void short_memory_adds_nothing(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_cautions list = tks_cautions_new(arena);
    base_alloc_fail_at(1);
    tks_status status = tks_caution_add(&list, TKS_NOTE, "code", "pin", "text");
    base_alloc_fail_at(0);
    assert_int_equal(status, TKS_EMEMORY);
    assert_int_equal(list.count, 0);
    assert_null(list.first);
    assert_int_equal(tks_caution_add(&list, TKS_NOTE, "code", "pin", "text"), TKS_OK);
    assert_int_equal(list.count, 1);
    tks_arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cautions_keep_their_order),   cmocka_unit_test(a_caution_stands_once),
        cmocka_unit_test(many_cautions_are_looked_up), cmocka_unit_test(severities_have_names),
        cmocka_unit_test(short_memory_adds_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
