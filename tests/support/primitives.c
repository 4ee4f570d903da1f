#include "support/primitives.h"
#include "support/near.h"

#include "base/vec.h"

static void must(tks_status status, const tks_error *err)
{
    if (status) fail_msg("%s", err->text);
}

tks_frame frame_at(double x, double y, double z, double ax, double ay, double az)
{
    tks_frame f = {{x, y, z}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
    f.z = vec3_unit(vec3(ax, ay, az));
    f.x = vec3_unit(vec3_cross(fabs(f.z.y) < 0.9 ? vec3(0, 1, 0) : vec3(0, 0, 1), f.z));
    f.y = vec3_cross(f.z, f.x);
    return f;
}

static tks_outline corners(tks_arena *arena, const double (*xy)[2], size_t count, double round)
{
    tks_corner c[6] = {{.label = TKS_OUTSIDE}};
    tks_outline o = {NULL, 0, 0};
    tks_error err = {0};
    for (size_t i = 0; i < count; i++)
        c[i] = (tks_corner){.at = {xy[i][0], xy[i][1]}, .round = round, .cavity = -1};
    must(tks_outline_corners(arena, c, count, false, &o, &err), &err);
    return o;
}

static void turn(tks_body *body, const primitive *p, const tks_outline *profile)
{
    tks_error err = {0};
    must(tks_body_revolve(body, &p->frame, profile, 2 * M_PI, TKS_END, &err), &err);
}

/* Cylinder, tube and cone; the bore of a tube is its inside. */
static void turn_corners(tks_arena *arena, tks_body *body, const primitive *p)
{
    double top = p->kind == A_CONE ? p->b : p->a, bore = p->kind == A_TUBE ? p->c : 0;
    double height = p->kind == A_CONE ? p->c : p->b;
    const double xy[4][2] = {{bore, 0}, {p->a, 0}, {top > 0 ? top : 0, height}, {bore, height}};
    tks_outline o = corners(arena, xy, top > 0 ? 4 : 3, 0);
    o.segments[0].label = TKS_END;
    if (top > 0) o.segments[2].label = TKS_END;
    if (p->kind == A_TUBE) o.segments[3].label = TKS_INSIDE;
    turn(body, p, &o);
}

static void turn_sphere(tks_arena *arena, tks_body *body, const primitive *p)
{
    const tks_corner c[2] = {{.at = {0, -p->a}, .bulge = M_PI, .cavity = -1},
                             {.at = {0, p->a}, .cavity = -1}};
    tks_outline o = {NULL, 0, 0};
    tks_error err = {0};
    must(tks_outline_corners(arena, c, 2, false, &o, &err), &err);
    turn(body, p, &o);
}

static void turn_ring(tks_arena *arena, tks_body *body, const primitive *p)
{
    tks_outline o = {NULL, 0, 0};
    tks_error err = {0};
    must(tks_outline_circle(arena, (tks_vec2){p->a, 0}, p->b, false, TKS_OUTSIDE, -1, &o, &err),
         &err);
    turn(body, p, &o);
}

void primitive_outlines(tks_arena *arena, const primitive *p, tks_outline outlines[2])
{
    const double xy[4][2] = {{0, 0}, {p->a, 0}, {p->a, p->b}, {0, p->b}};
    tks_error err = {0};
    outlines[0] = corners(arena, xy, 4, p->kind == A_PLATE ? p->b / 5 : 0);
    if (p->kind != A_PLATE) return;
    tks_vec2 centre = {0.4 * p->a, 0.5 * p->b};
    must(tks_outline_circle(arena, centre, p->b / 5, true, TKS_HOLE, -1, &outlines[1], &err), &err);
}

static void extrude(tks_arena *arena, tks_body *body, const primitive *p)
{
    tks_outline o[2];
    tks_error err = {0};
    primitive_outlines(arena, p, o);
    must(tks_body_extrude(body, &p->frame, o, p->kind == A_PLATE ? 2 : 1, p->c, TKS_OUTSIDE,
                          TKS_OUTSIDE, NULL, 0, &err),
         &err);
}

void primitive_path(tks_arena *arena, const primitive *p, tks_path *path)
{
    const tks_step steps[3] = {{.kind = TKS_STEP_STRAIGHT, .length = p->b},
                               {.kind = TKS_STEP_BEND, .angle = p->d, .radius = p->c},
                               {.kind = TKS_STEP_STRAIGHT, .length = p->b}};
    tks_error err = {0};
    must(tks_path_walk(arena, &p->frame, steps, 3, path, &err), &err);
}

static void sweep(tks_arena *arena, tks_body *body, const primitive *p)
{
    const tks_section section = {
        .kind = TKS_ROUND, .radius = p->a, .cavity = -1, .start = TKS_END, .end = TKS_END};
    tks_path path;
    tks_error err = {0};
    primitive_path(arena, p, &path);
    must(tks_body_sweep(body, &path, &section, &err), &err);
}

tks_body *primitive_body(tks_arena *arena, const primitive *p)
{
    tks_body *body = tks_body_new(arena);
    if (!body) fail_msg("out of memory");
    switch (p->kind) {
    case A_BOX:
    case A_PLATE: extrude(arena, body, p); break;
    case A_CYLINDER:
    case A_TUBE:
    case A_CONE: turn_corners(arena, body, p); break;
    case A_SPHERE: turn_sphere(arena, body, p); break;
    case A_RING: turn_ring(arena, body, p); break;
    case A_ROD: sweep(arena, body, p); break;
    }
    return body;
}

/* Knuth's 64-bit linear congruential generator (MMIX). */
double random_next(unsigned long long *seed)
{
    *seed = *seed * 6364136223846793005ULL + 1442695040888963407ULL;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

static double in(unsigned long long *seed, double low, double high)
{
    return low + (high - low) * random_next(seed);
}

primitive primitive_random(unsigned long long *seed, double unit, double cube, int kinds)
{
    static const double ranges[][4][2] = {
        [A_BOX] = {{0.3, 1}, {0.3, 1}, {0.3, 1}, {0, 0}},
        [A_CYLINDER] = {{0.15, 0.5}, {0.5, 1.5}, {0, 0}, {0, 0}},
        [A_TUBE] = {{0.3, 0.5}, {0.5, 1.5}, {0.1, 0.25}, {0, 0}},
        [A_CONE] = {{0.3, 0.6}, {0.1, 0.3}, {0.4, 1}, {0, 0}},
        [A_SPHERE] = {{0.2, 0.6}, {0, 0}, {0, 0}, {0, 0}},
        [A_RING] = {{0.3, 0.6}, {0.05, 0.25}, {0, 0}, {0, 0}},
        [A_ROD] = {{0.05, 0.2}, {0.3, 0.6}, {0.25, 0.5}, {0.5, 2.5}},
        [A_PLATE] = {{0.6, 1.2}, {0.4, 1}, {0.05, 0.3}, {0, 0}},
    };
    primitive p = {.kind = (primitive_kind)(random_next(seed) * kinds)};
    double size[4];
    for (int i = 0; i < 4; i++) size[i] = in(seed, ranges[p.kind][i][0], ranges[p.kind][i][1]);
    p.a = unit * size[0], p.b = unit * size[1], p.c = unit * size[2];
    p.d = size[3];
    double x = in(seed, 0, cube), y = in(seed, 0, cube), z = in(seed, 0, cube);
    double up = in(seed, -1, 1), round = in(seed, 0, 2 * M_PI), out = sqrt(1 - up * up);
    p.frame = frame_at(x, y, z, out * cos(round), out * sin(round), up);
    return p;
}
