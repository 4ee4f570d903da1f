/* Which faces lie on one surface.
 *
 * Where pieces touch, faces coincide, and it takes more than the signs of their surfaces to tell
 * what is exposed. Faces within rounding of one another are on one sheet, and so are those that
 * come within the snap of the first of it, their leader. So it is one relation for all, in which
 * each face is on one sheet: were it "within the snap of one another", then of three faces in a row
 * each of the outer ones could leave the area to the middle one, and that to both. Faces are moved
 * onto their leader's surface, so that there is but one surface for each sheet. */
#include "geometry/union.h"

#include "base/alloc.h"
#include "base/sets.h"
#include "base/vec.h"

#include <math.h>

typedef struct sheets {
    union_model *m;
    uint32_t *same;   /* of each face: an earlier one within rounding, or itself */
    uint32_t *leader; /* of the first of these: the leader of their sheet */
    uint32_t *next;   /* in a ring of all that have that leader */
} sheets;

/* ------------------------------------------------------------------ how far apart */

/* Surfaces that are surely not the same, at a glance. */
static bool look_different(const union_surface *a, const union_surface *b, double snap)
{
    if (a->form != b->form || a->form == UNION_FREE) return true;
    if (a->form == UNION_SPHERE) return fabs(a->radius - b->radius) > 2 * snap;
    if (fabs(vec3_dot(a->axis, b->axis)) < 0.999999) return true;
    return (a->form == UNION_CYLINDER || a->form == UNION_TORUS) &&
           fabs(a->radius - b->radius) > 2 * snap;
}

/* How far a face is from a surface, or more than most. */
static double distance(const union_face *f, const union_surface *s, double most)
{
    double farthest = 0;
    for (int i = 0; i < 9 && farthest <= most; i++) {
        double a = (i % 3) / 2.0, b = (double)(i / 3) / 2;
        tks_vec3 g, q = union_point(f, f->low[0] + a * (f->high[0] - f->low[0]),
                                    f->low[1] + b * (f->high[1] - f->low[1]));
        farthest = fmax(farthest, fabs(union_value(s, q, &g)));
        if (!(farthest <= most)) return INFINITY;
    }
    return farthest;
}

/* The same of two faces, where the smaller one is. */
static double separation(const union_face *a, const union_face *b, double most)
{
    return a->ball < b->ball ? distance(a, &b->surface, most) : distance(b, &a->surface, most);
}

double union_sheet_gap(const union_model *m, const union_face *a, const union_face *b)
{
    if (a->sheet == b->sheet) return a->apart + b->apart;
    if (look_different(&a->surface, &b->surface, m->snap)) return INFINITY;
    return separation(a, b, m->slack);
}

/* ------------------------------------------------------------------ sheets */

static uint32_t leader_of(sheets *s, uint32_t face)
{
    return base_set_root(s->same, s->leader[base_set_root(s->same, face)]);
}

/* Gives all that follow one leader to another, if all are near it. */
static bool hand_over(sheets *s, uint32_t from, uint32_t to)
{
    const union_surface *surface = &s->m->faces[to].surface;
    uint32_t i = from;
    do {
        if (!(distance(&s->m->faces[i], surface, s->m->snap) <= s->m->snap)) return false;
        i = s->next[i];
    } while (i != from);
    do {
        s->leader[i] = to;
        i = s->next[i];
    } while (i != from);
    uint32_t after = s->next[from];
    s->next[from] = s->next[to];
    s->next[to] = after;
    return true;
}

/* Faces of a solid, those on the outlines of flat ones and of stand-ins included. */
static uint32_t end_of_faces(const union_model *m, uint32_t solid)
{
    uint32_t next = solid + 1;
    while (next < m->solid_count && m->solids[next].real == solid) next++;
    return next < m->solid_count ? m->solids[next].face_first : (uint32_t)m->face_count;
}

/* Puts two faces that are near one another on one sheet, if the rest of theirs allow it. refused:
 * a leader with which this was tried before. */
static void compare(sheets *s, uint32_t face, uint32_t other, uint32_t *refused)
{
    const union_face *f = &s->m->faces[face], *g = &s->m->faces[other];
    if (look_different(&f->surface, &g->surface, s->m->snap)) return;
    uint32_t a = base_set_root(s->same, face), b = base_set_root(s->same, other);
    if (a == b) return;
    double apart = separation(f, g, s->m->snap);
    uint32_t mine = leader_of(s, a), others = leader_of(s, b);
    if (!(apart <= s->m->snap) || (mine != others && others == *refused)) return;
    if (mine != others && !hand_over(s, mine, others) && !hand_over(s, others, mine))
        *refused = others;
    else if (apart <= s->m->slack)
        s->same[a < b ? b : a] = a < b ? a : b;
}

static void place_face(sheets *s, uint32_t face, const uint32_t *near, size_t count)
{
    uint32_t refused = UINT32_MAX;
    for (size_t i = 0; i < count; i++) {
        uint32_t end = end_of_faces(s->m, near[i]);
        for (uint32_t k = s->m->solids[near[i]].face_first; k < end && k < face; k++)
            compare(s, face, k, &refused);
    }
}

/* ------------------------------------------------------------------ moving */

static union_surface turned_over(union_surface s)
{
    s.side = -s.side, s.bow = -s.bow;
    if (s.form == UNION_PLANE) s.axis = vec3_scale(s.axis, -1);
    if (s.form == UNION_CONE) s.cosine = -s.cosine, s.sine = -s.sine, s.radius = -s.radius;
    return s;
}

/* Turns a frame by a little, so that its z goes along an axis. */
static void align(tks_frame *frame, tks_vec3 axis)
{
    frame->z = vec3_dot(axis, frame->z) < 0 ? vec3_scale(axis, -1) : axis;
    frame->x = vec3_unit(vec3_step(frame->x, -vec3_dot(frame->x, frame->z), frame->z));
    frame->y = vec3_cross(frame->z, frame->x);
}

/* Moves the points of a face onto a surface next to it. Cones and rings stay where they are. */
static void move_points(union_face *f, const union_surface *to)
{
    tks_frame *w = &f->frame;
    if (to->form == UNION_PLANE) {
        align(w, to->axis);
        tks_vec3 g, level = vec3_step(w->origin, f->turned ? f->y : 0, w->z);
        double off = union_value(to, level, &g);
        w->origin = vec3_step(w->origin, -off, to->axis);
    } else if (to->form == UNION_CYLINDER) {
        align(w, to->axis);
        tks_vec3 d = vec3_sub(w->origin, to->origin);
        w->origin = vec3_step(to->origin, vec3_dot(d, w->z), w->z);
        f->x = to->radius;
    } else if (to->form == UNION_SPHERE) {
        w->origin = vec3_step(to->origin, -f->y, w->z);
        f->radius = to->radius;
    }
    union_face_ball(f);
}

/* The outlines of a flat face are not moved. */
static void follow(union_face *f, const union_face *leader, double slack)
{
    tks_vec3 mine, others;
    tks_vec3 q = union_point(f, (f->low[0] + f->high[0]) / 2, (f->low[1] + f->high[1]) / 2);
    f->apart = distance(f, &leader->surface, INFINITY);
    if (f->apart <= slack || f->solid == UNION_WINDOW) return;
    union_value(&f->surface, q, &mine);
    union_value(&leader->surface, q, &others);
    f->surface = vec3_dot(mine, others) < 0 ? turned_over(leader->surface) : leader->surface;
    move_points(f, &leader->surface);
}

/* ------------------------------------------------------------------ all of them */

static void place_all(sheets *s, const union_index *index, uint32_t *near, double most)
{
    const union_model *m = s->m;
    double looks = 0;
    for (uint32_t i = 0; i < m->solid_count && looks <= most; i++) {
        if (m->solids[i].real != i) continue;
        size_t count = union_index_near_solid(index, &m->solids[i], near);
        uint32_t end = end_of_faces(m, i);
        looks += (double)count * (end - m->solids[i].face_first);
        for (uint32_t k = m->solids[i].face_first; k < end; k++) place_face(s, k, near, count);
    }
    for (uint32_t i = 0; i < m->face_count; i++) m->faces[i].sheet = leader_of(s, i);
    for (uint32_t i = 0; i < m->face_count; i++)
        if (base_set_root(s->same, i) != m->faces[i].sheet)
            follow(&m->faces[i], &m->faces[m->faces[i].sheet], m->slack);
}

bool union_sheets_find(const union_index *index, union_model *m, double most)
{
    sheets s = {.m = m,
                .same = base_alloc(m->face_count + 1, sizeof *s.same),
                .leader = base_alloc(m->face_count + 1, sizeof *s.leader),
                .next = base_alloc(m->face_count + 1, sizeof *s.next)};
    uint32_t *near = base_alloc(m->solid_count + 1, sizeof *near);
    bool enough = s.same && s.leader && s.next && near;
    for (uint32_t i = 0; enough && i < m->face_count; i++) s.same[i] = s.leader[i] = s.next[i] = i;
    if (enough) place_all(&s, index, near, most);
    base_free(s.same);
    base_free(s.leader);
    base_free(s.next);
    base_free(near);
    return enough;
}
