/* Memory that is freed together: a document, a body or a report each live in one arena. room: base
 */
#ifndef TANKSIDE_ARENA_H
#define TANKSIDE_ARENA_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef struct tks_arena tks_arena;

/* A new empty arena, or NULL when memory is short. */
tks_arena *tks_arena_new(void);

/* Frees the arena and all that was taken from it; NULL is allowed. */
void tks_arena_free(tks_arena *arena);

/* Forgets all that was taken, keeping the memory for the next use. */
void tks_arena_reset(tks_arena *arena);

/* count * size zeroed bytes, aligned for any type, owned by the arena.
 * NULL when memory is short or the product overflows. */
void *tks_arena_take(tks_arena *arena, size_t count, size_t size);

/* A copy of length bytes with a final NUL, owned by the arena; NULL when memory is short. */
char *tks_arena_text(tks_arena *arena, const char *text, size_t length);

#ifdef __cplusplus
}
#endif
#endif
