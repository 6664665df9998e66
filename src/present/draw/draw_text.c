/* How wide text is, how it is broken into lines, and how it is set. */
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "present/draw/drawing.h"
#include "present/form/markup.h"

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

static double points_of(const char *text, size_t bytes, double size, bool bold)
{
    double sum = 0;
    for (const char *at = text, *end = text + bytes; at < end;) {
        size_t length = text_next(at);
        sum += wide_of(at, length);
        at += length;
    }
    return sum / 100 * size * (bold ? 1.13 : 1);
}

double text_points(const char *text, double size, bool bold)
{
    return points_of(text, strlen(text), size, bold);
}

/* Sets text in lines of at most `points`; false if they are more than `most`. */
static bool wrap_in(const char *text, double size, bool bold, double points, int most, wrapped *w)
{
    *w = (wrapped){.count = 0};
    while (*text == ' ')
        text++;
    while (*text) {
        size_t kept = 0, at = 0;
        double width = 0;
        if (w->count == most)
            return false;
        do {
            size_t next = at + strspn(text + at, " ");
            next += strcspn(text + next, " ");
            double wide = points_of(text, next, size, bold);
            if (kept && wide > points)
                break;
            kept = at = next;
            width = wide;
        } while (text[at]);
        w->start[w->count] = text;
        w->length[w->count++] = kept;
        if (width > w->width)
            w->width = width;
        text += kept;
        text += strspn(text, " ");
    }
    return true;
}

wrapped wrap_narrow(const char *text, double size, bool bold, int lines)
{
    wrapped best, tried;
    double high = text_points(text, size, bold), low = 0;
    if (lines > WRAP_MOST)
        lines = WRAP_MOST;
    wrap_in(text, size, bold, high, 1, &best);
    for (int turn = 0; turn < 12 && lines > 1; turn++) {
        double middle = (low + high) / 2;
        if (wrap_in(text, size, bold, middle, lines, &tried)) {
            high = middle;
            if (tried.width < best.width)
                best = tried;
        } else {
            low = middle;
        }
    }
    return best;
}

const char *text_cut(drawing *d, const char *text, double size, bool bold, double points)
{
    size_t total = strlen(text), kept = 0;
    if (points_of(text, total, size, bold) <= points)
        return text;
    double room = points - text_points("~", size, bold);
    for (size_t at = 0; at < total;) {
        at += text_next(text + at);
        if (points_of(text, at, size, bold) > room)
            break;
        kept = at;
    }
    char *copy = draw_new(d, kept + 2, 1);
    if (!copy)
        return "";
    memcpy(copy, text, kept);
    copy[kept] = '~';
    return copy;
}

static void put_part(FILE *out, const char *text, size_t length)
{
    char part[5] = "";
    for (size_t at = 0, next; at < length; at += next) {
        next = text_next(text + at);
        memcpy(part, text + at, next);
        part[next] = '\0';
        markup_text(out, part);
    }
}

void draw_label(FILE *out, double x, double y, const char *anchor, bool bold, const char *text,
                size_t length)
{
    markup_put(out, "<text x=\"%f\" y=\"%f\"", x, y);
    if (*anchor)
        markup_put(out, " text-anchor=\"%s\"", anchor);
    fputs(bold ? " font-weight=\"bold\">" : ">", out);
    put_part(out, text, length);
    fputs("</text>", out);
}

static double part_points(const char *text, size_t length, double size, bool bold)
{
    char part[1024];
    size_t kept = length < sizeof part ? length : sizeof part - 1;
    memcpy(part, text, kept);
    part[kept] = '\0';
    return length < sizeof part ? text_points(part, size, bold) : INFINITY;
}

/* How much of the text goes on a line: whole words, or what there is room for of one too long. */
static size_t line_of(const char *text, double size, bool bold, double width)
{
    size_t kept = 0, next = 0;
    do {
        next += strspn(text + next, " ");
        next += strcspn(text + next, " ");
        if (part_points(text, next, size, bold) > width)
            break;
        kept = next;
    } while (text[next]);
    if (kept)
        return kept;
    for (next = text_next(text); part_points(text, next, size, bold) <= width;
         next += text_next(text + next))
        kept = next;
    return kept ? kept : text_next(text);
}

double draw_paragraph(FILE *out, double x, double y, double width, double size, bool bold,
                      const char *colour, const char *text)
{
    double at = y;
    markup_put(out, "<g font-size=\"%f\" fill=\"%s\">", size, colour);
    while (*text) {
        size_t kept = line_of(text, size, bold, width);
        draw_label(out, x, at + size, "", bold, text, kept);
        at += size * 1.3;
        text += kept;
        text += strspn(text, " ");
    }
    fputs("</g>\n", out);
    return at - y;
}
