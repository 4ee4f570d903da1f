#include "geometry/path.h"
#include "geometry/solid.h"

#include "base/vec.h"

#include <float.h>
#include <math.h>

/* Whether a rod along a path would run through itself. Along the path, a bend no tighter than the
 * rod keeps points that are pi radii apart clear of one another (the thickest tube about a curve is
 * limited by its curvature or by where it comes back near itself: O. Gonzalez and J. H. Maddocks,
 * Proc. Natl. Acad. Sci. 96 (1999) 4769). So two points farther apart than that along the path, yet
 * nearer than two radii, show that it does. Coils keep clear of themselves by their pitch, and are
 * not looked at here. */

/* Touching is allowed, and a hair of overlap not told from it. */
static const double spare = 1e-3;

/* A stretch of a stretch. */
typedef struct piece {
    const tks_stretch *stretch;
    double start; /* along the path, of the stretch */
    double from, to;
} piece;

static double length_of(const piece *p)
{
    return (p->to - p->from) * p->stretch->length;
}

static tks_vec3 middle_of(const piece *p)
{
    return geometry_stretch_frame(p->stretch, (p->from + p->to) / 2).origin;
}

/* Greatest separation along the path of a point of a from one of b; in a closed path the shorter
 * way round. */
static double farthest_apart(const tks_path *path, const piece *a, const piece *b)
{
    double first = a->start + a->from * a->stretch->length;
    double last = b->start + b->to * b->stretch->length;
    double way = last - first;
    if (!path->closed) return way;
    double round = path->length - (b->start + b->from * b->stretch->length) +
                   (a->start + a->to * a->stretch->length);
    return fmin(way, round);
}

/* a comes before b along the path. The pieces are halved until they are apart, or so near along the
 * path that they may be, or so small that what is seen is true. */
static bool pieces_clear(const tks_path *path, piece a, piece b, double radius)
{
    double half = (length_of(&a) + length_of(&b)) / 2;
    double gap = vec3_distance(middle_of(&a), middle_of(&b));
    if (gap - half >= 2 * radius) return true;
    if (farthest_apart(path, &a, &b) <= M_PI * radius * (1 + spare)) return true;
    if (half < radius / 32) return gap >= 2 * radius * (1 - spare);
    piece *longer = length_of(&a) >= length_of(&b) ? &a : &b;
    double to = longer->to;
    longer->to = (longer->from + to) / 2;
    if (!pieces_clear(path, a, b, radius)) return false;
    longer->from = longer->to;
    longer->to = to;
    return pieces_clear(path, a, b, radius);
}

/* A ball about the stretch: cheap, and enough for most pairs. */
static double ball(const tks_stretch *s, tks_vec3 *centre)
{
    tks_vec3 a = s->start.origin, b = geometry_stretch_frame(s, 1).origin;
    *centre = vec3_scale(vec3_add(a, b), 0.5);
    if (s->kind == TKS_STRAIGHT) return s->length / 2;
    return s->angle <= M_PI ? s->radius * fmax(sin(s->angle / 2), 1 - cos(s->angle / 2))
                            : 2 * s->radius;
}

/* Neighbours that together turn by half a turn or less only lead away from one another. */
static bool lead_away(const tks_path *path, size_t i, size_t j)
{
    bool next = j == i + 1 || (path->closed && i == 0 && j == path->count - 1);
    return next && path->stretches[i].angle + path->stretches[j].angle <= M_PI * (1 + 1e-12);
}

bool geometry_path_clear(const tks_path *path, double radius, size_t *first, size_t *second)
{
    double start_i = 0;
    for (size_t i = 0; i < path->count; i++) {
        const tks_stretch *s = &path->stretches[i];
        tks_vec3 p, q;
        double reach = ball(s, &p), start_j = start_i + s->length;
        for (size_t j = i + 1; j < path->count; j++) {
            const tks_stretch *t = &path->stretches[j];
            piece a = {s, start_i, 0, 1}, b = {t, start_j, 0, 1};
            start_j += t->length;
            if (s->kind == TKS_COIL || t->kind == TKS_COIL || lead_away(path, i, j)) continue;
            double other = ball(t, &q);
            if (vec3_distance(p, q) >= reach + other + 2 * radius) continue;
            if (pieces_clear(path, a, b, radius)) continue;
            *first = i;
            *second = j;
            return false;
        }
        start_i += s->length;
    }
    return true;
}
