/* Two things at once. */
#ifndef MESH_BOTH_H
#define MESH_BOTH_H

typedef struct mesh_task {
    void (*run)(void *context);
    void *context;
} mesh_task;

/* Runs the second on a thread of its own beside the first; after it, where no thread is to be had.
 * Neither may change what the other reads. */
void mesh_do_both(mesh_task first, mesh_task second);

#endif
