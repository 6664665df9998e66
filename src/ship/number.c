#include "ship/number.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

static const char DIGITS[] = "0123456789";

bool number_split(const char *text, number_parts *parts)
{
    size_t length = strspn(text, DIGITS);
    long *const numbers[] = {&parts->frame, &parts->side};
    if (!length || length >= sizeof parts->deck || text[length] != '-')
        return false;
    memcpy(parts->deck, text, length);
    parts->deck[length] = '\0';
    text += length;
    for (int i = 0; i < 2; i++) {
        length = strspn(text + 1, DIGITS);
        if (*text != '-' || !length || length > 9) /* longer is no frame */
            return false;
        *numbers[i] = strtol(text + 1, NULL, 10);
        text += 1 + length;
    }
    if (*text && *text != '-')
        return false;
    parts->use = *text ? text + 1 : text;
    return true;
}
