#include "present/draw/time_sheet.h"

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/form/markup.h"
#include "present/form/style.h"
#include "present/tell/flood_words.h"
#include "present/tell/seen_words.h"
#include "present/tell/standing_words.h"

enum { BESIDE = 2 };
static const double PAGE = 595, MARGIN = 34,
                    HTML_PAGE = 180 * 72 / 25.4, /* between margins of A4 */
    HTML_MARGIN = 4, PICTURE_MM = 92, HTML_PICTURE_MM = 88, EMBEDDED = 13;

/* --- pieces --- */

void time_open(time_sheet *s, FILE *page, bool html)
{
    s->page = page;
    s->html = html;
    s->x = html ? HTML_MARGIN : MARGIN;
    s->y = html ? HTML_MARGIN : MARGIN;
    s->width = html ? HTML_PAGE - 2 * HTML_MARGIN : PAGE - 2 * MARGIN;
    s->out = open_memstream(&s->body, &s->size);
    s->lost = s->lost || !s->out;
}

static void put_svg(const time_sheet *s)
{
    double width = s->html ? HTML_PAGE : PAGE, height = s->y + (s->html ? HTML_MARGIN : MARGIN);
    char number[32] = "";
    if (s->html)
        snprintf(number, sizeof number, "-%zu", s->pieces);
    markup_put(s->page,
               "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%fmm\" height=\"%fmm\" "
               "viewBox=\"0 0 %f %f\" role=\"img\" aria-labelledby=\"%s-title%s\"",
               width * 25.4 / 72, height * 25.4 / 72, width, height, s->name, number);
    markup_put(s->page,
               " font-family=\"" FONTS "\" fill=\"%s\">\n<title id=\"%s-title%s\">%s: %s</title>\n",
               INK_COLOUR, s->name, number, s->ship->name, s->title);
    markup_put(s->page, "<rect width=\"%f\" height=\"%f\" fill=\"%s\"/>\n", width, height,
               PAPER_COLOUR);
    fwrite(s->body, 1, s->size, s->page);
    fputs("</svg>\n", s->page);
}

/* A sheet of paper that has come away from the others still says what it is of. */
static void put_part(const time_sheet *s)
{
    char date[COAMING_DATE_TEXT];
    markup_put(s->page,
               "<div class=\"scroll picture\" role=\"region\" tabindex=\"0\" aria-label=\"%s, "
               "picture %zu\">\n<p class=\"part\"><bdi>%s</bdi>, %s: %s, part %zu</p>\n",
               s->title, s->pieces, s->ship->name, coaming_date_format(s->ship->as_of, date),
               s->title, s->pieces);
}

/* Ends the piece, and writes it if there is anything in it. */
static void end_piece(time_sheet *s, bool keep)
{
    bool whole = s->out && !fclose(s->out);
    s->out = NULL;
    s->lost = s->lost || !whole;
    if (keep && !s->lost && s->size && s->html) {
        s->pieces++;
        put_part(s);
        put_svg(s);
        fputs("</div>\n", s->page);
    } else if (keep && !s->lost && s->size) {
        fputs("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n", s->page);
        put_svg(s);
    }
    free(s->body);
    s->body = NULL;
    s->size = 0;
}

void time_piece(time_sheet *s)
{
    if (!s->html || s->lost)
        return;
    end_piece(s, true);
    if (!s->lost)
        time_open(s, s->page, true);
}

coaming_status time_close(time_sheet *s, coaming_status status, coaming_error *error)
{
    bool failed = status != COAMING_OK;
    if (s->out)
        end_piece(s, !failed);
    return !failed && s->lost ? error_memory(error) : status;
}

/* --- sentences --- */

void time_line(time_sheet *s, double size, bool bold, const char *colour, const char *text)
{
    if (!s->html && !s->lost)
        s->y += draw_paragraph(s->out, s->x, s->y, s->width, size, bold, colour, text);
}

void time_words(time_sheet *s, double size, bool bold, char *words)
{
    if (words)
        time_line(s, size, bold, INK_COLOUR, words);
    s->lost = s->lost || !words;
    free(words);
}

static char *put_together(const char *format, va_list values)
{
    char *text = NULL;
    size_t length = 0;
    FILE *out = open_memstream(&text, &length);
    if (out)
        vfprintf(out, format, values);
    return words_end(out, &text);
}

void time_say(time_sheet *s, double size, bool bold, const char *colour, const char *format, ...)
{
    va_list values;
    va_start(values, format);
    char *words = put_together(format, values);
    va_end(values);
    if (words)
        time_line(s, size, bold, colour, words);
    s->lost = s->lost || !words;
    free(words);
}

void time_note(time_sheet *s, const char *format, ...)
{
    va_list values;
    va_start(values, format);
    char *words = put_together(format, values);
    va_end(values);
    s->lost = s->lost || !words;
    if (!s->lost)
        s->y +=
            draw_paragraph(s->out, s->x, s->y, s->width, NOTE_SIZE, false, QUIET_COLOUR, words) + 6;
    free(words);
}

void time_head(time_sheet *s, const coaming_ship *ship, const char *title, int condition)
{
    char name[SHOWN], state[SHOWN], *seen = seen_words(ship);
    s->lost = s->lost || !title || !seen;
    if (title)
        time_say(s, 13, true, INK_COLOUR, "%s: %s", shown(name, ship->name, 40), title);
    s->y += 3;
    time_line(s, NOTE_SIZE, false, QUIET_COLOUR, tested_words(state, ship, condition));
    if (seen && *seen)
        time_say(s, NOTE_SIZE, false, INK_COLOUR, SEEN_TITLE ": %s.", seen);
    free(seen);
}

/* --- plots --- */

void time_mark(time_sheet *s, const told_events *told)
{
    for (size_t i = 0; i < told->count; i++) {
        snprintf(s->numbers[i], sizeof s->numbers[i], "%zu", i + 1);
        s->marks[i] = (plot_mark){told->t[i], s->numbers[i]};
    }
    s->mark_count = told->count;
}

plot time_plot(const time_sheet *s, const char *title, const char *unit, double height)
{
    return (plot){.title = title,
                  .unit = unit,
                  .t = s->t,
                  .count = s->count,
                  .marks = s->marks,
                  .mark_count = s->mark_count,
                  .least = NAN,
                  .most = NAN,
                  .names = 60,
                  .x = s->x,
                  .y = s->y,
                  .width = s->width,
                  .height = height};
}

void time_put(time_sheet *s, const plot *p)
{
    if (!s->lost)
        plot_write(s->out, p);
    s->y += p->height + 7;
}

void time_left_out(time_sheet *s, size_t count, size_t most, const char *with_less)
{
    char number[SHOWN];
    if (count > most)
        time_note(s, "Not shown, %s: %s.", with_less,
                  counted(number, (double)(count - most), "space", "spaces"));
}

int time_by_most(const void *one, const void *other)
{
    const time_ordered *a = one, *b = other;
    if (a->most != b->most)
        return a->most > b->most ? -1 : 1;
    return a->at < b->at ? -1 : a->at > b->at;
}

/* --- drawings at moments --- */

/* The moment at or after a time. */
static size_t moment_at(const time_sheet *s, double t)
{
    size_t i = 0;
    while (i + 1 < s->count && s->t[i] < t)
        i++;
    return i;
}

size_t time_moments(const time_sheet *s, const double *arrivals, size_t count,
                    size_t moments[TIME_PICTURES])
{
    size_t chosen = 0;
    for (size_t i = 0; i < count && chosen + 1 < TIME_PICTURES; i++) {
        if ((i + 1) * TIME_PICTURES < count * (chosen + 1))
            continue;
        size_t at = moment_at(s, arrivals[i]);
        if (at && (!chosen || at > moments[chosen - 1]))
            moments[chosen++] = at;
    }
    if (!chosen || moments[chosen - 1] < s->count - 1)
        moments[chosen++] = s->count - 1;
    return chosen;
}

size_t time_decks(const coaming_ship *ship, const bool *there, int *decks)
{
    size_t count = 0;
    for (size_t deck = 0; deck < ship->deck_count; deck++)
        for (size_t i = 0; i < ship->space_count; i++)
            if (there[i] && ship->spaces[i].deck == (int)deck) {
                decks[count++] = (int)deck;
                break;
            }
    return count;
}

static const char *prefix_of(const time_sheet *s, size_t picture, char buffer[40])
{
    snprintf(buffer, 40, "%.16s-%zu", s->name, picture + 1);
    return buffer;
}

void time_samples(time_sheet *s, space_fill first, size_t count, const char *const *meanings)
{
    double x = s->x;
    char prefix[40];
    for (size_t i = 0; i < count && !s->lost; i++) {
        draw_fill_sample(s->out, prefix_of(s, 0, prefix), first + (space_fill)i, false, x, s->y);
        markup_put(s->out, "<text x=\"%f\" y=\"%f\" font-size=\"8\">%s</text>\n", x + 23,
                   s->y + 8.5, meanings[i]);
        x += 40 + text_points(meanings[i], NOTE_SIZE, false);
    }
    s->y += 20;
}

static coaming_status put_picture(time_sheet *s, const coaming_drawing *what, draw_place *place,
                                  coaming_error *error)
{
    char time[SHOWN];
    markup_put(s->out,
               "<text x=\"%f\" y=\"%f\" font-size=\"9\" font-weight=\"bold\">After %s</text>\n",
               place->x + EMBEDDED, place->y + 9, lapse_words(time, s->t[what->moment]));
    place->y += 11;
    return draw_at(s->out, s->ship, what, place, error);
}

/* As many as stand beside each other. */
static coaming_status put_row(time_sheet *s, const coaming_drawing *what, const size_t *moments,
                              size_t first, size_t count, coaming_error *error)
{
    char prefix[40];
    double below = s->y;
    coaming_status status = COAMING_OK;
    for (size_t i = first; i < count && i < first + BESIDE && status == COAMING_OK; i++) {
        draw_place place = {s->x - EMBEDDED + (double)(i - first) * s->width / BESIDE, s->y, 0};
        coaming_drawing d = *what;
        d.moment = moments[i];
        d.prefix = prefix_of(s, i, prefix);
        status = put_picture(s, &d, &place, error);
        below = fmax(below, place.y + place.height);
    }
    s->y = below + 8;
    return status;
}

coaming_status time_pictures(time_sheet *s, const coaming_drawing *what, const size_t *moments,
                             size_t count, coaming_error *error)
{
    coaming_drawing d = *what;
    coaming_status status = COAMING_OK;
    d.width = s->html ? HTML_PICTURE_MM : PICTURE_MM;
    d.compact = d.embedded = d.bare = true;
    for (size_t i = 0; i < count && status == COAMING_OK && !s->lost; i += BESIDE) {
        if (i)
            time_piece(s);
        if (!s->lost)
            status = put_row(s, &d, moments, i, count, error);
    }
    return status;
}
