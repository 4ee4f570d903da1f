#include "geometry/mesher.h"
#include "geometry/path.h"

#include "base/alloc.h"
#include "base/vec.h"

#include <math.h>

/* The section as points, carried along the path as rings of vertices. */
typedef struct carried {
    const geometry_sweep *sweep;
    const tks_frame *frame; /* of the solid */
    tks_vec2 *points;       /* of all outlines, in the section's axes */
    size_t count;
    size_t first[6];      /* first point of each segment; at most 4, or 2 */
    size_t loop_first[3]; /* and of each outline */
    size_t segments, outlines;
    size_t *station; /* first ring of each stretch; path.count + 1 */
    uint32_t *id;    /* rings x count */
    bool closed;
} carried;

/* A sealed bore is not to be seen. */
static size_t outlines_shown(const geometry_sweep *w)
{
    bool sealed = w->section.kind == TKS_TUBULAR && w->section.inside == TKS_SEALED;
    return sealed ? 1 : w->outline_count;
}

static void make_points(geometry_mesher *m, carried *c)
{
    const geometry_sweep *w = c->sweep;
    c->outlines = outlines_shown(w);
    for (size_t o = 0; o < c->outlines; o++) {
        for (size_t i = 0; i < w->outlines[o].count; i++) {
            size_t cut = geometry_segment_divisions(m, &w->outlines[o].segments[i]);
            c->first[c->segments + 1] = c->first[c->segments] + cut;
            c->segments++;
        }
        c->loop_first[o + 1] = c->first[c->segments];
    }
    c->count = c->first[c->segments];
    c->points = geometry_scratch(m, c->count, sizeof *c->points);
    size_t n = 0;
    for (size_t o = 0; c->points && o < c->outlines; o++)
        for (size_t i = 0; i < w->outlines[o].count; i++, n++) {
            size_t cut = c->first[n + 1] - c->first[n];
            for (size_t k = 0; k < cut; k++)
                c->points[c->first[n] + k] =
                    geometry_segment_point(&w->outlines[o].segments[i], (double)k / (double)cut);
        }
}

/* The outermost fibre is the longest and the farthest from its chord. */
static size_t stations(geometry_mesher *m, const geometry_sweep *w, const tks_stretch *s)
{
    if (s->kind == TKS_STRAIGHT) return geometry_divisions(m, s->length, 0, 0);
    const tks_section *section = &w->section;
    double reach = section->kind == TKS_RECTANGULAR ? hypot(section->width, section->height) / 2
                                                    : section->radius;
    double out = s->radius + reach;
    return geometry_divisions(m, s->length * out / s->radius, out, s->angle);
}

static void make_stations(geometry_mesher *m, carried *c)
{
    const tks_path *path = &c->sweep->path;
    c->station = geometry_scratch(m, path->count + 1, sizeof *c->station);
    for (size_t i = 0; c->station && i < path->count; i++)
        c->station[i + 1] = c->station[i] + stations(m, c->sweep, &path->stretches[i]);
    if (!m->status && c->station[path->count] > GEOMETRY_MOST_TRIANGLES / 2 / c->count)
        m->status = TKS_ELIMIT;
}

static void add_ring(geometry_mesher *m, carried *c, size_t stretch, size_t ring)
{
    const geometry_sweep *w = c->sweep;
    size_t cut = c->station[stretch + 1] - c->station[stretch];
    double u = (double)(ring - c->station[stretch]) / (double)cut;
    tks_frame f = geometry_stretch_frame(&w->path.stretches[stretch], u);
    f = geometry_frame_turned(&f, w->psi[stretch]);
    f = frame_compose(c->frame, &f);
    for (size_t j = 0; j < c->count && !m->status; j++)
        c->id[ring * c->count + j] =
            geometry_add_vertex(m, frame_point(&f, vec3(c->points[j].x, c->points[j].y, 0)));
}

/* In a path that closes in space the section may come back turned about it: the last ring then
 * joins the first with a shift, to the nearest point. */
static void close_ring(geometry_mesher *m, carried *c, size_t ring)
{
    const geometry_sweep *w = c->sweep;
    double angle = atan2(vec3_dot(w->last.x, w->first.y), vec3_dot(w->last.x, w->first.x));
    for (size_t o = 0; o < c->outlines && !m->status; o++) {
        size_t begin = c->loop_first[o], n = c->loop_first[o + 1] - begin;
        double turn = angle / (2 * M_PI) * (o ? -1 : 1); /* bores run clockwise */
        size_t shift = (size_t)(llround((turn + 1) * (double)n)) % n;
        for (size_t j = 0; j < n; j++)
            c->id[ring * c->count + begin + j] = c->id[begin + (j + shift) % n];
    }
}

static void make_rings(geometry_mesher *m, carried *c)
{
    size_t stretches = c->sweep->path.count, rings = m->status ? 0 : c->station[stretches];
    c->id = geometry_scratch(m, (rings + 1) * c->count, sizeof *c->id);
    size_t stretch = 0;
    for (size_t r = 0; r <= rings && !m->status; r++) {
        while (stretch + 1 < stretches && r >= c->station[stretch + 1]) stretch++;
        if (r == rings && c->closed)
            close_ring(m, c, r);
        else
            add_ring(m, c, stretch, r);
    }
}

static void add_strip(geometry_mesher *m, const carried *c, size_t stretch, size_t segment,
                      size_t patch)
{
    size_t o = c->first[segment] >= c->loop_first[1] ? 1 : 0;
    size_t begin = c->loop_first[o], size = c->loop_first[o + 1] - begin;
    for (size_t r = c->station[stretch]; r < c->station[stretch + 1]; r++) {
        const uint32_t *a = &c->id[r * c->count], *b = a + c->count;
        for (size_t j = c->first[segment]; j < c->first[segment + 1] && !m->status; j++) {
            size_t next = begin + (j + 1 - begin) % size;
            geometry_add_cell(m, a[j], a[next], b[next], b[j], patch);
        }
    }
}

static void add_end(geometry_mesher *m, const carried *c, size_t patch)
{
    const tks_patch *p = &m->body->patches[patch];
    size_t ring = p->reversed ? 0 : c->station[c->sweep->path.count];
    geometry_loops l = {0};
    for (size_t o = 0; o < c->outlines; o++) {
        geometry_open_loop(m, &l);
        for (size_t j = c->loop_first[o]; j < c->loop_first[o + 1] && !m->status; j++)
            geometry_loop_point(m, &l, c->points[j], c->id[ring * c->count + j]);
    }
    geometry_add_region(m, &l, &p->frame, p->reversed, patch);
}

void geometry_sweep_triangles(geometry_mesher *m, const tks_solid *solid)
{
    const geometry_sweep *w = solid->sweep;
    carried c = {.sweep = w, .frame = &solid->frame, .closed = w->path.closed};
    make_points(m, &c);
    make_stations(m, &c);
    make_rings(m, &c);
    size_t all = 0, patch = solid->first_patch, end = patch + solid->patch_count;
    for (size_t o = 0; o < w->outline_count; o++) all += w->outlines[o].count;
    for (size_t i = 0; i < w->path.count; i++, patch += all)
        for (size_t k = 0; k < c.segments && !m->status; k++) add_strip(m, &c, i, k, patch + k);
    for (; patch < end && !m->status; patch++) add_end(m, &c, patch);
    base_free(c.points);
    base_free(c.station);
    base_free(c.id);
}
