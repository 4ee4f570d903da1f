#include "plating/plan.h"

#include <string.h>

static bool is_given(const char *text)
{
    return text && text[0];
}

tks_status plan_embrittlement(const tks_part *part, tks_steel *steel, tks_embrittlement *advice,
                              bool *known, tks_error *err)
{
    const char *given = is_given(part->hardness) ? part->hardness : part->grade;
    const char *text = is_given(given) ? given : part->material;
    *known = false;
    if (!is_given(text)) return TKS_OK;
    tks_status status = tks_steel_find(text, strlen(text), part->steel, steel, err);
    if (status) return is_given(given) ? status : TKS_OK;
    *known = true;
    return tks_embrittlement_advise(steel, part->item.section, advice, err);
}
