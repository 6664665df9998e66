/* Names on spaces and ids on marks, each where it fits and covers nothing; what does not fit gets
 * its id, then a number, inside or beside the plan, and a row in the key. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "present/draw/drawing.h"
#include "present/form/markup.h"

#define PAD 1.6

/* The place for a label of this size in the region that is nearest to its middle. */
static bool find_room(const view *v, const region *r, double width, double height, box *found)
{
    enum { STEPS = 21 };
    double w = width + 2 * PAD, h = height + 2 * PAD, best = INFINITY;
    double roomx = r->extent.x1 - r->extent.x0 - w, roomy = r->extent.y1 - r->extent.y0 - h;
    if (roomx < 0 || roomy < 0)
        return false;
    int nx = (int)fmin(STEPS, 1 + roomx / 3), ny = (int)fmin(STEPS, 1 + roomy / 3);
    for (int i = 0; i < nx * ny; i++) {
        int column = i % nx, line = i / nx;
        double fx = nx > 1 ? (double)column / (nx - 1) - 0.5 : 0;
        double fy = ny > 1 ? (double)line / (ny - 1) - 0.5 : 0;
        double x = (r->extent.x0 + r->extent.x1) / 2 + fx * roomx;
        double y = (r->extent.y0 + r->extent.y1) / 2 + fy * roomy;
        double off = hypot(fx * roomx, fy * roomy);
        box b = box_about(x, y, w, h);
        bool free = off < best && region_holds(r, &b) && !crowd_hits(&v->taken, &b);
        for (size_t k = 0; free && k < r->over_count; k++)
            free = !region_touches(&v->regions[r->over[k]], &b);
        if (!free)
            continue;
        best = off;
        *found = b;
    }
    return isfinite(best);
}

static void put_lines(drawing *d, const wrapped *w, const box *at, bool turned, bool bold)
{
    double x = (at->x0 + at->x1) / 2, y = (at->y0 + at->y1) / 2;
    double first = -(w->count - 1) * LABEL_LINE / 2 + 2.5;
    if (turned)
        markup_put(d->out, "<g transform=\"translate(%f %f) rotate(-90)\">", x, y);
    for (int i = 0; i < w->count; i++)
        draw_label(d->out, turned ? 0 : x, (turned ? 0 : y) + first + i * LABEL_LINE, "middle",
                   bold, w->start[i], w->length[i]);
    if (turned)
        fputs("</g>", d->out);
}

static bool try_lines(drawing *d, view *v, const region *r, const char *text, int lines,
                      bool turned, bool bold)
{
    box at = {0, 0, 0, 0};
    wrapped w = wrap_narrow(text, LABEL_SIZE, bold, lines);
    double height = (w.count - 1) * LABEL_LINE + LABEL_SIZE;
    if (!w.count || !find_room(v, r, turned ? height : w.width, turned ? w.width : height, &at))
        return false;
    put_lines(d, &w, &at, turned, bold);
    d->lost = !crowd_add(&v->taken, at) || d->lost;
    return true;
}

static bool try_name(drawing *d, view *v, const region *r, const char *name)
{
    for (int lines = 1; lines <= WRAP_MOST; lines++)
        if (try_lines(d, v, r, name, lines, false, false))
            return true;
    return try_lines(d, v, r, name, 1, true, false) || try_lines(d, v, r, name, 2, true, false);
}

/* The space's row in the key, with a number if it wants one. */
static int key_number(drawing *d, int space, bool numbered)
{
    if (d->number_of[space] < 0) {
        if (!MEMORY_ROOM(d->keys, d->key_count, d->key_capacity)) {
            d->lost = true;
            return 0;
        }
        d->number_of[space] = 0;
        d->keys[d->key_count++] = (key_row){0, space};
    }
    if (numbered && d->number_of[space] == 0)
        d->number_of[space] = ++d->numbers;
    return d->number_of[space];
}

/* Beside the plan, over or under it, with a line to the space. */
static bool put_outside(drawing *d, view *v, const region *r, const char *text)
{
    enum { TRIES = 400 };
    double width = text_points(text, LABEL_SIZE, true) + 2;
    bool up = r->inside_y < (v->area.y0 + v->area.y1) / 2;
    for (int i = 0; i < 2 * TRIES; i++) { /* at first the line must cross nothing */
        int step = i % TRIES;
        double y = (up != (step % 2 == 1)) ? v->area.y0 - 7 : v->area.y1 + 7;
        int aside = step / 4 * (step / 2 % 2 ? -1 : 1);
        double x = r->inside_x + aside * 6.0;
        double end = y < r->inside_y ? y + 4 : y - 4;
        box b = box_about(x, y, width, LABEL_SIZE);
        if (b.x0 < d->margin || b.x1 > d->page - d->margin || crowd_hits(&v->taken, &b) ||
            (i < TRIES && crowd_hits_line(&v->taken, r->inside_x, r->inside_y, x, end)))
            continue;
        markup_put(d->out, "<path d=\"M%f %fL%f %f\" stroke=\"%s\" stroke-width=\"0.5\"/>",
                   r->inside_x, r->inside_y, x, end, INK_COLOUR);
        markup_put(d->out, "<circle cx=\"%f\" cy=\"%f\" r=\"1\" fill=\"%s\"/>", r->inside_x,
                   r->inside_y, INK_COLOUR);
        draw_label(d->out, x, y + 2.5, "middle", true, text, strlen(text));
        d->lost = !crowd_add(&v->taken, b) ||
                  !crowd_add_line(&v->taken, r->inside_x, r->inside_y, x, end) || d->lost;
        return true;
    }
    return false;
}

static void label_space(drawing *d, view *v, const region *r)
{
    const ship_space *s = &d->ship->spaces[r->space];
    char number[16];
    if (r->hidden) {
        if (!v->profile)
            key_number(d, r->space, false);
        return;
    }
    if (!d->what->compact && try_name(d, v, r, s->name))
        return;
    if (strlen(s->id) <= 40 &&
        (try_lines(d, v, r, s->id, 1, false, false) || try_lines(d, v, r, s->id, 1, true, false))) {
        key_number(d, r->space, false);
        return;
    }
    if (v->profile && d->what->compact && d->what->plans)
        return; /* the plans tell */
    snprintf(number, sizeof number, "%d", key_number(d, r->space, true));
    if (!try_lines(d, v, r, number, 1, false, true) && !put_outside(d, v, r, number))
        draw_append(d, &d->unnumbered, &d->unnumbered_count, &d->unnumbered_capacity,
                    draw_format(d, "%s %s (%s)", number, s->id, v->name));
}

typedef struct {
    double size;
    size_t at;
} sized;

static int order_sizes(const void *left, const void *right)
{
    const sized *a = left, *b = right;
    return a->size != b->size ? (a->size > b->size) - (a->size < b->size)
                              : (a->at > b->at) - (a->at < b->at);
}

/* The largest last: what is small has few places. */
void draw_space_labels(drawing *d, view *v)
{
    sized *order = draw_new(d, v->region_count, sizeof *order);
    if (!order)
        return;
    for (size_t i = 0; i < v->region_count; i++) {
        box b = v->regions[i].extent;
        order[i] = (sized){(b.x1 - b.x0) * (b.y1 - b.y0), i};
    }
    qsort(order, v->region_count, sizeof *order, order_sizes);
    for (size_t i = 0; i < v->region_count; i++) {
        const region *r = &v->regions[order[i].at];
        markup_put(d->out, "<g class=\"name\" data-of=\"%s\">", d->ship->spaces[r->space].id);
        label_space(d, v, r);
        fputs("</g>\n", d->out);
    }
}

/* The badge and words of a mark, from the left at x; y is their middle. */
static void put_mark_label(drawing *d, const link_note *n, const char *text, double x, double y)
{
    bool bold = n->frame != FRAME_NONE || n->badge;
    if (n->badge) {
        d->seen.badge = true;
        char number[16];
        int length = snprintf(number, sizeof number, "%d", n->badge);
        markup_put(d->out, "<circle cx=\"%f\" cy=\"%f\" r=\"5.6\" fill=\"%s\"/>", x + 5.6, y,
                   INK_COLOUR);
        markup_put(d->out, "<g fill=\"%s\" stroke=\"none\">", PAPER_COLOUR);
        draw_label(d->out, x + 5.6, y + 2.5, "middle", true, number, (size_t)length);
        fputs("</g>", d->out);
        x += 13;
    }
    draw_label(d->out, x, y + 2.5, "", bold, text, strlen(text));
}

static const char *const rise_words[] = {" (down)", "", " (up)"};

static const char *mark_words(drawing *d, const ship_link *l, const link_note *n)
{
    bool bold = n->frame != FRAME_NONE || n->badge;
    const char *id = text_cut(d, l->id, LABEL_SIZE, bold, 60);
    return draw_format(d, "%s%s%s%s", id, n->tag ? " " : "", n->tag ? n->tag : "",
                       rise_words[n->rise + 1]);
}

/* Does a bulkhead run through it? */
static bool struck(const view *v, const box *b)
{
    for (size_t i = 0; i < v->region_count; i++)
        if (region_touches(&v->regions[i], b) && !region_holds(&v->regions[i], b))
            return true;
    return false;
}

/* Beside the mark, as near as there is room; farther off with a line. */
static bool label_mark(drawing *d, view *v, const mark *m)
{
    enum { TURNS = 16, RINGS = 9 };
    const link_note *n = &d->over.links[m->link];
    const char *text = mark_words(d, &d->ship->links[m->link], n);
    double width = text_points(text, LABEL_SIZE, n->frame || n->badge) + (n->badge ? 13 : 0);
    double height = n->badge ? 11.4 : LABEL_SIZE, half = n->frame ? FRAME_HALF : MARK_HALF;
    for (int i = 0; i < 2 * TURNS * RINGS; i++) {
        bool strict = i < TURNS * RINGS; /* at first nothing may run through it */
        int step = i % (TURNS * RINGS), ring_at = step / TURNS;
        double angle = step * 2 * M_PI / TURNS, far = ring_at * 4.0;
        double x = m->at_x + cos(angle) * (half + 1 + far + width / 2);
        double y = m->at_y + sin(angle) * (half + 0.5 + far + height / 2);
        box b = box_about(x, y, width, height);
        if (strict && ring_at > 2)
            continue;
        if (b.x0 < d->margin || b.x1 > d->page - d->margin || b.y0 < v->area.y0 - 14 ||
            b.y1 > v->area.y1 + 14 || crowd_hits(&v->taken, &b) || (strict && struck(v, &b)))
            continue;
        double from_x = m->at_x + cos(angle) * half, from_y = m->at_y + sin(angle) * half;
        double to_x = fmin(fmax(m->at_x, b.x0), b.x1), to_y = fmin(fmax(m->at_y, b.y0), b.y1);
        if (far > 4 && strict && crowd_hits_line(&v->taken, from_x, from_y, to_x, to_y))
            continue;
        if (far > 4) {
            markup_put(d->out, "<path d=\"M%f %fL%f %f\" stroke=\"%s\" stroke-width=\"0.4\"/>",
                       from_x, from_y, to_x, to_y, INK_COLOUR);
            d->lost = !crowd_add_line(&v->taken, from_x, from_y, to_x, to_y) || d->lost;
        }
        put_mark_label(d, n, text, b.x0, y);
        d->lost = !crowd_add(&v->taken, b) || d->lost;
        return true;
    }
    return false;
}

void draw_mark_labels(drawing *d, view *v, const mark *marks, size_t count)
{
    for (int turn = 0; turn < 2; turn++) {
        for (size_t i = 0; i < count; i++) {
            const link_note *n = &d->over.links[marks[i].link];
            if (matters(n) == (turn != 0) || (v->profile && !matters(n)))
                continue;
            markup_put(d->out, "<g class=\"id\" data-of=\"%s\">", d->ship->links[marks[i].link].id);
            if (!label_mark(d, v, &marks[i]))
                draw_append(d, &d->unnamed, &d->unnamed_count, &d->unnamed_capacity,
                            draw_format(d, "%s (%s)",
                                        mark_words(d, &d->ship->links[marks[i].link], n), v->name));
            fputs("</g>\n", d->out);
        }
    }
}
