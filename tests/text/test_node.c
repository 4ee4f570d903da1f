/* Reading values out of nodes. */
#include "reading.h"

static tks_arena *arena;
static tks_error err;

static int start(void **state)
{
    (void)state;
    arena = tks_arena_new();
    return arena ? 0 : -1;
}

static int stop(void **state)
{
    (void)state;
    tks_arena_free(arena);
    return 0;
}

static const tks_node *read(const char *text)
{
    return read_well(arena, text);
}

static void unknown_keys_are_refused(void **state)
{
    (void)state;
    static const char *const names[] = {"length", "width", "end thickness"};
    const tks_node *good = read("Length: 1\nend-thickness: 2\n");
    assert_int_equal(tks_node_known(good, "f", "a plate", names, 3, &err), TKS_OK);
    const tks_node *near = read("width: 1\nlenght: 2\n");
    assert_int_equal(tks_node_known(near, "f", "a plate", names, 3, &err), TKS_EUNKNOWN);
    assert_string_equal(err.text, "a plate has no 'lenght'; did you mean 'length'?");
    assert_int_equal(err.line, 2);
    assert_int_equal(err.column, 1);
    const tks_node *far = read("{<<: 2}");
    assert_int_equal(tks_node_known(far, "f", "a plate", names, 3, &err), TKS_EUNKNOWN);
    assert_string_equal(err.text, "a plate has no '<<', only length, width or end thickness");
    const tks_node *scalar = read("x");
    assert_int_equal(tks_node_known(scalar, "f", "a plate", names, 3, &err), TKS_ESYNTAX);
    assert_string_equal(err.text, "expected a plate, read 'x'");
}

static void kinds_are_expected(void **state)
{
    (void)state;
    const tks_node *map = read("a: x\nb: [1]\nc: {d: 1}\ne:\nf: ''\n");
    const tks_node *a = tks_node_get(map, "a"), *e = tks_node_get(map, "e");
    assert_int_equal(tks_node_expect(a, "f", TKS_LIST, "a list of holes", &err), TKS_ESYNTAX);
    assert_string_equal(err.text, "expected a list of holes, read 'x'");
    assert_int_equal(tks_node_expect(tks_node_get(map, "b"), "f", TKS_SCALAR, "a name", &err),
                     TKS_ESYNTAX);
    assert_string_equal(err.text, "expected a name, read a list");
    assert_int_equal(tks_node_expect(tks_node_get(map, "c"), "f", TKS_LIST, "a list", &err),
                     TKS_ESYNTAX);
    assert_string_equal(err.text, "expected a list, read a map (name: value)");
    assert_int_equal(tks_node_expect(e, "f", TKS_SCALAR, "a name", &err), TKS_EMISSING);
    assert_string_equal(err.text, "expected a name, read nothing");
    assert_int_equal(err.line, 4);
    assert_int_equal(err.column, 3);
    assert_int_equal(tks_node_expect(a, "f", TKS_SCALAR, "a name", &err), TKS_OK);
    assert_int_equal(tks_node_expect(tks_node_get(map, "f"), "f", TKS_SCALAR, "a name", &err),
                     TKS_OK);
}

static void quantities_are_read(void **state)
{
    (void)state;
    double value = -1;
    const tks_node *map = read("a: 8 mm\nb: \"x mm\"\nc: [1]\nd:\n");
    assert_int_equal(
        tks_node_quantity(tks_node_get(map, "a"), "f", TKS_LENGTH, "length", &value, &err), TKS_OK);
    assert_near(value, 0.008, 1e-15, "8 mm");
    value = -1;
    const tks_node *bad = tks_node_get(map, "b");
    assert_true(tks_node_quantity(bad, "f", TKS_LENGTH, "length", &value, &err) != TKS_OK);
    assert_int_equal(strncmp(err.text, "length: ", 8), 0);
    assert_int_equal(err.line, 2);
    assert_int_equal(err.column, 5);
    assert_string_equal(err.file, "f");
    const tks_node *list = tks_node_get(map, "c");
    assert_int_equal(tks_node_quantity(list, "f", TKS_LENGTH, "length", &value, &err), TKS_ESYNTAX);
    assert_string_equal(err.text, "length: expected one value, read a list");
    const tks_node *none = tks_node_get(map, "d");
    assert_int_equal(tks_node_quantity(none, "f", TKS_LENGTH, "length", &value, &err),
                     TKS_EMISSING);
    assert_true(value == -1);
}

static void counts_are_whole_and_in_range(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        tks_status status;
        long value;
    } rows[] = {
        {"12", TKS_OK, 12},
        {"1", TKS_OK, 1},
        {"'1000'", TKS_OK, 1000},
        {"+3", TKS_OK, 3},
        {"0", TKS_EDOMAIN, 0},
        {"1001", TKS_EDOMAIN, 0},
        {"99999999999999999999", TKS_EDOMAIN, 0},
        {"2.5", TKS_ESYNTAX, 0},
        {"' 2'", TKS_ESYNTAX, 0},
        {"-", TKS_ESYNTAX, 0},
        {"2 mm", TKS_ESYNTAX, 0},
        {"''", TKS_EMISSING, 0},
        {"[1]", TKS_ESYNTAX, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        long value = 0;
        const tks_node *node = read(rows[i].text);
        tks_status status = tks_node_count(node, "f", "count", 1, 1000, &value, &err);
        if (status != rows[i].status || value != rows[i].value)
            fail_msg("%s: %s %ld", rows[i].text, tks_status_name(status), value);
    }
    long value;
    assert_int_equal(tks_node_count(read("2.5"), "f", "count", 1, 9, &value, &err), TKS_ESYNTAX);
    assert_string_equal(err.text, "count is '2.5'; it must be a whole number from 1 to 9");
}

static void vectors_take_the_unit_of_their_list(void **state)
{
    (void)state;
    double at[3];
    const tks_node *node = read("[10, 1 cm, \"2 * 3\"] mm");
    assert_int_equal(tks_node_vector(node, "f", TKS_LENGTH, "at", 3, at, &err), TKS_OK);
    assert_near(at[0], 0.010, 1e-15, "10 mm");
    assert_near(at[1], 0.010, 1e-15, "1 cm");
    assert_near(at[2], 0.006, 1e-15, "2 * 3 mm");
    assert_int_equal(tks_node_vector(read("[1 mm, 0]"), "f", TKS_LENGTH, "at", 2, at, &err),
                     TKS_OK);
    assert_near(at[0], 0.001, 1e-15, "1 mm");
    assert_int_equal(tks_node_vector(read("[0, 0, 1]"), "f", TKS_NUMBER, "axis", 3, at, &err),
                     TKS_OK);
    assert_near(at[2], 1, 0, "1");
}

static void bad_vectors_are_refused(void **state)
{
    (void)state;
    double at[3] = {-1, -1, -1};
    assert_int_equal(tks_node_vector(read("[1, 2] mm"), "f", TKS_LENGTH, "at", 3, at, &err),
                     TKS_ESYNTAX);
    assert_string_equal(err.text, "at: expected 3 values, read 2");
    assert_int_equal(tks_node_vector(read("7 mm"), "f", TKS_LENGTH, "at", 3, at, &err),
                     TKS_ESYNTAX);
    assert_string_equal(err.text, "at: expected a list of 3 values, read '7 mm'");
    assert_int_equal(tks_node_vector(read("[1, 2, 3] A"), "f", TKS_LENGTH, "at", 3, at, &err),
                     TKS_EDIMENSION);
    assert_int_equal(err.column, 11);
    assert_int_equal(tks_node_vector(read("[1, 2, [3]] mm"), "f", TKS_LENGTH, "at", 3, at, &err),
                     TKS_ESYNTAX);
    assert_int_equal(err.column, 8);
    assert_true(tks_node_vector(read("[1, 2, y] mm"), "f", TKS_LENGTH, "at", 3, at, &err) !=
                TKS_OK);
    assert_int_equal(err.column, 8);
    assert_true(at[0] == -1 && at[1] == -1 && at[2] == -1);
}

static void words_are_chosen(void **state)
{
    (void)state;
    static const char *const words[] = {"open", "one closed", "closed"};
    size_t index = 9;
    assert_int_equal(tks_node_choice(read("One-Closed"), "f", "ends", words, 3, &index, &err),
                     TKS_OK);
    assert_int_equal(index, 1);
    assert_int_equal(tks_node_choice(read("opne"), "f", "ends", words, 3, &index, &err),
                     TKS_EUNKNOWN);
    assert_string_equal(err.text, "ends is 'opne'; did you mean 'open'?");
    assert_int_equal(tks_node_choice(read("welded"), "f", "ends", words, 3, &index, &err),
                     TKS_EUNKNOWN);
    assert_string_equal(err.text, "ends is 'welded'; it must be open, one closed or closed");
    assert_int_equal(tks_node_choice(read("[open]"), "f", "ends", words, 3, &index, &err),
                     TKS_EUNKNOWN);
    assert_string_equal(err.text, "ends is a list; it must be open, one closed or closed");
    assert_int_equal(index, 1);
}

static void long_words_are_cut_in_messages(void **state)
{
    (void)state;
    char text[600];
    memset(text, 'x', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    assert_int_equal(tks_node_expect(read(text), "f", TKS_LIST, "a list", &err), TKS_ESYNTAX);
    assert_string_equal(err.text,
                        "expected a list, read 'xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx...'");
    assert_int_equal(tks_node_expect(read("\"a\\nb\""), "f", TKS_LIST, "a list", &err),
                     TKS_ESYNTAX);
    assert_string_equal(err.text, "expected a list, read 'a?b'");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(unknown_keys_are_refused, start, stop),
        cmocka_unit_test_setup_teardown(kinds_are_expected, start, stop),
        cmocka_unit_test_setup_teardown(quantities_are_read, start, stop),
        cmocka_unit_test_setup_teardown(counts_are_whole_and_in_range, start, stop),
        cmocka_unit_test_setup_teardown(vectors_take_the_unit_of_their_list, start, stop),
        cmocka_unit_test_setup_teardown(bad_vectors_are_refused, start, stop),
        cmocka_unit_test_setup_teardown(words_are_chosen, start, stop),
        cmocka_unit_test_setup_teardown(long_words_are_cut_in_messages, start, stop),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
