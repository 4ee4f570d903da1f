/* Practice scans: clean meshes made as rough as a scanner would make them. */
#include "mesh/facet.h"

#include <math.h>
#include <string.h>

static uint64_t next_random(uint64_t *state)
{
    uint64_t x = *state += UINT64_C(0x9e3779b97f4a7c15);
    x = (x ^ x >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    x = (x ^ x >> 27) * UINT64_C(0x94d049bb133111eb);
    return x ^ x >> 31;
}

static double chance(uint64_t *state)
{
    return ((double)(next_random(state) >> 11) + 0.5) * 0x1p-53;
}

/* Box and Muller, Ann. Math. Statist. 29 (1958) 610. */
static double normal(uint64_t *state)
{
    double size = sqrt(-2 * log(chance(state)));
    return size * cos(2 * 3.14159265358979323846 * chance(state));
}

void tks_mesh_roughen(tks_mesh *mesh, double noise, uint64_t seed)
{
    for (size_t i = 0; i < 3 * mesh->vertex_count; i++) mesh->xyz[i] += noise * normal(&seed);
}

void tks_mesh_pierce(tks_mesh *mesh, tks_vec3 centre, double radius)
{
    uint32_t *to = mesh->corners;
    for (size_t f = 0; f < mesh->count; f++) {
        if (vec3_distance(mesh_facet_centre(mesh, f), centre) < radius) continue;
        memmove(to, mesh->corners + 3 * f, 3 * sizeof *to);
        to += 3;
    }
    mesh->count = (size_t)(to - mesh->corners) / 3;
}
