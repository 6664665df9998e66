/*
 * no_memory.c - loaded before the program (LD_PRELOAD) to let a chosen call for memory fail.
 *
 * Counted are all calls of the process, the libraries' too. The call number NO_MEMORY_AT (from 1)
 * gets nothing, and with NO_MEMORY_ON=1 none after it does; nor does any once there is a file of
 * the name NO_MEMORY_AFTER. How many there were is written to the file NO_MEMORY_COUNT at the end,
 * and to NO_MEMORY_MARKS for each of them 32 bits of how much was asked for and from where, which
 * are the same for the same call of another run. Calls before there are surroundings to read (of
 * the loader) are counted and never fail. For glibc, which makes strdup, getline, fopen and the
 * like of these calls.
 */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <malloc.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

extern void *__libc_malloc(size_t size);
extern void *__libc_calloc(size_t count, size_t size);
extern void *__libc_realloc(void *old, size_t size);
extern void *__libc_memalign(size_t alignment, size_t size);

#define FROM      __builtin_return_address(0)
#define MAX_MARKS (1L << 20)

static atomic_long calls; /* threads ask too */
static uint32_t marks[MAX_MARKS];

/* Of an address the place within its page is kept, for a page lies elsewhere in each run. */
static bool fails(size_t size, const void *from)
{
    static atomic_long at = -1;
    static atomic_bool on;
    static const char *_Atomic after;
    long number = atomic_fetch_add(&calls, 1) + 1;
    if (number <= MAX_MARKS)
        marks[number - 1] = (uint32_t)(size << 12 | ((uintptr_t)from & 0xfff));
    if (at < 0 && environ) {
        const char *chosen = getenv("NO_MEMORY_AT");
        on = getenv("NO_MEMORY_ON") != NULL;
        after = getenv("NO_MEMORY_AFTER");
        at = chosen ? atol(chosen) : 0;
    }
    bool is_late = after && access(after, F_OK) == 0;
    if (!is_late && (at < 1 || number < at || (number > at && !on)))
        return false;
    errno = ENOMEM;
    return true;
}

void *malloc(size_t size)
{
    return fails(size, FROM) ? NULL : __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    return fails(count * size, FROM) ? NULL : __libc_calloc(count, size);
}

/* What is given back by asking for nothing cannot fail. */
void *realloc(void *old, size_t size)
{
    return (!old || size) && fails(size, FROM) ? NULL : __libc_realloc(old, size);
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
    return fails(size, FROM) ? NULL : __libc_memalign(alignment, size);
}

void *aligned_alloc(size_t alignment, size_t size)
{
    return fails(size, FROM) ? NULL : __libc_memalign(alignment, size);
}

int posix_memalign(void **out, size_t alignment, size_t size)
{
    void *made = fails(size, FROM) ? NULL : __libc_memalign(alignment, size);
    if (!made)
        return ENOMEM;
    *out = made;
    return 0;
}

static void put(const char *name, const void *data, size_t size)
{
    const char *path = getenv(name);
    int out = path ? open(path, O_WRONLY | O_CREAT | O_TRUNC, 0600) : -1;
    if (out < 0)
        return;
    if (write(out, data, size) != (ssize_t)size)
        _exit(99);
    close(out);
}

__attribute__((destructor)) static void tell(void)
{
    char text[24];
    long all = calls;
    put("NO_MEMORY_COUNT", text, (size_t)snprintf(text, sizeof text, "%ld\n", all));
    put("NO_MEMORY_MARKS", marks, sizeof marks[0] * (size_t)(all < MAX_MARKS ? all : MAX_MARKS));
}
