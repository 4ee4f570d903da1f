#include "tankside/mix.h"

#include "base/names.h"
#include "base/show.h"

/* ------------------------------------------------------------------ what to mind */

static const tks_warning acid_into_water = {
    "acid-into-water", TKS_INJURY,
    "Pour the acid into the water, slowly and stirring, never water into acid: it boils up and "
    "spits."};

static const tks_warning acid_fumes = {
    "acid-fumes", TKS_INJURY,
    "Acid fumes burn eyes and lungs (ceiling 2 to 5 ppm in workplaces) and rust every tool in the "
    "room: outdoors or under a hood, with goggles, gloves and apron."};

static const tks_warning pickle_fumes = {
    "pickle-fumes", TKS_INJURY, "The pickle fumes too: open air or a hood, goggles and gloves on."};

static const tks_warning pickle_hydrogen = {
    "pickle-hydrogen", TKS_INJURY,
    "Pickling gives off hydrogen: no flame or spark near it, and no lid that closes."};

static const tks_warning lye_burns = {
    "lye-burns", TKS_INJURY,
    "Caustic soda heats the water and burns skin and eyes deeply: a little at a time into cold "
    "water, stirring, goggles on. Never onto aluminium or zinc, which give hydrogen."};

static const tks_warning hot_lye = {"hot-lye", TKS_INJURY,
                                    "Hot cleaner scalds and burns at once: goggles and gloves, "
                                    "lower parts in slowly, keep a lid at "
                                    "hand and running water within reach."};

static const tks_warning keep_apart = {
    "keep-apart", TKS_INJURY,
    "Keep cleaner and acid apart: rinse between them, store them apart, and never pour one into "
    "the other."};

static const tks_warning zinc_chloride = {
    "zinc-chloride", TKS_INJURY,
    "Zinc chloride is corrosive, heats the water, and harms water life: goggles and gloves, and "
    "none of it down the drain."};

static const tks_warning boric_acid = {
    "boric-acid", TKS_INJURY,
    "Boric acid may harm fertility and the unborn: do not breathe its dust, wear gloves, and note "
    "that some countries restrict its sale."};

static const tks_warning data_sheet = {
    "data-sheet", TKS_NOTE,
    "The supplier's data sheet stands above these figures: strength, pH, time and brighteners "
    "differ from one product to the next."};

static const tks_warning local_rules = {
    "local-rules", TKS_NOTE,
    "Spent solutions and first rinses are waste with metals in it: local rules decide where it "
    "goes."};

static const tks_warning chromate_cancer = {
    "chromate-cancer", TKS_INJURY,
    "Hexavalent chromium causes cancer, allergies and sores and is restricted or forbidden in many "
    "countries. Take a trivalent passivate instead. If you must: no mist or dust, gloves, goggles, "
    "and a closed store."};

static const tks_warning chromate_waste = {
    "chromate-waste", TKS_INJURY,
    "Nothing of it may reach a drain or soil: rinses and spent solution go to a licensed disposer, "
    "under the local rules, also after it has been reduced."};

static const tks_warning chromate_dust = {
    "chromate-dust", TKS_INJURY,
    "Its dust is what is breathed in: no draught, a mask for fine dust, gloves and goggles."};

static const tks_warning passivate_acid = {
    "passivate-acid", TKS_INJURY,
    "Passivates are acid and may hold cobalt and fluoride: gloves and goggles, and wash what "
    "splashes off at once."};

static const tks_warning sulphur_dioxide = {
    "sulphur-dioxide", TKS_INJURY,
    "Metabisulphite in acid gives off sulphur dioxide, which chokes, asthmatics above all: "
    "outdoors or under a hood, a little at a time."};

static const tks_warning test_chromium = {
    "test-chromium", TKS_DOUBT,
    "Colour is no proof: test for hexavalent chromium before the pH is raised and the sludge is "
    "collected. The sludge is waste still."};

/* ------------------------------------------------------------------ recipes */

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))
#define LIST(array)  array, COUNT(array)
#define CELSIUS(low, usual, high, source)                                                          \
    {                                                                                              \
        (low) + 273.15, (usual) + 273.15, (high) + 273.15, source                                  \
    }
#define UNTOLD                                                                                     \
    {                                                                                              \
        0, 0, 0, ""                                                                                \
    }

static const char practice[] = "common practice, no source";

static const tks_ingredient cleaner_in[] = {
    {"sodium hydroxide", TKS_BY_MASS, 30, 40, 50},
    {"sodium carbonate", TKS_BY_MASS, 20, 25, 30},
    {"sodium metasilicate", TKS_BY_MASS, 20, 25, 30},
};
static const tks_mix_step cleaner_steps[] = {
    {"Fill nine tenths of the cold water into a steel or polypropylene tank", -1, {NULL}},
    {"Stir in", 0, {&lye_burns}},
    {"Stir in", 1, {NULL}},
    {"Stir in", 2, {NULL}},
    {"Fill up with water and heat; clean until water runs off in a film without breaks",
     -1,
     {&hot_lye, &keep_apart}},
};

static const tks_ingredient pickle_in[] = {
    {"hydrochloric acid, as sold", TKS_BY_VOLUME, 0.33, 0.5, 0.5},
};
static const tks_mix_step pickle_steps[] = {
    {"Fill the water into a plastic tank", -1, {NULL}},
    {"Pour in", 0, {&acid_into_water, &acid_fumes}},
    {"Pickle light rust 1 minute, heavy rust up to 4, and no longer than is needed: hydrogen goes "
     "into the steel",
     -1,
     {&pickle_fumes, &pickle_hydrogen, &keep_apart, &local_rules}},
};

static const tks_ingredient zinc_in[] = {
    {"zinc chloride", TKS_BY_MASS, 50, 60, 75},
    {"potassium chloride", TKS_BY_MASS, 130, 150, 225},
    {"boric acid", TKS_BY_MASS, 20, 23, 35},
};
static const tks_mix_step zinc_steps[] = {
    {"Fill two thirds of the water, distilled or rain water, into a plastic tank, at 40 C",
     -1,
     {NULL}},
    {"Dissolve", 2, {&boric_acid}},
    {"Dissolve", 1, {NULL}},
    {"Stir in", 0, {&zinc_chloride}},
    {"Fill up with water; bring the pH to about 5 with drops of hydrochloric acid or of potassium "
     "hydroxide solution",
     -1,
     {NULL}},
    {"Add carrier and brightener as their sheet says, and plate a scrap piece for an hour",
     -1,
     {&data_sheet, &local_rules}},
};

static const tks_ingredient trivalent_in[] = {
    {"trivalent passivate concentrate", TKS_BY_VOLUME, 0.05, 0.1, 0.15},
};
static const tks_mix_step trivalent_steps[] = {
    {"Fill the water into a plastic tank", -1, {NULL}},
    {"Pour in", 0, {&acid_into_water, &data_sheet}},
    {"Dip freshly plated, rinsed parts, moving them; rinse; dry below 60 C",
     -1,
     {&passivate_acid, &local_rules}},
};

static const tks_ingredient chromate_in[] = {
    {"sodium dichromate", TKS_BY_MASS, 60, 90, 120},
    {"sulphuric acid, concentrated", TKS_BY_VOLUME, 0.003, 0.006, 0.009},
};
static const tks_mix_step chromate_steps[] = {
    {"Think again: a trivalent passivate does the same work",
     -1,
     {&chromate_cancer, &chromate_waste}},
    {"Fill nine tenths of the water into a plastic tank", -1, {NULL}},
    {"Wet it, so that no dust flies, and dissolve", 0, {&chromate_dust}},
    {"Pour in", 1, {&acid_into_water}},
    {"Fill up with water; dip parts and rinse them in the reducing rinse",
     -1,
     {&chromate_cancer, &chromate_waste}},
};

static const tks_ingredient reducing_in[] = {
    {"sodium metabisulphite", TKS_BY_MASS, 5, 10, 20},
    {"sulphuric acid, concentrated", TKS_BY_VOLUME, 0.001, 0.002, 0.005},
};
static const tks_mix_step reducing_steps[] = {
    {"Fill the water into a plastic tank", -1, {NULL}},
    {"To reach a pH of 2 to 2.5, pour in", 1, {&acid_into_water}},
    {"Shortly before use, stir in", 0, {&sulphur_dioxide}},
    {"Leave rinsed-off chromate in it for 20 minutes at least",
     -1,
     {&sulphur_dioxide, &test_chromium, &chromate_waste}},
};

static const tks_recipe recipes[] = {
    {"alkaline cleaner",
     "takes off oil and soil before the pickle",
     LIST(cleaner_in),
     LIST(cleaner_steps),
     CELSIUS(80, 90, 95, practice),
     {300, 600, 1200, practice},
     UNTOLD,
     NULL,
     practice},
    {"pickle",
     "takes off rust and scale",
     LIST(pickle_in),
     LIST(pickle_steps),
     UNTOLD,
     {60, 120, 240, practice},
     UNTOLD,
     "hydrochloric acid",
     practice},
    {"chloride zinc",
     "the plating bath",
     LIST(zinc_in),
     LIST(zinc_steps),
     CELSIUS(15, 25, 35, practice),
     UNTOLD,
     {4.8, 5.0, 5.5, practice},
     NULL,
     practice},
    {"trivalent passivate",
     "protects fresh zinc; the first choice",
     LIST(trivalent_in),
     LIST(trivalent_steps),
     CELSIUS(18, 25, 40, practice),
     {15, 30, 60, practice},
     {1.6, 2.0, 2.5, practice},
     NULL,
     practice},
    {"chromate passivate",
     "protects fresh zinc; hexavalent, so a last resort",
     LIST(chromate_in),
     LIST(chromate_steps),
     UNTOLD,
     {10, 15, 20, practice},
     UNTOLD,
     NULL,
     practice},
    {"reducing rinse",
     "makes hexavalent chromium trivalent",
     LIST(reducing_in),
     LIST(reducing_steps),
     UNTOLD,
     {900, 1200, 3600, practice},
     {2.0, 2.2, 2.5, practice},
     NULL,
     "Metal Finishing Guidebook, waste treatment, seen in extract"},
};

enum { RECIPES = COUNT(recipes) };

const tks_recipe *tks_recipe_at(size_t i)
{
    return i < RECIPES ? &recipes[i] : NULL;
}

static const char *recipe_name(const void *context, size_t i)
{
    (void)context;
    return recipes[i].name;
}

tks_status tks_recipe_find(const char *name, size_t length, tks_place at, const tks_recipe **recipe,
                           tks_error *err)
{
    for (size_t i = 0; i < RECIPES; i++) {
        if (!base_name_is(name, length, recipes[i].name)) continue;
        *recipe = &recipes[i];
        return TKS_OK;
    }
    base_word word = base_shown_word(name, length);
    const char *nearest = base_name_nearest(name, length, RECIPES, recipe_name, NULL);
    if (nearest)
        return tks_fail(err, TKS_EUNKNOWN, at, "there is no recipe '%s'; did you mean '%s'?",
                        word.text, nearest);
    return tks_fail(err, TKS_EUNKNOWN, at,
                    "there is no recipe '%s'; there are %s, %s, %s, %s, %s and %s", word.text,
                    recipes[0].name, recipes[1].name, recipes[2].name, recipes[3].name,
                    recipes[4].name, recipes[5].name);
}
