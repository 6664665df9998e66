#include "base/replace.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/error.h"
#include "base/memory.h"

static coaming_status cannot(const char *path, coaming_error *error)
{
    int reason = errno;
    return reason == ENOMEM ? error_memory(error)
                            : error_set(error, COAMING_WRITE, "%s: cannot be written: %s", path,
                                        strerror(reason));
}

static char *copy_with(const char *path, const char *ending)
{
    size_t size = strlen(path) + strlen(ending) + 1;
    char *copy = memory_new(size, 1);
    if (copy)
        snprintf(copy, size, "%s%s", path, ending);
    return copy;
}

static bool same_file(const struct stat *a, const struct stat *b)
{
    return a->st_dev == b->st_dev && a->st_ino == b->st_ino;
}

/* Waits for the lock on an open file. */
static bool wait_for(int descriptor)
{
    while (flock(descriptor, LOCK_EX))
        if (errno != EINTR)
            return false;
    return true;
}

/* Waits for the lock and makes sure that the path still leads to what is locked. */
static coaming_status lock(replacement *r, coaming_error *error)
{
    for (;;) {
        struct stat locked, named;
        r->lock = open(r->target, O_RDWR | O_CLOEXEC | O_NONBLOCK);
        if (r->lock < 0)
            return errno == ENOENT ? COAMING_OK : cannot(r->target, error);
        if (fstat(r->lock, &locked))
            return cannot(r->target, error);
        if (!S_ISREG(locked.st_mode))
            return error_set(error, COAMING_NO_FILE, "%s: is not a plain file", r->target);
        if (!wait_for(r->lock))
            return cannot(r->target, error);
        if (stat(r->target, &named) == 0 && same_file(&locked, &named))
            return COAMING_OK;
        close(r->lock); /* it was replaced while we waited */
        r->lock = -1;
    }
}

coaming_status replace_begin(replacement *r, const char *path, bool *exists, coaming_error *error)
{
    char real[PATH_MAX];
    struct stat named;
    *r = (replacement){.lock = -1};
    r->target = copy_with(realpath(path, real) ? real : path, "");
    r->unfinished = r->target ? copy_with(r->target, ".unfinished") : NULL;
    r->begun = r->target ? copy_with(r->target, ".begun") : NULL;
    if (!r->unfinished || !r->begun)
        return error_memory(error);
    if (lstat(r->target, &named) == 0 && S_ISLNK(named.st_mode))
        return error_set(error, COAMING_NO_FILE, "%s: is a symbolic link that leads nowhere",
                         r->target);
    coaming_status status = lock(r, error);
    *exists = r->lock >= 0;
    return status;
}

static bool write_all(int descriptor, const char *text, size_t size)
{
    while (size) {
        ssize_t written = write(descriptor, text, size);
        if (written < 0 && errno == EINTR)
            continue;
        if (written < 0)
            return false;
        text += written;
        size -= (size_t)written;
    }
    return true;
}

/* The file beside a log that exists: its writers have its lock, so what stands there was left by
 * one that was stopped. */
static int open_beside(const replacement *r)
{
    int beside;
    while ((beside = open(r->unfinished, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666)) < 0)
        if (errno != EEXIST || unlink(r->unfinished))
            return -1;
    return beside;
}

/* The file beside a log that is not there yet. Those who begin a log meet at it, and its own lock
 * tells who is first. *raced: the log is there now. */
static int open_first(const replacement *r, bool *raced)
{
    struct stat locked, named;
    for (;;) {
        int first = open(r->begun, O_WRONLY | O_CREAT | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK, 0666);
        if (first < 0 && (errno == ELOOP || errno == ENXIO) && unlink(r->begun) == 0)
            continue; /* a link or a pipe laid there */
        if (first < 0)
            return -1;
        if (!wait_for(first)) {
            unlink(r->begun);
            close(first);
            return -1;
        }
        bool still = fstat(first, &locked) == 0 && lstat(r->begun, &named) == 0 &&
                     same_file(&locked, &named);
        *raced = still && (locked.st_nlink > 1 || access(r->target, F_OK) == 0);
        if (still && !*raced)
            return first;
        if (*raced)
            unlink(r->begun); /* not to be emptied: it may be the log itself */
        close(first);
        if (*raced)
            return -1;
    }
}

/* What one that was stopped while it began this log has left beside it. One that is still at it has
 * the lock, and will see that it comes too late. */
static void sweep(const replacement *r)
{
    struct stat locked, log;
    int left = open(r->begun, O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
    if (left < 0)
        return;
    bool same = fstat(left, &locked) == 0 && fstat(r->lock, &log) == 0 && same_file(&locked, &log);
    if (same || flock(left, LOCK_EX | LOCK_NB) == 0)
        unlink(r->begun);
    close(left);
}

/* Writes and syncs the new text, with the owner and the permissions that the old one has. */
static bool fill_beside(const replacement *r, int beside, const text_piece *pieces, size_t count)
{
    struct stat old;
    bool good = ftruncate(beside, 0) == 0; /* of a writer that was stopped */
    if (good && r->lock >= 0 && fstat(r->lock, &old) == 0) {
        (void)!fchown(beside, old.st_uid, old.st_gid); /* may not be ours to give */
        good = fchmod(beside, old.st_mode & 07777) == 0;
    }
    for (size_t i = 0; i < count && good; i++)
        good = write_all(beside, pieces[i].text, pieces[i].size);
    return good && fsync(beside) == 0;
}

/* Without this the rename itself could be lost with the power. */
static bool sync_folder(const char *target)
{
    char path[PATH_MAX];
    if (strlen(target) >= sizeof path)
        return true;
    memcpy(path, target, strlen(target) + 1);
    int folder = open(dirname(path), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (folder < 0)
        return errno == EACCES; /* a folder that may be written but not read */
    bool good = fsync(folder) == 0 || errno == EINVAL || errno == EROFS;
    close(folder);
    return good;
}

/* Gives a new file its name, but not over one that came in the meantime. */
static bool put_new(const replacement *r, bool *raced)
{
    if (link(r->begun, r->target) == 0) {
        unlink(r->begun);
        return true;
    }
    *raced = errno == EEXIST || errno == ENOENT;                  /* ENOENT: taken from under us */
    if (errno == EPERM || errno == EOPNOTSUPP || errno == ENOSYS) /* no links here (FAT) */
        return rename(r->begun, r->target) == 0;
    return false;
}

/* errno tells why not, unless it was raced. */
static bool write_beside(const replacement *r, const text_piece *pieces, size_t count, bool *raced)
{
    bool exists = r->lock >= 0;
    int beside = exists ? open_beside(r) : open_first(r, raced);
    if (beside < 0)
        return false;
    bool good = fill_beside(r, beside, pieces, count) &&
                (exists ? rename(r->unfinished, r->target) == 0 : put_new(r, raced));
    int reason = errno;
    if (!good)
        unlink(exists ? r->unfinished : r->begun);
    close(beside);
    if (good && exists)
        sweep(r);
    errno = reason;
    return good;
}

coaming_status replace_write(replacement *r, const text_piece *pieces, size_t count, bool *again,
                             coaming_error *error)
{
    bool raced = false;
    bool good = write_beside(r, pieces, count, &raced);
    if (again)
        *again = raced;
    if (raced)
        return COAMING_OK;
    if (!good)
        return cannot(r->target, error);
    if (!sync_folder(r->target))
        return error_set(error, COAMING_WRITE,
                         "%s: has been written, but its folder could not be synced to the disk: %s",
                         r->target, strerror(errno));
    return COAMING_OK;
}

void replace_end(replacement *r)
{
    if (r->lock >= 0)
        close(r->lock);
    r->lock = -1;
    memory_free(r->target);
    memory_free(r->unfinished);
    memory_free(r->begun);
    r->target = r->unfinished = r->begun = NULL;
}
