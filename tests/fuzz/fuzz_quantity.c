/* Any bytes must give a value or an error: as a value of a kind, and as an expression with
 * names. What is read must print, and read back. */
#include "tankside/quantity.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static bool find(const void *context, const char *name, size_t length, tks_meaning *out)
{
    (void)context;
    if (length == 0 || length > 6 || (name[0] | 0x20) < 'm') return false;
    out->slot = name[0] & 3;
    return true;
}

/* Times and temperatures are read in ways of their own; the other kinds differ only in their unit.
 */
static void read_kinds(const char *text, size_t size)
{
    const int kinds[] = {TKS_TIME, TKS_TEMPERATURE, (int)(size % TKS_KIND_COUNT)};
    tks_error err;
    for (int i = 0; i < 3; i++) {
        char printed[64];
        double value = NAN;
        int kind = kinds[i];
        tks_place at = {"fuzz", 1, 1};
        if (tks_quantity_read(text, size, (tks_kind)kind, at, &value, &err)) continue;
        if (!isfinite(value)) abort();
        tks_quantity_print(printed, sizeof printed, value, (tks_kind)kind, TKS_METRIC, 0);
        tks_quantity_print(printed, sizeof printed, value, (tks_kind)kind, TKS_INCH, 9);
        if (tks_quantity_read(printed, strlen(printed), (tks_kind)kind, at, &value, &err) &&
            fabs(value) < 1e290 && kind != TKS_TEMPERATURE)
            abort();
    }
}

static void evaluate(const char *text, size_t size)
{
    static const tks_quantity slots[] = {{0.002, {1, 0, 0, 0, 0, 0}},
                                         {0, {0, 0, 0, 0, 0, 0}},
                                         {-3, {0, 0, 0, 0, 0, 0}},
                                         {0.5, {0, 0, 0, 0, 0, 1}}};
    static const tks_names names = {find, NULL, NULL};
    tks_error err;
    tks_quantity value;
    const tks_expression *e;
    tks_arena *arena = tks_arena_new();
    if (!arena) return;
    tks_status status =
        tks_expression_compile(arena, text, size, (tks_place){"fuzz", 1, 1}, &names, &e, &err);
    if (!status && tks_expression_slots(e) > 4) abort();
    if (!status && tks_expression_value(e, slots, &value, &err) == TKS_OK)
        if (!isfinite(value.value)) abort();
    tks_arena_free(arena);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    read_kinds((const char *)data, size);
    evaluate((const char *)data, size);
    tks_unit_find((const char *)data, size, NULL);
    return 0;
}
