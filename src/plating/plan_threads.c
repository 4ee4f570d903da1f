/* Whether the threads of the planned parts still go together. */
#include "plating/plan.h"
#include "tankside/thread_fit.h"
#include "tankside/thread_size.h"

#include <math.h>
#include <stdio.h>

/* What the root of a thread gets, over open faces. */
static double root_share(const tks_plan *plan, const tks_item *item, double pitch)
{
    for (size_t i = 0; i < item->surface_count; i++) {
        const tks_surface *s = &item->surfaces[i];
        tks_share share;
        if (s->label != TKS_THREAD || fabs(s->pitch - pitch) > 1e-9) continue;
        if (tks_share_of(item, s, &plan->tank->bath, plan->density, &share, NULL) == TKS_OK)
            return share.least.usual;
    }
    return 1;
}

/* The threads of a load, each once however many parts have it. */
typedef struct thread_list {
    const tks_thread **threads;
    size_t count;
} thread_list;

static bool is_listed(const thread_list *list, const tks_thread *thread, bool internal)
{
    for (size_t i = 0; i < list->count; i++) {
        const tks_thread *t = list->threads[i];
        if (t->internal == internal && t->form == thread->form && t->diameter == thread->diameter &&
            t->pitch == thread->pitch)
            return true;
    }
    return false;
}

static tks_status list_threads(tks_arena *arena, const tks_load *load, thread_list *list)
{
    size_t most = 0;
    for (const tks_part *p = load->first; p; p = p->next) most += p->item.thread_count;
    list->threads = tks_arena_take(arena, most, sizeof *list->threads);
    if (!list->threads) return TKS_EMEMORY;
    for (const tks_part *p = load->first; p; p = p->next)
        for (size_t i = 0; i < p->item.thread_count; i++) {
            const tks_thread *thread = &p->item.threads[i];
            if (!is_listed(list, thread, thread->internal)) list->threads[list->count++] = thread;
        }
    return TKS_OK;
}

static void name_thread(const tks_thread *thread, char *name, size_t size)
{
    const tks_thread_size *standard = tks_thread_size_of(thread);
    if (standard)
        snprintf(name, size, "%s", standard->name);
    else
        snprintf(name, size, "a %.3g mm thread", thread->diameter * 1e3);
}

/* A nut speaks for itself only when no bolt of the load speaks for both. From root to crest the
 * deposit goes from the root's share to what open faces get, which on long bolts is more at the
 * ends. */
static tks_status warn_of_thread(const tks_plan *plan, const tks_part *part,
                                 const tks_thread *thread, bool both, double open,
                                 tks_cautions *cautions, tks_error *err)
{
    tks_thread_fit fit;
    if (thread->internal && both) return TKS_OK;
    tks_status status = tks_thread_fit_of(thread, NULL, NULL, &fit, err);
    if (status) return status;
    const double *size = part->item.size;
    double longest = fmax(size[0], fmax(size[1], size[2]));
    double high = open * tks_thread_unevenness(longest, thread->diameter);
    double low = open * root_share(plan, &part->item, thread->pitch);
    char name[32];
    name_thread(thread, name, sizeof name);
    return tks_thread_fit_cautions(&fit, name, low, high, both ? 1 : 0, part->item.name, cautions)
               ? tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory")
               : TKS_OK;
}

tks_status plan_thread_cautions(tks_arena *arena, const tks_plan *plan, const double *thickest,
                                tks_cautions *cautions, tks_error *err)
{
    thread_list list = {0};
    if (list_threads(arena, plan->load, &list))
        return tks_fail(err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    tks_status status = TKS_OK;
    for (const tks_part *p = plan->load->first; p && !status; p = p->next) {
        double open = *thickest++;
        for (size_t i = 0; i < p->item.thread_count && !status && open > 0; i++) {
            const tks_thread *thread = &p->item.threads[i];
            bool both = is_listed(&list, thread, !thread->internal);
            status = warn_of_thread(plan, p, thread, both, open, cautions, err);
        }
    }
    return status;
}
