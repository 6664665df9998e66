/* Water in time as a page: what is said of it first, then levels and her position against time. */
#include <math.h>
#include <stdlib.h>

#include "base/error.h"
#include "base/memory.h"
#include "coaming/draw.h"
#include "present/draw/drawing.h"
#include "present/form/markup.h"
#include "present/form/plot.h"
#include "present/form/style.h"
#include "present/tell/flood_words.h"
#include "present/tell/heading.h"
#include "present/tell/standing_words.h"

enum { PLOTS_MOST = 3, MARKS_MOST = 24, SHORT = 12 };
static const double PAGE = 595, MARGIN = 34, LEVELS_HIGH = 190, POSITION_HIGH = 115;

typedef struct {
    FILE *out;
    const coaming_ship *ship;
    const coaming_flood_page *page;
    const coaming_flood_answer *a;
    size_t count; /* of the moments that are shown: not where she lies once she is lost */
    double y;
    double *t; /* of the moments, s */
    plot_mark marks[MARKS_MOST];
    const coaming_flood_event *marked[MARKS_MOST];
    char words[MARKS_MOST][SHORT];
    size_t mark_count, unmarked;
    bool lost;
} sheet;

/* --- sentences --- */

static void put_line(sheet *s, double size, bool bold, const char *colour, const char *text)
{
    s->y += draw_paragraph(s->out, MARGIN, s->y, PAGE - 2 * MARGIN, size, bold, colour, text);
}

/* A sentence of flood_words.h, which is freed. */
static void put_words(sheet *s, double size, bool bold, char *words)
{
    if (!words)
        s->lost = true;
    else
        put_line(s, size, bold, INK_COLOUR, words);
    free(words);
}

static void put_head(sheet *s)
{
    char name[SHOWN], state[SHOWN], line[4 * SHOWN];
    char *title = flood_title(s->ship, s->page->ask), *seen = seen_words(s->ship);
    snprintf(line, sizeof line, "%s: %.600s", shown(name, s->ship->name, 40), title ? title : "");
    put_line(s, 13, true, INK_COLOUR, line);
    s->lost = s->lost || !title;
    free(title);
    s->y += 3;
    put_line(s, NOTE_SIZE, false, QUIET_COLOUR,
             tested_words(state, s->ship, s->page->ask->condition));
    if (!seen) {
        s->lost = true;
    } else if (*seen) {
        snprintf(line, sizeof line, SEEN_TITLE ": %.800s.", seen);
        put_line(s, NOTE_SIZE, false, INK_COLOUR, line);
    }
    free(seen);
    put_words(s, NOTE_SIZE, false, flood_source_words(s->ship, s->page->ask));
    put_words(s, NOTE_SIZE, false, flood_change_words(s->ship, s->page->ask));
    s->y += 5;
}

static void put_deadlines(sheet *s, const coaming_flood_deadlines *d)
{
    const coaming_flood_deadline **list =
        memory_new(coaming_flood_deadline_count(d), sizeof(coaming_flood_deadline *));
    if (!list) {
        s->lost = true;
        return;
    }
    size_t count = flood_useful(d, list);
    for (size_t i = 0; i < count; i++)
        put_words(s, NOTE_SIZE, false, flood_deadline_words(s->ship, list[i]));
    put_words(s, NOTE_SIZE, false, flood_useless_words(s->ship, d));
    memory_free(list);
}

static void put_summary(sheet *s)
{
    put_words(s, 9.5, true, flood_reach_words(s->ship, s->page));
    put_words(s, 9.5, true, flood_fate_words(s->a));
    if (s->page->deadlines)
        put_deadlines(s, s->page->deadlines);
    else
        put_words(s, NOTE_SIZE, false, flood_open_words(s->ship, s->page));
    s->y += 8;
}

/* --- plots --- */

/* What is told of in any case, however much happens. */
static bool is_grave(const coaming_flood_event *e)
{
    return e->kind == COAMING_FLOOD_COLLAPSE || e->kind == COAMING_FLOOD_DECK_UNDER ||
           e->kind == COAMING_FLOOD_NOT_SURVIVING || e->kind == COAMING_FLOOD_LOST;
}

/* The events that a short list has, numbered by time; of too many the grave ones, and others as long
 * as there is room. */
static void find_marks(sheet *s)
{
    size_t grave = 0, others = 0;
    for (size_t i = 0; i < s->a->event_count; i++)
        grave += is_grave(&s->a->events[i]);
    for (size_t i = 0; i < s->a->event_count && s->mark_count < MARKS_MOST; i++) {
        const coaming_flood_event *e = &s->a->events[i];
        if (!flood_event_matters(e))
            continue;
        if (!is_grave(e) && grave + ++others > MARKS_MOST) {
            s->unmarked++;
            continue;
        }
        size_t n = s->mark_count++;
        snprintf(s->words[n], SHORT, "%zu", n + 1);
        s->marks[n] = (plot_mark){e->t, s->words[n]};
        s->marked[n] = e;
    }
}

static plot plot_here(const sheet *s, const char *title, const char *unit, double height)
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
                  .x = MARGIN,
                  .y = s->y,
                  .width = PAGE - 2 * MARGIN,
                  .height = height};
}

static double greatest(const double *values, size_t count)
{
    double most = 0;
    for (size_t i = 0; i < count; i++)
        most = fmax(most, values[i]);
    return most;
}

typedef struct {
    size_t at; /* in the answer */
    double volume;
} ordered;

static int by_volume(const void *a, const void *b)
{
    const ordered *one = a, *two = b;
    if (one->volume != two->volume)
        return one->volume > two->volume ? -1 : 1;
    return one->at < two->at ? -1 : one->at > two->at;
}

static void put_depths(sheet *s, const ordered *order, size_t count)
{
    plot_series series[PLOT_LINES];
    plot p = plot_here(s, "Water over the lowest place of a space", "m", LEVELS_HIGH);
    p.series = series;
    p.least = 0;
    for (; p.series_count < count && p.series_count < PLOT_LINES; p.series_count++) {
        const coaming_flood_space *w = &s->a->spaces[order[p.series_count].at];
        series[p.series_count] = (plot_series){s->ship->spaces[w->space].id, w->depths};
    }
    plot_write(s->out, &p);
    s->y += LEVELS_HIGH + 8;
}

/* The spaces with most water first, PLOT_LINES in a plot; what has no room is counted. */
static void put_levels(sheet *s)
{
    size_t count = 0, most = PLOTS_MOST * PLOT_LINES;
    ordered *order = memory_new(s->a->space_count, sizeof *order);
    if (!order) {
        s->lost = true;
        return;
    }
    for (size_t i = 0; i < s->a->space_count; i++)
        if (greatest(s->a->spaces[i].depths, s->count) >= COAMING_FLOOD_WET_DEPTH)
            order[count++] = (ordered){i, greatest(s->a->spaces[i].volumes, s->count)};
    qsort(order, count, sizeof *order, by_volume);
    for (size_t i = 0; i < count && i < most; i += PLOT_LINES)
        put_depths(s, order + i, count - i);
    memory_free(order);
    if (count > most) {
        char words[SHOWN];
        char number[SHOWN];
        snprintf(words, sizeof words, "Not shown, with less water: %.30s.",
                 counted(number, (double)(count - most), "space", "spaces"));
        put_line(s, NOTE_SIZE, false, QUIET_COLOUR, words);
    }
}

typedef double value_of(const coaming_flood_moment *m);

static double heel_of(const coaming_flood_moment *m)
{
    return m->heel;
}

static double trim_of(const coaming_flood_moment *m)
{
    return m->trim;
}

static double freeboard_of(const coaming_flood_moment *m)
{
    return m->freeboard;
}

static void put_position(sheet *s, const char *title, const char *unit, const char *name,
                         value_of *of)
{
    double *values = memory_new(s->count, sizeof *values);
    plot p = plot_here(s, title, unit, POSITION_HIGH);
    plot_series series = {name, values};
    if (!values) {
        s->lost = true;
        return;
    }
    for (size_t i = 0; i < s->count; i++)
        values[i] = of(&s->a->moments[i]);
    p.series = &series;
    p.series_count = 1;
    p.least = p.most = 0;
    plot_write(s->out, &p);
    memory_free(values);
    s->y += POSITION_HIGH + 6;
}

/* --- plans at moments --- */

enum { PICTURES = 4, BESIDE = 2 };
static const double PICTURE_MM = 92;

/* The moment at or after a time. */
static size_t moment_at(const sheet *s, double t)
{
    size_t i = 0;
    while (i + 1 < s->count && s->t[i] < t)
        i++;
    return i;
}

/* When a quarter, a half, three quarters of the spaces that get wet are, and the end: each once, in
 * order. Returns how many. */
static size_t choose_moments(const sheet *s, size_t moments[PICTURES])
{
    const coaming_flood_answer *a = s->a;
    size_t wet = 0, seen = 0, count = 0;
    for (size_t i = 0; i < a->event_count; i++)
        wet += flood_is_wet(&a->events[i]);
    for (size_t i = 0; i < a->event_count && count + 1 < PICTURES; i++) {
        if (!flood_is_wet(&a->events[i]) || ++seen * PICTURES < wet * (count + 1))
            continue;
        size_t at = moment_at(s, a->events[i].t);
        if (at && (!count || at > moments[count - 1]))
            moments[count++] = at;
    }
    if (!count || moments[count - 1] < s->count - 1)
        moments[count++] = s->count - 1;
    return count;
}

/* The decks on which water comes to a space; 0: no space says on which deck it is, so all. */
static size_t wet_decks(const sheet *s, int *decks)
{
    size_t count = 0;
    for (size_t deck = 0; deck < s->ship->deck_count; deck++)
        for (size_t i = 0; i < s->a->space_count; i++)
            if (s->ship->spaces[s->a->spaces[i].space].deck == (int)deck &&
                s->a->spaces[i].depths[s->count - 1] >= COAMING_FLOOD_WET_DEPTH) {
                decks[count++] = (int)deck;
                break;
            }
    return count;
}

static coaming_status put_picture(sheet *s, coaming_drawing *d, draw_place *place,
                                  coaming_error *error)
{
    char time[SHOWN];
    markup_put(s->out,
               "<text x=\"%f\" y=\"%f\" font-size=\"9\" font-weight=\"bold\">After %s</text>\n",
               place->x + 13, place->y + 9, lapse_words(time, s->a->moments[d->moment].t));
    place->y += 11;
    return draw_at(s->out, s->ship, d, place, error);
}

/* What the fills mean, by the patterns of a picture. */
static void put_samples(sheet *s, const char *prefix)
{
    double x = MARGIN;
    for (int f = FILL_SHALLOW; f <= FILL_DEEP; f++) {
        const char *meaning = space_fills[f].meaning;
        draw_fill_sample(s->out, prefix, (space_fill)f, false, x, s->y);
        markup_put(s->out, "<text x=\"%f\" y=\"%f\" font-size=\"8\">%s</text>\n", x + 23,
                   s->y + 8.5, meaning);
        x += 40 + text_points(meaning, NOTE_SIZE, false);
    }
    s->y += 20;
}

/* Two beside each other, each with the profile and the plans of the decks that water comes to. */
static coaming_status put_pictures(sheet *s, coaming_error *error)
{
    size_t moments[PICTURES], count = choose_moments(s, moments);
    int *decks = memory_new(s->ship->deck_count, sizeof *decks);
    coaming_status status = decks ? COAMING_OK : error_memory(error);
    coaming_drawing d = coaming_drawing_default();
    d.query.condition = s->page->ask->condition;
    d.query.loading = s->page->ask->loading;
    d.overlay = COAMING_OVERLAY_FLOOD;
    d.flood = s->page->flood;
    d.width = PICTURE_MM;
    d.compact = d.embedded = d.bare = true;
    d.decks = decks;
    d.deck_count = decks ? wet_decks(s, decks) : 0;
    static const char *const prefixes[PICTURES] = {"first", "second", "third", "fourth"};
    put_samples(s, prefixes[0]);
    double below = s->y, row = s->y;
    for (size_t i = 0; i < count && status == COAMING_OK; i++) {
        draw_place place = {MARGIN - 13 + (double)(i % BESIDE) * (PAGE - 2 * MARGIN) / BESIDE, row,
                            0};
        d.moment = moments[i];
        d.prefix = prefixes[i];
        status = put_picture(s, &d, &place, error);
        below = fmax(below, place.y + place.height);
        if (i % BESIDE + 1 == BESIDE)
            row = below + 8;
    }
    s->y = below + 4;
    memory_free(decks);
    return status;
}

/* What the numbers over the plots stand for. */
static void put_marks(sheet *s)
{
    char time[SHOWN], line[4 * SHOWN];
    for (size_t i = 0; i < s->mark_count; i++) {
        char *words = flood_event_words(s->ship, s->a, s->marked[i]);
        snprintf(line, sizeof line, "%s. %s: %.800s", s->words[i],
                 lapse_words(time, s->marked[i]->t), words ? words : "");
        put_line(s, NOTE_SIZE, false, INK_COLOUR, line);
        s->lost = s->lost || !words;
        free(words);
    }
    if (s->unmarked) {
        snprintf(line, sizeof line, "Not told here: %.30s more.",
                 counted(time, (double)s->unmarked, "event", "events"));
        put_line(s, NOTE_SIZE, false, QUIET_COLOUR, line);
    }
    s->y += 6;
}

static void put_end(sheet *s)
{
    char time[SHOWN], line[4 * SHOWN], *words = flood_end_words(s->ship, s->a);
    snprintf(line, sizeof line, "After %s she %.800s", lapse_words(time, s->a->end),
             words ? words : "");
    put_line(s, NOTE_SIZE, true, INK_COLOUR, line);
    s->lost = s->lost || !words;
    free(words);
}

/* --- the whole --- */

static coaming_status put_body(sheet *s, coaming_error *error)
{
    s->y = MARGIN;
    put_head(s);
    put_summary(s);
    put_levels(s);
    put_position(s, "Heel, to port above 0", "degrees", "heel", heel_of);
    put_position(s, "Trim, by the bow above 0", "m", "trim", trim_of);
    put_position(s, "Freeboard, least", "m", "freeboard", freeboard_of);
    put_marks(s);
    coaming_status status = put_pictures(s, error);
    put_end(s);
    s->y += 4;
    put_words(s, NOTE_SIZE, false, flood_assumed_words(s->ship, s->a));
    s->y += 4;
    put_line(s, NOTE_SIZE, true, INK_COLOUR, coaming_flood_caution());
    return s->lost ? error_memory(error) : status;
}

static void write_whole(const sheet *s, FILE *out, const char *body, size_t size)
{
    double height = s->y + MARGIN;
    fputs("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n", out);
    markup_put(out,
               "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%fmm\" height=\"%fmm\" "
               "viewBox=\"0 0 %f %f\" role=\"img\" aria-labelledby=\"flood-title\"",
               PAGE * 25.4 / 72, height * 25.4 / 72, PAGE, height);
    markup_put(out,
               " font-family=\"" FONTS
               "\" fill=\"%s\">\n<title id=\"flood-title\">%s: water in time</title>\n",
               INK_COLOUR, s->ship->name);
    markup_put(out, "<rect width=\"%f\" height=\"%f\" fill=\"%s\"/>\n", PAGE, height, PAPER_COLOUR);
    fwrite(body, 1, size, out);
    fputs("</svg>\n", out);
}

coaming_status coaming_print_flood_plots(FILE *out, const coaming_flood_page *page,
                                         coaming_error *error)
{
    if (!page->outset)
        return outset_missing(error);
    const coaming_flood_answer *a = coaming_flood_get(page->flood);
    char *body = NULL;
    size_t size = 0;
    sheet s = {.ship = coaming_outset_ship(page->outset), .page = page, .a = a};
    s.count = a->moment_count - (!flood_lies(a, a->moment_count - 1) && a->moment_count > 1);
    s.t = memory_new(a->moment_count, sizeof *s.t);
    s.out = open_memstream(&body, &size);
    s.lost = !s.t || !s.out;
    for (size_t i = 0; s.t && i < a->moment_count; i++)
        s.t[i] = a->moments[i].t;
    coaming_status status = s.lost ? error_memory(error) : COAMING_OK;
    if (status == COAMING_OK) {
        find_marks(&s);
        status = put_body(&s, error);
    }
    if (s.out && fclose(s.out) && status == COAMING_OK)
        status = error_memory(error);
    if (status == COAMING_OK)
        write_whole(&s, out, body, size);
    free(body);
    memory_free(s.t);
    return status;
}
