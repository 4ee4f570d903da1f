#include "support/near.h"
#include "tankside/plan.h"

#include <string.h>

/* Reads a load and a tank from texts, and plans it. */
typedef struct planned {
    tks_arena *arena, *scratch;
    tks_shapes *shapes;
    tks_cautions cautions;
    tks_load load;
    tks_tank tank;
    tks_plan plan;
    tks_error err;
    tks_status status;
} planned;

static const tks_node *root_of(planned *p, const char *text)
{
    tks_reader *reader = NULL;
    const tks_node *root = NULL;
    assert_int_equal(tks_reader_memory("test", text, strlen(text), NULL, &reader, NULL), TKS_OK);
    assert_int_equal(tks_reader_next(reader, p->arena, &root, NULL), TKS_OK);
    tks_reader_close(reader);
    return root;
}

static void plan(planned *p, const char *load, const char *tank)
{
    memset(p, 0, sizeof *p);
    p->arena = tks_arena_new();
    p->scratch = tks_arena_new();
    p->cautions = tks_cautions_new(p->arena);
    assert_int_equal(tks_shapes_new(&p->shapes, NULL), TKS_OK);
    tks_part_reading reading = {.shapes = p->shapes,
                                .arena = p->arena,
                                .scratch = p->scratch,
                                .cautions = &p->cautions,
                                .sizes = true};
    p->status = tks_load_read(&reading, root_of(p, load), "test", &p->load, &p->err);
    if (p->status) fail_msg("load: %s", p->err.text);
    p->tank = tks_tank_of(tks_bath_default());
    if (tank && tks_tank_read(p->arena, root_of(p, tank), "test", &p->tank, &p->err))
        fail_msg("tank: %s", p->err.text);
    p->status = tks_plan_make(p->arena, &p->load, &p->tank, &p->cautions, &p->plan, &p->err);
}

static void done(planned *p)
{
    tks_shapes_free(p->shapes);
    tks_arena_free(p->scratch);
    tks_arena_free(p->arena);
}

static bool warned(const planned *p, const char *code)
{
    for (const tks_caution *c = p->cautions.first; c; c = c->next)
        if (!strcmp(c->code, code)) return true;
    return false;
}

/* By hand: ten rods of 10 mm by 100 mm, 2 pi 5 (5 + 100) = 3298.67 mm2 each, 0.0329867 m2 together.
 * At 1 A/dm2 = 100 A/m2: 3.29867 A. 10 um of zinc at 96 %: q = 1e-5 7140 2 96485.33 / (0.06538
 * 0.96) = 219517 C/m2, over 100 A/m2 2195.17 s. Zinc: 1e-5 7140 0.0329867 = 2.35525 g. */
static void one_run_by_hand(void **state)
{
    (void)state;
    planned p;
    plan(&p,
         "load: rods\nthickness: 10 um\ndensity: 1 A/dm^2\n"
         "parts: [{shape: cylinder, diameter: 10 mm, length: 100 mm, count: 10}]\n",
         "tank: t\nbath: {like: chloride zinc, efficiency: 96 %}\n");
    assert_int_equal(p.status, TKS_OK);
    assert_int_equal(p.plan.run_count, 1);
    const tks_setting *s = &p.plan.runs[0].setting;
    assert_near(s->area, 0.0329867228626928, 1e-12, "area");
    assert_near(s->current, 3.29867228626928, 1e-12, "current");
    assert_near(s->time, 2195.196, 1e-6, "time");
    assert_near(s->charge, 3.29867228626928 * s->time, 1e-12, "charge");
    assert_near(s->metal, 2.35525e-3, 1e-5, "zinc");
    assert_true(warned(&p, "supply-unknown"));
    done(&p);
}

/* Each of the rods wants 0.329867 A at 1 A/dm2, so a supply of 1 A at a margin of 1 feeds three at
 * a time: ten rods take four runs, and ceil(3.29867) = 4 is the bound. */
static void supply_splits_runs(void **state)
{
    (void)state;
    planned p;
    plan(&p,
         "load: rods\nthickness: 10 um\ndensity: 1 A/dm^2\n"
         "parts: [{shape: cylinder, diameter: 10 mm, length: 100 mm, count: 10}]\n",
         "tank: t\nsupply: {kind: bench supply, current: 1 A, margin: 1}\n");
    assert_int_equal(p.status, TKS_OK);
    assert_int_equal(p.plan.run_count, 4);
    assert_int_equal(p.plan.bound, 4);
    assert_true(p.plan.exact);
    size_t pieces = 0;
    for (size_t i = 0; i < p.plan.run_count; i++) {
        assert_true(p.plan.runs[i].setting.current <= 1);
        for (size_t k = 0; k < p.plan.runs[i].entry_count; k++)
            pieces += p.plan.runs[i].entries[k].count;
    }
    assert_int_equal(pieces, 10);
    done(&p);
}

/* A minimum on significant surfaces is a mean on open ones; a mean over a deep tube asks more of
 * the open faces, as much more as the current sees less. */
static void aims_differ_where_insides_are_deep(void **state)
{
    (void)state;
    planned mean, least;
    const char *tube = "parts: [{shape: tube, outside: 20 mm, wall: 2 mm, length: 200 mm}]\n";
    char text[200];
    snprintf(text, sizeof text, "load: a\nthickness: {mean: 10 um}\n%s", tube);
    plan(&mean, text, NULL);
    snprintf(text, sizeof text, "load: a\nthickness: {minimum: 10 um}\n%s", tube);
    plan(&least, text, NULL);
    assert_int_equal(mean.status, TKS_OK);
    assert_int_equal(least.status, TKS_OK);
    const tks_plan_entry *m = mean.plan.runs[0].entries, *l = least.plan.runs[0].entries;
    assert_near(m->thickness_mean, 1e-5, 1e-12, "mean");
    assert_near(l->thickness_open, 1e-5, 1e-12, "open");
    assert_true(m->thickness_open > 1.1e-5);
    assert_true(l->thickness_least < 1e-6);
    assert_true(warned(&mean, "inside-bare"));
    const tks_setting *s = &mean.plan.runs[0].setting;
    assert_near(m->thickness_open / m->thickness_mean, s->area / s->effective_area, 1e-12, "ratio");
    done(&mean);
    done(&least);
}

/* Hangers are plated too: 0.9 mm wire, 60 mm wetted, pi 0.9 60 = 169.646 mm2 for each part. */
static void hangers_count(void **state)
{
    (void)state;
    planned p;
    plan(&p,
         "load: a\nhangers: {wire: 0.9 mm, wetted length: 60 mm}\n"
         "parts: [{shape: sphere, diameter: 20 mm, count: 3}]\n",
         NULL);
    assert_int_equal(p.status, TKS_OK);
    assert_near(p.plan.runs[0].hanger_area, 3 * 169.6460032938e-6, 1e-10, "hangers");
    assert_near(p.plan.area, 3 * (169.6460032938e-6 + 1256.6370614359e-6), 1e-10, "area");
    assert_true(warned(&p, "thickness-assumed"));
    done(&p);
}

static void what_cannot_be_planned_is_said(void **state)
{
    (void)state;
    static const struct {
        const char *load, *tank, *says;
    } rows[] = {
        {"load: a\nparts: [{shape: cylinder, diameter: 10 mm, length: 900 mm}]\n",
         "tank: t\nsize: [300, 200, 200] mm\n", "larger than the tank"},
        {"load: a\nparts: [{shape: sphere, diameter: 100 mm}]\n",
         "tank: t\nsupply: {kind: bench supply, current: 1 A}\n", "supply gives"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        planned p;
        plan(&p, rows[i].load, rows[i].tank);
        assert_int_not_equal(p.status, TKS_OK);
        if (!strstr(p.err.text, rows[i].says)) fail_msg("row %zu: %s", i, p.err.text);
        done(&p);
    }
}

static void hard_steel_is_warned_of(void **state)
{
    (void)state;
    planned p;
    plan(&p,
         "load: a\nparts: [{part: stud, grade: '12.9', pieces: [{shape: cylinder, diameter: 8 mm, "
         "length: 40 mm}]}]\n",
         NULL);
    assert_int_equal(p.status, TKS_OK);
    assert_true(warned(&p, "hydrogen-bake") || warned(&p, "hydrogen-refused"));
    done(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_run_by_hand),
        cmocka_unit_test(supply_splits_runs),
        cmocka_unit_test(aims_differ_where_insides_are_deep),
        cmocka_unit_test(hangers_count),
        cmocka_unit_test(what_cannot_be_planned_is_said),
        cmocka_unit_test(hard_steel_is_warned_of),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
