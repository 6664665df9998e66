/* hard_ship.h - a made-up ship in which much water finds many ways, for benchmarks. */
#ifndef BENCH_HARD_SHIP_H
#define BENCH_HARD_SHIP_H

#include <stddef.h>

/*
 * Writes an arrangement of length x 8 x 5 boxes of 10 x 6 x 2.5 m that fill the hull, and returns
 * how many, 0 if the file cannot be written. Between every two that have a side in common are two
 * places for a closure, each taken at random by `share` in 100 of them; 6 links more go right
 * across. 8 in 100 links are passages. Ratings: watertight 6 in 9, weathertight, airtight and nontight 1
 * each; last results: pass 6 in 9, fail 1, untested 2; 1 in 10 stands open in the condition
 * `working`. The same numbers give the same file.
 */
size_t hard_ship(const char *path, size_t length, unsigned share);

#endif
