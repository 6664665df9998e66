#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "base/text.h"
#include "present/style.h"
#include "present/views.h"

static void put_amount(FILE *out, coaming_measure measure, double value)
{
    char number[SHOWN];
    const char *unit = coaming_measure_unit(measure);
    fprintf(out, "%s%s%s", amount(number, value), *unit ? " " : "", unit);
}

typedef struct {
    FILE *out;
    coaming_style style;
    const coaming_ship *ship;
    coaming_query query;
    coaming_measure measure;
    int id_width; /* of the column of ids */
    const coaming_risk *risk;
    const double *probabilities;
} table;

/* "water 3.9 from engine: shaft, steering" */
static bool print_worst(FILE *out, coaming_style style, const coaming_ship *ship,
                        const coaming_rank *row, const int *spaces, size_t count)
{
    char id[SHOWN];
    bool started = false, water = row->worst_hazard == COAMING_WATER;
    coaming_place from = row->worst_source;
    paragraph p;
    if (paragraph_open(&p)) {
        fprintf(p.stream, "worst: %s %s ", water ? "water" : "bad air",
                water && from >= 0 ? "from a breach of" : "from");
        if (from == COAMING_SEA && water)
            fputs("outside", p.stream);
        else
            fputs(shown(id, coaming_place_id(ship, from), 30), p.stream);
        fputs(water ? " floods " : " reaches ", p.stream);
        for (size_t i = 0; i < count; i++)
            paragraph_item(&p, &started, shown(id, ship->spaces[spaces[i]].id, 30));
    }
    return paragraph_close(&p, out, style, 6, 8);
}

/* Place, id, name, last test and consequence; the name takes what room there is. */
static void print_headline(const table *t, const coaming_rank *row, size_t place)
{
    const ship_link *l = &t->ship->links[row->closure];
    char id[SHOWN], name[SHOWN], result[SHOWN], number[SHOWN];
    ink colour = result_ink(coaming_closure_result(t->ship, row->closure));
    int room = t->style.columns - t->id_width - 36;
    shown(id, l->id, (size_t)t->id_width);
    fprintf(t->out, "%4zu  %s%*s ", place, id, t->id_width - (int)text_width(id), "");
    if (room >= 8) {
        shown(name, l->name, (size_t)room);
        fprintf(t->out, "%s%*s ", name, room - (int)text_width(name), "");
    }
    ink_on(t->out, t->style, colour);
    fprintf(t->out, "%-15s", shown_result(result, t->ship, row->closure));
    ink_off(t->out, t->style, colour);
    fprintf(t->out, " %9s\n", amount(number, row->consequence));
}

/* How likely it leaks and what that costs; nothing of a gasket where that does not matter. */
static void say_risk(FILE *out, const table *t, int closure)
{
    char number[SHOWN];
    const coaming_risk_row *r = t->risk ? coaming_risk_get(t->risk, closure) : NULL;
    if (r && r->risk > 0 && !(r->repair_gain > 0)) {
        fputs("; passes whatever its gasket", out);
        return;
    }
    fprintf(out, "; leaks with %s %%", amount(number, 100 * t->probabilities[closure]));
    if (!r)
        return;
    fputs(", risk ", out);
    put_amount(out, t->measure, r->repair_gain);
    if (r->risk_error > 0)
        fprintf(out, " (standard error %s)", amount(number, r->risk_error));
}

static bool print_parts(const table *t, const coaming_rank *row)
{
    const ship_link *l = &t->ship->links[row->closure];
    char number[SHOWN];
    paragraph p;
    if (paragraph_open(&p)) {
        if (t->query.hazard[COAMING_WATER]) {
            fputs("water ", p.stream);
            put_amount(p.stream, t->measure, row->part[COAMING_WATER]);
        }
        if (t->query.hazard[COAMING_AIR]) {
            fputs(t->query.hazard[COAMING_WATER] ? ", air " : "air ", p.stream);
            put_amount(p.stream, t->measure, row->part[COAMING_AIR]);
        }
        if (l->hours >= 0)
            fprintf(p.stream, "; %s h to make good", amount(number, l->hours));
        if (l->repair_since)
            fputs("; repaired, not tested since", p.stream);
        say_risk(p.stream, t, row->closure);
    }
    return paragraph_close(&p, t->out, t->style, 6, 8);
}

static bool print_row(const table *t, const coaming_rank *row, size_t place, const int *spaces,
                      size_t count)
{
    print_headline(t, row, place);
    return print_parts(t, row) && print_worst(t->out, t->style, t->ship, row, spaces, count);
}

/* One line of closures that failed or are untested, with or without consequence; nothing if none.
 */
static bool print_doubtful(FILE *out, coaming_style style, const coaming_ship *ship,
                           const coaming_ranking *k, bool costly, const char *words)
{
    char id[SHOWN], item[2 * SHOWN], number[SHOWN];
    bool started = false;
    paragraph p;
    if (paragraph_open(&p))
        fputs(words, p.stream);
    for (size_t i = 0; i < coaming_ranking_count(k); i++) {
        const coaming_rank *row = coaming_ranking_get(k, i);
        coaming_result result = coaming_closure_result(ship, row->closure);
        if (result == COAMING_PASS || row->has_worst != costly)
            continue;
        snprintf(item, sizeof item, "%.100s %s%s%.100s",
                 shown(id, ship->links[row->closure].id, 24),
                 result == COAMING_FAIL ? "FAIL" : "untested", costly ? " " : "",
                 costly ? amount(number, row->consequence) : "");
        paragraph_item(&p, &started, item);
    }
    return paragraph_close_list(&p, started, out, style, 0, 2);
}

/* Closures whose failure she does not survive in some scenario: named before anything else. */
static bool print_lost(FILE *out, coaming_style style, const coaming_ship *ship,
                       const coaming_ranking *k)
{
    char id[SHOWN];
    bool started = false;
    paragraph p;
    if (paragraph_open(&p))
        fputs("She does not stay afloat in some scenario if one of these fails: ", p.stream);
    for (size_t i = 0; i < coaming_ranking_count(k); i++)
        if (coaming_ranking_get(k, i)->lost)
            paragraph_item(&p, &started,
                           shown(id, ship->links[coaming_ranking_get(k, i)->closure].id, 24));
    return paragraph_close_list(&p, started, out, style, 0, 2);
}

/* What is known not to hold, or not known to hold: the work at hand, worst first. */
static bool print_open_work(FILE *out, coaming_style style, const coaming_ship *ship,
                            const coaming_ranking *k)
{
    return print_doubtful(out, style, ship, k, true, "Failed or untested, worst first: ") &&
           print_doubtful(out, style, ship, k, false,
                          "Failed or untested, but without loss by this measure in the "
                          "scenarios counted: ");
}

/* Rows without a loss say nothing one by one. */
static bool print_harmless(FILE *out, coaming_style style, const coaming_ship *ship,
                           const coaming_ranking *k)
{
    char id[SHOWN];
    bool started = false;
    paragraph p;
    if (paragraph_open(&p))
        fputs("Without loss by this measure in the scenarios counted (expose tells what each would "
              "let "
              "through): ",
              p.stream);
    for (size_t i = 0; i < coaming_ranking_count(k); i++) {
        const coaming_rank *row = coaming_ranking_get(k, i);
        if (!row->has_worst)
            paragraph_item(&p, &started, shown(id, ship->links[row->closure].id, 30));
    }
    if (started && p.stream)
        fputc('.', p.stream);
    if (started)
        fputc('\n', out);
    return paragraph_close_list(&p, started, out, style, 0, 2);
}

static int widest_id(const coaming_ship *ship, coaming_style style)
{
    size_t widest = 4;
    for (size_t i = 0; i < ship->closure_count; i++) {
        size_t width = text_width(ship->links[i].id);
        widest = width > widest ? width : widest;
    }
    int most = style.columns - 33 < 16 ? style.columns - 33 : 16;
    return (int)widest > most ? most : (int)widest;
}

/* The rows with a loss. */
static coaming_status print_rows(const table *t, coaming_ranking *k, size_t last,
                                 coaming_error *error)
{
    for (size_t i = 0; i < last; i++) {
        const coaming_rank *row = coaming_ranking_get(k, i);
        const int *spaces = NULL;
        size_t count = 0;
        if (!row->has_worst)
            continue;
        coaming_status status = coaming_ranking_exposes(k, i, &spaces, &count, error);
        if (status != COAMING_OK)
            return status;
        if (!print_row(t, row, i + 1, spaces, count))
            return error_memory(error);
    }
    return COAMING_OK;
}

/* What is expected to be lost, all closures taken as likely to leak as they are. */
static bool print_expected(const table *t)
{
    char expected[SHOWN], share[SHOWN], samples[SHOWN];
    const char *unit = coaming_measure_unit(t->measure);
    if (!t->risk)
        return true;
    coaming_level_kind level = t->query.level.kind;
    const char *plane = t->query.hazard[COAMING_WATER] && level == COAMING_LEVEL_EQUILIBRIUM
                            ? " Risk is counted at the waterline at rest."
                            : "";
    if (coaming_risk_is_exact(t->risk))
        return print_line(t->out, t->style, 0, 2,
                          "Expected over all scenarios, each closure leaking as likely as its "
                          "history says: %s%s%s (exact).%s",
                          amount(expected, coaming_risk_expected(t->risk)), *unit ? " " : "", unit,
                          plane);
    return print_line(t->out, t->style, 0, 2,
                      "Expected over all scenarios, each closure leaking as likely as its history "
                      "says: %s%s%s (%s samples, standard error %s).%s",
                      amount(expected, coaming_risk_expected(t->risk)), *unit ? " " : "", unit,
                      amount(samples, (double)coaming_risk_samples(t->risk)),
                      amount(share, coaming_risk_error(t->risk)), plane);
}

static coaming_status text_rank(const table *t, coaming_ranking *k, size_t top,
                                coaming_error *error)
{
    char what[100];
    size_t count = coaming_ranking_count(k);
    coaming_status status = COAMING_OK;
    /* not "people lost": that water reaches them does not say so */
    snprintf(what, sizeof what, "which closure to repair first, by %s %s",
             coaming_measure_word(t->measure),
             t->measure < COAMING_MEASURE_FREEBOARD ? "in reach" : "lost");
    bool good = print_heading(t->out, t->style, t->ship, t->query, what) && print_expected(t) &&
                print_lost(t->out, t->style, t->ship, k) &&
                print_open_work(t->out, t->style, t->ship, k);
    fputc('\n', t->out);
    if (good)
        status = print_rows(t, k, top && top < count ? top : count, error);
    if (status == COAMING_OK && good && !top)
        good = print_harmless(t->out, t->style, t->ship, k);
    if (status == COAMING_OK && good)
        good = print_caution(t->out, t->style, coaming_caution_at(t->query.level));
    return status == COAMING_OK && !good ? error_memory(error) : status;
}

/* By risk; of closures without any the consequence decides as before. */
static coaming_status sort_by_risk(const coaming_ship *ship, const coaming_risk *risk,
                                   coaming_ranking *k, coaming_error *error)
{
    double *values = memory_new(ship->closure_count, sizeof *values);
    if (!values)
        return error_memory(error);
    for (size_t i = 0; i < ship->closure_count; i++)
        values[i] = coaming_risk_get(risk, (int)i)->repair_gain;
    coaming_status status = coaming_ranking_sort(k, values, error);
    memory_free(values);
    return status;
}

coaming_status coaming_print_rank(FILE *out, coaming_style style, const coaming_ship *ship,
                                  coaming_query query, coaming_measure measure,
                                  const coaming_risk *risk, bool by_risk, size_t top,
                                  coaming_error *error)
{
    coaming_ranking *k = NULL;
    double *probabilities = memory_new(ship->closure_count, sizeof *probabilities);
    coaming_status status = probabilities ? COAMING_OK : error_memory(error);
    if (status == COAMING_OK)
        coaming_likelihood_all(ship, probabilities);
    if (status == COAMING_OK)
        status = coaming_ranking_new(ship, query, measure, &k, error);
    if (status == COAMING_OK && by_risk && risk)
        status = sort_by_risk(ship, risk, k, error);
    if (status == COAMING_OK) {
        table t = {out,  style_fit(style), ship, query, measure, widest_id(ship, style_fit(style)),
                   risk, probabilities};
        status = style.format != COAMING_TEXT ? json_rank(out, style.format, ship, query, measure,
                                                          k, risk, probabilities, top, error)
                                              : text_rank(&t, k, top, error);
    }
    coaming_ranking_free(k);
    memory_free(probabilities);
    return status;
}
