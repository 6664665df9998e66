#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "base/text.h"
#include "present/form/style.h"
#include "present/tell/chance_words.h"
#include "present/tell/float_words.h"
#include "present/tell/heading.h"
#include "present/tell/level_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

typedef struct {
    FILE *out;
    coaming_style style;
    const coaming_ship *ship;
    const coaming_rank_options *how;
    coaming_ranking *k;
    int id_width; /* of the column of ids */
    bool *told;   /* by closure: has its block been put? */
} table;

enum { OPEN_WORK = COAMING_STANDS(COAMING_FAIL) | COAMING_STANDS(COAMING_UNTESTED) };

/* A mark beside the standings: only what is to be made good or tested. */
enum { ONLY_WORK = COAMING_STANDS_ALL + 1 };

/* Does it belong into a list of these standings? */
static bool stands(const table *t, const coaming_rank *row, unsigned standing)
{
    if (standing & ONLY_WORK && !coaming_ranking_is_work(t->k, row->closure))
        return false;
    return COAMING_STANDS(coaming_closure_result(t->ship, row->closure)) & standing;
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

/* Place, id, name, how it stands and consequence; the name takes what room there is. */
static void print_headline(const table *t, const coaming_rank *row, size_t place)
{
    const ship_link *l = &t->ship->links[row->closure];
    char id[SHOWN], name[SHOWN], result[SHOWN], number[SHOWN];
    ink colour = result_ink(coaming_closure_result(t->ship, row->closure));
    int room = t->style.columns - t->id_width - 38;
    shown(id, l->id, (size_t)t->id_width);
    fprintf(t->out, "%4zu  %s%*s ", place, id, t->id_width - (int)text_width(id), "");
    if (room >= 8) {
        shown(name, l->name, (size_t)room);
        fprintf(t->out, "%s%*s ", name, room - (int)text_width(name), "");
    }
    ink_on(t->out, t->style, colour);
    fprintf(t->out, "%-*s", STANDING_BRIEF, standing_brief(result, t->ship, row->closure));
    ink_off(t->out, t->style, colour);
    fprintf(t->out, " %9s\n", amount(number, row->consequence));
}

/* How likely it leaks and what that costs; nothing of a gasket where that does not matter. */
static void say_risk(FILE *out, const table *t, const coaming_rank *row)
{
    char words[SHOWN];
    int closure = row->closure;
    const coaming_risk_row *r = t->how->risk ? coaming_risk_get(t->how->risk, closure) : NULL;
    fprintf(out, "; %s%s", passes_anyhow(r) ? "" : "leaks with ",
            leak_words(words, t->how->leaks[closure], r));
    if (r && !passes_anyhow(r))
        fprintf(out, ", risk %s", risk_words(words, t->how->measure, r, row->lost));
}

/* The consequence by hazard. */
static void say_parts(FILE *out, const table *t, const coaming_rank *row)
{
    const bool *asked = t->how->query.hazard;
    char words[SHOWN];
    if (!row->has_worst) {
        fputs("no loss " IN_THE_COUNT, out);
        return;
    }
    if (asked[COAMING_WATER])
        fprintf(out, "water %s", measured(words, t->how->measure, row->part[COAMING_WATER]));
    if (asked[COAMING_AIR])
        fprintf(out, "%sair %s", asked[COAMING_WATER] ? ", " : "",
                measured(words, t->how->measure, row->part[COAMING_AIR]));
}

static bool print_parts(const table *t, const coaming_rank *row)
{
    const ship_link *l = &t->ship->links[row->closure];
    char number[SHOWN], manner[SHOWN];
    paragraph p;
    if (paragraph_open(&p)) {
        standing_manner(manner, t->ship, row->closure);
        fprintf(p.stream, "%s%s%s", coaming_closure_method(t->ship, row->closure) ? "tested " : "",
                manner, *manner ? "; " : "");
        say_parts(p.stream, t, row);
        if (l->hours >= 0)
            fprintf(p.stream, "; %s h to %s", amount(number, l->hours),
                    coaming_closure_result(t->ship, row->closure) == COAMING_PASS ? "repair"
                                                                                  : "make good");
        if (coaming_closure_result(t->ship, row->closure) == COAMING_UNTESTED &&
            !coaming_ranking_is_work(t->k, row->closure))
            fputs("; " NEVER_TESTED, p.stream);
        if (*repaired_words(manner, t->ship, row->closure))
            fprintf(p.stream, "; %s", manner);
        say_risk(p.stream, t, row);
    }
    return paragraph_close(&p, t->out, t->style, 6, 8);
}

/* A block of lines; of a closure that has had one before, its first line alone. */
static coaming_status print_row(const table *t, size_t place, coaming_error *error)
{
    const coaming_rank *row = coaming_ranking_get(t->k, place);
    const int *spaces = NULL;
    size_t count = 0;
    print_headline(t, row, place + 1);
    if (t->told[row->closure])
        return print_line(t->out, t->style, 6, 8, "as above") ? COAMING_OK : error_memory(error);
    t->told[row->closure] = true;
    coaming_status status = coaming_ranking_exposes(t->k, place, &spaces, &count, error);
    if (status != COAMING_OK)
        return status;
    bool good = print_parts(t, row) &&
                (!row->has_worst || print_worst(t->out, t->style, t->ship, row, spaces, count));
    return good ? COAMING_OK : error_memory(error);
}

/* Closures whose failure she does not survive in some scenario: named before anything else. */
static bool print_lost(const table *t)
{
    char id[SHOWN];
    bool started = false;
    paragraph p;
    if (paragraph_open(&p))
        fputs(LOST_IF_ONE_FAILS ": ", p.stream);
    for (size_t i = 0; i < coaming_ranking_count(t->k); i++) {
        const coaming_rank *row = coaming_ranking_get(t->k, i);
        if (row->lost)
            paragraph_item(&p, &started, shown(id, t->ship->links[row->closure].id, 24));
    }
    return paragraph_close_list(&p, started, t->out, t->style, 0, 2);
}

/* Rows without a loss say nothing one by one. */
static bool print_harmless(const table *t, unsigned standing)
{
    char id[SHOWN];
    bool started = false;
    paragraph p;
    if (paragraph_open(&p))
        fputs("Without loss " IN_THE_COUNT " (expose tells what each would let through): ",
              p.stream);
    for (size_t i = 0; i < coaming_ranking_count(t->k); i++) {
        const coaming_rank *row = coaming_ranking_get(t->k, i);
        if (!row->has_worst && stands(t, row, standing))
            paragraph_item(&p, &started, shown(id, t->ship->links[row->closure].id, 30));
    }
    if (started && p.stream)
        fputc('.', p.stream);
    if (started)
        fputc('\n', t->out);
    return paragraph_close_list(&p, started, t->out, t->style, 0, 2);
}

/* What a list of open work has no block for, so that nothing that failed goes unnamed. */
static bool print_further(const table *t, size_t from, unsigned standing)
{
    char id[SHOWN], item[3 * SHOWN], number[SHOWN];
    bool started = false;
    paragraph p;
    if (paragraph_open(&p))
        fputs("Then: ", p.stream);
    for (size_t i = from; i < coaming_ranking_count(t->k); i++) {
        const coaming_rank *row = coaming_ranking_get(t->k, i);
        bool failed = coaming_closure_result(t->ship, row->closure) == COAMING_FAIL;
        if (!stands(t, row, standing))
            continue;
        snprintf(item, sizeof item, "%s %s %s", shown(id, t->ship->links[row->closure].id, 24),
                 failed ? "FAILED" : "untested", amount(number, row->consequence));
        paragraph_item(&p, &started, item);
    }
    return paragraph_close_list(&p, started, t->out, t->style, 6, 8);
}

static int widest_id(const coaming_ship *ship, coaming_style style)
{
    size_t widest = 4;
    for (size_t i = 0; i < ship->closure_count; i++) {
        size_t width = text_width(ship->links[i].id);
        widest = width > widest ? width : widest;
    }
    int most = style.columns - 35 < 16 ? style.columns - 35 : 16;
    return (int)widest > most ? most : (int)widest;
}

/* The closures that stand so, as many as are asked for; without a loss only where the list is of
 * open work alone. *next: the place where it ended. */
static coaming_status print_list(const table *t, unsigned standing, size_t *next,
                                 coaming_error *error)
{
    coaming_status status = COAMING_OK;
    size_t rows = 0;
    *next = 0;
    for (; *next < coaming_ranking_count(t->k) && status == COAMING_OK; ++*next) {
        const coaming_rank *row = coaming_ranking_get(t->k, *next);
        if (!stands(t, row, standing) ||
            !(row->has_worst || !(standing & COAMING_STANDS(COAMING_PASS))))
            continue;
        if (t->how->top && rows++ == t->how->top)
            break;
        status = print_row(t, *next, error);
    }
    return status;
}

/* By what the rows are ordered. */
static const char *order_words(const table *t)
{
    return t->how->by_risk ? "risk" : "consequence";
}

static bool any_stands(const table *t, unsigned standing)
{
    for (size_t i = 0; i < coaming_ranking_count(t->k); i++)
        if (stands(t, coaming_ranking_get(t->k, i), standing))
            return true;
    return false;
}

/* The list to work from: what is known not to hold, or not known to hold. */
static coaming_status print_open_work(const table *t, unsigned standing, coaming_error *error)
{
    size_t next = 0;
    paragraph p;
    char asks[SHOWN];
    bool any = any_stands(t, standing);
    if (paragraph_open(&p)) {
        fprintf(p.stream, "%s: ", capital(asks, WORK_ASKS));
        say_open_work(p.stream, t->k, standing);
        fprintf(p.stream, "%s%s%s", any ? "; worst first, by " : "", any ? order_words(t) : "",
                any ? ". The number is the rank among all closures." : ".");
    }
    fputc('\n', t->out);
    if (!paragraph_close(&p, t->out, t->style, 0, 2))
        return error_memory(error);
    coaming_status status = print_list(t, standing, &next, error);
    return status == COAMING_OK && !print_further(t, next, standing) ? error_memory(error) : status;
}

/* The list of what hangs on each, whether it is sound or not. */
static coaming_status print_all(const table *t, unsigned standing, coaming_error *error)
{
    size_t next = 0;
    bool only_passed = standing == COAMING_STANDS(COAMING_PASS);
    char asks[SHOWN];
    fputc('\n', t->out);
    if (!print_line(t->out, t->style, 0, 2,
                    "%s, %s, by %s; not a list of repairs:", capital(asks, RANK_ASKS),
                    only_passed ? "of those that passed" : "sound or not", order_words(t)))
        return error_memory(error);
    coaming_status status = print_list(t, standing, &next, error);
    return status == COAMING_OK && !t->how->top && !print_harmless(t, standing)
               ? error_memory(error)
               : status;
}

/* What is expected to be lost, all closures taken as likely to leak as they are. */
static bool print_expected(const table *t)
{
    char expected[SHOWN], how[SHOWN];
    if (!t->how->risk)
        return true;
    return print_line(t->out, t->style, 0, 2,
                      "Expected over all scenarios, " AS_LIKELY ": %s (%s).",
                      measured(expected, t->how->measure, coaming_risk_expected(t->how->risk)),
                      sampled_words(how, t->how->risk));
}

static coaming_status print_lists(const table *t, coaming_error *error)
{
    unsigned standing = t->how->standing;
    coaming_status status = COAMING_OK;
    if (!standing || !(standing & COAMING_STANDS(COAMING_PASS)))
        status = print_open_work(t, standing ? standing : OPEN_WORK | ONLY_WORK, error);
    if (status == COAMING_OK && (!standing || standing & COAMING_STANDS(COAMING_PASS)))
        status = print_all(t, standing ? standing : COAMING_STANDS_ALL, error);
    return status;
}

static coaming_status text_rank(const table *t, coaming_error *error)
{
    const coaming_rank_options *how = t->how;
    char what[2 * SHOWN], sought[SHOWN];
    snprintf(what, sizeof what, "%s, by %s",
             !how->standing ? "what to make good first, and what matters most"
             : how->standing & COAMING_STANDS(COAMING_PASS) ? RANK_ASKS
                                                            : "what to make good first",
             measure_words(sought, how->measure));
    if (!print_heading(t->out, t->style, how->outset, what) || !print_expected(t) || !print_lost(t))
        return error_memory(error);
    coaming_status status = print_lists(t, error);
    if (status == COAMING_OK &&
        !print_caution(t->out, t->style, coaming_caution_at(how->query.level)))
        return error_memory(error);
    return status;
}

coaming_rank_options coaming_rank_options_default(void)
{
    return (coaming_rank_options){.query = coaming_query_default(),
                                  .measure = COAMING_MEASURE_WORTH};
}

coaming_status coaming_print_rank(FILE *out, coaming_style style, const coaming_ship *ship,
                                  const coaming_rank_options *how, coaming_error *error)
{
    if (!how->outset)
        return outset_missing(error);
    if (style.format != COAMING_TEXT)
        return json_rank(out, style.format, ship, how, error);
    bool *told = memory_new(ship->closure_count, sizeof *told);
    if (!told)
        return error_memory(error);
    style = style_fit(style);
    table t = {out, style, ship, how, how->ranking, widest_id(ship, style), told};
    coaming_status status = text_rank(&t, error);
    memory_free(told);
    return status;
}
