#include "mesh/large.h"

#include "base/alloc.h"

#include <linux/mman.h>
#include <stdint.h>
#include <sys/mman.h>

static const size_t page = (size_t)2 << 20, small_page = 4096;

/* Whole large pages, less room for the words that the allocator puts in front: a mapping of so many
 * bytes starts at a large page, and grows by being moved, not copied. */
static size_t rounded(size_t bytes)
{
    return bytes < page ? bytes : (bytes + page + small_page - 1) / page * page - small_page / 2;
}

/* Advises the whole mapping, since one of two kinds could not be moved. The allocator has written
 * into its first page before, which is then the start of a large one only if it is made so. */
static void *advised(void *block, size_t bytes)
{
    if (!block || bytes < page) return block;
    uintptr_t from = (uintptr_t)block & ~(uintptr_t)(small_page - 1);
    uintptr_t to = ((uintptr_t)block + bytes + small_page - 1) & ~(uintptr_t)(small_page - 1);
    madvise((void *)from, to - from, MADV_HUGEPAGE);
    madvise((void *)from, page, MADV_COLLAPSE);
    return block;
}

void *mesh_resize(void *block, size_t count, size_t size)
{
    if (size && count > SIZE_MAX / 2 / size) return NULL;
    size_t bytes = rounded(count * size);
    return advised(base_resize(block, bytes, 1), bytes);
}

void *mesh_alloc(size_t count, size_t size)
{
    if (size && count > SIZE_MAX / 2 / size) return NULL;
    size_t bytes = rounded(count * size);
    return advised(base_alloc(bytes, 1), bytes);
}
