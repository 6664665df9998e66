/*
 * no_memory.c - loaded before the program (LD_PRELOAD) to let a chosen call for memory fail.
 *
 * Counted are all calls of the process, the libraries' too. The call number NO_MEMORY_AT (from 1)
 * gets nothing, and with NO_MEMORY_ON=1 none after it does. How many there were is written to the
 * file NO_MEMORY_COUNT at the end. Calls before there are surroundings to read (of the loader) are
 * counted and never fail. For glibc, which makes strdup, getline, fopen and the like of these calls.
 */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <malloc.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

extern void *__libc_malloc(size_t size);
extern void *__libc_calloc(size_t count, size_t size);
extern void *__libc_realloc(void *old, size_t size);
extern void *__libc_memalign(size_t alignment, size_t size);

static atomic_long calls; /* threads ask too */

static bool fails(void)
{
    static atomic_long at = -1;
    static atomic_bool on;
    long number = atomic_fetch_add(&calls, 1) + 1;
    if (at < 0 && environ) {
        const char *chosen = getenv("NO_MEMORY_AT");
        on = getenv("NO_MEMORY_ON") != NULL;
        at = chosen ? atol(chosen) : 0;
    }
    if (at < 1 || number < at || (number > at && !on))
        return false;
    errno = ENOMEM;
    return true;
}

void *malloc(size_t size)
{
    return fails() ? NULL : __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    return fails() ? NULL : __libc_calloc(count, size);
}

/* What is given back by asking for nothing cannot fail. */
void *realloc(void *old, size_t size)
{
    return (!old || size) && fails() ? NULL : __libc_realloc(old, size);
}

void *reallocarray(void *old, size_t count, size_t size)
{
    size_t all;
    if (__builtin_mul_overflow(count, size, &all)) {
        errno = ENOMEM;
        return NULL;
    }
    return realloc(old, all);
}

void *memalign(size_t alignment, size_t size)
{
    return fails() ? NULL : __libc_memalign(alignment, size);
}

void *aligned_alloc(size_t alignment, size_t size)
{
    return fails() ? NULL : __libc_memalign(alignment, size);
}

int posix_memalign(void **out, size_t alignment, size_t size)
{
    void *made = fails() ? NULL : __libc_memalign(alignment, size);
    if (!made)
        return ENOMEM;
    *out = made;
    return 0;
}

__attribute__((destructor)) static void tell(void)
{
    char text[24];
    const char *path = getenv("NO_MEMORY_COUNT");
    int out = path ? open(path, O_WRONLY | O_CREAT | O_TRUNC, 0600) : -1;
    if (out < 0)
        return;
    int size = snprintf(text, sizeof text, "%ld\n", (long)calls);
    if (write(out, text, (size_t)size) != size)
        _exit(99);
    close(out);
}
