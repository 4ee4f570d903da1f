/* A piece that is a scanned or drawn mesh. */
#include "part/piece.h"

#include <math.h>
#include <string.h>

static const char *const mesh_keys[] = {"mesh",  "unit",    "scale",  "fill holes", "name",
                                        "count", "contact", "masked", "at",         "axis",
                                        "turn",  "x axis",  "note"};

#define COUNT_OF(array) (sizeof(array) / sizeof(array)[0])

/* `unit: mm`: the length of one unit of the file. */
static tks_status read_unit(const part_document *d, const tks_node *node, double *unit)
{
    tks_quantity one;
    if (!node) return TKS_OK;
    if (!tks_unit_find(node->text, node->length, &one) ||
        !tks_dimension_equal(one.dimension, tks_kind_dimension(TKS_LENGTH)))
        return part_fail(d, TKS_EUNKNOWN, node,
                         "unit is '%.40s'; write a unit of length, as in mm or in", node->text);
    *unit = one.value;
    return TKS_OK;
}

static tks_status refuse_other_keys(const part_document *d, const tks_node *node, bool alone)
{
    const char *keys[PART_MOST_KEYS];
    size_t count = 0;
    for (size_t i = 0; i < COUNT_OF(mesh_keys); i++) keys[count++] = mesh_keys[i];
    if (alone) count = part_piece_alone_keys(keys, count);
    return tks_node_known(node, d->file, "a mesh", keys, count, d->err);
}

static tks_status read_mesh_options(const part_document *d, const tks_node *node, part_mask *mask,
                                    tks_measure_options *options)
{
    static const char *const words[] = {"no", "yes"};
    const tks_node *scale = tks_node_get(node, "scale"), *fill = tks_node_get(node, "fill holes");
    size_t filled = 0;
    tks_status status = part_mask_read(d, tks_node_get(node, "masked"), mask);
    if (!status) status = read_unit(d, tks_node_get(node, "unit"), &options->read.unit);
    if (!status && scale)
        status =
            tks_node_quantity(scale, d->file, TKS_NUMBER, "scale", &options->read.scale, d->err);
    if (!status && scale && !(options->read.scale > 0))
        status = part_fail(d, TKS_EDOMAIN, scale, "scale is '%.40s'; it must be above zero",
                           scale->text);
    if (!status && fill)
        status = tks_node_choice(fill, d->file, "fill holes", words, 2, &filled, d->err);
    options->fill_holes = filled == 1;
    options->masked = mask->boxes;
    options->masked_count = mask->box_count;
    for (int label = 0; label < TKS_LABEL_COUNT; label++)
        options->masked_labels[label] = mask->labels >> label & 1;
    return status;
}

/* Adds what was measured of a mesh, times its count. */
static tks_status add_measured(part_making *m, const tks_measured *measured, double times)
{
    m->methods |= 1u << PART_MESH;
    m->part->volume += fabs(measured->volume) * times;
    m->slack_low += (measured->wetted - measured->low) * times;
    m->slack_high += (measured->high - measured->wetted) * times;
    part_piece_box(m, measured->bounds_low, measured->bounds_high);
    for (int label = 0; label < TKS_LABEL_COUNT; label++) {
        if (measured->area[label] == 0) continue;
        tks_status status = part_sum_add(&m->sum, (tks_label)label, measured->area[label] * times,
                                         NULL, 0, m->d->err);
        if (status) return status;
    }
    return TKS_OK;
}

static tks_status measure_mesh(part_making *m, const char *path, const tks_measure_options *options,
                               const tks_piece *piece)
{
    tks_measured measured;
    char what[PART_CALLED];
    part_piece_called(m, piece, what);
    tks_status status =
        tks_mesh_measure(path, options, what, &measured, m->d->reading->cautions, m->d->err);
    return status ? status : add_measured(m, &measured, (double)piece->count);
}

/* Where solids are kept, a part that is one mesh keeps the mesh's name: whoever needs its triangles
 * reads them again. */
static tks_status keep_mesh(part_making *m, const char *path, const tks_measure_options *options,
                            tks_piece piece)
{
    tks_arena *arena = m->d->reading->arena;
    if (!m->d->reading->keep_bodies) return TKS_OK;
    piece.mesh = tks_arena_text(arena, path, strlen(path));
    piece.unit = options->read.unit;
    piece.scale = options->read.scale;
    m->pieces = tks_arena_take(arena, 1, sizeof *m->pieces);
    if (!piece.mesh || !m->pieces)
        return tks_fail(m->d->err, TKS_EMEMORY, tks_nowhere(), "out of memory");
    m->pieces[0] = piece;
    m->piece_count = 1;
    return TKS_OK;
}

tks_status part_mesh_add(part_making *m, const tks_node *node, bool alone, bool cut)
{
    const part_document *d = m->d;
    const tks_node *name = tks_node_get(node, "mesh");
    tks_piece piece = {.at = tks_node_place(node, d->file)};
    tks_measure_options options = {0};
    part_mask mask;
    char path[PART_LONGEST_PATH];
    bool placed = false;
    tks_frame frame;
    if (!name || name->kind != TKS_SCALAR || !name->length)
        return part_fail(d, TKS_EMISSING, node, "name the mesh's file, as in `mesh: scan.stl`");
    tks_status status = part_path_beside(d, name, path);
    if (!status) status = refuse_other_keys(d, node, alone);
    if (!status) status = read_mesh_options(d, node, &mask, &options);
    if (!status) status = part_piece_counts(d, node, &piece);
    if (!status) status = part_piece_name(d, node, name->text, &piece);
    if (!status && !alone) status = part_place_read(d, node, &placed, &frame);
    if (!status && (placed || cut))
        status = part_fail(d, TKS_EGEOMETRY, node,
                           "a mesh cannot be united with other pieces; leave out its place and say "
                           "what is hidden with `contact` or `masked`");
    if (status) return status;
    if (alone) piece.count = 1;
    status = measure_mesh(m, path, &options, &piece);
    if (status)
        return part_fail(d, status, name, "%.160s: %.140s", path, d->err ? d->err->text : "");
    status = part_piece_mask(m, &mask, (double)piece.count);
    if (!status) status = part_piece_contact(m, &piece);
    return status || !alone ? status : keep_mesh(m, path, &options, piece);
}

tks_status part_piece_mesh(part_making *m, const char *path)
{
    tks_measure_options options = {0};
    tks_piece piece = {.name = m->part->item.name, .count = 1};
    tks_status status = measure_mesh(m, path, &options, &piece);
    return status ? status : keep_mesh(m, path, &options, piece);
}
