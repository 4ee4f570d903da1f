/* What is wrong with a text, and at which place it is said to be. The places were counted by hand.
 */
#include "reading.h"

static const struct {
    const char *text;
    tks_status code;
    int line, column;
    const char *message; /* a part of it */
} known[] = {
    {"", TKS_ESYNTAX, 0, 0, "the file is empty"},
    {"# only a note\n\n", TKS_ESYNTAX, 0, 0, "empty but for blank lines and comments"},
    {"---\n---\na: 1\n", TKS_ESYNTAX, 2, 1, "document 1 of the file is empty"},
    {"a: 1\n\tb: 2\n", TKS_ESYNTAX, 2, 1, "a tab stands where only spaces may indent"},
    {"a:\n\tb: 2\n", TKS_ESYNTAX, 2, 1, "a tab stands where only spaces may indent"},
    {"a: b: c\n", TKS_ESYNTAX, 1, 5, "a ':' stands where none can be; quote the text"},
    {"a: 1\n  b: 2\n", TKS_ESYNTAX, 2, 4, "check the indentation"},
    {"a: 1\nb\nc: 2\n", TKS_ESYNTAX, 2, 1, "a ':' is missing"},
    {"note: \"open\nb: 2\n", TKS_ESYNTAX, 1, 7, "this quote is not closed"},
    {"b: 2\nnote: 'open\n---\n", TKS_ESYNTAX, 2, 7, "this quote is not closed"},
    {"a: [1, 2\nb: 3\n", TKS_ESYNTAX, 2, 2, "it would close the '[' of line 1, column 4"},
    {"a: [1, 2", TKS_ESYNTAX, 1, 4, "this '[' is not closed"},
    {"a: {b: 1\n", TKS_ESYNTAX, 1, 4, "this '{' is not closed"},
    {"a: {b: 1 c: 2}", TKS_ESYNTAX, 1, 11, "'{' of line 1, column 4"},
    {"a: [1, 2] mmm\n", TKS_ESYNTAX, 1, 11, "'mmm' cannot stand behind ']'; only a unit"},
    {"a: [1, 2] mm mm\n", TKS_ESYNTAX, 1, 11, "'mm mm' cannot stand behind ']'"},
    {"a: \"x\" y\n", TKS_ESYNTAX, 1, 8, "'y' cannot stand behind '\"'"},
    {"a:\n  - 1\n - 2\n", TKS_ESYNTAX, 3, 2, "check the indentation"},
    {"- a\nb: 1\n", TKS_ESYNTAX, 2, 1, "expected an item '- ...'"},
    {"a: - b\n", TKS_ESYNTAX, 1, 4, "an item '-' cannot begin here"},
    {"a: @home\n", TKS_ESYNTAX, 1, 4, "'@' cannot begin a value; put quotes"},
    {"a: \"\\q\"\n", TKS_ESYNTAX, 1, 5, "no such escape"},
    {"a: | x\n", TKS_ESYNTAX, 1, 6, "begins on the next line"},
    {"a: &\n", TKS_ESYNTAX, 1, 4, "a name must follow '&'"},
    {"a: !!int 3\n", TKS_ESYNTAX, 1, 4, "tags ('!') are not used"},
    {"a: !x [3]\n", TKS_ESYNTAX, 1, 4, "tags ('!') are not used"},
    {"? [1, 2]\n: 3\n", TKS_ESYNTAX, 1, 3, "a name must stand before the ':', not a list"},
    {"{{name}}: 3\n", TKS_ESYNTAX, 1, 1, "a name must stand before the ':', not a map"},
    {"a: &x 1\n*x : 2\n", TKS_ESYNTAX, 2, 1, "a name must be written out, not '*x'"},
    {"\"\": 2\n", TKS_ESYNTAX, 1, 1, "a name is missing before the ':'"},
    {"a: \"x\\e[31m\"\n", TKS_ESYNTAX, 1, 4, "holds a control character"},
    {"a: \"x\\0y\"\n", TKS_ESYNTAX, 1, 4, "holds a control character"},
    {"a: 1\nb: 2\nA: 3\n", TKS_ESYNTAX, 3, 1,
     "'A' stands here for the second time; the first is in line 1"},
    {"p:\n  end thickness: 1\n  end-thickness: 2\n", TKS_ESYNTAX, 3, 3, "the first is in line 2"},
    {"a: {b: 1, c: 2, b: 3}\n", TKS_ESYNTAX, 1, 17, "'b' stands here for the second time"},
    {"a: *x\n", TKS_EUNKNOWN, 1, 4, "no '&x' stands above it"},
    {"a: &x [1, *x]\n", TKS_ESYNTAX, 1, 11, "stands inside of what it stands for"},
    {"maß: größe: 1\n", TKS_ESYNTAX, 1, 11, "a ':' stands where none can be"},
    {"a: 1\r\nb: c: d\r\n", TKS_ESYNTAX, 2, 5, "a ':' stands where none can be"},
    {"a: 1\rb: c: d\r", TKS_ESYNTAX, 2, 5, "a ':' stands where none can be"},
    {"\xEF\xBB\xBF"
     "a: b: c\n",
     TKS_ESYNTAX, 1, 5, "a ':' stands where none can be"},
    {"a: 1\n\xC3\xA9: \xE9\n", TKS_ESYNTAX, 2, 4, "the byte 0xE9 is not UTF-8"},
    {"a: 1\nb\x1B: 2\n", TKS_ESYNTAX, 2, 2, "control character U+001B"},
    {"a: x\xE2\x80\xA8\n", TKS_ESYNTAX, 1, 5, "control character U+2028"},
    {"a: \xEF\xBB\xBFx\n", TKS_ESYNTAX, 1, 4, "control character U+FEFF"},
    {"\xFF\xFE"
     "a:",
     TKS_ESYNTAX, 0, 0, "this is not a text file"},
};

static void each_problem_has_its_place_and_words(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        tks_arena *arena = tks_arena_new();
        const tks_node *root = NULL;
        tks_error err = {0};
        tks_status status =
            read_first(arena, known[i].text, strlen(known[i].text), NULL, &root, &err);
        if (status != known[i].code || err.code != status || err.line != known[i].line ||
            err.column != known[i].column || !strstr(err.text, known[i].message))
            fail_msg("row %zu: got %s %d:%d %s", i, tks_status_name(status), err.line, err.column,
                     err.text);
        assert_null(root);
        tks_arena_free(arena);
    }
}

static void a_nul_byte_means_no_text(void **state)
{
    (void)state;
    const tks_node *root;
    tks_error err;
    tks_arena *arena = tks_arena_new();
    assert_int_equal(read_first(arena, "a: 1\0\n", 6, NULL, &root, &err), TKS_ESYNTAX);
    assert_string_equal(err.text, "this is not a text file");
    assert_int_equal(err.line, 0);
    tks_arena_free(arena);
}

static void an_error_stays(void **state)
{
    (void)state;
    const char text[] = "a: 1\na: 2\n---\nb: 3\n";
    tks_reader *reader;
    tks_error err;
    const tks_node *root;
    tks_arena *arena = tks_arena_new();
    assert_int_equal(tks_reader_memory("t", text, sizeof text - 1, NULL, &reader, &err), TKS_OK);
    for (int i = 0; i < 3; i++) {
        memset(&err, 0, sizeof err);
        assert_int_equal(tks_reader_next(reader, arena, &root, &err), TKS_ESYNTAX);
        assert_int_equal(err.line, 2);
    }
    assert_int_equal(tks_reader_next(reader, arena, &root, NULL), TKS_ESYNTAX);
    tks_reader_close(reader);
    tks_arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_problem_has_its_place_and_words),
        cmocka_unit_test(a_nul_byte_means_no_text),
        cmocka_unit_test(an_error_stays),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
