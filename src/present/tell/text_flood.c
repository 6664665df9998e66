#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "base/text.h"
#include "present/tell/float_words.h"
#include "present/tell/flood_words.h"
#include "present/tell/heading.h"
#include "present/tell/views.h"

/* What is written, and whether memory was lost on the way. */
typedef struct {
    FILE *out;
    coaming_style style;
    const coaming_ship *ship;
    const coaming_flood_page *page;
    const coaming_flood_answer *a;
    bool lost;
} sheet;

/* A sentence of flood_words.h; "" says nothing. */
static void tell(sheet *t, ink colour, int first, char *words)
{
    if (!print_words(t->out, t->style, colour, first, words))
        t->lost = true;
}

static void say(sheet *t, const char *words)
{
    if (!print_line(t->out, t->style, 2, 4, "%s", words))
        t->lost = true;
}

static void print_head(sheet *t)
{
    char *title = flood_title(t->ship, t->page->ask);
    if (!title || !print_title(t->out, t->style, t->ship, title) ||
        !print_state(t->out, t->style, t->page->outset))
        t->lost = true;
    free(title);
    tell(t, INK_PLAIN, 0, flood_source_words(t->ship, t->page->ask));
    tell(t, INK_PLAIN, 0, flood_change_words(t->ship, t->page->ask));
    if (!print_let_in(t->out, t->style, t->page->outset))
        t->lost = true;
}

static void print_deadlines(sheet *t)
{
    const coaming_flood_deadlines *d = t->page->deadlines;
    size_t all = coaming_flood_deadline_count(d), count = 0;
    const coaming_flood_deadline **list = memory_new(all, sizeof(coaming_flood_deadline *));
    if (list)
        count = flood_useful(d, list);
    else
        t->lost = true;
    if (count)
        say(t, FLOOD_STILL_DONE);
    else if (!all)
        say(t, FLOOD_NOTHING_OPEN);
    for (size_t i = 0; i < count; i++)
        tell(t, INK_STRONG, 4, flood_deadline_words(t->ship, list[i]));
    tell(t, INK_PLAIN, count ? 4 : 2, flood_useless_words(t->ship, d));
    memory_free(list);
}

static void print_summary(sheet *t)
{
    bool bad = t->a->stability.grade >= COAMING_GRADE_NOT_SURVIVING;
    tell(t, INK_PLAIN, 2, flood_reach_words(t->ship, t->page));
    tell(t, bad ? INK_BAD : INK_PLAIN, 2, flood_fate_words(t->a));
    if (t->page->deadlines)
        print_deadlines(t);
    else
        tell(t, INK_STRONG, 2, flood_open_words(t->ship, t->page));
}

enum { TIME_COLUMNS = 12 };

static void print_event(sheet *t, const coaming_flood_event *e)
{
    char time[SHOWN], *words = flood_event_words(t->ship, t->a, e);
    bool bad = e->kind == COAMING_FLOOD_LOST || e->kind == COAMING_FLOOD_NOT_SURVIVING ||
               e->kind == COAMING_FLOOD_COLLAPSE;
    fprintf(t->out, "%*s  ", TIME_COLUMNS, lapse_words(time, e->t));
    ink_on(t->out, t->style, bad ? INK_BAD : INK_PLAIN);
    if (!words || !print_line(t->out, t->style, -TIME_COLUMNS - 2, TIME_COLUMNS + 2, "%s", words))
        t->lost = true;
    free(words);
    ink_off(t->out, t->style, bad ? INK_BAD : INK_PLAIN);
}

/* When links see water of a kind, as one list: "D3 45 s, D4 2 min". */
static void print_links_at(sheet *t, coaming_flood_event_kind kind, const char *what)
{
    char id[SHOWN], time[SHOWN], item[2 * SHOWN + 2];
    bool started = false;
    int last = -1;
    paragraph p;
    if (!paragraph_open(&p)) {
        t->lost = true;
        return;
    }
    fputs(what, p.stream);
    for (size_t i = 0; i < t->a->event_count; i++) {
        const coaming_flood_event *e = &t->a->events[i];
        if (e->kind != kind || e->link < 0 || e->link == last)
            continue; /* of both sides the first */
        last = e->link;
        snprintf(item, sizeof item, "%s %s", shown(id, t->ship->links[e->link].id, 24),
                 clock_words(time, e->t));
        paragraph_item(&p, &started, item);
    }
    if (!paragraph_close_list(&p, started, t->out, t->style, 2, 4))
        t->lost = true;
}

static void print_events(sheet *t)
{
    fputs("\nWhen\n", t->out);
    for (size_t i = 0; i < t->a->event_count; i++)
        if (flood_event_matters(&t->a->events[i]))
            print_event(t, &t->a->events[i]);
    print_links_at(t, COAMING_FLOOD_CLOSURE_WET, "Water at, min:s: ");
    print_links_at(t, COAMING_FLOOD_KNEE_DEEP, "Knee deep at doors on ways out, min:s: ");
}

/* --- the table --- */

/* What is no more than rounding has no sign. */
static double plain(double value, int decimals)
{
    return fabs(value) < 0.5 * pow(10, -decimals) ? 0 : value;
}

/* On a small screen without trim and freeboard. */
enum { MOMENT_WIDE = 57 };

static void print_moment(sheet *t, size_t i)
{
    char time[SHOWN];
    const coaming_flood_moment *m = &t->a->moments[i];
    bool wide = t->style.columns >= MOMENT_WIDE;
    fprintf(t->out, "%*s ", TIME_COLUMNS, lapse_words(time, m->t));
    if (!flood_lies(t->a, i))
        fprintf(t->out, "%*s", wide ? 36 : 17, "lost");
    else if (wide)
        fprintf(t->out, "%8.3f %8.3f %8.2f %9.3f", m->draught, plain(m->trim, 3), plain(m->heel, 2),
                m->freeboard);
    else
        fprintf(t->out, "%8.3f %8.2f", m->draught, plain(m->heel, 2));
    fprintf(t->out, " %8.1f\n", m->water);
}

static void print_moments(sheet *t)
{
    bool wide = t->style.columns >= MOMENT_WIDE;
    fprintf(t->out, "\n%*s  draught%s     heel%s    water\n", TIME_COLUMNS, "",
            wide ? "     trim" : "", wide ? " freeboard" : "");
    fprintf(t->out, "%*s        m%sdeg, port%s       m3\n", TIME_COLUMNS, "",
            wide ? "   m, bow " : "", wide ? "         m" : "");
    for (size_t i = 0; i < t->a->moment_count; i++)
        print_moment(t, i);
}

/* Depths of so many spaces as go beside each other. */
static void print_depths(sheet *t, size_t from, size_t to)
{
    enum { WIDE = 9 };
    char words[SHOWN];
    fprintf(t->out, "%*s", TIME_COLUMNS, "");
    for (size_t s = from; s < to; s++) {
        const char *id = shown(words, t->ship->spaces[t->a->spaces[s].space].id, WIDE - 1);
        fprintf(t->out, "%*s%s", WIDE - (int)text_width(id), "", id);
    }
    fputc('\n', t->out);
    for (size_t i = 0; i < t->a->moment_count; i++) {
        fprintf(t->out, "%*s", TIME_COLUMNS, lapse_words(words, t->a->moments[i].t));
        for (size_t s = from; s < to; s++)
            if (flood_lies(t->a, i))
                fprintf(t->out, "%*.2f", WIDE, t->a->spaces[s].depths[i]);
            else
                fprintf(t->out, "%*s", WIDE, "-");
        fputc('\n', t->out);
    }
}

static void print_table(sheet *t)
{
    size_t beside = (size_t)(t->style.columns - TIME_COLUMNS) / 9;
    print_moments(t);
    for (size_t s = 0; s < t->a->space_count; s += beside) {
        size_t to = s + beside < t->a->space_count ? s + beside : t->a->space_count;
        fputs(s ? "\n" : "\nWater over the lowest place, m\n", t->out);
        print_depths(t, s, to);
    }
}

/* --- the end --- */

/* On a small screen without level and share. */
enum { SPACE_WIDE = 70, ID_WIDE = 32, ID_NARROW = 18 };

static void print_space(sheet *t, const coaming_flood_space *s, bool wide)
{
    char name[SHOWN], deep[32] = "-", level[32] = "-";
    const ship_space *at = &t->ship->spaces[s->space];
    size_t last = t->a->moment_count - 1, columns = wide ? ID_WIDE : ID_NARROW;
    if (flood_lies(t->a, last)) {
        snprintf(deep, sizeof deep, "%.2f", s->depths[last]);
        snprintf(level, sizeof level, "%.2f", s->levels[last]);
    }
    shown(name, at->id, columns);
    fprintf(t->out, "  %s%*s %8s", name, (int)(columns - text_width(name)), "", deep);
    if (wide)
        fprintf(t->out, " %8s", level);
    fprintf(t->out, " %9.1f", s->volumes[last]);
    if (wide)
        fprintf(t->out, " %6.0f", at->volume > 0 ? 100 * s->volumes[last] / at->volume : 0);
    fputc('\n', t->out);
}

static void print_spaces(sheet *t)
{
    bool wide = t->style.columns >= SPACE_WIDE;
    int id = wide ? ID_WIDE : ID_NARROW;
    fprintf(t->out, "  %-*s %8s%s %9s%s\n", id, "Water then in", "deep", wide ? "    level" : "",
            "volume", wide ? "   full" : "");
    fprintf(t->out, "  %-*s %8s%s %9s%s\n", id, "", "m", wide ? "        m" : "", "m3",
            wide ? "      %" : "");
    for (size_t i = 0; i < t->a->space_count; i++)
        if (t->a->spaces[i].volumes[t->a->moment_count - 1] > 0)
            print_space(t, &t->a->spaces[i], wide);
}

static void print_end(sheet *t)
{
    char time[SHOWN];
    const coaming_flood_moment *m = &t->a->moments[t->a->moment_count - 1];
    fprintf(t->out, "\nAfter %s\n", lapse_words(time, t->a->end));
    char *words = flood_end_words(t->ship, t->a);
    if (!words || !print_line(t->out, t->style, 2, 4, "She %s", words))
        t->lost = true;
    free(words);
    if (!print_line(t->out, t->style, 2, 4,
                    "Water aboard: %.1f m3; %.1f m3 came in and %.1f m3 went out again.", m->water,
                    m->inflow, m->pumped))
        t->lost = true;
    print_spaces(t);
}

static void print_spread(sheet *t, const coaming_flood_likely_event *e)
{
    char spread[2 * SHOWN], *words = flood_event_words(t->ship, NULL, &e->event);
    if (!words ||
        !print_line(t->out, t->style, 2, 4, "%s: %s", words, flood_spread_words(spread, e)))
        t->lost = true;
    free(words);
}

static void print_likely(sheet *t)
{
    fprintf(t->out, "\n");
    if (!print_line(t->out, t->style, 0, 2,
                    "In %zu draws of her closures, each sound or leaking by its own chance:",
                    t->page->draws))
        t->lost = true;
    for (size_t i = 0; i < coaming_flood_likely_count(t->page->likely); i++) {
        const coaming_flood_likely_event *e = coaming_flood_likely_get(t->page->likely, i);
        if (flood_event_matters(&e->event))
            print_spread(t, e);
    }
}

static coaming_status text_flood(FILE *out, coaming_style style, const coaming_flood_page *page,
                                 coaming_error *error)
{
    sheet t = {.out = out,
               .style = style,
               .ship = coaming_outset_ship(page->outset),
               .page = page,
               .a = coaming_flood_get(page->flood)};
    print_head(&t);
    print_summary(&t);
    print_events(&t);
    if (page->likely)
        print_likely(&t);
    if (page->table)
        print_table(&t);
    print_end(&t);
    fputc('\n', out);
    tell(&t, INK_PLAIN, 0, flood_assumed_words(t.ship, t.a));
    if (!print_caution(out, style, coaming_flood_caution()))
        t.lost = true;
    return t.lost ? error_memory(error) : COAMING_OK;
}

coaming_status coaming_print_flood(FILE *out, coaming_style style, const coaming_flood_page *page,
                                   coaming_error *error)
{
    if (!page->outset)
        return outset_missing(error);
    if (style.format == COAMING_CSV)
        return csv_flood(out, page, error);
    return style.format == COAMING_JSON ? json_flood(out, page, error)
                                        : text_flood(out, style_fit(style), page, error);
}
