/* Everything taken for granted that the files do not say, where it was used. */
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/report/reporting.h"
#include "present/tell/late_words.h"
#include "present/tell/level_words.h"

typedef struct {
    bool used, given;
    double a, b; /* life and shape, or sensitivity and specificity */
    size_t closures;
} parameter;

typedef struct {
    parameter ageing[KIND_COUNT];
    parameter method[VISUAL + 1];
    size_t given, no_date; /* closures */
} parameters;

static void note_step(const coaming_ship *ship, const coaming_step *s, parameters *p)
{
    for (int m = 0; s->kind == COAMING_STEP_TEST && m <= VISUAL; m++) {
        if (strcmp(method_words[m], s->what))
            continue;
        p->method[m].used = true;
        p->method[m].a = s->sensitivity;
        p->method[m].b = s->specificity;
        for (size_t i = 0; i < ship->method_count; i++)
            p->method[m].given = p->method[m].given || ship->methods[i].method == (test_method)m;
    }
}

static void note_all(const report *r, parameters *p)
{
    for (size_t i = 0; i < r->ship->closure_count; i++) {
        const coaming_likelihood *l = r->of->likelihoods[i];
        if (r->ship->links[i].leak_probability >= 0) {
            p->given++;
            continue;
        }
        parameter *of = &p->ageing[r->ship->links[i].kind];
        *of = (parameter){true, !l->ageing_assumed, l->eta_years, l->beta, of->closures + 1};
        p->no_date += l->age_assumed;
        for (size_t k = 0; k < l->step_count; k++)
            note_step(r->ship, &l->steps[k], p);
    }
}

static const char *from_where(bool given)
{
    return given ? "the arrangement" : "assumption, no source";
}

static void put_ageing(const report *r, const parameters *p)
{
    size_t used = 0;
    for (int k = 0; k < KIND_COUNT; k++)
        used += p->ageing[k].used;
    if (!used)
        return;
    html_table(r->out, "ageing", "How closures age between tests (Weibull hazard)",
               "Kind|#Closures|#Characteristic life|#Shape|From", used);
    for (int k = 0; k < KIND_COUNT; k++)
        if (p->ageing[k].used)
            markup_put(
                r->out,
                "<tr><th scope=\"row\">%s</th><td class=\"number\">%zu</td><td "
                "class=\"number\">%g years</td><td class=\"number\">%g</td><td>%s</td></tr>\n",
                link_kind_word((link_kind)k), p->ageing[k].closures, p->ageing[k].a, p->ageing[k].b,
                from_where(p->ageing[k].given));
    html_table_end(r->out);
}

static void put_methods(const report *r, const parameters *p)
{
    char finds[SHOWN], passes[SHOWN];
    size_t used = 0;
    for (int m = 0; m <= VISUAL; m++)
        used += p->method[m].used;
    if (!used)
        return;
    html_table(r->out, "methods", "What tests find",
               "Method|#Finds of leaking closures|#Passes of sound ones|From", used);
    for (int m = 0; m <= VISUAL; m++)
        if (p->method[m].used)
            markup_put(r->out,
                       "<tr><th scope=\"row\">%s</th><td class=\"number\">%s</td><td "
                       "class=\"number\">%s</td><td>%s</td></tr>\n",
                       method_words[m], html_percent(finds, p->method[m].a),
                       html_percent(passes, p->method[m].b), from_where(p->method[m].given));
    html_table_end(r->out);
}

/* --- intervals --- */

typedef struct {
    link_kind kind;
    const char *method;
    int days;
    coaming_due_basis basis;
} rule;

static bool same_rule(const rule *a, const rule *b)
{
    return a->kind == b->kind && !strcmp(a->method, b->method) && a->days == b->days &&
           a->basis == b->basis;
}

/* Each interval that any test of the ship goes by, due or not. */
static coaming_status put_intervals(const report *r, coaming_error *error)
{
    const coaming_due *due = r->now->due;
    rule *rules = memory_new(coaming_due_count(due), sizeof *rules);
    size_t count = 0;
    if (!rules)
        return error_memory(error);
    for (size_t i = 0; i < coaming_due_count(due); i++) {
        const coaming_due_row *row = coaming_due_get(due, i);
        rule one = {r->ship->links[row->closure].kind, row->method, row->days, row->basis};
        size_t at = 0;
        while (at < count && !same_rule(&rules[at], &one))
            at++;
        if (at == count && row->basis != COAMING_BASIS_RETEST)
            rules[count++] = one;
    }
    if (count)
        html_table(r->out, "intervals", "How often tests are due", "Kind|Method|#Every|From",
                   count);
    for (size_t i = 0; i < count; i++)
        markup_put(r->out,
                   "<tr><th scope=\"row\">%s</th><td>%s</td><td class=\"number\">%d "
                   "days</td><td>%s</td></tr>\n",
                   link_kind_word(rules[i].kind), rules[i].method, rules[i].days,
                   rules[i].basis == COAMING_BASIS_ARRANGEMENT ? "the arrangement"
                   : rules[i].basis == COAMING_BASIS_SOLAS
                       ? "SOLAS II-1/21 (from memory), " MAY_NOT_BIND
                       : "assumption, no source");
    if (count)
        html_table_end(r->out);
    memory_free(rules);
    return COAMING_OK;
}

/* --- the rest in words --- */

static void put_words(const report *r, const parameters *p)
{
    size_t unplaced = 0;
    for (size_t i = 0; i < r->ship->closure_count; i++)
        unplaced += !r->ship->links[i].clear.given;
    fputs("<ul>\n", r->out);
    markup_put(
        r->out, "<li>Scenarios: %s.</li>\n",
        r->ship->scenario_count
            ? "the arrangement\342\200\231s own, and for a hazard of which it gives none "
              "those assumed: from outside with weight 1, and a start in each space (of "
              "water: each shell space), equal weights that add up to 1"
            : "none are given, so water from outside and bad air from the weather with weight "
              "1 each, and a breach of each shell space and a source of bad air in each "
              "space, equal weights that add up to 1 for each hazard (assumption)");
    if (r->how->level_by_size)
        markup_put(r->out,
                   "<li>She has more than %d spaces: water is counted at " AT_REST ", not "
                   "where she settles (<code>--level equilibrium</code> asks for that).</li>\n",
                   (int)COAMING_REPORT_SETTLED);
    if (p->no_date)
        markup_put(
            r->out,
            "<li>Closures without a date of fitting: %zu, taken as old as the mean of the known "
            "ones of their kind (three or more), else as half a characteristic life.</li>\n",
            p->no_date);
    if (p->given)
        markup_put(r->out,
                   "<li>Closures whose chance of leaking the arrangement gives: %zu.</li>\n",
                   p->given);
    if (unplaced)
        markup_put(r->out,
                   "<li>Closures without an opening: %zu, their lowest edge taken at the higher of "
                   "the two floors.</li>\n",
                   unplaced);
    if (coaming_space_derived_count(r->ship))
        markup_put(r->out,
                   "<li>Spaces whose boxes were worked out from compartment numbers: %zu.</li>\n",
                   coaming_space_derived_count(r->ship));
    fputs("<li>Closures leak independently of each other; a repair does not change how one stands, "
          "and works with the chance that <code>coaming rank --explain</code> "
          "tells.</li>\n<li>Permeabilities that are not given are those of SOLAS II-1/7-3 for "
          "the use of the space.</li>\n</ul>\n",
          r->out);
}

coaming_status report_assumptions(const report *r, coaming_error *error)
{
    parameters p = {0};
    note_all(r, &p);
    fputs("<section aria-labelledby=\"assumptions\">\n<h2 id=\"assumptions\">Assumptions</h2>\n",
          r->out);
    put_words(r, &p);
    put_ageing(r, &p);
    put_methods(r, &p);
    coaming_status status = put_intervals(r, error);
    fputs("</section>\n", r->out);
    return status;
}
