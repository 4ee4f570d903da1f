/* Lists with a unit behind them, and texts that only look like one. */
#include "reading.h"

#include <stdlib.h>

/* What the value of `a` (or the root list) must be: its unit's name and column, and how many
 * items. Columns were counted by hand. */
static const struct {
    const char *text;
    size_t count;
    const char *unit;
    int line, column;
} lists[] = {
    {"a: [10, 0, 4] mm\n", 3, "mm", 1, 15},
    {"a: [10, 0, 4] mm", 3, "mm", 1, 15},
    {"a: [10, 0, 4]    mm   # of the rack\n", 3, "mm", 1, 18},
    {"a: [10, 0, 4]\tmm\t# of the rack\r\n", 3, "mm", 1, 15},
    {"[1, 2] mm", 2, "mm", 1, 8},
    {"--- [1, 2] mm\n", 2, "mm", 1, 12},
    {"a: [5] mm\n", 1, "mm", 1, 8},
    {"a: [1, 2,] mm\n", 2, "mm", 1, 12},
    {"a: [1,\n  2 # two]\n  ,\n  ] mm\n", 2, "mm", 4, 5},
    {"a:\n  [1, 2] mm\n", 2, "mm", 2, 10},
    {"a: [\"]\", ']'] mm\n", 2, "mm", 1, 15},
    {"a: [it's, 5\", x#y] mm\n", 3, "mm", 1, 20},
    {"a: [\"x\\\"]\", 'it''s]'] mm\n", 2, "mm", 1, 23},
    {"a: &here [1, 2] mm\n", 2, "mm", 1, 17},
    {"a: [größe, 2] mm\n", 2, "mm", 1, 15},
    {"a: [1, 2] \xC2\xB5m\n", 2, "\xC2\xB5m", 1, 11},
    {"a: [1, 2] A/dm^2\n", 2, "A/dm^2", 1, 11},
    {"b: it's\na: [1, 2] mm\n", 2, "mm", 2, 11},
    {"b: \"x\n  y\"\na: [1, 2] mm\n", 2, "mm", 3, 11},
    {"b: |\n  it's \"\na: [1, 2] mm\n", 2, "mm", 3, 11},
    {"b: {x: \"[\", y: 'z'}\na: [1, 2] mm\n", 2, "mm", 2, 11},
    {"b: {\"x\":\"]\", y: 1}\na: [1, 2] mm\n", 2, "mm", 2, 11},
    {"- 1\n- 2\n", 2, NULL, 0, 0},
    {"a: [1, 2, mm]\n", 2, "mm", 1, 11},
    {"a: [h, mm]\n", 2, NULL, 0, 0},
    {"a: [# ] mm\n 1, 2 # ] mm\n] mm\n", 2, "mm", 3, 3},
    {"a: [B, A]\n", 2, NULL, 0, 0},
    {"a: [1, 2] # mm\n", 2, NULL, 0, 0},
};

static void units_behind_lists_are_taken(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
        tks_arena *arena = tks_arena_new();
        const tks_node *root = read_well(arena, lists[i].text);
        const tks_node *list = root->kind == TKS_LIST ? root : tks_node_get(root, "a");
        assert_int_equal(list->kind, TKS_LIST);
        if (list->count != lists[i].count) fail_msg("row %zu: %zu items", i, list->count);
        size_t chained = 0;
        for (const tks_node *item = list->first; item; item = item->next) chained++;
        assert_int_equal(chained, list->count);
        const tks_node *unit = list->unit;
        if (!unit != !lists[i].unit) fail_msg("row %zu: unit is wrong", i);
        if (unit && (strcmp(unit->text, lists[i].unit) || unit->line != lists[i].line ||
                     unit->column != lists[i].column))
            fail_msg("row %zu: unit %s at %d:%d", i, unit->text, unit->line, unit->column);
        tks_arena_free(arena);
    }
}

/* Scalars that hold the look of such a list keep each byte. */
static const struct {
    const char *text, *value;
} scalars[] = {
    {"a: \"[1, 2] mm\"\n", "[1, 2] mm"},
    {"a: '[1, 2] mm'\n", "[1, 2] mm"},
    {"a: 'it''s\n  [1, 2] mm\n  '\n", "it's [1, 2] mm "},
    {"a: see [1, 2] mm\n", "see [1, 2] mm"},
    {"a: see\n  [1, 2] mm\n", "see [1, 2] mm"},
    {"a: see\n\n  [1, 2] mm\nb: 1\n", "see\n[1, 2] mm"},
    {"a:\n  see\n  [1, 2] mm\n", "see [1, 2] mm"},
    {"a: |\n  [1, 2] mm\n", "[1, 2] mm\n"},
    {"a: >-\n\n  x: [1, 2] mm\n   # [1] mm\n", "\nx: [1, 2] mm\n # [1] mm"},
    {"a: |2\n    [1, 2] mm\nb: 1\n", "  [1, 2] mm\n"},
    {"b: [1, 2] # [3] mm\na: x\n", "x"},
    {"&note ?see\n [1, 2] mm\n", "?see [1, 2] mm"},
    {"&note?see\n [1, 2] mm\n", "?see [1, 2] mm"},
    {"see\n[1, 2] mm\n", "see [1, 2] mm"},
    {"--- |\n [1, 2] mm\n", "[1, 2] mm\n"},
    {"- - a: |\n      [1, 2] mm\n", "[1, 2] mm\n"},
};

static const tks_node *first_scalar_a(const tks_node *node)
{
    while (node->kind == TKS_LIST) node = node->first;
    return node->kind == TKS_MAP ? tks_node_get(node, "a") : node;
}

static void other_texts_are_left_alone(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof scalars / sizeof *scalars; i++) {
        tks_arena *arena = tks_arena_new();
        const tks_node *a = first_scalar_a(read_well(arena, scalars[i].text));
        assert_string_equal(a->text, scalars[i].value);
        assert_int_equal(a->length, strlen(scalars[i].value));
        tks_arena_free(arena);
    }
}

static void units_are_handed_down(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    const tks_node *list = read_well(arena, "[[0, 0], [1, 2] in, [[3]], x] mm");
    assert_int_equal(list->count, 4);
    assert_string_equal(list->first->unit->text, "mm");
    assert_string_equal(list->first->next->unit->text, "in");
    assert_string_equal(list->first->next->next->first->unit->text, "mm");
    tks_arena_free(arena);
}

static void columns_behind_stay_true(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    const tks_node *map = read_well(arena, "{a: [1, 2] mm, b: [3, x]  in, c: y}");
    assert_int_equal(tks_node_get(map, "b")->key->column, 16);
    assert_int_equal(tks_node_get(map, "b")->first->next->column, 23);
    assert_string_equal(tks_node_get(map, "b")->unit->text, "in");
    assert_int_equal(tks_node_get(map, "b")->unit->column, 27);
    assert_int_equal(tks_node_get(map, "c")->column, 34);
    tks_arena_free(arena);
}

/* The parser reads in pieces of some kilobytes: a respelling must survive being cut anywhere. */
static void long_files_are_respelt_throughout(void **state)
{
    (void)state;
    enum { LINES = 4001, MOST = 32 };
    char *text = malloc((size_t)LINES * MOST);
    assert_non_null(text);
    size_t length = 0;
    for (int i = 0; i < LINES; i++)
        length += (size_t)sprintf(text + length, "- [%d, 2]%*smm\n", i, 1 + i % 7, "");
    tks_arena *arena = tks_arena_new();
    const tks_node *root = read_well(arena, text);
    assert_int_equal(root->count, LINES);
    for (const tks_node *list = root->first; list; list = list->next) {
        assert_int_equal(list->count, 2);
        assert_string_equal(list->unit->text, "mm");
    }
    tks_arena_free(arena);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(units_behind_lists_are_taken),
        cmocka_unit_test(other_texts_are_left_alone),
        cmocka_unit_test(units_are_handed_down),
        cmocka_unit_test(columns_behind_stay_true),
        cmocka_unit_test(long_files_are_respelt_throughout),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
