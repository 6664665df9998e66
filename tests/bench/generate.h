/* generate.h - a made-up ship of any size for benchmarks: three closures a space. */
#ifndef BENCH_GENERATE_H
#define BENCH_GENERATE_H

#include <stddef.h>

#include "coaming/ship.h"

/*
 * Writes an arrangement of at least `spaces` spaces to path: five decks, three abreast, as long as
 * it takes; a closure through every boundary forward, to port and upward, and to the weather or the
 * sea at the edges. Of the closures 4 in 100 have failed, 4 are untested and 2 are nontight.
 * Returns the number of spaces, 0 if the file cannot be written. The same size gives the same file.
 */
size_t generate_ship(const char *path, size_t spaces);

/* Every closure between two spaces stands open. Ends the program where that cannot be. */
void generate_open(coaming_ship *ship);

#endif
