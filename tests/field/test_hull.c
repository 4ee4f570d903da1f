/* The 267 ml Hull cell against two-dimensional finite elements: gmsh and getdp on the inputs in
 * tests/data/hull, whose script `remake` prints the rows below. */
#include "support/fields.h"

#include "base/vec.h"

enum { POINTS = 9 };

static const double depth = 0.048, cathode_length = 0.1016691695;

/* length: that of the polarisation, kappa dη/di [m]. conductance: per depth and conductivity.
 * slope: dphi/dn [V/m] at 1..9 cm from the near end, at 1 V over the cell. */
static const struct {
    double length, conductance, slope[POINTS], tolerance;
} elements[] = {
    {0,
     0.947032,
     {20.02474, 14.36703, 11.16045, 8.78239, 6.80334, 5.06341, 3.50267, 2.11310, 0.92833},
     0.015},
    {0.005,
     0.8713133,
     {18.73026, 13.87718, 10.93955, 8.74339, 6.91876, 5.31555, 3.87035, 2.56416, 1.40798},
     0.01},
    {0.02,
     0.732564,
     {13.57253, 11.15580, 9.35539, 7.86915, 6.56809, 5.38768, 4.29474, 3.27424, 2.32312},
     0.01}};

/* Corners seen from above, anticlockwise: far wall, cathode, near wall, anode. */
static const tks_vec3 corner[4] = {{0, 0, 0}, {0.127, 0, 0}, {0.0476, 0.0635, 0}, {0, 0.0635, 0}};

static tks_vec3 floor_point(double u, double v, const void *height)
{
    tks_vec3 near = vec3_step(corner[3], v, vec3_sub(corner[2], corner[3]));
    tks_vec3 far = vec3_step(corner[0], v, vec3_sub(corner[1], corner[0]));
    tks_vec3 p = vec3_step(near, u, vec3_sub(far, near));
    p.z = *(const double *)height;
    return p;
}

static tks_vec3 lid_point(double u, double v, const void *height)
{
    return floor_point(v, u, height);
}

typedef struct side {
    tks_vec3 from, way;
} side;

static tks_vec3 side_point(double u, double v, const void *context)
{
    const side *w = context;
    return vec3_add(vec3_step(w->from, v, w->way), vec3(0, 0, depth * u));
}

static void add_wall(surface *s, int k, size_t along, double (*grade)(double))
{
    side w = {corner[k], vec3_sub(corner[(k + 1) % 4], corner[k])};
    surface_patch(s, 8, along, surface_grade, grade, side_point, &w);
}

static void add_cell(stage *s)
{
    static const double bottom = 0;
    add_wall(stage_add(s, "cathode", TKS_FIELD_PART), 1, 61, NULL); /* cells of 10/6 mm */
    add_wall(stage_add(s, "anode", TKS_FIELD_ANODE), 3, 12, surface_grade);
    surface *walls = stage_add(s, "walls", TKS_FIELD_SHIELD);
    add_wall(walls, 0, 30, surface_grade);
    add_wall(walls, 2, 16, surface_grade);
    surface_patch(walls, 18, 30, surface_grade, surface_grade, floor_point, &bottom);
    surface_patch(walls, 30, 18, surface_grade, surface_grade, lid_point, &depth);
}

/* Mean density over the strip of the cathode within 3 mm of so far [m] from the near end. */
static double strip(const tks_field *field, double at)
{
    double current = 0, area = 0;
    for (size_t i = 0; i < tks_field_element_count(field); i++) {
        tks_field_element e = tks_field_element_at(field, i);
        tks_vec3 c = vec3_scale(vec3_add(vec3_add(e.corner[0], e.corner[1]), e.corner[2]), 1.0 / 3);
        c.z = 0;
        if (e.body != 0 || fabs(vec3_distance(c, corner[2]) - at) > 3e-3) continue;
        current += e.density * e.area;
        area += e.area;
    }
    return current / area;
}

/* A mean over a strip is not the value at its middle: the rows are averaged alike, by the parabola
 * through three of them. */
static double averaged(const double *slope, int k)
{
    double bend = k > 0 && k + 1 < POINTS ? slope[k - 1] - 2 * slope[k] + slope[k + 1] : 0;
    return slope[k] + bend / 6 * 0.09; /* (3 mm / 10 mm)^2 */
}

/* The handbook's law, an average over real baths and steeper than any of these:
 * i / I = 5.10 - 5.24 log10 x [A/dm^2 per A], x in cm (Metal Finishing Guidebook 2013). Shown, not
 * tested: real baths polarise less and move. */
static void show(double length, const double *got, double mean)
{
    printf("Hull cell, kappa dη/di = %g mm: i/mean at 1..9 cm, beside the handbook's law\n",
           length * 1e3);
    for (int k = 0; k < POINTS; k++)
        printf("  %d cm  %.3f  %.3f\n", k + 1, got[k] / mean,
               (5.10 - 5.24 * log10(k + 1)) * cathode_length * depth * 100);
}

static void test_against_finite_elements(void **state)
{
    (void)state;
    stage s = {0};
    add_cell(&s);
    tks_field_options options = {.fixed = true};
    for (size_t i = 0; i < sizeof elements / sizeof *elements; i++) {
        tks_field_bath bath = stage_bath(1, elements[i].length);
        tks_field *field = stage_solve(&s, &options, &bath, &(tks_field_drive){.voltage = 1});
        double got[POINTS];
        assert_near(1 / tks_field_summarise(field).resistance, elements[i].conductance * depth,
                    0.01, "conductance");
        for (int k = 0; k < POINTS; k++) {
            got[k] = strip(field, 0.01 * (k + 1));
            assert_near(got[k], averaged(elements[i].slope, k), elements[i].tolerance, "density");
        }
        show(elements[i].length, got, elements[i].conductance / cathode_length);
        tks_field_free(field);
    }
    stage_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_against_finite_elements),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
