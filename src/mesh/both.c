#include "mesh/both.h"

#include <pthread.h>
#include <stddef.h>

static void *run(void *task)
{
    const mesh_task *t = task;
    t->run(t->context);
    return NULL;
}

void mesh_do_both(bool at_once, mesh_task first, mesh_task second)
{
    pthread_t thread;
    bool started = at_once && !pthread_create(&thread, NULL, run, &second);
    run(&first);
    if (started)
        pthread_join(thread, NULL);
    else
        run(&second);
}
