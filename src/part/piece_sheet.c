/* A piece of sheet that is known by its weight and gauge: pressed parts that nobody would measure.
 */
#include "part/piece.h"

#include "tankside/union.h"

static const char *const sheet_keys[] = {"sheet", "name", "count", "contact", "masked", "note"};
static const char *const sheet_figures[] = {"weight", "gauge", "edge"};

#define COUNT_OF(array) (sizeof(array) / sizeof(array)[0])

static tks_status read_positive(const part_document *d, const tks_node *node, const char *key,
                                tks_kind kind, double *value)
{
    const tks_node *given = tks_node_get(node, key);
    if (!given) return TKS_OK;
    tks_status status = tks_node_quantity(given, d->file, kind, key, value, d->err);
    if (!status && !(*value > 0))
        status = part_fail(d, TKS_EDOMAIN, given, "%s is '%.40s'; it must be above zero", key,
                           given->text);
    return status;
}

/* `sheet: {weight: 412 g, gauge: 1.2 mm, edge: 900 mm}`: pressed parts that nobody would measure.
 */
tks_status part_sheet_add(part_making *m, const tks_node *node)
{
    const part_document *d = m->d;
    const tks_node *sheet = tks_node_get(node, "sheet");
    double weight = 0, gauge = 0, edge = 0, area = 0;
    tks_piece piece = {.at = tks_node_place(node, d->file)};
    part_mask mask;
    tks_status status = tks_node_known(node, d->file, "sheet known by weight", sheet_keys,
                                       COUNT_OF(sheet_keys), d->err);
    if (!status) status = tks_node_expect(sheet, d->file, TKS_MAP, "weight and gauge", d->err);
    if (!status) status = tks_node_known(sheet, d->file, "sheet", sheet_figures, 3, d->err);
    if (!status) status = read_positive(d, sheet, "weight", TKS_MASS, &weight);
    if (!status) status = read_positive(d, sheet, "gauge", TKS_LENGTH, &gauge);
    if (!status) status = read_positive(d, sheet, "edge", TKS_LENGTH, &edge);
    if (!status && (weight == 0 || gauge == 0))
        status = part_fail(d, TKS_EMISSING, sheet,
                           "sheet needs its weight and gauge: {weight: 412 g, gauge: 1.2 mm}");
    if (!status) status = part_piece_counts(d, node, &piece);
    if (!status) status = part_piece_name(d, node, "sheet", &piece);
    if (!status) status = part_mask_read(d, tks_node_get(node, "masked"), &mask);
    if (status) return status;
    double density = part_density(m->part);
    status = tks_sheet_area(weight, density, gauge, edge, &area, d->err);
    if (status) return status;
    m->methods |= 1u << PART_WEIGHT;
    m->part->volume += weight / density * (double)piece.count;
    /* Rolled sheet keeps its gauge to about 5 %, and the area with it. Common practice, no source.
     */
    m->slack_low += 0.05 * area * (double)piece.count;
    m->slack_high += 0.05 * area * (double)piece.count;
    status = part_sum_add(&m->sum, TKS_OUTSIDE, area * (double)piece.count, NULL, 0, d->err);
    if (!status) status = part_piece_mask(m, &mask, (double)piece.count);
    return status ? status : part_piece_contact(m, &piece);
}
