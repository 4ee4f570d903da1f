#include "support/near.h"

#include "tankside/thread_fit.h"

#include <string.h>

#define UM 1e-6
#define MM 1e-3
#define IN 25.4e-3

static tks_thread metric(double diameter, double pitch)
{
    return (tks_thread){.form = TKS_THREAD_METRIC, .diameter = diameter * MM, .pitch = pitch * MM};
}

static tks_thread unified(double diameter, double per_inch)
{
    return (tks_thread){
        .form = TKS_THREAD_UNIFIED, .diameter = diameter * IN, .pitch = IN / per_inch};
}

static tks_thread_fit fit_of(tks_thread thread, const char *bolt, const char *nut)
{
    tks_thread_fit fit;
    tks_error err = {0};
    if (tks_thread_fit_of(&thread, bolt, nut, &fit, &err)) fail_msg("%s", err.text);
    return fit;
}

static void test_growth_follows_the_flank_angle(void **state)
{
    (void)state;
    /* ISO 4042:1999 table 2 and ASME B1.13M: coating a quarter of the allowance */
    assert_near(tks_thread_growth(TKS_THREAD_METRIC), 4, 1e-15, "60 deg");
    assert_near(tks_thread_growth(TKS_THREAD_UNIFIED), 4, 1e-15, "60 deg");
    assert_near(tks_thread_growth(TKS_THREAD_WHITWORTH), 4.3313, 1e-4, "2 / sin 27.5 deg");
    assert_near(tks_thread_growth(TKS_THREAD_BA), 4.9659, 1e-4, "2 / sin 23.75 deg");
}

/* The growth measured on the solid: the profile pushed outward by t along its flank's normal, the
 * pitch diameter found again where the flank is a quarter pitch from the crest's middle. */
static void test_growth_is_what_an_offset_flank_does(void **state)
{
    (void)state;
    for (int form = 0; form < TKS_THREAD_FORM_COUNT; form++) {
        tks_thread thread = {.form = (tks_thread_form)form, .diameter = 8e-3, .pitch = 1e-3};
        tks_thread_profile p;
        assert_int_equal(tks_thread_profile_of(&thread, &p, NULL), TKS_OK);
        double t = 10 * UM;
        const tks_segment *flank = &p.half[1];
        double x = flank->to.x - flank->from.x, y = flank->to.y - flank->from.y;
        double length = hypot(x, y);
        double ox = flank->from.x + t * y / length, oy = flank->from.y - t * x / length;
        double there = ox + (-p.pitch / 4 - oy) * x / y;
        assert_near(2 * (there - p.effective) / t, tks_thread_growth(thread.form), 1e-9,
                    tks_thread_form_name(thread.form));
    }
}

static void test_metric_allowances_and_tolerances(void **state)
{
    (void)state;
    /* um. Deviations: ISO 4042:1999 table 2, secondary copy; Td2 6g and TD2 6H: ISO 965-2 limits of
     * sizes, secondary copies (M8: 7.160/7.042 and 7.188/7.348 mm) */
    static const struct {
        double diameter, pitch, deviation, bolt, nut;
    } rows[] = {
        {1.6, .35, 19, 63, 85},   {2, .4, 19, 67, 90},  {3, .5, 20, 75, 100},
        {4, .7, 22, 90, 118},     {5, .8, 24, 95, 125}, {6, 1, 26, 112, 150},
        {8, 1.25, 28, 118, 160},  {8, 1, 26, 112, 150}, {10, 1.5, 32, 132, 180},
        {10, 1.25, 28, 118, 160},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tks_thread_fit fit = fit_of(metric(rows[i].diameter, rows[i].pitch), "", NULL);
        assert_near(fit.allowance, rows[i].deviation * UM, 1e-12, "es");
        assert_near(fit.bolt_tolerance, rows[i].bolt * UM, 0.05, "Td2");
        assert_near(fit.nut_tolerance, rows[i].nut * UM, 0.05, "TD2");
    }
}

/* ISO 4042:1999 table 2, largest local coating by pitch [um], secondary copy: the standard's steps
 * 3, 5, 8, 10, 12 are the largest below a quarter of the deviation. */
static void test_greatest_deposits_of_iso_4042(void **state)
{
    (void)state;
    static const struct {
        double diameter, pitch, coating;
    } rows[] = {
        {1.6, .35, 3}, {2, .4, 3},   {3, .5, 5},   {4, .7, 5},    {5, .8, 5},
        {6, 1, 5},     {8, 1.25, 5}, {10, 1.5, 8}, {12, 1.75, 8}, {16, 2, 8},
    };
    static const double steps[] = {3, 5, 8, 10, 12};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double sure = tks_thread_fit_sure(
            &(tks_thread_fit){
                .growth = 4,
                .allowance = fit_of(metric(rows[i].diameter, rows[i].pitch), "6g", "6H").allowance},
            0);
        double step = 0;
        for (size_t k = 0; k < 5; k++)
            if (steps[k] * UM <= sure * (1 + 1e-9)) step = steps[k];
        assert_near(step, rows[i].coating, 0, "ISO 4042 table 2");
    }
}

static void test_unified_allowances(void **state)
{
    (void)state;
    /* in. ASME B1.1 table 2, class 2A allowances, secondary copy; rounded to
     * 0.0001 (the formula gives 0.00165 for 5/8-11) */
    static const struct {
        double diameter, per_inch, allowance;
    } rows[] = {
        {1 / 4., 20, .0011}, {5 / 16., 18, .0012}, {3 / 8., 16, .0013}, {7 / 16., 14, .0014},
        {1 / 2., 13, .0015}, {5 / 8., 11, .0016},  {3 / 4., 10, .0018},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tks_thread_fit fit = fit_of(unified(rows[i].diameter, rows[i].per_inch), "", "");
        assert_true(fabs(fit.allowance / IN - rows[i].allowance) <= 0.51e-4);
    }
    tks_thread_fit fit = fit_of(unified(.25, 20), "2A", "2B");
    assert_true(fabs(fit.bolt_tolerance / IN - .0037) <= .51e-4); /* 1/4-20: .2164 - .2127 */
    assert_true(fabs(fit.nut_tolerance / IN - .0049) <= .51e-4);
    assert_near(fit_of(unified(.25, 20), "3A", "3B").allowance, 0, 0, "3A has none");
}

static void test_verdicts(void **state)
{
    (void)state;
    tks_thread_fit fit = fit_of(metric(8, 1.25), NULL, NULL);
    assert_near(tks_thread_fit_sure(&fit, 0), 7 * UM, 1e-12, "28 / 4");
    assert_near(tks_thread_fit_sure(&fit, 1), 3.5 * UM, 1e-12, "28 / 8");
    assert_int_equal(tks_thread_fit_judge(&fit, 7 * UM, 0), TKS_FIT_SURE);
    assert_int_equal(tks_thread_fit_judge(&fit, 7.1 * UM, 0), TKS_FIT_LIKELY);
    assert_int_equal(tks_thread_fit_judge(&fit, 12 * UM, 12 * UM), TKS_FIT_LIKELY);
    assert_int_equal(tks_thread_fit_judge(&fit, 25 * UM, 25 * UM), TKS_FIT_SELDOM);
    assert_int_equal(tks_thread_fit_judge(&fit, 50 * UM, 50 * UM), TKS_FIT_NEVER);
    double likely = tks_thread_fit_likely(&fit, 0);
    assert_int_equal(tks_thread_fit_judge(&fit, likely, 0), TKS_FIT_LIKELY);
    assert_int_equal(tks_thread_fit_judge(&fit, likely * 1.001, 0), TKS_FIT_SELDOM);
    assert_near(fit_of(metric(8, 1.25), "6h", "6H").allowance, 0, 0, "h");
    assert_near(fit_of(metric(8, 1.25), "6g", "6G").allowance, 56 * UM, 1e-12, "g and G");
    assert_true(fit_of(metric(8, 1.25), "6e", "6H").allowance > 60 * UM);
    assert_near(fit_of(metric(8, 1.25), "5g6g", "").bolt_tolerance, 0.8 * fit.bolt_tolerance, 1e-12,
                "grade 5");
}

static void test_unevenness(void **state)
{
    (void)state;
    /* ISO 4042:1999 table 2: 8 um asks for 32, 40 and 48 um of deviation */
    assert_near(4 * 8 * tks_thread_unevenness(.04, .008), 32, 1e-12, "5 d");
    assert_near(4 * 8 * tks_thread_unevenness(.06, .008), 40, 1e-12, "7.5 d");
    assert_near(4 * 8 * tks_thread_unevenness(.1, .008), 48, 1e-12, "12.5 d");
}

static void test_classes_that_do_not_exist(void **state)
{
    (void)state;
    static const struct {
        tks_thread thread;
        const char *bolt, *nut, *part;
    } rows[] = {
        {{TKS_THREAD_METRIC, 8e-3, 1e-3, 0, 0, 0}, "6k", "", "write 6g"},
        {{TKS_THREAD_METRIC, 8e-3, 1e-3, 0, 0, 0}, "2A", "", "write 6g"},
        {{TKS_THREAD_METRIC, 8e-3, 1e-3, 0, 0, 0}, "6", "", "write 6g"},
        {{TKS_THREAD_METRIC, 8e-3, 1e-3, 0, 0, 0}, "", "6e", "write 6H"},
        {{TKS_THREAD_UNIFIED, 8e-3, 1e-3, 0, 0, 0}, "6g", "", "write 1A"},
        {{TKS_THREAD_UNIFIED, 8e-3, 1e-3, 0, 0, 0}, "", "4B", "write 1B"},
        {{TKS_THREAD_WHITWORTH, 8e-3, 1e-3, 0, 0, 0}, "2A", "", "write none"},
        {{TKS_THREAD_METRIC, 8e-3, 5e-3, 0, 0, 0}, "", "", "too coarse"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tks_thread_fit fit = {.growth = -1};
        tks_error err = {0};
        assert_int_not_equal(
            tks_thread_fit_of(&rows[i].thread, rows[i].bolt, rows[i].nut, &fit, &err), TKS_OK);
        assert_near(fit.growth, -1, 0, "left untouched");
        if (!strstr(err.text, rows[i].part)) fail_msg("'%s' lacks '%s'", err.text, rows[i].part);
    }
}

static void test_caution(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_cautions cautions = tks_cautions_new(arena);
    tks_thread_fit fit = fit_of(metric(8, 1.25), NULL, NULL);
    assert_int_equal(tks_thread_fit_cautions(&fit, "M8x1.25", 4 * UM, 7 * UM, 0, "stud", &cautions),
                     TKS_OK);
    assert_int_equal(cautions.count, 0);
    assert_int_equal(
        tks_thread_fit_cautions(&fit, "M8x1.25", 8 * UM, 14 * UM, 0, "stud", &cautions), TKS_OK);
    assert_int_equal(cautions.count, 1);
    assert_string_equal(cautions.first->code, "thread-tight");
    assert_non_null(strstr(cautions.first->text, "32 to 56 um"));
    assert_non_null(strstr(cautions.first->text, "up to 7 um"));
    assert_int_equal(cautions.first->severity, TKS_DOUBT);
    assert_int_equal(
        tks_thread_fit_cautions(&fit, "M8x1.25", 30 * UM, 60 * UM, 1, "stud", &cautions), TKS_OK);
    assert_non_null(strstr(cautions.last->text, "stop off the nut's thread"));
    assert_non_null(strstr(cautions.last->text, "before it is plated."));
    assert_int_equal(cautions.last->severity, TKS_SPOIL);
    tks_arena_free(arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_growth_follows_the_flank_angle),
        cmocka_unit_test(test_growth_is_what_an_offset_flank_does),
        cmocka_unit_test(test_metric_allowances_and_tolerances),
        cmocka_unit_test(test_greatest_deposits_of_iso_4042),
        cmocka_unit_test(test_unified_allowances),
        cmocka_unit_test(test_verdicts),
        cmocka_unit_test(test_unevenness),
        cmocka_unit_test(test_classes_that_do_not_exist),
        cmocka_unit_test(test_caution),
    };
    return cmocka_run_group_tests_name("thread fit", tests, NULL, NULL);
}
