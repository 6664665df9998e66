/* The program's own malloc and its kind. They stand before those of the C library for every library,
 * hand on what is asked to whichever come next, and end the program if that fails. */
#define _GNU_SOURCE /* RTLD_NEXT */
#include "memory_out.h"

#include <dlfcn.h>
#include <errno.h>
#include <malloc.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli.h"

static bool quiet;
static const char *log_written;

void memory_out_quietly(void)
{
    quiet = true;
}

void memory_out_after(const char *log)
{
    log_written = log;
}

/* Sanitizers have an allocator of their own, which is to see who asks. Without ours the program ends
 * by the errors of its functions, as the library does for others. */
#if defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(memory_sanitizer) ||                         \
    __has_feature(thread_sanitizer)
#define SANITIZED 1
#endif
#endif
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define SANITIZED 1
#endif

#ifndef SANITIZED

/* Without stdio, which asks for memory and may be in the middle of something. */
static void tell(void)
{
    char line[4096];
    static const char said[] = "coaming: out of memory\n";
    (void)!write(STDERR_FILENO, said, sizeof said - 1);
    int size =
        log_written ? snprintf(line, sizeof line, "coaming: " LOG_WRITTEN "\n", log_written) : 0;
    if (size > 0 && (size_t)size < sizeof line)
        (void)!write(STDERR_FILENO, line, (size_t)size);
}

static _Noreturn void end(void)
{
    static atomic_flag ending = ATOMIC_FLAG_INIT;
    while (atomic_flag_test_and_set(&ending))
        pause(); /* another thread is at it */
    output_take_back();
    progress_cut();
    if (!quiet)
        tell();
    _exit(quiet ? EXIT_DONE : EXIT_MACHINE);
}

static struct {
    void *(*malloc)(size_t size);
    void *(*calloc)(size_t count, size_t size);
    void *(*realloc)(void *old, size_t size);
    void *(*aligned_alloc)(size_t alignment, size_t size);
    void *(*memalign)(size_t alignment, size_t size);
    int (*posix_memalign)(void **made, size_t alignment, size_t size);
} next;

/* ISO C knows no way from an object's pointer to a function's. */
static void find_one(const char *name, void *function)
{
    void *found = dlsym(RTLD_NEXT, name);
    memcpy(function, &found, sizeof found);
}

/* The first call comes from the loader, before there are threads. False: dlsym itself asks, and can
 * do without. */
static bool found(void)
{
    static bool finding;
    if (next.malloc)
        return true;
    if (finding)
        return false;
    finding = true;
    find_one("calloc", &next.calloc);
    find_one("realloc", &next.realloc);
    find_one("aligned_alloc", &next.aligned_alloc);
    find_one("memalign", &next.memalign);
    find_one("posix_memalign", &next.posix_memalign);
    find_one("malloc", &next.malloc);
    finding = false;
    return next.malloc;
}

#define OURS __attribute__((visibility("default")))

OURS void *malloc(size_t size)
{
    if (!found())
        return NULL;
    void *made = next.malloc(size);
    if (!made)
        end();
    return made;
}

OURS void *calloc(size_t count, size_t size)
{
    if (!found())
        return NULL;
    void *made = next.calloc(count, size);
    if (!made)
        end();
    return made;
}

/* To nothing is to free it. */
OURS void *realloc(void *old, size_t size)
{
    if (!found())
        return NULL;
    void *made = next.realloc(old, size);
    if (!made && (size || !old))
        end();
    return made;
}

OURS void *aligned_alloc(size_t alignment, size_t size)
{
    void *made = found() ? next.aligned_alloc(alignment, size) : NULL;
    if (!made && errno == ENOMEM)
        end();
    return made;
}

OURS void *memalign(size_t alignment, size_t size)
{
    void *made = found() ? next.memalign(alignment, size) : NULL;
    if (!made && errno == ENOMEM)
        end();
    return made;
}

OURS int posix_memalign(void **made, size_t alignment, size_t size)
{
    int reason = found() ? next.posix_memalign(made, alignment, size) : EINVAL;
    if (reason == ENOMEM)
        end();
    return reason;
}

#endif
