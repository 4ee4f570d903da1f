#include "base/team.h"

#include "base/alloc.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <unistd.h>

enum { MOST_THREADS = 16 };

struct base_team {
    pthread_t thread[MOST_THREADS];
    unsigned size; /* the caller included */
    pthread_mutex_t lock;
    pthread_cond_t begin, end;
    unsigned long round; /* counts the loops shared out */
    unsigned busy;       /* helpers still in this round */
    bool leave;
    void (*work)(void *, size_t);
    void *context;
    size_t count;
    atomic_size_t next;
};

static void take_items(base_team *team)
{
    for (;;) {
        size_t i = atomic_fetch_add_explicit(&team->next, 1, memory_order_relaxed);
        if (i >= team->count) return;
        team->work(team->context, i);
    }
}

static void *help(void *argument)
{
    base_team *team = argument;
    unsigned long seen = 0;
    pthread_mutex_lock(&team->lock);
    for (;;) {
        while (!team->leave && team->round == seen) pthread_cond_wait(&team->begin, &team->lock);
        if (team->leave) break;
        seen = team->round;
        pthread_mutex_unlock(&team->lock);
        take_items(team);
        pthread_mutex_lock(&team->lock);
        if (--team->busy == 0) pthread_cond_signal(&team->end);
    }
    pthread_mutex_unlock(&team->lock);
    return NULL;
}

base_team *base_team_new(unsigned threads)
{
    long processors = sysconf(_SC_NPROCESSORS_ONLN);
    if (threads == 0) threads = processors > 1 ? (unsigned)processors : 1;
    if (threads > MOST_THREADS) threads = MOST_THREADS;
    base_team *team = base_alloc(1, sizeof *team);
    if (!team) return NULL;
    pthread_mutex_init(&team->lock, NULL);
    pthread_cond_init(&team->begin, NULL);
    pthread_cond_init(&team->end, NULL);
    team->size = 1;
    while (team->size < threads &&
           pthread_create(&team->thread[team->size - 1], NULL, help, team) == 0)
        team->size++;
    return team;
}

void base_team_free(base_team *team)
{
    if (!team) return;
    pthread_mutex_lock(&team->lock);
    team->leave = true;
    pthread_cond_broadcast(&team->begin);
    pthread_mutex_unlock(&team->lock);
    for (unsigned i = 0; i + 1 < team->size; i++) pthread_join(team->thread[i], NULL);
    pthread_cond_destroy(&team->end);
    pthread_cond_destroy(&team->begin);
    pthread_mutex_destroy(&team->lock);
    base_free(team);
}

unsigned base_team_size(const base_team *team)
{
    return team->size;
}

void base_team_run(base_team *team, size_t count, void (*work)(void *context, size_t i),
                   void *context)
{
    if (team->size == 1 || count < 2) {
        for (size_t i = 0; i < count; i++) work(context, i);
        return;
    }
    pthread_mutex_lock(&team->lock);
    team->work = work;
    team->context = context;
    team->count = count;
    atomic_store(&team->next, 0);
    team->busy = team->size - 1;
    team->round++;
    pthread_cond_broadcast(&team->begin);
    pthread_mutex_unlock(&team->lock);
    take_items(team);
    pthread_mutex_lock(&team->lock);
    while (team->busy > 0) pthread_cond_wait(&team->end, &team->lock);
    pthread_mutex_unlock(&team->lock);
}
