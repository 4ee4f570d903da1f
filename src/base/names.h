/* Names as users write them: space, '-' and '_' are alike, capitals do not matter. */
#ifndef BASE_NAMES_H
#define BASE_NAMES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Whether text (length bytes) and the NUL-ended name are the same name. Allocates nothing. */
bool base_name_same(const char *text, size_t length, const char *name);

/* The same; most names differ in their first letter, which is seen without a call. */
static inline bool base_name_is(const char *text, size_t length, const char *name)
{
    bool other = length && text[0] >= 'a' && name[0] >= 'a' && text[0] != name[0];
    return !other && base_name_same(text, length, name);
}

/* Order of two names of the same length [bytes], as strcmp gives it; 0 when they are the same name.
 */
int base_name_order(const char *a, const char *b, size_t length);

/* A hash of a name, the same for the same name: FNV-1a, draft-eastlake-fnv. */
uint64_t base_name_hash(const char *text, size_t length);

/* Edit distance of two names (insert, delete, replace, swap of neighbours), each at most 63 bytes;
 * longer ones are compared by their first 63. Source: Damerau, Commun. ACM 7 (1964) 171. */
int base_name_distance(const char *a, size_t a_length, const char *b);

/* The nearest of count names to text, or NULL when none is near enough to be meant
 * (more than a third of its letters differ). name(context, i) gives the i-th. */
const char *base_name_nearest(const char *text, size_t length, size_t count,
                              const char *(*name)(const void *context, size_t i),
                              const void *context);

/* The same for an array of strings. */
const char *base_name_nearest_of(const char *text, size_t length, const char *const *names,
                                 size_t count);

#endif
