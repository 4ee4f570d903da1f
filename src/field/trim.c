/* Surfaces of bodies that were put together: what of them the liquid sees. */
#include "field/scene.h"

#include "base/alloc.h"
#include "base/vec.h"
#include "field/refine.h"

/* [m] A chord may be so far off its curve; a point farther off the surface than that is elsewhere.
 * Also half the width of the narrowest slit that is not closed up. */
static const double off = 1.5e-4;

enum { MOST_SPLITS = 6 };

/* How a point of a triangle stands to the body's true surface. */
typedef enum standing { DRY, WET, TURNED } standing;

static standing standing_of(const tks_field_body *body, tks_vec3 p, tks_vec3 normal)
{
    double at = body->distance(body->context, p);
    if (fabs(at) > off) return DRY;
    double out = body->distance(body->context, vec3_step(p, 2 * off, normal));
    double in = body->distance(body->context, vec3_step(p, -2 * off, normal));
    if (out > 0 && in <= 0) return WET;
    return out <= 0 && in > 0 ? TURNED : DRY;
}

/* Three points near the corners: how many are wet, and whether any is turned. */
static int count_wet(const tks_field_body *body, const field_mesh *mesh, size_t i, bool *turned)
{
    tks_vec3 normal = vec3_unit(field_mesh_area(mesh, i)), centre = field_mesh_centre(mesh, i);
    int wet = 0;
    *turned = false;
    for (int k = 0; k < 3; k++) {
        tks_vec3 away = vec3_sub(field_mesh_corner(mesh, i, k), centre);
        standing s = standing_of(body, vec3_step(centre, 0.7, away), normal);
        if (s == TURNED) *turned = true;
        if (s != DRY) wet++;
    }
    return wet;
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
        bool turned;
        if (!is_trimmed(scene, &mesh->panels[i]) || mesh->panels[i].depth >= MOST_SPLITS) continue;
        int wet = count_wet(&scene->bodies[mesh->panels[i].body], mesh, i, &turned);
        marks[i] = wet == 1 || wet == 2;
        if (marks[i]) *changed = true;
    }
    bool ready = marks && (!*changed || field_refine(mesh, marks, NULL));
    base_free(marks);
    return ready;
}

static void turn(field_panel *panel)
{
    uint32_t spare = panel->corner[1];
    panel->corner[1] = panel->corner[2];
    panel->corner[2] = spare;
}

static void keep_wet(const tks_field_scene *scene, field_mesh *mesh)
{
    size_t kept = 0;
    for (size_t i = 0; i < mesh->count; i++) {
        field_panel panel = mesh->panels[i];
        bool turned = false;
        if (is_trimmed(scene, &panel) &&
            count_wet(&scene->bodies[panel.body], mesh, i, &turned) < 2)
            continue;
        if (turned) turn(&panel);
        mesh->panels[kept++] = panel;
    }
    mesh->count = kept;
}

tks_status field_scene_trim(const tks_field_scene *scene, field_mesh *mesh, size_t most,
                            tks_error *err)
{
    bool any = false, changed = true, ready = true;
    for (size_t i = 0; i < scene->body_count; i++)
        if (scene->bodies[i].distance) any = true;
    if (!any) return TKS_OK;
    for (int pass = 0; ready && changed && pass < MOST_SPLITS && mesh->count < most; pass++)
        ready = split_partly_wet(scene, mesh, &changed);
    if (!ready) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    keep_wet(scene, mesh);
    return TKS_OK;
}
