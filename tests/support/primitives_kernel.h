/* The kernel's solid of a placed primitive. */
#ifndef SUPPORT_PRIMITIVES_KERNEL_H
#define SUPPORT_PRIMITIVES_KERNEL_H

#include "support/kernel.h"
#include "support/primitives.h"

#include "base/vec.h"

static kernel_solid *kernel_rod(tks_arena *arena, const primitive *p)
{
    tks_path path;
    tks_segment round = {.from = {p->a, 0}, .to = {p->a, 0}, .turn = 2 * M_PI};
    tks_outline outline = {&round, 1, 0};
    primitive_path(arena, p, &path);
    return kernel_sweep(&path, &outline, 1);
}

static kernel_solid *kernel_tube(const primitive *p)
{
    tks_frame bore = p->frame;
    bore.origin = vec3_step(bore.origin, -p->a, bore.z);
    return kernel_cut(kernel_cylinder(&p->frame, p->a, p->b),
                      kernel_cylinder(&bore, p->c, p->b + 2 * p->a));
}

static kernel_solid *primitive_kernel(tks_arena *arena, const primitive *p)
{
    tks_outline o[2];
    switch (p->kind) {
    case A_BOX: return kernel_box(&p->frame, p->a, p->b, p->c);
    case A_CYLINDER: return kernel_cylinder(&p->frame, p->a, p->b);
    case A_TUBE: return kernel_tube(p);
    case A_CONE: return kernel_cone(&p->frame, p->a, p->b, p->c);
    case A_SPHERE: return kernel_sphere(&p->frame, p->a);
    case A_RING: return kernel_torus(&p->frame, p->a, p->b);
    case A_ROD: return kernel_rod(arena, p);
    case A_PLATE: primitive_outlines(arena, p, o); return kernel_prism(&p->frame, o, 2, p->c);
    }
    return NULL;
}

#endif
