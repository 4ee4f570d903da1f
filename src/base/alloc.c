#include "base/alloc.h"

#include <stdatomic.h>
#include <stdint.h>
#include <stdlib.h>

/* Calls still to be granted when a test counts down; negative: no test is running. */
static atomic_long granted = -1;

void base_alloc_fail_at(long nth)
{
    atomic_store(&granted, nth > 0 ? nth - 1 : -1);
}

static int refused(void)
{
    long left = atomic_load_explicit(&granted, memory_order_relaxed);
    if (left < 0) return 0;
    if (left == 0) return 1;
    atomic_fetch_sub(&granted, 1);
    return 0;
}

void *base_alloc(size_t count, size_t size)
{
    if (refused() || (size && count > SIZE_MAX / size)) return NULL;
    return calloc(count ? count : 1, size ? size : 1);
}

void *base_resize(void *block, size_t count, size_t size)
{
    if (refused() || (size && count > SIZE_MAX / size)) return NULL;
    size_t bytes = count * size;
    return realloc(block, bytes ? bytes : 1);
}

bool base_grow(void **block, size_t *room, size_t wanted, size_t size)
{
    if (wanted <= *room) return true;
    size_t more = wanted + wanted / 2 + 16;
    void *bigger = more > wanted ? base_resize(*block, more, size) : NULL; /* no overflow */
    if (!bigger) return false;
    *block = bigger;
    *room = more;
    return true;
}

void base_free(void *block)
{
    free(block);
}
