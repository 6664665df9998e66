/* How text is broken into lines, and how it is set. */
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "present/draw/drawing.h"
#include "present/form/markup.h"

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
            double wide = text_points_of(text, next, size, bold);
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
    if (text_points_of(text, total, size, bold) <= points)
        return text;
    double room = points - text_points("~", size, bold);
    for (size_t at = 0; at < total;) {
        at += text_next(text + at);
        if (text_points_of(text, at, size, bold) > room)
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
