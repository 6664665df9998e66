#include <math.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/form/style.h"
#include "present/tell/heading.h"
#include "present/tell/remedy_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

typedef struct {
    FILE *out;
    coaming_style style;
    const coaming_ship *ship;
    bool dogs; /* was it said to take any up of what has hinges? */
} view;

static bool has_breaks(const coaming_reading *r)
{
    return r->longest > 0;
}

static bool print_print(const view *v, const coaming_reading *r)
{
    char length[SHOWN], longest[SHOWN], area[SHOWN], share[SHOWN];
    if (!has_breaks(r))
        return isnan(r->printed) || print_line(v->out, v->style, 4, 6, "Printed all round, %s m.",
                                               amount(length, r->run));
    if (!(r->run > 0))
        return print_line(v->out, v->style, 4, 6,
                          "Longest gap %s m; the size of the opening is not given, so its share "
                          "and place are not known.",
                          amount(longest, r->longest));
    return print_line(v->out, v->style, 4, 6,
                      "Printed %s of %s m; longest gap %s m; %s cm2 open for each mm that the gaps "
                      "stand off.",
                      percent(share, r->printed), amount(length, r->run),
                      amount(longest, r->longest), amount(area, r->area * 1e4));
}

static bool print_reading_line(const view *v, const coaming_reading *r, size_t line)
{
    paragraph p;
    if (paragraph_open(&p))
        say_line(p.stream, v->ship, r, line);
    return paragraph_close(&p, v->out, v->style, 4, 6);
}

static bool print_whole(const view *v, const coaming_reading *r)
{
    paragraph p;
    if (paragraph_open(&p)) {
        fputs(reading_lines(r)                   ? "In all: "
              : r->advice == COAMING_ADVICE_NONE ? ""
                                                 : "To do: ",
              p.stream);
        say_advice(p.stream, v->ship, r);
        fputc('.', p.stream);
    }
    return paragraph_close(&p, v->out, v->style, 4, 6);
}

static bool print_reading(view *v, const coaming_reading *r)
{
    const ship_link *l = &v->ship->links[r->closure];
    char id[SHOWN], name[SHOWN], result[SHOWN];
    fputc('\n', v->out);
    bool good = print_line(v->out, v->style, 2, 4, "%s %s: %s", shown(id, l->id, 24),
                           shown(name, l->name, 40), standing_words(result, v->ship, r->closure));
    good = good && print_print(v, r);
    for (size_t i = 0; i < reading_lines(r) && good; i++)
        good = print_reading_line(v, r, i);
    for (size_t i = 0; i < r->gap_count; i++)
        v->dogs = v->dogs || (r->fastening == COAMING_SHUT_BY_DOGS &&
                              r->gaps[i].advice == COAMING_ADVICE_DOGS);
    if (said_by_line(r) || (!l->print && !reading_lines(r)))
        return good;
    return good && print_whole(v, r);
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
                      coaming_reason_source(COAMING_REASON_LOOSE, COAMING_SHUT_BY_DOGS));
}

coaming_status print_readings(FILE *out, coaming_style style, const coaming_readings *readings,
                              coaming_error *error)
{
    view v = {out, style, coaming_readings_ship(readings), false};
    bool good = true;
    for (size_t i = 0; i < coaming_readings_count(readings) && good; i++)
        good = print_reading(&v, coaming_readings_get(readings, i));
    if (good && !coaming_readings_count(readings))
        fputs("\nNo closure stands as failed or waits for a test after a repair.\n", out);
    return good && print_dogs_rule(&v) ? COAMING_OK : error_memory(error);
}

static coaming_status text_adjust(FILE *out, coaming_style style, const coaming_readings *readings,
                                  coaming_error *error)
{
    char date[COAMING_DATE_TEXT];
    const coaming_ship *ship = coaming_readings_ship(readings);
    bool good = print_title(out, style, ship, "what the prints ask for") &&
                print_line(out, style, 0, 2, "Each by the test that counts, as of %s.",
                           coaming_date_format(ship->as_of, date));
    coaming_status status = print_readings(out, style, readings, error);
    if (status != COAMING_OK)
        return status;
    good = good && print_caution(out, style, coaming_test_caution());
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_adjust(FILE *out, coaming_style style,
                                    const coaming_readings *readings, coaming_error *error)
{
    return style.format != COAMING_TEXT ? json_adjust(out, style.format, readings, error)
                                        : text_adjust(out, style_fit(style), readings, error);
}
