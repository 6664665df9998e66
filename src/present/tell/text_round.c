#include <math.h>

#include "base/error.h"
#include "base/memory.h"
#include "base/text.h"
#include "present/form/style.h"
#include "present/tell/heading.h"
#include "present/tell/late_words.h"
#include "present/tell/remedy_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"
#include "present/tell/walk_words.h"

typedef struct {
    FILE *out;
    coaming_style style;
    const round_answer *a;
} sheet;

/* "visual, 2 min; chalk, 15 min (40 d over)" */
static bool print_tests(const sheet *t, int closure)
{
    const coaming_due_row *row;
    char result[SHOWN];
    bool started = false;
    paragraph p;
    if (!paragraph_open(&p))
        return paragraph_close(&p, t->out, t->style, 6, 8);
    for (size_t at = 0; (row = round_test(t->a->due, closure, &at));) {
        fprintf(p.stream, "%s%s, %g min", started ? "; " : "Test: ", row->method, row->minutes);
        if (row->overdue)
            fprintf(p.stream, " (%s)", late_words(result, row));
        started = true;
    }
    fprintf(p.stream, "%s so far: %s.", started ? ";" : "Not due;",
            standing_words(result, t->a->ship, closure));
    return paragraph_close(&p, t->out, t->style, 6, 8);
}

static bool print_advice(const sheet *t, int closure)
{
    const coaming_reading *r = coaming_readings_find(t->a->readings, closure);
    paragraph p;
    bool good = true;
    for (size_t i = 0; i < reading_lines(r) && good; i++) {
        if (paragraph_open(&p))
            say_line(p.stream, t->a->ship, r, i);
        good = paragraph_close(&p, t->out, t->style, 6, 8);
    }
    if (good && !said_by_line(r) && r->advice != COAMING_ADVICE_NONE) {
        if (paragraph_open(&p)) {
            fputs("To do: ", p.stream);
            say_advice(p.stream, t->a->ship, r);
            fputc('.', p.stream);
        }
        good = paragraph_close(&p, t->out, t->style, 6, 8);
    }
    return good;
}

/* What a print and a gasket say has its place where there are such. */
static void print_blanks(const sheet *t, const ship_link *l)
{
    bool narrow = t->style.columns < 71, print = l->kind != VALVE;
    const char *what = print ? "Gaps" : "Note", *end = narrow ? "\n      " : "   ";
    fprintf(t->out, "      Found: pass / fail%s%s: ____________________%sDone: %s\n", end, what,
            end, narrow ? "____________________" : "_________");
    if (print)
        fprintf(t->out, "      Set of gasket: ____ mm%s%s\n", kind_hinged(l->kind) ? end : "",
                kind_hinged(l->kind) ? "Hinge play: ____ mm" : "");
    fprintf(t->out, "      Again: pass / fail%s%s: ____________________%sBy: %s\n", end, what, end,
            narrow ? "______________________" : "___________");
}

static bool print_closure(const sheet *t, const char *number, int closure)
{
    const ship_link *l = &t->a->ship->links[closure];
    char id[SHOWN], name[SHOWN];
    fputc('\n', t->out);
    ink_on(t->out, t->style, INK_STRONG);
    bool good = print_line(t->out, t->style, 2, 6, "%s%s %s", number, shown(id, l->id, 24),
                           shown(name, l->name, 50));
    ink_off(t->out, t->style, INK_STRONG);
    return good;
}

/* What is due and was found there, and lines to write on. */
static bool print_work(const sheet *t, int closure)
{
    bool good = print_tests(t, closure) && print_advice(t, closure);
    print_blanks(t, &t->a->ship->links[closure]);
    return good;
}

static bool print_stop(const sheet *t, size_t number, const coaming_round_stop *s)
{
    char place[SHOWN], shown_number[32];
    paragraph p;
    snprintf(shown_number, sizeof shown_number, "%zu. ", number);
    bool good = print_closure(t, shown_number, s->closure);
    if (good && paragraph_open(&p)) {
        say_way(p.stream, t->a->ship, s);
        fprintf(p.stream, "; %s %s.", s->side >= 0 ? "in" : "on",
                walk_place(place, t->a->ship, s->side));
        good = paragraph_close(&p, t->out, t->style, 6, 8);
    }
    return good && print_entry(t->out, t->style, t->a->ship, s) && print_work(t, s->closure);
}

/* Not part of the walk: what is got at from outside the shell only. */
static bool print_outside(const sheet *t)
{
    size_t count;
    const int *list = coaming_round_outside(t->a->round, &count);
    bool good = true;
    for (size_t i = 0; i < count && good; i++)
        good = print_closure(t, "", list[i]) &&
               print_line(t->out, t->style, 6, 8, "Not on the walk; %s.",
                          outside_way(outside_place(t->a->ship, list[i]))) &&
               print_work(t, list[i]);
    return good;
}

static bool print_parts(const sheet *t, const round_needs *n)
{
    char metres[SHOWN], section[SHOWN];
    bool started = false;
    paragraph p;
    if (!paragraph_open(&p))
        return paragraph_close(&p, t->out, t->style, 0, 2);
    fputs("To carry: chalk, rag, scraper, rule, straight edge", p.stream);
    for (size_t i = 0; i < n->gasket_count; i++) {
        const gasket_need *g = &n->gaskets[i];
        fprintf(p.stream, "; %s m of gasket%s%s", amount(metres, g->metres),
                g->section ? " of section " : ", section not given",
                g->section ? shown(section, g->section, 30) : "");
        if (g->unknown)
            fprintf(p.stream, " (and for %zu of unknown size)", g->unknown);
        started = true;
    }
    if (n->dogs)
        fprintf(p.stream, "; spanner and nuts for %d %s to take up", n->dogs,
                n->dogs == 1 ? "dog" : "dogs");
    fputs(started ? " (whole runs, without waste)" : "", p.stream);
    size_t enclosed;
    const int *spaces = coaming_round_enclosed(t->a->round, &enclosed);
    if (enclosed) {
        fprintf(p.stream, "; a gas meter and %s: ",
                enclosed == 1 ? "the permit for the enclosed space that is entered last"
                              : "the permits for the enclosed spaces that are entered last");
        list_spaces(p.stream, t->a->ship, spaces, enclosed);
    }
    fputc('.', p.stream);
    return paragraph_close(&p, t->out, t->style, 0, 2);
}

/* A list of closures after what is said of them; nothing if there are none. */
static bool print_ids(const sheet *t, const char *what, const int *list, size_t count)
{
    char id[SHOWN];
    bool started = false;
    paragraph p;
    if (paragraph_open(&p))
        fputs(what, p.stream);
    for (size_t i = 0; i < count; i++)
        paragraph_item(&p, &started, shown(id, t->a->ship->links[list[i]].id, 24));
    return paragraph_close_list(&p, started, t->out, t->style, 0, 2);
}

static bool print_unreached(const sheet *t)
{
    size_t count, outside;
    const int *list = coaming_round_unreached(t->a->round, &count);
    const int *from_outside = coaming_round_outside(t->a->round, &outside);
    return print_ids(t, NO_WAY_ON_FOOT " from the start: ", list, count) &&
           print_ids(t, "From outside the hull only, not on this walk: ", from_outside, outside);
}

static bool print_totals(const sheet *t, const round_needs *n)
{
    const coaming_round *round = t->a->round;
    const coaming_round_options *o = t->a->options;
    char total[SHOWN], walk[SHOWN], stops[SHOWN], bound[SHOWN], from[SHOWN], assumed[SHOWN];
    double seconds = coaming_round_seconds(round);
    return print_line(t->out, t->style, 0, 2,
                      "%s from %s and back: %.0f m, %s of walking (no order takes less than %s), "
                      "about %s with the tests.",
                      counted(stops, (double)coaming_round_count(round), "stop", "stops"),
                      walk_place(from, t->a->ship, o->start), coaming_round_metres(round),
                      walk_time(walk, seconds), walk_time(bound, coaming_round_bound(round)),
                      walk_time(total, seconds + 60 * n->minutes)) &&
           print_line(t->out, t->style, 0, 2, WALK_ASSUMED "%s%s.", walk_assumed(assumed, o),
                      n->minutes_assumed ? ", and minutes of tests " WHERE_NONE : "");
}

static coaming_status text_round(FILE *out, coaming_style style, const round_answer *a,
                                 coaming_error *error)
{
    sheet t = {out, style, a};
    char title[80], date[COAMING_DATE_TEXT];
    round_needs needs;
    coaming_status status = round_needs_new(a, &needs, error);
    if (status != COAMING_OK)
        return status;
    snprintf(title, sizeof title, "round of tests, %s", coaming_date_format(a->ship->as_of, date));
    bool good = print_title(out, style, a->ship, title) && print_totals(&t, &needs) &&
                print_parts(&t, &needs) && print_unreached(&t);
    memory_free(needs.gaskets);
    for (size_t i = 0; i < coaming_round_count(a->round) && good; i++)
        good = print_stop(&t, i + 1, coaming_round_get(a->round, i));
    if (good && coaming_round_count(a->round)) {
        paragraph p;
        fputc('\n', out);
        if (paragraph_open(&p)) {
            char place[SHOWN];
            say_way(p.stream, a->ship, coaming_round_home(a->round));
            fprintf(p.stream, " back to %s.", walk_place(place, a->ship, a->options->start));
        }
        good = paragraph_close(&p, out, style, 6, 8);
    }
    good = good && print_outside(&t) && print_caution(out, style, coaming_test_caution());
    return good ? COAMING_OK : error_memory(error);
}

/* Was every closure read that the sheet names? */
static bool all_read(const round_answer *a)
{
    size_t count;
    const int *outside = coaming_round_outside(a->round, &count);
    bool read = true;
    for (size_t i = 0; i < count; i++)
        read = read && coaming_readings_find(a->readings, outside[i]);
    for (size_t i = 0; i < coaming_round_count(a->round); i++)
        read = read && coaming_readings_find(a->readings, coaming_round_get(a->round, i)->closure);
    return read;
}

coaming_status coaming_print_round(FILE *out, coaming_style style,
                                   const coaming_round_answer *answer, coaming_error *error)
{
    if (!answer->readings || !all_read(answer))
        return error_set(error, COAMING_USAGE, "a closure of the round was not read");
    switch (style.format) {
    case COAMING_JSON:
        return json_round(out, answer, error);
    case COAMING_CSV:
        csv_round(out, answer);
        return COAMING_OK;
    default:
        return text_round(out, style_fit(style), answer, error);
    }
}
