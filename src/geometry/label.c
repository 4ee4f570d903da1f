#include "tankside/geometry.h"

#include "base/names.h"

static const char *const names[] = {
#define LABEL_NAME(code, name) name,
    TKS_LABEL_LIST(LABEL_NAME)
#undef LABEL_NAME
};

const char *tks_label_name(tks_label label)
{
    return (unsigned)label < TKS_LABEL_COUNT ? names[label] : "unknown";
}

tks_label tks_label_find(const char *name, size_t length)
{
    int i = 0;
    while (i < TKS_LABEL_COUNT && !base_name_is(name, length, names[i])) i++;
    return (tks_label)i;
}

bool tks_label_wetted(tks_label label)
{
    return (unsigned)label < TKS_MASKED;
}
