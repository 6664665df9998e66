/* Numbers on the command line: all of a text, or none of it. */
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"

bool parse_number(const char *text, const char *ending, double *number)
{
    char *end;
    size_t length = strspn(text, "+-.0123456789eE");
    if (!length || strcmp(text + length, ending) != 0)
        return false;
    *number = strtod(text, &end);
    return end == text + length && isfinite(*number);
}

bool parse_in(const char *text, const number_unit *units, double *number)
{
    for (const number_unit *u = units; u->name; u++)
        if (parse_number(text, u->name, number)) {
            *number *= u->worth;
            return isfinite(*number);
        }
    return false;
}

bool parse_time(const char *text, double *seconds)
{
    static const number_unit units[] = {{"", 1}, {"s", 1}, {"min", 60}, {"h", 3600}, {NULL, 0}};
    return parse_in(text, units, seconds);
}

bool parse_height(const char *text, double *height)
{
    static const number_unit units[] = {{"", 1}, {"m", 1}, {"ft", 0.3048}, {NULL, 0}};
    return parse_in(text, units, height) && fabs(*height) <= 1e6;
}

bool parse_whole(const char *text, uint64_t least, uint64_t most, uint64_t *value)
{
    char *end;
    if (!*text || text[strspn(text, "0123456789")] || strlen(text) > 20)
        return false;
    errno = 0;
    unsigned long long parsed = strtoull(text, &end, 10);
    *value = parsed;
    return !errno && !*end && parsed >= least && parsed <= most;
}

bool split_numbers(const char *text, char between, double *numbers, int count)
{
    char number[64];
    for (int i = 0; i < count; i++) {
        size_t length = strcspn(text, (char[]){between, '\0'});
        if (length >= sizeof number || (i + 1 < count) != (text[length] == between))
            return false;
        memcpy(number, text, length);
        number[length] = '\0';
        if (!parse_number(number, "", &numbers[i]))
            return false;
        text += length + 1;
    }
    return true;
}
