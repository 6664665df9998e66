/* Closures and passages as marks: where they stand, how they lie, their state by shape and colour.
 * Marks that would hide each other are moved apart, with a line to the true place. */
#include <math.h>

#include "coaming/present.h"
#include "present/draw/drawing.h"
#include "present/form/markup.h"
#include "present/form/style.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"
#include "ship/state.h"

bool matters(const link_note *n)
{
    return n->frame != FRAME_NONE || n->badge || n->tag || n->enters;
}

static double half_room(const drawing *d, const mark *m)
{
    return d->over.links[m->link].frame ? FRAME_HALF : MARK_HALF;
}

/* The nearest free place on rings about the true one; false where there is none near. */
static bool move_apart(drawing *d, view *v, mark *m)
{
    enum { TURNS = 16 };
    double half = half_room(d, m);
    int rings = v->profile ? 3 : 7;
    for (int i = 0; i <= TURNS * rings; i++) {
        int ring_at = (i - 1) / TURNS;
        double radius = i ? MARK_HALF * (1.5 + ring_at) : 0, angle = i * 2 * M_PI / TURNS;
        double x = m->x + radius * cos(angle), y = m->y + radius * sin(angle);
        box b = box_about(x, y, 2 * half, 2 * half);
        if (x < d->margin || x > d->page - d->margin || b.y0 < v->area.y0 - VIEW_LANE ||
            b.y1 > v->area.y1 + VIEW_LANE || crowd_hits(&v->taken, &b))
            continue;
        m->at_x = x;
        m->at_y = y;
        d->lost = !crowd_add(&v->taken, b) || d->lost;
        return true;
    }
    return false;
}

/* Marks without room are taken out of the list and named below the drawing. Those that matter come
 * first and keep their places. */
static size_t place_marks(drawing *d, view *v, mark *marks, size_t count)
{
    size_t kept = 0;
    for (int turn = 0; turn < 2; turn++)
        for (size_t i = 0; i < count; i++)
            if (matters(&d->over.links[marks[i].link]) == (turn == 0))
                marks[i].crowded_out = !move_apart(d, v, &marks[i]);
    for (size_t i = 0; i < count; i++) {
        d->met_links[marks[i].link] =
            d->met_links[marks[i].link] || !marks[i].crowded_out || !d->what->bare;
        if (marks[i].crowded_out)
            draw_append(d, &d->crowded, &d->crowded_count, &d->crowded_capacity,
                        draw_format(d, "%s (%s)", d->ship->links[marks[i].link].id, v->name));
        else
            marks[kept++] = marks[i];
    }
    return kept;
}

static const char *state_of(const drawing *d, const ship_link *l)
{
    if (l->passage)
        return "passage";
    return result_word(coaming_closure_result(d->ship, (int)(l - d->ship->links)));
}

static bool stands_open(const drawing *d, const ship_link *l)
{
    return !l->passage && !link_shut(l, d->what->query.condition);
}

/* The opening itself, to scale but never too small to see; swung out where it stands open. */
static void draw_bar(drawing *d, const ship_link *l, const mark *m, bool open)
{
    double half = m->length / 2, wide = m->breadth / 2, leaf = fmin(m->length, 10) * 0.7;
    const char *dashes =
        l->rating == NONTIGHT && !l->passage ? " stroke-dasharray=\"1.6 1.2\"" : "";
    if (m->flat) {
        markup_put(d->out,
                   "<rect x=\"%f\" y=\"%f\" width=\"%f\" height=\"%f\" fill=\"none\" "
                   "stroke-width=\"1\"%-s/>",
                   m->x - half, m->y - wide, 2 * half, 2 * wide, dashes);
        if (open)
            markup_put(d->out, "<path d=\"M%f %fl%f %f\"/>", m->x - half, m->y + wide, leaf, -leaf);
        return;
    }
    double dx = m->upright ? 0 : half, dy = m->upright ? half : 0;
    markup_put(d->out, "<path d=\"M%f %fL%f %f\" stroke=\"%s\" stroke-width=\"2.6\"/>", m->x - dx,
               m->y - dy, m->x + dx, m->y + dy, PAPER_COLOUR);
    if (open) /* the doorway, thin, and its leaf */
        markup_put(d->out, "<path d=\"M%f %fL%f %f\" stroke-width=\"0.4\"/>", m->x - dx, m->y - dy,
                   m->x + dx, m->y + dy);
    if (open)
        markup_put(d->out, "<path d=\"M%f %fl%f %f\"%-s/>", m->x - dx, m->y - dy, leaf,
                   m->upright ? leaf : -leaf, dashes);
    else
        markup_put(d->out, "<path d=\"M%f %fL%f %f\"%-s/>", m->x - dx, m->y - dy, m->x + dx,
                   m->y + dy, dashes);
}

static void draw_passage(drawing *d, const mark *m)
{
    double along = 3, off = 1.7, x = m->at_x, y = m->at_y;
    markup_put(d->out,
               m->upright ? "<path d=\"M%f %fh%fM%f %fh%f\"/>" : "<path d=\"M%f %fv%fM%f %fv%f\"/>",
               x - (m->upright ? along : off), y - (m->upright ? off : along), 2 * along,
               x - (m->upright ? along : -off), y - (m->upright ? -off : along), 2 * along);
}

void draw_state(FILE *out, coaming_result result, double x, double y)
{
    switch (result) {
    case COAMING_PASS:
        markup_put(out,
                   "<circle cx=\"%f\" cy=\"%f\" r=\"2.5\" fill=\"%s\" stroke=\"%s\" "
                   "stroke-width=\"0.6\"/>",
                   x, y, PASS_COLOUR, PAPER_COLOUR);
        break;
    case COAMING_FAIL:
        markup_put(out,
                   "<path d=\"M%f %fl4.2 4.2l-4.2 4.2l-4.2 -4.2z\" fill=\"%s\" stroke=\"%s\" "
                   "stroke-width=\"0.7\"/>",
                   x, y - 4.2, FAIL_COLOUR, INK_COLOUR);
        markup_put(out, "<path d=\"M%f %fl2.6 -2.6\" stroke=\"%s\" stroke-width=\"1.1\"/>", x - 1.3,
                   y + 1.3, PAPER_COLOUR);
        break;
    default:
        markup_put(out,
                   "<circle cx=\"%f\" cy=\"%f\" r=\"2.7\" fill=\"%s\" stroke=\"%s\" "
                   "stroke-width=\"1.1\"/>",
                   x, y, PAPER_COLOUR, UNTESTED_COLOUR);
    }
}

static void draw_frame(drawing *d, mark_frame frame, double x, double y)
{
    static const double weights[] = {[FRAME_FIRST] = FIRST_WEIGHT,
                                     [FRAME_SECOND] = SECOND_WEIGHT,
                                     [FRAME_THIRD] = THIRD_WEIGHT,
                                     [FRAME_RING] = 1.5};
    d->seen.frames[frame] = true;
    if (frame && frame <= FRAME_RING)
        markup_put(d->out,
                   "<circle cx=\"%f\" cy=\"%f\" r=\"6\" fill=\"none\" stroke-width=\"%f\"/>", x, y,
                   weights[frame]);
    else if (frame)
        markup_put(d->out,
                   "<path d=\"M%f %fm-5.8 -5.8h11.6v11.6h-11.6z\" fill=\"none\" "
                   "stroke-width=\"1.4\"%-s/>",
                   x, y, frame == FRAME_DASHED ? " stroke-dasharray=\"2.2 1.6\"" : "");
}

void draw_symbol(drawing *d, const ship_link *l, const mark *m)
{
    bool open = stands_open(d, l);
    if (m->at_x != m->x || m->at_y != m->y) {
        markup_put(d->out, "<path d=\"M%f %fL%f %f\" stroke=\"%s\" stroke-width=\"0.5\"/>", m->x,
                   m->y, m->at_x, m->at_y, INK_COLOUR);
        d->seen.leader = true;
    }
    if (l->passage) {
        draw_passage(d, m);
        d->seen.passage = true;
        return;
    }
    coaming_result result = coaming_closure_result(d->ship, (int)(l - d->ship->links));
    if (m->length > 0) {
        draw_bar(d, l, m, open);
        d->seen.open = d->seen.open || open;
        d->seen.nontight = d->seen.nontight || l->rating == NONTIGHT;
    }
    draw_state(d->out, result, m->at_x, m->at_y);
    d->seen.results[result] = true;
}

static const char *space_word(const drawing *d, coaming_place place)
{
    return coaming_place_id(d->ship, place);
}

static void say_mark(drawing *d, const ship_link *l)
{
    char result[SHOWN];
    const link_note *n = &d->over.links[l - d->ship->links];
    markup_put(d->out, "<title>%s %s: ", l->id, l->name);
    if (!l->passage)
        markup_put(d->out, "%s ", rating_words[l->rating]);
    markup_put(d->out, "%s between %s and %s", link_kind_word(l->kind), space_word(d, l->a),
               space_word(d, l->b));
    if (!l->passage)
        markup_put(d->out, "; %s", standing_words(result, d->ship, (int)(l - d->ship->links)));
    if (stands_open(d, l))
        markup_put(d->out, "; %s", open_words(l));
    char numbers[BADGE_NUMBERS];
    if (n->badge)
        markup_put(d->out, "; number %s", badge_numbers(n, numbers));
    if (n->tag)
        markup_put(d->out, "; %s", n->tag);
    if (n->enters)
        markup_put(d->out, "; by it %sinto %s",
                   n->rise > 0 ? "up "
                   : n->rise   ? "down "
                               : "",
                   space_word(d, n->into));
    fputs("</title>", d->out);
}

static const region *region_of(const view *v, coaming_place place)
{
    for (size_t i = 0; i < v->region_count && place >= 0; i++)
        if (v->regions[i].space == place)
            return &v->regions[i];
    return NULL;
}

/* To which side of the opening the space that is entered lies: 1 forward (on the page right, or
 * down), -1 the other way, 0 not known. */
static double way_in(const view *v, const ship_link *l, const mark *m, coaming_place into)
{
    const region *to = region_of(v, into), *from = region_of(v, into == l->a ? l->b : l->a);
    if (m->flat || (!to && !from))
        return 0;
    for (int i = 1; i <= 6; i++) {
        double off = 1.5 * i, dx = m->upright ? off : 0, dy = m->upright ? 0 : off;
        const region *r = to ? to : from;
        bool ahead = region_has(r, m->x + dx, m->y + dy);
        bool back = region_has(r, m->x - dx, m->y - dy);
        if (ahead != back)
            return ahead == (to != NULL) ? 1 : -1;
    }
    return 0;
}

/* An arrow up or down across the line of a deck, beside the mark where there is room. */
static void draw_rise(drawing *d, view *v, const ship_link *l, const mark *m, int rise)
{
    enum { TURNS = 8 };
    double off = (d->over.links[m->link].frame ? FRAME_HALF : MARK_HALF) + RISE_HALF + 0.5;
    box b = {0, 0, 0, 0};
    for (int i = 0; i < TURNS; i++) {
        double angle = i * 2 * M_PI / TURNS;
        b = box_about(m->at_x + off * cos(angle), m->at_y + off * sin(angle), 2 * RISE_HALF,
                      2 * RISE_HALF);
        if (b.y0 > v->area.y0 - VIEW_LANE && b.y1 < v->area.y1 + VIEW_LANE &&
            !crowd_hits(&v->taken, &b))
            break;
    }
    double x = (b.x0 + b.x1) / 2, y = (b.y0 + b.y1) / 2;
    d->seen.up = d->seen.up || rise > 0;
    d->seen.down = d->seen.down || rise <= 0;
    markup_put(
        d->out,
        "<path class=\"rise\" data-way=\"%s\" data-rise=\"%s\" transform=\"translate(%f %f)\" "
        "d=\"%s\" fill=\"%s\" stroke-width=\"1.1\"/>\n",
        l->id, rise > 0 ? "up" : "down", x, y, rise > 0 ? RISE_UP : RISE_DOWN, INK_COLOUR);
    d->lost = !crowd_add(&v->taken, b) || d->lost;
}

/* An arrow through the opening towards the space that is entered; labels keep off it. */
static void draw_arrow(drawing *d, view *v, const ship_link *l, const mark *m, coaming_place into)
{
    if (m->flat && !v->profile) {
        draw_rise(d, v, l, m, d->over.links[m->link].rise);
        return;
    }
    double sign = way_in(v, l, m, into), from = d->over.links[m->link].frame ? 6.5 : 4;
    double ux = m->upright ? sign : 0, uy = m->upright ? 0 : sign, x = m->at_x, y = m->at_y;
    if (sign == 0)
        return;
    d->seen.arrow = true;
    markup_put(d->out,
               "<path class=\"way\" data-way=\"%s\" d=\"M%f %fL%f %f\" stroke-width=\"1.8\"/>",
               l->id, x + from * ux, y + from * uy, x + (from + 4) * ux, y + (from + 4) * uy);
    markup_put(d->out, "<path d=\"M%f %fL%f %fL%f %fz\" fill=\"%s\" stroke=\"none\"/>",
               x + (from + 9) * ux, y + (from + 9) * uy, x + (from + 3.5) * ux - 3.2 * uy,
               y + (from + 3.5) * uy + 3.2 * ux, x + (from + 3.5) * ux + 3.2 * uy,
               y + (from + 3.5) * uy - 3.2 * ux, INK_COLOUR);
    double middle = from + 4.5;
    box b = box_about(x + middle * ux, y + middle * uy, m->upright ? 10 : 7, m->upright ? 7 : 10);
    d->lost = !crowd_add(&v->taken, b) || d->lost;
}

/* Labels keep off what is drawn of the opening. */
static void take_bar(drawing *d, view *v, const mark *m)
{
    double half = m->length / 2, wide = m->breadth / 2, off = 0.6;
    if (m->length <= 0 || d->ship->links[m->link].passage)
        return;
    box b = {m->x - half, m->y - wide, m->x + half, m->y + wide};
    if (!m->flat)
        b = m->upright ? box_about(m->x, m->y, 0, m->length) : box_about(m->x, m->y, m->length, 0);
    const box sides[] = {{b.x0, b.y0, b.x0, b.y1},
                         {b.x1, b.y0, b.x1, b.y1},
                         {b.x0, b.y0, b.x1, b.y0},
                         {b.x0, b.y1, b.x1, b.y1}};
    for (int i = 0; i < 4; i++)
        d->lost = !crowd_add(&v->taken, box_grown(sides[i], off)) || d->lost;
}

size_t draw_marks(drawing *d, view *v, mark *marks, size_t count)
{
    count = place_marks(d, v, marks, count);
    for (size_t i = 0; i < count; i++) {
        const mark *m = &marks[i];
        take_bar(d, v, m);
        d->lost = !crowd_add_line(&v->taken, m->at_x, m->at_y, m->x, m->y) || d->lost;
    }
    markup_put(d->out, "<g stroke=\"%s\" stroke-width=\"1.5\">\n", INK_COLOUR);
    for (size_t i = 0; i < count; i++) {
        const ship_link *l = &d->ship->links[marks[i].link];
        const link_note *n = &d->over.links[marks[i].link];
        markup_put(d->out, "<g class=\"%s\" data-%s=\"%s\" data-state=\"%s\"",
                   l->passage ? "passage" : "closure", l->passage ? "passage" : "closure", l->id,
                   state_of(d, l));
        markup_put(d->out, " data-x=\"%f\" data-y=\"%f\">", marks[i].x, marks[i].y);
        say_mark(d, l);
        draw_symbol(d, l, &marks[i]);
        draw_frame(d, n->frame, marks[i].at_x, marks[i].at_y);
        fputs("</g>\n", d->out);
    }
    for (size_t i = 0; i < count; i++) { /* over all signs */
        const link_note *n = &d->over.links[marks[i].link];
        if (n->enters)
            draw_arrow(d, v, &d->ship->links[marks[i].link], &marks[i], n->into);
    }
    fputs("</g>\n", d->out);
    return count;
}
