/* The corners and the vector area of one facet. */
#ifndef MESH_FACET_H
#define MESH_FACET_H

#include "base/vec.h"
#include "tankside/mesh.h"

static inline tks_vec3 mesh_vertex(const tks_mesh *mesh, uint32_t vertex)
{
    const double *p = mesh->xyz + 3 * (size_t)vertex;
    return vec3(p[0], p[1], p[2]);
}

static inline tks_vec3 mesh_corner(const tks_mesh *mesh, size_t half)
{
    return mesh_vertex(mesh, mesh->corners[half]);
}

/* Normal, as long as twice the area. */
static inline tks_vec3 mesh_twice_area(const tks_mesh *mesh, size_t facet)
{
    tks_vec3 a = mesh_corner(mesh, 3 * facet);
    return vec3_cross(vec3_sub(mesh_corner(mesh, 3 * facet + 1), a),
                      vec3_sub(mesh_corner(mesh, 3 * facet + 2), a));
}

static inline double mesh_facet_area(const tks_mesh *mesh, size_t facet)
{
    return vec3_length(mesh_twice_area(mesh, facet)) / 2;
}

static inline tks_vec3 mesh_facet_centre(const tks_mesh *mesh, size_t facet)
{
    tks_vec3 sum = vec3_add(mesh_corner(mesh, 3 * facet), mesh_corner(mesh, 3 * facet + 1));
    return vec3_scale(vec3_add(sum, mesh_corner(mesh, 3 * facet + 2)), 1.0 / 3);
}

#endif
