#include "geometry/mesher.h"

#include "base/alloc.h"
#include "base/vec.h"
#include "geometry/delaunay.h"

#include <math.h>

static size_t pieces(double wanted)
{
    double n = ceil(wanted * (1 - 1e-12));
    return n >= 1 ? n < GEOMETRY_MOST_TRIANGLES ? (size_t)n : GEOMETRY_MOST_TRIANGLES : 1;
}

/* A chord over an angle d departs from its circle by r (1 - cos(d/2)). No chord takes more than 60
 * degrees, so that round things look round at any size. */
size_t geometry_divisions(geometry_mesher *m, double length, double radius, double angle)
{
    size_t n = m->side > 0 ? pieces(length / m->side) : 1;
    if (!(radius > 0)) return n;
    double most = M_PI / 3, q = m->chord / (2 * radius); /* 1 - cos(d/2) = 2 sin^2(d/4) */
    double step = q < 1 ? 4 * asin(sqrt(q)) : most;
    size_t turns = pieces(fabs(angle) / fmin(step, most));
    return n > turns ? n : turns;
}

size_t geometry_segment_divisions(geometry_mesher *m, const tks_segment *s)
{
    return geometry_divisions(m, tks_segment_length(s), geometry_arc_radius(s), s->turn);
}

void *geometry_scratch(geometry_mesher *m, size_t count, size_t size)
{
    if (m->status) return NULL;
    if (count > 4 * (size_t)GEOMETRY_MOST_TRIANGLES) {
        m->status = TKS_ELIMIT;
        return NULL;
    }
    void *block = base_alloc(count, size);
    if (!block) m->status = TKS_EMEMORY;
    return block;
}

/* Room for one item more in a block that doubles. */
static bool grow(geometry_mesher *m, void **block, size_t *room, size_t size, size_t used)
{
    if (m->status) return false;
    if (used < *room) return true;
    size_t more = *room ? 2 * *room : 64;
    void *larger = base_resize(*block, more, size);
    if (!larger) {
        m->status = TKS_EMEMORY;
        return false;
    }
    *block = larger;
    *room = more;
    return true;
}

uint32_t geometry_add_vertex(geometry_mesher *m, tks_vec3 at)
{
    void *block = m->xyz;
    if (!grow(m, &block, &m->vertex_room, 3 * sizeof *m->xyz, m->vertex_count)) return 0;
    m->xyz = block;
    double *v = &m->xyz[3 * m->vertex_count];
    v[0] = at.x;
    v[1] = at.y;
    v[2] = at.z;
    return (uint32_t)m->vertex_count++;
}

void geometry_add_triangle(geometry_mesher *m, uint32_t a, uint32_t b, uint32_t c, size_t patch)
{
    size_t room = m->room;
    void *corners = m->corners, *patches = m->patch;
    if (m->count >= GEOMETRY_MOST_TRIANGLES && !m->status) m->status = TKS_ELIMIT;
    bool grown = grow(m, &corners, &room, 3 * sizeof *m->corners, m->count);
    m->corners = corners;
    if (!grown || !grow(m, &patches, &m->room, sizeof *m->patch, m->count)) return;
    m->patch = patches;
    uint32_t *t = &m->corners[3 * m->count];
    t[0] = a;
    t[1] = b;
    t[2] = c;
    m->patch[m->count++] = (uint32_t)patch;
}

static double between(const geometry_mesher *m, uint32_t a, uint32_t b)
{
    const double *p = &m->xyz[3 * (size_t)a], *q = &m->xyz[3 * (size_t)b];
    return (p[0] - q[0]) * (p[0] - q[0]) + (p[1] - q[1]) * (p[1] - q[1]) +
           (p[2] - q[2]) * (p[2] - q[2]);
}

void geometry_add_cell(geometry_mesher *m, uint32_t a, uint32_t b, uint32_t c, uint32_t d,
                       size_t patch)
{
    if (m->status) return;
    if (a == b || b == c) {
        geometry_add_triangle(m, a, c, d, patch);
    } else if (c == d || d == a) {
        geometry_add_triangle(m, a, b, c, patch);
    } else if (between(m, a, c) <= between(m, b, d)) {
        geometry_add_triangle(m, a, b, c, patch);
        geometry_add_triangle(m, a, c, d, patch);
    } else {
        geometry_add_triangle(m, a, b, d, patch);
        geometry_add_triangle(m, b, c, d, patch);
    }
}

void geometry_open_loop(geometry_mesher *m, geometry_loops *l)
{
    void *block = l->loops;
    if (!grow(m, &block, &l->loop_room, sizeof *l->loops, l->loop_count)) return;
    l->loops = block;
    l->loops[l->loop_count++] = 0;
}

void geometry_loop_point(geometry_mesher *m, geometry_loops *l, tks_vec2 point, uint32_t id)
{
    size_t room = l->room;
    void *points = l->points, *ids = l->ids;
    bool grown = grow(m, &points, &room, sizeof *l->points, l->count);
    l->points = points;
    if (!grown || !grow(m, &ids, &l->room, sizeof *l->ids, l->count)) return;
    l->ids = ids;
    l->points[l->count] = point;
    l->ids[l->count++] = id;
    l->loops[l->loop_count - 1]++;
}

static void take_region(geometry_mesher *m, const geometry_loops *l, const geometry_region *r,
                        const tks_frame *frame, bool reversed, size_t patch)
{
    uint32_t *id = geometry_scratch(m, r->point_count, sizeof *id);
    if (!id) return;
    for (size_t i = 0; i < r->point_count; i++)
        id[i] = i < l->count ? l->ids[i]
                             : geometry_add_vertex(
                                   m, frame_point(frame, vec3(r->points[i].x, r->points[i].y, 0)));
    for (size_t i = 0; i < r->triangle_count; i++) {
        const uint32_t *c = &r->corners[3 * i];
        geometry_add_triangle(m, id[c[0]], id[c[reversed ? 2 : 1]], id[c[reversed ? 1 : 2]], patch);
    }
    base_free(id);
}

void geometry_add_region(geometry_mesher *m, geometry_loops *l, const tks_frame *frame,
                         bool reversed, size_t patch)
{
    geometry_region region = {NULL, 0, NULL, 0};
    if (!m->status)
        m->status = geometry_region_cut(l->points, l->loops, l->loop_count, m->longest,
                                        GEOMETRY_MOST_TRIANGLES, &region);
    if (!m->status) take_region(m, l, &region, frame, reversed, patch);
    geometry_region_free(&region);
    base_free(l->points);
    base_free(l->ids);
    base_free(l->loops);
    *l = (geometry_loops){0};
}
