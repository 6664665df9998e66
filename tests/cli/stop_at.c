/*
 * stop_at.c - loaded before the program (LD_PRELOAD) to stop it at a chosen call, or to let that
 * call fail, as a crash or a full disk would.
 *
 * Counted are the calls that change a file below the folder STOP_IN, and taking its lock. The call
 * number STOP_AT (from 1) is not made: with STOP_ERROR=NUMBER it fails with that errno, else the
 * process kills itself. A write that is stopped writes half of its text before; with STOP_ERROR all
 * later writes fail too, as on a disk that is full. What was called is added to the file
 * STOP_TRACE, one line for each call.
 */
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

enum { DESCRIPTORS = 256 };
static char *names[DESCRIPTORS]; /* of the files that are watched, by descriptor */
static int calls;
static bool full;

static bool watched(const char *path)
{
    const char *folder = getenv("STOP_IN");
    return folder && !strncmp(path, folder, strlen(folder));
}

static const char *name_of(int descriptor)
{
    return descriptor >= 0 && descriptor < DESCRIPTORS ? names[descriptor] : NULL;
}

static void trace(const char *what, const char *path)
{
    char line[2 * PATH_MAX];
    const char *file = getenv("STOP_TRACE");
    int out =
        file ? (int)syscall(SYS_openat, AT_FDCWD, file, O_WRONLY | O_CREAT | O_APPEND, 0600) : -1;
    if (out < 0)
        return;
    int size = snprintf(line, sizeof line, "%s %s\n", what, path);
    syscall(SYS_write, out, line, size);
    syscall(SYS_close, out);
}

/* Counts a call; true if it is the one to be stopped and shall fail, errno set. */
static bool stops(const char *what, const char *path)
{
    const char *at = getenv("STOP_AT"), *error = getenv("STOP_ERROR");
    trace(what, path);
    if (++calls != (at ? atoi(at) : 0))
        return false;
    if (!error)
        kill(getpid(), SIGKILL);
    errno = error ? atoi(error) : 0;
    return true;
}

int open(const char *path, int flags, ...)
{
    va_list rest;
    va_start(rest, flags);
    mode_t mode = flags & O_CREAT ? va_arg(rest, mode_t) : 0;
    va_end(rest);
    if (watched(path) && flags & O_CREAT && stops("create", path))
        return -1;
    int found = (int)syscall(SYS_openat, AT_FDCWD, path, flags, mode);
    if (found >= 0 && found < DESCRIPTORS && watched(path)) {
        free(names[found]);
        names[found] = strdup(path);
    }
    return found;
}

int close(int descriptor)
{
    if (name_of(descriptor)) {
        free(names[descriptor]);
        names[descriptor] = NULL;
    }
    return (int)syscall(SYS_close, descriptor);
}

ssize_t write(int descriptor, const void *text, size_t size)
{
    const char *name = name_of(descriptor), *at = getenv("STOP_AT");
    if (!name)
        return syscall(SYS_write, descriptor, text, size);
    if (!full && at && calls + 1 == atoi(at) && size > 1) {
        ssize_t half = syscall(SYS_write, descriptor, text, size / 2);
        full = true;
        calls++;
        trace("write", name);
        return getenv("STOP_ERROR") || half < 0 ? half : (kill(getpid(), SIGKILL), -1);
    }
    if (full || stops("write", name)) {
        const char *error = getenv("STOP_ERROR");
        errno = error ? atoi(error) : ENOSPC;
        return -1;
    }
    return syscall(SYS_write, descriptor, text, size);
}

int fsync(int descriptor)
{
    const char *name = name_of(descriptor);
    return name && stops("fsync", name) ? -1 : (int)syscall(SYS_fsync, descriptor);
}

int flock(int descriptor, int operation)
{
    const char *name = name_of(descriptor);
    return name && stops("flock", name) ? -1 : (int)syscall(SYS_flock, descriptor, operation);
}

int fchmod(int descriptor, mode_t mode)
{
    const char *name = name_of(descriptor);
    return name && stops("fchmod", name) ? -1 : (int)syscall(SYS_fchmod, descriptor, mode);
}

int rename(const char *old, const char *new)
{
    return watched(new) && stops("rename", new)
               ? -1
               : (int)syscall(SYS_renameat, AT_FDCWD, old, AT_FDCWD, new);
}

int link(const char *old, const char *new)
{
    return watched(new) && stops("link", new)
               ? -1
               : (int)syscall(SYS_linkat, AT_FDCWD, old, AT_FDCWD, new, 0);
}

int unlink(const char *path)
{
    return watched(path) && stops("unlink", path) ? -1
                                                  : (int)syscall(SYS_unlinkat, AT_FDCWD, path, 0);
}
