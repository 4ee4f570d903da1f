/* Unions and cuts against closed forms and brute force; what must hold of every answer. */
#include "support/near.h"
#include "support/primitives.h"

#include "base/alloc.h"
#include "base/vec.h"
#include "tankside/fastener.h"
#include "tankside/union.h"

#include <stdlib.h>
#include <string.h>

enum { MOST = 10 };

typedef struct job {
    tks_arena *arena;
    const tks_body *bodies[MOST];
    size_t added, cut;
    tks_cautions cautions;
    tks_union_options options;
} job;

static job start(const primitive *parts, size_t added, size_t cut)
{
    job j = {.arena = tks_arena_new(), .added = added, .cut = cut};
    j.options = tks_union_options_default();
    j.cautions = tks_cautions_new(j.arena);
    for (size_t i = 0; i < added + cut; i++) j.bodies[i] = primitive_body(j.arena, &parts[i]);
    return j;
}

static tks_union finish(job *j)
{
    tks_union u = {0};
    tks_error err = {0};
    if (tks_union_area(j->bodies, j->added, j->bodies + j->added, j->cut, &j->options, j->arena,
                       &j->cautions, &u, &err))
        fail_msg("%s", err.text);
    return u;
}

static bool warned(const job *j, const char *code)
{
    for (const tks_caution *c = j->cautions.first; c; c = c->next)
        if (strcmp(c->code, code) == 0) return true;
    return false;
}

/* Whether the interval, widened by a relative rounding error of the expected value, holds it. */
static void assert_holds(tks_bounded b, double want, const char *what)
{
    double rounding = 1e-14 * fabs(want);
    if (!(b.low - rounding <= want && want <= b.high + rounding))
        fail_msg("%s: %.16g is not in %.16g .. %.16g (%.16g)", what, want, b.low, b.high, b.value);
    if (!(b.low <= b.value && b.value <= b.high)) fail_msg("%s: value not in its interval", what);
}

/* ------------------------------------------------------------------ closed forms */

typedef struct known {
    const char *name;
    primitive parts[6];
    double area, volume;
} known;

#define AT(x, y, z, ax, ay, az) frame_at(x, y, z, ax, ay, az)

/* Two spheres of radii r, s whose centres are d apart: caps of heights h = r - (d^2 + r^2 - s^2) /
 * 2d and likewise are hidden; cap 2 pi r h, volume pi h^2 (3 r - h) / 3 (Archimedes). */
static void two_spheres(known *k, double r, double s, double d)
{
    double x = (d * d + r * r - s * s) / (2 * d), h = r - x, g = s - (d - x);
    k->area = 4 * M_PI * (r * r + s * s) - 2 * M_PI * (r * h + s * g);
    k->volume = 4 * M_PI / 3 * (r * r * r + s * s * s) -
                M_PI / 3 * (h * h * (3 * r - h) + g * g * (3 * s - g));
    k->parts[0] = (primitive){A_SPHERE, AT(0, 0, 0, 0, 0, 1), r, 0, 0, 0};
    k->parts[1] = (primitive){A_SPHERE, AT(0.6 * d, 0, 0.8 * d, 0, 0, 1), s, 0, 0, 0};
}

/* Sphere of radius s on a rod of radius r and length l: the sphere loses two caps of height
 * s - sqrt(s^2 - r^2), the rod what lies between them. */
static void sphere_on_rod(known *k, double r, double l, double s)
{
    double c = sqrt(s * s - r * r), h = s - c;
    k->area = 2 * M_PI * r * (l - 2 * c) + 2 * M_PI * r * r + 4 * M_PI * s * (s - h);
    double inside = 2 * M_PI * r * r * c + 2 * M_PI / 3 * h * h * (3 * s - h);
    k->volume = M_PI * r * r * l + 4 * M_PI / 3 * s * s * s - inside;
    k->parts[0] = (primitive){A_CYLINDER, AT(0, 0, -l / 2, 0, 0, 1), r, l, 0, 0};
    k->parts[1] = (primitive){A_SPHERE, AT(0, 0, 0, 0, 1, 0), s, 0, 0, 0};
}

/* Equal cylinders crossed at right angles share the Steinmetz solid: volume 16 r^3 / 3, of whose
 * surface, 16 r^2, each cylinder hides the other's share (Archimedes, The Method; Weisstein, CRC
 * Concise Encyclopedia of Mathematics, "Steinmetz solid"). */
static void steinmetz(known *k, double r, double l)
{
    k->area = 4 * M_PI * r * (r + l) - 16 * r * r;
    k->volume = 2 * M_PI * r * r * l - 16.0 / 3 * r * r * r;
    k->parts[0] = (primitive){A_CYLINDER, AT(0, 0, -l / 2, 0, 0, 1), r, l, 0, 0};
    k->parts[1] = (primitive){A_CYLINDER, AT(-l / 2, 0, 0, 1, 0, 0), r, l, 0, 0};
}

/* A rod of radius R and length l drilled across through its axis with radius r. With y = r cos t on
 * the hole, whose wall is as long as the chord 2 sqrt(R^2 - y^2), all are elliptic integrals over a
 * turn: the wall 2 r int sqrt(R^2 - y^2) dt, what the rod loses 2 R int r^2 sin^2 t / sqrt(R^2 -
 * y^2) dt, the volume taken 2 int r^2 sin^2 t sqrt(R^2 - y^2) dt. The trapezium rule gives periodic
 * ones to rounding. */
static void cross_drilled(known *k, double big, double l, double r)
{
    enum { N = 4000 };
    double wall = 0, lost = 0, taken = 0;
    for (int i = 0; i < N; i++) {
        double t = 2 * M_PI * (i + 0.5) / N, c = r * cos(t), s = r * sin(t);
        double chord = sqrt(big * big - c * c);
        wall += 2 * r * chord * 2 * M_PI / N;
        lost += 2 * big * s * s / chord * 2 * M_PI / N;
        taken += 2 * chord * s * s * 2 * M_PI / N;
    }
    k->area = 2 * M_PI * big * (big + l) + wall - lost;
    k->volume = M_PI * big * big * l - taken;
    k->parts[0] = (primitive){A_CYLINDER, AT(0, 0, 0, 0, 0, 1), big, l, 0, 0};
    k->parts[1] = (primitive){A_CYLINDER, AT(-2 * big, 0, l / 2, 1, 0, 0), r, 4 * big, 0, 0};
}

/* A branch of radius r that starts on the axis of a main rod of radius R and stands square on it,
 * as far as height h: a saddle. What the main rod loses, and what of the branch is inside, are half
 * of the integrals above. */
static void saddle(known *k, double big, double l, double r, double h)
{
    cross_drilled(k, big, l, r);
    double wall = k->area - 2 * M_PI * big * (big + l); /* wall less what the rod loses */
    double taken = M_PI * big * big * l - k->volume, inner = 0;
    enum { N = 4000 };
    for (int i = 0; i < N; i++) {
        double c = r * cos(2 * M_PI * (i + 0.5) / N);
        inner += r * sqrt(big * big - c * c) * 2 * M_PI / N;
    }
    double lost = (2 * inner - wall) / 2;
    k->area = 2 * M_PI * big * (big + l) - lost + 2 * M_PI * r * h - inner + M_PI * r * r;
    k->volume = M_PI * big * big * l + M_PI * r * r * h - taken / 2;
    k->parts[1].frame = AT(0, 0, l / 2, 1, 0, 0);
    k->parts[1].b = h;
}

static primitive a_box(double x, double y, double z, double a, double b, double c)
{
    return (primitive){A_BOX, AT(x, y, z, 0, 0, 1), a, b, c, 0};
}

static primitive a_rod(double x, double y, double z, double r, double h)
{
    return (primitive){A_CYLINDER, AT(x, y, z, 0, 0, 1), r, h, 0, 0};
}

/* Boxes and rods along the axes, by hand. */
static const struct {
    const char *name;
    double box[3][6]; /* place and sizes; size 0: none */
    double rod[2][5]; /* place, radius, height */
    size_t cut;       /* of the last ones */
    double area, volume;
} straight[] = {
    {"one box", {{0, 0, 0, 1, 2, 3}}, {{0}}, 0, 22, 6},
    {"corner in corner", {{0, 0, 0, 1, 1, 1}, {.5, .5, .5, 1, 1, 1}}, {{0}}, 0, 10.5, 1.875},
    {"stacked flush", {{0, 0, 0, 1, 1, 1}, {0, 0, 1, 1, 1, 1}}, {{0}}, 0, 10, 2},
    {"stacked with a ledge", {{0, 0, 0, 2, 1, 1}, {0, 0, 1, 1, 1, 1}}, {{0}}, 0, 14, 3},
    {"the same twice", {{0, 0, 0, 1, 1, 1}, {0, 0, 0, 1, 1, 1}}, {{0}}, 0, 6, 1},
    {"sides in one plane", {{0, 0, 0, 1, 1, 1}, {.5, 0, 0, 1, 1, 1}}, {{0}}, 0, 8, 1.5},
    {"touching along edges", {{0, 0, 0, 1, 1, 1}, {1, 1, 0, 1, 1, 1}}, {{0}}, 0, 12, 2},
    {"inside another", {{0, 0, 0, 3, 3, 3}, {1, 1, 1, 1, 1, 1}}, {{0}}, 0, 54, 27},
    {"notch", {{0, 0, 0, 2, 2, 2}, {1, 1, 1, 2, 2, 2}}, {{0}}, 1, 24, 7},
    {"boss on a plate", {{0, 0, 0, 4, 4, 1}}, {{2, 2, 1, 1, 1}}, 0, 48 + 2 * M_PI, 16 + M_PI},
    {"boss flush with edges", {{0, 0, 0, 2, 2, 1}}, {{1, 1, 1, 1, 1}}, 0, 16 + 2 * M_PI, 4 + M_PI},
    {"pin through stack",
     {{0, 0, 0, 4, 4, 1}, {0, 0, 1, 4, 4, 1}},
     {{2, 2, -1, 1, 4}},
     0,
     64 + 4 * M_PI,
     32 + 2 * M_PI},
    {"hole through stack",
     {{0, 0, 0, 4, 4, 1}, {0, 0, 1, 4, 4, 1}},
     {{2, 2, -1, 1, 4}},
     1,
     64 + 2 * M_PI,
     32 - 2 * M_PI},
    {"flush blind hole", {{0, 0, 0, 4, 4, 2}}, {{2, 2, 1, 1, 1}}, 1, 64 + 2 * M_PI, 32 - M_PI},
    {"plug in its bore", {{0, 0, 0, 4, 4, 2}}, {{2, 2, 0, 1, 2}}, 0, 64, 32},
    {"rods end to end", {{0}}, {{0, 0, 0, 1, 1}, {0, 0, 1, 1, 2}}, 0, 8 * M_PI, 3 * M_PI},
    {"stepped rod", {{0}}, {{0, 0, 0, 2, 1}, {0, 0, 1, 1, 1}}, 0, 14 * M_PI, 5 * M_PI},
    {"ring by a cut", {{0}}, {{0, 0, 0, 2, 1}, {0, 0, 0, 1, 1}}, 1, 12 * M_PI, 3 * M_PI},
};

static void straight_pieces(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof straight / sizeof straight[0]; i++) {
        primitive parts[5];
        size_t count = 0;
        for (int k = 0; k < 3; k++) {
            const double *b = straight[i].box[k];
            if (b[3] > 0) parts[count++] = a_box(b[0], b[1], b[2], b[3], b[4], b[5]);
        }
        for (int k = 0; k < 2; k++) {
            const double *r = straight[i].rod[k];
            if (r[3] > 0) parts[count++] = a_rod(r[0], r[1], r[2], r[3], r[4]);
        }
        job j = start(parts, count - straight[i].cut, straight[i].cut);
        tks_union u = finish(&j);
        assert_holds(u.area, straight[i].area, straight[i].name);
        assert_holds(u.volume, straight[i].volume, straight[i].name);
        assert_near(u.area.value, straight[i].area, 1e-6, straight[i].name);
        assert_true(u.complete);
        tks_arena_free(j.arena);
    }
}

static void check_known(const known *k, size_t added, size_t cut, double tolerance, bool turned)
{
    primitive parts[6];
    for (size_t i = 0; i < added + cut; i++) {
        parts[i] = k->parts[i];
        tks_frame odd = frame_at(0.3, -0.2, 0.1, 0.48, -0.6, 0.64);
        if (turned) parts[i].frame = frame_compose(&odd, &parts[i].frame);
    }
    job j = start(parts, added, cut);
    j.options.tolerance = tolerance;
    tks_union u = finish(&j);
    print_message("%-24s %8.1e of +-%8.1e, %6zu cells, %.2f ms\n", k->name,
                  fabs(u.area.value / k->area - 1), (u.area.high - u.area.low) / 2 / k->area,
                  u.cells, u.seconds * 1e3);
    assert_holds(u.area, k->area, k->name);
    assert_holds(u.volume, k->volume, k->name);
    if (!((u.area.high - u.area.low) / 2 <= tolerance * k->area)) fail_msg("%s: wide", k->name);
    tks_arena_free(j.arena);
}

static void round_pieces(void **state)
{
    (void)state;
    static const double tolerances[] = {1e-2, 1e-4, 1e-6, 1e-8, 1e-10};
    known k[5] = {{.name = "two spheres"},
                  {.name = "sphere on a rod"},
                  {.name = "equal crossed cylinders"},
                  {.name = "cross-drilled rod"},
                  {.name = "saddle"}};
    two_spheres(&k[0], 1, 1.2, 1.3);
    sphere_on_rod(&k[1], 0.3, 4, 1);
    steinmetz(&k[2], 1, 4);
    cross_drilled(&k[3], 1, 4, 0.4);
    saddle(&k[4], 1, 4, 0.6, 2.5);
    for (size_t i = 0; i < 5; i++)
        for (size_t t = 0; t < 5; t++)
            for (int turned = 0; turned < 2; turned++)
                check_known(&k[i], i == 3 ? 1 : 2, i == 3, tolerances[t], turned);
}

/* ------------------------------------------------------------------ labels */

static void hole_gets_its_label(void **state)
{
    (void)state;
    const primitive parts[] = {a_box(0, 0, 0, 4, 4, 1), a_rod(2, 2, -1, 1, 3)};
    job j = start(parts, 1, 1);
    tks_union u = finish(&j);
    assert_holds(u.label[TKS_HOLE], 2 * M_PI, "wall of the hole");
    assert_holds(u.label[TKS_OUTSIDE], 48 - 2 * M_PI, "outside");
    assert_int_equal(u.patch_count, 6 + 3);
    assert_int_equal(u.patches[7].body, 1);
    assert_int_equal(u.patches[7].label, TKS_HOLE);
    assert_holds(u.patches[7].area, 2 * M_PI, "the patch of the wall");
    assert_false(warned(&j, "cut-misses"));
    tks_arena_free(j.arena);
}

/* Two tubes opened into one another: outsides as for solid rods, insides as for the bores' own
 * union. */
static void tubes_keep_inside_apart(void **state)
{
    (void)state;
    const primitive tubes[] = {
        {A_TUBE, AT(0, 0, -2, 0, 0, 1), 1, 4, 0.8, 0},
        {A_TUBE, AT(0, 0, 0, 1, 0, 0), 0.6, 3, 0.5, 0},
        {A_CYLINDER, AT(0, 0, -2, 0, 0, 1), 0.8, 4, 0, 0},
        {A_CYLINDER, AT(0, 0, 0, 1, 0, 0), 0.5, 3, 0, 0},
    };
    known rods = {.name = "rods"}, bores = {.name = "bores"};
    saddle(&rods, 1, 4, 0.6, 3);
    saddle(&bores, 0.8, 4, 0.5, 3);
    job j = start(tubes, 2, 2);
    tks_union u = finish(&j);
    /* without the ends: two of the main, one of the branch */
    assert_holds(u.label[TKS_OUTSIDE], rods.area - M_PI * (2 + 0.36), "outside");
    double inside = u.label[TKS_INSIDE].value + u.label[TKS_HOLE].value;
    double slack = u.label[TKS_INSIDE].high - u.label[TKS_INSIDE].low + u.label[TKS_HOLE].high -
                   u.label[TKS_HOLE].low;
    assert_holds((tks_bounded){inside, inside - slack, inside + slack},
                 bores.area - M_PI * (2 * 0.64 + 0.25), "inside");
    assert_holds(u.label[TKS_END], M_PI * (2 * (1 - 0.64) + 0.36 - 0.25), "ends");
    tks_arena_free(j.arena);
}

/* ------------------------------------------------------------------ sealed cavities */

/* Tube between two plates, and ways into it. */
static void tube_between_plates(void **state)
{
    (void)state;
    primitive p[] = {{A_TUBE, AT(0, 0, 0, 0, 0, 1), 1, 4, 0.8, 0},
                     a_box(-2, -2, -1, 4, 4, 1),
                     a_box(-2, -2, 4, 4, 4, 1),
                     {A_CYLINDER, AT(0, 0, 2, 1, 0, 0), 0.1, 3, 0, 0}};
    double wall = 2 * M_PI * 0.8 * 4 + 2 * M_PI * 0.64;
    job j = start(p, 2, 0);
    tks_union u = finish(&j);
    assert_int_equal(u.voids, 0); /* one end is open */
    tks_arena_free(j.arena);
    j = start(p, 3, 0);
    u = finish(&j);
    assert_int_equal(u.voids, 1);
    assert_true(warned(&j, "sealed-void"));
    assert_holds(u.label[TKS_SEALED], wall, "wall of the cavity");
    assert_holds(u.label[TKS_INSIDE], 0, "no inside is wetted");
    assert_near(u.void_area, wall, 1e-6, "area of the cavity");
    assert_holds(u.area, 2 * (16 + 16 + 16) - 2 * M_PI + 8 * M_PI, "what the bath sees");
    tks_arena_free(j.arena);
    j = start(p, 3, 1); /* a hole through the tube's wall */
    u = finish(&j);
    assert_int_equal(u.voids, 0);
    assert_false(warned(&j, "sealed-void"));
    tks_arena_free(j.arena);
    p[3].frame = AT(0, 0, -3, 0, 0, 1); /* a blind hole that stops in the plate */
    p[3].b = 2.5;
    j = start(p, 3, 1);
    assert_int_equal(finish(&j).voids, 1);
    tks_arena_free(j.arena);
    p[3].b = 3.5; /* and one that goes through it */
    j = start(p, 3, 1);
    assert_int_equal(finish(&j).voids, 0);
    tks_arena_free(j.arena);
}

static void hidden_cuts(void **state)
{
    (void)state;
    const primitive ball = {A_SPHERE, AT(1.5, 1.5, 1.5, 0, 0, 1), 1, 0, 0, 0};
    const primitive p[] = {a_box(0, 0, 0, 3, 3, 3),
                           ball,
                           {A_CYLINDER, AT(1.5, 1.5, 1.5, 0.6, 0, 0.8), 0.005, 4, 0, 0}};
    job j = start(p, 1, 1);
    tks_union u = finish(&j);
    assert_int_equal(u.voids, 1);
    assert_holds(u.label[TKS_SEALED], 4 * M_PI, "ball");
    assert_holds(u.volume, 27 - 4 * M_PI / 3, "volume");
    tks_arena_free(j.arena);
    j = start(p, 1, 2); /* a pinhole */
    assert_int_equal(finish(&j).voids, 0);
    tks_arena_free(j.arena);
    /* two cuts that open into one another */
    const primitive q[] = {a_box(0, 0, 0, 3, 3, 3), a_rod(1.5, 1.5, 1, 0.5, 1),
                           a_rod(1.5, 1.5, 1.5, 0.3, 1)};
    j = start(q, 1, 2);
    u = finish(&j);
    assert_int_equal(u.voids, 1);
    assert_holds(u.label[TKS_SEALED], 2 * M_PI * 0.25 + M_PI + 0.6 * M_PI * 0.5, "stepped");
    tks_arena_free(j.arena);
}

/* Hollows whose walls no curve crosses: a ball in a rod, a box in a ball. */
static void plain_hollows(void **state)
{
    (void)state;
    const primitive rod[] = {{A_CYLINDER, AT(0, 0, 0, 0.6, 0, 0.8), 2, 6, 0, 0},
                             {A_SPHERE, AT(1.8, 0, 2.4, 0, 0, 1), 1, 0, 0, 0}};
    job j = start(rod, 1, 1);
    tks_union u = finish(&j);
    assert_int_equal(u.voids, 1);
    assert_holds(u.label[TKS_SEALED], 4 * M_PI, "ball in a rod");
    assert_holds(u.area, 2 * M_PI * 4 + 4 * M_PI * 6, "rod");
    tks_arena_free(j.arena);
    const primitive ball[] = {{A_SPHERE, AT(0, 0, 0, 0, 0, 1), 2, 0, 0, 0},
                              a_box(-0.9, -0.8, -0.7, 1.7, 1.6, 1.5)};
    j = start(ball, 1, 1);
    u = finish(&j);
    assert_int_equal(u.voids, 1);
    assert_holds(u.label[TKS_SEALED], 2 * (1.7 * 1.6 + 1.7 * 1.5 + 1.6 * 1.5), "box in a ball");
    assert_holds(u.area, 16 * M_PI, "ball");
    tks_arena_free(j.arena);
}

/* A chamber of six thick walls with rods from wall to wall: whatever is in it, the bath sees the
 * outside only. */
static void rods_in_a_chamber(void **state)
{
    (void)state;
    unsigned long long seed = 11;
    random_next(&seed);
    for (int n = 0; n < 40; n++) {
        double size[3];
        for (int k = 0; k < 3; k++) size[k] = 6 + 6 * random_next(&seed);
        double a = size[0], b = size[1], c = size[2];
        primitive p[MOST] = {a_box(0, 0, 0, a, b, 1),         a_box(0, 0, c - 1, a, b, 1),
                             a_box(0, 0, 1, a, 1, c - 2),     a_box(0, b - 1, 1, a, 1, c - 2),
                             a_box(0, 1, 1, 1, b - 2, c - 2), a_box(a - 1, 1, 1, 1, b - 2, c - 2)};
        size_t count = 6 + (size_t)(5 * random_next(&seed));
        tks_frame odd = frame_at(0.3, -0.2, 0.1, 0.48, -0.6, 0.64);
        for (size_t i = 6; i < count; i++) {
            double ends[2][3];
            int along = (int)(3 * random_next(&seed));
            for (int k = 0; k < 6; k++)
                ends[k / 3][k % 3] = 2.2 + (size[k % 3] - 4.4) * random_next(&seed);
            ends[0][along] = 0.5, ends[1][along] = size[along] - 0.5;
            double x = ends[1][0] - ends[0][0], y = ends[1][1] - ends[0][1],
                   z = ends[1][2] - ends[0][2];
            p[i] = (primitive){A_CYLINDER,
                               AT(ends[0][0], ends[0][1], ends[0][2], x, y, z),
                               0.1 + 0.25 * random_next(&seed),
                               sqrt(x * x + y * y + z * z),
                               0,
                               0};
        }
        for (size_t i = 0; i < count && n % 2; i++) p[i].frame = frame_compose(&odd, &p[i].frame);
        job j = start(p, count, 0);
        tks_union u = finish(&j);
        assert_int_equal(u.voids, 1);
        assert_holds(u.area, 2 * (a * b + b * c + c * a), "outside of a chamber");
        tks_arena_free(j.arena);
    }
}

/* A ball loose in a box of plates is not wetted; beside the box it is. */
static void loose_in_a_box(void **state)
{
    (void)state;
    primitive p[] = {a_box(0, 0, 0, 4, 4, 1),
                     a_box(0, 0, 4, 4, 4, 1),
                     a_box(0, 0, 1, 4, 0.5, 3),
                     a_box(0, 3.5, 1, 4, 0.5, 3),
                     a_box(0, 0.5, 1, 0.5, 3, 3),
                     a_box(3.5, 0.5, 1, 0.5, 3, 3),
                     {A_SPHERE, AT(1.4, 2.1, 2.2, 0, 0, 1), 0.7, 0, 0, 0}};
    double ball = 4 * M_PI * 0.49;
    job j = start(p, 7, 0);
    tks_union u = finish(&j);
    assert_int_equal(u.voids, 1);
    assert_holds(u.area, 112, "box");
    assert_holds(u.label[TKS_SEALED], 54 + ball, "what is sealed");
    tks_arena_free(j.arena);
    p[6].frame.origin.x = 7;
    j = start(p, 7, 0);
    assert_holds(finish(&j).area, 112 + ball, "box and ball");
    tks_arena_free(j.arena);
}

/* A plate, 10 x 5 x 1 with corners of radius 1 and a hole of radius 1, and a box of 1.5 x 2 x 3 in
 * its corner: the rounding touches faces that both have in common. The box makes that corner sharp
 * and stands 2 above the plate. */
static void rounded_corner(void **state)
{
    (void)state;
    const primitive p[] = {{A_PLATE, AT(0, 0, 0, 0, 0, 1), 10, 5, 1, 0}, a_box(0, 0, 0, 1.5, 2, 3)};
    double face = 50 - 3 * (1 - M_PI / 4) - M_PI, rim = 30 - 3 * (2 - M_PI / 2) + 2 * M_PI;
    job j = start(p, 2, 0);
    tks_union u = finish(&j);
    assert_holds(u.area, 2 * face + rim + 2 * (2 * (1.5 + 2)), "plate and box");
    assert_holds(u.volume, face + 2 * 3, "volume");
    tks_arena_free(j.arena);
}

/* Six plates make a box; with one a little short it has a slit. */
static void six_plates(void **state)
{
    (void)state;
    for (int slit = 0; slit < 2; slit++) {
        const primitive p[] = {
            a_box(0, 0, 0, 4, 4, 1),     a_box(0, 0, 4, 4, 4, 1),
            a_box(0, 0, 1, 4, 0.5, 3),   a_box(0, 3.5, 1, 4, 0.5, 3),
            a_box(0, 0.5, 1, 0.5, 3, 3), a_box(3.5, 0.5, 1, 0.5, slit ? 2.99 : 3, 3)};
        job j = start(p, 6, 0);
        tks_union u = finish(&j);
        assert_int_equal(u.voids, slit ? 0 : 1);
        if (!slit) assert_holds(u.label[TKS_SEALED], 54, "inside of the box");
        if (!slit) assert_holds(u.area, 112, "outside of the box");
        tks_arena_free(j.arena);
    }
}

/* ------------------------------------------------------------------ cautions and odd input */

static void says_what_is_odd(void **state)
{
    (void)state;
    const primitive apart[] = {a_box(0, 0, 0, 1, 1, 1), a_box(2, 0, 0, 1, 1, 1),
                               a_box(9, 9, 9, 1, 1, 1)};
    job j = start(apart, 2, 1);
    tks_union u = finish(&j);
    assert_holds(u.area, 12, "apart");
    assert_int_equal(u.groups, 2);
    assert_true(u.cut_missed[0]);
    assert_true(warned(&j, "apart") && warned(&j, "cut-misses"));
    tks_arena_free(j.arena);

    const primitive gone[] = {a_box(0, 0, 0, 1, 1, 1), a_box(-1, -1, -1, 3, 3, 3)};
    j = start(gone, 1, 1);
    u = finish(&j);
    assert_holds(u.area, 0, "all cut away");
    assert_true(warned(&j, "cut-removes-all"));
    assert_false(warned(&j, "cut-misses"));
    tks_arena_free(j.arena);
}

/* Faces nearer than the snap count as one, with a caution; farther ones do not. */
static void nearly_coincident(void **state)
{
    (void)state;
    static const double gaps[] = {0, 1e-9, 5e-8, 1e-6};
    for (int i = 0; i < 4; i++) {
        const primitive parts[] = {a_box(0, 0, 0, 0.1, 0.1, 0.1),
                                   a_box(0, 0, 0.1 + gaps[i], 0.1, 0.1, 0.1),
                                   a_rod(0.05, 0.05, 0.04, 0.03, 0.1)};
        job j = start(parts, 3, 0);
        tks_union u = finish(&j);
        assert_true(warned(&j, "near-coincident") == (i == 1 || i == 2));
        if (i < 3) assert_holds(u.area, 0.1, "as one");
        if (i == 3)
            assert_holds(u.area, 0.12 - 2 * M_PI * 9e-4 + 0.06 * M_PI * gaps[i], "with a gap");
        assert_true(u.complete);
        tks_arena_free(j.arena);
    }
}

/* A step within the snap leaves a rim too narrow to look beside it; that takes no search. */
static void narrow_rims(void **state)
{
    (void)state;
    primitive parts[] = {a_rod(0, 0, 0, 0.03, 0.005), a_rod(0, 0, 8e-8, 0.03, 0.005), {0}, {0}};
    job j = start(parts, 2, 0);
    tks_union u = finish(&j);
    assert_holds(u.area, 2 * M_PI * 0.03 * (0.035 + 8e-8), "a rod with a step");
    assert_true(u.complete && u.cells < 1000);
    tks_arena_free(j.arena);
    /* walls of cuts that meet within a rod */
    parts[0] = a_rod(0, 0, 0, 0.005, 0.02);
    parts[1] = a_box(-0.03, -0.02, -0.0025, 0.06, 0.04, 0.005);
    parts[2] = a_box(-0.03, -0.02, 0.0025, 0.06, 0.04, 0.01);
    parts[3] = a_box(-0.03, -0.02, 0.0125, 0.06, 0.04, 0.0075);
    j = start(parts, 1, 3);
    u = finish(&j);
    assert_holds(u.area, 0, "all cut away");
    assert_true(u.complete && u.cells < 10000);
    tks_arena_free(j.arena);
    /* rods side by side that overlap, one end of each in one plane */
    parts[0] = a_rod(0, 0, 0, 0.00275, 0.01);
    parts[1] = a_rod(0.0012, 0.0037, 0, 0.0051, 0.0125);
    j = start(parts, 2, 0);
    j.options.tolerance = 1e-9;
    u = finish(&j);
    assert_true(u.complete && u.cells < 10000);
    tks_arena_free(j.arena);
}

static void touching_curves(void **state)
{
    (void)state;
    const primitive ball[] = {a_box(0, 0, 0, 1, 1, 1),
                              {A_SPHERE, AT(0.5, 0.4, 1.3, 1, 0, 0), 0.3, 0, 0, 0}};
    job j = start(ball, 2, 0);
    assert_holds(finish(&j).area, 6 + 4 * M_PI * 0.09, "ball on a box");
    tks_arena_free(j.arena);
    const primitive rod[] = {a_box(0, 0, 0, 1, 1, 1),
                             {A_CYLINDER, AT(0.5, 0.5, 1.3, 1, 0, 0), 0.3, 1, 0, 0}};
    j = start(rod, 2, 0);
    assert_holds(finish(&j).area, 6 + 2 * M_PI * 0.3 * 1.3, "rod lying on a box");
    tks_arena_free(j.arena);
    const primitive within[] = {a_rod(0, 0, 0, 1, 4), a_rod(0.3, 0, 0, 0.7, 5)};
    j = start(within, 2, 0);
    assert_holds(finish(&j).area, 10 * M_PI + 2 * M_PI * 0.7, "rod touching from inside");
    tks_arena_free(j.arena);
}

/* A ball as wide as its rod touches it along a circle; its own axis is any. */
static void ball_ended_rod(void **state)
{
    (void)state;
    const primitive p[] = {{A_CYLINDER, AT(0, 0, 0, 1, 0, 0), 0.01, 0.05, 0, 0},
                           {A_SPHERE, AT(0.05, 0, 0, 0, 0, 1), 0.01, 0, 0, 0},
                           {A_SPHERE, AT(0, 0, 0, 0.3, 0.4, 0.5), 0.01, 0, 0, 0}};
    job j = start(p, 3, 0);
    tks_union u = finish(&j);
    assert_holds(u.area, 2 * M_PI * 0.01 * 0.05 + 4 * M_PI * 1e-4, "ball-ended rod");
    assert_holds(u.volume, M_PI * 1e-4 * 0.05 + 4 * M_PI / 3 * 1e-6, "ball-ended rod");
    assert_true(u.complete && u.cells < 2000);
    tks_arena_free(j.arena);
}

static bool stop_at_once(void *context, const tks_union_progress *progress)
{
    (void)progress;
    ++*(int *)context;
    return false;
}

static void stops_when_told(void **state)
{
    (void)state;
    known k = {.name = "crossed"};
    steinmetz(&k, 1, 4);
    job j = start(k.parts, 2, 0);
    int calls = 0;
    j.options.tolerance = 1e-11;
    j.options.work = 300;
    tks_union u = finish(&j);
    assert_false(u.complete);
    assert_true(warned(&j, "work-limit"));
    assert_holds(u.area, k.area, "stopped by the limit");
    j.options = tks_union_options_default();
    j.options.tolerance = 1e-11;
    j.options.progress = stop_at_once;
    j.options.context = &calls;
    u = finish(&j);
    assert_int_equal(calls, 1);
    assert_false(u.complete);
    assert_holds(u.area, k.area, "stopped by the caller");
    tks_arena_free(j.arena);
}

static void refuses_nonsense(void **state)
{
    (void)state;
    const primitive one[] = {a_box(0, 0, 0, 1, 1, 1)};
    job j = start(one, 1, 0);
    tks_union u = {.cells = 77};
    tks_error err = {0};
    tks_union_options o = tks_union_options_default();
    assert_int_equal(tks_union_area(j.bodies, 0, NULL, 0, NULL, j.arena, NULL, &u, &err),
                     TKS_EDOMAIN);
    o.tolerance = NAN;
    assert_int_equal(tks_union_area(j.bodies, 1, NULL, 0, &o, j.arena, NULL, &u, &err),
                     TKS_EDOMAIN);
    o = tks_union_options_default();
    o.threads = 0;
    assert_int_equal(tks_union_area(j.bodies, 1, NULL, 0, &o, j.arena, NULL, &u, &err),
                     TKS_EDOMAIN);
    tks_body *empty = tks_body_new(j.arena);
    const tks_body *bodies[1] = {empty};
    assert_int_equal(tks_union_area(bodies, 1, NULL, 0, NULL, j.arena, NULL, &u, &err),
                     TKS_EGEOMETRY);
    assert_int_equal(u.cells, 77); /* untouched */
    tks_arena_free(j.arena);
}

/* Each allocation fails in turn: an error, no leak, nothing written. */
static void survives_want_of_memory(void **state)
{
    (void)state;
    known k = {.name = "crossed"};
    steinmetz(&k, 1, 4);
    job j = start(k.parts, 2, 0);
    tks_status status = TKS_EMEMORY;
    for (long nth = 1; status != TKS_OK && nth < 10000; nth++) {
        tks_union u = {.cells = 77};
        tks_error err = {0};
        base_alloc_fail_at(nth);
        status = tks_union_area(j.bodies, 2, NULL, 0, NULL, j.arena, &j.cautions, &u, &err);
        base_alloc_fail_at(0);
        if (status) {
            assert_int_equal(status, TKS_EMEMORY);
            assert_int_equal(u.cells, 77);
        }
    }
    assert_int_equal(status, TKS_OK);
    tks_arena_free(j.arena);
}

/* ------------------------------------------------------------------ many pieces */

static tks_union unite_all(tks_arena *arena, const primitive *parts, size_t count, int threads)
{
    const tks_body **bodies = tks_arena_take(arena, count, sizeof *bodies);
    tks_union_options o = tks_union_options_default();
    tks_union u = {0};
    tks_error err = {0};
    o.threads = threads;
    for (size_t i = 0; i < count; i++) bodies[i] = primitive_body(arena, &parts[i]);
    if (tks_union_area(bodies, count, NULL, 0, &o, arena, NULL, &u, &err)) fail_msg("%s", err.text);
    return u;
}

static void threads_do_not_show(void **state)
{
    (void)state;
    enum { COUNT = 60 };
    primitive parts[COUNT];
    unsigned long long seed = 5;
    tks_arena *arena = tks_arena_new();
    for (int i = 0; i < COUNT; i++) parts[i] = primitive_random(&seed, 1, 3, A_PLATE + 1);
    tks_union a = unite_all(arena, parts, COUNT, 1), b = unite_all(arena, parts, COUNT, 2);
    tks_union c = unite_all(arena, parts, COUNT, 5);
    assert_memory_equal(&a.area, &b.area, sizeof a.area);
    assert_memory_equal(&a.area, &c.area, sizeof a.area);
    assert_memory_equal(&a.volume, &c.volume, sizeof a.volume);
    assert_memory_equal(a.label, c.label, sizeof a.label);
    assert_int_equal(a.cells, b.cells);
    tks_arena_free(arena);
}

static void thousand_coincident(void **state)
{
    (void)state;
    enum { COUNT = 1000 };
    tks_arena *arena = tks_arena_new();
    primitive *parts = tks_arena_take(arena, COUNT, sizeof *parts);
    for (int i = 0; i < COUNT; i++) parts[i] = a_rod(0, 0, 0, 1, 1);
    tks_union u = unite_all(arena, parts, COUNT, 1);
    assert_holds(u.area, 4 * M_PI, "a thousand rods in one place");
    if (u.seconds > 5) fail_msg("took %.1f s", u.seconds);
    tks_arena_free(arena);
}

/* Many crossed pairs, apart from one another: as many times the area of one pair. */
static void many_apart(void **state)
{
    (void)state;
    enum { PAIRS = 400 };
    tks_arena *arena = tks_arena_new();
    primitive *parts = tks_arena_take(arena, 2 * PAIRS, sizeof *parts);
    known k = {.name = "pair"};
    saddle(&k, 0.01, 0.04, 0.006, 0.03);
    for (int i = 0; i < PAIRS; i++)
        for (int n = 0; n < 2; n++) {
            parts[2 * i + n] = k.parts[n];
            parts[2 * i + n].frame.origin.x += 0.1 * (i % 20);
            parts[2 * i + n].frame.origin.y += 0.1 * (double)(i / 20);
        }
    tks_union u = unite_all(arena, parts, 2 * PAIRS, 2);
    assert_holds(u.area, PAIRS * k.area, "many pairs");
    assert_int_equal(u.groups, PAIRS);
    tks_arena_free(arena);
}

/* ------------------------------------------------------------------ as long as it may take */

enum { BALLS = 200 };

/* Balls shifted by a micron each, so that all cross one another at a slant: endless work. */
static tks_union unite_balls(const tks_union_options *o)
{
    static const tks_body *bodies[BALLS];
    tks_arena *arena = tks_arena_new();
    tks_union u = {0};
    for (int i = 0; i < BALLS; i++) {
        const primitive p = {A_SPHERE, AT(1e-6 * i, 0, 0, 0, 0, 1), 0.03, 0, 0, 0};
        bodies[i] = primitive_body(arena, &p);
    }
    if (tks_union_area(bodies, BALLS, NULL, 0, o, arena, NULL, &u, NULL)) fail_msg("no union");
    /* balls on one line: caps and zones of height 1e-6 make one ball and a zone */
    assert_holds(u.area, 2 * M_PI * 0.03 * (0.06 + (BALLS - 1) * 1e-6), "balls in a row");
    tks_arena_free(arena);
    return u;
}

/* Work is counted in what it costs: where all pieces are near one another, a cell costs much. */
static void costly_cells(void **state)
{
    (void)state;
    tks_union_options o = tks_union_options_default();
    o.work = 300000;
    tks_union a = unite_balls(&o);
    assert_false(a.complete);
    if (a.seconds > 5) fail_msg("took %.1f s", a.seconds);
    o.threads = 3;
    tks_union b = unite_balls(&o);
    assert_memory_equal(&a.area, &b.area, sizeof a.area);
    assert_int_equal(a.cells, b.cells);
    o.work = 20; /* not enough to look at all once */
    tks_union c = unite_balls(&o);
    assert_false(c.complete);
    assert_true(c.area.low == 0); /* nor to know that nothing is sealed */
}

static bool stop_at_third(void *context, const tks_union_progress *progress)
{
    double area = 2 * M_PI * 0.03 * (0.06 + (BALLS - 1) * 1e-6);
    assert_true(fabs(progress->area - area) <= progress->half_width);
    return ++*(int *)context < 3;
}

/* A long round tells its progress as well, and stops when told. */
static void stops_within_a_round(void **state)
{
    (void)state;
    for (int threads = 1; threads <= 2; threads++) {
        tks_union_options o = tks_union_options_default();
        int calls = 0;
        o.threads = threads;
        o.work = 100000000;
        o.progress = stop_at_third;
        o.context = &calls;
        tks_union u = unite_balls(&o);
        assert_int_equal(calls, 3);
        assert_false(u.complete);
        if (u.seconds > 2) fail_msg("took %.1f s", u.seconds);
    }
}

/* In a row of pieces each of which is within the snap of the next but not of those beyond, no face
 * may leave its area to one that leaves it to another. */
static void rows_within_the_snap(void **state)
{
    (void)state;
    static const int counts[] = {3, 4, 40};
    for (int i = 0; i < 3; i++)
        for (int kind = 0; kind < 3; kind++) {
            primitive parts[40];
            double step = 8e-8, length = 0.005 + (counts[i] - 1) * step;
            for (int k = 0; k < counts[i]; k++) {
                parts[k] = a_rod(0, 0, step * k, 0.03, 0.005);
                if (kind == 1) parts[k] = a_box(0, 0, step * k, 0.03, 0.05, 0.005);
                if (kind == 2) parts[k] = a_rod(0, 0, 0, 0.03 + step * k, 0.005);
            }
            tks_arena *arena = tks_arena_new();
            tks_union u = unite_all(arena, parts, (size_t)counts[i], 1);
            double radius = 0.03 + (counts[i] - 1) * step;
            if (kind == 0) assert_holds(u.area, 2 * M_PI * 0.03 * (0.03 + length), "rods");
            if (kind == 1) assert_holds(u.area, 2 * (0.0015 + 0.08 * length), "boxes");
            if (kind == 2) assert_holds(u.area, 2 * M_PI * radius * (radius + 0.005), "wider rods");
            assert_true(u.complete && u.area.high < 1.05 * u.area.low);
            tks_arena_free(arena);
        }
}

/* Boxes on a grid, each side of which is off by less than the snap and a little askew: all that is
 * near counts as one, so that it changes by no more than the intervals tell. */
static void boxes_off_their_grid(void **state)
{
    (void)state;
    static const double offs[] = {1e-10, 2e-8};
    for (unsigned long long n = 1; n <= 60; n++) {
        unsigned long long seed = n;
        double off = offs[n % 2];
        primitive exact[MOST], askew[MOST];
        size_t cut = n % 3, added = MOST - 2;
        for (size_t i = 0; i < added + cut; i++) {
            double x[6], y[6];
            for (int k = 0; k < 3; k++) {
                x[3 + k] = 0.01 * (1 + (int)(random_next(&seed) * 4));
                x[k] = 0.01 * (int)(random_next(&seed) * (9 - 100 * x[3 + k]));
            }
            for (int k = 0; k < 6; k++) y[k] = x[k] + off * (2 * random_next(&seed) - 1);
            double a = 10 * off * random_next(&seed), b = 10 * off * random_next(&seed);
            exact[i] = a_box(x[0], x[1], x[2], x[3], x[4], x[5]);
            askew[i] = (primitive){A_BOX, AT(y[0], y[1], y[2], a, b, 1), y[3], y[4], y[5], 0};
        }
        job j = start(exact, added, cut), k = start(askew, added, cut);
        j.options.voids = k.options.voids = false;
        tks_union u = finish(&j), v = finish(&k);
        assert_true(v.complete && v.cells < 1000);
        if (!(v.area.low <= u.area.high && u.area.low <= v.area.high))
            fail_msg("boxes %llu: %.12g instead of %.12g", n, v.area.value, u.area.value);
        tks_arena_free(j.arena);
        tks_arena_free(k.arena);
    }
}

/* ------------------------------------------------------------------ as narrow as asked for */

static void assert_narrow(const tks_union *u, double tolerance, const char *what)
{
    double half = (u->area.high - u->area.low) / 2 / u->area.value;
    if (!(half <= tolerance)) fail_msg("%s: the interval is +- %g", what, half);
    assert_true(u->complete);
}

/* Many curves in one face, each of which may err: a plate with 20 x 20 holes. */
static void many_holes(void **state)
{
    (void)state;
    enum { SIDES = 20, COUNT = SIDES * SIDES + 1 };
    static primitive parts[COUNT];
    static const tks_body *bodies[COUNT];
    tks_arena *arena = tks_arena_new();
    tks_union u = {0};
    parts[0] = a_box(0, 0, 0, 0.1, 0.1, 0.01);
    for (int i = 1; i < COUNT; i++)
        parts[i] = a_rod(0.005 * ((i - 1) % SIDES + 0.5), 0.005 * ((i - 1) / SIDES + 0.5), -0.01,
                         0.002, 0.03);
    for (int i = 0; i < COUNT; i++) bodies[i] = primitive_body(arena, &parts[i]);
    if (tks_union_area(bodies, 1, bodies + 1, COUNT - 1, NULL, arena, NULL, &u, NULL))
        fail_msg("no union");
    double faces = 0.02 + 4e-3, holes = M_PI * (2 * 0.002 * 0.01 - 2 * 0.002 * 0.002);
    assert_holds(u.area, faces + (COUNT - 1) * holes, "400 holes");
    assert_narrow(&u, 1e-6, "400 holes");
    tks_arena_free(arena);
}

/* Little is left of faces that are large. */
static void large_cuts(void **state)
{
    (void)state;
    /* two spheres of which the cut is 7 times as large; caps as in two_spheres */
    double r = 1, s = 7, d = 7.25, x = (d * d + r * r - s * s) / (2 * d);
    primitive parts[] = {{A_SPHERE, AT(0, 0, 0, 0, 0, 1), r, 0, 0, 0},
                         {A_SPHERE, AT(0.6 * d, 0, 0.8 * d, 0, 0, 1), s, 0, 0, 0}};
    job j = start(parts, 1, 1);
    tks_union u = finish(&j);
    assert_holds(u.area, 2 * M_PI * (r * (r + x) + s * (s - d + x)), "a dimple");
    assert_narrow(&u, 1e-6, "a dimple");
    tks_arena_free(j.arena);
    /* a plate of 1 x 1 x 1/1000 but for slivers: outside of a circle of radius 3 */
    parts[0] = a_box(0, -0.5, 0, 1, 1, 1e-3);
    parts[1] = a_rod(3.0001, 0, -1, 3, 2);
    double half = asin(0.5 / 3), segment = 9 * half - 0.5 * sqrt(9 - 0.25);
    double inner = 3.0001 - sqrt(9 - 0.25), sliver = inner - segment;
    j = start(parts, 1, 1);
    j.options.tolerance = 1e-9;
    u = finish(&j);
    assert_holds(u.area, 2 * sliver + 1e-3 * (1 + 2 * inner + 6 * half), "slivers");
    assert_narrow(&u, 1e-9, "slivers");
    assert_false(warned(&j, "wide-interval"));
    j.options.tolerance = 1e-12; /* less than the rounding of what is cut away */
    u = finish(&j);
    assert_true(u.complete && warned(&j, "wide-interval"));
    tks_arena_free(j.arena);
}

/* ------------------------------------------------------------------ brute force */

/* Exposed area of all patches by testing very many points of each (a rank-1 lattice): rough, but of
 * other making. */
static double counted_area(const job *j)
{
    enum { POINTS = 20000 };
    double sum = 0;
    for (size_t i = 0; i < j->added; i++)
        for (size_t p = 0; p < j->bodies[i]->patch_count; p++) {
            const tks_patch *patch = &j->bodies[i]->patches[p];
            double all = 0, bare = 0;
            for (int n = 0; n < POINTS; n++) {
                double u = (n + 0.5) / POINTS, v = fmod(n * 0.6180339887498949, 1);
                tks_vec3 q;
                tks_patch_at(patch, u, v, &q, NULL);
                tks_vec3 local = frame_local_point(&patch->frame, q);
                double weight = patch->kind == TKS_PATCH_REVOLVED ? hypot(local.x, local.y) : 1;
                bool hidden = false;
                for (size_t k = 0; k < j->added && !hidden; k++)
                    hidden = k != i && tks_body_distance(j->bodies[k], q) < 0;
                all += weight;
                if (!hidden) bare += weight;
            }
            sum += patch->area * bare / all;
        }
    return sum;
}

static void brute_force(void **state)
{
    (void)state;
    for (unsigned long long seed = 1; seed <= 12; seed++) {
        unsigned long long s = seed;
        primitive parts[MOST];
        size_t count = 2 + seed % 5, kept = 0;
        while (kept < count) { /* tks_patch_at does not do plane patches */
            primitive p = primitive_random(&s, 1, 0.8, A_RING + 1);
            if (p.kind != A_BOX) parts[kept++] = p;
        }
        job j = start(parts, count, 0);
        tks_union u = finish(&j);
        assert_near(counted_area(&j), u.area.value, 2e-3, "counted points");
        tks_arena_free(j.arena);
    }
}

/* ------------------------------------------------------------------ threads and coils */

static tks_body *bolt(tks_arena *arena)
{
    const tks_screw screw = {.thread = {TKS_THREAD_METRIC, 0.008, 0.00125, false, false, false},
                             .thread_length = 0.022,
                             .runout = 0.002,
                             .shank_length = 0.018,
                             .head = TKS_HEAD_HEXAGON,
                             .hexagon = {0.013, 0.0053, {0.0125, 0.0125}, M_PI / 6}};
    const tks_frame frame = frame_at(0, 0, 0, 0, 0, 1);
    tks_body *body = tks_body_new(arena);
    tks_error err = {0};
    if (tks_body_screw(body, &frame, &screw, &err)) fail_msg("%s", err.text);
    return body;
}

/* A plate of 40 x 40 x 6 mm right under the head, which bears on it with a circle of 12.5 mm; the
 * plain shank is 8 mm. What is hidden, by hand: of the shank, of both bearing faces, and the two
 * ends of the hole that the shank fills. */
static void bolt_in_a_plate(void **state)
{
    (void)state;
    const primitive plate = a_box(-0.02, -0.02, 0.04 - 0.006, 0.04, 0.04, 0.006);
    job j = start(&plate, 1, 0);
    j.bodies[j.added++] = bolt(j.arena);
    tks_union u = finish(&j);
    double hidden = M_PI * (0.008 * 0.006 + 2 * (6.25e-3 * 6.25e-3 - 1.6e-5) + 2 * 1.6e-5);
    assert_holds(u.area, tks_body_wetted(j.bodies[0]) + tks_body_wetted(j.bodies[1]) - hidden,
                 "bolt in a plate");
    assert_near(u.label[TKS_THREAD].value, tks_body_area(j.bodies[1], TKS_THREAD), 1e-12, "thread");
    assert_holds(u.volume, 9.6e-6 + j.bodies[1]->volume - M_PI * 1.6e-5 * 0.006, "volume");
    assert_true((u.area.high - u.area.low) / 2 <= 1e-6 * u.area.value);
    assert_false(warned(&j, "wide-interval"));
    tks_arena_free(j.arena);
}

/* A coil of round wire about z, from z = 0 up, or leaning by its own climb. */
static const double coil_radius = 0.01, coil_wire = 0.001, coil_pitch = 0.006, coil_angle = 20;

static tks_body *coil(tks_arena *arena, bool upright)
{
    const tks_step steps[] = {{.kind = TKS_STEP_COIL,
                               .angle = coil_angle,
                               .radius = coil_radius,
                               .pitch = coil_pitch,
                               .pitch_end = coil_pitch,
                               .hand = 1}};
    const tks_section wire = {
        .kind = TKS_ROUND, .radius = coil_wire, .cavity = -1, .start = TKS_END, .end = TKS_END};
    double climb = upright ? atan(coil_pitch / (2 * M_PI * coil_radius)) : 0;
    double c = cos(climb), s = sin(climb);
    const tks_frame frame = {{coil_radius, 0, 0}, {-1, 0, 0}, {0, -s, c}, {0, c, s}};
    tks_path path;
    tks_error err = {0};
    tks_body *body = tks_body_new(arena);
    if (tks_path_walk(arena, &frame, steps, 1, &path, &err) ||
        tks_body_sweep(body, &path, &wire, &err))
        fail_msg("%s", err.text);
    return body;
}

/* Area and volume of the coil, and of it per height: by Pappus, and by its screw symmetry, as long
 * as both ends are well away. */
static void coil_measures(double *area, double *volume, double *height)
{
    *height = coil_pitch * coil_angle / (2 * M_PI);
    double length = hypot(coil_radius * coil_angle, *height);
    *area = 2 * M_PI * coil_wire * length;
    *volume = M_PI * coil_wire * coil_wire * length;
}

/* Planes square to a coil's axis cut it in one figure, turned: exactly known. The box has the
 * coil's lower end in it. */
static void coil_square_in_a_box(void **state)
{
    (void)state;
    const primitive box = a_box(-0.02, -0.02, -0.01, 0.04, 0.04, 0.02);
    double area, volume, height, disc = M_PI * coil_wire * coil_wire;
    coil_measures(&area, &volume, &height);
    double in = 0.01 / height, section = volume / height;
    job j = start(&box, 1, 0);
    j.bodies[j.added++] = coil(j.arena, true);
    tks_union u = finish(&j);
    assert_holds(u.patches[6].area, area * (1 - in), "coil above a box");
    assert_holds(u.area, 6.4e-3 - section + area * (1 - in) + disc, "box with a coil");
    assert_holds(u.volume, 3.2e-5 + volume * (1 - in), "volume of a box with a coil");
    assert_near(u.volume.value, 3.2e-5 + volume * (1 - in), 1e-9, "volume of a box with a coil");
    assert_true((u.area.high - u.area.low) / 2 <= 1e-6 * u.area.value);
    assert_false(warned(&j, "wide-interval") || warned(&j, "work-limit"));
    tks_arena_free(j.arena);
}

/* The same, cut off: all the metal that is left is of the coil. */
static void coil_cut_off(void **state)
{
    (void)state;
    const primitive box = a_box(-0.02, -0.02, -0.01, 0.04, 0.04, 0.02);
    double area, volume, height;
    coil_measures(&area, &volume, &height);
    double out = 1 - 0.01 / height;
    job j = start(&box, 0, 1);
    j.bodies[1] = j.bodies[0];
    j.bodies[0] = coil(j.arena, true);
    j.added = 1;
    tks_union u = finish(&j);
    double walls = volume / height + M_PI * coil_wire * coil_wire;
    assert_holds(u.area, area * out + walls, "coil cut off");
    assert_holds(u.volume, volume * out, "volume of a coil cut off");
    if (!((u.volume.high - u.volume.low) / 2 < 1e-3 * u.volume.value))
        fail_msg("the volume is known to %g only", u.volume.high - u.volume.low);
    assert_false(warned(&j, "wide-interval") || warned(&j, "work-limit"));
    tks_arena_free(j.arena);
}

/* A coil leans through a box's top: the part outside by counted points; and what the box has of it
 * and what is left of it add up to its volume, whichever is cut from which. */
static void coil_in_a_box(void **state)
{
    (void)state;
    const primitive box = a_box(-0.02, -0.02, -0.01, 0.04, 0.04, 0.02);
    job j = start(&box, 1, 0);
    j.options.tolerance = 1e-5;
    tks_body *leaning = coil(j.arena, false);
    j.bodies[j.added++] = leaning;
    tks_union u = finish(&j);
    double outside = 0, all = 0;
    for (int n = 0; n < 100000; n++) {
        tks_vec3 q, along, across;
        double w = (n + 0.5) / 100000, v = fmod(n * 0.6180339887498949, 1);
        tks_patch_at(&leaning->patches[0], w, v, &q, NULL);
        tks_patch_at(&leaning->patches[0], w + 1e-5, v, &along, NULL);
        tks_patch_at(&leaning->patches[0], w, v + 1e-5, &across, NULL);
        double weight = vec3_length(vec3_cross(vec3_sub(along, q), vec3_sub(across, q)));
        all += weight;
        if (tks_body_distance(j.bodies[0], q) > 0) outside += weight;
    }
    assert_near(u.patches[6].area.value, outside / all * leaning->patches[0].area, 1e-3, "coil");
    double half = (u.area.high - u.area.low) / 2 / u.area.value;
    if (!(half < 2e-5)) fail_msg("the interval is %g wide", half);
    assert_false(warned(&j, "work-limit"));
    j.added = j.cut = 1; /* the box less the coil */
    tks_union hole = finish(&j);
    j.bodies[1] = j.bodies[0];
    j.bodies[0] = leaning; /* the coil less the box */
    tks_union rest = finish(&j);
    assert_holds(hole.volume, u.volume.value - leaning->volume, "volume of a box with a groove");
    assert_near(rest.volume.value, u.volume.value - 3.2e-5, 1e-5, "volume of what stands out");
    assert_near(rest.area.value + hole.area.value, 6.4e-3 + tks_body_wetted(leaning), 1e-6,
                "areas of both differences");
    tks_arena_free(j.arena);
}

/* A stretch of M8 thread about z, its middle at z = 0, square at both ends. */
static tks_body *threaded(tks_arena *arena, double length, tks_thread_profile *profile)
{
    const tks_thread thread = {TKS_THREAD_METRIC, 0.008, 0.00125, false, false, false};
    const tks_thread_end ends[2] = {{TKS_THREAD_SQUARE, 0, 0}, {TKS_THREAD_SQUARE, 0, 0}};
    const tks_frame frame = frame_at(0, 0, -length / 2, 0, 0, 1);
    tks_body *body = tks_body_new(arena);
    tks_error err = {0};
    if (tks_thread_profile_of(&thread, profile, &err) ||
        tks_body_thread(body, &frame, &thread, length, ends, &err))
        fail_msg("%s", err.text);
    return body;
}

/* A plate 10 mm thick (8 pitches) with a thread through it, or tapped with it: as long as the plate
 * is thick, ends flush, or longer. Area per pitch and section are checked in test_thread. */
static void thread_in_a_plate(void **state)
{
    (void)state;
    const primitive plate = a_box(-0.02, -0.015, -0.005, 0.04, 0.03, 0.01);
    const double area = 3.8e-3, volume = 1.2e-5, t = 0.01;
    for (int i = 0; i < 4; i++) {
        bool cut = i % 2, flush = i / 2;
        tks_thread_profile p;
        job j = start(&plate, 1, 0);
        tks_body *body = threaded(j.arena, flush ? t : 0.03, &p);
        j.bodies[1] = body;
        if (cut)
            j.cut = 1;
        else
            j.added = 2;
        tks_union u = finish(&j);
        double sheet = tks_thread_area_per_pitch(&p) / p.pitch * t;
        double section = tks_thread_section_area(&p), outside = tks_body_wetted(body) - sheet;
        double more = cut ? sheet - 2 * section : flush ? 0 : outside - 2 * section;
        double bulk = cut ? -section * t : body->volume - section * t;
        assert_holds(u.area, area + more, cut ? "tapped plate" : "plate with a thread");
        assert_holds(u.volume, volume + bulk, "volume of a plate with a thread");
        assert_near(u.volume.value, volume + bulk, 1e-8, "volume of a plate with a thread");
        assert_true((u.area.high - u.area.low) / 2 <= 1e-6 * u.area.value);
        assert_false(warned(&j, "wide-interval") || warned(&j, "work-limit"));
        tks_arena_free(j.arena);
    }
}

/* A box cuts a thread lengthwise, off its axis and leaning a little: what each has of the other's
 * surface changes hands, so that both differences have all of both areas between them. */
static void thread_cut_lengthwise(void **state)
{
    (void)state;
    primitive box = {A_BOX, AT(0.0005, 0, 0, 1, 0.03, 0.02), 0.06, 0.06, 0.002, 0};
    tks_frame *f = &box.frame;
    f->origin = vec3_step(vec3_step(f->origin, -0.03, f->x), -0.03, f->y);
    tks_thread_profile p;
    job j = start(&box, 1, 0);
    const tks_body *plate = j.bodies[0], *thread = threaded(j.arena, 0.03, &p);
    j.options.tolerance = 1e-5;
    j.cut = 1;
    j.bodies[1] = thread;
    tks_union a = finish(&j);
    j.bodies[0] = thread, j.bodies[1] = plate;
    tks_union b = finish(&j);
    double sum = tks_body_wetted(thread) + tks_body_wetted(plate);
    tks_bounded both = {a.area.value + b.area.value, a.area.low + b.area.low,
                        a.area.high + b.area.high};
    assert_holds(both, sum, "both differences");
    assert_true(b.volume.value < 0.9 * thread->volume);
    double half = (both.high - both.low) / 2 / sum;
    if (!(half < 1e-3)) fail_msg("the interval is %g wide", half);
    assert_near(thread->volume - b.volume.value, plate->volume - a.volume.value, 1e-3,
                "what they share");
    tks_arena_free(j.arena);
}

/* Countersunk tapped holes through a plate, far from one another: each takes and gives the same. */
static tks_union tapped_plate(tks_arena *arena, size_t count)
{
    enum { MOST_HOLES = 40 };
    const primitive plate = a_box(-0.01, -0.01, 0, 0.12, 0.21, 0.008);
    const tks_thread thread = {TKS_THREAD_METRIC, 0.006, 0.001, false, true, false};
    const tks_body *bodies[1] = {primitive_body(arena, &plate)}, *cuts[MOST_HOLES];
    tks_thread_profile p;
    tks_union u = {0};
    tks_error err = {0};
    tks_status status = tks_thread_profile_of(&thread, &p, &err);
    const tks_thread_end ends[2] = {tks_thread_countersink(&p), tks_thread_countersink(&p)};
    for (size_t i = 0; i < count && !status; i++) {
        const tks_frame frame =
            frame_at(0.02 * (double)(i % 5), 0.02 * (double)(i / 5), 0, 0, 0, 1);
        tks_body *hole = tks_body_new(arena);
        status = tks_body_thread(hole, &frame, &thread, 0.008, ends, &err);
        cuts[i] = hole;
    }
    if (status || tks_union_area(bodies, 1, cuts, count, NULL, arena, NULL, &u, &err))
        fail_msg("%s", err.text);
    return u;
}

static void many_tapped_holes(void **state)
{
    (void)state;
    tks_arena *arena = tks_arena_new();
    tks_union one = tapped_plate(arena, 1), all = tapped_plate(arena, 40);
    double plate = 2 * (0.12 * 0.21 + 0.12 * 0.008 + 0.21 * 0.008), bulk = 0.12 * 0.21 * 0.008;
    assert_near(all.area.value - plate, 40 * (one.area.value - plate), 1e-6, "forty holes");
    assert_near(bulk - all.volume.value, 40 * (bulk - one.volume.value), 1e-6, "their volume");
    assert_true((all.area.high - all.area.low) / 2 <= 1e-6 * all.area.value);
    assert_true(all.complete);
    tks_arena_free(arena);
}

/* A closed tube 80 mm long, or wound to a coil, beside a box: the metal of both, by Pappus. */
static void sealed_tubes(void **state)
{
    (void)state;
    const primitive box = a_box(0.5, 0, 0, 0.01, 0.01, 0.01);
    const tks_step steps[] = {{.kind = TKS_STEP_STRAIGHT, .length = 0.08},
                              {.kind = TKS_STEP_COIL,
                               .angle = 20,
                               .radius = 0.03,
                               .pitch = 0.02,
                               .pitch_end = 0.02,
                               .hand = 1}};
    const tks_section section = {.kind = TKS_TUBULAR,
                                 .radius = 0.005,
                                 .bore = 0.004,
                                 .cavity = -1,
                                 .inside = TKS_SEALED,
                                 .start = TKS_END,
                                 .end = TKS_END};
    const double lengths[] = {0.08, hypot(0.03, 0.02 / (2 * M_PI)) * 20};
    const tks_frame frame = frame_at(0, 0, 0, 0, 0, 1);
    for (int i = 0; i < 2; i++) {
        job j = start(&box, 1, 0);
        tks_body *tube = tks_body_new(j.arena);
        tks_path path;
        tks_error err = {0};
        if (tks_path_walk(j.arena, &frame, &steps[i], 1, &path, &err) ||
            tks_body_sweep(tube, &path, &section, &err))
            fail_msg("%s", err.text);
        j.bodies[j.added++] = tube;
        tks_union u = finish(&j);
        assert_near(u.volume.value, 1e-6 + M_PI * 9e-6 * lengths[i], 1e-12, "closed tube");
        tks_arena_free(j.arena);
    }
}

/* A chamber of 30 x 20 x 20 mm in a block, tapped from both sides: nothing is sealed. */
static void tapped_chamber(void **state)
{
    (void)state;
    const primitive parts[] = {a_box(-0.02, -0.015, -0.015, 0.04, 0.03, 0.03),
                               a_box(-0.015, -0.01, -0.01, 0.03, 0.02, 0.02)};
    job j = start(parts, 1, 1);
    tks_thread_profile p;
    j.bodies[2] = threaded(j.arena, 0.04, &p);
    j.cut = 2;
    tks_union u = finish(&j);
    double sheet = tks_thread_area_per_pitch(&p) / p.pitch * 0.01;
    assert_holds(u.area, 6.6e-3 + 3.2e-3 + sheet - 4 * tks_thread_section_area(&p),
                 "tapped chamber");
    assert_int_equal(u.voids, 0);
    tks_arena_free(j.arena);
}

/* ------------------------------------------------------------------ cubes */

/* Boxes with whole-numbered corners, so that most faces, edges and corners coincide, against
 * counting cubes: area, volume, and the walls of cavities that no cube path leads out of. */
enum { SIDE = 8 };

typedef struct cubes {
    bool metal[SIDE][SIDE][SIDE], open[SIDE][SIDE][SIDE];
    int area, sealed, volume;
} cubes;

static bool at_cube(bool grid[SIDE][SIDE][SIDE], int x, int y, int z, bool beyond)
{
    bool in = x >= 0 && y >= 0 && z >= 0 && x < SIDE && y < SIDE && z < SIDE;
    return in ? grid[x][y][z] : beyond;
}

static const int step[6][3] = {{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}};

/* The bath spreads from the rim into every empty cube that shares a face (or, if so asked, an edge)
 * with a wet one. */
static void flood(cubes *c, bool edges)
{
    for (bool more = true; more;) {
        more = false;
        for (int i = 0; i < SIDE * SIDE * SIDE; i++) {
            int x = i / SIDE / SIDE, y = i / SIDE % SIDE, z = i % SIDE;
            if (c->metal[x][y][z] || c->open[x][y][z]) continue;
            for (int k = 0; k < 27; k++) {
                int u = k / 9 - 1, v = k / 3 % 3 - 1, w = k % 3 - 1;
                if (abs(u) + abs(v) + abs(w) > (edges ? 2 : 1)) continue;
                if (at_cube(c->open, x + u, y + v, z + w, true)) c->open[x][y][z] = more = true;
            }
        }
    }
}

static void count_cubes(cubes *c, bool edges)
{
    memset(c->open, 0, sizeof c->open);
    c->area = c->sealed = c->volume = 0;
    flood(c, edges);
    for (int i = 0; i < SIDE * SIDE * SIDE; i++) {
        int x = i / SIDE / SIDE, y = i / SIDE % SIDE, z = i % SIDE;
        if (!c->metal[x][y][z]) continue;
        c->volume++;
        for (int k = 0; k < 6; k++) {
            int u = x + step[k][0], v = y + step[k][1], w = z + step[k][2];
            if (at_cube(c->metal, u, v, w, false)) continue;
            c->area += at_cube(c->open, u, v, w, true);
            c->sealed += !at_cube(c->open, u, v, w, true);
        }
    }
}

static primitive random_box(unsigned long long *seed, int largest, int place[3], int size[3])
{
    for (int k = 0; k < 3; k++) {
        size[k] = largest > 4 ? largest : 1 + (int)(random_next(seed) * largest);
        place[k] = (int)(random_next(seed) * (SIDE + 1 - size[k]));
    }
    return a_box(place[0], place[1], place[2], size[0], size[1], size[2]);
}

static void boxes_on_a_grid(void **state)
{
    (void)state;
    int hollow = 0;
    for (unsigned long long n = 1; n <= 400; n++) {
        unsigned long long seed = n;
        static cubes c;
        primitive parts[MOST];
        size_t cut = n % 3 ? n % 4 : 6, added = MOST - cut;
        memset(&c, 0, sizeof c);
        for (size_t i = 0; i < MOST; i++) {
            int at[3], size[3];
            parts[i] = random_box(&seed, n % 3 || i > 0 ? 4 : 6, at, size);
            for (int x = at[0]; x < at[0] + size[0]; x++)
                for (int y = at[1]; y < at[1] + size[1]; y++)
                    for (int z = at[2]; z < at[2] + size[2]; z++) c.metal[x][y][z] = i < added;
        }
        count_cubes(&c, true);
        int sealed = c.sealed;
        count_cubes(&c, false);
        tks_frame odd = frame_at(0.3, -0.2, 0.1, 0.48, -0.6, 0.64);
        for (size_t i = 0; i < MOST && n % 2; i++)
            parts[i].frame = frame_compose(&odd, &parts[i].frame);
        job j = start(parts, added, cut);
        tks_union u = finish(&j);
        char name[40];
        snprintf(name, sizeof name, "boxes %llu", n);
        assert_holds(u.volume, c.volume, name);
        assert_holds(u.volume, c.volume, name);
        if (sealed == c.sealed) { /* else a cavity meets the outside along an edge: in doubt */
            assert_holds(u.area, c.area, name);
            assert_holds(u.label[TKS_SEALED], c.sealed, name);
        }
        hollow += c.sealed > 0;
        tks_arena_free(j.arena);
    }
    if (hollow < 3) fail_msg("only %d of the bodies were hollow", hollow);
}

/* ------------------------------------------------------------------ sheet */

/* A plate 200 x 100 x 1.5 mm with a 50 mm hole: all its edges are 1.5 mm wide, so that mass, gauge
 * and edge length give the area of the solid exactly. */
static void sheet_from_mass(void **state)
{
    (void)state;
    double face = 0.2 * 0.1 - M_PI * 0.025 * 0.025, rim = 0.6 + M_PI * 0.05, t = 1.5e-3, area = 0;
    assert_int_equal(tks_sheet_area(7850 * face * t, 7850, t, rim, &area, NULL), TKS_OK);
    assert_near(area, 2 * face + rim * t, 1e-14, "plate");
    assert_int_equal(tks_sheet_area(0.412, 7850, 0, 0, &area, NULL), TKS_EDOMAIN);
    assert_int_equal(tks_sheet_area(NAN, 7850, t, 0, &area, NULL), TKS_EDOMAIN);
    assert_int_equal(tks_sheet_area(0.4, 7850, t, -1, &area, NULL), TKS_EDOMAIN);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(straight_pieces),      cmocka_unit_test(round_pieces),
        cmocka_unit_test(hole_gets_its_label),  cmocka_unit_test(tubes_keep_inside_apart),
        cmocka_unit_test(tube_between_plates),  cmocka_unit_test(hidden_cuts),
        cmocka_unit_test(plain_hollows),        cmocka_unit_test(rounded_corner),
        cmocka_unit_test(rods_in_a_chamber),    cmocka_unit_test(loose_in_a_box),
        cmocka_unit_test(six_plates),           cmocka_unit_test(says_what_is_odd),
        cmocka_unit_test(nearly_coincident),    cmocka_unit_test(touching_curves),
        cmocka_unit_test(ball_ended_rod),       cmocka_unit_test(stops_when_told),
        cmocka_unit_test(refuses_nonsense),     cmocka_unit_test(survives_want_of_memory),
        cmocka_unit_test(threads_do_not_show),  cmocka_unit_test(thousand_coincident),
        cmocka_unit_test(many_apart),           cmocka_unit_test(brute_force),
        cmocka_unit_test(narrow_rims),          cmocka_unit_test(rows_within_the_snap),
        cmocka_unit_test(boxes_off_their_grid), cmocka_unit_test(costly_cells),
        cmocka_unit_test(stops_within_a_round), cmocka_unit_test(many_holes),
        cmocka_unit_test(large_cuts),           cmocka_unit_test(bolt_in_a_plate),
        cmocka_unit_test(coil_in_a_box),        cmocka_unit_test(boxes_on_a_grid),
        cmocka_unit_test(sheet_from_mass),      cmocka_unit_test(coil_square_in_a_box),
        cmocka_unit_test(coil_cut_off),         cmocka_unit_test(thread_in_a_plate),
        cmocka_unit_test(tapped_chamber),       cmocka_unit_test(thread_cut_lengthwise),
        cmocka_unit_test(sealed_tubes),         cmocka_unit_test(many_tapped_holes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
