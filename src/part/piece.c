/* One piece of a part. What all kinds have is here; shapes, meshes and sheet have files of their
 * own. */
#include "part/piece.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

size_t part_piece_alone_keys(const char *keys[PART_MOST_KEYS], size_t count)
{
    static const char *const alone[] = {"part", "material", "grade", "hardness", "weight"};
    for (size_t i = 0; i < sizeof alone / sizeof *alone; i++) keys[count++] = alone[i];
    return count;
}

tks_status part_piece_name(const part_document *d, const tks_node *node, const char *otherwise,
                           tks_piece *piece)
{
    const tks_node *given = tks_node_get(node, "name");
    piece->name = otherwise;
    if (given && given->length)
        piece->name = tks_arena_text(d->reading->arena, given->text, given->length);
    return piece->name ? TKS_OK : part_fail(d, TKS_EMEMORY, node, "out of memory");
}

/* As snprintf would, which for every piece of a long list takes its time. */
static size_t append(char what[PART_CALLED], size_t used, const char *text)
{
    while (*text && used + 1 < PART_CALLED) what[used++] = *text++;
    what[used] = '\0';
    return used;
}

void part_piece_called(const part_making *m, const tks_piece *piece, char what[PART_CALLED])
{
    const char *part = m->part->item.name;
    bool alone = !part[0] || !strcmp(part, piece->name);
    size_t used = alone ? 0 : append(what, append(what, 0, part), ", ");
    append(what, used, piece->name);
}

tks_status part_piece_counts(const part_document *d, const tks_node *node, tks_piece *piece)
{
    enum { MOST = 1000000 };
    const tks_node *count = tks_node_get(node, "count"), *contact = tks_node_get(node, "contact");
    tks_status status = TKS_OK;
    piece->count = 1;
    if (count) status = tks_node_count(count, d->file, "count", 1, MOST, &piece->count, d->err);
    if (!status && contact)
        status = tks_node_quantity(contact, d->file, TKS_AREA, "contact", &piece->contact, d->err);
    if (!status && piece->contact < 0)
        status = part_fail(d, TKS_EDOMAIN, contact, "contact is '%.40s'; it must not be below zero",
                           contact->text);
    return status;
}

/* Loose pieces have no common axes, so sides are compared by size: shortest with shortest. */
void part_piece_box(part_making *m, tks_vec3 low, tks_vec3 high)
{
    double x = high.x - low.x, y = high.y - low.y, z = high.z - low.z;
    double least = fmin(x, fmin(y, z)), most = fmax(x, fmax(y, z));
    const double sides[3] = {least, x + y + z - least - most, most};
    for (int i = 0; i < 3; i++) m->box[i] = fmax(m->box[i], sides[i]);
}

/* Takes a masked area off and counts it as masked; times: of like pieces. */
tks_status part_piece_mask(part_making *m, const part_mask *mask, double times)
{
    if (mask->area == 0) return TKS_OK;
    if (!part_sum_take(&m->sum, mask->area * times))
        return part_fail(m->d, TKS_EDOMAIN, mask->where,
                         "masked is more than the surface that is there");
    return part_sum_add(&m->sum, TKS_MASKED, mask->area * times, NULL, 0, m->d->err);
}

/* Contact hides a footprint on this piece and as much on the one that it touches. */
tks_status part_piece_contact(part_making *m, const tks_piece *piece)
{
    double hidden = 2 * piece->contact * (double)piece->count;
    if (hidden == 0 || part_sum_take(&m->sum, hidden)) return TKS_OK;
    return tks_fail(m->d->err, TKS_EDOMAIN, piece->at,
                    "contact is more than the surface that is there");
}

/* The array doubles at each power of two. */
tks_status part_piece_keep(part_making *m, const tks_node *node, const tks_piece *piece)
{
    size_t n = m->piece_count;
    if ((n & (n - 1)) == 0) {
        tks_piece *grown = tks_arena_take(m->d->reading->arena, n ? 2 * n : 1, sizeof *grown);
        if (!grown) return part_fail(m->d, TKS_EMEMORY, node, "out of memory");
        if (n) memcpy(grown, m->pieces, n * sizeof *grown);
        m->pieces = grown;
    }
    m->pieces[m->piece_count++] = *piece;
    return TKS_OK;
}

tks_status part_piece_add(part_making *m, const tks_node *node, bool alone, bool cut)
{
    tks_status status = tks_node_expect(node, m->d->file, TKS_MAP, "a piece", m->d->err);
    if (status) return status;
    if (tks_node_get(node, "mesh")) return part_mesh_add(m, node, alone, cut);
    if (tks_node_get(node, "sheet")) return part_sheet_add(m, node);
    return part_shape_add(m, node, alone, cut);
}
