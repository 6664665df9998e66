/* Lines to hold, ready before they are needed: where water or bad air from machinery and vital spaces
 * would cost most. The words are those of the text and the drawing. */
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "coaming/draw.h"
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/report/reporting.h"
#include "present/tell/hold_words.h"
#include "present/tell/standing_words.h"
#include "ship/state.h"

/* Words of hold_words. Frees them. */
static bool put_words(const report *r, char *words)
{
    if (words)
        html_words(r->out, words);
    free(words);
    return words != NULL;
}

/* As a paragraph with what it is of before it; "" says nothing. */
static bool put_note(const report *r, const coaming_hold_answer *a, char *words)
{
    if (words && *words) {
        markup_put(r->out, "<p><strong><bdi>%s</bdi>, %s: ", coaming_place_id(r->ship, a->source),
                   hold_noun(a));
        html_words(r->out, words);
        fputs("</strong></p>\n", r->out);
    }
    free(words);
    return words != NULL;
}

/* Each line, by hazard. */
typedef bool put_row(const report *r, const report_line *row);

static bool put_each(const report *r, put_row *put)
{
    const report_lines *l = &r->of->lines;
    for (int h = 0; h < COAMING_HAZARDS; h++)
        for (size_t i = 0; i < l->count[h]; i++)
            if (!put(r, &l->rows[h][i]))
                return false;
    return true;
}

static void put_closure(const report *r, const coaming_hold_closure *c, bool first)
{
    coaming_result result = coaming_closure_result(r->ship, c->closure);
    markup_put(r->out, "%s%s%s<bdi>%s</bdi>", first ? "" : ", ",
               c->must_be_shut ? hold_task(c) : "", c->must_be_shut ? " " : "",
               r->ship->links[c->closure].id);
    if (result != COAMING_PASS)
        markup_put(r->out, " <span class=\"%s\">(%s)</span>", result_word(result),
                   result == COAMING_FAIL ? "FAILED" : result_word(result));
}

/* What must be shut and what is likeliest to leak first; of a line behind another those that it does
 * not share, and the names of the others. */
static bool put_closures(const report *r, const coaming_hold_line *line,
                         const coaming_hold_line *before)
{
    coaming_hold_closure *sorted = memory_new(line->closure_count, sizeof *sorted);
    size_t told = 0;
    if (!sorted)
        return false;
    if (line->closure_count) {
        memcpy(sorted, line->closures, line->closure_count * sizeof *sorted);
        qsort(sorted, line->closure_count, sizeof *sorted, hold_by_need);
    }
    for (size_t i = 0; i < line->closure_count; i++)
        if (!before || !hold_has_closure(before, sorted[i].closure))
            put_closure(r, &sorted[i], told++ == 0);
    memory_free(sorted);
    if (!before)
        return true;
    char *shared = hold_shared_words(r->ship, line, before);
    fputs(told && shared && *shared ? ", " : "", r->out);
    return put_words(r, shared);
}

/* "Engine room (engine), also from switch: water". */
static void put_start(const report *r, const report_line *row)
{
    const coaming_hold_answer *a = row->answer;
    const ship_space *s = &r->ship->spaces[a->source];
    markup_put(r->out, "<bdi>%s</bdi> (<bdi>%s</bdi>)", s->name, s->id);
    for (size_t i = 0; i < row->also_count; i++)
        markup_put(r->out, "%s <bdi>%s</bdi>", i ? "," : ", also from",
                   r->ship->spaces[row->also[i]].id);
    markup_put(r->out, ": %s", hold_noun(a));
}

static bool put_line(const report *r, const report_line *row, size_t index, bool first)
{
    char text[SHOWN];
    const coaming_hold_answer *a = row->answer;
    const coaming_hold_line *line = &a->lines[index], *before = first ? NULL : line - 1;
    bool floats = level_settles(r->how->query.level, a->hazard);
    fputs("<tr><th scope=\"row\">", r->out);
    put_start(r, row);
    markup_put(r->out, "</th><td>%s</td><td>", hold_line_head(text, a, index));
    bool good = put_closures(r, line, before);
    markup_put(r->out, "</td><td class=\"number\">%s</td><td>", html_percent(text, line->holds));
    good = good && put_words(r, hold_given_up_words(r->ship, line, before));
    markup_put(r->out, "</td><td>%s</td><td>", floats ? hold_grade_brief(line) : "not asked");
    html_words(r->out, hold_loss_words(text, line));
    fputs("</td></tr>\n", r->out);
    return good;
}

static bool put_lines(const report *r, const report_line *row)
{
    const coaming_hold_answer *a = row->answer;
    size_t first = hold_told_first(a);
    bool good = true;
    for (size_t k = first; k < a->line_count && k < first + 2 && good; k++)
        good = put_line(r, row, k, k == first);
    return good;
}

static bool put_table(const report *r)
{
    html_table(r->out, "hold-lines", "Lines to hold, and the next behind each",
               "Where it starts|Line|Closures|#All hold with|What is given up|She then|Expected",
               2 * REPORT_LINES);
    bool good = put_each(r, put_lines);
    html_table_end(r->out);
    return good;
}

/* What must not be overlooked. */
static bool put_notes(const report *r, const report_line *row)
{
    const coaming_hold_answer *a = row->answer;
    const coaming_hold_line *line = &a->lines[hold_told_first(a)];
    bool floats = level_settles(r->how->query.level, a->hazard);
    return (a->recommended < a->line_count || put_note(r, a, hold_why_words(a, floats))) &&
           put_note(r, a, hold_lost_if_words(r->ship, line, true)) &&
           put_note(r, a, hold_not_held_words(r->ship, a, line)) &&
           put_note(r, a, hold_wet_words(r->ship, a, line));
}

static bool any_told(const report_lines *l)
{
    return l->count[COAMING_WATER] || l->count[COAMING_AIR];
}

/* Of the picture: the profile, or the deck that the space is on. */
static coaming_status put_part(const report *r, coaming_drawing *d, int part, coaming_error *error)
{
    static const char *const prefixes[] = {"hold-picture-1", "hold-picture-2"};
    d->profile = part == 0;
    d->plans = part == 1;
    d->deck_count = d->plans;
    d->prefix = prefixes[part];
    markup_put(r->out,
               "<div class=\"scroll picture\" role=\"region\" tabindex=\"0\" "
               "aria-label=\"Picture of lines to hold, part %d\">\n",
               part + 1);
    coaming_status status = coaming_print_drawing(r->out, r->ship, d, error);
    fputs("</div>\n", r->out);
    return status;
}

static coaming_status put_parts(const report *r, const coaming_hold_answer *a, bool *seen,
                                coaming_error *error)
{
    enum { WIDTH = 180 }; /* mm between the margins of A4 */
    const ship_space *source = &r->ship->spaces[a->source];
    coaming_drawing d = coaming_drawing_default();
    d.overlay = COAMING_OVERLAY_HOLD;
    d.hold = a;
    d.outset = r->of->outset;
    d.query = r->how->query;
    d.width = WIDTH;
    d.decks = &source->deck;
    d.compact = d.embedded = d.bare = true;
    d.seen = seen;
    d.seen_links = seen + r->ship->space_count;
    d.more = source->deck >= 0;
    coaming_status status = put_part(r, &d, 0, error);
    if (!d.more || status != COAMING_OK)
        return status;
    d.more = false;
    return put_part(r, &d, 1, error);
}

/* The first of them. */
static coaming_status put_picture(const report *r, coaming_error *error)
{
    const report_lines *l = &r->of->lines;
    const coaming_hold_answer *a =
        l->rows[l->count[COAMING_WATER] ? COAMING_WATER : COAMING_AIR][0].answer;
    bool *seen = memory_new(r->ship->space_count + r->ship->link_count, sizeof *seen);
    if (!seen)
        return error_memory(error);
    fputs("<figure class=\"hold\">\n", r->out);
    coaming_status status = put_parts(r, a, seen, error);
    markup_put(r->out,
               "<figcaption>The first of the table: %s in <bdi>%s</bdi>.</figcaption>\n"
               "</figure>\n",
               hold_noun(a), r->ship->spaces[a->source].name);
    memory_free(seen);
    return status;
}

static void put_without(const report *r)
{
    const report_lines *l = &r->of->lines;
    for (int h = 0; h < COAMING_HAZARDS; h++)
        if (l->without[h])
            markup_put(r->out, "; against %s from %zu of them no line can be named",
                       h == COAMING_WATER ? "water" : "bad air", l->without[h]);
}

/* Which spaces these are, and how they were chosen. */
static void put_choice(const report *r)
{
    const report_lines *l = &r->of->lines;
    char part[SHOWN];
    if (!l->places) {
        fputs("<p>No space is said to be vital or of machinery; <code>coaming hold</code> asks of "
              "any.</p>\n",
              r->out);
        return;
    }
    markup_put(r->out, "<p>Asked of %s, vital or of machinery%s",
               counted(part, (double)l->asked, "space", "spaces"),
               l->asked < l->places ? ", those of most worth" : "");
    if (any_told(l))
        fputs("; told are the few whose line to hold leaves most to be lost, by hazard, the worst "
              "first",
              r->out);
    put_without(r);
    fputs(
        ". <code>coaming hold</code> tells how far each closure can be trusted; <code>coaming "
        "casualty --format html</code> draws for each of these spaces the sheet to hang up.</p>\n",
        r->out);
}

coaming_status report_hold(const report *r, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    fputs("<section aria-labelledby=\"hold\">\n<h2 id=\"hold\">Lines to hold</h2>\n", r->out);
    put_choice(r);
    if (any_told(&r->of->lines)) {
        markup_put(r->out, "<p>%s</p>\n", HOLD_EXPECTED);
        status =
            put_table(r) && put_each(r, put_notes) ? put_picture(r, error) : error_memory(error);
    }
    fputs("</section>\n", r->out);
    return status;
}
