#include <string.h>

#include "base/error.h"
#include "base/text.h"
#include "present/form/style.h"
#include "present/tell/place_words.h"
#include "present/tell/views.h"
#include "ship/unfilled.h"

void coaming_print_clean(FILE *out, const char *text)
{
    text_put(out, text, strlen(text));
}

void coaming_print_fault(FILE *out, const coaming_fault *fault)
{
    coaming_print_clean(out, fault->file);
    fputc(':', out);
    if (fault->line > 0)
        fprintf(out, "%ld:", fault->line);
    fprintf(out, " %s: %s: %s\n", fault->severity == COAMING_SEVERITY_ERROR ? "error" : "warning",
            fault->object, fault->message);
}

static bool print_counts(FILE *out, coaming_style style, const coaming_ship *ship)
{
    const struct {
        size_t count;
        const char *one, *many;
        bool told; /* also if there is none */
    } parts[] = {{ship->space_count, "space", "spaces", true},
                 {ship->closure_count, "closure", "closures", true},
                 {coaming_passage_count(ship), "passage", "passages", true},
                 {ship->pump_count, "pump", "pumps", false},
                 {ship->fan_count, "fan", "fans", false}};
    char number[SHOWN];
    paragraph p;
    if (paragraph_open(&p))
        for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
            if (parts[i].told || parts[i].count)
                fprintf(p.stream, "%s%s", i ? ", " : "",
                        counted(number, (double)parts[i].count, parts[i].one, parts[i].many));
    return paragraph_close(&p, out, style, 2, 4);
}

static bool print_ship(FILE *out, coaming_style style, const coaming_ship *ship)
{
    char a[SHOWN];
    size_t tested = 0, failed = 0;
    for (size_t i = 0; i < ship->closure_count; i++) {
        coaming_result result = coaming_closure_result(ship, (int)i);
        tested += result != COAMING_UNTESTED;
        failed += result == COAMING_FAIL;
    }
    bool good = print_counts(out, style, ship);
    good =
        good && print_line(out, style, 2, 4, "closures as tested: %zu pass, %zu fail, %zu untested",
                           tested - failed, failed, ship->closure_count - tested);
    size_t derived = coaming_space_derived_count(ship);
    if (derived)
        good =
            good && print_line(out, style, 2, 4, "%s with boxes worked out from %s, not measured",
                               counted(a, (double)derived, "space", "spaces"),
                               derived == 1 ? "its number" : "their numbers");
    size_t assumed = coaming_likelihood_age_assumed_count(ship);
    if (assumed)
        good = good && print_line(out, style, 2, 4,
                                  "age of the gasket not known of %s, so assumed; 'coaming plan' "
                                  "tells what their dates would change",
                                  counted(a, (double)assumed, "closure", "closures"));
    if (ship->later_events)
        good = good && print_line(out, style, 2, 4, "%s later than that day: not counted",
                                  counted(a, (double)ship->later_events, "entry", "entries"));
    return good;
}

static const ship_deck *deck_at(const coaming_ship *ship, double z)
{
    for (size_t i = 0; i < ship->deck_count; i++)
        if (ship->decks[i].z == z)
            return &ship->decks[i];
    return NULL;
}

static void say_between_decks(FILE *out, const coaming_ship *ship, const unfilled_region *r)
{
    char name[SHOWN];
    const ship_deck *under = deck_at(ship, r->z0), *over = deck_at(ship, r->z1);
    if (under && over)
        fprintf(out, ", %s to ", shown(name, under->name, SHOWN_COLUMNS));
    else if (under)
        fprintf(out, ", above %s", shown(name, under->name, SHOWN_COLUMNS));
    else if (over)
        fputs(", below ", out);
    if (over)
        fputs(shown(name, over->name, SHOWN_COLUMNS), out);
}

static bool print_region(FILE *out, coaming_style style, const coaming_ship *ship,
                         const unfilled *u, const unfilled_region *r)
{
    char share[SHOWN], along[SHOWN];
    paragraph p;
    if (paragraph_open(&p)) {
        fprintf(p.stream, "%.1f m3 (%s): ", r->volume, percent(share, r->volume / u->hull));
        fputs(stretch_words(along, ship, r->x0, r->x1), p.stream);
        say_between_decks(p.stream, ship, r);
    }
    return paragraph_close(&p, out, style, 4, 6);
}

static bool print_unfilled(FILE *out, coaming_style style, const coaming_ship *ship,
                           const unfilled *u)
{
    char share[SHOWN];
    bool good = true;
    if (u->volume >= UNFILLED_LEAST * u->hull)
        good = print_line(out, style, 2, 4,
                          "no space fills %.1f m3 of the hull (%s): that stays buoyant "
                          "whatever floods%s",
                          u->volume, percent(share, u->volume / u->hull),
                          u->count ? "; of it" : ", here and there, nowhere 1 %");
    for (size_t i = 0; good && i < u->count && u->volume >= UNFILLED_LEAST * u->hull; i++)
        good = print_region(out, style, ship, u, &u->regions[i]);
    return good;
}

/* Is one of the errors in this file? */
static bool names_file(const coaming_faults *faults, const char *path)
{
    for (size_t i = 0; i < coaming_faults_count(faults); i++) {
        const coaming_fault *f = coaming_faults_get(faults, i);
        if (f->severity == COAMING_SEVERITY_ERROR && !strcmp(f->file, path))
            return true;
    }
    return false;
}

static bool text_check(FILE *out, coaming_style style, const coaming_check_answer *c)
{
    const coaming_ship *ship = c->ship;
    char a[SHOWN], b[SHOWN], name[SHOWN], date[COAMING_DATE_TEXT];
    size_t errors = coaming_faults_error_count(c->faults);
    size_t warnings = coaming_faults_count(c->faults) - errors;
    paragraph p;
    if (paragraph_open(&p)) {
        coaming_print_clean(p.stream, c->path);
        if (ship)
            fprintf(p.stream, ": %s, as of %s", shown(name, ship->name, 40),
                    coaming_date_format(ship->as_of, date));
        else
            fputs(names_file(c->faults, c->path) ? ": cannot be used"
                                                 : ": cannot be used with these logs",
                  p.stream);
    }
    bool good = paragraph_close(&p, out, style, 0, 2);
    if (ship)
        good =
            good && print_ship(out, style, ship) && print_unfilled(out, style, ship, c->unfilled);
    return good &&
           print_line(out, style, 2, 4, "%s, %s", counted(a, (double)errors, "error", "errors"),
                      counted(b, (double)warnings, "warning", "warnings"));
}

coaming_status coaming_print_check(FILE *out, coaming_style style,
                                   const coaming_check_answer *answer, coaming_error *error)
{
    if (answer->ship && !answer->unfilled)
        return error_set(error, COAMING_USAGE, "what no space fills was not asked");
    if (style.format != COAMING_TEXT)
        return json_check(out, style.format, answer, error);
    return text_check(out, style_fit(style), answer) ? COAMING_OK : error_memory(error);
}
