/* Rules for hydrogen embrittlement, by hardness, strength and section. */
#include "tankside/embrittlement.h"

#include "base/names.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define MPA 1e6
#define KSI 6.894757293168e6

/* ------------------------------------------------------------------ steels */

static const char iso_898[] = "ISO 898-1, from memory";
static const char iso_898_5[] = "ISO 898-5, from memory";
static const char sae_j429[] = "SAE J429, from memory";
static const char bs_1083[] = "BS 1083, from memory";
static const char practice[] = "common practice, no source";

/* Greatest hardness that the standard allows, and the strength that goes with it. */
static const tks_steel steels[] = {
    {"4.6", 400e6, 220, true, false, iso_898},
    {"4.8", 420e6, 220, true, false, iso_898},
    {"5.6", 500e6, 220, true, false, iso_898},
    {"5.8", 520e6, 220, true, false, iso_898},
    {"6.8", 600e6, 250, true, false, iso_898},
    {"8.8", 1045e6, 335, true, false, iso_898},
    {"9.8", 1155e6, 360, true, false, iso_898},
    {"10.9", 1220e6, 380, true, false, iso_898},
    {"12.9", 1400e6, 435, true, false, iso_898},
    {"14H", 950e6, 290, true, true, iso_898_5},
    {"22H", 965e6, 300, true, true, iso_898_5},
    {"33H", 1420e6, 440, true, true, iso_898_5},
    {"45H", 1845e6, 560, true, true, iso_898_5},
    {"SAE 1", 420e6, 240, true, false, sae_j429},
    {"SAE 2", 510e6, 240, true, false, sae_j429},
    {"SAE 5", 1080e6, 336, true, false, sae_j429},
    {"SAE 8", 1225e6, 382, true, false, sae_j429},
    {"grade R", 850e6, 265, true, false, bs_1083},
    {"grade S", 930e6, 290, true, false, bs_1083},
    {"grade T", 1000e6, 310, true, false, bs_1083},
    {"grade V", 1160e6, 360, true, false, bs_1083},
    {"mild steel", 550e6, 170, false, false, practice},
    {"wrought iron", 400e6, 130, false, false, practice},
    {"cast iron", 400e6, 260, false, false, practice},
    {"malleable iron", 450e6, 200, false, false, practice},
    {"silver steel", 2000e6, 700, false, false, practice},
    {"spring steel", 1800e6, 550, false, false, practice},
    {"spring washer", 1750e6, 530, false, false, practice},
    {"music wire", 2400e6, 700, false, false, practice},
    {"hardened steel", 2200e6, 700, false, false, practice},
    {"tool steel", 2200e6, 700, false, false, practice},
};

enum { STEELS = sizeof steels / sizeof *steels };

const tks_steel *tks_steel_at(size_t i)
{
    return i < STEELS ? &steels[i] : NULL;
}

tks_steel tks_steel_of_strength(double strength)
{
    return (tks_steel){.strength = strength};
}

/* Unalloyed and low-alloy steel: Vickers, tensile strength [MPa], Rockwell C (0: off its scale).
 * Source: ISO 18265 table A.1, from memory. */
static const struct {
    double vickers, strength, rockwell;
} hardnesses[] = {
    {80, 255, 0},      {100, 320, 0},     {150, 480, 0},     {200, 640, 0},     {240, 770, 20.3},
    {260, 835, 24.0},  {280, 900, 27.1},  {300, 965, 29.8},  {320, 1030, 32.2}, {340, 1095, 34.4},
    {360, 1155, 36.6}, {380, 1220, 38.8}, {400, 1290, 40.8}, {420, 1350, 42.7}, {440, 1420, 44.5},
    {460, 1485, 46.1}, {480, 1555, 47.7}, {500, 1630, 49.1}, {550, 1810, 52.3}, {600, 1995, 55.2},
    {650, 2180, 57.8}, {700, 2350, 60.1},
};

enum { HARDNESSES = sizeof hardnesses / sizeof *hardnesses };

static double between(double x, double x0, double x1, double y0, double y1)
{
    double t = (x - x0) / (x1 - x0);
    return y0 + fmax(0, fmin(1, t)) * (y1 - y0);
}

double tks_strength_of_hardness(double vickers)
{
    size_t i = 1;
    while (i < HARDNESSES - 1 && vickers > hardnesses[i].vickers) i++;
    return MPA * between(vickers, hardnesses[i - 1].vickers, hardnesses[i].vickers,
                         hardnesses[i - 1].strength, hardnesses[i].strength);
}

double tks_hardness_of_rockwell(double rockwell_c)
{
    size_t i = 1;
    while (hardnesses[i - 1].rockwell <= 0) i++;
    while (i < HARDNESSES - 1 && rockwell_c > hardnesses[i].rockwell) i++;
    return between(rockwell_c, hardnesses[i - 1].rockwell, hardnesses[i].rockwell,
                   hardnesses[i - 1].vickers, hardnesses[i].vickers);
}

static tks_steel steel_of_hardness(double vickers)
{
    return (tks_steel){.strength = tks_strength_of_hardness(vickers), .hardness = vickers};
}

/* ------------------------------------------------------------------ reading */

/* "40 HRC", "1100 MPa": digits with a point, then a unit. Gives the number, and the unit's name in
 * lower case; NULL when the text does not start with a digit. */
static const char *split_figure(const char *text, size_t length, double *value, char unit[8])
{
    size_t i = 0;
    double place = 0;
    for (*value = 0; i < length && (isdigit((unsigned char)text[i]) || text[i] == '.'); i++) {
        if (text[i] == '.') {
            if (place > 0) return NULL;
            place = 1;
        } else if (place > 0) {
            *value += (text[i] - '0') * (place /= 10);
        } else {
            *value = 10 * *value + (text[i] - '0');
        }
    }
    if (i == 0) return NULL;
    size_t n = 0;
    for (; i < length && n < 7; i++)
        if (!isspace((unsigned char)text[i])) unit[n++] = (char)tolower((unsigned char)text[i]);
    unit[n] = '\0';
    return i == length ? unit : NULL;
}

static bool read_figure(const char *text, size_t length, tks_steel *steel)
{
    double value;
    char unit[8];
    if (!split_figure(text, length, &value, unit) || !(value > 0 && value < 1e4)) return false;
    if (!strcmp(unit, "hrc"))
        *steel = steel_of_hardness(tks_hardness_of_rockwell(value));
    else if (!strcmp(unit, "hv"))
        *steel = steel_of_hardness(value);
    else if (!strcmp(unit, "hb") || !strcmp(unit, "hbw")) /* ISO 18265: HB = 0.95 HV */
        *steel = steel_of_hardness(value / 0.95);
    else if (!strcmp(unit, "mpa") || !strcmp(unit, "n/mm2") || !strcmp(unit, "n/mm^2"))
        *steel = tks_steel_of_strength(value * MPA);
    else if (!strcmp(unit, "ksi"))
        *steel = tks_steel_of_strength(value * KSI);
    else
        return false;
    return true;
}

static const char *steel_name(const void *context, size_t i)
{
    (void)context;
    return steels[i].name;
}

/* "grade 5" is the trade's name for SAE 5, "class 8.8" for 8.8. */
static const tks_steel *find_row(const char *text, size_t length)
{
    char sae[16];
    for (size_t i = 0; i < STEELS; i++) {
        const char *name = steels[i].name;
        if (base_name_is(text, length, name)) return &steels[i];
        if (strncmp(name, "SAE ", 4)) continue;
        snprintf(sae, sizeof sae, "grade %s", name + 4);
        if (base_name_is(text, length, sae)) return &steels[i];
        snprintf(sae, sizeof sae, "SAE grade %s", name + 4);
        if (base_name_is(text, length, sae)) return &steels[i];
    }
    return length > 6 && base_name_is(text, 6, "class ") ? find_row(text + 6, length - 6) : NULL;
}

tks_status tks_steel_find(const char *text, size_t length, tks_place at, tks_steel *steel,
                          tks_error *err)
{
    const tks_steel *row = find_row(text, length);
    if (row) *steel = *row;
    if (row || read_figure(text, length, steel)) return TKS_OK;
    const char *nearest = base_name_nearest(text, length, STEELS, steel_name, NULL);
    return tks_fail(
        err, TKS_EUNKNOWN, at,
        "'%.*s' is no steel known here%s%s%s; write a property class (8.8, 10.9, SAE 5), "
        "a hardness (40 HRC, 320 HV) or a strength (900 MPa)",
        (int)(length < 40 ? length : 40), text, nearest ? " (did you mean '" : "",
        nearest ? nearest : "", nearest ? "'?)" : "");
}

/* ------------------------------------------------------------------ rules */

static const double hour = 3600, celsius = 273.15;

/* ASTM B850-98(2009) table 1: hours at 190 to 220 C by tensile strength [MPa]. Source: secondary
 * copy. Its lowest row is 1001 to 1100 MPa. */
static const struct {
    double up_to, hours;
} b850[] = {
    {1100, 8}, {1200, 10}, {1300, 12}, {1400, 14}, {1500, 16}, {1600, 18}, {1700, 20}, {1800, 22},
};

static double b850_hours(double strength)
{
    size_t i = 0, last = sizeof b850 / sizeof *b850 - 1;
    while (i < last && strength > b850[i].up_to * MPA) i++;
    return b850[i].hours;
}

/* The older ISO guide: hours at 190 to 210 C by strength and section. Source: summary in a trade
 * article: 1000 to 1150 MPa 2, 4, 8 h and 1150 to 1400 MPa 4, 12, 24 h up to 12 mm, 25 mm and
 * above. */
static double section_hours(double strength, double section)
{
    static const double hours[2][3] = {{2, 4, 8}, {4, 12, 24}};
    int row = strength > 1150 * MPA, column = section <= 0.012 ? 0 : section <= 0.025 ? 1 : 2;
    return hours[row][section > 0 ? column : 2];
}

static tks_relief fastener_relief(const tks_steel *steel)
{
    if (steel->pressed) return steel->hardness > 360 ? TKS_RELIEF_ADVISED : TKS_RELIEF_NONE;
    if (steel->hardness > 440) return TKS_RELIEF_REFUSED;
    if (steel->hardness > 390) return TKS_RELIEF_NEEDED;
    return steel->hardness >= 360 ? TKS_RELIEF_ADVISED : TKS_RELIEF_NONE;
}

static tks_relief relief_of(const tks_steel *steel)
{
    if (steel->fastener) return fastener_relief(steel);
    if (steel->strength > 1500 * MPA || steel->hardness > 440) return TKS_RELIEF_REFUSED;
    return steel->strength > 1000 * MPA ? TKS_RELIEF_NEEDED : TKS_RELIEF_NONE;
}

tks_status tks_embrittlement_advise(const tks_steel *steel, double section,
                                    tks_embrittlement *advice, tks_error *err)
{
    if (!(steel->strength > 0 && steel->strength < 1e10) || !(section >= 0))
        return tks_fail(err, TKS_EDOMAIN, tks_nowhere(),
                        "a tensile strength must be above zero and finite");
    tks_embrittlement made = {.relief = relief_of(steel)};
    made.standard = steel->fastener ? "ISO 4042:2018 and ASTM B850" : "ASTM B850 and ISO 9588";
    if (made.relief == TKS_RELIEF_ADVISED || made.relief == TKS_RELIEF_NEEDED) {
        made.start = 1 * hour;
        made.start_latest = 3 * hour;
        made.temperature_low = 190 + celsius;
        made.temperature_high = 220 + celsius;
        made.time =
            hour * fmax(b850_hours(steel->strength), section_hours(steel->strength, section));
    }
    /* ASTM B849, from 1000 MPa; secondary copy */
    made.relief_before = made.relief != TKS_RELIEF_NONE && steel->strength >= 1000 * MPA;
    *advice = made;
    return TKS_OK;
}

static tks_status caution_bake(const char *name, const tks_embrittlement *advice, const char *what,
                               tks_cautions *cautions)
{
    bool needed = advice->relief == TKS_RELIEF_NEEDED;
    return tks_caution_add(
        cautions, TKS_INJURY, needed ? "hydrogen-bake" : "hydrogen-check", what,
        "Steel of %s takes up hydrogen and can snap hours later. %s within %.2g h of plating "
        "(%.2g h at the latest), before passivating, at %.0f to %.0f C (below its tempering) for "
        "at least %.0f h (%s).%s Clean by blasting, not acid. Baking does not prove a part sound.",
        name, needed ? "Bake" : "Without a tested process, bake", advice->start / hour,
        advice->start_latest / hour, advice->temperature_low - celsius,
        advice->temperature_high - celsius, advice->time / hour, advice->standard,
        advice->relief_before ? " If ground or bent after hardening, stress-relieve first." : "");
}

tks_status tks_embrittlement_cautions(const tks_steel *steel, const tks_embrittlement *advice,
                                      const char *what, tks_cautions *cautions)
{
    char name[32];
    snprintf(name, sizeof name, "%.0f MPa", steel->strength / MPA);
    if (steel->name)
        snprintf(name, sizeof name, "%s%s", steel->fastener ? "class " : "", steel->name);
    if (advice->relief == TKS_RELIEF_NONE) return TKS_OK;
    if (advice->relief != TKS_RELIEF_REFUSED) return caution_bake(name, advice, what, cautions);
    return tks_caution_add(
        cautions, TKS_INJURY, "hydrogen-refused", what,
        "Do not electroplate %s%s: above 1500 MPa, 440 HV or 45 HRC hydrogen from pickling "
        "and plating can make it snap without warning, baked or not. Use paint, oil, mechanical "
        "plating or a zinc-flake coating (%s).",
        steel->name && !steel->fastener ? "" : "steel of ", name, advice->standard);
}
