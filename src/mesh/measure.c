/* A mesh as a piece of a part: area by label, masked, with its doubts. */
#include "base/alloc.h"
#include "mesh/facet.h"
#include "mesh/inside.h"
#include "mesh/verdict.h"

#include "base/sum.h"

#include <math.h>
#include <string.h>

enum { CLIPPED = 9 };

tks_status tks_mesh_label(const tks_mesh *mesh, double cut, uint8_t *labels, tks_error *err)
{
    tks_mesh_health health = {0};
    tks_check_options few = {0};
    mesh_edges edges = {0};
    mesh_bvh bvh = {0};
    bool done = mesh->count && mesh_examine(mesh, &few, &edges, &health) &&
                mesh_bvh_build(mesh, &bvh) && mesh_label_facets(&bvh, &edges, &health, cut, labels);
    mesh_bvh_free(&bvh);
    mesh_edges_free(&edges);
    tks_mesh_health_free(&health);
    if (done || !mesh->count) return TKS_OK;
    return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "not enough memory to label this mesh");
}

/* ------------------------------------------------------------------ masking */

typedef struct polygon {
    tks_vec3 at[CLIPPED]; /* a triangle cut by six planes has at most nine corners */
    int count;
} polygon;

static double coordinate(tks_vec3 p, int axis)
{
    return axis == 0 ? p.x : axis == 1 ? p.y : p.z;
}

/* The part of a convex polygon with sense * coordinate <= sense * bound (Sutherland and Hodgman,
 * Commun. ACM 17 (1974) 32). */
static polygon clip(const polygon *p, int axis, double bound, double sense)
{
    polygon out = {.count = 0};
    for (int i = 0; i < p->count; i++) {
        tks_vec3 a = p->at[i], b = p->at[(i + 1) % p->count];
        double x = sense * (coordinate(a, axis) - bound), y = sense * (coordinate(b, axis) - bound);
        if (x <= 0 && out.count < CLIPPED) out.at[out.count++] = a;
        if ((x < 0 && y > 0) || (x > 0 && y < 0))
            if (out.count < CLIPPED)
                out.at[out.count++] = vec3_step(a, x / (x - y), vec3_sub(b, a));
    }
    return out;
}

static double polygon_area(const polygon *p)
{
    tks_vec3 twice = vec3(0, 0, 0);
    for (int i = 1; i + 1 < p->count; i++)
        twice = vec3_add(
            twice, vec3_cross(vec3_sub(p->at[i], p->at[0]), vec3_sub(p->at[i + 1], p->at[0])));
    return vec3_length(twice) / 2;
}

static polygon within(const polygon *whole, const tks_mesh_box *box)
{
    polygon p = *whole;
    for (int axis = 0; axis < 3 && p.count; axis++) {
        p = clip(&p, axis, coordinate(box->high, axis), 1);
        p = clip(&p, axis, coordinate(box->low, axis), -1);
    }
    return p;
}

/* The pieces of a convex polygon outside a box: what each face cuts off. Boxes come in turn, so
 * that where they overlap nothing is taken off twice. */
static double outside_boxes(const polygon *p, const tks_mesh_box *boxes, size_t count)
{
    if (!p->count) return 0;
    if (!count) return polygon_area(p);
    if (!within(p, boxes).count) return outside_boxes(p, boxes + 1, count - 1);
    polygon left = *p;
    double area = 0;
    for (int face = 0; face < 6 && left.count; face++) {
        int axis = face / 2;
        double sense = face % 2 ? -1 : 1;
        double bound = coordinate(face % 2 ? boxes->low : boxes->high, axis);
        polygon beyond = clip(&left, axis, bound, -sense);
        area += outside_boxes(&beyond, boxes + 1, count - 1);
        left = clip(&left, axis, bound, sense);
    }
    return area;
}

static void add_areas(const tks_mesh *mesh, const uint8_t *labels, const tks_measure_options *o,
                      tks_measured *m)
{
    base_sum sum[TKS_LABEL_COUNT] = {{0, 0}};
    for (size_t f = 0; f < mesh->count; f++) {
        polygon p = {.count = 3};
        for (size_t c = 0; c < 3; c++) p.at[c] = mesh_corner(mesh, 3 * f + c);
        double area = polygon_area(&p), open = area;
        if (o->masked_labels[labels[f]])
            open = 0;
        else if (o->masked_count)
            open = outside_boxes(&p, o->masked, o->masked_count);
        base_sum_add(&sum[labels[f]], open);
        base_sum_add(&sum[TKS_MASKED], area - open);
    }
    for (int i = 0; i < TKS_LABEL_COUNT; i++) m->area[i] = base_sum_total(&sum[i]);
}

tks_status tks_mesh_label_areas(const tks_mesh *mesh, double cut, uint8_t *labels,
                                double area[TKS_LABEL_COUNT], tks_error *err)
{
    static const tks_measure_options plain;
    tks_measured measured;
    tks_status status = tks_mesh_label(mesh, cut, labels, err);
    if (status != TKS_OK) return status;
    add_areas(mesh, labels, &plain, &measured);
    memcpy(area, measured.area, sizeof measured.area);
    return TKS_OK;
}

/* ------------------------------------------------------------------ the result */

static void finish(const tks_mesh_health *h, const tks_measure_options *o, tks_measured *m)
{
    if (o->fill_holes) m->area[TKS_OUTSIDE] += h->fill_low;
    for (int i = 0; i < TKS_LABEL_COUNT; i++)
        if (tks_label_wetted((tks_label)i)) m->wetted += m->area[i];
    double noise = fmax(0, 1 - (h->smooth_area - 2 * h->smooth_error) / h->size.area);
    double missed = noise < 0.005 ? h->missed_area / h->size.area : 0;
    double filled = o->fill_holes ? h->fill_high - h->fill_low : h->fill_high;
    double hidden = h->duplicate_area + h->speck_area + h->crossing_area;
    m->low = fmax(0, m->wetted * (1 - noise) - hidden);
    m->high = m->wetted * (1 + missed) + filled;
    m->volume = h->inside_out ? -h->size.volume : h->size.volume;
    m->bounds_low = h->size.low;
    m->bounds_high = h->size.high;
    m->facets = h->size.facets;
    m->unit = h->size.unit;
    m->verdict = h->verdict;
}

static tks_status add_cautions(const tks_mesh_health *h, const char *what, tks_cautions *list)
{
    tks_status status = TKS_OK;
    for (size_t i = 0; i < h->reason_count && status == TKS_OK && h->verdict > TKS_BELIEVE; i++)
        status = tks_caution_add(list, TKS_DOUBT, "mesh-doubtful", what, "%s: %s",
                                 tks_mesh_verdict_name(h->verdict), h->reasons[i]);
    if (status == TKS_OK && h->hole_count)
        status = tks_caution_add(list, TKS_NOTE, "mesh-open", what,
                                 "the mesh is not closed, so its volume is only an estimate");
    size_t sealed = h->voids + h->buried;
    if (status == TKS_OK && sealed)
        status = tks_caution_add(list, TKS_NOTE, "mesh-sealed", what,
                                 "%zu bod%s closed in: not wetted and not counted", sealed,
                                 sealed == 1 ? "y is" : "ies are");
    return status;
}

static bool measure(const tks_mesh *mesh, const tks_measure_options *o, tks_mesh_health *h,
                    tks_measured *m)
{
    tks_check_options check = {.roughness = true};
    mesh_edges edges = {0};
    mesh_bvh bvh = {0};
    uint8_t *labels = base_alloc(mesh->count, 1);
    bool done = labels && mesh_examine(mesh, &check, &edges, h) && mesh_bvh_build(mesh, &bvh) &&
                mesh_label_facets(&bvh, &edges, h, o->cut, labels);
    if (done && h->shell_count > 1) /* bodies that overlap hide some of each other */
        done = mesh_find_crossings(&bvh, h);
    if (done) {
        mesh_judge(h, (mesh_dealt){.holes = o->fill_holes, .closed_in = true});

        add_areas(mesh, labels, o, m);
        finish(h, o, m);
    }
    base_free(labels);
    mesh_bvh_free(&bvh);
    mesh_edges_free(&edges);
    return done;
}

tks_status tks_mesh_measure(const char *path, const tks_measure_options *options, const char *what,
                            tks_measured *result, tks_cautions *cautions, tks_error *err)
{
    tks_measure_options o = {0};
    tks_mesh mesh;
    tks_mesh_health health = {0};
    tks_measured found = {.wetted = 0};
    if (options) o = *options;
    tks_status status = tks_mesh_load(path, &o.read, &mesh, err);
    if (status != TKS_OK) return status;
    bool done = measure(&mesh, &o, &health, &found);
    tks_mesh_free(&mesh);
    if (done && cautions) done = add_cautions(&health, what, cautions) == TKS_OK;
    tks_mesh_health_free(&health);
    if (!done)
        return tks_fail(err, TKS_EMEMORY, (tks_place){path, 0, 0},
                        "not enough memory to measure this mesh");
    *result = found;
    return TKS_OK;
}
