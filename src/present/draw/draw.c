/* A drawing from top to bottom: title, legend, words of the overlay, views, key. */

#include "coaming/draw.h"

#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/text.h"
#include "present/draw/drawing.h"
#include "present/form/markup.h"

const char *coaming_overlay_word(coaming_overlay kind)
{
#define COAMING_OVERLAY_WORD(code, word) word,
    static const char *const words[] = {COAMING_OVERLAY_TABLE(COAMING_OVERLAY_WORD)};
#undef COAMING_OVERLAY_WORD
    return words[kind];
}

coaming_drawing coaming_drawing_default(void)
{
    return (coaming_drawing){.profile = true,
                             .plans = true,
                             .query = coaming_query_default(),
                             .top = 10,
                             .within = 30,
                             .width = 297,
                             .prefix = "c"};
}

static bool good_prefix(const char *prefix)
{
    static const char letters[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ";
    static const char more[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-";
    return prefix && *prefix && strchr(letters, *prefix) && prefix[strspn(prefix, more)] == '\0';
}

static bool has_answer(const coaming_drawing *w)
{
    switch (w->overlay) {
    case COAMING_OVERLAY_EXPOSE:
        return w->outset && w->exposure && w->row < coaming_exposure_row_count(w->exposure);
    case COAMING_OVERLAY_RANK:
        return w->outset && w->ranking;
    case COAMING_OVERLAY_DUE:
        return w->due;
    case COAMING_OVERLAY_HOLD:
        return w->outset && w->hold;
    case COAMING_OVERLAY_SURVIVAL:
        return w->survival;
    case COAMING_OVERLAY_AIR:
        return w->air && w->moment < coaming_air_get(w->air)->time_count;
    case COAMING_OVERLAY_FLOOD:
        return w->flood && w->moment < coaming_flood_get(w->flood)->moment_count;
    default:
        return true;
    }
}

static coaming_status check(const coaming_ship *ship, const coaming_drawing *w,
                            coaming_error *error)
{
    if (!(w->width >= 80 && w->width <= 2000))
        return error_set(error, COAMING_USAGE, "the width of a drawing must be from 80 to 2000 mm");
    if (!good_prefix(w->prefix))
        return error_set(error, COAMING_USAGE,
                         "the prefix must be a letter, then letters, digits, -");
    if (!w->profile && !w->plans)
        return error_set(error, COAMING_USAGE, "there is nothing to draw");
    for (size_t i = 0; i < w->deck_count; i++)
        if (w->decks[i] < 0 || (size_t)w->decks[i] >= ship->deck_count)
            return error_set(error, COAMING_USAGE, "there is no deck %d", w->decks[i]);
    if (!has_answer(w))
        return error_set(error, COAMING_USAGE, "there is no answer to lay over the drawing");
    return COAMING_OK;
}

static void draw_view(drawing *d, view *v)
{
    mark *marks = NULL;
    if (!view_fill(d, v))
        return;
    size_t count = marks_make(d, v, &marks);
    markup_put(d->out, "<g class=\"%s\" data-name=\"%s\" data-x0=\"%f\" data-y0=\"%f\">\n",
               v->profile ? "profile" : "deck", v->name, v->ox, v->oy);
    draw_axes(d, v);
    draw_strip(d, v);
    draw_regions(d, v);
    draw_lines(d, v);
    markup_put(d->out, "<g stroke-linecap=\"round\">");
    count = draw_marks(d, v, marks, count);
    take_lines(d, v);
    draw_water(d, v);
    markup_put(d->out,
               "</g><g paint-order=\"stroke\" stroke=\"%s\" stroke-width=\"1.6\" "
               "stroke-linejoin=\"round\">\n",
               PAPER_COLOUR);
    draw_space_labels(d, v);
    draw_mark_labels(d, v, marks, count);
    fputs("</g></g>\n", d->out);
    draw_under(d, v);
    crowd_close(&v->taken);
}

/* What comes after the legend; it tells which signs there are. */
static void draw_rest(drawing *d, view *views, size_t count)
{
    if (!d->what->bare)
        draw_notes(d);
    for (size_t i = 0; i < count && !d->lost; i++)
        draw_view(d, &views[i]);
    draw_foot(d);
}

static void draw_body(drawing *d)
{
    view *views = NULL;
    size_t count = views_make(d, &views), size = 0;
    char *rest = NULL;
    FILE *body = d->out;
    bool legend = !d->over.picture && (!d->what->bare || d->what->profile);
    if (!d->what->bare)
        draw_title(d);
    double top = d->y;
    if (legend)
        legend_make_room(d, views, count);
    d->out = open_memstream(&rest, &size);
    if (d->out) {
        draw_rest(d, views, count);
        d->lost = fclose(d->out) || d->lost;
    } else {
        d->lost = true;
    }
    d->out = body;
    double bottom = d->y;
    d->y = top;
    if (legend)
        draw_legend(d, &d->seen);
    d->y = bottom;
    if (!d->lost)
        fwrite(rest, 1, size, body);
    free(rest);
}

/* By itself it has a size on paper, on another page a place. */
static void put_size(const drawing *d, FILE *out, double height)
{
    const coaming_drawing *w = d->what;
    if (d->place) {
        markup_put(out, "<svg x=\"%f\" y=\"%f\" width=\"%f\" height=\"%f\"", d->place->x,
                   d->place->y, d->page, height);
        d->place->height = height;
        return;
    }
    if (!w->embedded)
        fputs("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n", out);
    markup_put(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%fmm\" height=\"%fmm\"",
               w->width, height * 25.4 / 72);
}

/* The whole with its size, which is known last. */
static void write_whole(drawing *d, FILE *out, const char *body, size_t size)
{
    const coaming_drawing *w = d->what;
    double height = d->y + d->margin;
    char scale[NUMBER_TEXT];
    put_size(d, out, height);
    markup_put(out, " viewBox=\"0 0 %f %f\" role=\"img\" aria-labelledby=\"%s-title %s-desc\"",
               d->page, height, w->prefix, w->prefix);
    markup_put(out,
               " font-family=\"" FONTS "\" "
               "font-size=\"%f\" fill=\"%s\" data-scale=\"%s\">\n",
               LABEL_SIZE, INK_COLOUR, number_format(d->scale, scale));
    markup_put(out, "<title id=\"%s-title\">%s: %s</title>\n", w->prefix, d->ship->name,
               !w->plans    ? "profile"
               : w->profile ? "profile and deck plans"
                            : "deck plans");
    markup_put(out, "<desc id=\"%s-desc\">%s.", w->prefix,
               d->over.heading ? d->over.heading : "Spaces and closures by the arrangement");
    for (size_t i = 0; i < d->over.line_count; i++)
        markup_put(out, " %s", d->over.lines[i].text);
    for (size_t i = 0; i < d->over.item_count; i++)
        markup_put(out, " %s;", d->over.items[i]);
    fputs("</desc>\n", out);
    draw_patterns(d, out);
    markup_put(out, "<rect width=\"%f\" height=\"%f\" fill=\"%s\"/>\n", d->page, height,
               PAPER_COLOUR);
    fwrite(body, 1, size, out);
    fputs("</svg>\n", out);
}

static bool prepare(drawing *d)
{
    d->page = d->what->width * 72 / 25.4;
    d->margin = d->y = d->what->embedded ? 13 : 20;
    d->number_of = draw_new(d, d->ship->space_count, sizeof *d->number_of);
    d->met = draw_new(d, d->ship->space_count, sizeof *d->met);
    d->met_links = draw_new(d, d->ship->link_count, sizeof *d->met_links);
    d->hidden = draw_new(d, d->ship->space_count, sizeof *d->hidden);
    for (size_t i = 0; d->number_of && i < d->ship->space_count; i++)
        d->number_of[i] = -1;
    return !d->lost;
}

static coaming_status make_overlay(drawing *d, coaming_error *error)
{
    d->over.fills = draw_new(d, d->ship->space_count, sizeof *d->over.fills);
    d->over.links = draw_new(d, d->ship->link_count, sizeof *d->over.links);
    if (d->lost)
        return error_memory(error);
    coaming_status status = COAMING_OK;
    switch (d->what->overlay) {
    case COAMING_OVERLAY_EXPOSE:
        status = overlay_make_expose(d, error);
        break;
    case COAMING_OVERLAY_RANK:
        overlay_make_rank(d);
        break;
    case COAMING_OVERLAY_DUE:
        overlay_make_due(d);
        break;
    case COAMING_OVERLAY_HOLD:
        overlay_make_hold(d);
        break;
    case COAMING_OVERLAY_SURVIVAL:
        overlay_make_survival(d);
        break;
    case COAMING_OVERLAY_FLOOD:
        overlay_make_flood(d);
        break;
    case COAMING_OVERLAY_AIR:
        overlay_make_air(d);
        break;
    default:
        break;
    }
    overlay *o = &d->over;
    if (o->items_left_out)
        draw_append(d, &o->items, &o->item_count, &o->item_capacity,
                    draw_format(d, "and %zu more", o->items_left_out));
    return status;
}

coaming_status draw_at(FILE *out, const coaming_ship *ship, const coaming_drawing *what,
                       draw_place *place, coaming_error *error)
{
    drawing d = {.ship = ship, .what = what, .place = place};
    char *body = NULL;
    size_t size = 0;
    coaming_status status = check(ship, what, error);
    if (status == COAMING_OK && !prepare(&d))
        status = error_memory(error);
    if (status == COAMING_OK)
        status = make_overlay(&d, error);
    if (status == COAMING_OK) {
        d.out = open_memstream(&body, &size);
        d.lost = d.lost || !d.out;
        views_measure(&d);
        if (d.out && levels_make(&d))
            draw_body(&d);
        d.lost = (d.out && fclose(d.out)) || d.lost;
        if (d.lost)
            status = error_memory(error);
        else
            write_whole(&d, out, body, size);
    }
    free(body);
    memory_free(d.keys);
    memory_free(d.crowded);
    memory_free(d.unnamed);
    memory_free(d.unnumbered);
    memory_free(d.over.lines);
    memory_free(d.over.items);
    arena_free(&d.memory);
    return status;
}

coaming_status coaming_print_drawing(FILE *out, const coaming_ship *ship,
                                     const coaming_drawing *what, coaming_error *error)
{
    return draw_at(out, ship, what, NULL, error);
}
