#include "geometry/solid.h"

#include "base/vec.h"

#include <math.h>

static const double full_turn = 2 * M_PI;

/* Radii a hair below zero come from rounding; they are put on the axis. */
static bool settle_on_axis(tks_outline *profile)
{
    for (size_t i = 0; i < profile->count; i++) {
        tks_segment *s = &profile->segments[i];
        if (fabs(s->from.x) <= GEOMETRY_SAME) s->from.x = 0;
        if (fabs(s->to.x) <= GEOMETRY_SAME) s->to.x = 0;
        if (!(geometry_segment_box(s).low.x >= -GEOMETRY_SAME)) return false;
    }
    return true;
}

static void add_sides(geometry_build *build, const tks_outline *profile, double angle)
{
    for (size_t i = 0; i < profile->count; i++) {
        const tks_segment *s = &profile->segments[i];
        if (s->label == TKS_JOINT || geometry_on_axis(s)) continue;
        tks_patch *p = geometry_patch(build, TKS_PATCH_REVOLVED, s->label, s->cavity);
        if (!p) return;
        p->segment = *s;
        p->travel = angle;
        p->area = angle * geometry_segment_mean(s).x * tks_segment_length(s);
    }
}

/* The flat faces of a part turn: the half-plane at the start and, turned by angle, at the end. */
static void add_ends(geometry_build *build, const tks_outline *profile, double angle, double area,
                     tks_label label)
{
    tks_frame f = frame_identity();
    for (int end = 0; end < 2; end++) {
        double c = end ? cos(angle) : 1, s = end ? sin(angle) : 0;
        f.x = vec3(c, s, 0);
        f.y = vec3(0, 0, 1);
        f.z = vec3(s, -c, 0);
        geometry_plane(build, &f, profile, 1, end == 1, area, label, -1);
    }
}

tks_status tks_body_revolve(tks_body *body, const tks_frame *frame, const tks_outline *profile,
                            double angle, tks_label ends, tks_error *err)
{
    if (!geometry_frame_ok(frame)) return geometry_bad_frame(err);
    if (!(angle > 0 && angle <= full_turn * (1 + 1e-15)))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "a turn of %g deg; it should be above 0 and not above 360 deg",
                        angle * 180 / M_PI);
    tks_status status = geometry_outline_check(profile, false, "the profile", err);
    if (status) return status;
    tks_outline *copy = geometry_outlines_copy(body->arena, profile, 1);
    if (!copy) return geometry_no_memory(err);
    if (!settle_on_axis(copy))
        return tks_fail(err, TKS_EGEOMETRY, tks_nowhere(),
                        "the profile crosses the axis; its radii should be 0 or more");
    geometry_build build = geometry_start(body, GEOMETRY_REVOLVE, frame, copy->count + 2);
    build.solid.outlines = copy;
    build.solid.outline_count = 1;
    build.solid.travel = angle;
    double moment, area = geometry_outline_moment(copy, &moment);
    add_sides(&build, copy, angle);
    if (angle < full_turn) add_ends(&build, copy, angle, area, ends);
    return geometry_finish(&build, angle * moment, err);
}
