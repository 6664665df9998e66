/* Water in time as a page: what is said of it first, then levels and her position against time. */
#include <math.h>
#include <stdlib.h>

#include "base/error.h"
#include "base/memory.h"
#include "coaming/draw.h"
#include "present/draw/time_sheet.h"
#include "present/tell/flood_words.h"
#include "present/tell/heading.h"

enum { PLOTS_MOST = 3 };
static const double LEVELS_HIGH = 190, POSITION_HIGH = 115;

typedef struct {
    time_sheet s;
    const coaming_ship *ship;
    const coaming_flood_page *page;
    const coaming_flood_answer *a;
    told_events told;
    double *t; /* of the moments, s */
} sheet;

/* --- sentences --- */

static void put_head(sheet *f)
{
    char *title = flood_title(f->ship, f->page->ask);
    time_head(&f->s, f->ship, title, f->page->ask->condition);
    free(title);
    time_words(&f->s, NOTE_SIZE, false, flood_source_words(f->ship, f->page->ask));
    time_words(&f->s, NOTE_SIZE, false, flood_change_words(f->ship, f->page->ask));
    f->s.y += 5;
}

static void put_deadlines(sheet *f, const coaming_flood_deadlines *d)
{
    const coaming_flood_deadline **list =
        memory_new(coaming_flood_deadline_count(d), sizeof(coaming_flood_deadline *));
    if (!list) {
        f->s.lost = true;
        return;
    }
    size_t count = flood_useful(d, list);
    for (size_t i = 0; i < count; i++)
        time_words(&f->s, NOTE_SIZE, false, flood_deadline_words(f->ship, list[i]));
    time_words(&f->s, NOTE_SIZE, false, flood_useless_words(f->ship, d));
    memory_free(list);
}

static void put_summary(sheet *f)
{
    time_words(&f->s, 9.5, true, flood_reach_words(f->ship, f->page));
    time_words(&f->s, 9.5, true, flood_fate_words(f->a));
    if (f->page->deadlines)
        put_deadlines(f, f->page->deadlines);
    else
        time_words(&f->s, NOTE_SIZE, false, flood_open_words(f->ship, f->page));
    f->s.y += 8;
}

/* --- plots --- */

static double greatest(const double *values, size_t count)
{
    double most = 0;
    for (size_t i = 0; i < count; i++)
        most = fmax(most, values[i]);
    return most;
}

static void put_depths(sheet *f, const time_ordered *order, size_t count)
{
    plot_series series[PLOT_LINES];
    time_piece(&f->s);
    plot p = time_plot(&f->s, "Water over the lowest place of a space", "m", LEVELS_HIGH);
    p.series = series;
    p.least = 0;
    for (; p.series_count < count && p.series_count < PLOT_LINES; p.series_count++) {
        const coaming_flood_space *w = &f->a->spaces[order[p.series_count].at];
        series[p.series_count] = (plot_series){f->ship->spaces[w->space].id, w->depths};
    }
    time_put(&f->s, &p);
}

/* The spaces with most water first, PLOT_LINES in a plot; what has no room is counted. */
static void put_levels(sheet *f)
{
    size_t count = 0, most = PLOTS_MOST * PLOT_LINES;
    time_ordered *order = memory_new(f->a->space_count, sizeof *order);
    if (!order) {
        f->s.lost = true;
        return;
    }
    for (size_t i = 0; i < f->a->space_count; i++)
        if (greatest(f->a->spaces[i].depths, f->s.count) >= COAMING_FLOOD_WET_DEPTH)
            order[count++] = (time_ordered){i, greatest(f->a->spaces[i].volumes, f->s.count)};
    qsort(order, count, sizeof *order, time_by_most);
    for (size_t i = 0; i < count && i < most; i += PLOT_LINES)
        put_depths(f, order + i, count - i);
    memory_free(order);
    time_left_out(&f->s, count, most, "with less water");
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

static const double NOTHING = 1e-6; /* m or degrees: an axis is not drawn to show rounding */

static void put_position(sheet *f, const char *title, const char *unit, const char *name,
                         value_of *of)
{
    double *values = memory_new(f->s.count, sizeof *values);
    plot p = time_plot(&f->s, title, unit, POSITION_HIGH);
    plot_series series = {name, values};
    if (!values) {
        f->s.lost = true;
        return;
    }
    for (size_t i = 0; i < f->s.count; i++) {
        double value = of(&f->a->moments[i]);
        values[i] = fabs(value) < NOTHING ? 0 : value;
    }
    p.series = &series;
    p.series_count = 1;
    p.least = p.most = 0;
    time_put(&f->s, &p);
    memory_free(values);
}

static void put_plots(sheet *f)
{
    put_levels(f);
    time_piece(&f->s);
    put_position(f, "Heel, to port above 0", "degrees", "heel", heel_of);
    put_position(f, "Trim, by the bow above 0", "m", "trim", trim_of);
    put_position(f, "Freeboard, least", "m", "freeboard", freeboard_of);
}

/* --- plans at moments --- */

/* When the spaces that get wet are. */
static size_t choose_moments(sheet *f, size_t moments[TIME_PICTURES])
{
    double *wet = memory_new(f->a->event_count, sizeof *wet);
    size_t count = 0;
    f->s.lost = f->s.lost || !wet;
    for (size_t i = 0; i < f->a->event_count && wet; i++)
        if (flood_is_wet(&f->a->events[i]))
            wet[count++] = f->a->events[i].t;
    count = time_moments(&f->s, wet, count, moments);
    memory_free(wet);
    return count;
}

/* The decks on which water comes to a space. */
static size_t wet_decks(sheet *f, int *decks)
{
    bool *wet = memory_new(f->ship->space_count, sizeof *wet);
    size_t count = 0;
    f->s.lost = f->s.lost || !wet;
    for (size_t i = 0; i < f->a->space_count && wet; i++)
        wet[f->a->spaces[i].space] =
            f->a->spaces[i].depths[f->s.count - 1] >= COAMING_FLOOD_WET_DEPTH;
    if (wet)
        count = time_decks(f->ship, wet, decks);
    memory_free(wet);
    return count;
}

/* Each has the profile and the plans of the decks that water comes to. */
static coaming_status put_pictures(sheet *f, coaming_error *error)
{
    const char *const meanings[] = {space_fills[FILL_SHALLOW].meaning,
                                    space_fills[FILL_DEEP].meaning};
    size_t moments[TIME_PICTURES], count = choose_moments(f, moments);
    int *decks = memory_new(f->ship->deck_count, sizeof *decks);
    coaming_drawing d = coaming_drawing_default();
    if (!decks)
        return error_memory(error);
    d.query.condition = f->page->ask->condition;
    d.query.loading = f->page->ask->loading;
    d.overlay = COAMING_OVERLAY_FLOOD;
    d.flood = f->page->flood;
    d.decks = decks;
    d.deck_count = wet_decks(f, decks);
    time_piece(&f->s);
    time_samples(&f->s, FILL_SHALLOW, 2, meanings);
    coaming_status status = time_pictures(&f->s, &d, moments, count, error);
    memory_free(decks);
    return status;
}

/* What the numbers over the plots stand for. */
static void put_marks(sheet *f)
{
    char time[SHOWN];
    for (size_t i = 0; i < f->told.count; i++) {
        const coaming_flood_event *e = &f->a->events[f->told.at[i]];
        char *words = flood_event_words(f->ship, f->a, e);
        f->s.lost = f->s.lost || !words;
        time_say(&f->s, NOTE_SIZE, false, INK_COLOUR, "%zu. %s: %s", i + 1, lapse_words(time, e->t),
                 words ? words : "");
        free(words);
    }
    if (f->told.left_out)
        time_say(&f->s, NOTE_SIZE, false, QUIET_COLOUR, TOLD_LEFT_OUT ".",
                 counted(time, (double)f->told.left_out, "event", "events"));
    f->s.y += 6;
}

static void put_end(sheet *f)
{
    char time[SHOWN], *words = flood_end_words(f->ship, f->a);
    f->s.lost = f->s.lost || !words;
    time_say(&f->s, NOTE_SIZE, true, INK_COLOUR, "After %s she %s", lapse_words(time, f->a->end),
             words ? words : "");
    free(words);
}

/* --- the whole --- */

static coaming_status put_page(sheet *f, coaming_error *error)
{
    put_head(f);
    put_summary(f);
    put_plots(f);
    put_marks(f);
    coaming_status status = put_pictures(f, error);
    put_end(f);
    f->s.y += 4;
    time_words(&f->s, NOTE_SIZE, false, flood_assumed_words(f->ship, f->a));
    f->s.y += 4;
    time_line(&f->s, NOTE_SIZE, true, INK_COLOUR, coaming_flood_caution());
    return status;
}

static coaming_status draw(FILE *out, bool html, const coaming_flood_page *page,
                           coaming_error *error)
{
    const coaming_flood_answer *a = coaming_flood_get(page->flood);
    sheet f = {.ship = coaming_outset_ship(page->outset), .page = page, .a = a};
    f.told = flood_told(a);
    f.t = memory_new(a->moment_count, sizeof *f.t);
    if (!f.t)
        return error_memory(error);
    for (size_t i = 0; i < a->moment_count; i++)
        f.t[i] = a->moments[i].t;
    f.s = (time_sheet){.ship = f.ship, .name = "flood", .title = "water in time", .t = f.t};
    /* not where she lies once she is lost */
    f.s.count = a->moment_count - (!flood_lies(a, a->moment_count - 1) && a->moment_count > 1);
    time_mark(&f.s, &f.told);
    time_open(&f.s, out, html);
    coaming_status status = COAMING_OK;
    if (html)
        put_plots(&f);
    if (!f.s.lost)
        status = html ? put_pictures(&f, error) : put_page(&f, error);
    status = time_close(&f.s, status, error);
    memory_free(f.t);
    return status;
}

coaming_status draw_flood_pieces(FILE *html, const coaming_flood_page *page, coaming_error *error)
{
    return draw(html, true, page, error);
}

coaming_status coaming_print_flood_plots(FILE *out, const coaming_flood_page *page,
                                         coaming_error *error)
{
    return page->outset ? draw(out, false, page, error) : outset_missing(error);
}
