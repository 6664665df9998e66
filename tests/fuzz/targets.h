/* targets.h - one input given to the whole program, by what it is bent to be. */
#ifndef FUZZ_TARGETS_H
#define FUZZ_TARGETS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Names a target: arrangement, log, lists, sheet, part, words or follow; and goes into a folder of its
 * own with good files beside what is bent. root: of the source tree. False: there is no such target, or no folder. */
bool target_begin(const char *name, const char *root);
/* Runs the program on the input: by `check` or what reads it, and one command more that the input
 * chooses; all: by every command. Ends the program by abort() at a status that none should have. */
void target_run(const uint8_t *data, size_t size, bool all);
void target_end(void);

#endif
