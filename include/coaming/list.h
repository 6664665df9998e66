/*
 * coaming/list.h - the lists of a ship that go in and out as sheets (import.h, present.h).
 */
#ifndef COAMING_LIST_H
#define COAMING_LIST_H

#include "coaming/error.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Tests: every test and repair; it is written only. */
typedef enum {
    COAMING_LIST_SPACES,
    COAMING_LIST_CLOSURES,
    COAMING_LIST_PASSAGES,
    COAMING_LIST_PUMPS,
    COAMING_LIST_FANS,
    COAMING_LIST_TESTS
} coaming_list;
enum { COAMING_LISTS = 6, COAMING_LISTS_READ = COAMING_LIST_TESTS };

/* "spaces", "closures", "passages", "pumps", "fans" or "tests". */
COAMING_API const char *coaming_list_word(coaming_list list);

#ifdef __cplusplus
}
#endif

#endif
