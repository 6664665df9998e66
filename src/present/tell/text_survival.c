#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/form/style.h"
#include "present/tell/heading.h"
#include "present/tell/standing_words.h"
#include "present/tell/survival_words.h"
#include "present/tell/views.h"

enum { ROWS = 10, WAYS = 5 }; /* of each list, unless --top says otherwise */

typedef struct {
    FILE *out;
    coaming_style style;
    const coaming_ship *ship;
    const coaming_survival *v;
    const coaming_survival_index *index;
    const coaming_survival_rows *rows;
} page;

static void put_ids(FILE *out, const coaming_ship *ship, const int *spaces, size_t count)
{
    char id[SHOWN];
    for (size_t i = 0; i < count; i++)
        fprintf(out, "%s%s", i ? ", " : "", shown(id, ship->spaces[spaces[i]].id, 30));
    if (!count)
        fputs("nothing", out);
}

/* --- the indexes --- */

static bool print_state_index(const page *p, coaming_answer state, const char *words)
{
    char value[SHOWN], lost[SHOWN];
    index_words(value, p->index->index[state]);
    percent(lost, p->index->lost[state]);
    return print_line(p->out, p->style, 2, 10, "%-7s %s; lost to %s of damage", value, words, lost);
}

static bool print_expected(const page *p)
{
    char value[SHOWN], lost[SHOWN], limits[SHOWN];
    paragraph line;
    if (isnan(p->index->expected.value))
        return true;
    if (paragraph_open(&line)) {
        fprintf(line.stream, "%-7s " SURVIVAL_EXPECTED,
                index_words(value, p->index->expected.value));
        fputs(limit_words(limits, &p->index->expected, p->index->expected_error), line.stream);
        fprintf(line.stream, "; lost to %s of damage",
                percent(lost, p->index->lost_expected.value));
    }
    return paragraph_close(&line, p->out, p->style, 2, 10);
}

static bool print_loading(const page *p, const coaming_survival_loading *l)
{
    char name[SHOWN], value[SHOWN], part[SHOWN];
    paragraph line;
    if (paragraph_open(&line)) {
        fprintf(line.stream, "%s, counted by %s: ", shown(name, l->id, 30),
                percent(part, l->share));
        for (int state = 0; state < COAMING_ANSWERS; state++)
            fprintf(line.stream, "%s%s %s", state ? ", " : "", index_words(value, l->index[state]),
                    survival_state((coaming_answer)state));
    }
    return paragraph_close(&line, p->out, p->style, 2, 4);
}

static bool print_indexes(const page *p)
{
    size_t loadings = coaming_survival_loading_count(p->v);
    char *required = required_words(p->index);
    bool good = required != NULL;
    ink_on(p->out, p->style, INK_STRONG);
    good = good && print_line(p->out, p->style, 0, 2,
                              "Index of subdivision (1: survives all damage "
                              "that is counted):");
    ink_off(p->out, p->style, INK_STRONG);
    for (int state = 0; good && state < COAMING_ANSWERS; state++)
        good = print_state_index(p, (coaming_answer)state, survival_state((coaming_answer)state));
    good = good && print_expected(p) && print_line(p->out, p->style, 2, 4, "%s.", required);
    for (size_t i = 0; good && loadings > 1 && i < loadings; i++)
        good = print_loading(p, coaming_survival_loading_get(p->v, i));
    free(required);
    return good && print_line(p->out, p->style, 2, 4, "%s", NOT_STATUTORY);
}

/* --- what the difference hangs on --- */

static bool print_closure(const page *p, const coaming_survival_closure *c)
{
    char id[SHOWN], name[SHOWN], standing[SHOWN], value[SHOWN], part[SHOWN];
    const ship_link *l = &p->ship->links[c->closure];
    ink colour = result_ink(coaming_closure_result(p->ship, c->closure));
    paragraph line;
    ink_on(p->out, p->style, colour);
    if (paragraph_open(&line)) {
        fprintf(line.stream, "%s %s: %s; ", shown(id, l->id, 24), shown(name, l->name, 60),
                standing_words(standing, p->ship, c->closure));
        fputs(gain_words(value, c), line.stream);
        if (c->turned > 0)
            fprintf(line.stream, "; lost by it: %s of damage", percent(part, c->turned));
    }
    bool good = paragraph_close(&line, p->out, p->style, 2, 4);
    ink_off(p->out, p->style, colour);
    return good;
}

static bool print_more(const page *p, size_t more, const char *what)
{
    return !more || print_line(p->out, p->style, 2, 4, "and %zu more %s.", more, what);
}

static bool print_hangs_on(const page *p)
{
    size_t all = coaming_survival_closure_count(p->v), count = 0;
    for (size_t i = 0; i < all; i++)
        count += tested_hangs_on(coaming_survival_closure_get(p->v, i));
    size_t most = p->rows->top ? p->rows->top : ROWS, put = 0;
    bool costs = tested_costs(p->index);
    char *words = tested_cost_words(p->index);
    fputc('\n', p->out);
    bool good =
        words && print_line(p->out, p->style, 0, 2, costs ? "%s. It hangs on:" : "%s.", words);
    free(words);
    for (size_t i = 0; costs && good && i < all && put < most; i++) {
        const coaming_survival_closure *c = coaming_survival_closure_get(p->v, i);
        if (!tested_hangs_on(c))
            continue;
        good = print_closure(p, c);
        put++;
    }
    return good &&
           (!costs || print_more(p, count - put, count - put == 1 ? "closure" : "closures"));
}

/* --- as likely as the history says --- */

static bool print_gain(const page *p, const coaming_survival_closure *c)
{
    char id[SHOWN], name[SHOWN], standing[SHOWN], value[SHOWN], limits[SHOWN];
    const ship_link *l = &p->ship->links[c->closure];
    ink colour = result_ink(coaming_closure_result(p->ship, c->closure));
    paragraph line;
    ink_on(p->out, p->style, colour);
    if (paragraph_open(&line)) {
        fprintf(line.stream, "%-6s %s %s: %s", index_words(value, c->index_gain.value),
                shown(id, l->id, 24), shown(name, l->name, 60),
                standing_words(standing, p->ship, c->closure));
        if (c->index_gain.low > 0) /* else it is not sure that anything is won */
            fputs(limit_words(limits, &c->index_gain, 0), line.stream);
    }
    bool good = paragraph_close(&line, p->out, p->style, 2, 9);
    ink_off(p->out, p->style, colour);
    return good;
}

static bool print_gains(const page *p)
{
    char words[SHOWN];
    size_t count = 0, most = p->rows->top ? p->rows->top : ROWS;
    const coaming_survival_closure **list = survival_by_gain(p->v, &count);
    if (!list)
        return false;
    bool good = true;
    if (count) {
        fputc('\n', p->out);
        good = print_line(p->out, p->style, 0, 2, "%s:", gains_words(words, p->index));
    }
    for (size_t i = 0; good && i < count && i < most; i++)
        good = print_gain(p, list[i]);
    good = good && print_more(p, count > most ? count - most : 0,
                              count == most + 1 ? "closure" : "closures");
    memory_free(list);
    return good;
}

static bool print_way(const page *p, const coaming_survival_way *w)
{
    char *words = case_words(p->v, coaming_survival_get(p->v, w->which));
    char value[SHOWN], id[SHOWN];
    bool started = false;
    paragraph line;
    if (words && paragraph_open(&line)) {
        fprintf(line.stream, "%s of damage: %s; ", percent(value, w->probability), words);
        for (size_t i = 0; i < w->closure_count; i++)
            paragraph_item(&line, &started, shown(id, p->ship->links[w->closures[i]].id, 24));
        fputs(w->closure_count > 1 ? " leak. Floods " : " leaks. Floods ", line.stream);
        put_ids(line.stream, p->ship, w->flooded, w->flooded_count);
        fputc('.', line.stream);
    }
    bool good = words && paragraph_close(&line, p->out, p->style, 2, 4);
    free(words);
    return good;
}

static bool print_ways(const page *p)
{
    size_t count = coaming_survival_way_count(p->v);
    size_t most = p->rows->top ? p->rows->top : WAYS;
    bool good = true;
    if (count) {
        fputc('\n', p->out);
        good = print_line(p->out, p->style, 0, 2, LIKELIEST_WAYS ":");
    }
    for (size_t i = 0; good && i < count && i < most; i++)
        good = print_way(p, coaming_survival_way_get(p->v, i));
    return good;
}

/* --- cases --- */

/* "s 1 as built, 0.62 as last tested, 0 if untested closures leak"; once where all are the same. */
static void put_factors(FILE *out, const coaming_survival_case *c)
{
    char value[SHOWN], same[SHOWN];
    bool alike = true;
    index_words(same, c->s[COAMING_AS_BUILT]);
    for (int state = 0; state < COAMING_ANSWERS; state++)
        alike = alike && !strcmp(index_words(value, c->s[state]), same);
    if (alike)
        fprintf(out, "s %s in each state", same);
    for (int state = 0; !alike && state < COAMING_ANSWERS; state++)
        fprintf(out, "%s %s %s", state ? "," : "s", index_words(value, c->s[state]),
                survival_state((coaming_answer)state));
}

static bool print_case(const page *p, size_t which)
{
    const coaming_survival_case *c = coaming_survival_get(p->v, which);
    char *words = case_words(p->v, c), value[SHOWN], id[SHOWN];
    bool started = false;
    paragraph line;
    if (words && paragraph_open(&line)) {
        fprintf(line.stream, "%s of damage: %s; ",
                percent(value, coaming_survival_share(p->v, which)), words);
        put_factors(line.stream, c);
        fputs(". Opens ", line.stream);
        put_ids(line.stream, p->ship, c->opened, c->opened_count);
        if (c->spared_count) {
            fputs("; worst if it spares ", line.stream);
            put_ids(line.stream, p->ship, c->spared, c->spared_count);
        }
        if (c->turned_by_count)
            fputs("; worse by ", line.stream);
        for (size_t i = 0; i < c->turned_by_count; i++)
            paragraph_item(&line, &started, shown(id, p->ship->links[c->turned_by[i]].id, 24));
        fputc('.', line.stream);
    }
    bool good = words && paragraph_close(&line, p->out, p->style, 2, 4);
    free(words);
    return good;
}

static bool print_lost(const page *p, const size_t *order)
{
    size_t count = coaming_survival_count(p->v), lost = 0, put = 0;
    size_t most = p->rows->top ? p->rows->top : ROWS;
    char *words = lost_as_tested_words(p->v, &lost);
    fputc('\n', p->out);
    ink_on(p->out, p->style, lost ? INK_BAD : INK_PLAIN);
    bool good = words && print_line(p->out, p->style, 0, 2, lost ? "%s:" : "%s.", words);
    ink_off(p->out, p->style, lost ? INK_BAD : INK_PLAIN);
    free(words);
    for (size_t i = 0; good && i < count && put < most; i++)
        if (lost_as_tested_only(coaming_survival_get(p->v, order[i]))) {
            good = print_case(p, order[i]);
            put++;
        }
    return good && print_more(p, lost - put, lost - put == 1 ? "case" : "cases");
}

static bool print_table(const page *p, const size_t *order)
{
    size_t count = coaming_survival_count(p->v);
    size_t most = p->rows->top ? p->rows->top : p->rows->all ? count : ROWS;
    fputc('\n', p->out);
    bool good = p->rows->all
                    ? print_line(p->out, p->style, 0, 2, "All %zu cases, from aft:", count)
                    : print_line(p->out, p->style, 0, 2,
                                 "Damage that costs most as last tested, of %zu cases:", count);
    for (size_t i = 0; good && i < count && i < most; i++)
        good = print_case(p, p->rows->all ? i : order[i]);
    return good;
}

static coaming_status text_survival(const page *p, coaming_error *error)
{
    size_t *order = survival_by_cost(p->v);
    bool good = order && print_heading(p->out, p->style, p->rows->outset, SURVIVAL_ASKS) &&
                print_indexes(p) && print_hangs_on(p) && print_gains(p) && print_ways(p) &&
                print_lost(p, order) && print_table(p, order) &&
                print_caution(p->out, p->style, coaming_float_caution());
    memory_free(order);
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_survival(FILE *out, coaming_style style,
                                      const coaming_survival_rows *rows, coaming_error *error)
{
    if (!rows->outset || !rows->survival)
        return outset_missing(error);
    page p = {out,
              style_fit(style),
              coaming_outset_ship(rows->outset),
              rows->survival,
              coaming_survival_get_index(rows->survival),
              rows};
    return style.format != COAMING_TEXT ? json_survival(out, style.format, rows, error)
                                        : text_survival(&p, error);
}
