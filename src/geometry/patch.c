#include "geometry/path.h"
#include "geometry/segment.h"
#include "geometry/trim.h"

#include "base/vec.h"

#include <math.h>

/* In the patch's frame: the outward normal lies to the right of the way a segment runs. */

static void prism_at(const tks_patch *p, double u, double v, tks_vec3 *point, tks_vec3 *normal)
{
    tks_vec2 at = geometry_segment_point(&p->segment, v);
    tks_vec2 t = geometry_segment_tangent(&p->segment, v);
    *point = vec3(at.x, at.y, u * p->travel);
    *normal = vec3(t.y, -t.x, 0);
}

static void revolved_at(const tks_patch *p, double u, double v, tks_vec3 *point, tks_vec3 *normal)
{
    tks_vec2 at = geometry_segment_point(&p->segment, v);
    tks_vec2 t = geometry_segment_tangent(&p->segment, v);
    double angle = u * p->travel, c = cos(angle), s = sin(angle);
    *point = vec3(at.x * c, at.x * s, at.y);
    *normal = vec3(t.y * c, t.y * s, -t.x);
}

static void coil_at(const tks_patch *p, double u, double v, tks_vec3 *point, tks_vec3 *normal)
{
    tks_frame start = frame_identity();
    tks_stretch s = geometry_patch_coil(p, &start);
    tks_frame axis = geometry_coil_axis(&s);
    tks_frame f = geometry_coil_frame(&s, &axis, u * p->travel);
    tks_vec2 at = geometry_segment_point(&p->segment, v);
    tks_vec2 t = geometry_segment_tangent(&p->segment, v);
    *point = frame_point(&f, vec3(at.x, at.y, 0));
    *normal = frame_direction(&f, vec3(t.y, -t.x, 0));
}

void tks_patch_at(const tks_patch *patch, double u, double v, tks_vec3 *point, tks_vec3 *normal)
{
    tks_vec3 p = vec3(0, 0, 0), n = vec3(0, 0, patch->reversed ? -1 : 1);
    switch (patch->kind) {
    case TKS_PATCH_PLANE: break;
    case TKS_PATCH_PRISM: prism_at(patch, u, v, &p, &n); break;
    case TKS_PATCH_REVOLVED: revolved_at(patch, u, v, &p, &n); break;
    case TKS_PATCH_HELICOID:
    case TKS_PATCH_TRIMMED: trim_at(patch, u, v, &p, &n); break;
    case TKS_PATCH_COIL: coil_at(patch, u, v, &p, &n); break;
    }
    *point = frame_point(&patch->frame, p);
    if (normal) *normal = frame_direction(&patch->frame, n);
}
