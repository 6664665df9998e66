/* starved.h - for tests in which memory runs out (base/memory.h). */
#ifndef TESTS_STARVED_H
#define TESTS_STARVED_H

#include "base/memory.h"
#include "coaming/coaming.h"

/* In the shape of malloc: for libraries whose memory is to fail too. */
static inline void *counted(size_t size)
{
    return memory_new(size, 1);
}

/* With the n-th allocation failing: the status is COAMING_MEMORY. Or the allocation was never asked
 * for: a thread that comes too late for any job asks for less. */
static inline bool told(coaming_status status, size_t n)
{
    return status == COAMING_MEMORY || (status == COAMING_OK && memory_asked() < n);
}

#endif
