#include "field/scene.h"

#include "base/alloc.h"
#include "base/sets.h"
#include "base/vec.h"

#include <float.h>
#include <stdlib.h>

/* [m] Film kept between a body and a side of the tank that it stands against. */
static const double film = 2.5e-4;
/* [m] Surfaces nearer than this touch; bodies may run into each other by as much. */
static const double touch = 5e-5;

typedef struct box {
    tks_vec3 low, high;
} box;

static box box_of(const field_mesh *mesh, size_t begin, size_t end)
{
    box b = {vec3(DBL_MAX, DBL_MAX, DBL_MAX), vec3(-DBL_MAX, -DBL_MAX, -DBL_MAX)};
    for (size_t i = begin; i < end; i++)
        for (int k = 0; k < 3; k++) {
            tks_vec3 p = field_mesh_corner(mesh, i, k);
            b.low = vec3(fmin(b.low.x, p.x), fmin(b.low.y, p.y), fmin(b.low.z, p.z));
            b.high = vec3(fmax(b.high.x, p.x), fmax(b.high.y, p.y), fmax(b.high.z, p.z));
        }
    return b;
}

static bool boxes_meet(const box *a, const box *b, double margin)
{
    return a->low.x <= b->high.x + margin && b->low.x <= a->high.x + margin &&
           a->low.y <= b->high.y + margin && b->low.y <= a->high.y + margin &&
           a->low.z <= b->high.z + margin && b->low.z <= a->high.z + margin;
}

/* ------------------------------------------------------------------ the tank and who is in it */

static tks_status check_members(const tks_field_scene *scene, tks_error *err)
{
    bool part = false, anode = false;
    for (size_t i = 0; i < scene->body_count; i++) {
        if (scene->bodies[i].role == TKS_FIELD_PART) part = true;
        if (scene->bodies[i].role == TKS_FIELD_ANODE) anode = true;
    }
    if (scene->open && (part || anode)) return TKS_OK;
    if (!part) return tks_fail(err, TKS_EMISSING, tks_nowhere(), "no part hangs in the tank");
    if (!anode)
        return tks_fail(err, TKS_EMISSING, tks_nowhere(),
                        "there is no anode in the tank: no current can flow");
    return TKS_OK;
}

static bool has_tank(const tks_field_scene *scene)
{
    return scene->tank.x != 0 || scene->tank.y != 0 || scene->tank.z != 0;
}

static tks_status check_tank(const tks_field_scene *scene, tks_error *err)
{
    tks_vec3 t = scene->tank;
    if (!has_tank(scene) || (t.x > 0 && t.y > 0 && t.z > 0 && isfinite(t.x + t.y + t.z)))
        return TKS_OK;
    return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                    "the tank is %g x %g mm with %g mm of liquid; each must be above zero",
                    t.x * 1e3, t.y * 1e3, t.z * 1e3);
}

static tks_status check_inside(const char *name, const box *b, const tks_field_scene *scene,
                               tks_error *err)
{
    tks_vec3 from = scene->corner, to = vec3_add(from, scene->tank);
    if (b->high.z > to.z + touch)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "%s stands %.1f mm above the liquid, which is %.0f mm deep", name,
                        (b->high.z - to.z) * 1e3, scene->tank.z * 1e3);
    const struct {
        double low, high, from, to;
        const char *way;
    } ways[] = {{b->low.x, b->high.x, from.x, to.x, "length"},
                {b->low.y, b->high.y, from.y, to.y, "width"},
                {b->low.z, b->high.z, from.z, to.z, "depth"}};
    for (int k = 0; k < 3; k++)
        if (ways[k].low < ways[k].from - touch || ways[k].high > ways[k].to + touch)
            return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                            "%s reaches from %.1f to %.1f mm along the tank's %s; the tank from "
                            "%.1f to %.1f mm",
                            name, ways[k].low * 1e3, ways[k].high * 1e3, ways[k].way,
                            ways[k].from * 1e3, ways[k].to * 1e3);
    return TKS_OK;
}

static double off_wall(double x, double from, double size)
{
    double room = fmin(film, size / 4);
    return fmin(fmax(x, from + room), from + size - room);
}

static void keep_films(field_mesh *mesh, const tks_field_scene *scene)
{
    tks_vec3 from = scene->corner, size = scene->tank;
    for (size_t i = 0; i < 3 * mesh->count; i++) {
        const field_panel *panel = &mesh->panels[i / 3];
        if (panel->body >= scene->body_count) continue;
        tks_vec3 *p = &mesh->points[panel->corner[i % 3]];
        *p = vec3(off_wall(p->x, from.x, size.x), off_wall(p->y, from.y, size.y),
                  off_wall(p->z, from.z, size.z));
    }
}

/* ------------------------------------------------------------------ bodies against each other */

/* Where the line from p to q runs through a triangle from one side to the other, each end farther
 * off its plane than touch. */
static bool pierces(tks_vec3 p, tks_vec3 q, const tks_vec3 corner[3])
{
    tks_vec3 a = vec3_sub(corner[1], corner[0]), b = vec3_sub(corner[2], corner[0]);
    tks_vec3 n = vec3_unit(vec3_cross(a, b));
    double dp = vec3_dot(n, vec3_sub(p, corner[0])), dq = vec3_dot(n, vec3_sub(q, corner[0]));
    if (dp * dq >= 0 || fabs(dp) < touch || fabs(dq) < touch) return false;
    tks_vec3 hit = vec3_step(p, dp / (dp - dq), vec3_sub(q, p));
    for (int k = 0; k < 3; k++) {
        tks_vec3 edge = vec3_sub(corner[(k + 1) % 3], corner[k]);
        if (vec3_dot(n, vec3_cross(edge, vec3_sub(hit, corner[k]))) < touch * vec3_length(edge))
            return false;
    }
    return true;
}

/* Distance from a point to a triangle: to its plane above its inside, else to its edges. */
static double distance_to(tks_vec3 p, const tks_vec3 corner[3])
{
    tks_vec3 n =
        vec3_unit(vec3_cross(vec3_sub(corner[1], corner[0]), vec3_sub(corner[2], corner[0])));
    double nearest = INFINITY;
    bool above = true;
    for (int k = 0; k < 3; k++) {
        tks_vec3 edge = vec3_sub(corner[(k + 1) % 3], corner[k]), r = vec3_sub(p, corner[k]);
        double t = fmin(1, fmax(0, vec3_dot(edge, r) / vec3_dot(edge, edge)));
        nearest = fmin(nearest, vec3_length(vec3_step(r, -t, edge)));
        if (vec3_dot(n, vec3_cross(edge, r)) < 0) above = false;
    }
    return above ? fabs(vec3_dot(n, vec3_sub(p, corner[0]))) : nearest;
}

/* How often a closed surface winds about a point: 1 inside the metal, 0 outside. */
static double winding(const field_mesh *mesh, size_t begin, size_t end, tks_vec3 p)
{
    double sum = 0;
    for (size_t i = begin; i < end; i++) {
        tks_vec3 r[3];
        double l[3];
        for (int k = 0; k < 3; k++) {
            r[k] = vec3_sub(field_mesh_corner(mesh, i, k), p);
            l[k] = vec3_length(r[k]);
        }
        double volume = vec3_dot(r[0], vec3_cross(r[1], r[2]));
        double against = l[0] * l[1] * l[2] + vec3_dot(r[0], r[1]) * l[2] +
                         vec3_dot(r[1], r[2]) * l[0] + vec3_dot(r[2], r[0]) * l[1];
        sum += 2 * atan2(volume, against);
    }
    return sum / (4 * M_PI);
}

/* Panels of one body: begin..end, within box b. */
typedef struct member {
    const char *name;
    size_t begin, end;
    box b;
    tks_field_role role;
} member;

static void corners_of(const field_mesh *mesh, size_t i, tks_vec3 corner[3])
{
    for (int k = 0; k < 3; k++) corner[k] = field_mesh_corner(mesh, i, k);
}

/* Whether an edge of a runs through b. */
static bool runs_through(const field_mesh *mesh, const member *a, const member *b)
{
    for (size_t i = a->begin; i < a->end; i++) {
        box one = box_of(mesh, i, i + 1);
        if (!boxes_meet(&one, &b->b, 0)) continue;
        tks_vec3 p[3], q[3];
        corners_of(mesh, i, p);
        for (size_t j = b->begin; j < b->end; j++) {
            box other = box_of(mesh, j, j + 1);
            if (!boxes_meet(&one, &other, 0)) continue;
            corners_of(mesh, j, q);
            for (int k = 0; k < 3; k++)
                if (pierces(p[k], p[(k + 1) % 3], q)) return true;
        }
    }
    return false;
}

static bool holds(const field_mesh *mesh, const member *a, const member *b)
{
    return winding(mesh, a->begin, a->end, field_mesh_corner(mesh, b->begin, 0)) > 0.75 &&
           winding(mesh, a->begin, a->end, field_mesh_centre(mesh, b->begin)) > 0.75;
}

/* Whether a corner or centre of a lies against b, within a margin. */
static bool lies_against(const field_mesh *mesh, const member *a, const member *b, double margin)
{
    for (size_t i = a->begin; i < a->end; i++) {
        box one = box_of(mesh, i, i + 1);
        if (!boxes_meet(&one, &b->b, margin)) continue;
        for (size_t j = b->begin; j < b->end; j++) {
            box other = box_of(mesh, j, j + 1);
            if (!boxes_meet(&one, &other, margin)) continue;
            tks_vec3 corner[3];
            corners_of(mesh, j, corner);
            for (int k = 0; k < 4; k++) {
                tks_vec3 p = k < 3 ? field_mesh_corner(mesh, i, k) : field_mesh_centre(mesh, i);
                if (distance_to(p, corner) < margin) return true;
            }
        }
    }
    return false;
}

/* Whether one runs through the other or holds it whole. */
static bool is_through(const field_mesh *mesh, const member *a, const member *b)
{
    return runs_through(mesh, a, b) || runs_through(mesh, b, a) || holds(mesh, a, b) ||
           holds(mesh, b, a);
}

static bool is_against(const field_mesh *mesh, const member *a, const member *b, double margin)
{
    return lies_against(mesh, a, b, margin) || lies_against(mesh, b, a, margin);
}

static tks_status check_pair(const field_mesh *mesh, const member *a, const member *b,
                             tks_error *err)
{
    if (!boxes_meet(&a->b, &b->b, touch)) return TKS_OK;
    bool through = is_through(mesh, a, b);
    bool shorted = (a->role == TKS_FIELD_PART && b->role == TKS_FIELD_ANODE) ||
                   (a->role == TKS_FIELD_ANODE && b->role == TKS_FIELD_PART);
    if (shorted && (through || is_against(mesh, a, b, touch)))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "%s touches %s: that is a short circuit",
                        a->role == TKS_FIELD_PART ? a->name : b->name,
                        a->role == TKS_FIELD_PART ? b->name : a->name);
    if (through)
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "%s and %s run into each other: move one of them", a->name, b->name);
    return TKS_OK;
}

static tks_status check_pairs(const field_mesh *mesh, const member *members, size_t count,
                              tks_error *err)
{
    for (size_t i = 0; i < count; i++)
        for (size_t j = 0; j < i; j++) {
            tks_status status = check_pair(mesh, &members[j], &members[i], err);
            if (status) return status;
        }
    return TKS_OK;
}

static void find_members(const tks_field_scene *scene, const field_mesh *mesh, member *members)
{
    size_t begin = 0;
    for (size_t i = 0; i < scene->body_count; i++) {
        size_t end = begin;
        while (end < mesh->count && mesh->panels[end].body == i) end++;
        members[i] = (member){scene->bodies[i].name, begin, end, box_of(mesh, begin, end),
                              scene->bodies[i].role};
        begin = end;
    }
}

/* ------------------------------------------------------------------ pieces of one part */

/* [m] Pieces nearer than this hold each other: chords keep round ones off what they touch. */
static const double grip = 3e-4;

/* Joins points that a panel of the body has in common: those of a shell get one root. */
static void join_points(const field_mesh *mesh, const member *part, uint32_t *parent)
{
    for (size_t i = 0; i < mesh->point_count; i++) parent[i] = (uint32_t)i;
    for (size_t i = part->begin; i < part->end; i++)
        for (int k = 1; k < 3; k++) {
            const uint32_t *c = mesh->panels[i].corner;
            base_set_join(parent, c[0], c[k]);
        }
}

/* A panel and the shell that it is of. */
typedef struct shell_panel {
    uint32_t shell;
    field_panel panel;
} shell_panel;

static int by_shell(const void *a, const void *b)
{
    uint32_t x = ((const shell_panel *)a)->shell, y = ((const shell_panel *)b)->shell;
    return (x > y) - (x < y);
}

/* Sorts a part's panels by shell; shells: out, one member for each, count of panels of room. */
static bool find_shells(field_mesh *mesh, const member *part, member *shells, size_t *count)
{
    size_t n = part->end - part->begin;
    uint32_t *parent = base_alloc(mesh->point_count, sizeof *parent);
    shell_panel *sorted = base_alloc(n, sizeof *sorted);
    bool ready = parent && sorted;
    if (ready) join_points(mesh, part, parent);
    for (size_t i = 0; ready && i < n; i++) {
        const field_panel *panel = &mesh->panels[part->begin + i];
        sorted[i] = (shell_panel){base_set_root(parent, panel->corner[0]), *panel};
    }
    if (ready) qsort(sorted, n, sizeof *sorted, by_shell);
    *count = 0;
    for (size_t i = 0; ready && i < n; i++) {
        mesh->panels[part->begin + i] = sorted[i].panel;
        if (i == 0 || sorted[i].shell != sorted[i - 1].shell)
            shells[(*count)++] = (member){part->name, part->begin + i, 0, part->b, part->role};
        shells[*count - 1].end = part->begin + i + 1;
    }
    for (size_t i = 0; i < *count; i++) shells[i].b = box_of(mesh, shells[i].begin, shells[i].end);
    base_free(parent);
    base_free(sorted);
    return ready;
}

/* How many of the shells hang together with the first: reached ones move to the front. */
static size_t count_held(const field_mesh *mesh, member *shells, size_t count)
{
    size_t held = 1;
    for (size_t from = 0; from < held; from++)
        for (size_t i = held; i < count; i++) {
            if (!boxes_meet(&shells[from].b, &shells[i].b, grip)) continue;
            if (!is_through(mesh, &shells[from], &shells[i]) &&
                !is_against(mesh, &shells[from], &shells[i], grip))
                continue;
            member spare = shells[held];
            shells[held++] = shells[i];
            shells[i] = spare;
        }
    return held;
}

/* A part whose pieces do not touch hangs by nothing but its name. */
static tks_status check_held(field_mesh *mesh, const member *part, tks_error *err)
{
    if (part->role != TKS_FIELD_PART) return TKS_OK;
    member *shells = base_alloc(part->end - part->begin, sizeof *shells);
    size_t count, held = 0;
    bool ready = shells && find_shells(mesh, part, shells, &count);
    if (ready) held = count_held(mesh, shells, count);
    base_free(shells);
    if (!ready) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    if (held == count) return TKS_OK;
    return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                    "%s: %zu of its %zu pieces touch nothing that the others hang by: no current "
                    "would reach them",
                    part->name, count - held, count);
}

tks_status field_scene_check(const tks_field_scene *scene, field_mesh *mesh, tks_error *err)
{
    tks_status status = check_members(scene, err);
    if (!status) status = check_tank(scene, err);
    if (status) return status;
    member *members = base_alloc(scene->body_count, sizeof *members);
    if (!members) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    find_members(scene, mesh, members);
    for (size_t i = 0; !status && has_tank(scene) && i < scene->body_count; i++)
        status = check_inside(members[i].name, &members[i].b, scene, err);
    for (size_t i = 0; !status && has_tank(scene) && i < scene->body_count; i++)
        status = check_held(mesh, &members[i], err);
    /* Without a tank one body may well hold the others: it is what closes the liquid in. */
    if (!status && has_tank(scene)) status = check_pairs(mesh, members, scene->body_count, err);
    base_free(members);
    if (!status && has_tank(scene)) keep_films(mesh, scene);
    return status;
}

/* ------------------------------------------------------------------ contacts */

/* Whether the centre of panel i lies on panel j, their planes alike; facing: +1 the same way, -1
 * against each other. */
static bool lies_on(const field_mesh *mesh, size_t i, size_t j, double facing)
{
    tks_vec3 corner[3], p = field_mesh_centre(mesh, i);
    tks_vec3 a = field_mesh_area(mesh, i), b = field_mesh_area(mesh, j);
    if (facing * vec3_dot(a, b) < 0.99 * vec3_length(a) * vec3_length(b)) return false;
    corners_of(mesh, j, corner);
    return distance_to(p, corner) < touch;
}

/* Against another part; or, of one part whose pieces share a face, a second time on it. */
static bool is_covered(const field_mesh *mesh, const box *boxes, size_t i)
{
    if (mesh->panels[i].kind == FIELD_WALL) return false;
    for (size_t j = 0; j < mesh->count; j++) {
        if (mesh->panels[j].kind != mesh->panels[i].kind || i == j) continue;
        bool same = mesh->panels[j].body == mesh->panels[i].body;
        if ((same && j > i) || !boxes_meet(&boxes[i], &boxes[j], touch)) continue;
        if (lies_on(mesh, i, j, same ? 1 : -1)) return true;
    }
    return false;
}

tks_status field_scene_join(field_mesh *mesh, tks_error *err)
{
    uint8_t *covered = base_alloc(mesh->count, sizeof *covered);
    box *boxes = base_alloc(mesh->count, sizeof *boxes);
    if (covered && boxes) {
        for (size_t i = 0; i < mesh->count; i++) boxes[i] = box_of(mesh, i, i + 1);
        for (size_t i = 0; i < mesh->count; i++) covered[i] = is_covered(mesh, boxes, i);
        size_t kept = 0;
        for (size_t i = 0; i < mesh->count; i++)
            if (!covered[i]) mesh->panels[kept++] = mesh->panels[i];
        mesh->count = kept;
    }
    bool ready = covered && boxes;
    base_free(covered);
    base_free(boxes);
    return ready ? TKS_OK : tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
}

/* ------------------------------------------------------------------ sizes */

double field_scene_part_size(const field_mesh *mesh)
{
    double longest[3] = {0};
    for (size_t begin = 0, end; begin < mesh->count; begin = end) {
        end = begin;
        while (end < mesh->count && mesh->panels[end].body == mesh->panels[begin].body) end++;
        box b = box_of(mesh, begin, end);
        double size = fmax(b.high.x - b.low.x, fmax(b.high.y - b.low.y, b.high.z - b.low.z));
        uint8_t kind = mesh->panels[begin].kind;
        longest[kind] = fmax(longest[kind], size);
    }
    return longest[FIELD_CATHODE] > 0 ? longest[FIELD_CATHODE] : longest[FIELD_ANODE];
}
