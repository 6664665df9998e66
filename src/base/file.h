/* base/file.h - input files as a whole, with a cap. */
#ifndef BASE_FILE_H
#define BASE_FILE_H

#include <stdbool.h>
#include <sys/types.h>

#include "base/fault.h"
#include "coaming/error.h"

enum { FILE_MAX = 256 * 1024 * 1024 }; /* bytes */

/* All of path ("-": standard input) into memory, to be freed with memory_free. Larger than FILE_MAX
 * is a fault and COAMING_INPUT. COAMING_NO_FILE, COAMING_READ, COAMING_MEMORY. */
coaming_status file_read(const char *path, coaming_faults *faults, char **text, size_t *size,
                         coaming_error *error);

/* Of a file its place on the machine; of a device or a pipe, whose content does not stay, and of what is
 * not there nothing: false. */
typedef struct {
    dev_t device;
    ino_t node;
} file_identity;
bool file_identify(const char *path, file_identity *identity);

/* How a path is shown: "standard input" for "-". */
const char *file_shown(const char *path);

#endif
