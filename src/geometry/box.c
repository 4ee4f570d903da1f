#include "geometry/segment.h"

#include "base/alloc.h"

#include <math.h>
#include <stdlib.h>

enum { FEW = 64 }; /* up to here every pair is looked at */

typedef struct entry {
    double low;
    size_t box;
} entry;

static bool overlap(const geometry_box *a, const geometry_box *b)
{
    return a->low.x <= b->high.x && b->low.x <= a->high.x && a->low.y <= b->high.y &&
           b->low.y <= a->high.y;
}

static int by_low(const void *a, const void *b)
{
    double x = ((const entry *)a)->low, y = ((const entry *)b)->low;
    return (x > y) - (x < y);
}

/* Sorting along the longer side of the whole keeps the list of open boxes short. */
static bool along_x(const geometry_box *boxes, size_t count)
{
    geometry_box whole = boxes[0];
    for (size_t i = 1; i < count; i++) {
        whole.low.x = fmin(whole.low.x, boxes[i].low.x);
        whole.low.y = fmin(whole.low.y, boxes[i].low.y);
        whole.high.x = fmax(whole.high.x, boxes[i].high.x);
        whole.high.y = fmax(whole.high.y, boxes[i].high.y);
    }
    return whole.high.x - whole.low.x >= whole.high.y - whole.low.y;
}

static void visit_all(const geometry_box *boxes, size_t count,
                      bool (*visit)(void *context, size_t i, size_t j), void *context)
{
    for (size_t i = 0; i < count; i++)
        for (size_t j = i + 1; j < count; j++)
            if (overlap(&boxes[i], &boxes[j]) && !visit(context, i, j)) return;
}

static void visit_sorted(const geometry_box *boxes, size_t count, const entry *order, bool x,
                         bool (*visit)(void *context, size_t i, size_t j), void *context)
{
    for (size_t k = 0; k < count; k++) {
        size_t i = order[k].box;
        double high = x ? boxes[i].high.x : boxes[i].high.y;
        for (size_t n = k + 1; n < count && order[n].low <= high; n++) {
            size_t j = order[n].box;
            if (!overlap(&boxes[i], &boxes[j])) continue;
            if (!visit(context, i < j ? i : j, i < j ? j : i)) return;
        }
    }
}

tks_status geometry_box_pairs(const geometry_box *boxes, size_t count,
                              bool (*visit)(void *context, size_t i, size_t j), void *context)
{
    if (count <= FEW) {
        visit_all(boxes, count, visit, context);
        return TKS_OK;
    }
    entry *order = base_alloc(count, sizeof *order);
    if (!order) return TKS_EMEMORY;
    bool x = along_x(boxes, count);
    for (size_t i = 0; i < count; i++) order[i] = (entry){x ? boxes[i].low.x : boxes[i].low.y, i};
    qsort(order, count, sizeof *order, by_low);
    visit_sorted(boxes, count, order, x, visit, context);
    base_free(order);
    return TKS_OK;
}
