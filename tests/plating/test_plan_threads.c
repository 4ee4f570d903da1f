/* Cautions about threads in a plan, from parts as they are described. */
#include "support/described.h"
#include "support/near.h"

#include "tankside/plan.h"

#include <string.h>

static const tks_caution *planned(described *d, const char *text, size_t *count)
{
    tks_load load = {0};
    tks_plan plan;
    tks_tank tank = tks_tank_of(tks_bath_default());
    d->cautions = tks_cautions_new(d->arena);
    if (described_load(d, text, &load)) fail_msg("%s", d->err.text);
    load.aim = TKS_AIM_MEAN;
    load.thickness = 8e-6;
    if (tks_plan_make(d->arena, &load, &tank, &d->cautions, &plan, &d->err))
        fail_msg("%s", d->err.text);
    const tks_caution *found = NULL;
    *count = 0;
    for (const tks_caution *c = d->cautions.first; c; c = c->next)
        if (!strcmp(c->code, "thread-tight")) {
            found = c;
            ++*count;
        }
    return found;
}

static const char bolt[] =
    "part: bolt\npieces:\n- {shape: hexagon bolt, thread: M8, length: 40 mm}\n";
static const char nut[] = "---\npart: nut\npieces:\n- {shape: hexagon nut, thread: M8}\n";

static void test_bolt_and_nut(void **state)
{
    (void)state;
    described d = described_new();
    size_t count;
    const tks_caution *c = planned(&d, bolt, &count);
    assert_int_equal(count, 1);
    assert_string_equal(c->what, "bolt");
    /* ISO 4042:1999 table 2: 28 um of deviation at 1.25 mm bear 7 um */
    assert_non_null(strstr(c->text, "6g/6H (ISO 965-1) leaves 28 um of pitch diameter"));
    assert_non_null(strstr(c->text, "up to 7 um"));
    char both[400];
    snprintf(both, sizeof both, "%s%s", bolt, nut);
    c = planned(&d, both, &count);
    assert_int_equal(count, 1); /* the bolt speaks for both */
    assert_non_null(strstr(c->text, "up to 3.5 um"));
    assert_non_null(strstr(c->text, "stop off the nut's thread"));
    described_free(&d);
}

static void test_threads_that_do_not_bind(void **state)
{
    (void)state;
    described d = described_new();
    size_t count;
    planned(&d, "part: rod\npieces:\n- {shape: threaded rod, thread: M20, length: 40 mm}\n",
            &count);
    assert_int_equal(count, 0); /* 42 um of deviation */
    planned(&d,
            "part: bolt\nmasked: [thread]\npieces:\n- {shape: hexagon bolt, thread: M8, length: 40 "
            "mm}\n",
            &count);
    assert_int_equal(count, 0);
    planned(&d, "part: nut\npieces:\n- {shape: nut, thread: M8, engaged: yes}\n", &count);
    assert_int_equal(count, 0);
    planned(&d, "part: pin\npieces:\n- {shape: cylinder, diameter: 8 mm, length: 40 mm}\n", &count);
    assert_int_equal(count, 0);
    described_free(&d);
}

/* The end of a bolt under 12 mm thick: B850's 12 h for 1201 to 1300 MPa, not the 24 h of a thick
 * section. */
static void test_sections_shorten_the_bake(void **state)
{
    (void)state;
    described d = described_new();
    tks_load load = {0};
    tks_plan plan;
    tks_tank tank = tks_tank_of(tks_bath_default());
    assert_int_equal(described_load(&d,
                                    "part: bolt\ngrade: 10.9\npieces:\n- {shape: hexagon bolt, "
                                    "thread: M6, length: 40 mm}\n",
                                    &load),
                     TKS_OK);
    assert_near(load.first->item.section, 10e-3, 0.2, "head of 10 mm");
    assert_int_equal(tks_plan_make(d.arena, &load, &tank, &d.cautions, &plan, &d.err), TKS_OK);
    bool found = false;
    for (const tks_caution *c = d.cautions.first; c; c = c->next)
        found |= !strcmp(c->code, "hydrogen-check") && strstr(c->text, "at least 12 h");
    assert_true(found);
    described_free(&d);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_bolt_and_nut),
        cmocka_unit_test(test_threads_that_do_not_bind),
        cmocka_unit_test(test_sections_shorten_the_bake),
    };
    return cmocka_run_group_tests_name("plan threads", tests, NULL, NULL);
}
