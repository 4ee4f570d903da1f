#include "text/stream.h"

enum {
    MANY = 10000, /* so many nodes are a batch, however few items they are */
    LARGE = 50000 /* batches larger than this are not queued, so that the limit on nodes holds */
};

static text_batch *filling(text_stream *s)
{
    return &s->batches[s->given % TEXT_BATCHES];
}

tks_arena *text_stream_arena(text_stream *s)
{
    text_batch *b = filling(s);
    if (!b->arena) b->arena = tks_arena_new();
    return b->arena;
}

/* Hands the items to take, up to the first that fails, and makes room for new ones. */
static void take_batch(const text_stream *s, text_batch *b, tks_error *failure)
{
    for (size_t i = 0; i < b->count && !failure->code; i++)
        s->take(s->context, b->items[i], failure);
    b->count = 0;
    if (b->arena && !b->kept) tks_arena_reset(b->arena); /* the last batch may be empty */
}

/* ------------------------------------------------------------------ the other thread */

static void *work(void *stream)
{
    text_stream *s = stream;
    tks_error failure = {0};
    pthread_mutex_lock(&s->mutex);
    while (true) {
        while (s->taken == s->given && !s->ended) pthread_cond_wait(&s->moved, &s->mutex);
        if (s->taken == s->given) break;
        text_batch *b = &s->batches[s->taken % TEXT_BATCHES];
        pthread_mutex_unlock(&s->mutex);
        take_batch(s, b, &failure);
        pthread_mutex_lock(&s->mutex);
        if (failure.code && !s->failure.code) s->failure = failure;
        s->taken++;
        pthread_cond_broadcast(&s->moved);
    }
    pthread_mutex_unlock(&s->mutex);
    return NULL;
}

/* Without a thread all goes on as well, one after the other. */
static bool start_work(text_stream *s)
{
    if (s->working) return true;
    if (pthread_mutex_init(&s->mutex, NULL)) return false;
    if (pthread_cond_init(&s->moved, NULL)) {
        pthread_mutex_destroy(&s->mutex);
        return false;
    }
    s->ended = false;
    s->working = !pthread_create(&s->worker, NULL, work, s);
    if (s->working) return true;
    pthread_cond_destroy(&s->moved);
    pthread_mutex_destroy(&s->mutex);
    return false;
}

/* Sends the batch off, and waits until no more than so many are not yet taken. */
static void send_off(text_stream *s, size_t waiting)
{
    pthread_mutex_lock(&s->mutex);
    s->given++;
    pthread_cond_broadcast(&s->moved);
    while (s->given - s->taken > waiting) pthread_cond_wait(&s->moved, &s->mutex);
    pthread_mutex_unlock(&s->mutex);
}

static tks_status result(text_stream *s, tks_error *err)
{
    if (s->working) pthread_mutex_lock(&s->mutex);
    tks_status status = s->failure.code;
    if (status && err) *err = s->failure;
    if (s->working) pthread_mutex_unlock(&s->mutex);
    return status;
}

/* ------------------------------------------------------------------ the reader's side */

tks_status text_stream_give(text_stream *s, const tks_node *item, size_t nodes, bool keep,
                            bool *sent, tks_error *err)
{
    text_batch *b = filling(s);
    b->items[b->count++] = item;
    b->kept = b->kept || keep;
    *sent = b->count == TEXT_BATCH_ITEMS || nodes >= MANY;
    if (!*sent) return TKS_OK;
    if (start_work(s))
        send_off(s, nodes >= LARGE ? 0 : TEXT_BATCHES - 1);
    else
        take_batch(s, b, &s->failure);
    return result(s, err);
}

tks_status text_stream_finish(text_stream *s, tks_error *err)
{
    if (s->working)
        send_off(s, 0);
    else if (filling(s)->count)
        take_batch(s, filling(s), &s->failure);
    return result(s, err);
}

void text_stream_end(text_stream *s)
{
    s->key = NULL;
    if (!s->working) return;
    pthread_mutex_lock(&s->mutex);
    s->ended = true;
    pthread_cond_broadcast(&s->moved);
    pthread_mutex_unlock(&s->mutex);
    pthread_join(s->worker, NULL);
    pthread_cond_destroy(&s->moved);
    pthread_mutex_destroy(&s->mutex);
    s->working = false;
}

void text_stream_free(text_stream *s)
{
    for (int i = 0; i < TEXT_BATCHES; i++) tks_arena_free(s->batches[i].arena);
    *s = (text_stream){.first = s->first, .key = s->key, .take = s->take, .context = s->context};
}
