#include <stdarg.h>

#include "cli.h"

void complain(const char *format, ...)
{
    char message[2048];
    va_list args;
    va_start(args, format);
    vsnprintf(message, sizeof message, format, args);
    va_end(args);
    progress_stop();
    fputs("coaming: ", stderr);
    coaming_print_clean(stderr, message);
    fputc('\n', stderr);
}

int complain_of(const coaming_error *error)
{
    complain("%s", error->message);
    return coaming_status_exit(error->status);
}

int complain_of_memory(void)
{
    complain("out of memory");
    return EXIT_MACHINE;
}

bool refuse(const char *option, const char *value, const char *right)
{
    complain("--%s '%s' is not known; it must be %s", option, value, right);
    return false;
}

int refuse_usage(const char *option, const char *value, const char *right)
{
    refuse(option, value, right);
    return EXIT_USAGE;
}
