/* Sets of numbered things: each points to a lower one of its set, the lowest, its root, to itself.
 */
#ifndef BASE_SETS_H
#define BASE_SETS_H

#include <stdbool.h>
#include <stdint.h>

static inline uint32_t base_set_root(uint32_t *parent, uint32_t i)
{
    while (parent[i] != i) i = parent[i] = parent[parent[i]];
    return i;
}

/* Makes one set of two; false when they were one. */
static inline bool base_set_join(uint32_t *parent, uint32_t a, uint32_t b)
{
    a = base_set_root(parent, a), b = base_set_root(parent, b);
    if (a == b) return false;
    if (a < b)
        parent[b] = a;
    else
        parent[a] = b;
    return true;
}

#endif
