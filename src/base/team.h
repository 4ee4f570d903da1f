/* A team of threads that share out loops. */
#ifndef BASE_TEAM_H
#define BASE_TEAM_H

#include <stddef.h>

typedef struct base_team base_team;

/* A team of so many threads, the caller among them; 0: one for each processor, at most 16. Fewer
 * when the system grants no more. NULL when memory is short. */
base_team *base_team_new(unsigned threads);
void base_team_free(base_team *team);
unsigned base_team_size(const base_team *team);

/* Calls work(context, i) once for every i < count, and returns when all are done. Which thread
 * takes which i is left to chance, so work must write only what belongs to i: then the result does
 * not depend on the number of threads. */
void base_team_run(base_team *team, size_t count, void (*work)(void *context, size_t i),
                   void *context);

#endif
