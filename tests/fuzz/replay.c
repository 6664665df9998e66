/* replay ROOT TARGET FILE... - runs the program on each file by every command of the target: seeds, past
 * finds, or a corpus whose coverage is wanted. Bytes are given to it as the fuzzer would. */
#include <stdio.h>
#include <stdlib.h>

#include "targets.h"

static uint8_t *read_whole(const char *path, size_t *size)
{
    FILE *in = fopen(path, "rb");
    uint8_t *bytes = malloc(1 << 20);
    if (!in || !bytes) {
        fprintf(stderr, "replay: %s: cannot be read\n", path);
        exit(2);
    }
    *size = fread(bytes, 1, 1 << 20, in);
    fclose(in);
    return bytes;
}

int main(int argc, char **argv)
{
    int count = argc - 3;
    if (argc < 4) {
        fputs("usage: replay ROOT TARGET FILE...\n", stderr);
        return 2;
    }
    uint8_t **inputs = calloc((size_t)count, sizeof *inputs);
    size_t *sizes = calloc((size_t)count, sizeof *sizes);
    if (!inputs || !sizes)
        return 2;
    for (int i = 0; i < count; i++)
        inputs[i] = read_whole(argv[i + 3], &sizes[i]);
    if (!target_begin(argv[2], argv[1])) {
        fprintf(stderr, "replay: there is no target '%s', or no source tree at %s\n", argv[2],
                argv[1]);
        return 2;
    }
    for (int i = 0; i < count; i++) {
        target_run(inputs[i], sizes[i], true);
        free(inputs[i]);
    }
    free(inputs);
    free(sizes);
    target_end();
    printf("%d inputs of %s: each answered as the pages say\n", count, argv[2]);
    return 0;
}
