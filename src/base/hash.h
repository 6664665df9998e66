/* base/hash.h - FNV-1a of 64 bits (Fowler, Noll and Vo, RFC 9923), over words of so many bytes, the
 * lowest first. Start from HASH_START. */
#ifndef BASE_HASH_H
#define BASE_HASH_H

#include <stddef.h>
#include <stdint.h>
#include <string.h>

#define HASH_START UINT64_C(14695981039346656037)

/* One step, with a word of up to 64 bits as if it were a byte: for seeds, and keys that are compared
 * anyway. */
static inline uint64_t hash_step(uint64_t hash, uint64_t word)
{
    return (hash ^ word) * UINT64_C(1099511628211);
}

static inline uint64_t hash_bytes(uint64_t hash, uint64_t word, int bytes)
{
    for (int byte = 0; byte < bytes; byte++)
        hash = hash_step(hash, (word >> (8 * byte)) & 0xff);
    return hash;
}

static inline uint64_t hash_ints(uint64_t hash, const int *list, size_t count)
{
    for (size_t i = 0; i < count; i++)
        hash = hash_bytes(hash, (unsigned)list[i], 4);
    return hash;
}

/* The bits of a number; there is one zero only. */
static inline uint64_t hash_bits(double number)
{
    uint64_t bits;
    number += 0.0;
    memcpy(&bits, &number, sizeof bits);
    return bits;
}

/* SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014):
 * the numbers drawn are the mixes of a word that grows by HASH_GOLDEN. */
#define HASH_GOLDEN UINT64_C(0x9e3779b97f4a7c15)

static inline uint64_t hash_mix(uint64_t z)
{
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

#endif
