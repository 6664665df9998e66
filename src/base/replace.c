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
        while (flock(r->lock, LOCK_EX))
            if (errno != EINTR)
                return cannot(r->target, error);
        if (stat(r->target, &named) == 0 && named.st_dev == locked.st_dev &&
            named.st_ino == locked.st_ino)
            return COAMING_OK;
        close(r->lock); /* it was replaced while we waited */
        r->lock = -1;
    }
}

coaming_status replace_begin(replacement *r, const char *path, bool *exists, coaming_error *error)
{
    char real[PATH_MAX];
    struct stat named;
    *r = (replacement){NULL, NULL, -1};
    r->target = copy_with(realpath(path, real) ? real : path, "");
    r->unfinished = r->target ? copy_with(r->target, ".unfinished") : NULL;
    if (!r->unfinished)
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

/* Opens the file beside, empty. Writers of a log that exists have its lock, so nobody else is at
 * it; those who begin a log meet at this file, and its own lock tells who is first. Returns -1 if
 * there is none to be had. */
static int open_beside(const replacement *r)
{
    struct stat locked, named;
    for (;;) {
        int beside = open(r->unfinished, O_WRONLY | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0666);
        if (beside < 0 && errno == ELOOP && unlink(r->unfinished) == 0)
            continue; /* a link laid there leads elsewhere */
        if (beside < 0)
            return -1;
        while (flock(beside, LOCK_EX)) {
            if (errno != EINTR) {
                close(beside);
                return -1;
            }
        }
        if (fstat(beside, &locked) == 0 && stat(r->unfinished, &named) == 0 &&
            named.st_dev == locked.st_dev && named.st_ino == locked.st_ino)
            return beside;
        close(beside); /* it became the log while we waited */
    }
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
        return true; /* a folder that may be written but not read */
    bool good = fsync(folder) == 0 || errno == EINVAL || errno == EROFS;
    close(folder);
    return good;
}

/* Gives a new file its name, but not over one that came in the meantime. */
static bool put_new(const replacement *r, bool *again)
{
    if (link(r->unfinished, r->target) == 0) {
        unlink(r->unfinished);
        return true;
    }
    *again = errno == EEXIST;
    if (errno == EPERM || errno == EOPNOTSUPP || errno == ENOSYS) /* no links here (FAT) */
        return rename(r->unfinished, r->target) == 0;
    return false;
}

coaming_status replace_write(replacement *r, const text_piece *pieces, size_t count, bool *again,
                             coaming_error *error)
{
    bool raced = false;
    int beside = open_beside(r);
    if (beside < 0)
        return cannot(r->target, error);
    bool good = fill_beside(r, beside, pieces, count) &&
                (r->lock >= 0 ? rename(r->unfinished, r->target) == 0 : put_new(r, &raced));
    int reason = errno;
    if (!good)
        unlink(r->unfinished);
    close(beside);
    errno = reason;
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
    r->target = r->unfinished = NULL;
}
