/* Placed pieces are one solid. */
#include "part/reading.h"

tks_status part_unite_piece(part_making *m, const tks_piece *piece, unsigned masked)
{
    (void)masked;
    return tks_fail(m->d->err, TKS_EGEOMETRY, piece->at,
                    "%s is made of solids that overlap, which cannot be united yet", piece->name);
}

tks_status part_unite(part_making *m, const tks_node *node)
{
    for (size_t i = 0; i < m->piece_count; i++)
        if (m->pieces[i].placed || m->pieces[i].cut)
            return tks_fail(
                m->d->err, TKS_EGEOMETRY, m->pieces[i].at,
                "pieces with a place cannot be united yet; leave out at, axis and turn");
    (void)node;
    return TKS_OK;
}
