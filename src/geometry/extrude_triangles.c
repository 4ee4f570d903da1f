#include "geometry/mesher.h"

#include "base/alloc.h"
#include "base/vec.h"

#include <math.h>

static const uint32_t unmade = UINT32_MAX;

/* All outlines as points, each of which makes a column of vertices, made when first wanted. */
typedef struct columns {
    const tks_solid *solid;
    tks_vec2 *points;
    size_t count;
    size_t *first;      /* first point of each segment of all outlines, in their order */
    size_t *loop_first; /* first point of each outline; outline_count + 1 */
    size_t levels;      /* divisions along the extrusion */
    uint32_t *id;       /* count x (levels + 1) */
    uint32_t **rings;   /* of each drill: its vertices, (depths + 1) x around */
    size_t *around, *depths;
} columns;

static void count_points(geometry_mesher *m, columns *c)
{
    const tks_solid *s = c->solid;
    size_t segments = 0, n = 0;
    for (size_t o = 0; o < s->outline_count; o++) segments += s->outlines[o].count;
    c->first = geometry_scratch(m, segments + 1, sizeof *c->first);
    c->loop_first = geometry_scratch(m, s->outline_count + 1, sizeof *c->loop_first);
    if (m->status) return;
    for (size_t o = 0; o < s->outline_count; o++) {
        for (size_t i = 0; i < s->outlines[o].count; i++) {
            size_t cut = geometry_segment_divisions(m, &s->outlines[o].segments[i]);
            c->first[n + 1] = c->first[n] + cut;
            n++;
        }
        c->loop_first[o + 1] = c->first[n];
    }
    c->count = c->first[n];
}

static void make_points(geometry_mesher *m, columns *c)
{
    const tks_solid *s = c->solid;
    count_points(m, c);
    c->levels = geometry_divisions(m, s->travel, 0, 0);
    if (!m->status && c->levels > GEOMETRY_MOST_TRIANGLES / 2 / c->count) m->status = TKS_ELIMIT;
    c->points = geometry_scratch(m, c->count, sizeof *c->points);
    c->id = geometry_scratch(m, c->count * (c->levels + 1), sizeof *c->id);
    if (m->status) return;
    for (size_t i = 0; i < c->count * (c->levels + 1); i++) c->id[i] = unmade;
    size_t n = 0;
    for (size_t o = 0; o < s->outline_count; o++)
        for (size_t i = 0; i < s->outlines[o].count; i++, n++) {
            size_t cut = c->first[n + 1] - c->first[n];
            for (size_t k = 0; k < cut; k++)
                c->points[c->first[n] + k] =
                    geometry_segment_point(&s->outlines[o].segments[i], (double)k / (double)cut);
        }
}

static uint32_t vertex(geometry_mesher *m, columns *c, size_t point, size_t level)
{
    uint32_t *id = &c->id[point * (c->levels + 1) + level];
    if (*id == unmade) {
        tks_vec2 q = c->points[point];
        double z = c->solid->travel * (double)level / (double)c->levels;
        *id = geometry_add_vertex(m, frame_point(&c->solid->frame, vec3(q.x, q.y, z)));
    }
    return *id;
}

/* ---- drilled holes */

static tks_vec3 drill_side(const geometry_drill *d)
{
    return vec3(d->along.y, -d->along.x, 0); /* along the entry side */
}

static void make_ring(geometry_mesher *m, columns *c, size_t i)
{
    const geometry_drill *d = &c->solid->drills[i];
    bool joint = c->solid->pierces[i].label == TKS_JOINT;
    size_t n = geometry_divisions(m, 2 * M_PI * d->radius, d->radius, 2 * M_PI);
    size_t depths = joint ? 0 : geometry_divisions(m, d->length, 0, 0);
    c->around[i] = n;
    c->depths[i] = depths;
    c->rings[i] = geometry_scratch(m, n * (depths + 1), sizeof **c->rings);
    tks_vec3 side = drill_side(d);
    for (size_t k = 0; c->rings[i] && k < n * (depths + 1); k++) {
        double a = -2 * M_PI * (double)(k % n) / (double)n;
        double deep = depths ? d->length * (double)(k / n) / (double)depths : 0;
        tks_vec3 p = vec3_step(d->from, deep, d->along);
        p = vec3_step(p, d->radius * cos(a), side);
        p.z += d->radius * sin(a);
        c->rings[i][k] = geometry_add_vertex(m, frame_point(&c->solid->frame, p));
    }
}

static void make_rings(geometry_mesher *m, columns *c)
{
    size_t n = c->solid->pierce_count;
    c->rings = geometry_scratch(m, n, sizeof *c->rings);
    c->around = geometry_scratch(m, n, sizeof *c->around);
    c->depths = geometry_scratch(m, n, sizeof *c->depths);
    for (size_t i = 0; i < n && !m->status; i++) make_ring(m, c, i);
}

/* In the hole's own frame the ring runs clockwise about the way in, with the metal outside. */
static void add_wall(geometry_mesher *m, const columns *c, size_t i, size_t patch)
{
    size_t n = c->around[i];
    for (size_t d = 0; d < c->depths[i]; d++)
        for (size_t k = 0; k < n && !m->status; k++) {
            const uint32_t *a = &c->rings[i][d * n], *b = a + n;
            size_t next = (k + 1) % n;
            geometry_add_cell(m, a[next], a[k], b[k], b[next], patch);
        }
}

/* ---- faces */

static void add_side(geometry_mesher *m, columns *c, size_t n, size_t outline, size_t patch)
{
    size_t begin = c->loop_first[outline], size = c->loop_first[outline + 1] - begin;
    for (size_t j = c->first[n]; j < c->first[n + 1]; j++) {
        size_t next = begin + (j + 1 - begin) % size;
        for (size_t k = 0; k < c->levels && !m->status; k++)
            geometry_add_cell(m, vertex(m, c, j, k), vertex(m, c, next, k),
                              vertex(m, c, next, k + 1), vertex(m, c, j, k + 1), patch);
    }
}

/* The frame of the side's patch gives the plane: x along the side, y along the extrusion. */
static void add_vertex_point(geometry_mesher *m, geometry_loops *l, const tks_frame *f, uint32_t id)
{
    if (m->status) return;
    const double *p = &m->xyz[3 * (size_t)id];
    tks_vec3 q = frame_local_point(f, vec3(p[0], p[1], p[2]));
    geometry_loop_point(m, l, (tks_vec2){q.x, q.y}, id);
}

static void add_pierced_side(geometry_mesher *m, columns *c, size_t n, size_t side, size_t patch)
{
    const tks_patch *p = &m->body->patches[patch];
    geometry_loops l = {0};
    size_t size = c->loop_first[1], a = c->first[n], cut = c->first[n + 1] - a;
    size_t b = (a + cut) % size;
    geometry_open_loop(m, &l);
    for (size_t j = 0; j < cut; j++) add_vertex_point(m, &l, &p->frame, vertex(m, c, a + j, 0));
    for (size_t k = 0; k < c->levels; k++) add_vertex_point(m, &l, &p->frame, vertex(m, c, b, k));
    for (size_t j = 0; j < cut; j++)
        add_vertex_point(m, &l, &p->frame, vertex(m, c, (a + cut - j) % size, c->levels));
    for (size_t k = c->levels; k > 0; k--) add_vertex_point(m, &l, &p->frame, vertex(m, c, a, k));
    for (size_t i = 0; i < c->solid->pierce_count && !m->status; i++) {
        const tks_pierce *h = &c->solid->pierces[i];
        if (h->entry != side && (h->exit != side || h->label == TKS_JOINT)) continue;
        const uint32_t *ring = c->rings[i] + (h->entry == side ? 0 : c->depths[i] * c->around[i]);
        geometry_open_loop(m, &l);
        for (size_t k = 0; k < c->around[i]; k++) add_vertex_point(m, &l, &p->frame, ring[k]);
    }
    geometry_add_region(m, &l, &p->frame, false, patch);
}

static void add_sides(geometry_mesher *m, columns *c, size_t *patch)
{
    const tks_solid *s = c->solid;
    size_t n = 0;
    for (size_t o = 0; o < s->outline_count; o++)
        for (size_t i = 0; i < s->outlines[o].count && !m->status; i++, n++) {
            if (s->outlines[o].segments[i].label == TKS_JOINT) continue;
            if (m->body->patches[*patch].kind == TKS_PATCH_PLANE)
                add_pierced_side(m, c, n, i, *patch);
            else
                add_side(m, c, n, o, *patch);
            ++*patch;
        }
}

static void add_face(geometry_mesher *m, columns *c, size_t patch)
{
    const tks_patch *p = &m->body->patches[patch];
    geometry_loops l = {0};
    for (size_t o = 0; o < c->solid->outline_count; o++) {
        geometry_open_loop(m, &l);
        for (size_t j = c->loop_first[o]; j < c->loop_first[o + 1] && !m->status; j++)
            geometry_loop_point(m, &l, c->points[j], vertex(m, c, j, p->reversed ? 0 : c->levels));
    }
    geometry_add_region(m, &l, &p->frame, p->reversed, patch);
}

static void free_columns(columns *c)
{
    for (size_t i = 0; c->rings && i < c->solid->pierce_count; i++) base_free(c->rings[i]);
    base_free(c->rings);
    base_free(c->around);
    base_free(c->depths);
    base_free(c->points);
    base_free(c->first);
    base_free(c->loop_first);
    base_free(c->id);
}

void geometry_extrude_triangles(geometry_mesher *m, const tks_solid *solid)
{
    columns c = {.solid = solid};
    size_t patch = solid->first_patch, end = patch + solid->patch_count;
    make_points(m, &c);
    make_rings(m, &c);
    if (!m->status) add_sides(m, &c, &patch);
    for (size_t i = 0; i < solid->pierce_count && !m->status; i++)
        if (solid->pierces[i].label != TKS_JOINT) add_wall(m, &c, i, patch++);
    for (; patch < end && !m->status; patch++) add_face(m, &c, patch);
    free_columns(&c);
}
