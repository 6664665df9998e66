/* Smoke and gas in time as a page: what is said of it first, then what is in the air of the spaces and
 * what people there take up, against time; then plans at moments. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "coaming/draw.h"
#include "present/draw/time_sheet.h"
#include "present/tell/air_words.h"
#include "present/tell/flood_words.h"

enum { SPACES_MOST = 14, LEVELS_MOST = 12 };
static const double SHARES_HIGH = 210, DOSES_HIGH = 150;

typedef struct {
    time_sheet s;
    const coaming_ship *ship;
    const coaming_air *air;
    const coaming_air_options *o;
    const coaming_air_answer *a;
    told_events told;
} sheet;

/* --- sentences --- */

static void put_head(sheet *f)
{
    char words[2 * SHOWN];
    time_head(&f->s, f->ship, AIR_TITLE, f->o->condition);
    time_line(&f->s, NOTE_SIZE, false, INK_COLOUR, weather_words(words, f->o));
    time_words(&f->s, NOTE_SIZE, true, air_asked_words(f->ship, f->o));
    time_words(&f->s, NOTE_SIZE, false, air_sealed_words(f->ship, f->o, f->a));
    time_words(&f->s, NOTE_SIZE, true, air_much_words(f->ship, f->a));
    f->s.y += 5;
}

static void put_passed(sheet *f)
{
    size_t told = 0;
    time_line(&f->s, 9.5, true, INK_COLOUR,
              f->a->event_count ? AIR_PASSED ":" : air_no_limit(f->o));
    for (size_t i = 0; i < f->a->event_count; i++)
        if (air_first_there(f->a, i) && told++ < SPACES_MOST)
            time_words(&f->s, NOTE_SIZE, false, air_space_words(f->ship, f->a, i));
    if (told > SPACES_MOST)
        time_say(&f->s, NOTE_SIZE, false, QUIET_COLOUR, "and %zu more.", told - SPACES_MOST);
    const coaming_air_limit *limit;
    for (size_t i = 0; (limit = coaming_air_limit_published(i)); i++)
        if (air_passes(f->a, limit))
            time_words(&f->s, LABEL_SIZE, false, air_limit_words(limit));
}

static void put_summary(sheet *f)
{
    put_passed(f);
    f->s.y += 4;
    if (f->a->shutting_count)
        time_say(&f->s, 9.5, true, INK_COLOUR, "%s:", air_still_done(f->o));
    for (size_t i = 0; i < f->a->shutting_count; i++)
        time_words(&f->s, NOTE_SIZE, false, air_shutting_words(f->ship, &f->a->shuttings[i]));
    for (size_t i = 0; i < f->a->shelter_count; i++) {
        time_words(&f->s, NOTE_SIZE, true, air_shelter_words(f->ship, &f->a->shelters[i]));
        if (f->a->stretch_count > 1)
            time_words(&f->s, NOTE_SIZE, false, air_later_words(f->a, &f->a->shelters[i]));
        time_words(&f->s, NOTE_SIZE, false, air_clean_words(&f->a->shelters[i]));
    }
    f->s.y += 8;
}

/* What the numbers over the plots stand for. */
static void put_marks(sheet *f)
{
    char time[SHOWN];
    for (size_t i = 0; i < f->told.count; i++) {
        char *words = air_event_words(f->ship, &f->a->events[f->told.at[i]]);
        f->s.lost = f->s.lost || !words;
        time_say(&f->s, NOTE_SIZE, false, INK_COLOUR, "%zu. %s: %s", i + 1,
                 lapse_words(time, f->told.t[i]), words ? words : "");
        free(words);
    }
    if (f->told.left_out)
        time_say(&f->s, NOTE_SIZE, false, QUIET_COLOUR, TOLD_LEFT_OUT ".",
                 counted(time, (double)f->told.left_out, "event", "events"));
    f->s.y += 6;
}

/* --- plots --- */

/* What is plotted: limits of one kind go with it. Values are those of the answer times `scale`. */
typedef struct {
    const char *title, *unit;
    coaming_limit_kind kind;
    coaming_agent agent; /* of shares and doses */
    double scale, least, most, height;
    bool decades, bounded;
    size_t lines; /* most that are shown, in plots of PLOT_LINES */
} measure;

typedef struct {
    int space;
    const double *y;
    double most; /* what decides the order */
} row;

static int by_most(const void *one, const void *other)
{
    const row *a = one, *b = other;
    if (a->most != b->most)
        return a->most > b->most ? -1 : 1;
    return a->space < b->space ? -1 : a->space > b->space;
}

/* Is it a limit of what is plotted? */
static bool concerns(const measure *m, const coaming_air_limit *limit)
{
    bool one = m->kind == COAMING_LIMIT_SHARE || m->kind == COAMING_LIMIT_DOSE;
    return limit->kind == m->kind && (!one || limit->agent == m->agent);
}

/* The limits, the lowest first; a published one with what it is. Returns how many. */
static size_t find_levels(const sheet *f, const measure *m, plot_level levels[LEVELS_MOST],
                          char names[LEVELS_MOST][2 * SHOWN])
{
    const coaming_air_limit *limit;
    char value[SHOWN], name[SHOWN];
    size_t count = 0;
    for (size_t i = 0; (limit = air_limit(f->o, i)) && count < LEVELS_MOST; i++) {
        if (!concerns(m, limit))
            continue;
        size_t at = count++;
        for (; at && levels[at - 1].y > limit->value * m->scale; at--)
            levels[at] = levels[at - 1];
        char *words = names[count - 1];
        shown(name, limit->name, 30);
        if (limit->source && m->kind == COAMING_LIMIT_SHARE)
            snprintf(words, 2 * SHOWN, "%s, %s", name,
                     share_words(value, limit->agent, limit->value));
        else
            snprintf(words, 2 * SHOWN, "%s", name);
        levels[at] = (plot_level){limit->value * m->scale, words};
    }
    return count;
}

/* Where lines pass limits. Events come by time, so the dots of each line do. */
static plot_dot *find_dots(sheet *f, const measure *m, const row *rows, size_t count, size_t *found)
{
    plot_dot *dots = memory_new(f->a->event_count, sizeof *dots);
    f->s.lost = f->s.lost || !dots;
    for (size_t i = 0; i < f->a->event_count && dots; i++)
        for (size_t k = 0; k < count; k++)
            if (concerns(m, f->a->events[i].limit) && rows[k].space == f->a->events[i].space)
                dots[(*found)++] =
                    (plot_dot){k, f->a->events[i].t, f->a->events[i].limit->value * m->scale};
    return dots;
}

/* The lines of one plot. */
static void put_plot(sheet *f, const measure *m, const row *rows, size_t count, bool further)
{
    char title[SHOWN];
    char names[LEVELS_MOST][2 * SHOWN];
    plot_level levels[LEVELS_MOST];
    plot_series series[PLOT_LINES];
    size_t moments = f->a->time_count;
    double *values = memory_new(count * moments, sizeof *values);
    time_piece(&f->s);
    snprintf(title, sizeof title, "%.100s%s", m->title, further ? ": further spaces" : "");
    plot p = time_plot(&f->s, title, m->unit, m->height);
    plot_dot *dots = find_dots(f, m, rows, count, &p.dot_count);
    f->s.lost = f->s.lost || !values;
    for (size_t k = 0; k < count && values; k++) {
        for (size_t i = 0; i < moments; i++)
            values[k * moments + i] = rows[k].y[i] * m->scale;
        series[k] = (plot_series){f->ship->spaces[rows[k].space].id, values + k * moments};
    }
    p.series = series;
    p.series_count = count;
    p.levels = levels;
    p.level_count = find_levels(f, m, levels, names);
    p.dots = dots;
    p.least = m->least * m->scale;
    p.most = m->most * m->scale;
    p.decades = m->decades;
    p.bounded = m->bounded;
    time_put(&f->s, &p);
    memory_free(dots);
    memory_free(values);
}

static void put_rows(sheet *f, const measure *m, row *rows, size_t count)
{
    if (count)
        qsort(rows, count, sizeof *rows, by_most);
    for (size_t i = 0; i < count && i < m->lines && !f->s.lost; i += PLOT_LINES)
        put_plot(f, m, rows + i, count - i < PLOT_LINES ? count - i : PLOT_LINES, i > 0);
    time_left_out(&f->s, count, m->lines, "with less");
}

/* The highest limit of it that is not far over what is reached. */
static double highest(const sheet *f, const measure *m, double reached)
{
    const coaming_air_limit *limit;
    double high = reached;
    for (size_t i = 0; (limit = air_limit(f->o, i)); i++)
        if (concerns(m, limit) && limit->value < 10 * reached)
            high = fmax(high, limit->value);
    return high;
}

static double greatest(const sheet *f, const double *values)
{
    double most = 0;
    for (size_t i = 0; i < f->a->time_count; i++)
        most = fmax(most, values[i]);
    return most;
}

/* What is in the air of one agent, or what of it is taken in. */
static void put_courses(sheet *f, measure m)
{
    row *rows = memory_new(f->a->course_count, sizeof *rows);
    size_t count = 0;
    double most = 0;
    f->s.lost = f->s.lost || !rows;
    for (size_t i = 0; i < f->a->course_count && rows; i++) {
        const coaming_air_course *c = &f->a->courses[i];
        const double *y = m.kind == COAMING_LIMIT_SHARE ? c->share : c->dose;
        if (c->agent != m.agent || greatest(f, y) < m.least)
            continue;
        rows[count++] = (row){c->space, y, greatest(f, y)};
        most = fmax(most, rows[count - 1].most);
    }
    m.most = highest(f, &m, most);
    m.decades = m.bounded = m.most > 30 * m.least;
    m.least = m.decades ? m.least : 0;
    put_rows(f, &m, rows, count);
    memory_free(rows);
}

static void put_shares(sheet *f, coaming_agent agent)
{
    char title[SHOWN];
    bool smoke = agent == COAMING_AGENT_SMOKE;
    double steps[AIR_STEPS];
    air_steps(f->o, agent, steps);
    snprintf(title, sizeof title, "%s in the air", smoke ? "Smoke" : agent_name(agent));
    put_courses(f, (measure){.title = title,
                             .unit = smoke ? "% of what its source gives off" : "ppm",
                             .kind = COAMING_LIMIT_SHARE,
                             .agent = agent,
                             .scale = smoke ? 100 : 1e6,
                             .least = steps[0],
                             .height = SHARES_HIGH,
                             .lines = 2 * PLOT_LINES});
}

/* Only of an agent of which a dose is limited. */
static void put_taken(sheet *f, coaming_agent agent)
{
    const coaming_air_limit *limit;
    char title[SHOWN];
    measure m = {.title = title,
                 .unit = "ppm min",
                 .kind = COAMING_LIMIT_DOSE,
                 .agent = agent,
                 .scale = 1e6 / 60,
                 .least = INFINITY,
                 .height = DOSES_HIGH,
                 .lines = PLOT_LINES};
    for (size_t i = 0; (limit = air_limit(f->o, i)); i++)
        if (concerns(&m, limit))
            m.least = fmin(m.least, limit->value / 100);
    snprintf(title, sizeof title, "%s taken in from the start", agent_name(agent));
    if (isfinite(m.least))
        put_courses(f, m);
}

/* Up to what everybody has fallen by: more says nothing. */
static void put_harms(sheet *f)
{
    measure m = {.title = "Dose that people have taken up (FED)",
                 .unit = "of that at which half of them fall",
                 .kind = COAMING_LIMIT_FED,
                 .scale = 1,
                 .most = 1.2,
                 .height = DOSES_HIGH,
                 .bounded = true,
                 .lines = PLOT_LINES};
    row *rows = memory_new(f->a->harm_count, sizeof *rows);
    size_t count = 0;
    f->s.lost = f->s.lost || !rows;
    for (size_t i = 0; i < f->a->harm_count && rows; i++) {
        const coaming_air_harm *h = &f->a->harms[i];
        double end = h->fed[f->a->time_count - 1];
        if (end >= 0.01)
            rows[count++] = (row){h->space, h->fed, end};
    }
    put_rows(f, &m, rows, count);
    memory_free(rows);
}

/* What of it the agents leave in a space. */
static void find_oxygen(const sheet *f, int space, double *oxygen)
{
    const coaming_air_course *of[COAMING_AGENTS] = {NULL};
    for (size_t i = 0; i < f->a->course_count; i++)
        if (f->a->courses[i].space == space)
            of[f->a->courses[i].agent] = &f->a->courses[i];
    for (size_t i = 0; i < f->a->time_count; i++) {
        double share[COAMING_AGENTS] = {0};
        for (int k = 0; k < COAMING_AGENTS; k++)
            share[k] = of[k] ? of[k]->share[i] : 0;
        oxygen[i] = coaming_oxygen(share);
    }
}

/* Where a limit of it is passed, the first spaces. */
static void put_oxygen(sheet *f)
{
    measure m = {.title = "Oxygen in the air",
                 .unit = "%",
                 .kind = COAMING_LIMIT_OXYGEN,
                 .scale = 100,
                 .most = 0.21,
                 .height = DOSES_HIGH,
                 .bounded = true,
                 .lines = PLOT_LINES};
    row rows[PLOT_LINES];
    size_t count = 0, moments = f->a->time_count;
    double *oxygen = memory_new(PLOT_LINES * moments, sizeof *oxygen);
    f->s.lost = f->s.lost || !oxygen;
    for (size_t i = 0; i < f->a->event_count && oxygen && count < PLOT_LINES; i++) {
        const coaming_air_event *e = &f->a->events[i];
        bool met = e->limit->kind != COAMING_LIMIT_OXYGEN;
        for (size_t k = 0; k < count && !met; k++)
            met = rows[k].space == e->space;
        if (met)
            continue;
        find_oxygen(f, e->space, oxygen + count * moments);
        rows[count] = (row){e->space, oxygen + count * moments, -(double)count};
        count++;
    }
    put_rows(f, &m, rows, count);
    memory_free(oxygen);
}

static bool given_off(const sheet *f, int agent)
{
    for (size_t i = 0; i < f->o->source_count; i++)
        if ((int)f->o->sources[i].agent == agent)
            return true;
    return false;
}

static void put_plots(sheet *f)
{
    for (int agent = 0; agent < COAMING_AGENTS; agent++)
        if (given_off(f, agent))
            put_shares(f, (coaming_agent)agent);
    for (int agent = 0; agent < COAMING_AGENTS; agent++)
        if (given_off(f, agent))
            put_taken(f, (coaming_agent)agent);
    put_harms(f);
    put_oxygen(f);
}

/* --- plans at moments --- */

/* That whose limit is passed first, else the first that is given off. */
static coaming_agent drawn_agent(const sheet *f)
{
    for (size_t i = 0; i < f->a->event_count; i++)
        if (f->a->events[i].limit->kind == COAMING_LIMIT_SHARE)
            return f->a->events[i].limit->agent;
    return f->o->sources[0].agent;
}

static int by_time(const void *one, const void *other)
{
    const double *a = one, *b = other;
    return *a < *b ? -1 : *a > *b;
}

/* When there is as much as is shown, in each space where there ever is; and where. Returns of how many. */
static size_t find_arrivals(const sheet *f, coaming_agent agent, double least, double *arrivals,
                            bool *there)
{
    size_t count = 0;
    for (size_t i = 0; i < f->a->course_count; i++) {
        const coaming_air_course *c = &f->a->courses[i];
        size_t at = 0;
        if (c->agent != agent)
            continue;
        while (at < f->a->time_count && c->share[at] < least)
            at++;
        if (at == f->a->time_count)
            continue;
        there[c->space] = true;
        arrivals[count++] = f->a->times[at];
    }
    if (count)
        qsort(arrivals, count, sizeof *arrivals, by_time);
    return count;
}

static void put_meanings(sheet *f, coaming_agent agent, const double steps[AIR_STEPS])
{
    char words[AIR_STEPS][2 * SHOWN], share[SHOWN];
    const char *meanings[AIR_STEPS];
    for (int k = 0; k < AIR_STEPS; k++) {
        snprintf(words[k], sizeof words[k], "%s %s or more", agent_name(agent),
                 share_words(share, agent, steps[k]));
        meanings[k] = words[k];
    }
    time_samples(&f->s, FILL_THIN, AIR_STEPS, meanings);
}

/* What memory the choice of the drawings takes. */
typedef struct {
    double *arrivals;
    bool *there;
    int *decks;
} choice;

static bool choice_open(choice *c, const sheet *f)
{
    c->arrivals = memory_new(f->a->course_count, sizeof *c->arrivals);
    c->there = memory_new(f->ship->space_count, sizeof *c->there);
    c->decks = memory_new(f->ship->deck_count, sizeof *c->decks);
    return c->arrivals && c->there && c->decks;
}

static void choice_close(choice *c)
{
    memory_free(c->arrivals);
    memory_free(c->there);
    memory_free(c->decks);
}

static coaming_status put_chosen(sheet *f, choice *c, coaming_error *error)
{
    coaming_agent agent = drawn_agent(f);
    size_t moments[TIME_PICTURES];
    double steps[AIR_STEPS];
    char share[SHOWN];
    coaming_drawing d = coaming_drawing_default();
    air_steps(f->o, agent, steps);
    size_t count = find_arrivals(f, agent, steps[0], c->arrivals, c->there);
    time_piece(&f->s);
    if (!count) {
        time_note(&f->s, "No space gets %s of %s: no plan is drawn.",
                  share_words(share, agent, steps[0]), agent_name(agent));
        return COAMING_OK;
    }
    count = time_moments(&f->s, c->arrivals, count, moments);
    d.query.condition = f->o->condition;
    d.overlay = COAMING_OVERLAY_AIR;
    d.air = f->air;
    d.agent = agent;
    d.decks = c->decks;
    d.deck_count = time_decks(f->ship, c->there, c->decks);
    put_meanings(f, agent, steps);
    return time_pictures(&f->s, &d, moments, count, error);
}

static coaming_status put_pictures(sheet *f, coaming_error *error)
{
    choice c = {NULL, NULL, NULL};
    coaming_status status = choice_open(&c, f) ? put_chosen(f, &c, error) : error_memory(error);
    choice_close(&c);
    return status;
}

/* --- the whole --- */

static coaming_status put_page(sheet *f, coaming_error *error)
{
    char words[4 * SHOWN];
    put_head(f);
    put_summary(f);
    put_plots(f);
    put_marks(f);
    coaming_status status = f->s.lost ? COAMING_OK : put_pictures(f, error);
    time_line(&f->s, NOTE_SIZE, false, INK_COLOUR, air_assumed(words, f->a));
    time_line(&f->s, NOTE_SIZE, false, INK_COLOUR, air_not_counted);
    f->s.y += 4;
    time_line(&f->s, NOTE_SIZE, true, INK_COLOUR, coaming_air_caution());
    return status;
}

static coaming_status draw(FILE *out, bool html, const coaming_air *air, coaming_error *error)
{
    const coaming_air_answer *a = coaming_air_get(air);
    sheet f = {.ship = coaming_air_ship(air), .air = air, .o = coaming_air_asked(air), .a = a};
    if (!f.o->source_count)
        return error_set(error, COAMING_USAGE, "an answer without a source has no plots");
    if (!air_told(f.ship, a, &f.told))
        return error_memory(error);
    f.s = (time_sheet){
        .ship = f.ship, .name = "air", .title = AIR_TITLE, .t = a->times, .count = a->time_count};
    time_mark(&f.s, &f.told);
    time_open(&f.s, out, html);
    coaming_status status = COAMING_OK;
    if (html)
        put_plots(&f);
    if (!f.s.lost)
        status = html ? put_pictures(&f, error) : put_page(&f, error);
    return time_close(&f.s, status, error);
}

coaming_status draw_air_pieces(FILE *html, const coaming_air *air, coaming_error *error)
{
    return draw(html, true, air, error);
}

coaming_status coaming_print_air_plots(FILE *out, const coaming_air *air, coaming_error *error)
{
    return draw(out, false, air, error);
}
