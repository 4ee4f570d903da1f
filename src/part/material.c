#include "part/reading.h"

#include "base/names.h"

#include <ctype.h>
#include <string.h>

/* Densities at room temperature [kg/m^3]: usual handbook values, from memory; steels vary by about
 * 1 %, cast irons by 4 %. */
static const struct {
    const char *name;
    double density;
} materials[] = {
    {"steel", 7850},          {"mild steel", 7850},   {"carbon steel", 7850},
    {"spring steel", 7850},   {"tool steel", 7850},   {"cast iron", 7200},
    {"malleable iron", 7350}, {"wrought iron", 7700}, {"stainless steel", 7930},
    {"brass", 8500},          {"copper", 8960},       {"bronze", 8800},
};

double tks_material_density(const char *name, size_t length)
{
    for (size_t i = 0; i < sizeof materials / sizeof materials[0]; i++)
        if (base_name_is(name, length, materials[i].name)) return materials[i].density;
    return 0;
}

/* Figures, of a class, hardness or strength, are those of a steel: 8.8, 40 HRC. */
double part_density(const tks_part *part)
{
    bool told = part->material[0] && !isdigit((unsigned char)part->material[0]);
    const char *name = told ? part->material : "steel";
    return tks_material_density(name, strlen(name));
}
