#include "part/sum.h"

#include <math.h>
#include <string.h>

static void *grow(tks_arena *arena, const void *old, size_t count, size_t *room, size_t size)
{
    size_t wanted = *room ? 2 * *room : 8;
    void *block = tks_arena_take(arena, wanted, size);
    if (!block) return NULL;
    if (count) memcpy(block, old, count * size);
    *room = wanted;
    return block;
}

static bool same_cavity(const tks_cavity *a, const tks_cavity *b)
{
    return a->kind == b->kind && a->width == b->width && a->length == b->length &&
           a->mouths == b->mouths;
}

/* Index of the cavity among those of the part, added when new; -2 when memory is short. */
static int find_cavity(part_sum *sum, const tks_cavity *cavity)
{
    if (!cavity) return -1;
    for (size_t i = 0; i < sum->cavity_count; i++)
        if (same_cavity(&sum->cavities[i], cavity)) return (int)i;
    if (sum->cavity_count == sum->cavity_room) {
        tks_cavity *grown =
            grow(sum->arena, sum->cavities, sum->cavity_count, &sum->cavity_room, sizeof *grown);
        if (!grown) return -2;
        sum->cavities = grown;
    }
    sum->cavities[sum->cavity_count] = *cavity;
    return (int)sum->cavity_count++;
}

tks_status part_sum_add(part_sum *sum, tks_label label, double area, const tks_cavity *cavity,
                        double pitch, tks_error *err)
{
    int index = find_cavity(sum, cavity);
    if (index == -2) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    for (size_t i = 0; i < sum->surface_count; i++) {
        tks_surface *s = &sum->surfaces[i];
        if (s->label != label || s->cavity != index || s->pitch != pitch) continue;
        s->area += area;
        return TKS_OK;
    }
    if (sum->surface_count == sum->surface_room) {
        tks_surface *grown =
            grow(sum->arena, sum->surfaces, sum->surface_count, &sum->surface_room, sizeof *grown);
        if (!grown) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
        sum->surfaces = grown;
    }
    sum->surfaces[sum->surface_count++] = (tks_surface){label, area, index, pitch};
    return TKS_OK;
}

double part_patch_pitch(const tks_patch *patch)
{
    static const double turn = 6.283185307179586476925286766559;
    bool thread = patch->label == TKS_THREAD && patch->kind == TKS_PATCH_HELICOID;
    return thread ? fabs(patch->advance) * turn : 0;
}

tks_status part_sum_body(part_sum *sum, const tks_body *body, double times, unsigned masked,
                         tks_error *err)
{
    for (size_t i = 0; i < body->patch_count; i++) {
        const tks_patch *p = &body->patches[i];
        bool hidden = masked >> p->label & 1;
        const tks_cavity *cavity = p->cavity >= 0 && !hidden ? &body->cavities[p->cavity] : NULL;
        double pitch = hidden ? 0 : part_patch_pitch(p);
        tks_status status =
            part_sum_add(sum, hidden ? TKS_MASKED : p->label, times * p->area, cavity, pitch, err);
        if (status) return status;
    }
    return TKS_OK;
}

static bool same_thread(const tks_thread *a, const tks_thread *b)
{
    return a->form == b->form && a->diameter == b->diameter && a->pitch == b->pitch &&
           a->internal == b->internal && a->left == b->left;
}

static tks_status note_thread(part_sum *sum, const tks_thread *thread, tks_error *err)
{
    for (size_t i = 0; i < sum->thread_count; i++)
        if (same_thread(&sum->threads[i], thread)) return TKS_OK;
    if (sum->thread_count == sum->thread_room) {
        tks_thread *grown =
            grow(sum->arena, sum->threads, sum->thread_count, &sum->thread_room, sizeof *grown);
        if (!grown) return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
        sum->threads = grown;
    }
    sum->threads[sum->thread_count++] = *thread;
    return TKS_OK;
}

tks_status part_sum_thread(part_sum *sum, const tks_patch *patch, bool hole, tks_error *err)
{
    tks_thread thread;
    if (patch->label != TKS_THREAD || !tks_patch_thread(patch, &thread)) return TKS_OK;
    thread.internal = thread.internal || hole;
    return note_thread(sum, &thread, err);
}

tks_status part_sum_threads(part_sum *sum, const tks_body *body, unsigned masked, tks_error *err)
{
    tks_status status = TKS_OK;
    if (masked >> TKS_THREAD & 1) return TKS_OK;
    for (size_t i = 0; i < body->patch_count && !status; i++)
        status = part_sum_thread(sum, &body->patches[i], false, err);
    return status;
}

bool part_sum_take(part_sum *sum, double area)
{
    static const tks_label order[] = {TKS_OUTSIDE, TKS_END, TKS_HOLE, TKS_INSIDE, TKS_THREAD};
    enum { LABELS = sizeof order / sizeof order[0] };
    double there = 0;
    for (size_t k = 0; k < LABELS; k++) there += part_sum_label(sum, order[k]);
    if (!(area <= there)) return false;
    for (size_t k = 0; k < LABELS; k++)
        for (size_t i = 0; i < sum->surface_count && area > 0; i++) {
            tks_surface *s = &sum->surfaces[i];
            if (s->label != order[k]) continue;
            double taken = fmin(s->area, area);
            s->area -= taken;
            area -= taken;
        }
    return true;
}

double part_sum_label(const part_sum *sum, tks_label label)
{
    double area = 0;
    for (size_t i = 0; i < sum->surface_count; i++)
        if (sum->surfaces[i].label == label) area += sum->surfaces[i].area;
    return area;
}
