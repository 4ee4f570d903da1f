/* Surfaces of bodies that were put together: what of them the liquid sees. */
#include "field/scene.h"

#include "base/alloc.h"
#include "base/vec.h"
#include "field/refine.h"

/* [m] A chord may be so far off its curve; a point farther off the surface than that is elsewhere.
 * Also half the width of the narrowest slit that is not closed up. */
static const double off = 1.5e-4;
/* [m] Panels across the edge of what is wet are split to this size, and then cut there. */
static const double finest = 1e-3;

enum { MOST_PASSES = 16 };

/* How a point of a triangle stands to the body's true surface. */
typedef enum standing { DRY, WET, TURNED } standing;

/* A step to either side tells metal from liquid; it must be clear of the surface by half of off, so
 * that chords beside an edge, which lie a little outside the metal, stay wet. */
static standing standing_of(const tks_field_body *body, tks_vec3 p, tks_vec3 normal)
{
    if (fabs(body->distance(body->context, p)) > off) return DRY;
    double out = body->distance(body->context, vec3_step(p, 2 * off, normal));
    if (out > -off / 2) return WET;
    double in = body->distance(body->context, vec3_step(p, -2 * off, normal));
    return in > off / 2 ? TURNED : DRY;
}

/* Seven points of a triangle, by their shares of the corners, a little inside of it: near the
 * corners, at the middles of the sides and in the middle. */
enum { CORNERS = 3, SAMPLES = 7 };
static const double samples[SAMPLES][3] = {
    {0.96, 0.02, 0.02}, {0.02, 0.96, 0.02}, {0.02, 0.02, 0.96},         {0.49, 0.49, 0.02},
    {0.02, 0.49, 0.49}, {0.49, 0.02, 0.49}, {1.0 / 3, 1.0 / 3, 1.0 / 3}};

/* A triangle being looked at. */
typedef struct look {
    const tks_field_body *body;
    tks_vec3 corner[3], normal;
    standing at[SAMPLES];
    int wet;     /* of the samples, turned ones too */
    bool turned; /* its wet samples face the wrong way */
} look;

static tks_vec3 point_at(const look *l, const double share[3])
{
    tks_vec3 p = vec3_scale(l->corner[0], share[0]);
    return vec3_step(vec3_step(p, share[1], l->corner[1]), share[2], l->corner[2]);
}

static look look_at(const tks_field_body *body, const field_mesh *mesh, size_t i)
{
    look l = {.body = body, .normal = vec3_unit(field_mesh_area(mesh, i))};
    for (int k = 0; k < 3; k++) l.corner[k] = field_mesh_corner(mesh, i, k);
    for (int k = 0; k < SAMPLES; k++) {
        l.at[k] = standing_of(body, point_at(&l, samples[k]), l.normal);
        if (l.at[k] != DRY) l.wet++;
        if (l.at[k] == TURNED) l.turned = true;
    }
    return l;
}

static bool is_trimmed(const tks_field_scene *scene, const field_panel *panel)
{
    return panel->body < scene->body_count && scene->bodies[panel->body].distance;
}

/* Splits panels that are partly wet. */
static bool split_partly_wet(const tks_field_scene *scene, field_mesh *mesh, bool *changed)
{
    uint8_t *marks = base_alloc(mesh->count, sizeof *marks);
    *changed = false;
    for (size_t i = 0; marks && i < mesh->count; i++) {
        const field_panel *panel = &mesh->panels[i];
        if (!is_trimmed(scene, panel) || field_mesh_longest(mesh, i, NULL) < finest) continue;
        int wet = look_at(&scene->bodies[panel->body], mesh, i).wet;
        marks[i] = wet > 0 && wet < SAMPLES;
        if (marks[i]) *changed = true;
    }
    bool ready = marks && (!*changed || field_refine(mesh, marks, NULL));
    base_free(marks);
    return ready;
}

/* Where the surface ends between a wet point and a dry one of a triangle, to a part in 10^4. */
static tks_vec3 edge_of_wet(const look *l, tks_vec3 wet, tks_vec3 dry)
{
    for (int k = 0; k < 14; k++) {
        tks_vec3 middle = vec3_scale(vec3_add(wet, dry), 0.5);
        *(standing_of(l->body, middle, l->normal) == DRY ? &dry : &wet) = middle;
    }
    return wet;
}

/* Adds a triangle unless hardly anything is left of it. */
static bool add_piece(field_mesh *mesh, field_panel panel, const look *l, const tks_vec3 corner[3])
{
    for (int k = 0; k < 3; k++) {
        if (!field_mesh_point(mesh, corner[k])) return false;
        panel.corner[l->turned ? 2 - k : k] = (uint32_t)(mesh->point_count - 1);
    }
    if (mesh->point_count >= UINT32_MAX - 8 || !field_mesh_panel(mesh, panel)) return false;
    double area = vec3_length(field_mesh_area(mesh, mesh->count - 1));
    if (!(area > 0.01 * finest * finest)) mesh->count--;
    return true;
}

/* The wet part of a triangle of which one corner, or two, are wet: cut along the line between the
 * places where the surface ends on two of its sides. */
static bool cut(field_mesh *mesh, field_panel panel, const look *l)
{
    int wet = (l->at[0] != DRY) + (l->at[1] != DRY) + (l->at[2] != DRY), lone = 0;
    while ((l->at[lone] != DRY) != (wet == 1)) lone++;
    const double *near[3] = {samples[lone], samples[(lone + 1) % 3], samples[(lone + 2) % 3]};
    tks_vec3 a = l->corner[lone], b = l->corner[(lone + 1) % 3], c = l->corner[(lone + 2) % 3];
    tks_vec3 p = point_at(l, near[0]), q = point_at(l, near[1]), r = point_at(l, near[2]);
    if (wet == 1) {
        tks_vec3 piece[3] = {a, edge_of_wet(l, p, q), edge_of_wet(l, p, r)};
        return add_piece(mesh, panel, l, piece);
    }
    tks_vec3 on_ab = edge_of_wet(l, q, p), on_ca = edge_of_wet(l, r, p);
    tks_vec3 first[3] = {on_ab, b, c}, second[3] = {on_ab, c, on_ca};
    return add_piece(mesh, panel, l, first) && add_piece(mesh, panel, l, second);
}

static void turn(field_panel *panel)
{
    uint32_t spare = panel->corner[1];
    panel->corner[1] = panel->corner[2];
    panel->corner[2] = spare;
}

/* What of panel i is wet goes into the finer mesh, which has the same points and more. */
static bool keep_wet(const tks_field_scene *scene, const field_mesh *mesh, size_t i,
                     field_mesh *kept)
{
    field_panel panel = mesh->panels[i];
    if (!is_trimmed(scene, &panel)) return field_mesh_panel(kept, panel);
    look l = look_at(&scene->bodies[panel.body], mesh, i);
    int corners = (l.at[0] != DRY) + (l.at[1] != DRY) + (l.at[2] != DRY);
    if (l.wet < SAMPLES && corners > 0 && corners < CORNERS) return cut(kept, panel, &l);
    if (2 * l.wet < SAMPLES) return true;
    if (l.turned) turn(&panel);
    return field_mesh_panel(kept, panel);
}

static bool keep_all_wet(const tks_field_scene *scene, field_mesh *mesh)
{
    field_mesh kept;
    if (!field_mesh_copy(mesh, &kept)) return false;
    kept.count = 0;
    bool ready = true;
    for (size_t i = 0; ready && i < mesh->count; i++) ready = keep_wet(scene, mesh, i, &kept);
    field_mesh_free(ready ? mesh : &kept);
    if (ready) *mesh = kept;
    return ready;
}

tks_status field_scene_trim(const tks_field_scene *scene, field_mesh *mesh, size_t most,
                            tks_error *err)
{
    bool any = false, changed = true, ready = true;
    for (size_t i = 0; i < scene->body_count; i++)
        if (scene->bodies[i].distance) any = true;
    if (!any) return TKS_OK;
    for (int pass = 0; ready && changed && pass < MOST_PASSES && mesh->count < most; pass++)
        ready = split_partly_wet(scene, mesh, &changed);
    if (ready && keep_all_wet(scene, mesh)) return TKS_OK;
    return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
}
