/* mutant.c - which change is made, by MUTANT; and MUTANTS_REACHED, a file with a byte for each change,
 * in which those that are come by are marked: also by processes that are killed, for it is mapped. */
#include "mutant.h"

#include <fcntl.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

int mutant_now = -1;
unsigned char *mutants_reached;

static void map(const char *path)
{
    int file = open(path, O_RDWR);
    struct stat about;
    if (file < 0 || fstat(file, &about) != 0)
        abort();
    void *at = mmap(NULL, (size_t)about.st_size, PROT_READ | PROT_WRITE, MAP_SHARED, file, 0);
    if (at == MAP_FAILED)
        abort();
    mutants_reached = at;
    close(file);
}

__attribute__((constructor)) static void begin(void)
{
    const char *now = getenv("MUTANT"), *path = getenv("MUTANTS_REACHED");
    if (now)
        mutant_now = atoi(now);
    if (path)
        map(path);
}
