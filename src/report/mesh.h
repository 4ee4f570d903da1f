/* The health of a mesh, as text and JSON. */
#ifndef REPORT_MESH_H
#define REPORT_MESH_H

#include "report/report.h"
#include "tankside/mesh.h"

/* What a report on a mesh tells. Areas by label are not given when labelled is false; written, when
 * it is not NULL, is the file that the mesh went to, with so many triangles and an area that is
 * larger by a share of area_error. */
typedef struct report_mesh {
    const char *name;
    const tks_mesh_health *health;
    bool labelled;
    double area[TKS_LABEL_COUNT];
    const char *written;
    size_t written_count;
    double area_error;
} report_mesh;

void report_mesh_text(base_buffer *out, const report_mesh *mesh, tks_system units, bool colour);

/* Adds one object. */
void report_mesh_json(base_buffer *out, const report_mesh *mesh);

#endif
