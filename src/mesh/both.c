#include "mesh/both.h"

#include <pthread.h>
#include <stddef.h>

static void *run(void *task)
{
    const mesh_task *t = task;
    t->run(t->context);
    return NULL;
}

void mesh_do_both(mesh_task first, mesh_task second)
{
    pthread_t thread;
    int refused = pthread_create(&thread, NULL, run, &second);
    run(&first);
    if (refused)
        run(&second);
    else
        pthread_join(thread, NULL);
}
