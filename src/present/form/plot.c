/* A plot: axes first, then lines, then their names where they end. */
#include "present/form/plot.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/text.h"
#include "present/form/letters.h"
#include "present/form/markup.h"
#include "present/form/palette.h"

enum { TEXT = 8 }; /* points */
static const double LINE = 10.0, SAMPLE = 22.0, GAP = 4.0, NAMES_MOST = 0.32;

#define PLOT_STYLE(colour, dash, weight) {colour, dash, weight},
const plot_line plot_lines[PLOT_LINES] = {PLOT_STYLES(PLOT_STYLE)};
#undef PLOT_STYLE

/* --- ticks --- */

/* The marks of a step that take in low and high. */
static plot_ticks ticks_by(double low, double high, double step)
{
    double from = floor(low / step + 1e-9), to = ceil(high / step - 1e-9);
    if (to <= from)
        to = from + 1;
    return (plot_ticks){from * step, step, (int)(to - from) + 1};
}

plot_ticks plot_ticks_of(double low, double high, int most)
{
    static const double steps[] = {1, 2, 5, 10};
    if (!(high > low))
        high = low + (fabs(low) > 1e-9 ? fabs(low) / 10 : 1);
    double wanted = (high - low) / most, power = pow(10, floor(log10(wanted))), step = 0;
    for (size_t i = 0; i < sizeof steps / sizeof *steps && step < wanted * (1 - 1e-9); i++)
        step = steps[i] * power;
    return ticks_by(low, high, step);
}

plot_ticks plot_time_ticks(double low, double high, int most)
{
    static const double steps[] = {1,   2,   5,    10,   15,   30,    60,    120,   300,
                                   600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400};
    if (!(high > low))
        high = low + 1;
    double wanted = (high - low) / most;
    if (wanted <= steps[0])
        return plot_ticks_of(low, high, most);
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++)
        if (steps[i] >= wanted * (1 - 1e-9))
            return ticks_by(low, high, steps[i]);
    plot_ticks days = plot_ticks_of(low / 86400, high / 86400, most);
    return (plot_ticks){days.from * 86400, days.step * 86400, days.count};
}

const char *plot_time_unit(double high, double *seconds)
{
    bool short_span = high <= 180, long_span = high > 3 * 3600;
    *seconds = short_span ? 1 : long_span ? 3600 : 60;
    return short_span ? "s" : long_span ? "h" : "min";
}

/* --- names --- */

/* Down past each other, then up again from the bottom. */
void plot_spread(double *places, size_t count, double apart, double top, double bottom)
{
    for (size_t i = 0; i < count; i++) {
        double least = i ? places[i - 1] + apart : top;
        if (places[i] < least)
            places[i] = least;
    }
    for (size_t i = count; i-- > 0;) {
        double most = i + 1 < count ? places[i + 1] - apart : bottom;
        if (places[i] <= most)
            break;
        places[i] = most;
    }
}

/* --- the whole --- */

typedef struct {
    const plot *p;
    FILE *out;
    plot_ticks along, up;
    double x0, x1, y0, y1; /* of the frame: y0 above */
    size_t lines;
    struct {
        bool there;
        double x, y;
    } ends[PLOT_LINES]; /* of the lines, as far as they are drawn */
} page;

static double at_time(const page *g, double t)
{
    double span = g->along.step * (g->along.count - 1);
    return g->x0 + (t - g->along.from) / span * (g->x1 - g->x0);
}

/* Where it stands on the axis, whose marks are decades or values. */
static double on_axis(const plot *p, double value)
{
    return p->decades ? log10(fmax(value, 1e-300)) : value;
}

static double at_value(const page *g, double value)
{
    double span = g->up.step * (g->up.count - 1);
    return g->y1 - (on_axis(g->p, value) - g->up.from) / span * (g->y1 - g->y0);
}

/* Where the values lie, and what is to be shown at least. */
static plot_ticks value_ticks(const plot *p, size_t lines)
{
    double low = p->least, high = p->most;
    int most = p->height > 130 ? 5 : 3;
    if (p->decades)
        return ticks_by(log10(low), log10(high), 1);
    for (size_t s = 0; s < lines && !p->bounded; s++)
        for (size_t i = 0; i < p->count; i++) {
            double y = p->series[s].y[i];
            if (isfinite(y)) {
                low = isnan(low) || y < low ? y : low;
                high = isnan(high) || y > high ? y : high;
            }
        }
    return plot_ticks_of(isnan(low) ? 0 : low, isnan(high) ? 1 : high, most);
}

static double names_width(const plot *p, size_t lines)
{
    double wide = p->names;
    for (size_t s = 0; s < lines; s++)
        wide = fmax(wide, text_points(p->series[s].name, TEXT, false));
    return fmin(wide, p->width * NAMES_MOST) + SAMPLE + 2 * GAP;
}

/* A whole or decimal number without zeros at its end: a tick is a multiple of its step. */
static void tick_words(char buffer[32], double value, double step)
{
    int decimals = step >= 1 ? 0 : (int)ceil(-log10(step) - 1e-9);
    snprintf(buffer, 32, "%.*f", decimals, fabs(value) < step / 1e6 ? 0 : value);
}

static double value_words(const page *g, int i, char words[32])
{
    double at = g->up.from + i * g->up.step, value = g->p->decades ? pow(10, at) : at;
    tick_words(words, value, g->p->decades ? value : g->up.step);
    return value;
}

static double ticks_width(const page *g)
{
    char words[32];
    double wide = 0;
    for (int i = 0; i < g->up.count; i++) {
        value_words(g, i, words);
        wide = fmax(wide, text_points(words, TEXT, false));
    }
    return wide;
}

static page lay_out(FILE *out, const plot *p)
{
    page g = {.p = p, .out = out};
    g.lines = p->series_count < PLOT_LINES ? p->series_count : PLOT_LINES;
    g.up = value_ticks(p, g.lines);
    g.along = plot_time_ticks(p->count ? p->t[0] : 0, p->count ? p->t[p->count - 1] : 1, 6);
    g.x0 = p->x + fmax(34, ticks_width(&g) + 2 * GAP);
    g.x1 = p->x + p->width - (g.lines ? names_width(p, g.lines) : 0);
    g.y0 = p->y + 2 * LINE + (p->mark_count ? LINE : 0);
    g.y1 = p->y + p->height - 2 * LINE - 4;
    return g;
}

static void put_text(const page *g, double x, double y, const char *anchor, const char *text)
{
    markup_put(g->out, "<text x=\"%f\" y=\"%f\" text-anchor=\"%s\">%s</text>", x, y, anchor, text);
}

static void put_rule(const page *g, double x0, double y0, double x1, double y1)
{
    markup_put(g->out, "<path d=\"M%f %fL%f %f\"/>", x0, y0, x1, y1);
}

static void put_values(const page *g)
{
    char words[32];
    markup_put(g->out, "<g stroke=\"%s\" stroke-width=\"0.5\">", GRID_COLOUR);
    for (int i = 0; i < g->up.count; i++) {
        double y = at_value(g, value_words(g, i, words));
        put_rule(g, g->x0, y, g->x1, y);
    }
    markup_put(g->out, "</g><g fill=\"%s\">", QUIET_COLOUR);
    for (int i = 0; i < g->up.count; i++) {
        double value = value_words(g, i, words);
        put_text(g, g->x0 - GAP, at_value(g, value) + 3, "end", words);
    }
    fputs("</g>\n", g->out);
}

static void put_times(const page *g)
{
    char words[32];
    double last = g->along.from + g->along.step * (g->along.count - 1), unit;
    const char *name = plot_time_unit(last, &unit);
    markup_put(g->out, "<g stroke=\"%s\" stroke-width=\"0.7\">", QUIET_COLOUR);
    put_rule(g, g->x0, g->y1, g->x1, g->y1);
    for (int i = 0; i < g->along.count; i++) {
        double x = at_time(g, g->along.from + i * g->along.step);
        put_rule(g, x, g->y1, x, g->y1 + 3);
    }
    markup_put(g->out, "</g><g fill=\"%s\">", QUIET_COLOUR);
    for (int i = 0; i < g->along.count; i++) {
        double t = g->along.from + i * g->along.step;
        tick_words(words, t / unit, g->along.step / unit);
        put_text(g, at_time(g, t), g->y1 + LINE + 2, "middle", words);
    }
    put_text(g, (g->x0 + g->x1) / 2, g->y1 + 2 * LINE + 2, "middle", name);
    fputs("</g>\n", g->out);
}

/* Attributes of a path: the look of a line. */
static void put_look(const page *g, const plot_line *how)
{
    markup_put(g->out, " stroke=\"%s\" stroke-width=\"%f\"", how->colour, how->weight);
    if (*how->dash)
        markup_put(g->out, " stroke-dasharray=\"%-s\"", how->dash);
}

/* --- lines --- */

/* A line that is being drawn, as far as it lies in the frame. */
typedef struct {
    page *g;
    size_t series, dot; /* the next of its dots */
    bool open, drawn;   /* is there a place before, and does the line reach it? */
    double x, y;
    double t, value; /* the same place */
} pen;

static void put_point(pen *p, bool first, double x, double y)
{
    markup_put(p->g->out, first ? "M%f %f" : "L%f %f", x, y);
    p->g->ends[p->series].there = true;
    p->g->ends[p->series].x = x;
    p->g->ends[p->series].y = y;
}

/* From the place before to this one, between the upper and the lower edge of the frame. */
static void draw_on(pen *p, double x, double y)
{
    double top = p->g->y0 - 0.01, bottom = p->g->y1 + 0.01, rise = y - p->y, from = 0, to = 1;
    if (rise < 0 || rise > 0) {
        from = fmax(0, fmin((top - p->y) / rise, (bottom - p->y) / rise));
        to = fmin(1, fmax((top - p->y) / rise, (bottom - p->y) / rise));
    } else if (y < top || y > bottom) {
        from = 2;
    }
    if (from <= to && (!p->drawn || from > 0))
        put_point(p, true, p->x + from * (x - p->x), p->y + from * rise);
    if (from <= to)
        put_point(p, false, p->x + to * (x - p->x), p->y + to * rise);
    p->drawn = from <= to && to >= 1;
}

static void go_straight(pen *p, double t, double value)
{
    double x = at_time(p->g, t), y = at_value(p->g, value);
    if (p->open) {
        draw_on(p, x, y);
    } else {
        p->drawn = y >= p->g->y0 - 0.01 && y <= p->g->y1 + 0.01;
        if (p->drawn)
            put_point(p, true, x, y);
    }
    p->x = x;
    p->y = y;
    p->t = t;
    p->value = value;
    p->open = true;
}

/* On an axis of decades nothing lies infinitely deep: what comes from below the axis, or goes there, is
 * taken to change evenly in between, which is a bend there. */
static void go_to(pen *p, double t, double value)
{
    enum { PARTS = 12 };
    double least = p->g->p->least, t0 = p->t, from = p->value, high = fmax(from, value);
    bool bend = p->open && p->g->p->decades && fmin(from, value) < least && high > least;
    for (int i = 0; i <= PARTS && bend; i++) {
        double part = (double)(value > from ? i : PARTS - i) / PARTS;
        double at = least * pow(high / least, part);
        go_straight(p, t0 + (at - from) / (value - from) * (t - t0), at);
    }
    go_straight(p, t, value);
}

/* The dots of its line up to a time. */
static void go_by_dots(pen *p, double t)
{
    const plot *of = p->g->p;
    for (; p->dot < of->dot_count &&
           !(of->dots[p->dot].series == p->series && of->dots[p->dot].t >= t);
         p->dot++)
        if (p->open && of->dots[p->dot].series == p->series)
            go_to(p, of->dots[p->dot].t, of->dots[p->dot].y);
}

/* A line that breaks where there is no value. */
static void put_curve(page *g, size_t s)
{
    const plot_series *of = &g->p->series[s];
    pen p = {.g = g, .series = s};
    markup_put(g->out, "<path data-name=\"%s\" fill=\"none\"", of->name);
    put_look(g, &plot_lines[s]);
    fputs(" d=\"", g->out);
    for (size_t i = 0; i < g->p->count; i++) {
        if (isfinite(of->y[i])) {
            go_by_dots(&p, g->p->t[i]);
            go_to(&p, g->p->t[i], of->y[i]);
        } else {
            p.open = p.drawn = false;
        }
    }
    fputs("\"/>\n", g->out);
}

static void put_dots(const page *g)
{
    for (size_t i = 0; i < g->p->dot_count; i++) {
        const plot_dot *d = &g->p->dots[i];
        double y = at_value(g, d->y);
        if (d->series < g->lines && y >= g->y0 - 0.01 && y <= g->y1 + 0.01)
            markup_put(g->out,
                       "<circle class=\"dot\" cx=\"%f\" cy=\"%f\" r=\"2.2\" fill=\"%s\" "
                       "stroke=\"%s\" stroke-width=\"1.1\"/>\n",
                       at_time(g, d->t), y, PAPER_COLOUR, plot_lines[d->series].colour);
    }
}

/* --- levels --- */

/* Does the part of a line between two times, told by its places there, meet heights from y0 to y1? */
static bool part_meets(double ya, double yb, double y0, double y1)
{
    return fmax(ya, yb) >= y0 && fmin(ya, yb) <= y1;
}

/* Does a line run through a box? */
static bool line_meets(const page *g, size_t s, double x0, double x1, double y0, double y1)
{
    const double *y = g->p->series[s].y, *t = g->p->t;
    for (size_t i = 0; i + 1 < g->p->count; i++) {
        double xa = at_time(g, t[i]), xb = at_time(g, t[i + 1]);
        if (xb < x0 || xa > x1 || !isfinite(y[i]) || !isfinite(y[i + 1]))
            continue;
        double ya = at_value(g, y[i]),
               rise = xb > xa ? (at_value(g, y[i + 1]) - ya) / (xb - xa) : 0;
        if (part_meets(ya + rise * (fmax(xa, x0) - xa), ya + rise * (fmin(xb, x1) - xa), y0, y1))
            return true;
    }
    return false;
}

typedef struct {
    double x, y; /* where the text begins: its foot */
} spot;

/* How many lines run through a text of that width there. */
static size_t lines_through(const page *g, spot at, double width)
{
    size_t count = 0;
    for (size_t s = 0; s < g->lines; s++)
        count += line_meets(g, s, at.x - 2, at.x + width + 2, at.y - TEXT + 1, at.y + 3);
    return count;
}

/* Where a name of that width meets no line, or few, over its level or under it, from a place on at which
 * the name before it ends. */
static spot free_spot(const page *g, double from, double width, double y)
{
    enum { PLACES = 24 };
    double step = fmax(g->x1 - width - from, 0) / PLACES;
    spot best = {from, y - 2};
    size_t least = lines_through(g, best, width);
    for (int i = 1; i < 2 * (PLACES + 1) && least; i++) {
        spot at = {from + i % (PLACES + 1) * step, i > PLACES ? y + TEXT : y - 2};
        size_t count = lines_through(g, at, width);
        if (at.y >= g->y1 || count >= least)
            continue;
        best = at;
        least = count;
    }
    return best;
}

/* Names of levels that lie close stand beside each other, not on each other. */
static void put_levels(const page *g)
{
    double before = INFINITY, x = g->x0 + 2;
    for (size_t i = 0; i < g->p->level_count; i++) {
        const plot_level *l = &g->p->levels[i];
        double y = at_value(g, l->y), width = text_points(l->name, TEXT, false);
        if (!(y >= g->y0 - 0.01 && y <= g->y1 + 0.01))
            continue;
        x = isfinite(before) && fabs(y - before) < LINE ? x : g->x0 + 2;
        spot at = free_spot(g, x, width, y);
        markup_put(g->out,
                   "<path class=\"level\" data-name=\"%s\" d=\"M%f %fH%f\" stroke=\"%s\" "
                   "stroke-width=\"0.8\"/>",
                   l->name, g->x0, y, g->x1, INK_COLOUR);
        markup_put(g->out,
                   "<text x=\"%f\" y=\"%f\" paint-order=\"stroke\" stroke=\"%s\" "
                   "stroke-width=\"2.5\">%s</text>\n",
                   at.x, at.y, PAPER_COLOUR, l->name);
        x = at.x + width + 2 * GAP;
        before = y;
    }
}

typedef struct {
    size_t series;
    double x, y; /* where its line ends */
} name_place;

static int higher_first(const void *a, const void *b)
{
    const name_place *one = a, *two = b;
    if (one->y != two->y)
        return one->y < two->y ? -1 : 1;
    return one->series < two->series ? -1 : 1;
}

/* A name, cut with "~" where there is no room for all of it. */
static void put_cut(const page *g, double x, double y, const char *name)
{
    char kept[256] = "";
    double room = g->p->x + g->p->width - x;
    size_t length = 0, at = 0;
    if (text_points(name, TEXT, false) <= room) {
        put_text(g, x, y, "start", name);
        return;
    }
    while (name[at] && (at += text_next(name + at)) < sizeof kept - 2 &&
           text_points_of(name, at, TEXT, false) + text_points("~", TEXT, false) <= room)
        length = at;
    snprintf(kept, sizeof kept, "%.*s~", (int)length, name);
    put_text(g, x, y, "start", kept);
}

/* A thread from the line's end, dotted where it is so long that it could be taken for a line, a sample of
 * the line, its name. */
static void put_name(const page *g, const name_place *n, double y)
{
    const plot_line *how = &plot_lines[n->series];
    double x = g->x1 + 2 * GAP;
    markup_put(
        g->out, "<path d=\"M%f %fL%f %f\" fill=\"none\" stroke=\"%s\" stroke-width=\"0.4\"%-s/>",
        n->x, n->y, x, y, how->colour, x - n->x > 4 * GAP ? " stroke-dasharray=\"0.6 3\"" : "");
    markup_put(g->out, "<path d=\"M%f %fh%f\"", x, y, SAMPLE - 2 * GAP);
    put_look(g, how);
    fputs("/>", g->out);
    put_cut(g, x + SAMPLE - GAP, y + 3, g->p->series[n->series].name);
    fputc('\n', g->out);
}

static void put_names(const page *g)
{
    name_place names[PLOT_LINES];
    double places[PLOT_LINES];
    size_t count = 0;
    for (size_t s = 0; s < g->lines; s++) {
        if (g->ends[s].there)
            names[count++] = (name_place){s, g->ends[s].x, g->ends[s].y};
    }
    qsort(names, count, sizeof *names, higher_first);
    for (size_t i = 0; i < count; i++)
        places[i] = names[i].y;
    plot_spread(places, count, LINE, g->y0, g->y1);
    for (size_t i = 0; i < count; i++)
        put_name(g, &names[i], places[i]);
}

/* Marks that would stand on each other keep their lines, and the first its word. */
static void put_marks(const page *g)
{
    double free_from = g->p->x;
    for (size_t i = 0; i < g->p->mark_count; i++) {
        const plot_mark *m = &g->p->marks[i];
        double x = at_time(g, m->t), half = text_points(m->word, TEXT, false) / 2;
        if (!(x >= g->x0 && x <= g->x1))
            continue;
        markup_put(g->out,
                   "<path d=\"M%f %fV%f\" stroke=\"%s\" stroke-width=\"0.6\" "
                   "stroke-dasharray=\"1 2\"/>",
                   x, g->y0 - 2, g->y1, QUIET_COLOUR);
        if (x - half < free_from)
            continue;
        put_text(g, x, g->y0 - GAP, "middle", m->word);
        free_from = x + half + 2;
    }
}

void plot_write(FILE *out, const plot *p)
{
    page g = lay_out(out, p);
    markup_put(out, "<g class=\"plot\" data-name=\"%s\" font-size=\"%d\" fill=\"%s\">\n", p->title,
               TEXT, INK_COLOUR);
    markup_put(out, "<text x=\"%f\" y=\"%f\" font-weight=\"bold\">%s", p->x, p->y + LINE, p->title);
    if (*p->unit)
        markup_put(out, ", %s", p->unit);
    fputs("</text>\n", out);
    put_values(&g);
    put_times(&g);
    put_marks(&g);
    for (size_t s = 0; s < g.lines; s++)
        put_curve(&g, s);
    put_levels(&g);
    put_dots(&g);
    put_names(&g);
    fputs("</g>\n", out);
}
