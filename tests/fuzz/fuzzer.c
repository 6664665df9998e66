/* fuzzer - libFuzzer's entry. The target is named by COAMING_FUZZ, the source tree by COAMING_ROOT. */
#include <stdio.h>
#include <stdlib.h>

#include "targets.h"

int LLVMFuzzerInitialize(int *argc, char ***argv);
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    const char *name = getenv("COAMING_FUZZ"), *root = getenv("COAMING_ROOT");
    (void)argc;
    (void)argv;
    if (!name || !root || !target_begin(name, root)) {
        fputs("fuzzer: COAMING_FUZZ must name a target, COAMING_ROOT the source tree\n", stderr);
        exit(2);
    }
    atexit(target_end);
    return 0;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    target_run(data, size, false);
    return 0;
}
