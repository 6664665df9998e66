#include "base/share.h"

#include <stdio.h>

#include "base/error.h"

const char *share_name(const char *name, size_t index, char text[SHARE_NAME])
{
    if (name)
        snprintf(text, SHARE_NAME, "%.190s", name);
    else
        snprintf(text, SHARE_NAME, "part %zu", index + 1);
    return text;
}

coaming_status share_of_other(const char *name, coaming_error *error)
{
    return error_set(error, COAMING_INPUT,
                     "%s: made from another ship or log, as of another day, or with other "
                     "options than those given now",
                     name);
}

coaming_status share_damaged(const char *name, coaming_error *error)
{
    return error_set(error, COAMING_INPUT, "%s: is damaged", name);
}

coaming_status share_twice(const char *name, unsigned share, unsigned shares, const char *other,
                           coaming_error *error)
{
    return error_set(error, COAMING_INPUT, "%s: is share %u of %u, and so is %s", name, share,
                     shares, other);
}
