#include "tankside/effective.h"

#include "base/sum.h"

#include <math.h>
#include <stdio.h>

/* Share at the deepest place under which an inside counts as bare. */
#define USEFUL 0.2

/* A bore that had to be this many times as wide is another part. */
#define WIDER_AT_MOST 4

/* The part that one cavity takes off a share, at the three states of the bath. */
static tks_status pass_through(const tks_cavity *cavity, const tks_bath *bath,
                               const tks_figure *slope, tks_share *share, tks_error *err)
{
    const tks_figure *kappa = &bath->conductivity;
    tks_reach low, usual, high;
    tks_status status = tks_reach_of(cavity, kappa->low, slope->low, &low, err);
    if (!status) status = tks_reach_of(cavity, kappa->usual, slope->usual, &usual, err);
    if (!status) status = tks_reach_of(cavity, kappa->high, slope->high, &high, err);
    if (status) return status;
    tks_spread *mean = &share->mean, *least = &share->least;
    *mean = (tks_spread){mean->low * low.mean, mean->usual * usual.mean, mean->high * high.mean};
    *least =
        (tks_spread){least->low * low.least, least->usual * usual.least, least->high * high.least};
    return TKS_OK;
}

static tks_status check_surface(const tks_item *item, const tks_surface *surface, tks_error *err)
{
    bool cavity = surface->cavity < (int)item->cavity_count;
    bool area = surface->area >= 0 && isfinite(surface->area);
    bool pitch = surface->pitch >= 0 && isfinite(surface->pitch);
    if (cavity && area && pitch) return TKS_OK;
    return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                    "%s: a surface of %g m^2 with pitch %g m and cavity %d of %zu cannot be",
                    item->name, surface->area, surface->pitch, surface->cavity, item->cavity_count);
}

tks_status tks_share_of(const tks_item *item, const tks_surface *surface, const tks_bath *bath,
                        double density, tks_share *share, tks_error *err)
{
    tks_share s = {{1, 1, 1}, {1, 1, 1}};
    tks_figure slope = tks_bath_slope(bath, density);
    tks_status status = check_surface(item, surface, err);
    if (!tks_label_wetted(surface->label)) {
        s = (tks_share){0};
    } else {
        if (!status && surface->cavity >= 0)
            status = pass_through(&item->cavities[surface->cavity], bath, &slope, &s, err);
        tks_cavity groove = tks_thread_groove(surface->pitch);
        if (!status && surface->pitch > 0) status = pass_through(&groove, bath, &slope, &s, err);
    }
    if (!status) *share = s;
    return status;
}

static void keep_least(tks_spread *least, const tks_spread *share)
{
    if (share->usual < least->usual) *least = *share;
}

tks_status tks_reckon(const tks_item *item, const tks_bath *bath, double density,
                      unsigned significant, tks_reckoning *reckoning, tks_error *err)
{
    base_sum area = {0}, low = {0}, usual = {0}, high = {0};
    double thinnest = 1, barest = 1;
    tks_spread inside = {1, 1, 1}, root = {1, 1, 1};
    for (size_t i = 0; i < item->surface_count; i++) {
        const tks_surface *s = &item->surfaces[i];
        tks_share share;
        tks_status status = tks_share_of(item, s, bath, density, &share, err);
        if (status) return status;
        if (!tks_label_wetted(s->label) || s->area == 0) continue;
        base_sum_add(&area, s->area);
        base_sum_add(&low, s->area * share.mean.low);
        base_sum_add(&usual, s->area * share.mean.usual);
        base_sum_add(&high, s->area * share.mean.high);
        barest = fmin(barest, share.least.usual);
        if (significant & 1U << s->label) thinnest = fmin(thinnest, share.least.usual);
        keep_least(s->cavity >= 0 ? &inside : &root, &share.least);
    }
    tks_spread effective = {base_sum_total(&low), base_sum_total(&usual), base_sum_total(&high)};
    *reckoning = (tks_reckoning){base_sum_total(&area), effective, thinnest, barest, inside, root};
    return TKS_OK;
}

static tks_status caution_for(const tks_item *item, const tks_cavity *cavity, const tks_bath *bath,
                              double density, tks_cautions *cautions, tks_error *err)
{
    double kappa = bath->conductivity.usual, slope = tks_bath_slope(bath, density).usual;
    tks_reach reach;
    double width;
    tks_status status = tks_reach_of(cavity, kappa, slope, &reach, err);
    if (status || reach.least >= USEFUL) return status;
    status = tks_reach_width(cavity, kappa, slope, USEFUL, &width, err);
    if (status) return status;
    bool bore = cavity->kind == TKS_BORE;
    double across = bore ? 2e3 : 1e3, reached = tks_reach_distance(&reach, USEFUL);
    char wider[80] = "";
    /* A width that is out of all proportion helps nobody. */
    if (width < WIDER_AT_MOST * cavity->width)
        snprintf(wider, sizeof wider, "; at this length it would have to be %.3g mm wide",
                 across * width);
    status = tks_caution_add(
        cautions, TKS_SPOIL, "inside-bare", item->name,
        "The %s %.3g mm wide gets next to nothing deeper than %.3g mm from its mouth (under a "
        "fifth of the open faces)%s. An inner anode wire helps, or accept a bare inside and oil "
        "it.",
        bore ? "bore" : "gap", across * cavity->width, 1e3 * reached, wider);
    return status ? tks_fail(err, status, tks_nowhere(), "out of memory") : TKS_OK;
}

static bool wets_cavity(const tks_item *item, size_t cavity)
{
    for (size_t i = 0; i < item->surface_count; i++) {
        const tks_surface *s = &item->surfaces[i];
        if (s->cavity == (int)cavity && s->area > 0 && tks_label_wetted(s->label)) return true;
    }
    return false;
}

tks_status tks_inside_cautions(const tks_item *item, const tks_bath *bath, double density,
                               tks_cautions *cautions, tks_error *err)
{
    for (size_t i = 0; i < item->cavity_count; i++) {
        if (!wets_cavity(item, i)) continue;
        tks_status status = caution_for(item, &item->cavities[i], bath, density, cautions, err);
        if (status) return status;
    }
    return TKS_OK;
}
