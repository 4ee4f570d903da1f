/* Nuts: hexagons with a threaded hole. */
#include "geometry/fastener.h"

#include "base/vec.h"

#include <math.h>

typedef struct nut_record {
    geometry_fastener shared;
    tks_nut nut;
    trim_thread thread; /* of the hole */
    tks_hexagon_measures hexagon;
    tks_thread_measures hole;
} nut_record;

static tks_status bad(tks_error *err, const char *what)
{
    return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(), "%s", what);
}

static tks_status work_out(nut_record *r, tks_error *err)
{
    const tks_nut *n = &r->nut;
    tks_thread thread = n->thread;
    thread.internal = true;
    tks_status status = tks_thread_profile_of(&thread, &r->thread.profile, err);
    if (status == TKS_OK) status = tks_hexagon_measure(&n->hexagon, &r->hexagon, err);
    if (status) return status;
    tks_thread_end end = tks_thread_countersink(&r->thread.profile);
    if (n->countersink > 0) end.radius = n->countersink / 2;
    r->thread.length = n->hexagon.height;
    r->thread.ends[0] = r->thread.ends[1] = end;
    for (int i = 0; i < 2; i++) {
        double c = n->hexagon.circle[i], flat = c > 0 ? c : n->hexagon.across_flats;
        if (2 * end.radius >= fmin(flat, n->hexagon.across_flats))
            return bad(err, "a nut's hole must be narrower than its bearing face");
    }
    return tks_thread_measure(&r->thread.profile, r->thread.length, r->thread.ends, &r->hole, err);
}

static tks_status check_collar(const nut_record *r, tks_error *err)
{
    const tks_nut *n = &r->nut;
    if (n->collar_height == 0) return TKS_OK;
    double c = n->hexagon.circle[1], flat = c > 0 ? c : n->hexagon.across_flats;
    if (!geometry_size_ok(n->collar_height) || !(n->collar_diameter <= flat) ||
        !(n->collar_bore < n->collar_diameter) || !(n->collar_bore / 2 >= r->thread.ends[1].radius))
        return bad(err, "a lock nut's collar must stand on its top face, around its hole");
    return TKS_OK;
}

/* The collar stands on the top face: from its bore to its outside that is no surface. */
static void add_collar(geometry_build *build, const nut_record *r)
{
    const tks_nut *n = &r->nut;
    double low = n->collar_bore / 2, high = n->collar_diameter / 2;
    double base = n->hexagon.height, top = base + n->collar_height;
    geometry_ring_add(build, r->thread.ends[1].radius, low, base, 0, 1, TKS_MASKED);
    geometry_turned_add(build, (tks_vec2){high, base}, (tks_vec2){high, top}, TKS_OUTSIDE, -1);
    geometry_ring_add(build, low, high, top, 0, 1, TKS_OUTSIDE);
    geometry_turned_add(build, (tks_vec2){low, top}, (tks_vec2){low, base}, TKS_MASKED, -1);
}

static double nut_distance(const void *record, tks_vec3 p)
{
    const nut_record *r = record;
    const tks_nut *n = &r->nut;
    double d = geometry_hexagon_distance(&n->hexagon, p), base = n->hexagon.height;
    double hole = tks_thread_distance(&r->thread.profile, r->thread.length, r->thread.ends, p);
    d = fmax(d, -hole);
    if (n->collar_height == 0) return d;
    double radius = hypot(p.x, p.y), above = p.z - base;
    double ring = fmax(radius - n->collar_diameter / 2, n->collar_bore / 2 - radius);
    return fmin(d, fmax(ring, fmax(-above, above - n->collar_height)));
}

static tks_status nut_smooth(const void *record, const tks_frame *frame, tks_body *body,
                             tks_error *err)
{
    const nut_record *r = record;
    const tks_nut *n = &r->nut;
    double bottom = n->hexagon.height / 2, top = n->hexagon.height + n->collar_height;
    double hole = r->thread.profile.effective;
    tks_status status = geometry_hexagon_prism(body, frame, &n->hexagon, hole,
                                               n->masked ? TKS_MASKED : TKS_THREAD, err);
    if (status || n->collar_height == 0) return status;
    geometry_line_of_corners line = {.count = 0};
    geometry_corner_add(&line, n->collar_bore / 2, bottom, TKS_OUTSIDE);
    geometry_corner_add(&line, n->collar_diameter / 2, bottom, TKS_OUTSIDE);
    geometry_corner_add(&line, n->collar_diameter / 2, top, TKS_OUTSIDE);
    geometry_corner_add(&line, n->collar_bore / 2, top, TKS_MASKED);
    body->overlap = true;
    return geometry_corners_turn(&line, frame, body, err);
}

tks_status tks_body_nut(tks_body *body, const tks_frame *frame, const tks_nut *nut, tks_error *err)
{
    if (!geometry_frame_ok(frame)) return geometry_bad_frame(err);
    nut_record *r = tks_arena_take(body->arena, 1, sizeof *r);
    if (!r) return geometry_no_memory(err);
    r->shared = (geometry_fastener){nut_distance, nut_smooth};
    r->nut = *nut;
    tks_status status = work_out(r, err);
    if (status == TKS_OK) status = check_collar(r, err);
    if (status) return status;
    geometry_build build = geometry_start(body, GEOMETRY_THREAD, frame, 48);
    build.solid.thread = r;
    bool collar = nut->collar_height > 0;
    double hole = r->thread.ends[0].radius;
    const double holes[2] = {hole, collar ? nut->collar_diameter / 2 : hole};
    double masked = nut->masked ? 0 : r->thread.length;
    geometry_hexagon_add(&build, &nut->hexagon, &r->hexagon, 0, holes);
    geometry_helicoid_add(&build, &r->thread, 0, masked, r->thread.length);
    for (int end = 0; end < 2; end++)
        geometry_thread_cone_add(&build, &r->thread, end, 0, masked, r->thread.length);
    double ring = 0;
    if (collar) {
        add_collar(&build, r);
        ring = M_PI / 4 * nut->collar_height *
               (nut->collar_diameter * nut->collar_diameter - nut->collar_bore * nut->collar_bore);
    }
    return geometry_finish(&build, r->hexagon.volume - r->hole.volume + ring, err);
}
