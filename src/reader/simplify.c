/* Fewer triangles through meshoptimizer. */
#include "reader/reader.h"
#include "tankside/status.h"

#include <meshoptimizer.h>

#include <stdlib.h>

/* Single precision about the middle of the mesh: the places only steer which edges collapse. */
static bool read_points(float *points, size_t count)
{
    double *xyz = malloc(count * 3 * sizeof *xyz);
    if (!xyz || !reader_get(sizeof(mesh_wire), xyz, count * 3 * sizeof *xyz)) {
        free(xyz);
        return false;
    }
    for (size_t i = 0; i < 3 * count; i++) points[i] = (float)(xyz[i] - xyz[i % 3]);
    free(xyz);
    return true;
}

int reader_simplify(size_t budget)
{
    mesh_wire wire;
    if (!reader_get(0, &wire, sizeof wire) || wire.mark != MESH_WIRE_MARK) return 1;
    size_t vertices = wire.vertices, indices = 3 * wire.facets;
    float *points = malloc(vertices * 3 * sizeof *points);
    unsigned *corners = malloc(indices * sizeof *corners), *kept = malloc(indices * sizeof *kept);
    bool read =
        points && corners && kept && read_points(points, vertices) &&
        reader_get(sizeof wire + vertices * 3 * sizeof(double), corners, indices * sizeof *corners);
    if (!read) return reader_refuse(TKS_EMEMORY, "memory");
    size_t left = meshopt_simplify(kept, corners, indices, points, vertices, 3 * sizeof *points,
                                   3 * budget, 1.0f, 0, NULL);
    wire = (mesh_wire){.mark = MESH_WIRE_MARK, .facets = left / 3};
    bool done = fwrite(&wire, sizeof wire, 1, stdout) == 1 &&
                fwrite(kept, sizeof *kept, left, stdout) == left && !fflush(stdout);
    free(points);
    free(corners);
    free(kept);
    return done ? 0 : 1;
}
