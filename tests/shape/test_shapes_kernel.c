/* Shapes against a general-purpose B-rep kernel (Open CASCADE), which builds them in its own way:
 * from its boxes, cylinders, cones, balls and rings, fused and cut. */
#include "support/described.h"
#include "support/kernel.h"
#include "support/near.h"

static const double mm = 1e-3;

static tks_frame at(double x, double y, double z)
{
    return (tks_frame){{x * mm, y * mm, z * mm}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
}

static kernel_solid *box(double x, double y, double z, double a, double b, double c)
{
    tks_frame f = at(x, y, z);
    return kernel_box(&f, a * mm, b * mm, c * mm);
}

static kernel_solid *cylinder(double x, double y, double z, double diameter, double height)
{
    tks_frame f = at(x, y, z);
    return kernel_cylinder(&f, diameter / 2 * mm, height * mm);
}

static kernel_solid *tube(void)
{
    return kernel_cut(cylinder(0, 0, 0, 22, 180), cylinder(0, 0, -1, 19, 182));
}

static kernel_solid *cup(void)
{
    return kernel_cut(cylinder(0, 0, 0, 22, 60), cylinder(0, 0, -1, 19, 59));
}

static kernel_solid *plate(void)
{
    kernel_solid *p = box(-30, -12.5, 0, 60, 25, 3);
    p = kernel_cut(p, cylinder(20, 0, -1, 8.4, 5));
    p = kernel_cut(p, cylinder(-20, 3, -1, 8.4, 5));
    p = kernel_cut(p, box(-2.5, 5.5, -1, 5, 5, 5));
    kernel_solid *slot = kernel_fuse(box(-7, -7, -1, 14, 6, 5), cylinder(-7, -4, -1, 6, 5));
    return kernel_cut(p, kernel_fuse(slot, cylinder(7, -4, -1, 6, 5)));
}

static kernel_solid *rounded_plate(void)
{
    kernel_solid *p = kernel_fuse(box(-26, -12.5, 0, 52, 25, 3), box(-30, -8.5, 0, 60, 17, 3));
    for (int x = -1; x <= 1; x += 2)
        for (int y = -1; y <= 1; y += 2) p = kernel_fuse(p, cylinder(26 * x, 8.5 * y, 0, 8, 3));
    return p;
}

static kernel_solid *eye_plate(void)
{
    kernel_solid *p = kernel_fuse(box(-30, -10, 0, 60, 20, 4), cylinder(-30, 0, 0, 20, 4));
    p = kernel_fuse(p, cylinder(30, 0, 0, 20, 4));
    return kernel_cut(kernel_cut(p, cylinder(-30, 0, -1, 10, 6)), cylinder(30, 0, -1, 6, 6));
}

static kernel_solid *channel(void)
{
    return kernel_cut(box(0, -20, 0, 20, 40, 80), box(3, -16, -1, 20, 32, 82));
}

static kernel_solid *frustum(void)
{
    tks_frame f = at(0, 0, 0);
    return kernel_cone(&f, 15 * mm, 9 * mm, 25 * mm);
}

static kernel_solid *ball(void)
{
    tks_frame f = at(0, 0, 0);
    return kernel_sphere(&f, 12.5 * mm);
}

/* A dome of 40 mm by 12 mm is cut from a ball of radius (20^2 + 12^2) / 24 mm. */
static kernel_solid *dome(void)
{
    double radius = (400 + 144) / 24.0;
    tks_frame f = at(0, 0, 12 - radius);
    return kernel_common(kernel_sphere(&f, radius * mm), box(-50, -50, 0, 100, 100, 100));
}

static kernel_solid *ring(void)
{
    tks_frame f = at(0, 0, 0);
    return kernel_torus(&f, 20 * mm, 2.5 * mm);
}

static kernel_solid *shaft(void)
{
    kernel_solid *p = kernel_fuse(cylinder(0, 0, 0, 12, 25), cylinder(0, 0, 25, 20, 40));
    return kernel_fuse(p, cylinder(0, 0, 65, 12, 15));
}

static const struct {
    const char *piece;
    kernel_solid *(*make)(void);
} rows[] = {
    {"shape: tube\noutside: 22 mm\nwall: 1.5 mm\nlength: 180 mm", tube},
    {"shape: tube\noutside: 22 mm\nwall: 1.5 mm\nlength: 60 mm\nends: one closed\nend thickness: 2 "
     "mm",
     cup},
    {"shape: plate\nlength: 60 mm\nwidth: 25 mm\nthickness: 3 mm\nholes: [{diameter: 8.4 mm, at: "
     "[[20, "
     "0], [-20, 3]] mm}, {square: 5 mm, at: [0, 8] mm}]\nslots: {length: 20 mm, width: 6 mm, at: "
     "[0, "
     "-4] mm}",
     plate},
    {"shape: plate\nlength: 60 mm\nwidth: 25 mm\nthickness: 3 mm\ncorner radius: 4 mm",
     rounded_plate},
    {"shape: eye plate\ncentres: 60 mm\nwidth: 20 mm\nthickness: 4 mm\nhole: 10 mm\nsecond hole: 6 "
     "mm",
     eye_plate},
    {"shape: channel\nheight: 40 mm\nflange: 20 mm\nweb: 3 mm\nflange thickness: 4 mm\nlength: 80 "
     "mm",
     channel},
    {"shape: cone\nbase diameter: 30 mm\ntop diameter: 18 mm\nheight: 25 mm", frustum},
    {"shape: sphere\ndiameter: 25 mm", ball},
    {"shape: dome\ndiameter: 40 mm\nheight: 12 mm", dome},
    {"shape: ring\nmean diameter: 40 mm\nsection: 5 mm", ring},
    {"shape: shaft\nsteps: [{diameter: 12 mm, length: 25 mm}, {diameter: 20 mm, length: 40 mm}, "
     "{diameter: 12 mm, length: 15 mm}]",
     shaft},
};

static void test_shapes(void **state)
{
    (void)state;
    double worst = 0;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        described d = described_new();
        const tks_body *body = described_body(&d, rows[i].piece);
        kernel_solid *solid = rows[i].make();
        double area = kernel_area(solid);
        assert_near(tks_body_wetted(body), area, 1e-9, rows[i].piece);
        assert_near(body->volume, kernel_volume(solid), 1e-9, rows[i].piece);
        worst = fmax(worst, fabs(tks_body_wetted(body) / area - 1));
        kernel_free(solid);
        described_free(&d);
    }
    print_message("worst relative error of an area: %.2g\n", worst);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_shapes)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
