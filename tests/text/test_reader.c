/* Documents to nodes: places, limits, many documents, files, and memory that runs out. */
#include "base/alloc.h"
#include "reading.h"

#include <stdlib.h>
#include <unistd.h>

static void nodes_know_their_places(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    const tks_node *map = read_well(arena, "\xEF\xBB\xBF# top\r\npart: link\r\npieces:\r\n"
                                           "  - shape: plate\r\n    größe: \"8 mm\"\r\n  - x\r\n");
    assert_int_equal(map->kind, TKS_MAP);
    assert_int_equal(map->line, 2);
    assert_null(map->key);
    const tks_node *pieces = tks_node_get(map, "Pieces");
    assert_int_equal(pieces->key->line, 3);
    assert_int_equal(pieces->count, 2);
    const tks_node *size = tks_node_get(pieces->first, "größe");
    assert_string_equal(size->text, "8 mm");
    assert_true(size->quoted);
    assert_false(size->block);
    assert_int_equal(size->line, 5);
    assert_int_equal(size->column, 12);
    assert_int_equal(size->key->column, 5);
    assert_int_equal(tks_node_text_place(size, "f").column, 13);
    assert_null(pieces->first->next->key);
    assert_null(tks_node_get(map, "count"));
    assert_null(tks_node_get(pieces, "count"));
    tks_arena_free(arena);
}

static void documents_come_one_by_one(void **state)
{
    (void)state;
    const char text[] = "a: 1\n--- # next\nb: [1] mm\n...\n---\n'c'\n";
    const char *const texts[] = {"1", "", "c"};
    tks_reader *reader;
    const tks_node *root;
    tks_arena *arena = tks_arena_new();
    assert_int_equal(tks_reader_memory("t", text, strlen(text), NULL, &reader, NULL), TKS_OK);
    for (int i = 0; i < 3; i++) {
        tks_arena_reset(arena);
        assert_int_equal(tks_reader_next(reader, arena, &root, NULL), TKS_OK);
        assert_non_null(root);
        const tks_node *value = root->first ? root->first : root;
        assert_string_equal(value->text, texts[i]);
    }
    for (int i = 0; i < 2; i++) {
        assert_int_equal(tks_reader_next(reader, arena, &root, NULL), TKS_OK);
        assert_null(root);
    }
    tks_reader_close(reader);
    tks_arena_free(arena);
}

static void lines_are_found(void **state)
{
    (void)state;
    const char text[] = "one\r\ntwo\n\rfour";
    const char *const lines[] = {"one", "two", "", "four"};
    tks_reader *reader;
    size_t length;
    assert_int_equal(tks_reader_memory("t", text, strlen(text), NULL, &reader, NULL), TKS_OK);
    for (int i = 0; i < 4; i++) {
        const char *line = tks_reader_line(reader, i + 1, &length);
        assert_int_equal(length, strlen(lines[i]));
        assert_memory_equal(line, lines[i], length);
    }
    assert_null(tks_reader_line(reader, 5, &length));
    assert_null(tks_reader_line(reader, 0, &length));
    assert_null(tks_reader_line(reader, -1, &length));
    tks_reader_close(reader);
}

static void aliases_copy(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    const tks_node *map =
        read_well(arena, "a: &x {b: [1, 2], c: d}\ne: *x\nf: &x 3\ng: [*x, *x] mm\n");
    const tks_node *copy = tks_node_get(map, "e");
    assert_ptr_not_equal(copy, tks_node_get(map, "a"));
    assert_int_equal(copy->count, 2);
    assert_string_equal(copy->key->text, "e");
    assert_string_equal(tks_node_get(copy, "c")->text, "d");
    assert_int_equal(tks_node_get(copy, "b")->count, 2);
    assert_string_equal(tks_node_get(map, "g")->first->next->text, "3");
    assert_int_equal(tks_node_get(map, "g")->count, 2);
    tks_arena_free(arena);
}

/* Each text breaks the one limit that its row names, and is read when that limit is one higher. */
static const struct {
    const char *text;
    tks_limits limits;
    const char *message;
} limited[] = {
    {"a: [1, 2, 3]\n", {12, 100, 100, 9}, "larger than 12 bytes"},
    {"a: [1, 2, 3]\n", {99, 5, 100, 9}, "more than 5 values"},
    {"a: [[[1]]]\n", {99, 100, 100, 3}, "nested deeper than 3 levels"},
    {"- &a [1, 2]\n- *a\n- *a\n", {99, 100, 5, 9}, "aliases add more than 5 values"},
    {"- &a [[1]]\n- [*a]\n", {99, 100, 100, 3}, "aliases nest deeper than 3 levels"},
    {"- &a 1\n- &b 2\n- &c 3\n", {99, 100, 2, 9}, "more than 2 anchors"},
};

static void limits_are_named(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof limited / sizeof *limited; i++) {
        tks_arena *arena = tks_arena_new();
        const tks_node *root = NULL;
        const char *text = limited[i].text;
        tks_error err = {0};
        tks_limits limits = limited[i].limits;
        tks_status status = read_first(arena, text, strlen(text), &limits, &root, &err);
        if (status != TKS_ELIMIT || !strstr(err.text, limited[i].message))
            fail_msg("row %zu: %s", i, err.text);
        limits =
            (tks_limits){limits.bytes + 1, limits.nodes + 1, limits.aliases + 1, limits.depth + 1};
        assert_int_equal(read_first(arena, text, strlen(text), &limits, &root, &err), TKS_OK);
        tks_arena_free(arena);
    }
}

/* Nine levels of nine aliases each would be some 400 million nodes. */
static void a_thousand_million_laughs_fail(void **state)
{
    (void)state;
    char text[2000] = "- &a [x, x, x, x, x, x, x, x, x]\n";
    for (char c = 'b'; c <= 'i'; c++) {
        size_t used = strlen(text);
        sprintf(text + used, "- &%c [*%c, *%c, *%c, *%c, *%c, *%c, *%c, *%c, *%c]\n", c, c - 1,
                c - 1, c - 1, c - 1, c - 1, c - 1, c - 1, c - 1, c - 1);
    }
    tks_arena *arena = tks_arena_new();
    const tks_node *root;
    tks_error err;
    assert_int_equal(read_first(arena, text, strlen(text), NULL, &root, &err), TKS_ELIMIT);
    assert_string_equal(err.text, "aliases add more than 10000 values to this document, the most "
                                  "that are read");
    tks_arena_free(arena);
}

/* A map of so many keys that they are sorted, the repeated one being neither first nor last. */
static void duplicates_are_found_among_many(void **state)
{
    (void)state;
    char text[4000] = "";
    for (int i = 0; i < 200; i++) sprintf(text + strlen(text), "key %d: 1\n", i * 7 % 200);
    tks_arena *arena = tks_arena_new();
    const tks_node *root;
    tks_error err;
    assert_int_equal(read_first(arena, text, strlen(text), NULL, &root, &err), TKS_OK);
    strcat(text, "Key_105: 2\nkey 3: 4\n");
    assert_int_equal(read_first(arena, text, strlen(text), NULL, &root, &err), TKS_ESYNTAX);
    assert_int_equal(err.line, 201);
    assert_string_equal(err.text,
                        "'Key_105' stands here for the second time; the first is in line 16");
    tks_arena_free(arena);
}

static void files_that_cannot_be_read(void **state)
{
    (void)state;
    tks_reader *reader = NULL;
    tks_error err;
    assert_int_equal(tks_reader_open("/nowhere/part.yaml", NULL, &reader, &err), TKS_EOPEN);
    assert_string_equal(err.file, "/nowhere/part.yaml");
    assert_non_null(strstr(err.text, "No such file"));
    assert_int_equal(tks_reader_open("/", NULL, &reader, &err), TKS_EOPEN);
    assert_non_null(strstr(err.text, "Is a directory"));
    tks_limits limits = tks_limits_default();
    limits.bytes = 100000;
    assert_int_equal(tks_reader_open("/dev/zero", &limits, &reader, &err), TKS_ELIMIT);
    assert_null(reader);
}

static void a_file_is_read_whole(void **state)
{
    (void)state;
    enum { ITEMS = 60000 };
    char path[] = "/tmp/tankside-test-XXXXXX";
    int made = mkstemp(path);
    assert_true(made >= 0);
    FILE *file = fdopen(made, "w");
    for (int i = 0; i < ITEMS; i++) fprintf(file, "- %d\n", i);
    fclose(file);
    tks_reader *reader;
    const tks_node *root;
    tks_arena *arena = tks_arena_new();
    assert_int_equal(tks_reader_open(path, NULL, &reader, NULL), TKS_OK);
    assert_string_equal(tks_reader_name(reader), path);
    assert_int_equal(tks_reader_next(reader, arena, &root, NULL), TKS_OK);
    assert_int_equal(root->count, ITEMS);
    tks_reader_close(reader);
    tks_limits limits = tks_limits_default();
    limits.bytes = 1000;
    assert_int_equal(tks_reader_open(path, &limits, &reader, NULL), TKS_ELIMIT);
    tks_arena_free(arena);
    unlink(path);
}

/* Every allocation fails in turn, until none does. */
static void short_memory_is_survived(void **state)
{
    (void)state;
    char text[3000] = "a: &x [1, 2] mm\nb: *x\nc: \"d\"\n";
    for (int i = 0; i < 100; i++) sprintf(text + strlen(text), "key %d: [%d] mm\n", i, i);
    tks_status status = TKS_EMEMORY;
    long nth;
    for (nth = 1; status == TKS_EMEMORY && nth < 10000; nth++) {
        const tks_node *root = NULL;
        tks_error err = {0};
        base_alloc_fail_at(nth);
        tks_arena *arena = tks_arena_new();
        status = arena ? read_first(arena, text, strlen(text), NULL, &root, &err) : TKS_EMEMORY;
        base_alloc_fail_at(0);
        if (arena && status) {
            assert_int_equal(err.code, TKS_EMEMORY);
            assert_null(root);
        }
        tks_arena_free(arena);
    }
    assert_int_equal(status, TKS_OK);
    assert_true(nth > 6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nodes_know_their_places),
        cmocka_unit_test(documents_come_one_by_one),
        cmocka_unit_test(lines_are_found),
        cmocka_unit_test(aliases_copy),
        cmocka_unit_test(limits_are_named),
        cmocka_unit_test(a_thousand_million_laughs_fail),
        cmocka_unit_test(duplicates_are_found_among_many),
        cmocka_unit_test(files_that_cannot_be_read),
        cmocka_unit_test(a_file_is_read_whole),
        cmocka_unit_test(short_memory_is_survived),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
