/* Checked allocation: every block of the library comes from here, so that a test can fail each. */
#ifndef BASE_ALLOC_H
#define BASE_ALLOC_H

#include <stdbool.h>
#include <stddef.h>

/* count * size bytes, zeroed; NULL when memory is short or the product overflows. Free with
 * base_free. */
void *base_alloc(size_t count, size_t size);

/* Resizes a block to count * size bytes (new bytes are not zeroed); NULL leaves the old block
 * alone. */
void *base_resize(void *block, size_t count, size_t size);

/* Resizes a block whose room is for fewer than the wanted count to half as many more; false, and
 * all as it was, when memory is short. */
bool base_grow(void **block, size_t *room, size_t wanted, size_t size);

/* Frees a block; NULL is allowed. */
void base_free(void *block);

/* Test hook: the nth allocation from now on (1 = the next one) and all later ones fail; 0 = never.
 */
void base_alloc_fail_at(long nth);

#endif
