#include "field/mesh.h"

#include "base/alloc.h"
#include "base/vec.h"

#include <string.h>

static bool grown(void **block, size_t *room, size_t size)
{
    size_t more = *room + *room / 2 + 256;
    void *bigger = base_resize(*block, more, size);
    if (!bigger) return false;
    *block = bigger;
    *room = more;
    return true;
}

bool field_mesh_point(field_mesh *mesh, tks_vec3 point)
{
    void *block = mesh->points;
    if (mesh->point_count == mesh->point_room && !grown(&block, &mesh->point_room, sizeof point))
        return false;
    mesh->points = block;
    mesh->points[mesh->point_count++] = point;
    return true;
}

bool field_mesh_panel(field_mesh *mesh, field_panel panel)
{
    void *block = mesh->panels;
    if (mesh->count == mesh->room && !grown(&block, &mesh->room, sizeof panel)) return false;
    mesh->panels = block;
    mesh->panels[mesh->count++] = panel;
    return true;
}

bool field_mesh_copy(const field_mesh *from, field_mesh *to)
{
    field_mesh copy = {.point_count = from->point_count,
                       .point_room = from->point_count,
                       .count = from->count,
                       .room = from->count};
    copy.points = base_alloc(from->point_count, sizeof *copy.points);
    copy.panels = base_alloc(from->count, sizeof *copy.panels);
    if (!copy.points || !copy.panels) {
        field_mesh_free(&copy);
        return false;
    }
    memcpy(copy.points, from->points, from->point_count * sizeof *copy.points);
    memcpy(copy.panels, from->panels, from->count * sizeof *copy.panels);
    *to = copy;
    return true;
}

void field_mesh_free(field_mesh *mesh)
{
    base_free(mesh->points);
    base_free(mesh->panels);
    *mesh = (field_mesh){0};
}

tks_vec3 field_mesh_corner(const field_mesh *mesh, size_t panel, int k)
{
    return mesh->points[mesh->panels[panel].corner[k]];
}

tks_vec3 field_mesh_centre(const field_mesh *mesh, size_t panel)
{
    tks_vec3 sum = vec3(0, 0, 0);
    for (int k = 0; k < 3; k++) sum = vec3_add(sum, field_mesh_corner(mesh, panel, k));
    return vec3_scale(sum, 1.0 / 3);
}

tks_vec3 field_mesh_area(const field_mesh *mesh, size_t panel)
{
    tks_vec3 a = field_mesh_corner(mesh, panel, 0);
    tks_vec3 b = vec3_sub(field_mesh_corner(mesh, panel, 1), a);
    tks_vec3 c = vec3_sub(field_mesh_corner(mesh, panel, 2), a);
    return vec3_scale(vec3_cross(b, c), 0.5);
}

double field_mesh_longest(const field_mesh *mesh, size_t panel, int *edge)
{
    double longest = -1;
    for (int k = 0; k < 3; k++) {
        double length = vec3_distance(field_mesh_corner(mesh, panel, k),
                                      field_mesh_corner(mesh, panel, (k + 1) % 3));
        if (length <= longest) continue;
        longest = length;
        if (edge) *edge = k;
    }
    return longest;
}
