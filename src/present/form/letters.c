#include "present/form/letters.h"

#include <string.h>

#include "base/text.h"

/* Widths in hundredths of the size, from ' ' to '~'. Measured on DejaVu Sans 2.37, which is wider
 * than Liberation Sans and the faces it stands in for, and rounded up. */
static const unsigned char ascii[] = {
    32, 41, 46, 84, 64, 96, 78, 28, 40,  40, 50, 84, 32, 37, 32, 34, 64, 64, 64, 64, 64, 64, 64, 64,
    64, 64, 34, 34, 84, 84, 84, 54, 100, 69, 69, 70, 78, 64, 58, 78, 76, 30, 30, 66, 56, 87, 75, 79,
    61, 79, 70, 64, 62, 74, 69, 99, 69,  62, 69, 40, 34, 40, 84, 50, 50, 62, 64, 55, 64, 62, 36, 64,
    64, 28, 28, 58, 28, 98, 64, 62, 64,  64, 42, 53, 40, 64, 60, 82, 60, 60, 53, 64, 34, 64, 84};

static double wide_of(const char *text, size_t length)
{
    unsigned char first = (unsigned char)*text;
    if (length == 1)
        return first >= ' ' && first <= '~' ? ascii[first - ' '] : 84;
    if (length == 4 || (length == 3 && first == 0xe2 && (unsigned char)text[1] >= 0x98))
        return 140; /* pictures */
    return length == 3 ? 110 : 90;
}

/* Of the number that is shown for a sign; ends of lines are shown as a blank, which is less. */
static double wide_of_number(const char *shown)
{
    double sum = 0;
    for (; *shown; shown++)
        sum += wide_of(shown, 1);
    return sum;
}

double text_points_of(const char *text, size_t bytes, double size, bool bold)
{
    double sum = 0;
    char shown[TEXT_SHOWN];
    for (const char *at = text, *end = text + bytes; at < end;) {
        size_t length = text_shown(at, shown);
        sum += text_is_plain(at) ? wide_of(at, length) : wide_of_number(shown);
        at += length;
    }
    return sum / 100 * size * (bold ? 1.13 : 1);
}

double text_points(const char *text, double size, bool bold)
{
    return text_points_of(text, strlen(text), size, bold);
}
