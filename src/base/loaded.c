#define _GNU_SOURCE /* dladdr, which no standard has */
#include "base/loaded.h"

#include <dlfcn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void loaded_from(void (*function)(void), char *buffer, size_t size)
{
    Dl_info info;
    void *at; /* C has no way from a function to an object, POSIX promises one */
    memcpy(&at, &function, sizeof at);
    char *path = dladdr(at, &info) && info.dli_fname ? realpath(info.dli_fname, NULL) : NULL;
    const char *slash = path ? strrchr(path, '/') : NULL;
    snprintf(buffer, size, "%s", slash ? slash + 1 : "?");
    free(path); /* from realpath */
}
