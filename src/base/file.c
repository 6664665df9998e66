#include "base/file.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/error.h"
#include "base/memory.h"

const char *file_shown(const char *path)
{
    return strcmp(path, "-") ? path : "standard input";
}

bool file_identify(const char *path, file_identity *identity)
{
    struct stat is;
    bool there = (strcmp(path, "-") ? stat(path, &is) : fstat(STDIN_FILENO, &is)) == 0;
    if (!there || !S_ISREG(is.st_mode))
        return false;
    *identity = (file_identity){is.st_dev, is.st_ino};
    return true;
}

/* Everything of a stream, at most FILE_MAX bytes. */
static coaming_status slurp(FILE *in, const char *shown, coaming_faults *faults, char **text,
                            size_t *size, coaming_error *error)
{
    size_t capacity = 64 * 1024, used = 0;
    char *buffer = memory_new(capacity, 1);
    if (!buffer)
        return error_memory(error);
    for (;;) {
        size_t got = fread(buffer + used, 1, capacity - used, in);
        used += got;
        if (used < capacity)
            break;
        char *grown = capacity < FILE_MAX ? memory_resize(buffer, capacity * 2, 1) : NULL;
        if (!grown) {
            bool too_big = capacity >= FILE_MAX;
            memory_free(buffer);
            if (!too_big)
                return error_memory(error);
            faults_add(faults, COAMING_SEVERITY_ERROR, shown, 0, "file",
                       "larger than %d MiB, which no ship needs", FILE_MAX / (1024 * 1024));
            return error_set(error, COAMING_INPUT, "%s: too large", shown);
        }
        buffer = grown;
        capacity *= 2;
    }
    if (ferror(in)) {
        int reason = errno;
        memory_free(buffer);
        return reason == EISDIR ? error_set(error, COAMING_NO_FILE, "%s: is a folder", shown)
                                : error_set(error, COAMING_READ, "%s: %s", shown, strerror(reason));
    }
    *text = buffer;
    *size = used;
    return COAMING_OK;
}

coaming_status file_read(const char *path, coaming_faults *faults, char **text, size_t *size,
                         coaming_error *error)
{
    const char *shown = file_shown(path);
    bool standard = !strcmp(path, "-");
    errno = 0;
    FILE *in = standard ? stdin : fopen(path, "rb");
    if (!in) {
        int reason = errno;
        return error_set(error, reason == ENOMEM ? COAMING_MEMORY : COAMING_NO_FILE, "%s: %s",
                         shown, strerror(reason));
    }
    coaming_status status = slurp(in, shown, faults, text, size, error);
    if (!standard)
        fclose(in);
    return status;
}
