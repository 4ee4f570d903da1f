/* Self-intersection. */
#include "mesh/facet.h"
#include "mesh/inside.h"

#include <math.h>

enum { MOST = 10000 };

typedef struct search {
    const tks_mesh *mesh;
    long found;
} search;

/* Six times the volume of the tetrahedron; 0 when it is lost in rounding, so that facets that touch
 * never count as crossing. */
static double side(tks_vec3 a, tks_vec3 b, tks_vec3 c, tks_vec3 d)
{
    tks_vec3 u = vec3_sub(a, d), v = vec3_sub(b, d), w = vec3_sub(c, d);
    double value = vec3_dot(u, vec3_cross(v, w));
    double size = (fabs(u.x) + fabs(u.y) + fabs(u.z)) * (fabs(v.x) + fabs(v.y) + fabs(v.z)) *
                  (fabs(w.x) + fabs(w.y) + fabs(w.z));
    return fabs(value) > 1e-7 * size ? value : 0;
}

/* Whether the segment p q goes through the inside of the triangle. */
static bool pierces(tks_vec3 p, tks_vec3 q, const tks_vec3 t[3])
{
    double before = side(t[0], t[1], t[2], p), after = side(t[0], t[1], t[2], q);
    if (!(before * after < 0)) return false;
    double x = side(p, q, t[0], t[1]), y = side(p, q, t[1], t[2]), z = side(p, q, t[2], t[0]);
    return (x > 0 && y > 0 && z > 0) || (x < 0 && y < 0 && z < 0);
}

static bool has_corner(const uint32_t *corners, uint32_t vertex)
{
    return corners[0] == vertex || corners[1] == vertex || corners[2] == vertex;
}

/* Sides that share a vertex with the other facet touch it there and are passed over. */
static bool side_pierces(const tks_mesh *m, uint32_t a, uint32_t b)
{
    const uint32_t *from = m->corners + 3 * (size_t)a, *to = m->corners + 3 * (size_t)b;
    tks_vec3 t[3] = {mesh_vertex(m, to[0]), mesh_vertex(m, to[1]), mesh_vertex(m, to[2])};
    for (int i = 0; i < 3; i++) {
        uint32_t p = from[i], q = from[(i + 1) % 3];
        if (has_corner(to, p) || has_corner(to, q)) continue;
        if (pierces(mesh_vertex(m, p), mesh_vertex(m, q), t)) return true;
    }
    return false;
}

static bool examine(void *context, uint32_t a, uint32_t b)
{
    search *s = context;
    if (side_pierces(s->mesh, a, b) || side_pierces(s->mesh, b, a)) s->found++;
    return s->found < MOST;
}

void mesh_find_crossings(const mesh_bvh *bvh, tks_mesh_health *health)
{
    search s = {bvh->mesh, 0};
    uint64_t work = UINT64_C(50000000) + 400 * (uint64_t)bvh->mesh->count;
    health->crossings_cut = !mesh_bvh_pairs(bvh, work, examine, &s);
    health->crossings = s.found;
}
