#include <string.h>

#include "base/error.h"
#include "base/text.h"
#include "present/style.h"
#include "present/views.h"

static void print_amount(FILE *out, coaming_measure measure, double value)
{
    const char *unit = coaming_measure_unit(measure);
    fprintf(out, "%.3g%s%s", value, *unit ? " " : "", unit);
}

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

static bool print_row(FILE *out, coaming_style style, const coaming_ship *ship, coaming_query query,
                      coaming_measure measure, const coaming_rank *row, size_t place,
                      const int *spaces, size_t count)
{
    const ship_link *l = &ship->links[row->closure];
    char id[SHOWN], name[SHOWN], result[SHOWN];
    int wide = style.columns < 40 ? 40 : style.columns;
    int room = wide - 5 - 7 - 17 - 11;
    ink colour = result_ink(coaming_closure_result(ship, row->closure));
    shown(id, l->id, 12);
    shown(name, l->name, (size_t)(room < 12 ? 12 : room));
    int pad = (room < 12 ? 12 : room) - (int)text_width(name);
    int id_pad = 6 - (int)text_width(id);
    fprintf(out, "%4zu  %s%*s %s%*s ", place, id, id_pad > 0 ? id_pad : 0, "", name,
            pad > 0 ? pad : 0, "");
    ink_on(out, style, colour);
    fprintf(out, "%-15s", shown_result(result, ship, row->closure));
    ink_off(out, style, colour);
    fprintf(out, " %9.4g\n", row->consequence);
    fputs("      ", out);
    if (query.hazard[COAMING_WATER]) {
        fputs("water ", out);
        print_amount(out, measure, row->part[COAMING_WATER]);
    }
    if (query.hazard[COAMING_AIR]) {
        fputs(query.hazard[COAMING_WATER] ? ", air " : "air ", out);
        print_amount(out, measure, row->part[COAMING_AIR]);
    }
    if (l->hours >= 0)
        fprintf(out, "; %.3g h to make good", l->hours);
    if (l->repair_since)
        fputs("; repaired, not tested since", out);
    fputc('\n', out);
    return print_worst(out, style, ship, row, spaces, count);
}

/* One line of closures that failed or are untested, with or without consequence; nothing if none.
 */
static bool print_doubtful(FILE *out, coaming_style style, const coaming_ship *ship,
                           const coaming_ranking *k, bool costly, const char *words)
{
    char id[SHOWN], item[2 * SHOWN];
    bool started = false;
    paragraph p;
    if (paragraph_open(&p))
        fputs(words, p.stream);
    for (size_t i = 0; i < coaming_ranking_count(k); i++) {
        const coaming_rank *row = coaming_ranking_get(k, i);
        coaming_result result = coaming_closure_result(ship, row->closure);
        if (result == COAMING_PASS || row->has_worst != costly)
            continue;
        int used = snprintf(item, sizeof item, "%s %s", shown(id, ship->links[row->closure].id, 24),
                            result == COAMING_FAIL ? "FAIL" : "untested");
        if (costly)
            snprintf(item + used, sizeof item - (size_t)used, " %.4g", row->consequence);
        paragraph_item(&p, &started, item);
    }
    if (started)
        return paragraph_close(&p, out, style, 0, 2);
    bool opened = p.stream != NULL;
    paragraph_drop(&p);
    return opened;
}

/* What is known not to hold, or not known to hold: the work at hand, worst first. */
static bool print_open_work(FILE *out, coaming_style style, const coaming_ship *ship,
                            const coaming_ranking *k)
{
    return print_doubtful(out, style, ship, k, true, "Failed or untested, worst first: ") &&
           print_doubtful(out, style, ship, k, false,
                          "Failed or untested, but alone they change nothing now, for there is "
                          "another way round or none through: ");
}

/* Rows of consequence 0 say nothing one by one. */
static bool print_harmless(FILE *out, coaming_style style, const coaming_ship *ship,
                           const coaming_ranking *k, size_t from)
{
    char id[SHOWN];
    bool started = false;
    paragraph p;
    size_t count = coaming_ranking_count(k);
    if (from >= count)
        return true;
    if (paragraph_open(&p)) {
        fputs("No space more is reached by failure of any one of: ", p.stream);
        for (size_t i = from; i < count; i++)
            paragraph_item(&p, &started,
                           shown(id, ship->links[coaming_ranking_get(k, i)->closure].id, 30));
        fputc('.', p.stream);
    }
    fputc('\n', out);
    return paragraph_close(&p, out, style, 0, 2);
}

static coaming_status text_rank(FILE *out, coaming_style style, const coaming_ship *ship,
                                coaming_query query, coaming_measure measure, size_t top,
                                coaming_error *error)
{
    coaming_ranking *k = NULL;
    coaming_status status = coaming_ranking_new(ship, query, measure, &k, error);
    if (status != COAMING_OK)
        return status;
    char what[80];
    size_t count = coaming_ranking_count(k), last = top && top < count ? top : count, i;
    snprintf(what, sizeof what, "which closure to repair first, by %s lost",
             coaming_measure_word(measure));
    print_heading(out, style, ship, query, what);
    bool good = print_open_work(out, style, ship, k);
    fputc('\n', out);
    for (i = 0; i < last && status == COAMING_OK && good; i++) {
        const coaming_rank *row = coaming_ranking_get(k, i);
        const int *spaces = NULL;
        size_t n = 0;
        if (!row->has_worst)
            break;
        status = coaming_ranking_exposes(k, i, &spaces, &n, error);
        if (status == COAMING_OK)
            good = print_row(out, style, ship, query, measure, row, i + 1, spaces, n);
    }
    if (status == COAMING_OK && good && !top)
        good = print_harmless(out, style, ship, k, i);
    if (status == COAMING_OK && good)
        good = print_caution(out, style);
    coaming_ranking_free(k);
    return status == COAMING_OK && !good ? error_memory(error) : status;
}

coaming_status coaming_print_rank(FILE *out, coaming_style style, const coaming_ship *ship,
                                  coaming_query query, coaming_measure measure, size_t top,
                                  coaming_error *error)
{
    if (style.format == COAMING_JSON)
        return json_rank(out, ship, query, measure, top, error);
    return text_rank(out, style, ship, query, measure, top, error);
}
