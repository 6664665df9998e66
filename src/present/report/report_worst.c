/* The worst closures, each with what it costs, what to do, and the drawing of what it exposes. */
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "coaming/chalk.h"
#include "coaming/draw.h"
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/form/style.h"
#include "present/report/report_picture.h"
#include "present/report/reporting.h"
#include "present/tell/chance_words.h"
#include "present/tell/float_words.h"
#include "present/tell/late_words.h"
#include "present/tell/remedy_words.h"
#include "present/tell/views.h"

static void say_reading(FILE *out, const coaming_ship *ship, const coaming_reading *reading)
{
    const ship_link *l = &ship->links[reading->closure];
    if (l->result == COAMING_UNTESTED && !l->print && !reading_lines(reading)) {
        fputs("Never tested: test it.", out);
        return;
    }
    for (size_t i = 0; i < reading_lines(reading); i++) {
        say_line(out, ship, reading, i);
        fputc(' ', out);
    }
    if (said_by_line(reading))
        return;
    if (reading_lines(reading))
        fputs("In all: ", out);
    say_advice(out, ship, reading);
    fputc('.', out);
}

coaming_status report_advice(const report *r, int closure, coaming_error *error)
{
    char *text = NULL;
    size_t size = 0;
    FILE *words = open_memstream(&text, &size);
    if (words)
        say_reading(words, r->ship, r->of->readings[closure]);
    if (!words || fclose(words) || !text) {
        free(text);
        return error_memory(error);
    }
    if (*text >= 'a' && *text <= 'z')
        *text = (char)(*text - 'a' + 'A');
    markup_put(r->out, "%s", text);
    free(text);
    return COAMING_OK;
}

/* --- facts --- */

static void put_fact(FILE *out, const char *label)
{
    markup_put(out, "<div><dt>%s</dt><dd>", label);
}

static void put_parts(const report *r, const coaming_rank *row)
{
    const bool *asked = r->how->query.hazard;
    put_fact(r->out, "Consequence");
    fputs("<b>", r->out);
    report_amount(r, row->consequence);
    fputs("</b>", r->out);
    if (asked[COAMING_WATER] && asked[COAMING_AIR]) {
        fputs(" (water ", r->out);
        report_amount(r, row->part[COAMING_WATER]);
        fputs(", air ", r->out);
        report_amount(r, row->part[COAMING_AIR]);
        fputs(")", r->out);
    }
    fputs("</dd></div>\n", r->out);
}

static void put_chance(const report *r, const coaming_rank *row)
{
    char words[SHOWN];
    const coaming_risk_row *risk =
        r->now->risk ? coaming_risk_get(r->now->risk, row->closure) : NULL;
    put_fact(r->out, "Leaks with");
    html_words(r->out, leak_words(words, r->now->leaks[row->closure], risk));
    fputs("</dd></div>\n", r->out);
    if (!risk)
        return;
    put_fact(r->out, "Risk");
    html_words(r->out, risk_words(words, r->how->measure, risk, row->lost));
    fputs("</dd></div>\n", r->out);
}

/* The test of the closure that is due first. */
static void put_next_test(const report *r, int closure)
{
    size_t count = report_due_soon(r);
    for (size_t i = 0; i < count; i++) {
        const coaming_due_row *d = coaming_due_get(r->now->due, i);
        if (d->closure != closure)
            continue;
        put_fact(r->out, "Test due");
        markup_put(r->out, "%s, ", d->method);
        report_test_day(r, d);
        fputs(d->overdue ? " (overdue)" : "", r->out);
        fputs("</dd></div>\n", r->out);
        return;
    }
}

/* "Test it: visual, 372 d over; chalk, never done." before what the test that counts asks for.
 */
static void put_overdue(const report *r, int closure)
{
    char late[SHOWN];
    bool started = false;
    for (size_t i = 0; i < coaming_due_count(r->now->due); i++) {
        const coaming_due_row *d = coaming_due_get(r->now->due, i);
        if (d->closure != closure || !d->overdue)
            continue;
        fputs(started ? "; " : "<strong>Test it:</strong> ", r->out);
        markup_put(r->out, "%s, ", d->method);
        html_words(r->out, late_words(late, d));
        started = true;
    }
    fputs(started ? ". By the test that counts: " : "", r->out);
}

static coaming_status put_facts(const report *r, const coaming_rank *row, coaming_error *error)
{
    const ship_link *l = &r->ship->links[row->closure];
    fputs("<dl class=\"facts\">\n", r->out);
    put_parts(r, row);
    put_chance(r, row);
    put_fact(r->out, "Last test");
    report_result(r->out, r->ship, row->closure);
    if (l->repair_since)
        fputs(", repaired since", r->out);
    fputs("</dd></div>\n", r->out);
    put_next_test(r, row->closure);
    if (l->hours >= 0) {
        put_fact(r->out, "To make good");
        markup_put(r->out, "%g h</dd></div>\n", l->hours);
    }
    fputs("<div class=\"wide\"><dt>What to do</dt><dd>", r->out);
    put_overdue(r, row->closure);
    coaming_status status = report_advice(r, row->closure, error);
    fputs("</dd></div>\n</dl>\n", r->out);
    return status;
}

/* --- the worst case --- */

static void put_spaces(const report *r, const int *spaces, size_t count)
{
    for (size_t i = 0; i < count; i++)
        markup_put(r->out, "%s<bdi>%s</bdi>", i ? ", " : "", r->ship->spaces[spaces[i]].name);
}

void report_place(const report *r, coaming_place place, bool water)
{
    if (place >= 0)
        markup_put(r->out, "<bdi>%s</bdi>", r->ship->spaces[place].name);
    else
        fputs(water ? "outside" : place == COAMING_SEA ? "the sea" : "the weather", r->out);
}

static void put_case(const report *r, const coaming_rank *row, const int *spaces, size_t count)
{
    bool water = row->worst_hazard == COAMING_WATER;
    markup_put(r->out, "<p><strong>Worst case counted:</strong> %s from %s",
               water ? "water" : "bad air", water && row->worst_source >= 0 ? "a breach of " : "");
    report_place(r, row->worst_source, water);
    fputs(water ? " floods " : " reaches ", r->out);
    put_spaces(r, spaces, count);
    markup_put(r->out, ".%-s</p>\n",
               row->lost ? " <strong>In some case counted " NOT_AFLOAT
                           ", and would if this held.</strong>"
                         : "");
}

/* What the drawing shows, in words: from which side, and by which way into each space. */
static void put_ways(const report *r, const picture *p)
{
    bool water = p->hazard == COAMING_WATER;
    markup_put(r->out, "<p><strong>Drawn%s:</strong> it fails with %s %s",
               p->sinks ? ", what sinks her" : "", water ? "water" : "bad air",
               water && p->source < 0 ? "" : "in ");
    report_place(r, p->source, water);
    if (p->sinks)
        markup_put(r->out, "; <strong>" NOT_AFLOAT "%s</strong>", lost_whether(true));
    fputs(p->exposed_count ? "; into " : "; nothing more is reached", r->out);
    for (size_t i = 0; i < p->exposed_count; i++) {
        markup_put(r->out, "%s<bdi>%s</bdi>", i ? ", " : "", r->ship->spaces[p->exposed[i]].id);
        if (p->by[i] >= 0)
            markup_put(r->out, " by <bdi>%s</bdi>", r->ship->links[p->by[i]].id);
    }
    markup_put(r->out, ".%s</p>\n",
               p->same || p->sinks
                   ? ""
                   : " The worst case counted begins elsewhere; this is the side from which most "
                     "of its spaces are reached.");
}

static coaming_status put_picture(const report *r, size_t index, const int *spaces, size_t count,
                                  coaming_error *error)
{
    picture p;
    coaming_status status = picture_choose(r, index, spaces, count, &p, error);
    if (status != COAMING_OK)
        return status;
    put_ways(r, &p);
    fputs("<figure>\n", r->out);
    status = picture_draw(r, &p, index + 1, error);
    markup_put(r->out,
               "<figcaption>Profile, and plans of the decks that these spaces stand on; bow to the "
               "right, port up.%s</figcaption>\n</figure>\n",
               p.perhaps ? " Marked as perhaps: what is also reached if untested closures leak."
                         : "");
    picture_free(&p);
    return status;
}

static coaming_status put_one(const report *r, size_t index, coaming_error *error)
{
    const coaming_rank *row = coaming_ranking_get(r->now->ranking, index);
    const int *borrowed = NULL;
    size_t count = 0;
    coaming_status status =
        coaming_ranking_exposes(r->now->ranking, index, &borrowed, &count, error);
    if (status != COAMING_OK)
        return status;
    int *spaces = memory_new(count, sizeof *spaces);
    if (!spaces)
        return error_memory(error);
    if (count)
        memcpy(spaces, borrowed, count * sizeof *spaces);
    markup_put(r->out, "<article>\n<h3>%zu. ", index + 1);
    report_closure(r, row->closure);
    fputs("</h3>\n", r->out);
    status = put_facts(r, row, error);
    put_case(r, row, spaces, count);
    if (status == COAMING_OK)
        status = put_picture(r, index, spaces, count, error);
    fputs("</article>\n", r->out);
    memory_free(spaces);
    return status;
}

coaming_status report_worst(const report *r, coaming_error *error)
{
    char words[SHOWN];
    coaming_status status = COAMING_OK;
    markup_put(
        r->out,
        "<section aria-labelledby=\"worst\">\n<h2 id=\"worst\">%s</h2>\n"
        "<p>Sound or not: what passed its test stands here too. What to repair is <a "
        "href=\"#repair\">another list</a>.</p>\n"
        "<p>Consequence: what is reached if the closure fails and not if it holds, in %s, over "
        "all scenarios by weight, the others as last tested. Risk: how likely it leaks times "
        "what that costs, the others as likely to leak as they are.%s</p>\n",
        capital(words, RANK_ASKS), coaming_measure_word(r->how->measure),
        r->of->shown ? "" : " " NOTHING_LOST);
    report_sinking(r);
    for (size_t i = 0; i < r->of->shown && status == COAMING_OK; i++)
        status = put_one(r, i, error);
    fputs("</section>\n", r->out);
    return status;
}
