/* The shape files that are built into the library: made from shapes/ by src/shape/embed.sh. */
#ifndef SHAPE_BUILTIN_H
#define SHAPE_BUILTIN_H

#include <stdbool.h>
#include <stddef.h>

/* Files first, in the order of the list shapes/ORDER; then the shapes' other names. */
typedef struct shape_builtin {
    const char *name, *file;
    const char *text;
    size_t length;
    bool other; /* another name of the shape with index of */
    size_t of;
} shape_builtin;

extern const shape_builtin shape_builtins[];
extern const size_t shape_builtin_count;

#endif
