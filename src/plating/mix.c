#include "tankside/mix.h"

#include <math.h>
#include <string.h>

static void scale_amounts(const tks_recipe *recipe, double volume, tks_amount *amounts)
{
    for (size_t i = 0; i < recipe->ingredient_count; i++) {
        const tks_ingredient *n = &recipe->ingredients[i];
        amounts[i] = (tks_amount){n, n->low * volume, n->usual * volume, n->high * volume};
    }
}

/* A pickle's acid is told by what the balance of masses gives, not by half the volume. */
static tks_status let_down(const tks_recipe *recipe, double stock, tks_mix *mix, tks_error *err)
{
    const tks_acid *acid;
    tks_status status =
        tks_acid_find(recipe->acid, strlen(recipe->acid), tks_nowhere(), &acid, err);
    if (!status)
        status = tks_dilute_parts(acid, stock > 0 ? stock : acid->stock, 1, 1, mix->volume,
                                  &mix->dilution, err);
    if (!status) mix->amounts[0].usual = mix->dilution.stock_volume;
    if (!status) mix->amounts[0].high = mix->dilution.stock_volume;
    return status;
}

tks_status tks_mix_make(const tks_recipe *recipe, double volume, double stock, tks_mix *mix,
                        tks_error *err)
{
    if (!(volume > 0 && isfinite(volume)) || !(stock >= 0 && stock <= 1))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "%g L of acid of %g %% cannot be mixed; the volume must be above zero",
                        volume * 1e3, stock * 100);
    tks_mix m = {.recipe = recipe, .volume = volume};
    scale_amounts(recipe, volume, m.amounts);
    tks_status status = recipe->acid ? let_down(recipe, stock, &m, err) : TKS_OK;
    if (!status) *mix = m;
    return status;
}

tks_status tks_mix_cautions(const tks_recipe *recipe, tks_cautions *cautions)
{
    for (size_t s = 0; s < recipe->step_count; s++)
        for (int i = 0; i < TKS_STEP_WARNINGS; i++) {
            const tks_warning *w = recipe->steps[s].warnings[i];
            if (!w) break;
            tks_status status =
                tks_caution_add(cautions, w->severity, w->code, recipe->name, "%s", w->text);
            if (status) return status;
        }
    return TKS_OK;
}

tks_status tks_upkeep_of(const tks_recipe *recipe, const tks_bath *bath, double area, double charge,
                         double drag_out, tks_upkeep *upkeep, tks_error *err)
{
    double given[] = {area, charge, drag_out};
    for (int i = 0; i < 3; i++)
        if (!(given[i] >= 0 && isfinite(given[i])))
            return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                            "area, charge and drag-out must not be negative");
    tks_status status = tks_bath_check(bath, err);
    if (status) return status;
    tks_upkeep u = {.lost = area * drag_out};
    scale_amounts(recipe, u.lost, u.amounts);
    u.metal_gain = tks_faraday_mass(bath->metal, 1 - bath->efficiency.usual, charge);
    *upkeep = u;
    return TKS_OK;
}

/* g/mol: CrO3 99.99, Na2S2O5 190.11, Cr 51.996, Na2Cr2O7.2H2O 298.00 (IUPAC weights, by hand). */
double tks_metabisulphite_for(double chromium)
{
    return chromium / 51.996 * 3 / 4 * 190.11;
}

double tks_chromium_in_dichromate(double dichromate)
{
    return dichromate / 298.00 * 2 * 51.996;
}
