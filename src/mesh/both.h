/* Two things at once. */
#ifndef MESH_BOTH_H
#define MESH_BOTH_H

#include <stdbool.h>

typedef struct mesh_task {
    void (*run)(void *context);
    void *context;
} mesh_task;

/* at_once: the second runs on a thread of its own beside the first, and neither may change what the
 * other reads. Otherwise, and where no thread is to be had, it runs after it. */
void mesh_do_both(bool at_once, mesh_task first, mesh_task second);

#endif
