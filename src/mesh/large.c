#include "mesh/large.h"

#include "base/alloc.h"

#include <stdint.h>
#include <sys/mman.h>

static const size_t page = (size_t)2 << 20, least = (size_t)4 << 20;

static void *advised(void *block, size_t bytes)
{
    if (!block || bytes < least) return block;
    uintptr_t from = ((uintptr_t)block + page - 1) & ~(uintptr_t)(page - 1);
    uintptr_t to = ((uintptr_t)block + bytes) & ~(uintptr_t)(page - 1);
    madvise((void *)from, to - from, MADV_HUGEPAGE);
    return block;
}

void *mesh_resize(void *block, size_t count, size_t size)
{
    return advised(base_resize(block, count, size), count * size);
}

void *mesh_alloc(size_t count, size_t size)
{
    return advised(base_alloc(count, size), count * size);
}
