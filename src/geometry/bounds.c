#include "geometry/outline.h"
#include "geometry/path.h"

#include "base/vec.h"
#include "geometry/solid.h"
#include "geometry/trim.h"

#include <float.h>
#include <math.h>

typedef struct box3 {
    tks_vec3 low, high;
} box3;

static const box3 nothing = {{DBL_MAX, DBL_MAX, DBL_MAX}, {-DBL_MAX, -DBL_MAX, -DBL_MAX}};

static void include(box3 *b, tks_vec3 p)
{
    b->low = vec3(fmin(b->low.x, p.x), fmin(b->low.y, p.y), fmin(b->low.z, p.z));
    b->high = vec3(fmax(b->high.x, p.x), fmax(b->high.y, p.y), fmax(b->high.z, p.z));
}

static box3 plane_box(const tks_patch *p)
{
    geometry_box b = geometry_outline_box(&p->outlines[0]);
    return (box3){{b.low.x, b.low.y, 0}, {b.high.x, b.high.y, 0}};
}

static box3 prism_box(const tks_patch *p)
{
    geometry_box b = geometry_segment_box(&p->segment);
    return (box3){{b.low.x, b.low.y, fmin(0, p->travel)}, {b.high.x, b.high.y, fmax(0, p->travel)}};
}

/* Radii from b.low.x to b.high.x over the angles turned: extremes are at the ends and wherever an
 * axis is crossed. */
static box3 revolved_box(const tks_patch *p)
{
    geometry_box b = geometry_segment_box(&p->segment);
    double low = b.low.y, high = b.high.y;
    box3 box = nothing;
    for (int i = 0; i < 6; i++) {
        double angle = i == 0 ? 0 : i == 5 ? p->travel : i * M_PI / 2;
        if (angle > p->travel) continue;
        include(&box, vec3(b.low.x * cos(angle), b.low.x * sin(angle), low));
        include(&box, vec3(b.high.x * cos(angle), b.high.x * sin(angle), high));
    }
    return box;
}

/* Turns the box of a coil, which is about its axis, into one about the patch's frame. */
static box3 coil_box(const tks_patch *p, tks_frame *frame)
{
    tks_stretch s = geometry_patch_coil(p, &p->frame);
    *frame = geometry_coil_axis(&s);
    geometry_box b = geometry_segment_box(&p->segment);
    double wire = fmax(fmax(-b.low.x, b.high.x), fmax(-b.low.y, b.high.y));
    double r = p->radius + wire, end = geometry_coil_height(&s, p->travel);
    return (box3){{-r, -r, fmin(0, end) - wire}, {r, r, fmax(0, end) + wire}};
}

static box3 trimmed_box(const tks_patch *p)
{
    box3 box;
    trim_box(p, &box.low, &box.high);
    return box;
}

static void include_patch(box3 *whole, const tks_patch *p)
{
    tks_frame frame = p->frame;
    box3 b = p->kind == TKS_PATCH_PLANE   ? plane_box(p)
             : p->kind == TKS_PATCH_PRISM ? prism_box(p)
             : p->kind == TKS_PATCH_COIL  ? coil_box(p, &frame)
             : p->trim                    ? trimmed_box(p)
                                          : revolved_box(p);
    for (int i = 0; i < 8; i++)
        include(whole,
                frame_point(&frame, vec3(i & 1 ? b.high.x : b.low.x, i & 2 ? b.high.y : b.low.y,
                                         i & 4 ? b.high.z : b.low.z)));
}

/* Cuts only take away. */
void tks_body_bounds(const tks_body *body, tks_vec3 *low, tks_vec3 *high)
{
    box3 b = nothing;
    for (size_t i = 0; i < body->patch_count; i++)
        if (!body->solids[body->patches[i].solid].cut) include_patch(&b, &body->patches[i]);
    if (b.low.x > b.high.x) b.low = b.high = vec3(0, 0, 0);
    *low = b.low;
    *high = b.high;
}
