/* Whether the threads of the planned parts still go together. */
#include "plating/plan.h"
#include "tankside/thread_fit.h"
#include "tankside/thread_size.h"

#include <math.h>
#include <stdio.h>

/* Most that the open faces of a part get in any run; 0 when it is in none. */
static double thickest(const tks_plan *plan, const tks_part *part)
{
    double most = 0;
    for (size_t i = 0; i < plan->run_count; i++)
        for (size_t k = 0; k < plan->runs[i].entry_count; k++)
            if (plan->runs[i].entries[k].part == part)
                most = fmax(most, plan->runs[i].entries[k].thickness_open);
    return most;
}

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

/* Whether a thread's mate is plated in the same load. */
static bool mate_is_plated(const tks_plan *plan, const tks_thread *thread)
{
    for (const tks_part *p = plan->load->first; p; p = p->next)
        for (size_t i = 0; i < p->item.thread_count; i++) {
            const tks_thread *t = &p->item.threads[i];
            if (t->internal != thread->internal && t->form == thread->form &&
                t->diameter == thread->diameter && t->pitch == thread->pitch)
                return true;
        }
    return false;
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
                                 const tks_thread *thread, double open, tks_cautions *cautions,
                                 tks_error *err)
{
    bool both = mate_is_plated(plan, thread);
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

tks_status plan_thread_cautions(const tks_plan *plan, tks_cautions *cautions, tks_error *err)
{
    tks_status status = TKS_OK;
    for (const tks_part *p = plan->load->first; p && !status; p = p->next) {
        double open = p->item.thread_count ? thickest(plan, p) : 0;
        for (size_t i = 0; i < p->item.thread_count && !status && open > 0; i++)
            status = warn_of_thread(plan, p, &p->item.threads[i], open, cautions, err);
    }
    return status;
}
