/* What the field refuses, and what it must bear. */
#include "support/fields.h"

#include "base/alloc.h"
#include "base/vec.h"

#include <string.h>

static const tks_vec3 tank = {0.3, 0.2, 0.2};

static void add_box(stage *s, const char *name, tks_field_role role, tks_vec3 low, tks_vec3 high)
{
    surface_box(stage_add(s, name, role), low, high, 0.05, NULL, false);
}

static void add_anode(stage *s)
{
    s->scene.tank = tank;
    add_box(s, "left anode", TKS_FIELD_ANODE, vec3(0.01, 0.03, 0.03), vec3(0.015, 0.17, 0.17));
}

/* The scene is refused with this code, and the message holds these words. */
static void refused(stage *s, tks_status code, const char *words, const char *more)
{
    tks_field *field = NULL;
    tks_error err = {0};
    tks_status got = tks_field_new(&s->scene, &(tks_field_options){.elements = 500}, &field, &err);
    if (got != code || !strstr(err.text, words) || !strstr(err.text, more))
        fail_msg("got %s '%s', want %s with '%s' and '%s'", tks_status_name(got), err.text,
                 tks_status_name(code), words, more);
    assert_null(field);
    stage_free(s);
}

static void test_who_is_missing(void **state)
{
    (void)state;
    stage s = {0};
    add_anode(&s);
    refused(&s, TKS_EMISSING, "no part", "");
    s.scene.tank = tank;
    add_box(&s, "clamp", TKS_FIELD_PART, vec3(0.1, 0.1, 0.1), vec3(0.12, 0.12, 0.12));
    refused(&s, TKS_EMISSING, "no anode", "");
    add_anode(&s);
    stage_add(&s, "empty shell", TKS_FIELD_PART);
    refused(&s, TKS_EMISSING, "empty shell", "no surface");
}

static void test_out_of_place(void **state)
{
    (void)state;
    stage s = {0};
    add_anode(&s);
    add_box(&s, "clamp", TKS_FIELD_PART, vec3(0.28, 0.1, 0.1), vec3(0.32, 0.12, 0.12));
    refused(&s, TKS_EGEOMETRY, "clamp", "to 320.0 mm along the tank's length");
    add_anode(&s);
    add_box(&s, "clamp", TKS_FIELD_PART, vec3(0.1, 0.1, 0.1), vec3(0.12, 0.12, 0.21));
    refused(&s, TKS_EGEOMETRY, "clamp stands 10.0 mm above the liquid", "200 mm deep");
    add_anode(&s);
    add_box(&s, "clamp", TKS_FIELD_PART, vec3(0.1, 0.1, 0.1), vec3(0.12, 0.12, 0.12));
    s.surfaces[1].t.xyz[4] = NAN;
    refused(&s, TKS_EDOMAIN, "clamp", "not a finite point");
    add_anode(&s);
    add_box(&s, "clamp", TKS_FIELD_PART, vec3(0.1, 0.1, 0.1), vec3(0.12, 0.12, 0.12));
    s.scene.tank.y = -1;
    refused(&s, TKS_EDOMAIN, "above zero", "");
}

static void test_short_and_overlap(void **state)
{
    (void)state;
    stage s = {0};
    add_anode(&s);
    add_box(&s, "clamp", TKS_FIELD_PART, vec3(0.015, 0.1, 0.1), vec3(0.05, 0.12, 0.12));
    refused(&s, TKS_EGEOMETRY, "clamp touches left anode", "short");
    add_anode(&s);
    add_box(&s, "clamp", TKS_FIELD_PART, vec3(0.1, 0.1, 0.1), vec3(0.14, 0.12, 0.12));
    add_box(&s, "lever", TKS_FIELD_PART, vec3(0.12, 0.05, 0.105), vec3(0.13, 0.15, 0.115));
    refused(&s, TKS_EGEOMETRY, "clamp and lever run into each other", "");
    add_anode(&s);
    add_box(&s, "clamp", TKS_FIELD_PART, vec3(0.1, 0.1, 0.1), vec3(0.14, 0.14, 0.14));
    add_box(&s, "pin", TKS_FIELD_PART, vec3(0.11, 0.11, 0.11), vec3(0.12, 0.12, 0.12));
    refused(&s, TKS_EGEOMETRY, "clamp and pin run into each other", "");
}

/* Two pieces of one part, apart and then touching. */
static void test_isolated_piece(void **state)
{
    (void)state;
    stage s = {0};
    add_anode(&s);
    surface *part = stage_add(&s, "hinge", TKS_FIELD_PART);
    surface_box(part, vec3(0.1, 0.1, 0.1), vec3(0.12, 0.12, 0.12), 0.05, NULL, false);
    surface_box(part, vec3(0.13, 0.1, 0.1), vec3(0.15, 0.12, 0.12), 0.05, NULL, false);
    refused(&s, TKS_EGEOMETRY, "hinge: 1 of its 2 pieces", "no current");
    add_anode(&s);
    part = stage_add(&s, "hinge", TKS_FIELD_PART);
    surface_box(part, vec3(0.1, 0.1, 0.1), vec3(0.12, 0.12, 0.12), 0.05, NULL, false);
    surface_box(part, vec3(0.12, 0.105, 0.105), vec3(0.15, 0.115, 0.115), 0.05, NULL, false);
    tks_field *field = NULL;
    assert_int_equal(tks_field_new(&s.scene, NULL, &field, NULL), TKS_OK);
    tks_field_free(field);
    stage_free(&s);
}

static const tks_field_options small = {.elements = 1200, .threads = 1};
static const tks_field_drive one_ampere = {.current = 1};

/* A stack of two boxes, face on face, against one box of their whole height. */
static double stack(bool whole, double *mean)
{
    stage s = {0};
    add_anode(&s);
    if (whole) {
        add_box(&s, "block", TKS_FIELD_PART, vec3(0.1, 0.08, 0.06), vec3(0.14, 0.12, 0.14));
    } else {
        add_box(&s, "lower", TKS_FIELD_PART, vec3(0.1, 0.08, 0.06), vec3(0.14, 0.12, 0.1));
        add_box(&s, "upper", TKS_FIELD_PART, vec3(0.1, 0.08, 0.1), vec3(0.14, 0.12, 0.14));
    }
    tks_field_bath bath = stage_bath(20, 0);
    tks_field *field = stage_solve(&s, &small, &bath, &one_ampere);
    tks_field_spread spread;
    assert_int_equal(tks_field_spread_of(field, TKS_FIELD_ALL, TKS_FIELD_EVERY, &spread, NULL),
                     TKS_OK);
    *mean = spread.mean.value;
    double resistance = tks_field_summarise(field).resistance;
    tks_field_free(field);
    stage_free(&s);
    return resistance;
}

static void test_parts_in_contact(void **state)
{
    (void)state;
    double one, two;
    assert_near(stack(false, &two), stack(true, &one), 2e-3, "resistance of a stack");
    assert_near(two, one, 2e-3, "the faces in contact take no part");
}

static double box_distance(tks_vec3 p, tks_vec3 low, tks_vec3 high)
{
    tks_vec3 c = vec3_scale(vec3_add(low, high), 0.5), h = vec3_scale(vec3_sub(high, low), 0.5);
    double x = fabs(p.x - c.x) - h.x, y = fabs(p.y - c.y) - h.y, z = fabs(p.z - c.z) - h.z;
    double outside = vec3_length(vec3(fmax(x, 0), fmax(y, 0), fmax(z, 0)));
    return outside + fmin(fmax(x, fmax(y, z)), 0);
}

static const tks_vec3 piece_low[2] = {{0.10, 0.08, 0.06}, {0.12, 0.095, 0.095}};
static const tks_vec3 piece_high[2] = {{0.14, 0.12, 0.14}, {0.18, 0.105, 0.105}};

/* A block with a bar through its side: of the bar, what is in the block does not count. */
static double block_and_bar(const void *context, tks_vec3 p)
{
    (void)context;
    return fmin(box_distance(p, piece_low[0], piece_high[0]),
                box_distance(p, piece_low[1], piece_high[1]));
}

/* The block with a slot in place of the bar: the bar's surface is the slot's, seen from inside. */
static double block_less_bar(const void *context, tks_vec3 p)
{
    (void)context;
    return fmax(box_distance(p, piece_low[0], piece_high[0]),
                -box_distance(p, piece_low[1], piece_high[1]));
}

static double trimmed_area(double (*distance)(const void *, tks_vec3))
{
    stage s = {0};
    add_anode(&s);
    surface *part = stage_add(&s, "bracket", TKS_FIELD_PART);
    for (int i = 0; i < 2; i++) surface_box(part, piece_low[i], piece_high[i], 0.02, NULL, false);
    s.bodies[1].distance = distance;
    tks_field_bath bath = stage_bath(20, 0.01);
    tks_field *field = stage_solve(&s, &(tks_field_options){.elements = 6000}, &bath, &one_ampere);
    tks_field_spread spread;
    assert_int_equal(tks_field_spread_of(field, 1, TKS_FIELD_EVERY, &spread, NULL), TKS_OK);
    tks_field_free(field);
    stage_free(&s);
    return spread.area;
}

static void test_pieces_put_together(void **state)
{
    (void)state;
    double block = 2 * (0.04 * 0.04 + 2 * 0.04 * 0.08);
    /* The bar stands out by 40 mm; its end has the area of the place that it hides. */
    assert_near(trimmed_area(block_and_bar), block + 4 * 0.01 * 0.04, 0.01, "block and bar");
    /* The slot is 20 mm deep and its bottom has the area of its mouth. */
    assert_near(trimmed_area(block_less_bar), block + 4 * 0.01 * 0.02, 0.01, "block less bar");
}

/* An anode that stands on the floor against the wall and reaches to the surface. */
static void test_flush_anode(void **state)
{
    (void)state;
    stage s = {0};
    s.scene.tank = tank;
    add_box(&s, "corner anode", TKS_FIELD_ANODE, vec3(0, 0, 0), vec3(0.01, 0.2, 0.2));
    add_box(&s, "plate", TKS_FIELD_PART, vec3(0.29, 0, 0), vec3(0.3, 0.2, 0.2));
    tks_field_bath bath = stage_bath(20, 0);
    tks_field *field = stage_solve(&s, &(tks_field_options){.elements = 8000}, &bath, &one_ampere);
    /* Plane electrodes over the whole section: R = d / (kappa A), by hand. */
    assert_near(tks_field_summarise(field).resistance, 0.28 / (20 * 0.04), 0.01, "flush");
    tks_field_free(field);
    stage_free(&s);
}

/* A sheet of 0.8 mm shares its current between its faces by where the anode is; both faces of one
 * hung edge-on get the same. */
static void test_thin_sheet(void **state)
{
    (void)state;
    stage s = {0};
    add_anode(&s);
    surface *sheet = stage_add(&s, "sheet", TKS_FIELD_PART);
    surface_box(sheet, vec3(0.1, 0.0996, 0.05), vec3(0.2, 0.1004, 0.15), 0.02, NULL, false);
    uint32_t group[4000];
    assert_true(sheet->t.count < 4000);
    for (size_t i = 0; i < sheet->t.count; i++) {
        double y = 0;
        for (size_t k = 0; k < 3; k++) y += sheet->t.xyz[3 * sheet->t.corners[3 * i + k] + 1] / 3;
        group[i] = y > 0.10039 ? 1 : y < 0.09961 ? 2 : 0;
    }
    s.bodies[1].group = group;
    tks_field_bath bath = stage_bath(20, 0.02);
    tks_field *field = stage_solve(&s, &(tks_field_options){.elements = 3000}, &bath, &one_ampere);
    tks_field_spread left, right;
    assert_int_equal(tks_field_spread_of(field, 1, 1u << 1, &left, NULL), TKS_OK);
    assert_int_equal(tks_field_spread_of(field, 1, 1u << 2, &right, NULL), TKS_OK);
    assert_near(left.mean.value, right.mean.value, 0.005, "two faces alike");
    tks_field_free(field);
    stage_free(&s);
}

static tks_field *simple(stage *s, unsigned threads)
{
    add_anode(s);
    add_box(s, "block", TKS_FIELD_PART, vec3(0.1, 0.08, 0.06), vec3(0.14, 0.12, 0.14));
    tks_field_options options = small;
    options.threads = threads;
    tks_field_bath bath = stage_bath(20, 0.01);
    return stage_solve(s, &options, &bath, &one_ampere);
}

static void test_same_bits_from_any_threads(void **state)
{
    (void)state;
    stage a = {0}, b = {0};
    tks_field *one = simple(&a, 1), *three = simple(&b, 3);
    assert_int_equal(tks_field_element_count(one), tks_field_element_count(three));
    for (size_t i = 0; i < tks_field_element_count(one); i++) {
        tks_field_element e = tks_field_element_at(one, i), f = tks_field_element_at(three, i);
        assert_true(e.density == f.density && e.potential == f.potential);
    }
    tks_field_free(one);
    tks_field_free(three);
    stage_free(&a);
    stage_free(&b);
}

/* Twice the current without polarisation, or with a linear one, is twice the density; and solving
 * again gives what solving at once gives. */
static void test_solving_again(void **state)
{
    (void)state;
    stage s = {0};
    tks_field *field = simple(&s, 2);
    double voltage = tks_field_summarise(field).voltage;
    tks_field_bath bath = stage_bath(20, 0.01);
    assert_int_equal(tks_field_solve(field, &bath, &(tks_field_drive){.current = 2}, NULL), TKS_OK);
    assert_near(tks_field_summarise(field).voltage, 2 * voltage, 1e-4, "twice the current");
    assert_int_equal(tks_field_solve(field, &bath, &(tks_field_drive){.voltage = voltage}, NULL),
                     TKS_OK);
    assert_near(tks_field_summarise(field).current, 1, 1e-4, "by voltage");
    tks_field_free(field);
    stage_free(&s);
}

/* A part moved to the other side of a tank that is the same on both sides gets the same; hung half
 * of the time on each, both of its sides get alike. */
static void test_moved_half_way(void **state)
{
    (void)state;
    stage s = {0};
    tks_field *field = simple(&s, 2), *turned = NULL;
    tks_field_bath bath = stage_bath(20, 0.01);
    tks_frame moves[2] = {frame_identity(), frame_identity()};
    moves[1].x.x = moves[1].y.y = -1; /* half a turn about the block's own axis */
    moves[1].origin = vec3(0.24, 0.2, 0);
    tks_error err;
    if (tks_field_move(field, moves, &turned, &err)) fail_msg("%s", err.text);
    assert_int_equal(tks_field_solve(turned, &bath, &one_ampere, NULL), TKS_OK);
    tks_field_spread one, other, both;
    assert_int_equal(tks_field_spread_of(field, 1, TKS_FIELD_EVERY, &one, NULL), TKS_OK);
    assert_int_equal(tks_field_spread_of(turned, 1, TKS_FIELD_EVERY, &other, NULL), TKS_OK);
    assert_near(other.mean.value, one.mean.value, 1e-5, "the same mean");
    assert_near(other.low5.value, one.low5.value, 0.02, "the same shape, the same spread");
    assert_int_equal(tks_field_spread_of_halves(field, turned, 1, TKS_FIELD_EVERY, &both, NULL),
                     TKS_OK);
    assert_near(both.mean.value, one.mean.value, 1e-5, "mean of halves");
    assert_true(both.minimum.value > 1.2 * one.minimum.value);
    assert_true(both.maximum.value < one.maximum.value);
    tks_field_free(turned);
    moves[1].origin = vec3(0.6, 0.2, 0);
    turned = NULL;
    assert_int_equal(tks_field_move(field, moves, &turned, &err), TKS_EGEOMETRY);
    assert_null(turned);
    tks_field_free(field);
    stage_free(&s);
}

/* A kinetic law whose exchange density is huge is as good as none; one of equal slopes far below
 * its exchange density is linear with forward / (2 exchange). */
static void test_kinetic_limits(void **state)
{
    (void)state;
    stage s = {0};
    tks_field *field = simple(&s, 2);
    double linear = tks_field_summarise(field).voltage;
    tks_field_bath bath = {.conductivity = 20,
                           .part = {.kind = TKS_POLARISATION_KINETIC, .forward = 1, .backward = 1}};
    bath.part.exchange = 1 / (2 * 0.01 / 20);
    bath.part.exchange *= 1e3;
    bath.part.forward = bath.part.backward = 1e3;
    assert_int_equal(tks_field_solve(field, &bath, &one_ampere, NULL), TKS_OK);
    assert_near(tks_field_summarise(field).voltage, linear, 1e-3, "linear limit");
    bath.part.exchange = 1;
    bath.part.forward = bath.part.backward = 0.03;
    assert_int_equal(tks_field_solve(field, &bath, &one_ampere, NULL), TKS_OK);
    double low = tks_field_summarise(field).voltage;
    bath.part.exchange = 0.1;
    assert_int_equal(tks_field_solve(field, &bath, &one_ampere, NULL), TKS_OK);
    /* Tafel: a tenth of the exchange density shifts all overpotentials alike, by 0.03 ln 10. */
    assert_near(tks_field_summarise(field).voltage - low, 0.03 * log(10), 5e-3, "Tafel shift");
    tks_field_free(field);
    stage_free(&s);
}

static void test_bad_bath(void **state)
{
    (void)state;
    stage s = {0};
    tks_field *field = simple(&s, 1);
    tks_error err;
    tks_field_bath bath = stage_bath(20, 0.01), bad = bath;
    bad.conductivity = 0;
    assert_int_equal(tks_field_solve(field, &bad, &one_ampere, &err), TKS_EDOMAIN);
    bad = bath;
    bad.part.slope = NAN;
    assert_int_equal(tks_field_solve(field, &bad, &one_ampere, &err), TKS_EDOMAIN);
    tks_field_drive both = {.current = 1, .voltage = 1};
    assert_int_equal(tks_field_solve(field, &bath, &both, &err), TKS_EDOMAIN);
    tks_field_free(field);
    stage_free(&s);
}

/* A residual that rounding does not allow is never reached: that is an error, not a result. */
static void test_not_converged(void **state)
{
    (void)state;
    stage s = {0};
    add_anode(&s);
    add_box(&s, "block", TKS_FIELD_PART, vec3(0.1, 0.08, 0.06), vec3(0.14, 0.12, 0.14));
    tks_field_options options = {.elements = 500, .tolerance = 1e-30};
    tks_field_bath bath = stage_bath(20, 0.01);
    tks_field *field = NULL;
    tks_field_spread spread;
    tks_error err;
    assert_int_equal(tks_field_new(&s.scene, &options, &field, &err), TKS_OK);
    assert_int_equal(tks_field_solve(field, &bath, &one_ampere, &err), TKS_ECONVERGE);
    assert_non_null(strstr(err.text, "did not settle"));
    assert_int_equal(tks_field_spread_of(field, 1, TKS_FIELD_EVERY, &spread, &err), TKS_EMISSING);
    tks_field_free(field);
    stage_free(&s);
}

typedef struct watch {
    int calls, stop_after;
    double last;
    bool backward;
} watch;

static bool look(void *context, double done, size_t elements)
{
    watch *w = context;
    (void)elements;
    if (done < w->last || done > 1 + 1e-9) w->backward = true;
    w->last = done;
    return ++w->calls < w->stop_after;
}

static void test_stopping(void **state)
{
    (void)state;
    watch counted = {.stop_after = 100000};
    stage s = {0};
    add_anode(&s);
    add_box(&s, "block", TKS_FIELD_PART, vec3(0.1, 0.08, 0.06), vec3(0.14, 0.12, 0.14));
    tks_field_bath bath = stage_bath(20, 0.01);
    tks_field_options options = {.elements = 1500, .progress = look, .context = &counted};
    tks_field *field = stage_solve(&s, &options, &bath, &one_ampere);
    assert_false(tks_field_summarise(field).stopped);
    assert_false(counted.backward);
    tks_field_free(field);
    /* Before the first level is done there is no result, and that is an error. */
    watch early = {.stop_after = 1};
    options.context = &early;
    tks_error err;
    assert_int_equal(tks_field_new(&s.scene, &options, &field, &err), TKS_OK);
    assert_int_equal(tks_field_solve(field, &bath, &one_ampere, &err), TKS_ECONVERGE);
    tks_field_free(field);
    /* In the last level, the level before it is the result. */
    watch late = {.stop_after = counted.calls - 1};
    options.context = &late;
    field = stage_solve(&s, &options, &bath, &one_ampere);
    assert_true(tks_field_summarise(field).stopped);
    assert_true(tks_field_summarise(field).resistance > 0);
    tks_field_free(field);
    stage_free(&s);
}

/* Every allocation fails in turn: an error, nothing leaked, nothing touched. */
static void test_short_of_memory(void **state)
{
    (void)state;
    stage s = {0};
    add_anode(&s);
    add_box(&s, "block", TKS_FIELD_PART, vec3(0.1, 0.08, 0.06), vec3(0.14, 0.12, 0.14));
    tks_field_bath bath = stage_bath(20, 0.01);
    tks_field_options options = {.elements = 300, .threads = 1};
    bool ended = false;
    for (long n = 1; !ended && n < 4000; n += 1 + n / 8) {
        tks_field *field = NULL;
        base_alloc_fail_at(n);
        tks_status status = tks_field_new(&s.scene, &options, &field, NULL);
        if (!status) status = tks_field_solve(field, &bath, &one_ampere, NULL);
        base_alloc_fail_at(0);
        assert_true(status == TKS_OK || status == TKS_EMEMORY);
        ended = status == TKS_OK;
        tks_field_free(field);
    }
    assert_true(ended);
    stage_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_who_is_missing),
        cmocka_unit_test(test_out_of_place),
        cmocka_unit_test(test_short_and_overlap),
        cmocka_unit_test(test_isolated_piece),
        cmocka_unit_test(test_parts_in_contact),
        cmocka_unit_test(test_pieces_put_together),
        cmocka_unit_test(test_flush_anode),
        cmocka_unit_test(test_thin_sheet),
        cmocka_unit_test(test_same_bits_from_any_threads),
        cmocka_unit_test(test_solving_again),
        cmocka_unit_test(test_moved_half_way),
        cmocka_unit_test(test_kinetic_limits),
        cmocka_unit_test(test_bad_bath),
        cmocka_unit_test(test_not_converged),
        cmocka_unit_test(test_stopping),
        cmocka_unit_test(test_short_of_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
