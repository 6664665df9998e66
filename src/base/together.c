#include "base/together.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <unistd.h>

unsigned together_threads(size_t jobs)
{
    long processors = sysconf(_SC_NPROCESSORS_ONLN);
    size_t threads = processors < 1 ? 1 : (size_t)processors;
    threads = threads > TOGETHER_MOST ? TOGETHER_MOST : threads;
    threads = threads > jobs ? jobs : threads;
    return threads ? (unsigned)threads : 1;
}

typedef struct {
    together_job work;
    void *data;
    size_t count;
    atomic_size_t taken;
    atomic_bool failed;
} heap;

typedef struct {
    heap *heap;
    pthread_t thread;
    size_t job; /* that failed */
    unsigned number;
    coaming_status status;
    coaming_error error;
    bool started;
} worker;

static void *work_on(void *given)
{
    worker *w = given;
    heap *h = w->heap;
    while (!atomic_load(&h->failed)) {
        size_t job = atomic_fetch_add(&h->taken, 1);
        if (job >= h->count)
            break;
        w->status = h->work(h->data, w->number, job, &w->error);
        if (w->status == COAMING_OK)
            continue;
        w->job = job;
        atomic_store(&h->failed, true);
        break;
    }
    return NULL;
}

coaming_status together_do(unsigned threads, size_t count, together_job work, void *data,
                           coaming_error *error)
{
    heap h = {.work = work, .data = data, .count = count};
    worker workers[TOGETHER_MOST] = {{0}};
    const worker *first = NULL;
    workers[0].heap = &h;
    for (unsigned i = 0; i < threads && i < TOGETHER_MOST; i++)
        workers[i] = (worker){.heap = &h, .number = i};
    for (unsigned i = 1; i < threads && i < TOGETHER_MOST; i++)
        workers[i].started = pthread_create(&workers[i].thread, NULL, work_on, &workers[i]) == 0;
    work_on(&workers[0]);
    for (unsigned i = 0; i < threads && i < TOGETHER_MOST; i++) {
        if (workers[i].started)
            pthread_join(workers[i].thread, NULL);
        if (workers[i].status != COAMING_OK && (!first || workers[i].job < first->job))
            first = &workers[i];
    }
    if (!first)
        return COAMING_OK;
    if (error)
        *error = first->error;
    return first->status;
}
