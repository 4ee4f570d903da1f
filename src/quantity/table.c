/* The units. Factors are exact by definition unless a row says otherwise. Sources: the SI brochure
 * (BIPM, 9th ed. 2019); NIST Special Publication 811 (2008), appendix B.8, for the inch, pound and
 * US customary units, among them 1 in = 25.4 mm, 1 lb = 0.45359237 kg, 1 gal (US) = 231 in^3. */
#include "base/names.h"
#include "quantity/quantity.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

typedef struct unit_row {
    char name[8]; /* compared as one word of 8 bytes; the last is NUL */
    quantity_scale scale;
} unit_row;

/* clang-format off */
#define LENGTH      {1, 0, 0, 0, 0, 0}
#define AREA        {2, 0, 0, 0, 0, 0}
#define VOLUME      {3, 0, 0, 0, 0, 0}
#define MASS        {0, 1, 0, 0, 0, 0}
#define TIME        {0, 0, 1, 0, 0, 0}
#define CURRENT     {0, 0, 0, 1, 0, 0}
#define TEMPERATURE {0, 0, 0, 0, 1, 0}
#define ANGLE       {0, 0, 0, 0, 0, 1}
#define CHARGE      {0, 0, 1, 1, 0, 0}
#define VOLTAGE     {2, 1,-3,-1, 0, 0}
#define RESISTANCE  {2, 1,-3,-2, 0, 0}
#define CONDUCTANCE {-2,-1,3, 2, 0, 0}
#define POWER       {2, 1,-3, 0, 0, 0}
#define ENERGY      {2, 1,-2, 0, 0, 0}
#define FORCE       {1, 1,-2, 0, 0, 0}
#define PRESSURE    {-1,1,-2, 0, 0, 0}
#define NUMBER      {0, 0, 0, 0, 0, 0}

/* SI value = (number + zero) * times / over. The commonest units of each kind stand first: they are
 * found first, and of two names equally like a misspelt one the first is suggested. */
static const unit_row units[] = {
    {"mm",      {1,            1e3,  0, LENGTH}},
    {"cm",      {1,            1e2,  0, LENGTH}},
    {"in",      {254,          1e4,  0, LENGTH}},
    {"um",      {1,            1e6,  0, LENGTH}},
    {"m",       {1,            1,    0, LENGTH}},
    {"A",       {1,            1,    0, CURRENT}},
    {"dm",      {1,            1e1,  0, LENGTH}},
    {"min",     {60,           1,    0, TIME}},
    {"deg",     {M_PI,         180,  0, ANGLE}},
    {"g",       {1,            1e3,  0, MASS}},
    {"L",       {1,            1e3,  0, VOLUME}},
    {"ft",      {3048,         1e4,  0, LENGTH}},
    {"thou",    {254,          1e7,  0, LENGTH}},
    {"mil",     {254,          1e7,  0, LENGTH}},
    {"mils",    {254,          1e7,  0, LENGTH}},
    {"\"",      {254,          1e4,  0, LENGTH}},
    {"″",       {254,          1e4,  0, LENGTH}},
    {"'",       {3048,         1e4,  0, LENGTH}},
    {"′",       {3048,         1e4,  0, LENGTH}},
    {"inch",    {254,          1e4,  0, LENGTH}},
    {"inches",  {254,          1e4,  0, LENGTH}},
    {"foot",    {3048,         1e4,  0, LENGTH}},
    {"feet",    {3048,         1e4,  0, LENGTH}},
    {"yd",      {9144,         1e4,  0, LENGTH}},
    {"µm",      {1,            1e6,  0, LENGTH}}, /* micro sign */
    {"μm",      {1,            1e6,  0, LENGTH}}, /* Greek mu */
    {"micron",  {1,            1e6,  0, LENGTH}},
    {"microns", {1,            1e6,  0, LENGTH}},
    {"nm",      {1,            1e9,  0, LENGTH}},
    {"km",      {1e3,          1,    0, LENGTH}},
    {"sq mm",   {1,            1e6,  0, AREA}},
    {"sq cm",   {1,            1e4,  0, AREA}},
    {"sq dm",   {1,            1e2,  0, AREA}},
    {"sq m",    {1,            1,    0, AREA}},
    {"sq in",   {64516,        1e8,  0, AREA}},
    {"sq ft",   {9290304,      1e8,  0, AREA}},
    {"l",       {1,            1e3,  0, VOLUME}},
    {"mL",      {1,            1e6,  0, VOLUME}},
    {"ml",      {1,            1e6,  0, VOLUME}},
    {"cc",      {1,            1e6,  0, VOLUME}},
    {"litre",   {1,            1e3,  0, VOLUME}},
    {"litres",  {1,            1e3,  0, VOLUME}},
    {"liter",   {1,            1e3,  0, VOLUME}},
    {"liters",  {1,            1e3,  0, VOLUME}},
    {"gal",     {3785411784,   1e12, 0, VOLUME}}, /* US */
    {"gallon",  {3785411784,   1e12, 0, VOLUME}},
    {"gallons", {3785411784,   1e12, 0, VOLUME}},
    {"qt",      {946352946,    1e12, 0, VOLUME}}, /* US liquid: gal / 4 */
    {"pt",      {473176473,    1e12, 0, VOLUME}}, /* US liquid: gal / 8 */
    {"fl oz",   {295735295625, 1e16, 0, VOLUME}}, /* US: gal / 128 */
    {"kg",      {1,            1,    0, MASS}},
    {"mg",      {1,            1e6,  0, MASS}},
    {"lb",      {45359237,     1e8,  0, MASS}},
    {"lbs",     {45359237,     1e8,  0, MASS}},
    {"oz",      {45359237,     16e8, 0, MASS}}, /* avoirdupois */
    {"t",       {1e3,          1,    0, MASS}},
    {"tonne",   {1e3,          1,    0, MASS}},
    {"gram",    {1,            1e3,  0, MASS}},
    {"grams",   {1,            1e3,  0, MASS}},
    {"ounce",   {45359237,     16e8, 0, MASS}},
    {"ounces",  {45359237,     16e8, 0, MASS}},
    {"pound",   {45359237,     1e8,  0, MASS}},
    {"pounds",  {45359237,     1e8,  0, MASS}},
    {"s",       {1,            1,    0, TIME}},
    {"h",       {3600,         1,    0, TIME}},
    {"d",       {86400,        1,    0, TIME}},
    {"ms",      {1,            1e3,  0, TIME}},
    {"sec",     {1,            1,    0, TIME}},
    {"second",  {1,            1,    0, TIME}},
    {"seconds", {1,            1,    0, TIME}},
    {"minute",  {60,           1,    0, TIME}},
    {"minutes", {60,           1,    0, TIME}},
    {"hr",      {3600,         1,    0, TIME}},
    {"hour",    {3600,         1,    0, TIME}},
    {"hours",   {3600,         1,    0, TIME}},
    {"day",     {86400,        1,    0, TIME}},
    {"days",    {86400,        1,    0, TIME}},
    {"mA",      {1,            1e3,  0, CURRENT}},
    {"uA",      {1,            1e6,  0, CURRENT}},
    {"µA",      {1,            1e6,  0, CURRENT}},
    {"μA",      {1,            1e6,  0, CURRENT}},
    {"kA",      {1e3,          1,    0, CURRENT}},
    {"amp",     {1,            1,    0, CURRENT}},
    {"amps",    {1,            1,    0, CURRENT}},
    {"V",       {1,            1,    0, VOLTAGE}},
    {"mV",      {1,            1e3,  0, VOLTAGE}},
    {"kV",      {1e3,          1,    0, VOLTAGE}},
    {"volt",    {1,            1,    0, VOLTAGE}},
    {"volts",   {1,            1,    0, VOLTAGE}},
    {"ohm",     {1,            1,    0, RESISTANCE}},
    {"ohms",    {1,            1,    0, RESISTANCE}},
    {"mohm",    {1,            1e3,  0, RESISTANCE}},
    {"kohm",    {1e3,          1,    0, RESISTANCE}},
    {"Ω",       {1,            1,    0, RESISTANCE}}, /* Greek omega */
    {"mΩ",      {1,            1e3,  0, RESISTANCE}},
    {"kΩ",      {1e3,          1,    0, RESISTANCE}},
    {"Ω",       {1,            1,    0, RESISTANCE}}, /* ohm sign */
    {"mΩ",      {1,            1e3,  0, RESISTANCE}},
    {"kΩ",      {1e3,          1,    0, RESISTANCE}},
    {"S",       {1,            1,    0, CONDUCTANCE}},
    {"mS",      {1,            1e3,  0, CONDUCTANCE}},
    {"uS",      {1,            1e6,  0, CONDUCTANCE}},
    {"µS",      {1,            1e6,  0, CONDUCTANCE}},
    {"μS",      {1,            1e6,  0, CONDUCTANCE}},
    {"W",       {1,            1,    0, POWER}},
    {"mW",      {1,            1e3,  0, POWER}},
    {"kW",      {1e3,          1,    0, POWER}},
    {"watt",    {1,            1,    0, POWER}},
    {"watts",   {1,            1,    0, POWER}},
    {"C",       {1,            1,    0, CHARGE}},
    {"kC",      {1e3,          1,    0, CHARGE}},
    {"Ah",      {3600,         1,    0, CHARGE}},
    {"mAh",     {3600,         1e3,  0, CHARGE}},
    {"J",       {1,            1,    0, ENERGY}},
    {"kJ",      {1e3,          1,    0, ENERGY}},
    {"Wh",      {3600,         1,    0, ENERGY}},
    {"kWh",     {3600e3,       1,    0, ENERGY}},
    {"N",       {1,            1,    0, FORCE}},
    {"kN",      {1e3,          1,    0, FORCE}},
    {"Pa",      {1,            1,    0, PRESSURE}},
    {"kPa",     {1e3,          1,    0, PRESSURE}},
    {"MPa",     {1e6,          1,    0, PRESSURE}},
    {"GPa",     {1e9,          1,    0, PRESSURE}},
    {"bar",     {1e5,          1,    0, PRESSURE}},
    /* 1 lbf = 0.45359237 kg * 9.80665 m/s^2 on 1 in^2 = 6.4516e-4 m^2 */
    {"psi",     {8896443230521, 129032e4, 0, PRESSURE}},
    {"ksi",     {8896443230521, 1290320,  0, PRESSURE}},
    {"rad",     {1,            1,    0, ANGLE}},
    {"°",       {M_PI,         180,  0, ANGLE}},
    {"degree",  {M_PI,         180,  0, ANGLE}},
    {"degrees", {M_PI,         180,  0, ANGLE}},
    {"K",       {1,            1,    0,      TEMPERATURE}},
    {"°C",      {1,            1,    273.15, TEMPERATURE}},
    {"°F",      {5,            9,    459.67, TEMPERATURE}},
    {"degC",    {1,            1,    273.15, TEMPERATURE}},
    {"degF",    {5,            9,    459.67, TEMPERATURE}},
    {"%",       {1,            1e2,  0, NUMBER}},
    {"percent", {1,            1e2,  0, NUMBER}},
    {"ppm",     {1,            1e6,  0, NUMBER}},
};

/* Where a temperature is wanted these are no coulomb and no farad. */
static const unit_row thermometers[] = {
    {"C", {1, 1, 273.15, TEMPERATURE}},
    {"F", {5, 9, 459.67, TEMPERATURE}},
};
/* clang-format on */

enum { UNIT_COUNT = sizeof units / sizeof *units, MOST_TERMS = 4, LARGEST_POWER = 6 };

/* The bytes of a name of at most 7 bytes as one number. A row is then told from a name by one
 * comparison, so that the whole table takes less time than reading the number in front of it. */
static uint64_t key_of(const char *name, size_t length)
{
    char bytes[8] = {0};
    for (size_t i = 0; i < length; i++) bytes[i] = name[i];
    uint64_t key;
    memcpy(&key, bytes, sizeof key);
    return key;
}

static const quantity_scale *find_row(const unit_row *rows, size_t count, uint64_t wanted)
{
    for (size_t i = 0; i < count; i++) {
        uint64_t key;
        memcpy(&key, rows[i].name, sizeof key);
        if (key == wanted) return &rows[i].scale;
    }
    return NULL;
}

static const quantity_scale *find_unit(const char *name, size_t length, bool thermometer)
{
    if (length == 0 || length > 7) return NULL;
    uint64_t key = key_of(name, length);
    const quantity_scale *found = thermometer ? find_row(thermometers, 2, key) : NULL;
    return found ? found : find_row(units, UNIT_COUNT, key);
}

/* Characters beyond ASCII that are no letters. */
static const char *const signs[] = {"\u00A0", "·", "×", "−", "²", "³", "½", "¼", "¾"};

static bool starts_with(const char *text, size_t length, const char *word)
{
    size_t n = strlen(word);
    return length >= n && memcmp(text, word, n) == 0;
}

size_t quantity_letter(const char *text, size_t length)
{
    if (length == 0) return 0;
    unsigned char c = (unsigned char)text[0];
    if (c < 0x80) return (c | 0x20) >= 'a' && (c | 0x20) <= 'z';
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++)
        if (starts_with(text, length, signs[i])) return 0;
    size_t n = 1;
    while (n < length && n < 4 && ((unsigned char)text[n] & 0xC0) == 0x80) n++;
    return n;
}

size_t quantity_blanks(const char *text, size_t length)
{
    size_t i = 0;
    while (i < length) {
        if (text[i] == ' ' || text[i] == '\t' || text[i] == '\n' || text[i] == '\r')
            i++;
        else if (starts_with(text + i, length - i, "\u00A0"))
            i += 2;
        else
            break;
    }
    return i;
}

/* A unit's name: letters, or one of % " ' alone; "fl oz" and "sq in" have two words. */
static size_t unit_word(const char *text, size_t length)
{
    if (length && (text[0] == '%' || text[0] == '"' || text[0] == '\'')) return 1;
    size_t end = 0, n;
    while ((n = quantity_letter(text + end, length - end)) > 0) end += n;
    bool first_of_two = end == 2 && (memcmp(text, "fl", 2) == 0 || memcmp(text, "sq", 2) == 0);
    if (!first_of_two || end == length || text[end] != ' ') return end;
    end++;
    while ((n = quantity_letter(text + end, length - end)) > 0) end += n;
    return end;
}

static bool is_digit(const char *text, size_t length, size_t i)
{
    return i < length && text[i] >= '0' && text[i] <= '9';
}

/* The exponent behind a unit: `^2`, `^-1`, `2`, superscript 2 or 3. Gives the bytes taken; 0 and
 * power 1 when there is none, so that `5 ft6 in` and `mm^(2)` go on as something else. */
static size_t unit_power(const char *text, size_t length, int *power)
{
    *power = 1;
    size_t i = 0;
    int sign = 1;
    if (starts_with(text, length, "²") || starts_with(text, length, "³")) {
        *power = starts_with(text, length, "²") ? 2 : 3;
        return strlen("²");
    }
    if (length && text[0] == '^') i++;
    if (i == 1 && length > 1 && text[1] == '-') {
        sign = -1;
        i++;
    }
    if (!is_digit(text, length, i)) return 0;
    int digit = text[i++] - '0';
    bool ends = !is_digit(text, length, i) && quantity_letter(text + i, length - i) == 0 &&
                !(i < length && strchr(".\"'%", text[i]) && text[i]);
    if (!ends || digit < 1 || digit > LARGEST_POWER) return 0;
    *power = sign * digit;
    return i;
}

static double whole_power(double base, int n)
{
    double result = 1;
    for (int i = 0; i < n; i++) result *= base;
    return result;
}

static bool raise(quantity_scale *scale, int power)
{
    if (power == 1) return true;
    int n = power < 0 ? -power : power;
    double times = whole_power(scale->times, n), over = whole_power(scale->over, n);
    scale->times = power < 0 ? over : times;
    scale->over = power < 0 ? times : over;
    tks_dimension none = {0, 0, 0, 0, 0, 0};
    return scale->zero == 0 &&
           quantity_dimension_add(none, scale->dimension, power, &scale->dimension);
}

size_t quantity_term_scan(const char *text, size_t length, bool thermometer, quantity_scale *out)
{
    size_t word = unit_word(text, length);
    const quantity_scale *found = find_unit(text, word, thermometer);
    if (!found) return 0;
    *out = *found;
    if (word == length) return word;
    int power;
    size_t taken = unit_power(text + word, length - word, &power);
    /* 5'6" is feet and inches, no power of a foot. */
    if (taken && text[word] != '^' && strchr("%\"'", text[0])) return word;
    return raise(out, power) ? word + taken : 0;
}

/* In a product a degree is a step of temperature: W/degC is W/K. */
static bool multiply(quantity_scale *a, const quantity_scale *b, bool divide)
{
    tks_dimension dimension;
    if (!quantity_dimension_add(a->dimension, b->dimension, divide ? -1 : 1, &dimension))
        return false;
    a->times *= divide ? b->over : b->times;
    a->over *= divide ? b->times : b->over;
    a->dimension = dimension;
    a->zero = 0;
    return true;
}

static bool is_name(const char *text, size_t length, const quantity_sense *sense)
{
    tks_meaning meaning;
    size_t end = unit_word(text, length);
    return sense->names && sense->names->find(sense->names->context, text, end, &meaning);
}

size_t quantity_unit_scan(const char *text, size_t length, const quantity_sense *sense,
                          quantity_scale *out)
{
    quantity_scale product, next;
    size_t end = quantity_term_scan(text, length, sense->thermometer, &product);
    if (!end) return 0;
    for (int terms = 1; terms < MOST_TERMS && end < length; terms++) {
        size_t sign = text[end] == '/' || text[end] == '*'         ? 1
                      : starts_with(text + end, length - end, "·") ? strlen("·")
                                                                   : 0;
        if (!sign) break;
        const char *rest = text + end + sign;
        size_t left = length - end - sign;
        size_t n = quantity_term_scan(rest, left, false, &next);
        if (!n || is_name(rest, left, sense)) break;
        if (!multiply(&product, &next, text[end] == '/')) break;
        end += sign + n;
    }
    *out = product;
    return end;
}

bool tks_unit_find(const char *text, size_t length, tks_quantity *out)
{
    static const quantity_sense plain = {NULL, false};
    quantity_scale scale;
    if (quantity_unit_scan(text, length, &plain, &scale) != length || length == 0) return false;
    if (scale.zero != 0) return false;
    if (out) *out = (tks_quantity){scale.times / scale.over, scale.dimension};
    return true;
}

static const char *unit_name(const void *context, size_t i)
{
    (void)context;
    return units[i].name;
}

const char *quantity_unit_nearest(const char *text, size_t length)
{
    const char *nearest = base_name_nearest(text, length, UNIT_COUNT, unit_name, NULL);
    /* Units are short: with two letters changed, any is like any other. */
    int allowed = length < 6 ? 1 : 2;
    return nearest && base_name_distance(text, length, nearest) <= allowed ? nearest : NULL;
}
