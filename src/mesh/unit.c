#include "mesh/unit.h"

#include <math.h>

static const struct {
    double metres;
    const char *name;
} names[] = {
    {1e-3, "mm"}, {0.0254, "in"}, {1, "m"}, {1e-2, "cm"}, {0.3048, "ft"}, {1e-6, "um"},
};

static const char *name_of(double metres)
{
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (fabs(metres - names[i].metres) <= 1e-9 * metres) return names[i].name;
    return "";
}

tks_mesh_unit mesh_unit_choose(double given, double own, double longest)
{
    if (given > 0) return (tks_mesh_unit){given, name_of(given), TKS_UNIT_GIVEN, 0, ""};
    if (own > 0) return (tks_mesh_unit){own, name_of(own), TKS_UNIT_OWN, 0, ""};
    int guess = longest >= 5 ? 0 : longest >= 0.2 ? 1 : 2;
    int other = guess == 1 ? 0 : 1;
    return (tks_mesh_unit){names[guess].metres, names[guess].name, TKS_UNIT_GUESSED,
                           names[other].metres, names[other].name};
}
