/* Lists whose items are handed out as they are read. */
#include "support/near.h"

#include "tankside/document.h"

#include <stdlib.h>
#include <string.h>

/* The items' texts, or those of their key `a`, joined; and a depth to fail at. */
typedef struct taken {
    char text[2000]; /* as long as any list here */
    size_t fail_at, count;
} taken;

static tks_status take(void *context, const tks_node *item, tks_error *err)
{
    taken *t = context;
    const tks_node *a = item->kind == TKS_MAP ? tks_node_get(item, "a") : item;
    if (++t->count == t->fail_at)
        return tks_fail(err, TKS_EDOMAIN, tks_node_place(item, "list"), "enough");
    strcat(t->text, a ? a->text : "?");
    strcat(t->text, ";");
    return TKS_OK;
}

static tks_status stream(const char *text, taken *t, const tks_node **root, tks_arena *arena,
                         tks_error *err)
{
    tks_reader *reader = NULL;
    assert_int_equal(tks_reader_memory("list", text, strlen(text), NULL, &reader, err), TKS_OK);
    tks_status status = tks_reader_stream(reader, arena, "load", "parts", take, t, root, err);
    tks_reader_close(reader);
    return status;
}

static void test_items_are_handed_out(void **state)
{
    (void)state;
    static const struct {
        const char *text, *taken;
        size_t left; /* children that the root's list still has */
    } rows[] = {
        {"load: x\nparts: [one, {a: two}, [three]]\nend: 1", "one;two;;", 0},
        {"load: x\nparts:\n  - a: 1\n    b: {a: 7}\n  - {a: 2}\nparts2: [9]", "1;2;", 0},
        {"parts: [one, two]\nload: x", "", 2},      /* the key is not the first */
        {"load: {parts: [one]}\nparts: []", "", 0}, /* only the root's own list */
        {"load: x\nparts: {a: 1}", "", 1},          /* no list */
        {"load: x\nparts: [&n {a: 1}, *n, {a: 3}, *n]", "1;1;3;1;", 0}, /* anchors last */
        {"load: &l x\nparts: [{a: *l}, {b: 1}]", "x;?;", 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        taken t = {.text = ""};
        const tks_node *root = NULL;
        tks_error err = {0};
        tks_arena *arena = tks_arena_new();
        if (stream(rows[i].text, &t, &root, arena, &err)) fail_msg("%s", err.text);
        assert_string_equal(t.text, rows[i].taken);
        const tks_node *list = tks_node_get(root, "parts");
        size_t left = 0;
        for (const tks_node *n = list->first; n; n = n->next) left++;
        assert_int_equal(left, rows[i].left);
        assert_string_equal(tks_node_get(root, "load")->key->text, "load");
        tks_arena_free(arena);
    }
}

static void test_errors_are_given_back(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        size_t fail_at;
        int line;
    } rows[] = {
        {"load: x\nparts:\n  - 1\n  - 2\n  - 3", 2, 4},
        {"load: x\nparts:\n  - 1\n  - {a: 1, a: 2}", 0, 4},
        {"load: x\nparts:\n  - 1\n  - *none", 0, 4},
        {"load: x\nparts:\n  - 1\n  - [", 0, 4},
        {"load: x\nparts: [1, 2] mm", 0, 2},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        taken t = {.text = "", .fail_at = rows[i].fail_at};
        const tks_node *root = NULL;
        tks_error err = {0};
        tks_arena *arena = tks_arena_new();
        assert_int_not_equal(stream(rows[i].text, &t, &root, arena, &err), TKS_OK);
        assert_null(root);
        if (err.line < rows[i].line) fail_msg("%s: line %d", rows[i].text, err.line);
        tks_arena_free(arena);
    }
}

/* Takes the numbers 0, 1, 2 ... in their order, which a thread may do. */
static tks_status take_in_order(void *context, const tks_node *item, tks_error *err)
{
    taken *t = context;
    const tks_node *a = tks_node_get(item, "a");
    if (t->count == t->fail_at)
        return tks_fail(err, TKS_EDOMAIN, tks_node_place(item, "list"), "enough");
    bool next = a && strtoul(a->text, NULL, 10) == t->count++;
    return next ? TKS_OK : tks_fail(err, TKS_EINTERNAL, tks_nowhere(), "out of order");
}

/* Long lists are taken while they are read: in order, up to the first that fails, whose error comes
 * before any that the reader finds later. */
static void test_long_lists(void **state)
{
    (void)state;
    enum { ITEMS = 1000 };
    static const struct {
        size_t fail_at;
        bool anchors;
        const char *last; /* line */
        tks_status status;
        int line;
    } rows[] = {
        {ITEMS, false, "end: 1\n", TKS_OK, 0},
        {ITEMS, true, "end: *n999\n", TKS_OK, 0},
        {500, false, "end: 1\n", TKS_EDOMAIN, 503},
        {500, false, "end: [\n", TKS_EDOMAIN, 503},
        {ITEMS, false, "end: *none\n", TKS_EUNKNOWN, 1003},
        {999, false, "  - {a: [}\n", TKS_EDOMAIN, 1002},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char *text = calloc(ITEMS + 2, 40), *end = text + sprintf(text, "load: x\nparts:\n");
        for (int k = 0; k < ITEMS; k++)
            end += rows[i].anchors ? sprintf(end, "  - {a: &n%d %d}\n", k, k)
                                   : sprintf(end, "  - {a: %d}\n", k);
        strcpy(end, rows[i].last);
        taken t = {.fail_at = rows[i].fail_at};
        tks_reader *reader = NULL;
        tks_error err = {0};
        const tks_node *root = NULL;
        tks_arena *arena = tks_arena_new();
        assert_int_equal(tks_reader_memory("list", text, strlen(text), NULL, &reader, &err),
                         TKS_OK);
        assert_int_equal(
            tks_reader_stream(reader, arena, "load", "parts", take_in_order, &t, &root, &err),
            rows[i].status);
        assert_int_equal(err.line, rows[i].line);
        assert_int_equal(t.count, rows[i].fail_at);
        if (rows[i].anchors) assert_string_equal(tks_node_get(root, "end")->text, "999");
        tks_reader_close(reader);
        tks_arena_free(arena);
        free(text);
    }
}

/* More items than one document may have nodes: each is forgotten when it was handed out. */
static void test_nodes_are_forgotten(void **state)
{
    (void)state;
    static const tks_limits limits = {1 << 20, 50, 10, 32};
    char text[4000] = "load: x\nparts:\n";
    while (strlen(text) < 3900) strcat(text, "  - {a: 1}\n");
    taken t = {.text = ""};
    const tks_node *root = NULL;
    tks_error err = {0};
    tks_reader *reader = NULL;
    tks_arena *arena = tks_arena_new();
    assert_int_equal(tks_reader_memory("list", text, strlen(text), &limits, &reader, &err), TKS_OK);
    tks_status status = tks_reader_stream(reader, arena, "load", "parts", take, &t, &root, &err);
    if (status) fail_msg("%s", err.text);
    assert_true(t.count > 300);
    assert_int_equal(tks_node_get(root, "parts")->count, t.count);
    tks_reader_close(reader);
    tks_arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_items_are_handed_out),
        cmocka_unit_test(test_errors_are_given_back),
        cmocka_unit_test(test_long_lists),
        cmocka_unit_test(test_nodes_are_forgotten),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
