#include "tankside/arena.h"

#include "base/alloc.h"

#include <stdint.h>
#include <string.h>

/* Under a sanitizer each piece gets a block of its own, so that an overrun is seen. */
#if defined(__SANITIZE_ADDRESS__)
#define ONE_BLOCK_EACH 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define ONE_BLOCK_EACH 1
#endif
#endif
#ifndef ONE_BLOCK_EACH
#define ONE_BLOCK_EACH 0
#endif

enum { FIRST_BLOCK = 4096, LARGEST_BLOCK = 1 << 20, ALIGNMENT = _Alignof(max_align_t) };

typedef struct block {
    struct block *next;
    size_t size, used; /* of the bytes behind this header */
    max_align_t bytes[];
} block;

struct tks_arena {
    block *first; /* newest first */
    size_t next_size;
};

tks_arena *tks_arena_new(void)
{
    tks_arena *arena = base_alloc(1, sizeof *arena);
    if (arena) arena->next_size = FIRST_BLOCK;
    return arena;
}

static void free_blocks(block *b)
{
    while (b) {
        block *next = b->next;
        base_free(b);
        b = next;
    }
}

void tks_arena_free(tks_arena *arena)
{
    if (!arena) return;
    free_blocks(arena->first);
    base_free(arena);
}

/* Keeps the newest block, the largest of those that grew: the next document will want about as
 * much. */
void tks_arena_reset(tks_arena *arena)
{
    block *kept = ONE_BLOCK_EACH ? NULL : arena->first;
    free_blocks(kept ? kept->next : arena->first);
    if (kept) {
        kept->next = NULL;
        memset(kept->bytes, 0, kept->used);
        kept->used = 0;
    }
    arena->first = kept;
}

static block *add_block(tks_arena *arena, size_t size)
{
    block *b = base_alloc(1, sizeof *b + size);
    if (!b) return NULL;
    b->size = size;
    b->next = arena->first;
    arena->first = b;
    return b;
}

void *tks_arena_take(tks_arena *arena, size_t count, size_t size)
{
    if (size && count > (SIZE_MAX / 2) / size) return NULL;
    size_t bytes = (count * size + ALIGNMENT - 1) / ALIGNMENT * ALIGNMENT;
    block *b = arena->first;
    if (ONE_BLOCK_EACH) {
        b = add_block(arena, bytes);
    } else if (!b || b->size - b->used < bytes) {
        b = add_block(arena, bytes > arena->next_size ? bytes : arena->next_size);
        if (arena->next_size < LARGEST_BLOCK) arena->next_size *= 2;
    }
    if (!b) return NULL;
    void *taken = (char *)b->bytes + b->used;
    b->used += bytes;
    return taken;
}

char *tks_arena_text(tks_arena *arena, const char *text, size_t length)
{
    char *copy = length < SIZE_MAX ? tks_arena_take(arena, length + 1, 1) : NULL;
    if (copy) memcpy(copy, text, length);
    return copy;
}
