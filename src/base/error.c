#include "base/error.h"

#include <stdarg.h>
#include <stdio.h>

#include "base/text.h"

const char *coaming_status_meaning(coaming_status status)
{
    switch (status) {
#define MEANING(code, exit_status, meaning)                                                        \
    case COAMING_##code:                                                                           \
        return meaning;
        COAMING_STATUS_TABLE(MEANING)
#undef MEANING
    }
    return "unknown status";
}

int coaming_status_exit(coaming_status status)
{
    switch (status) {
#define EXIT_STATUS(code, exit_status, meaning)                                                    \
    case COAMING_##code:                                                                           \
        return exit_status;
        COAMING_STATUS_TABLE(EXIT_STATUS)
#undef EXIT_STATUS
    }
    return 4;
}

coaming_status error_set(coaming_error *error, coaming_status status, const char *format, ...)
{
    if (error) {
        va_list args;
        va_start(args, format);
        error->status = status;
        char message[sizeof error->message];
        vsnprintf(message, sizeof message, format, args);
        text_fit(error->message, sizeof error->message, message, sizeof message);
        va_end(args);
    }
    return status;
}

coaming_status error_memory(coaming_error *error)
{
    return error_set(error, COAMING_MEMORY, "out of memory");
}
