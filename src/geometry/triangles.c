#include "geometry/mesher.h"

#include "base/alloc.h"
#include "base/vec.h"

#include <math.h>
#include <string.h>

/* Only for moved patches that no generator here shares vertices for. */
void geometry_patch_triangles(geometry_mesher *m, size_t patch)
{
    const tks_patch *p = &m->body->patches[patch];
    if (p->kind == TKS_PATCH_PLANE) return;
    geometry_box box = geometry_segment_box(&p->segment);
    double out = fmax(fabs(box.low.x), fabs(box.high.x)) + p->radius;
    bool straight = p->kind == TKS_PATCH_PRISM;
    size_t along = straight ? geometry_divisions(m, p->travel, 0, 0)
                            : geometry_divisions(m, out * p->travel, out, p->travel);
    size_t across = geometry_segment_divisions(m, &p->segment), row = across + 1;
    uint32_t *id = geometry_scratch(m, (along + 1) * row, sizeof *id);
    for (size_t i = 0; id && i <= along; i++)
        for (size_t j = 0; j <= across; j++) {
            tks_vec3 at;
            tks_patch_at(p, (double)i / (double)along, (double)j / (double)across, &at, NULL);
            id[i * row + j] = geometry_add_vertex(m, at);
        }
    for (size_t i = 0; id && i < along; i++)
        for (size_t j = 0; j < across; j++) {
            const uint32_t *a = &id[i * row + j], *b = a + row;
            if (straight || p->kind == TKS_PATCH_COIL)
                geometry_add_cell(m, a[0], a[1], b[1], b[0], patch);
            else
                geometry_add_cell(m, a[0], b[0], b[1], a[1], patch);
        }
    base_free(id);
}

static void add_solid(geometry_mesher *m, const tks_solid *s)
{
    switch (s->kind) {
    case GEOMETRY_REVOLVE: geometry_revolve_triangles(m, s); break;
    case GEOMETRY_EXTRUDE: geometry_extrude_triangles(m, s); break;
    case GEOMETRY_SWEEP: geometry_sweep_triangles(m, s); break;
    case GEOMETRY_THREAD:
        for (size_t i = 0; i < s->patch_count; i++) geometry_patch_triangles(m, s->first_patch + i);
    }
}

static tks_status hand_over(geometry_mesher *m, tks_arena *arena, tks_triangles *triangles)
{
    tks_triangles t = {.vertex_count = m->vertex_count, .count = m->count};
    t.xyz = tks_arena_take(arena, m->vertex_count, 3 * sizeof *t.xyz);
    t.corners = tks_arena_take(arena, m->count, 3 * sizeof *t.corners);
    t.patch = tks_arena_take(arena, m->count, sizeof *t.patch);
    if (!t.xyz || !t.corners || !t.patch) return TKS_EMEMORY;
    if (m->vertex_count) memcpy(t.xyz, m->xyz, m->vertex_count * 3 * sizeof *t.xyz);
    if (m->count) {
        memcpy(t.corners, m->corners, m->count * 3 * sizeof *t.corners);
        memcpy(t.patch, m->patch, m->count * sizeof *t.patch);
    }
    *triangles = t;
    return TKS_OK;
}

static tks_status explain(tks_status status, tks_error *err)
{
    if (status == TKS_ELIMIT)
        return tks_fail(err, status, tks_nowhere(),
                        "more than 20 million triangles; a larger chord or edge would do");
    if (status == TKS_ECONVERGE)
        return tks_fail(err, status, tks_nowhere(),
                        "a face has details too fine to be cut into triangles");
    return status ? tks_fail(err, status, tks_nowhere(), "out of memory for triangles") : TKS_OK;
}

tks_status tks_body_triangles(const tks_body *body, double chord, double longest, tks_arena *arena,
                              tks_triangles *triangles, tks_error *err)
{
    if (!(chord > 0 && chord <= GEOMETRY_LARGEST && longest >= 0 && longest <= GEOMETRY_LARGEST))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "a chord of %g mm and edges of %g mm: the chord should be above zero",
                        chord * 1e3, longest * 1e3);
    geometry_mesher m = {
        .body = body, .chord = chord / 2, .longest = longest, .side = longest * sqrt(0.5)};
    for (size_t i = 0; i < body->solid_count; i++) add_solid(&m, &body->solids[i]);
    if (!m.status) m.status = hand_over(&m, arena, triangles);
    base_free(m.xyz);
    base_free(m.corners);
    base_free(m.patch);
    return explain(m.status, err);
}
