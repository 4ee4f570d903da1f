/* Patches that are the walls of round plugs. */
#include "geometry/trim.h"

#include "base/vec.h"

#include <math.h>

/* Whether an angle is a whole turn, anticlockwise. */
static bool whole(double angle)
{
    return angle >= 2 * M_PI * (1 - 1e-12);
}

/* Moves the plug to where its lower end is, in the patch's own coordinates. */
static bool stand(const tks_patch *patch, double x, double y, double z, tks_plug *plug)
{
    plug->frame = patch->frame;
    plug->frame.origin = frame_point(&patch->frame, vec3(x, y, z));
    return true;
}

/* A circle moved along z. */
static bool prism_plug(const tks_patch *patch, tks_plug *plug)
{
    const tks_segment *s = &patch->segment;
    double r = vec2_distance(s->from, s->centre);
    if (!whole(s->turn)) return false;
    *plug = (tks_plug){.length = patch->travel, .radius = {r, r}, .mean = r};
    return stand(patch, s->centre.x, s->centre.y, 0, plug);
}

/* A straight line turned about z; it runs upwards where the solid is towards the axis. A cone of 90
 * degrees or more is no wall, but a countersink or the tip of a drill. */
static bool turned_plug(const tks_patch *patch, tks_plug *plug)
{
    const tks_segment *s = &patch->segment;
    double length = s->to.y - s->from.y;
    bool steep = length > fabs(s->to.x - s->from.x) * (1 + 1e-9);
    if (s->turn != 0 || !whole(patch->travel) || !steep) return false;
    *plug = (tks_plug){
        .length = length, .radius = {s->from.x, s->to.x}, .mean = (s->from.x + s->to.x) / 2};
    return stand(patch, 0, 0, s->from.y, plug);
}

static bool thread_plug(const tks_patch *patch, tks_plug *plug)
{
    const tks_trim *t = patch->trim;
    const tks_thread_profile *p = &t->thread->profile;
    *plug =
        (tks_plug){.length = t->to - t->from, .radius = {p->outer, p->outer}, .mean = p->effective};
    return stand(patch, 0, 0, t->from, plug);
}

bool tks_patch_plug(const tks_patch *patch, tks_plug *plug)
{
    switch (patch->kind) {
    case TKS_PATCH_PRISM: return prism_plug(patch, plug);
    case TKS_PATCH_REVOLVED: return turned_plug(patch, plug);
    case TKS_PATCH_HELICOID: return thread_plug(patch, plug);
    case TKS_PATCH_PLANE:
    case TKS_PATCH_COIL:
    case TKS_PATCH_TRIMMED: break;
    }
    return false;
}
