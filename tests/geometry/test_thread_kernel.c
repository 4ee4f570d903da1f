/* Threads against an independent B-rep kernel (Open CASCADE 7.6), which sweeps the tooth along a
 * helix and joins it to the core. */
#include "support/kernel.h"
#include "support/near.h"

#include "tankside/fastener.h"

#define PI 3.14159265358979323846
#define MM 1e-3

static const tks_frame world = {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}};

/* The tooth of the basic profile: from the crest down both flanks, and on to below the root. */
static kernel_solid *tooth_of(const tks_thread_profile *p, double base, double turns)
{
    double crest = -p->half[1].to.y, root = -p->half[1].from.y, sunk = 0.05 * p->pitch;
    const tks_vec2 corners[] = {
        {p->inner - sunk, base - root}, {p->inner, base - root}, {p->outer, base - crest},
        {p->outer, base + crest},       {p->inner, base + root}, {p->inner - sunk, base + root},
    };
    return kernel_helix(corners, 6, p->pitch, turns, p->advance < 0);
}

/* Some turns of a tooth on a longer core. Its area is that of as many pitches of thread, plus the
 * bare core, plus the tooth's two end faces. */
static void test_teeth_on_a_core(void **state)
{
    (void)state;
    static const struct {
        double diameter, pitch;
        bool left;
    } rows[] = {
        {8, 1.25, false},
        {1.6, .35, true},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tks_thread thread = {.form = TKS_THREAD_METRIC,
                             .diameter = rows[i].diameter * MM,
                             .pitch = rows[i].pitch * MM,
                             .left = rows[i].left,
                             .basic = true};
        tks_thread_profile p;
        assert_int_equal(tks_thread_profile_of(&thread, &p, NULL), TKS_OK);
        double turns = 2, length = 5 * p.pitch, r = p.inner;
        double crest = -p.half[1].to.y, root = -p.half[1].from.y;
        kernel_solid *tooth = tooth_of(&p, 1.5 * p.pitch, turns);
        double ridge = kernel_volume(tooth);
        print_message("tooth alone: area %.12g volume %.12g\n", kernel_area(tooth), ridge);
        kernel_solid *k = kernel_fuse(kernel_cylinder(&world, r, length), tooth);
        double area = turns * tks_thread_area_per_pitch(&p) +
                      2 * PI * r * (length - turns * p.pitch) + 2 * PI * r * r +
                      2 * (p.outer - p.inner) * (crest + root);
        double volume =
            PI * r * r * length + turns * p.pitch * (tks_thread_section_area(&p) - PI * r * r);
        print_message("M%g: area %.3e  volume %.3e  (relative difference)\n", rows[i].diameter,
                      kernel_area(k) / area - 1, kernel_volume(k) / volume - 1);
        assert_near(kernel_area(k), area, 1e-6, "area");
        assert_near(kernel_volume(k), volume, 1e-6, "volume");
        kernel_free(k);
    }
}

/* The same cut square by two planes: a length of thread as tks_thread_measure has it. */
static void test_thread_cut_square(void **state)
{
    (void)state;
    tks_thread thread = {
        .form = TKS_THREAD_METRIC, .diameter = 8e-3, .pitch = 1.25e-3, .basic = true};
    tks_thread_profile p;
    assert_int_equal(tks_thread_profile_of(&thread, &p, NULL), TKS_OK);
    double length = 1.7 * p.pitch;
    tks_frame low = world;
    low.origin.z = 0.05 * p.pitch;
    kernel_solid *k =
        kernel_fuse(kernel_cylinder(&world, p.inner, 4 * p.pitch), tooth_of(&p, -1 * p.pitch, 4));
    k = kernel_common(k, kernel_cylinder(&low, 1.5 * p.outer, length));
    tks_thread_end square[2] = {{TKS_THREAD_SQUARE, 0, 0}, {TKS_THREAD_SQUARE, 0, 0}};
    tks_thread_measures m;
    assert_int_equal(tks_thread_measure(&p, length, square, &m, NULL), TKS_OK);
    double area = m.helicoid + m.faces[0] + m.faces[1];
    print_message("cut: area %.3e  volume %.3e  (relative difference)\n", kernel_area(k) / area - 1,
                  kernel_volume(k) / m.volume - 1);
    assert_near(kernel_area(k), area, 1e-6, "area");
    assert_near(kernel_volume(k), m.volume, 1e-6, "volume");
    kernel_free(k);
}

/* A hexagon under the cone of its chamfer. */
static void test_chamfered_hexagon(void **state)
{
    (void)state;
    tks_hexagon h = {13e-3, 5.3e-3, {0, 12.35e-3}, PI / 6};
    tks_hexagon_measures m;
    assert_int_equal(tks_hexagon_measure(&h, &m, NULL), TKS_OK);
    tks_segment s[6];
    double corner = h.across_flats / sqrt(3);
    for (int i = 0; i < 6; i++) {
        double a = (2 * i + 1) * PI / 6, b = a + PI / 3;
        s[i] = (tks_segment){.from = {corner * cos(a), corner * sin(a)},
                             .to = {corner * cos(b), corner * sin(b)}};
    }
    tks_outline o = {s, 6, 0};
    kernel_solid *prism = kernel_prism(&world, &o, 1, h.height);
    double reach = (corner * 1.2 - h.circle[1] / 2) * tan(h.angle);
    tks_frame up = world;
    up.origin.z = h.height - reach;
    kernel_solid *cone = kernel_cone(&up, corner * 1.2, h.circle[1] / 2, reach);
    kernel_solid *below = kernel_cylinder(&world, corner * 1.2, h.height - reach);
    kernel_solid *k = kernel_common(prism, kernel_fuse(cone, below));
    double area = 6 * m.side + m.cone[1] + m.face[0] + m.face[1];
    print_message("hexagon: area %.3e  volume %.3e  (relative difference)\n",
                  kernel_area(k) / area - 1, kernel_volume(k) / m.volume - 1);
    assert_near(kernel_area(k), area, 1e-9, "area");
    assert_near(kernel_volume(k), m.volume, 1e-9, "volume");
    kernel_free(k);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_chamfered_hexagon),
        cmocka_unit_test(test_teeth_on_a_core),
        cmocka_unit_test(test_thread_cut_square),
    };
    return cmocka_run_group_tests_name("thread against the kernel", tests, NULL, NULL);
}
