/* One body of every generator and option, for the tests that hold for all of them. */
#ifndef GEOMETRY_BODIES_H
#define GEOMETRY_BODIES_H

#include "support/near.h"

#include "base/vec.h"
#include "tankside/geometry.h"

typedef struct sample {
    const char *name;
    tks_body *(*make)(tks_arena *arena);
} sample;

static void must(tks_status status, const tks_error *err)
{
    if (status) fail_msg("%s", err->text);
}

static tks_frame placed(void)
{
    double c = cos(0.7), s = sin(0.7);
    tks_frame f = {
        {0.01, -0.02, 0.03}, {c, s, 0}, {-s * 0.6, c * 0.6, 0.8}, {s * 0.8, -c * 0.8, 0.6}};
    return f;
}

static tks_body *revolved(tks_arena *arena, const tks_corner *c, size_t count, double angle)
{
    tks_body *body = tks_body_new(arena);
    tks_frame f = placed();
    tks_outline o = {NULL, 0, 0};
    tks_error err = {0};
    must(tks_outline_corners(arena, c, count, false, &o, &err), &err);
    must(tks_body_revolve(body, &f, &o, angle, TKS_END, &err), &err);
    return body;
}

/* A shaft with a cone, a round collar, a fillet and a bore from below. */
static const tks_corner shaft_profile[] = {
    {{0.003, 0}, 0, 0, TKS_END, -1},
    {{0.01, 0}, 0.001, 0, TKS_OUTSIDE, -1},
    {{0.01, 0.01}, 0, M_PI / 2, TKS_OUTSIDE, -1},
    {{0.008, 0.013}, 0, -M_PI / 3, TKS_OUTSIDE, -1},
    {{0.006, 0.018}, 0, 0, TKS_OUTSIDE, -1},
    {{0, 0.03}, 0, 0, TKS_OUTSIDE, -1},
    {{0, 0.015}, 0, 0, TKS_INSIDE, -1},
    {{0.003, 0.015}, 0, 0, TKS_INSIDE, -1},
};

static tks_body *shaft(tks_arena *arena)
{
    return revolved(arena, shaft_profile, 8, 2 * M_PI);
}

static tks_body *part_shaft(tks_arena *arena)
{
    return revolved(arena, shaft_profile, 8, 1.9);
}

static tks_body *most_of_shaft(tks_arena *arena)
{
    return revolved(arena, shaft_profile, 8, 5.0);
}

static tks_body *ball(tks_arena *arena)
{
    static const tks_corner c[] = {{{0, -0.02}, 0, M_PI, TKS_OUTSIDE, -1},
                                   {{0, 0.02}, 0, 0, TKS_OUTSIDE, -1}};
    return revolved(arena, c, 2, 2 * M_PI);
}

static tks_body *torus(tks_arena *arena)
{
    tks_body *body = tks_body_new(arena);
    tks_frame f = placed();
    tks_outline o = {NULL, 0, 0};
    tks_error err = {0};
    must(tks_outline_circle(arena, (tks_vec2){0.03, 0}, 0.008, false, TKS_OUTSIDE, -1, &o, &err),
         &err);
    must(tks_body_revolve(body, &f, &o, 2 * M_PI, TKS_END, &err), &err);
    return body;
}

/* Rounded plate with two round holes and a slot. */
static tks_body *plate(tks_arena *arena)
{
    static const tks_corner rim[] = {
        {{0, 0}, 0.003, 0, TKS_OUTSIDE, -1},
        {{0.06, 0}, 0, M_PI / 3, TKS_OUTSIDE, -1},
        {{0.06, 0.025}, 0, 0, TKS_OUTSIDE, -1},
        {{0, 0.025}, 0.005, 0, TKS_OUTSIDE, -1},
    };
    static const tks_corner slot[] = {
        {{0.045, 0.008}, 0, -M_PI, TKS_HOLE, -1},
        {{0.045, 0.018}, 0, 0, TKS_HOLE, -1},
        {{0.052, 0.018}, 0, -M_PI, TKS_HOLE, -1},
        {{0.052, 0.008}, 0, 0, TKS_HOLE, -1},
    };
    tks_body *body = tks_body_new(arena);
    tks_frame f = placed();
    tks_outline o[4];
    tks_error err = {0};
    must(tks_outline_corners(arena, rim, 4, false, &o[0], &err), &err);
    must(tks_outline_circle(arena, (tks_vec2){0.012, 0.0125}, 0.0042, true, TKS_HOLE, -1, &o[1],
                            &err),
         &err);
    must(
        tks_outline_circle(arena, (tks_vec2){0.03, 0.0125}, 0.009, true, TKS_HOLE, -1, &o[2], &err),
        &err);
    must(tks_outline_corners(arena, slot, 2, true, &o[3], &err), &err);
    must(tks_body_extrude(body, &f, o, 4, 0.003, TKS_OUTSIDE, TKS_OUTSIDE, NULL, 0, &err), &err);
    return body;
}

/* Bent sheet with two holes in one leg and one in another. */
static tks_body *bracket(tks_arena *arena)
{
    static const double legs[] = {0.03, 0.04, 0.02}, angles[] = {M_PI / 2, -M_PI / 3};
    static const double radii[] = {0.002, 0.003};
    static const tks_pierce holes[] = {
        {0, 10, 0.02, 0.015, 0.004, TKS_HOLE, -1},
        {4, 6, 0.008, 0.007, 0.003, TKS_HOLE, -1},
        {4, 6, 0.012, 0.023, 0.002, TKS_HOLE, -1},
    };
    tks_body *body = tks_body_new(arena);
    tks_frame f = placed();
    tks_outline o = {NULL, 0, 0};
    tks_error err = {0};
    must(tks_outline_strip(arena, 0.002, legs, 3, angles, radii, &o, &err), &err);
    must(tks_body_extrude(body, &f, &o, 1, 0.03, TKS_END, TKS_END, holes, 3, &err), &err);
    return body;
}

static const tks_step bends[] = {
    {TKS_STEP_STRAIGHT, 0.03, 0, 0, 0, 0, 0},    {TKS_STEP_BEND, 0, M_PI / 2, 0.02, 0, 0, 0},
    {TKS_STEP_STRAIGHT, 0.02, 0, 0, 0, 0, 0},    {TKS_STEP_TURN, 0, 1.1, 0, 0, 0, 0},
    {TKS_STEP_BEND, 0, M_PI / 4, 0.02, 0, 0, 0}, {TKS_STEP_STRAIGHT, 0.001, 0, 0, 0, 0, 0},
};

static tks_body *swept(tks_arena *arena, const tks_step *steps, size_t count,
                       const tks_section *section)
{
    tks_body *body = tks_body_new(arena);
    tks_frame f = placed(), start = frame_identity();
    tks_path path;
    tks_error err = {0};
    must(tks_path_walk(arena, &start, steps, count, &path, &err), &err);
    must(tks_body_sweep(body, &path, section, &err), &err);
    tks_body_place(body, &f);
    return body;
}

static tks_body *bent_rod(tks_arena *arena)
{
    tks_section s = {.kind = TKS_ROUND, .radius = 0.004, .start = TKS_END, .end = TKS_END};
    return swept(arena, bends, 6, &s);
}

static tks_body *bent_tube(tks_arena *arena)
{
    tks_section s = {.kind = TKS_TUBULAR,
                     .radius = 0.004,
                     .bore = 0.003,
                     .cavity = -1,
                     .inside = TKS_INSIDE,
                     .start = TKS_END,
                     .end = TKS_END};
    return swept(arena, bends, 6, &s);
}

static tks_body *bent_bar(tks_arena *arena)
{
    tks_section s = {
        .kind = TKS_RECTANGULAR, .width = 0.008, .height = 0.003, .start = TKS_END, .end = TKS_END};
    return swept(arena, bends, 6, &s);
}

static tks_body *spring(tks_arena *arena)
{
    static const tks_step steps[] = {
        {TKS_STEP_STRAIGHT, 0.01, 0, 0, 0, 0, 0},
        {TKS_STEP_COIL, 0, 20, 0.01, 0.003, 0.007, -1},
        {TKS_STEP_STRAIGHT, 0.01, 0, 0, 0, 0, 0},
    };
    tks_section s = {.kind = TKS_ROUND, .radius = 0.001, .start = TKS_END, .end = TKS_END};
    return swept(arena, steps, 3, &s);
}

static tks_body *coiled_tube(tks_arena *arena)
{
    static const tks_step steps[] = {{TKS_STEP_COIL, 0, 15, 0.01, 0.006, 0.006, 1}};
    tks_section s = {.kind = TKS_TUBULAR,
                     .radius = 0.002,
                     .bore = 0.0012,
                     .cavity = -1,
                     .inside = TKS_INSIDE,
                     .start = TKS_END,
                     .end = TKS_END};
    return swept(arena, steps, 1, &s);
}

static tks_body *link(tks_arena *arena)
{
    static const tks_step steps[] = {{TKS_STEP_STRAIGHT, 0.03, 0, 0, 0, 0, 0},
                                     {TKS_STEP_BEND, 0, M_PI, 0.01, 0, 0, 0},
                                     {TKS_STEP_STRAIGHT, 0.03, 0, 0, 0, 0, 0},
                                     {TKS_STEP_BEND, 0, M_PI, 0.01, 0, 0, 0}};
    tks_section s = {.kind = TKS_ROUND, .radius = 0.003, .start = TKS_END, .end = TKS_END};
    return swept(arena, steps, 4, &s);
}

static const sample samples[] = {
    {"shaft", shaft},
    {"part of a shaft", part_shaft},
    {"most of a shaft", most_of_shaft},
    {"ball", ball},
    {"torus", torus},
    {"plate", plate},
    {"bracket", bracket},
    {"bent rod", bent_rod},
    {"bent tube", bent_tube},
    {"bent bar", bent_bar},
    {"spring", spring},
    {"coiled tube", coiled_tube},
    {"chain link", link},
};

enum { SAMPLE_COUNT = sizeof samples / sizeof samples[0] };

#endif
