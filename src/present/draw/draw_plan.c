/* What a view shows besides labels and marks: hull, spaces, frames, heights. */
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "present/draw/drawing.h"
#include "present/form/markup.h"
#include "present/form/style.h"
#include "ship/hull.h"
#include "ship/state.h"

void draw_patterns(drawing *d, FILE *out)
{
    static const char *const lines[FILL_COUNT] = {
        [FILL_SOURCE] = "M0 0L7.5 7.5M7.5 0L0 7.5",
        [FILL_WATER] = "M-1 1L1 -1M0 7.5L7.5 0M6.5 8.5L8.5 6.5",
        [FILL_AIR] = "M1.9 1.9h0.01M5.6 5.6h0.01",
        [FILL_MAYBE] = "M0 7.5L4 3.5",
        [FILL_LOST] = "M0 3.7h7.5",
        [FILL_KEEP] = "M3.7 0v7.5",
        [FILL_SHALLOW] = "M0 6.5h3.7",
        [FILL_DEEP] = "M0 1.9h7.5M0 5.6h7.5",
        [FILL_THIN] = "M3.7 3.7h0.01",
        [FILL_THICK] = "M1.9 1.9v1.6M5.6 1.9v1.6M1.9 5.6v1.6M5.6 5.6v1.6",
        [FILL_WORST] = "M1.9 0v7.5M5.6 0v7.5M3.7 0.9v1.6M3.7 4.6v1.6"};
    static const char *const weights[FILL_COUNT] = {"",    "0.45", "0.55", "1.2", "0.5", "0.5",
                                                    "0.5", "0.6",  "0.6",  "1.3", "0.8", "0.8"};
    fputs("<defs>\n", out);
    for (int f = FILL_PLAIN + 1; f < FILL_COUNT; f++)
        markup_put(
            out,
            "<pattern id=\"%s-%s\" width=\"7.5\" height=\"7.5\" patternUnits=\"userSpaceOnUse\">"
            "<path d=\"%s\" fill=\"none\" stroke=\"%s\" stroke-width=\"%s\" stroke-linecap=\"%s\"/>"
            "</pattern>\n",
            d->what->prefix, space_fills[f].word, lines[f], space_fills[f].hatch, weights[f],
            f == FILL_AIR || f == FILL_THIN ? "round" : "butt");
    fputs("</defs>\n", out);
}

static void put_path(FILE *out, const region *r)
{
    for (size_t i = 0; i < r->ring_count; i++) {
        for (size_t k = 0; k < r->rings[i].corners; k++)
            markup_put(out, k ? "L%f %f" : "M%f %f", r->rings[i].xy[2 * k],
                       r->rings[i].xy[2 * k + 1]);
        fputc('z', out);
    }
}

static void put_edges(FILE *out, const region *r)
{
    for (size_t i = 0; i < r->edge_count; i++) {
        const edge *e = &r->edges[i];
        if (i == 0 || e[-1].x1 != e->x0 || e[-1].y1 != e->y0)
            markup_put(out, "M%f %f", e->x0, e->y0);
        markup_put(out, "L%f %f", e->x1, e->y1);
    }
}

static void say_space(drawing *d, const ship_space *s, space_fill fill)
{
    markup_put(d->out, "<title>%s %s", s->id, s->name);
    if (s->number)
        markup_put(d->out, " (%s)", s->number);
    if (fill)
        markup_put(d->out, ": %s", space_fills[fill].meaning);
    fputs("</title>", d->out);
}

static void draw_region(drawing *d, const region *r)
{
    const ship_space *s = &d->ship->spaces[r->space];
    space_fill fill = (space_fill)d->over.fills[r->space];
    d->met[r->space] = d->met[r->space] || !r->named;
    d->seen.fills[fill] = d->seen.fills[fill] || !r->hidden;
    markup_put(d->out, "<g class=\"space\" data-space=\"%s\" data-state=\"%s\">", s->id,
               space_fills[fill].word);
    say_space(d, s, fill);
    markup_put(d->out, "<path fill=\"%s\" stroke=\"none\" d=\"", space_fills[fill].fill);
    put_path(d->out, r);
    fputs("\"/>", d->out);
    if (fill) {
        markup_put(d->out, "<path fill=\"url(#%s-%s)\" stroke=\"none\" d=\"", d->what->prefix,
                   space_fills[fill].word);
        put_path(d->out, r);
        fputs("\"/>", d->out);
    }
    fputs("<path fill=\"none\" d=\"", d->out);
    put_edges(d->out, r);
    fputs("\"/></g>\n", d->out);
}

/* Does the place lie under a region drawn later, not at its edge? */
static bool covered(const view *v, const region *r, double x, double y)
{
    for (size_t i = 0; i < r->over_count; i++) {
        const region *o = &v->regions[r->over[i]];
        if (region_has(o, x - 0.5, y - 0.5) && region_has(o, x + 0.5, y + 0.5) &&
            region_has(o, x - 0.5, y + 0.5) && region_has(o, x + 0.5, y - 0.5))
            return true;
    }
    return false;
}

/* The pieces of an outline that lie under another space; are there any? */
static bool put_covered(drawing *d, const view *v, const region *r)
{
    bool any = false;
    for (size_t k = 0; k < r->edge_count && r->over_count; k++) {
        const edge *e = &r->edges[k];
        double dx = e->x1 - e->x0, dy = e->y1 - e->y0;
        int pieces = (int)fmin(fmax(hypot(dx, dy) / 6, 1), 100);
        for (int p = 0; p < pieces; p++) {
            if (!covered(v, r, e->x0 + (p + 0.5) / pieces * dx, e->y0 + (p + 0.5) / pieces * dy))
                continue;
            markup_put(d->out, "M%f %fl%f %f", e->x0 + (double)p / pieces * dx,
                       e->y0 + (double)p / pieces * dy, dx / pieces, dy / pieces);
            any = true;
        }
    }
    return any;
}

static bool is_flooded_under(const drawing *d, const region *r)
{
    return r->named && d->over.fills[r->space];
}

/* What lies under another still shows where it ends, more so where the overlay is about it. */
static void draw_covered(drawing *d, const view *v)
{
    for (int flooded = 0; flooded < 2; flooded++) {
        bool any = false;
        markup_put(d->out,
                   "<path class=\"%s\" fill=\"none\" stroke=\"%s\" stroke-width=\"%s\" "
                   "stroke-dasharray=\"2 2\" d=\"",
                   flooded ? "flooded-under" : "under", flooded ? INK_COLOUR : QUIET_COLOUR,
                   flooded ? "1.1" : "0.5");
        for (size_t i = 0; i < v->region_count; i++)
            if (is_flooded_under(d, &v->regions[i]) == (flooded == 1))
                any = put_covered(d, v, &v->regions[i]) || any;
        fputs("\"/>\n", d->out);
        d->seen.under = d->seen.under || (any && !flooded);
        d->seen.flooded_under = d->seen.flooded_under || (any && flooded);
    }
}

const char *draw_hidden_words(drawing *d, int space)
{
    space_fill fill = (space_fill)d->over.fills[space];
    const char *id = d->ship->spaces[space].id;
    return fill ? draw_format(d, "%s: %s", id, space_fills[fill].meaning) : id;
}

/* Named below the profile, with what the overlay says of it. */
static void note_behind(drawing *d, const region *r)
{
    if (d->what->bare || !(r->hidden || is_flooded_under(d, r)))
        return;
    d->hidden[d->hidden_count++] = draw_hidden_words(d, r->space);
    d->met[r->space] = true;
}

static void note_under(drawing *d, view *v)
{
    for (size_t i = 0; i < v->region_count; i++) {
        const region *r = &v->regions[i];
        if (!r->hidden && !is_flooded_under(d, r))
            continue;
        const char *words = draw_hidden_words(d, r->space);
        v->under = v->under ? draw_format(d, "%s; %s", v->under, words) : words;
        d->met[r->space] = true;
    }
}

void draw_under(drawing *d, const view *v)
{
    if (!v->under)
        return;
    fputs("<g class=\"hidden\">", d->out);
    d->y += draw_paragraph(d->out, d->margin, d->y - 10, d->page - 2 * d->margin, NOTE_SIZE, false,
                           INK_COLOUR, draw_format(d, "Hidden under others: %s", v->under));
    fputs("</g>\n", d->out);
}

void draw_regions(drawing *d, view *v)
{
    markup_put(d->out, "<g stroke=\"%s\" stroke-width=\"0.9\" stroke-linejoin=\"round\">\n",
               INK_COLOUR);
    for (size_t i = 0; i < v->region_count; i++)
        draw_region(d, &v->regions[i]);
    fputs("</g>\n", d->out);
    if (!v->profile) {
        draw_covered(d, v);
        note_under(d, v);
    }
    for (size_t i = 0; i < v->region_count && v->profile; i++)
        note_behind(d, &v->regions[i]);
}

/* Half her breadth at one of her sections for this view. */
static double half_breadth(const view *v, const hull_section *s)
{
    double top = s->offsets[2 * (s->offset_count - 1)];
    double z = fmin(isfinite(v->high) ? v->high : top, top);
    return section_breadth(s, fmin(z, top), false);
}

static void draw_hull(drawing *d, const view *v)
{
    const coaming_ship *s = d->ship;
    double k = d->scale;
    if (!s->section_count && !(s->length > 0 && s->beam > 0 && s->depth > 0))
        return;
    markup_put(d->out, "<path class=\"hull\" fill=\"none\" stroke=\"%s\" stroke-width=\"0.6\" d=\"",
               QUIET_COLOUR);
    if (!s->section_count) {
        double low = v->profile ? 0 : -s->beam / 2, high = v->profile ? s->depth : s->beam / 2;
        markup_put(d->out, "M%f %fH%fV%fH%fz\"/>\n", v->ox, v->oy - low * k, v->ox + s->length * k,
                   v->oy - high * k, v->ox);
        return;
    }
    size_t n = s->section_count;
    for (size_t i = 0; i < 2 * n; i++) {
        const hull_section *h = &s->sections[i < n ? i : 2 * n - 1 - i];
        double off = v->profile ? h->offsets[i < n ? 2 * (h->offset_count - 1) : 0]
                                : half_breadth(v, h) * (i < n ? 1 : -1);
        markup_put(d->out, i ? "L%f %f" : "M%f %f", v->ox + h->x * k, v->oy - off * k);
    }
    fputs("z\"/>\n", d->out);
}

/* Every so many frames or metres, so that numbers keep apart. */
static double step_of(double unit)
{
    static const int steps[] = {1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 5000, 10000, 100000};
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++)
        if (steps[i] * unit >= 26)
            return steps[i];
    return INFINITY;
}

/* Where the n-th of some marks that are `step` apart is, from the first at or after `least`. */
static double mark_at(double least, double step, int n)
{
    return (ceil(least / step - 1e-9) + n) * step;
}

static void draw_scale_of_frames(drawing *d, const view *v)
{
    const frames *f = &d->ship->frames;
    double spacing = f->given ? f->spacing : 1, zero = f->given ? f->zero : 0;
    double unit = fabs(spacing) * d->scale, step = step_of(unit), y = v->area.y1 + 16;
    double a = (d->x0 - zero) / spacing, b = (d->x1 - zero) / spacing, least = fmin(a, b) - 1e-6;
    double most = fmax(a, b) + 1e-6, fine = unit >= 2.5 ? 1 : fmax(step / 2, 1);
    if (!isfinite(step) || (most - least) / fine > 20000)
        return;
    markup_put(d->out,
               "<g class=\"frames\" fill=\"%s\"><path fill=\"none\" stroke=\"%s\" "
               "stroke-width=\"0.5\" d=\"M%f %fH%f",
               QUIET_COLOUR, QUIET_COLOUR, v->area.x0, y, v->area.x1);
    for (int i = 0; mark_at(least, fine, i) <= most; i++) {
        double n = mark_at(least, fine, i);
        markup_put(d->out, "M%f %fv%f", v->ox + (zero + n * spacing) * d->scale, y,
                   fmod(n, step) == 0 ? 4.0 : 2.0);
    }
    fputs("\"/>", d->out);
    for (int i = 0; mark_at(least, step, i) <= most; i++) {
        double n = mark_at(least, step, i);
        char number[32];
        int length = snprintf(number, sizeof number, "%.0f", n + 0.0);
        draw_label(d->out, v->ox + (zero + n * spacing) * d->scale, y + 11.5, "middle", false,
                   number, (size_t)length);
    }
    const char *word = f->given ? "frame" : "m";
    draw_label(d->out, v->area.x0 - 9, y + 3, "end", false, word, strlen(word));
    fputs("</g>\n", d->out);
}

static void draw_centre_line(drawing *d, const view *v)
{
    if (!v->profile)
        markup_put(d->out,
                   "<path fill=\"none\" stroke=\"%s\" stroke-width=\"0.4\" "
                   "stroke-dasharray=\"9 2 2 2\" d=\"M%f %fH%f\"/>\n",
                   QUIET_COLOUR, v->area.x0 - 6, v->oy, v->area.x1 + 6);
}

/* Of the waterline at rest, on the page, at a place along the page. */
static double water_at(const drawing *d, const view *v, double x)
{
    int loading = d->what->query.loading;
    double trim = loading < 0 ? 0 : d->ship->loadings[loading].trim / d->ship->length;
    double along = (x - v->ox) / d->scale - d->ship->length / 2;
    return v->oy - (still_level(d->ship, loading) + trim * along) * d->scale;
}

void draw_water(drawing *d, view *v)
{
    double aft = water_at(d, v, v->area.x0 - 12), fwd = water_at(d, v, v->area.x1 + 12);
    if (!v->profile || !(still_level(d->ship, d->what->query.loading) > 0))
        return;
    markup_put(d->out,
               "<path class=\"water\" fill=\"none\" stroke=\"%s\" stroke-width=\"1.1\" "
               "stroke-dasharray=\"8 3\" d=\"M%f %f",
               PASS_COLOUR, v->area.x0 - 12, aft);
    if (aft == fwd)
        markup_put(d->out, "H%f\"/>\n", v->area.x1 + 12);
    else
        markup_put(d->out, "L%f %f\"/>\n", v->area.x1 + 12, fwd);
    box taken = {v->area.x0, fmin(aft, fwd) - 0.6, v->area.x1, fmax(aft, fwd) + 0.6};
    d->lost = !crowd_add(&v->taken, taken) || d->lost;
}

/* What stands beside a heading: of what height it is. In a narrow view without the words that go
 * without saying. */
static const char *heading_words(drawing *d, const view *v, double room)
{
    static const char *const ends[] = {" m above the baseline", " m"};
    double water = still_level(d->ship, d->what->query.loading);
    const char *words = "";
    for (int brief = 0; brief < 2; brief++) {
        if (v->profile && water > 0)
            words = draw_format(d, "dashed: waterline at rest, %.2f%s%s", water, ends[brief],
                                d->what->query.loading >= 0 ? " at mid-length" : "");
        else if (isfinite(v->low))
            words = draw_format(d, "from %.2f%s", v->low, ends[brief]);
        else if (isfinite(v->high))
            words = draw_format(d, "up to %.2f%s", v->high, ends[brief]);
        if (text_points(words, LABEL_SIZE, false) <= room)
            break;
    }
    return words;
}

enum { HEIGHT_WORDS = 60 }; /* points that "from 6.40 m" takes beside a name */

static void draw_heading(drawing *d, view *v)
{
    double x = d->margin, y = v->area.y0 - 18;
    double most = fmax(d->page * 0.6, d->page - 2 * d->margin - HEIGHT_WORDS);
    const char *name = text_cut(d, v->name, 10, true, most);
    markup_put(d->out,
               "<text class=\"deck-name\" x=\"%f\" y=\"%f\" font-size=\"10\" "
               "font-weight=\"bold\">%s</text>",
               x, y, name);
    x += text_points(name, 10, true) + 8;
    double room = fmax(d->page - d->margin - x, 0);
    const char *more = heading_words(d, v, room);
    if (*more)
        markup_put(d->out, "<text x=\"%f\" y=\"%f\" fill=\"%s\">%s</text>\n", x, y, QUIET_COLOUR,
                   text_cut(d, more, LABEL_SIZE, false, room));
    box taken = {d->margin, y - 10, x + text_points(more, LABEL_SIZE, false), y + 2.5};
    d->lost = !crowd_add(&v->taken, taken) || d->lost;
}

void draw_axes(drawing *d, view *v)
{
    draw_heading(d, v);
    draw_hull(d, v);
    draw_centre_line(d, v);
    draw_scale_of_frames(d, v);
}
