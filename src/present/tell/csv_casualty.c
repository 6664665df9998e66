/* A line for each thing that is said: what is reached, what to shut, what cannot be, and each closure of
 * each line with where somebody stands. */
#include <math.h>
#include <stdlib.h>

#include "base/error.h"
#include "csv/table.h"
#include "present/form/style.h"
#include "present/tell/casualty_words.h"
#include "present/tell/hold_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"
#include "ship/state.h"

typedef struct {
    csv_writer w;
    const coaming_ship *ship;
    const coaming_casualty_answer *a;
} sheet;

/* One line, in the order of the columns. */
typedef struct {
    const char *what;
    size_t rank;
    const char *space; /* that is reached; NULL */
    int closure;       /* or -1, and then by */
    const char *by;
    const char *from, *against;
    double sill, saved;
    const char *must_be_shut;
} item;

static void put(sheet *s, const item *i)
{
    char date[COAMING_DATE_TEXT];
    const ship_link *l = i->closure >= 0 ? &s->ship->links[i->closure] : NULL;
    bool stands = l && !l->passage;
    coaming_date tested = stands ? coaming_closure_tested(s->ship, i->closure) : COAMING_NO_DATE;
    csv_text(&s->w, i->what);
    csv_text(&s->w, coaming_hazard_word(s->a->hazard));
    csv_number(&s->w, (double)i->rank);
    csv_text(&s->w, i->space);
    csv_text(&s->w, l ? l->id : i->by);
    csv_text(&s->w, l ? l->name : NULL);
    csv_text(&s->w, i->from);
    csv_text(&s->w, i->against);
    csv_number(&s->w, i->sill);
    csv_number(&s->w, i->saved);
    csv_text(&s->w, i->must_be_shut);
    csv_text(&s->w, stands ? result_word(coaming_closure_result(s->ship, i->closure)) : NULL);
    csv_text(&s->w, tested == COAMING_NO_DATE ? NULL : coaming_date_format(tested, date));
    csv_end_row(&s->w);
}

/* Ids with blanks between; NULL when out of memory. */
static char *in_one(const sheet *s, const int *links, size_t count)
{
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    for (size_t i = 0; out && i < count; i++)
        fprintf(out, "%s%s", i ? " " : "", s->ship->links[links[i]].id);
    return words_end(out, &text);
}

static bool put_reached(sheet *s)
{
    for (size_t i = 0; i < s->a->reached_count; i++) {
        const coaming_reached *r = &s->a->reached[i];
        char *by = in_one(s, r->by, r->by_count);
        if (!by)
            return false;
        put(s, &(item){.what = "reached",
                       .rank = (size_t)r->order,
                       .space = s->ship->spaces[r->space].id,
                       .closure = -1,
                       .by = by,
                       .sill = r->sill,
                       .saved = NAN});
        free(by);
    }
    return true;
}

static void put_shutting(sheet *s)
{
    for (size_t i = 0; i < s->a->shut_now_count; i++) {
        const coaming_shutting *one = &s->a->shut_now[i];
        put(s, &(item){.what = "shut_now",
                       .rank = i + 1,
                       .closure = one->closure,
                       .from = coaming_place_id(s->ship, one->from),
                       .against = coaming_place_id(s->ship, one->against),
                       .sill = NAN,
                       .saved = one->saved});
    }
    for (size_t i = 0; i < s->a->cannot_count; i++)
        put(s, &(item){.what = "cannot_be_shut",
                       .rank = i + 1,
                       .closure = s->a->cannot[i],
                       .sill = NAN,
                       .saved = NAN});
}

static void put_line(sheet *s, size_t index)
{
    const coaming_hold_answer *hold = s->a->hold;
    const coaming_hold_line *line = &hold->lines[index];
    for (size_t i = 0; i < line->closure_count; i++) {
        const coaming_hold_closure *c = &line->closures[i];
        coaming_place from = casualty_stand(s->ship, line, c->closure);
        put(s, &(item){.what = index == hold->recommended ? "line_to_hold" : "line",
                       .rank = index + 1,
                       .closure = c->closure,
                       .from = coaming_place_id(s->ship, from),
                       .against = coaming_place_id(
                           s->ship, link_other_side(&s->ship->links[c->closure], from)),
                       .sill = NAN,
                       .saved = NAN,
                       .must_be_shut = c->must_be_shut ? "yes" : "no"});
    }
}

coaming_status csv_casualty(FILE *out, const coaming_ship *ship, const coaming_casualty *casualty,
                            coaming_error *error)
{
    static const char *const headings[] = {"what",         "hazard", "rank",    "space", "closure",
                                           "name",         "from",   "against", "sill",  "saved",
                                           "must_be_shut", "result", "tested"};
    sheet s = {.w = {out, false}, .ship = ship};
    for (size_t i = 0; i < sizeof headings / sizeof *headings; i++)
        csv_text(&s.w, headings[i]);
    csv_end_row(&s.w);
    for (size_t i = 0; i < coaming_casualty_count(casualty); i++) {
        s.a = coaming_casualty_get(casualty, i);
        if (!put_reached(&s))
            return error_memory(error);
        put_shutting(&s);
        for (size_t l = 0; l < s.a->hold->line_count; l++)
            put_line(&s, l);
    }
    return COAMING_OK;
}
