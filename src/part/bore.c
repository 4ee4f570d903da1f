/* Lines are walked down the wall, just outside the cut, by the distance to the nearest surface: the
 * union's area tells how much of the wall is left, but not where. */
#include "part/bore.h"

#include "base/vec.h"

#include <math.h>
#include <stdlib.h>

/* An odd number of lines, so that where half of them are in metal is where the middle one is. */
enum { LINES = 17, HALF = 8, ENCLOSED = 12, MOST_STRETCHES = 32, MOST_ENDS = 2 * MOST_STRETCHES };

/* How far outside the wall the lines run, over its radius: beyond what else is cut to that size. */
static const double aside = 1e-3;

/* Lengths are told no finer than 0.1 um, so that like holes are one [1/m]. */
static const double finest = 1e7;

tks_status part_metal_new(const tks_body *const *bodies, size_t added, size_t cut, tks_arena *arena,
                          part_metal *metal)
{
    size_t count = added + cut;
    part_metal made = {.bodies = bodies, .added = added, .cut = cut, .work = PART_METAL_WORK};
    made.low = tks_arena_take(arena, count, sizeof *made.low);
    made.high = tks_arena_take(arena, count, sizeof *made.high);
    made.near = tks_arena_take(arena, count, sizeof *made.near);
    if (!made.low || !made.high || !made.near) return TKS_EMEMORY;
    for (size_t i = 0; i < count; i++) tks_body_bounds(bodies[i], &made.low[i], &made.high[i]);
    *metal = made;
    return TKS_OK;
}

/* ------------------------------------------------------------------ what is near */

/* The bodies that a plug may meet: the pieces, then the cuts. */
typedef struct surroundings {
    const tks_body *const *bodies;
    size_t added, count;
    double *work; /* what is left of the metal's */
} surroundings;

static bool boxes_meet(tks_vec3 low, tks_vec3 high, tks_vec3 other_low, tks_vec3 other_high)
{
    return low.x <= other_high.x && other_low.x <= high.x && low.y <= other_high.y &&
           other_low.y <= high.y && low.z <= other_high.z && other_low.z <= high.z;
}

static tks_vec3 along_axis(const tks_plug *plug, double at)
{
    return vec3_step(plug->frame.origin, at, plug->frame.z);
}

/* What is near a plug, its own cut last. */
static surroundings look_around(part_metal *metal, size_t own, const tks_plug *plug)
{
    double reach = 2.1 * fmax(plug->radius[0], plug->radius[1]);
    tks_vec3 r = vec3(reach, reach, reach);
    tks_vec3 a = along_axis(plug, 0), b = along_axis(plug, plug->length);
    tks_vec3 low = vec3_sub(vec3_lesser(a, b), r), high = vec3_add(vec3_greater(a, b), r);
    surroundings s = {.bodies = metal->near, .work = &metal->work};
    for (size_t i = 0; i < metal->added + metal->cut; i++) {
        if (i == own || !boxes_meet(low, high, metal->low[i], metal->high[i])) continue;
        if (i < metal->added) s.added++;
        metal->near[s.count++] = metal->bodies[i];
    }
    metal->near[s.count++] = metal->bodies[own];
    return s;
}

/* Signed distance to the metal's surface, negative within; never more than the true one. */
static double depth_at(const surroundings *s, tks_vec3 p)
{
    double depth = INFINITY;
    for (size_t i = 0; i < s->count; i++) {
        double distance = tks_body_distance(s->bodies[i], p);
        depth = i < s->added ? fmin(depth, distance) : fmax(depth, -distance);
        *s->work -= (double)s->bodies[i]->patch_count;
    }
    return depth;
}

/* A place on a line, with the depth that it has there. */
typedef struct sounding {
    double at, depth;
} sounding;

/* Where the surface is between two places on either side of it, so near one another that it is all
 * but straight there: by false position. */
static double crossing(const surroundings *s, tks_vec3 from, tks_vec3 way, sounding a, sounding b)
{
    for (int i = 0; i < 4 && a.depth != 0; i++) {
        double at = a.at + (b.at - a.at) * a.depth / (a.depth - b.depth);
        sounding c = {at, depth_at(s, vec3_step(from, at, way))};
        if ((c.depth < 0) == (a.depth < 0))
            a = c;
        else
            b = c;
    }
    return fabs(a.depth) < fabs(b.depth) ? a.at : b.at;
}

/* Where a line enters the metal and leaves it, by turns, as fractions of the line. */
static size_t walk(const surroundings *s, tks_vec3 from, tks_vec3 to, double ends[MOST_ENDS])
{
    tks_vec3 way = vec3_sub(to, from);
    double length = vec3_length(way);
    sounding last = {0, depth_at(s, from)};
    size_t count = 0;
    if (last.depth < 0) ends[count++] = 0;
    while (last.at < 1 && count + 2 <= MOST_ENDS && *s->work > 0) {
        sounding next = {fmin(1, last.at + fmax(fabs(last.depth) / length, 1.0 / 2000)), 0};
        next.depth = depth_at(s, vec3_step(from, next.at, way));
        if ((next.depth < 0) != (last.depth < 0))
            ends[count++] = crossing(s, from, way, last, next);
        last = next;
    }
    if (count & 1) ends[count++] = last.at;
    return count;
}

/* ------------------------------------------------------------------ down the wall */

/* A place on one of the lines where metal begins (+1) or ends (-1). */
typedef struct change {
    double at;
    int by;
} change;

/* A stretch of the plug, 0..1 of its length, with metal over more than half its turn. */
typedef struct stretch {
    double from, to;
    double metal; /* mean over its turn of what is metal of it */
    int most;     /* lines in metal at once */
} stretch;

/* A point of a line down the wall, aside from it. */
static tks_vec3 at_wall(const tks_plug *plug, int line, int end, double radius, double beyond)
{
    double angle = 2 * M_PI * (line + 0.5) / LINES;
    double height = end ? plug->length + beyond : -beyond;
    return frame_point(&plug->frame, vec3(radius * cos(angle), radius * sin(angle), height));
}

static int by_place(const void *a, const void *b)
{
    const change *p = a, *q = b;
    return p->at != q->at ? (p->at > q->at) - (p->at < q->at) : q->by - p->by;
}

/* All changes on the lines, in order. The plug's own cut is left out: the lines are outside it. */
static size_t changes_along(const surroundings *s, const tks_plug *plug, change *changes)
{
    surroundings others = {s->bodies, s->added, s->count - 1, s->work};
    double out = aside * fmax(plug->radius[0], plug->radius[1]), ends[MOST_ENDS];
    size_t count = 0;
    for (int i = 0; i < LINES; i++) {
        size_t met = walk(&others, at_wall(plug, i, 0, plug->radius[0] + out, 0),
                          at_wall(plug, i, 1, plug->radius[1] + out, 0), ends);
        for (size_t k = 0; k < met; k++) changes[count++] = (change){ends[k], k % 2 ? -1 : 1};
    }
    qsort(changes, count, sizeof *changes, by_place);
    return count;
}

/* Adds a stretch; one that a break too narrow for a mouth parts from the last goes on with it. One
 * that was nowhere enclosed gives way to the next. */
static size_t add_stretch(stretch *stretches, size_t count, const stretch *next, double narrow)
{
    stretch *last = count ? &stretches[count - 1] : NULL;
    if (last && next->from - last->to < narrow) {
        *last = (stretch){last->from, next->to, last->metal + next->metal,
                          next->most > last->most ? next->most : last->most};
        return count;
    }
    if (last && last->most <= ENCLOSED) count--;
    if (count < PART_MOST_BORES) stretches[count++] = *next;
    return count;
}

/* The stretches that are somewhere enclosed; *all: of the whole wall, what is metal. */
static size_t enclosed(const change *changes, size_t change_count, double narrow,
                       stretch stretches[PART_MOST_BORES], double *all)
{
    size_t count = 0;
    int lines = 0;
    stretch now = {0};
    for (size_t i = 0; i < change_count; i++) {
        double metal = i ? (changes[i].at - changes[i - 1].at) * lines / LINES : 0;
        bool before = lines > HALF;
        *all += metal;
        lines += changes[i].by;
        if (!before && lines > HALF) now = (stretch){.from = changes[i].at};
        if (before) now.metal += metal;
        now.to = changes[i].at;
        if (lines > now.most) now.most = lines;
        if (before && !(lines > HALF)) count = add_stretch(stretches, count, &now, narrow);
    }
    return count && stretches[count - 1].most <= ENCLOSED ? count - 1 : count;
}

/* ------------------------------------------------------------------ its ends */

/* Whether metal stands before one end of the plug: lines at a radius that halves its area. */
static bool is_closed(const surroundings *s, const tks_plug *plug, int end)
{
    double radius = plug->radius[end] * M_SQRT1_2, ends[MOST_ENDS];
    int met = 0;
    for (int i = 0; i < LINES; i++)
        met += walk(s, at_wall(plug, i, end, radius, aside * plug->mean),
                    at_wall(plug, i, end, radius, plug->mean), ends) > 0;
    return 2 * met > LINES;
}

static part_bore bore_of(const surroundings *s, const tks_plug *plug, const stretch *part)
{
    bool first = part->from < aside && is_closed(s, plug, 0);
    bool last = part->to > 1 - aside && is_closed(s, plug, 1);
    double length = round((part->to - part->from) * plug->length * finest) / finest;
    return (part_bore){.cavity = {TKS_BORE, plug->mean, length, first || last ? 1 : 2},
                       .bottom = along_axis(plug, last ? plug->length : 0),
                       .inward = vec3_scale(plug->frame.z, last ? 1 : -1)};
}

size_t part_bores(part_metal *metal, size_t body, const tks_patch *patch,
                  part_bore bores[PART_MOST_BORES])
{
    tks_plug plug;
    change changes[LINES * MOST_ENDS];
    stretch stretches[PART_MOST_BORES];
    double all = 0;
    if (!(metal->work > 0) || !tks_patch_plug(patch, &plug)) return 0;
    surroundings s = look_around(metal, body, &plug);
    size_t count = changes_along(&s, &plug, changes), kept = 0;
    count = enclosed(changes, count, plug.mean / 2 / plug.length, stretches, &all);
    for (size_t i = 0; i < count; i++) {
        part_bore bore = bore_of(&s, &plug, &stretches[i]);
        bore.share = stretches[i].metal / all;
        if (bore.cavity.length > 0) bores[kept++] = bore;
    }
    return metal->work > 0 ? kept : 0;
}

bool part_bore_bottom(const part_bore *bore, const tks_patch *patch)
{
    tks_vec3 middle = patch->frame.origin;
    if (patch->kind != TKS_PATCH_PLANE) tks_patch_at(patch, 0.5, 0.5, &middle, NULL);
    return vec3_dot(vec3_sub(middle, bore->bottom), bore->inward) > -bore->cavity.width / 2;
}
