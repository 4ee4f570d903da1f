/* Items of a long list on their way from the reader to whoever takes them. They go in batches, each
 * with memory of its own; from the second batch on a thread takes them while the reader reads on.
 */
#ifndef TEXT_STREAM_H
#define TEXT_STREAM_H

#include "tankside/document.h"

#include <pthread.h>

/* Deep enough that neither side sleeps often: two threads that wake each other all the time are
 * left on one processor. */
enum { TEXT_BATCHES = 48, TEXT_BATCH_ITEMS = 8 };

typedef struct text_batch {
    tks_arena *arena;
    const tks_node *items[TEXT_BATCH_ITEMS];
    size_t count;
    bool kept; /* something in it may be wanted later: its memory is not used again */
} text_batch;

/* Start with {0}. */
typedef struct text_stream {
    const char *first, *key; /* of the map, and of the list in it; NULL: nothing is handed out */
    tks_take *take;
    void *context;
    text_batch batches[TEXT_BATCHES]; /* batch number n is batches[n % TEXT_BATCHES] */
    size_t given, taken;              /* batches; number `given` is being filled */
    bool working, ended;
    tks_error failure; /* the first of take */
    pthread_t worker;
    pthread_mutex_t mutex; /* of given, taken, ended and failure while the worker is there */
    pthread_cond_t moved;
} text_stream;

/* Where the nodes of the next item go; NULL when memory is short. */
tks_arena *text_stream_arena(text_stream *s);

/* Gives an item; nodes: how many there are since the last batch was sent off; keep: it must not be
 * forgotten. *sent tells whether the batch is on its way now. Gives back the error of an item taken
 * so far. */
tks_status text_stream_give(text_stream *s, const tks_node *item, size_t nodes, bool keep,
                            bool *sent, tks_error *err);

/* Waits until all are taken; gives back the error of the first that failed. */
tks_status text_stream_finish(text_stream *s, tks_error *err);

/* Ends the thread. What is kept stays. */
void text_stream_end(text_stream *s);

/* Forgets all items. */
void text_stream_free(text_stream *s);

#endif
