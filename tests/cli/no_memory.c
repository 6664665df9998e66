/*
 * no_memory.c - loaded before the program (LD_PRELOAD) to let a chosen call for memory fail.
 *
 * Counted are the calls that the program itself makes, not those of the libraries. The call number
 * NO_MEMORY_AT (from 1) and all after it get nothing. How many there were is written to the file
 * NO_MEMORY_COUNT at the end. For glibc.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/auxv.h>

extern void *__libc_malloc(size_t size);
extern void *__libc_calloc(size_t count, size_t size);
extern void *__libc_realloc(void *old, size_t size);

static long calls;

/* Does the call from there fail? */
static bool fails(void *from)
{
    static const void *program;
    Dl_info about;
    if (!program && dladdr((void *)getauxval(AT_ENTRY), &about))
        program = about.dli_fbase;
    if (!dladdr(from, &about) || about.dli_fbase != program)
        return false;
    const char *at = getenv("NO_MEMORY_AT");
    calls++;
    if (!at || atol(at) < 1 || calls < atol(at))
        return false;
    errno = ENOMEM;
    return true;
}

void *malloc(size_t size)
{
    return fails(__builtin_return_address(0)) ? NULL : __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    return fails(__builtin_return_address(0)) ? NULL : __libc_calloc(count, size);
}

void *realloc(void *old, size_t size)
{
    return fails(__builtin_return_address(0)) ? NULL : __libc_realloc(old, size);
}

char *strdup(const char *text)
{
    size_t size = strlen(text) + 1;
    char *copy = fails(__builtin_return_address(0)) ? NULL : __libc_malloc(size);
    return copy ? memcpy(copy, text, size) : NULL;
}

__attribute__((destructor)) static void tell(void)
{
    const char *path = getenv("NO_MEMORY_COUNT");
    FILE *out = path ? fopen(path, "w") : NULL;
    if (!out)
        return;
    fprintf(out, "%ld\n", calls);
    fclose(out);
}
