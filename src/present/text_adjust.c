#include <math.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/standing_words.h"
#include "present/style.h"
#include "present/views.h"

coaming_status each_reading(const coaming_ship *ship, const int *closures, size_t count,
                            on_reading call, void *data, coaming_error *error)
{
    bool all = !closures;
    for (size_t i = 0; i < (all ? ship->closure_count : count); i++) {
        coaming_reading *r = NULL;
        coaming_status status = coaming_reading_new(ship, all ? (int)i : closures[i], &r, error);
        if (status != COAMING_OK)
            return status;
        bool good = (all && r->advice == COAMING_ADVICE_NONE) || call(r, data);
        coaming_reading_free(r);
        if (!good)
            return error_memory(error);
    }
    return COAMING_OK;
}

/* "at the top corner on the free side", "on the free side", "". */
static const char *gap_place(const coaming_gap_reading *g)
{
    static const char *const sides[] = {"on the top edge", "on the free side", "on the bottom edge",
                                        "on the hinge side"};
    static const char *const corners[] = {
        "at the top corner on the hinge side", "at the top corner on the free side",
        "at the bottom corner on the free side", "at the bottom corner on the hinge side"};
    return g->corner >= 0 ? corners[g->corner] : g->side >= 0 ? sides[g->side] : "";
}

/* "dogs 3 and 4" */
static void say_dogs(FILE *out, const coaming_gap_reading *g)
{
    if (!g->dog_count) {
        fputs("the dogs on either side", out);
        return;
    }
    fputs(g->dog_count == 1 ? "dog" : "dogs", out);
    for (int i = 0; i < g->dog_count; i++)
        fprintf(out, "%s%d", i == 0 ? " " : i == g->dog_count - 1 ? " and " : ", ", g->dogs[i]);
}

static void say_remedy(FILE *out, const coaming_gap_reading *g)
{
    switch (g->advice) {
    case COAMING_ADVICE_CLEAN:
        fputs("paint on the knife edge: clean it and chalk again before adjusting", out);
        break;
    case COAMING_ADVICE_GASKET:
        fputs("the gasket is damaged: renew it", out);
        break;
    case COAMING_ADVICE_JOINT:
        fputs("a joint of the gasket: make it anew, cut square and close, and retest", out);
        break;
    case COAMING_ADVICE_SIDE:
        fputs("along the whole side: frame or door out of true; try both with a straight edge, and "
              "the hinges for play",
              out);
        break;
    case COAMING_ADVICE_CORNER:
        fputs("frame or door out of true there; try both with a straight edge before taking up "
              "dogs",
              out);
        break;
    default:
        fputs("take up ", out);
        say_dogs(out, g);
        fputs(" and retest", out);
        break;
    }
}

bool past_dogs(const coaming_reading *r)
{
    for (size_t i = 0; i < r->gap_count; i++)
        if (r->gaps[i].advice == COAMING_ADVICE_GASKET) /* asked for by damage */
            return false;
    return r->advice == COAMING_ADVICE_GASKET || r->advice == COAMING_ADVICE_KNIFE_EDGE;
}

void say_gap(FILE *out, const coaming_reading *r, const coaming_gap_reading *g)
{
    char length[SHOWN], at[SHOWN];
    fprintf(out, "Gap of %s m from %s m%s%s", amount(length, g->length), amount(at, g->at),
            *gap_place(g) ? " " : "", gap_place(g));
    if (g->advice != COAMING_ADVICE_DOGS || !past_dogs(r)) {
        fputs(": ", out);
        say_remedy(out, g);
    }
    fputc('.', out);
}

static void say_nothing_to_do(FILE *out, const ship_link *l)
{
    if (l->result == COAMING_UNTESTED)
        fputs("Looked at, which proves nothing: test it", out);
    else if (l->print->method == CHALK)
        fputs("Nothing to adjust: the print is unbroken", out);
    else
        fprintf(out, "Nothing to adjust: passed by %s", method_words[l->print->method]);
}

/* How it was failed or repaired, for advice that goes by the test that counts alone. */
void say_advice(FILE *out, const coaming_ship *ship, const coaming_reading *r)
{
    const ship_link *l = &ship->links[r->closure];
    char date[COAMING_DATE_TEXT];
    switch (r->advice) {
    case COAMING_ADVICE_NONE:
        say_nothing_to_do(out, l);
        break;
    case COAMING_ADVICE_CHALK:
        fprintf(out, "failed by %s, and where is not noted: chalk it and note the gaps",
                method_words[l->decided->method]);
        break;
    case COAMING_ADVICE_RETEST:
        fprintf(out, "repaired %s (%s), not tested since: retest",
                coaming_date_format(l->repair_since->date, date),
                action_words[l->repair_since->action]);
        break;
    case COAMING_ADVICE_KNIFE_EDGE:
        fprintf(
            out,
            "gasket renewed %s, dogs taken up %d times since, and gaps again: look to the knife "
            "edge and the frame",
            coaming_date_format(r->renewed, date), r->adjustments);
        break;
    case COAMING_ADVICE_GASKET:
        if (past_dogs(r))
            fprintf(out, "dogs taken up %d times since the gasket was %s, and gaps again: ",
                    r->adjustments, r->renewed == COAMING_NO_DATE ? "fitted" : "renewed");
        fprintf(out, "renew the gasket%s", past_dogs(r) ? ", do not take up further" : "");
        break;
    case COAMING_ADVICE_DOGS:
        fputs("take up the dogs at the gaps and retest", out);
        break;
    case COAMING_ADVICE_CLEAN:
        fputs("clean the knife edge and chalk again before adjusting", out);
        break;
    case COAMING_ADVICE_JOINT:
        fputs("make the joint of the gasket anew and retest", out);
        break;
    default:
        fputs("frame or door out of true: try both with a straight edge, and the hinges for play",
              out);
        break;
    }
}

typedef struct {
    FILE *out;
    coaming_style style;
    const coaming_ship *ship;
    size_t count;
    bool dogs; /* was it said to take any up? */
} view;

static bool print_print(const view *v, const coaming_reading *r)
{
    char length[SHOWN], longest[SHOWN], area[SHOWN];
    if (!r->gap_count)
        return isnan(r->printed) || print_line(v->out, v->style, 4, 6, "Printed all round, %s m.",
                                               amount(length, r->run));
    if (!(r->run > 0))
        return print_line(v->out, v->style, 4, 6,
                          "Longest gap %s m; the size of the opening is not given, so its share "
                          "and place are not known.",
                          amount(longest, r->longest));
    return print_line(v->out, v->style, 4, 6,
                      "Printed %.1f %% of %s m; longest gap %s m; %s cm2 open for each mm that the "
                      "gaps stand off.",
                      100 * r->printed, amount(length, r->run), amount(longest, r->longest),
                      amount(area, r->area * 1e4));
}

static bool print_gap(view *v, const coaming_reading *r, const coaming_gap_reading *g)
{
    paragraph p;
    v->dogs = v->dogs || (g->advice == COAMING_ADVICE_DOGS && !past_dogs(r));
    if (paragraph_open(&p))
        say_gap(p.stream, r, g);
    return paragraph_close(&p, v->out, v->style, 4, 6);
}

static bool print_reading(const coaming_reading *r, void *data)
{
    view *v = data;
    const ship_link *l = &v->ship->links[r->closure];
    char id[SHOWN], name[SHOWN], result[SHOWN];
    paragraph p;
    v->count++;
    fputc('\n', v->out);
    bool good = print_line(v->out, v->style, 2, 4, "%s %s: %s", shown(id, l->id, 24),
                           shown(name, l->name, 40), standing_words(result, v->ship, r->closure));
    good = good && print_print(v, r);
    for (size_t i = 0; i < r->gap_count && good; i++)
        good = print_gap(v, r, &r->gaps[i]);
    if (r->gap_count == 1 && r->advice == r->gaps[0].advice)
        return good; /* has been said */
    if (!l->print)
        return good;
    if (paragraph_open(&p)) {
        fputs(r->gap_count                       ? "In all: "
              : r->advice == COAMING_ADVICE_NONE ? ""
                                                 : "To do: ",
              p.stream);
        say_advice(p.stream, v->ship, r);
        fputc('.', p.stream);
    }
    return paragraph_close(&p, v->out, v->style, 4, 6) && good;
}

static bool print_dogs_rule(const view *v)
{
    if (!v->dogs)
        return true;
    fputc('\n', v->out);
    return print_line(v->out, v->style, 0, 2,
                      "Taking up: a little at a time, at most 1/8 in (3.2 mm) compression of the "
                      "gasket. Set the dog opposite the hinges first, then the two on the hinge "
                      "side, then all evenly (%s).",
                      coaming_advice_source(COAMING_ADVICE_DOGS));
}

coaming_status print_readings(FILE *out, coaming_style style, const coaming_ship *ship,
                              const int *closures, size_t count, coaming_error *error)
{
    view v = {out, style, ship, 0, false};
    coaming_status status = each_reading(ship, closures, count, print_reading, &v, error);
    if (status == COAMING_OK && !v.count)
        fputs("\nNo closure stands as failed or waits for a test after a repair.\n", out);
    if (status == COAMING_OK && !print_dogs_rule(&v))
        status = error_memory(error);
    return status;
}

static coaming_status text_adjust(FILE *out, coaming_style style, const coaming_ship *ship,
                                  const int *closures, size_t count, coaming_error *error)
{
    char date[COAMING_DATE_TEXT];
    bool good = print_title(out, style, ship, "what the prints ask for") &&
                print_line(out, style, 0, 2, "Each by the test that counts, as of %s.",
                           coaming_date_format(ship->as_of, date));
    coaming_status status = print_readings(out, style, ship, closures, count, error);
    if (status != COAMING_OK)
        return status;
    good = good && print_caution(out, style, coaming_test_caution());
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_adjust(FILE *out, coaming_style style, const coaming_ship *ship,
                                    const int *closures, size_t count, coaming_error *error)
{
    return style.format != COAMING_TEXT
               ? json_adjust(out, style.format, ship, closures, count, error)
               : text_adjust(out, style_fit(style), ship, closures, count, error);
}
