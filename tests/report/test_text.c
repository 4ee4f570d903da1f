/* How cautions are printed. */
#include "report/report.h"
#include "support/near.h"

#include <string.h>

static tks_cautions some_cautions(tks_arena *arena)
{
    static const char *const tubes[] = {"rail", "leg", "brace", "stay", "post"};
    tks_cautions list = tks_cautions_new(arena);
    tks_caution_add(&list, TKS_NOTE, "default", "", "8 um is taken.");
    for (size_t i = 0; i < sizeof tubes / sizeof tubes[0]; i++) {
        tks_caution_add(&list, TKS_INJURY, "sealed", tubes[i], "It can burst.");
        tks_caution_add(&list, TKS_DOUBT, "bore", tubes[i], "%zu mm get nothing.", i);
    }
    tks_caution_add(&list, TKS_INJURY, "sealed", "float", "It can burst when it is heated.");
    return list;
}

static void check_printed(bool quiet, const char *want)
{
    tks_arena *arena = tks_arena_new();
    tks_cautions list = some_cautions(arena);
    base_buffer out = {0};
    report_put_cautions(&out, &list, quiet, false);
    assert_string_equal(out.text, want);
    base_buffer_free(&out);
    tks_arena_free(arena);
}

/* The gravest first; what says the same of several parts is said once. */
static void test_alike_cautions_are_said_once(void **state)
{
    (void)state;
    check_printed(true, "CAUTION: rail; leg; brace and 2 more: It can burst.\n"
                        "CAUTION: float: It can burst when it is heated.\n");
    check_printed(false, "CAUTION: rail; leg; brace and 2 more: It can burst.\n"
                         "CAUTION: float: It can burst when it is heated.\n"
                         "doubtful: rail: 0 mm get nothing.\n"
                         "doubtful: leg: 1 mm get nothing.\n"
                         "doubtful: brace: 2 mm get nothing.\n"
                         "doubtful: stay: 3 mm get nothing.\n"
                         "doubtful: post: 4 mm get nothing.\n"
                         "note: 8 um is taken.\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_alike_cautions_are_said_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
