#include "geometry/mesher.h"
#include "geometry/trim.h"

#include "base/alloc.h"
#include "base/vec.h"

#include <math.h>
#include <string.h>

/* How far a patch goes along u: angle about its axis, and the radius of its outermost point. */
static double angle_spanned(const tks_patch *p)
{
    const tks_trim *t = p->trim;
    if (!t) return p->kind == TKS_PATCH_PRISM ? 0 : p->travel;
    switch (t->kind) {
    case TRIM_HELICOID:
        return (t->to - t->from + fabs(p->segment.to.y - p->segment.from.y)) / fabs(p->advance);
    case TRIM_FACET: return 0;
    case TRIM_CORNER: return M_PI / 3;
    default: return 2 * M_PI;
    }
}

static double outermost(const tks_patch *p)
{
    if (p->trim && p->trim->kind != TRIM_HELICOID) return fmax(p->trim->high, p->trim->apothem);
    geometry_box box = geometry_segment_box(&p->segment);
    return fmax(fabs(box.low.x), fabs(box.high.x)) + p->radius;
}

static void count_cells(geometry_mesher *m, const tks_patch *p, size_t *along, size_t *across)
{
    double angle = angle_spanned(p), out = outermost(p);
    if (p->trim && p->trim->kind != TRIM_HELICOID) {
        *along = geometry_divisions(m, out * angle, out, angle);
        /* a tooth's face narrows from a whole turn to nothing, most of it near the root */
        *across = 4 * geometry_divisions(m, out, out, M_PI);
        return;
    }
    double length = angle > 0 ? out * angle : p->travel;
    *along = geometry_divisions(m, length, angle > 0 ? out : 0, angle);
    *across = geometry_segment_divisions(m, &p->segment);
    if (p->kind != TKS_PATCH_HELICOID) return;
    /* the level edges turn about the axis while they go up the profile */
    angle = fabs((p->segment.to.y - p->segment.from.y) / p->advance);
    size_t turned = geometry_divisions(m, out * angle, out, angle);
    if (turned > *across) *across = turned;
}

/* Where the i-th of so many grid lines crosses v. On a helicoid the patch's own lines of equal u
 * are level, which would make slivers; the grid's lines climb with the profile instead, and are cut
 * off at the edges. */
static double grid_u(const tks_patch *p, double i, size_t along, double v)
{
    double u = i / (double)along;
    if (p->kind != TKS_PATCH_HELICOID) return u;
    tks_vec3 low, high;
    tks_patch_at(p, 0, v, &low, NULL);
    tks_patch_at(p, 1, v, &high, NULL);
    double bottom = frame_local_point(&p->frame, low).z, top = frame_local_point(&p->frame, high).z;
    double a = p->segment.from.y, b = p->segment.to.y;
    double y = geometry_segment_point(&p->segment, v).y;
    double whole = p->trim->to - p->trim->from + fabs(a - b);
    double z = p->trim->from + y - fmax(a, b) + u * whole;
    return top > bottom ? fmax(0, fmin(1, (z - bottom) / (top - bottom))) : 0;
}

static tks_vec3 place(const geometry_mesher *m, uint32_t id)
{
    const double *p = &m->xyz[3 * (size_t)id];
    return vec3(p[0], p[1], p[2]);
}

/* Facing as the patch's normal does there; nothing where the patch has shrunk to a line. */
static void add_facing(geometry_mesher *m, uint32_t a, uint32_t b, uint32_t c, tks_vec3 normal,
                       size_t patch)
{
    if (m->status) return;
    tks_vec3 p = vec3_sub(place(m, b), place(m, a)), q = vec3_sub(place(m, c), place(m, a));
    tks_vec3 n = vec3_cross(p, q);
    if (vec3_length(n) <= 1e-9 * (vec3_dot(p, p) + vec3_dot(q, q))) return;
    bool right = vec3_dot(n, normal) > 0;
    geometry_add_triangle(m, a, right ? b : c, right ? c : b, patch);
}

/* A row of vertices along the arc that a cut face of a thread has at one radius. */
typedef struct arc_row {
    double *angles;
    uint32_t *ids;
    size_t count;
} arc_row;

/* So many steps that the arc lies no farther from its chords than half of the way to the next row.
 */
static void make_row(geometry_mesher *m, const tks_patch *p, double v, double gap, arc_row *row)
{
    trim_arc arc = trim_arc_at(p, v);
    double step = sqrt(4 * fmax(gap, 1e-4 * arc.radius) / arc.radius);
    size_t n = (size_t)ceil(2 * arc.half / step);
    size_t usual = geometry_divisions(m, 2 * arc.half * arc.radius, arc.radius, 2 * arc.half);
    if (usual > n) n = usual;
    row->count = n + 1;
    row->angles = geometry_scratch(m, row->count, sizeof *row->angles);
    row->ids = geometry_scratch(m, row->count, sizeof *row->ids);
    for (size_t i = 0; row->angles && row->ids && i <= n; i++) {
        double u = n ? (double)i / (double)n : 0.5;
        tks_vec3 at;
        tks_patch_at(p, u, v, &at, NULL);
        row->angles[i] = arc.middle + (2 * u - 1) * arc.half;
        row->ids[i] = geometry_add_vertex(m, at);
    }
}

static void free_row(arc_row *row)
{
    base_free(row->angles);
    base_free(row->ids);
    *row = (arc_row){NULL, NULL, 0};
}

/* Triangles between two rows, by angle: the arcs shift along the thread from row to row, so that
 * vertices of equal number are far apart. */
static void zip_rows(geometry_mesher *m, const arc_row *a, const arc_row *b, tks_vec3 normal,
                     size_t patch)
{
    size_t i = 0, k = 0;
    while (!m->status && (i + 1 < a->count || k + 1 < b->count)) {
        bool first = k + 1 >= b->count || (i + 1 < a->count && a->angles[i + 1] < b->angles[k + 1]);
        uint32_t next = first ? a->ids[i + 1] : b->ids[k + 1];
        add_facing(m, a->ids[i], b->ids[k], next, normal, patch);
        if (first)
            i++;
        else
            k++;
    }
}

/* The cone's normal turns with the angle, but leans along its axis everywhere to the same side. */
static void thread_face_triangles(geometry_mesher *m, size_t patch)
{
    enum { ROWS = 32 };
    const tks_patch *p = &m->body->patches[patch];
    arc_row rows[2] = {{NULL, NULL, 0}, {NULL, NULL, 0}};
    tks_vec3 axis = vec3_scale(p->frame.z, p->trim->facing);
    for (int i = 0; i <= ROWS && !m->status; i++) {
        double v = (double)i / ROWS, before = fmax(0, v - 1.0 / ROWS),
               behind = fmin(1, v + 1.0 / ROWS);
        double here = trim_arc_at(p, v).radius, gap = trim_arc_at(p, behind).radius - here;
        if (i > 0 && (i == ROWS || here - trim_arc_at(p, before).radius < gap))
            gap = here - trim_arc_at(p, before).radius;
        arc_row *row = &rows[i % 2];
        free_row(row);
        make_row(m, p, v, gap, row);
        if (i > 0) zip_rows(m, &rows[(i + 1) % 2], row, axis, patch);
    }
    free_row(&rows[0]);
    free_row(&rows[1]);
}

/* The inside of outlines whose points are its own. */
static void plane_triangles(geometry_mesher *m, size_t patch)
{
    const tks_patch *p = &m->body->patches[patch];
    geometry_loops loops = {0};
    for (size_t o = 0; o < p->outline_count; o++) {
        geometry_open_loop(m, &loops);
        for (size_t i = 0; i < p->outlines[o].count; i++) {
            const tks_segment *s = &p->outlines[o].segments[i];
            size_t n = geometry_segment_divisions(m, s);
            for (size_t k = 0; k < n; k++) {
                tks_vec2 at = geometry_segment_point(s, (double)k / (double)n);
                tks_vec3 q = frame_point(&p->frame, vec3(at.x, at.y, 0));
                geometry_loop_point(m, &loops, at, geometry_add_vertex(m, q));
            }
        }
    }
    geometry_add_region(m, &loops, &p->frame, p->reversed, patch);
}

/* For patches that no generator here shares vertices for. */
void geometry_patch_triangles(geometry_mesher *m, size_t patch)
{
    const tks_patch *p = &m->body->patches[patch];
    if (p->kind == TKS_PATCH_PLANE) {
        plane_triangles(m, patch);
        return;
    }
    if (p->trim && (p->trim->kind == TRIM_TOOTH || p->trim->kind == TRIM_GAP)) {
        thread_face_triangles(m, patch);
        return;
    }
    size_t along, across;
    count_cells(m, p, &along, &across);
    size_t row = across + 1;
    uint32_t *id = NULL;
    if (along > GEOMETRY_MOST_TRIANGLES / 2 / row) m->status = TKS_ELIMIT;
    id = geometry_scratch(m, (along + 1) * row, sizeof *id);
    tks_vec3 at, normal;
    for (size_t i = 0; id && i < (along + 1) * row; i++) {
        double v = (double)(i % row) / (double)across;
        tks_patch_at(p, grid_u(p, (double)(i / row), along, v), v, &at, NULL);
        id[i] = geometry_add_vertex(m, at);
    }
    for (size_t i = 0; id && i < along * row; i++) {
        if (i % row == across) continue;
        const uint32_t *a = &id[i], *b = a + row;
        double v = ((double)(i % row) + 0.5) / (double)across;
        tks_patch_at(p, grid_u(p, (double)(i / row) + 0.5, along, v), v, &at, &normal);
        add_facing(m, a[0], b[0], b[1], normal, patch);
        add_facing(m, a[0], b[1], a[1], normal, patch);
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
