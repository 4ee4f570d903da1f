/* Which patches are walls of round plugs, and of what size. */
#include "support/described.h"
#include "support/near.h"

#include <math.h>

/* Lateral areas of the plugs must be those of the patches: pi (r1 + r2) hypot(h, r1 - r2), by
 * Pappus' first theorem. */
static const struct {
    const char *text;
    size_t count;
    double mean, length; /* of the first [mm] */
} rows[] = {
    {"shape: cylinder\ndiameter: 8 mm\nlength: 30 mm", 1, 4, 30},
    {"shape: cone\nbase diameter: 9 mm\ntop diameter: 7 mm\nheight: 30 mm", 1, 4, 30},
    {"shape: cone\nbase diameter: 9 mm\ntop diameter: 19 mm\nheight: 5 mm", 0, 0, 0},
    {"shape: cylinder\ndiameter: 8 mm\nlength: 30 mm\nchamfer: 1 mm", 1, 4, 28},
    {"shape: tube\noutside: 8 mm\ninside: 6 mm\nlength: 30 mm", 1, 4, 30},
    {"shape: plate\nlength: 30 mm\nwidth: 20 mm\nthickness: 5 mm\nholes: [{diameter: 4 mm}]", 0, 0,
     0},
    {"shape: sphere\ndiameter: 8 mm", 0, 0, 0},
    {"shape: bent rod\ndiameter: 8 mm\npath: [{straight: 20 mm}, {bend: 90 deg, radius: 20 mm}, "
     "{straight: 10 mm}]",
     2, 4, 20},
};

static void plugs_have_their_sizes(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        described d = described_new();
        const tks_body *body = described_body(&d, rows[i].text);
        size_t count = 0;
        for (size_t k = 0; k < body->patch_count; k++) {
            tks_plug p;
            if (!tks_patch_plug(&body->patches[k], &p)) continue;
            if (count++ == 0) {
                assert_near(p.mean, rows[i].mean * 1e-3, 1e-12, rows[i].text);
                assert_near(p.length, rows[i].length * 1e-3, 1e-12, rows[i].text);
            }
            double slant = hypot(p.length, p.radius[1] - p.radius[0]);
            assert_near(M_PI * (p.radius[0] + p.radius[1]) * slant, body->patches[k].area, 1e-12,
                        rows[i].text);
        }
        if (count != rows[i].count) fail_msg("%s: %zu plugs", rows[i].text, count);
        described_free(&d);
    }
}

/* The helicoid of a tapped hole: M8 of 20 mm, all of whose faces make one plug. */
static void threads_are_plugs(void **state)
{
    (void)state;
    described d = described_new();
    const tks_body *body = described_body(&d, "shape: tapped hole\nthread: M8\nlength: 20 mm");
    size_t count = 0;
    for (size_t k = 0; k < body->patch_count; k++) {
        tks_plug p;
        if (body->patches[k].kind != TKS_PATCH_HELICOID) continue;
        assert_true(tks_patch_plug(&body->patches[k], &p));
        assert_near(2 * p.mean, 7.188e-3, 1e-4, "pitch diameter, ISO 724");
        assert_near(2 * p.radius[1], 8e-3, 1e-12, "major diameter");
        assert_near(p.length, 20e-3, 1e-12, "as written");
        count++;
    }
    assert_true(count > 0);
    described_free(&d);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plugs_have_their_sizes),
        cmocka_unit_test(threads_are_plugs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
