/* runner.h - runs a suite and says how it went by the exit status. */
#ifndef TESTS_RUNNER_H
#define TESTS_RUNNER_H

#include <check.h>
#include <stdlib.h>

/* For claims by the million: unlike ck_assert, nothing is noted of those that hold. */
#define CLAIM(claim, ...)                                                                          \
    do {                                                                                           \
        if (!(claim))                                                                              \
            ck_abort_msg(__VA_ARGS__);                                                             \
    } while (0)

static inline int run_suite(Suite *suite)
{
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner), run = srunner_ntests_run(runner);
    srunner_free(runner);
    return failed == 0 && run > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}

#endif
