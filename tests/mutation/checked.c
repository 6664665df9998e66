/* checked.c - put between a unit test and Check by the linker: MUTANT_TESTS names the functions that
 * run, MUTANT_LIST prints all their names, and the first claim that fails ends the program. */
#include <check.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

void __real__tcase_add_test(TCase *to, const TTest *test, int signal, int exits, int start,
                            int end);
void __wrap__tcase_add_test(TCase *to, const TTest *test, int signal, int exits, int start,
                            int end);
void __wrap__ck_assert_failed(const char *file, int line, const char *claim, const char *text, ...);

static bool wanted(const char *name)
{
    const char *names = getenv("MUTANT_TESTS");
    size_t length = strlen(name);
    for (const char *at = names; at && (at = strstr(at, name)); at += length)
        if ((at == names || at[-1] == ',') && (at[length] == ',' || !at[length]))
            return true;
    return !names;
}

void __wrap__tcase_add_test(TCase *to, const TTest *test, int signal, int exits, int start, int end)
{
    if (getenv("MUTANT_LIST"))
        printf("%s\n", test->name);
    else if (wanted(test->name))
        __real__tcase_add_test(to, test, signal, exits, start, end);
}

void __wrap__ck_assert_failed(const char *file, int line, const char *claim, const char *text, ...)
{
    fprintf(stderr, "%s:%d: %s %s\n", file, line, claim, text ? text : "");
    _exit(EXIT_FAILURE);
}
