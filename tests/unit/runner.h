/* runner.h - runs a suite and says how it went by the exit status. */
#ifndef TESTS_RUNNER_H
#define TESTS_RUNNER_H

#include <check.h>
#include <stdlib.h>

static inline int run_suite(Suite *suite)
{
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner), run = srunner_ntests_run(runner);
    srunner_free(runner);
    return failed == 0 && run > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}

#endif
