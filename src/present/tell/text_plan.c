#include <math.h>

#include "base/error.h"
#include "present/form/style.h"
#include "present/tell/chance_words.h"
#include "present/tell/float_words.h"
#include "present/tell/heading.h"
#include "present/tell/level_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/survival_words.h"
#include "present/tell/views.h"

/* Hours as given: no one rounds them to nothing, or needs thirty figures. Returns the buffer. */
static const char *hours_words(char buffer[SHOWN], double hours)
{
    if (hours >= 0.001 && hours < 1e6)
        return amount(buffer, hours);
    snprintf(buffer, SHOWN, "%.3g", hours);
    return buffer;
}

/* An amount of what is lost or gained. Returns the buffer. */
static const char *lost_words(char buffer[SHOWN], const coaming_plan_answer *a, double value)
{
    return a->plan->index ? index_words(buffer, value) : amount(buffer, value);
}

/* The same with its unit, for the first of more. */
static const char *lost_in_full(char buffer[SHOWN], const coaming_plan_answer *a, double value)
{
    char number[SHOWN];
    if (!a->plan->index)
        return measured_loss(buffer, a->measure, value);
    snprintf(buffer, SHOWN, "%.100s of the index", index_words(number, value));
    return buffer;
}

static bool print_repair(FILE *out, coaming_style style, const coaming_ship *ship,
                         const coaming_plan_answer *a, size_t place)
{
    const coaming_plan_repair *r = &a->plan->repairs[place];
    char id[SHOWN], name[SHOWN], hours[SHOWN], leaks[SHOWN], gain[SHOWN], alone[SHOWN];
    char by_itself[SHOWN] = "";
    if (a->plan->index)
        snprintf(by_itself, sizeof by_itself, " of the index; alone %.40s",
                 index_words(alone, r->alone));
    return print_line(
        out, style, 2, 6, "%zu. %s %s: %s h, %s likely to leak, gains %s%s", place + 1,
        shown(id, ship->links[r->closure].id, 24), shown(name, ship->links[r->closure].name, 40),
        amount(hours, r->hours), percent(leaks, r->probability),
        a->plan->index ? index_words(gain, r->gain) : measured(gain, a->measure, r->gain),
        by_itself);
}

/* How the plan was found. */
static const char *found_words(const coaming_plan *p)
{
    return p->none_fits      ? "no repair fits"
           : p->exhaustive   ? "every set that fits was tried"
           : p->repair_count ? "found step by step and by exchanges, not proved best"
                             : "not every set that fits was tried";
}

static bool print_loss_head(FILE *out, coaming_style style, const coaming_plan_answer *a)
{
    const coaming_plan *p = a->plan;
    char asked[SHOWN], taken[SHOWN], before[SHOWN], after[SHOWN], bound[SHOWN], error[SHOWN];
    char limit[SHOWN];
    bool limited = !p->exhaustive && p->repair_count;
    bool good =
        print_line(out, style, 0, 2, "Expected loss %s now, %s with these repairs: %s of %s hours.",
                   measured_loss(before, a->measure, p->expected), amount(after, p->after),
                   amount(taken, p->hours), hours_words(asked, a->hours));
    if (good && risk_plane_words(a->query))
        good = print_line(out, style, 0, 2, "%s, and so is all that is lost or gained here.",
                          risk_plane_words(a->query));
    good = good && print_line(out, style, 0, 2,
                              "Repairing everything that has hours would gain %s; this gains %s "
                              "(%s%s%s%s).",
                              amount(bound, p->bound), amount(after, p->expected - p->after),
                              found_words(p), limited ? "; no set that fits gains more than " : "",
                              limited ? amount(limit, p->gain_limit) : "",
                              limited && !p->exact ? ", as far as sampled" : "");
    if (good && p->limit >= 0)
        good = print_line(out, style, 0, 2,
                          "Sampled: the expected loss was the same in all samples; with 95 %% "
                          "confidence it is at most %s.",
                          amount(error, p->limit));
    else if (good && !p->exact)
        good = print_line(out, style, 0, 2, "Sampled: standard error of the expected loss %s.",
                          amount(error, p->error));
    return good;
}

/* "; by samples, standard error 0.01"; or nothing. */
static const char *gain_error_words(char buffer[SHOWN], const coaming_plan *p)
{
    char error[SHOWN];
    *buffer = '\0';
    if (p->index->gain_error > 0)
        snprintf(buffer, SHOWN, "; by samples, standard error %.40s",
                 index_words(error, p->index->gain_error));
    return buffer;
}

#define EVENS_HER_OUT " Some repairs take away water that evens her out."

/* Would everything gain less than the plan, by more than samples leave open? */
static bool costs(const coaming_plan *p)
{
    double more = p->expected - p->after - p->bound;
    return more > 1e-9 && more > 2 * p->index->gain_error;
}

static bool print_index_head(FILE *out, coaming_style style, const coaming_plan_answer *a)
{
    const coaming_plan *p = a->plan;
    char asked[SHOWN], taken[SHOWN], now[SHOWN], open_now[SHOWN], after[SHOWN], open_after[SHOWN];
    char bound[SHOWN], gain[SHOWN], doubt[SHOWN];
    bool good = print_line(out, style, 0, 2,
                           "Index of subdivision " SURVIVAL_EXPECTED
                           " %s now%s; %s with these repairs%s: %s of %s hours.",
                           index_words(now, p->index->now.value),
                           limit_words(open_now, &p->index->now, p->index->now_error),
                           index_words(after, p->index->after.value),
                           limit_words(open_after, &p->index->after, 0), amount(taken, p->hours),
                           hours_words(asked, a->hours));
    return good &&
           print_line(out, style, 0, 2,
                      "Repairing everything that has hours would %s %s; this gains %s (%s%s).%s",
                      p->bound < 0 ? "cost" : "gain", index_words(bound, fabs(p->bound)),
                      index_words(gain, p->expected - p->after), found_words(p),
                      gain_error_words(doubt, p), costs(p) ? EVENS_HER_OUT : "");
}

static bool print_plan_head(FILE *out, coaming_style style, const coaming_plan_answer *a)
{
    return a->plan->index ? print_index_head(out, style, a) : print_loss_head(out, style, a);
}

/* "M1 (FAILED 2026-05-03, 1 h)" */
static void put_lost(paragraph *line, bool *started, const coaming_ship *ship, int closure)
{
    char id[SHOWN], stands[SHOWN], number[SHOWN], item[3 * SHOWN];
    double hours = ship->links[closure].hours;
    snprintf(item, sizeof item, "%.100s (%.40s, %.40s%s)", shown(id, ship->links[closure].id, 24),
             standing_brief(stands, ship, closure),
             hours >= 0 ? amount(number, hours) : "no hours given", hours >= 0 ? " h" : "");
    paragraph_item(line, started, item);
}

/* As a plan counts hours: what takes none to speak of takes somebody there (plan.h). */
static bool fits_into(double left, double hours)
{
    return fmax(hours, 0.05) <= left + 1e-9;
}

/* From which repair on the samples tell nothing. */
static bool print_doubt(FILE *out, coaming_style style, const coaming_plan *p)
{
    char gain[SHOWN], error[SHOWN], from[40] = "All of them";
    const coaming_plan_index *x = p->index;
    if (!x || x->told == p->repair_count)
        return true;
    if (x->told)
        snprintf(from, sizeof from, "Those from %zu on", x->told + 1);
    return print_line(
        out, style, 2, 2,
        "%s gain %s of the index together, which the samples do not tell from nothing "
        "(standard error %s).",
        from, index_words(gain, x->rest_gain), index_words(error, x->rest_error));
}

/* What stands failed and is not in the plan: what would fit into the hours left, or what would not. */
static bool print_failed(FILE *out, coaming_style style, const coaming_ship *ship,
                         const coaming_plan_answer *a, bool fits)
{
    enum { FAILED_MOST = 10 };
    const coaming_plan *p = a->plan;
    size_t count = 0;
    bool started = false;
    paragraph line;
    if (paragraph_open(&line))
        fprintf(line.stream, "Not among these, for %s: ",
                !fits      ? "there are not the hours"
                : p->exact ? "they win nothing of the index"
                           : "they win nothing of the index that could be told");
    for (int i = 0; i < (int)ship->closure_count; i++)
        if (plan_leaves_failed(ship, p, i) &&
            fits == fits_into(a->hours - p->hours, ship->links[i].hours) && count++ < FAILED_MOST)
            put_lost(&line, &started, ship, i);
    if (started && count > FAILED_MOST)
        fprintf(line.stream, ", %zu more", count - FAILED_MOST);
    if (started)
        fputs("; still to be made good.", line.stream);
    return paragraph_close_list(&line, started, out, style, 0, 2);
}

static bool print_left_out(FILE *out, coaming_style style, const coaming_ship *ship,
                           const coaming_plan_answer *a)
{
    bool any = false;
    for (int i = 0; i < (int)ship->closure_count; i++)
        any = any || plan_leaves_failed(ship, a->plan, i);
    if (any)
        fputc('\n', out);
    ink_on(out, style, INK_BAD);
    bool good = print_failed(out, style, ship, a, true) && print_failed(out, style, ship, a, false);
    ink_off(out, style, INK_BAD);
    return good;
}

/* What may cost the ship and is not in the plan. */
static bool print_lost(FILE *out, coaming_style style, const coaming_ship *ship,
                       const coaming_plan_answer *a)
{
    bool started = false;
    paragraph line;
    if (a->plan->index)
        return print_left_out(out, style, ship, a);
    if (!a->ranking)
        return !settles_with_her(a->query) ||
               print_line(out, style, 0, 2,
                          "She has more than %d spaces: with which of the rest failed " NOT_AFLOAT
                          " was not worked out ('coaming rank' does).",
                          COAMING_PLAN_SETTLED);
    if (paragraph_open(&line))
        fputs("Not among these" THOUGH_NOT_AFLOAT ": ", line.stream);
    for (size_t i = 0; i < coaming_ranking_count(a->ranking); i++) {
        const coaming_rank *row = coaming_ranking_get(a->ranking, i);
        if (plan_leaves_to_be_lost(ship, a->plan, row))
            put_lost(&line, &started, ship, row->closure);
    }
    if (started)
        fputc('\n', out);
    ink_on(out, style, INK_BAD);
    bool good = paragraph_close_list(&line, started, out, style, 0, 2);
    ink_off(out, style, INK_BAD);
    return good;
}

static bool print_tests(FILE *out, coaming_style style, const coaming_ship *ship,
                        const coaming_plan_answer *a)
{
    const coaming_plan *p = a->plan;
    enum { TESTS_MOST = 5 };
    char id[SHOWN], item[2 * SHOWN], value[SHOWN], fails[SHOWN];
    bool started = false;
    paragraph line;
    if (paragraph_open(&line))
        fputs("Tests that would teach most, with what knowing the result is worth: ", line.stream);
    for (size_t i = 0; i < p->test_count && i < TESTS_MOST; i++) {
        const coaming_plan_test *t = &p->tests[i];
        snprintf(item, sizeof item, "%.100s by %s %.100s (%.100s likely to fail)",
                 shown(id, ship->links[t->closure].id, 24), t->method,
                 i ? lost_words(value, a, t->value) : lost_in_full(value, a, t->value),
                 percent(fails, t->fails));
        paragraph_item(&line, &started, item);
    }
    return paragraph_close_list(&line, started, out, style, 0, 2);
}

/* "16.94 to 22.28 worth", or the index then. Returns the buffer. */
static const char *dated_words(char buffer[SHOWN], const coaming_plan_answer *a,
                               const coaming_plan_date *d, bool first)
{
    char young[SHOWN], old[SHOWN];
    if (a->plan->index) {
        index_words(young, 1 - d->expected_youngest);
        index_words(old, 1 - d->expected_oldest);
    } else {
        amount(young, d->expected_youngest);
        if (first)
            measured_loss(old, a->measure, d->expected_oldest);
        else
            amount(old, d->expected_oldest);
    }
    snprintf(buffer, SHOWN, "%.60s to %.100s", young, old);
    return buffer;
}

/* Of how many closures the age is assumed, and what their dates would change. */
static bool print_dates(FILE *out, coaming_style style, const coaming_ship *ship,
                        const coaming_plan_answer *a)
{
    const coaming_plan *p = a->plan;
    enum { DATES_MOST = 5 };
    char id[SHOWN], item[3 * SHOWN], low[SHOWN], then[SHOWN], young[SHOWN], old[SHOWN];
    const char *lost = p->index ? "index" : "expected loss";
    bool started = false;
    paragraph line;
    if (!p->assumed_age_count || !paragraph_open(&line))
        return !p->assumed_age_count;
    fprintf(line.stream, "Of %s the age of the gasket is not known and is assumed",
            counted(low, (double)p->assumed_age_count, "closure", "closures"));
    fprintf(line.stream,
            p->date_count ? ". Dates that would change most, with the %s were the gasket as young "
                            "and as old as is plausible: "
                          : "; no date of theirs would change the %s.",
            lost);
    for (size_t i = 0; i < p->date_count && i < DATES_MOST; i++) {
        const coaming_plan_date *d = &p->dates[i];
        snprintf(item, sizeof item, "%.100s %.180s (%.100s to %.100s years)",
                 shown(id, ship->links[d->closure].id, 24), dated_words(then, a, d, i == 0),
                 amount(young, d->youngest), amount(old, d->oldest));
        paragraph_item(&line, &started, item);
    }
    return paragraph_close(&line, out, style, 0, 2);
}

static bool print_without_hours(FILE *out, coaming_style style, const coaming_ship *ship,
                                const coaming_plan *p)
{
    char id[SHOWN];
    bool started = false;
    paragraph line;
    if (paragraph_open(&line))
        fputs("Left out, for the arrangement gives them no hours: ", line.stream);
    for (size_t i = 0; i < p->without_hours_count; i++)
        paragraph_item(&line, &started, shown(id, ship->links[p->without_hours[i]].id, 24));
    return paragraph_close_list(&line, started, out, style, 0, 2);
}

/* What is taken to be so. */
static bool print_taken(FILE *out, coaming_style style, const coaming_plan *p)
{
    char least[SHOWN], most[SHOWN];
    double low = 1, high = 0;
    paragraph line;
    for (size_t i = 0; i < p->repair_count; i++) {
        low = fmin(low, p->repairs[i].success);
        high = fmax(high, p->repairs[i].success);
    }
    if (!paragraph_open(&line))
        return false;
    fputs(
        "A repair is taken to work with a chance only, that of the least sure one that its kind of "
        "closure may need",
        line.stream);
    if (p->repair_count) {
        fprintf(line.stream, ": here %s", percent(least, low));
        if (high > low)
            fprintf(line.stream, " to %s", percent(most, high));
        fputs(p->repairs_assumed ? ", assumed" : "", line.stream);
    }
    fputs(". Closures are taken to leak each for itself; 'coaming rank --explain' shows what is "
          "assumed of ageing and tests.",
          line.stream);
    return paragraph_close(&line, out, style, 0, 2);
}

static const char *without_repairs(const coaming_plan *p)
{
    if (!p->none_fits)
        return "No repair that fits gains anything";
    return p->index && p->bound == 0 && !p->without_hours_count
               ? "The index hangs on no closure that may leak and could be repaired"
               : "No repair fits into these hours";
}

static coaming_status text_plan(FILE *out, coaming_style style, const coaming_ship *ship,
                                const coaming_plan_answer *a, coaming_error *error)
{
    const coaming_plan *p = a->plan;
    bool good = print_heading(out, style, a->outset, "which repairs to make in the hours given") &&
                print_plan_head(out, style, a);
    fputc('\n', out);
    if (!p->repair_count)
        good = good && print_line(out, style, 2, 4, "%s.", without_repairs(p));
    for (size_t i = 0; i < p->repair_count && good; i++)
        good = print_repair(out, style, ship, a, i);
    good = good && print_doubt(out, style, p) && print_lost(out, style, ship, a);
    if (p->test_count || p->without_hours_count || p->assumed_age_count)
        fputc('\n', out);
    good = good && print_tests(out, style, ship, a) && print_dates(out, style, ship, a) &&
           print_without_hours(out, style, ship, p);
    good = good && print_taken(out, style, p) &&
           print_caution(out, style, coaming_caution_at(a->query.level));
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_plan(FILE *out, coaming_style style, const coaming_ship *ship,
                                  const coaming_plan_answer *answer, coaming_error *error)
{
    if (!answer->outset)
        return outset_missing(error);
    return style.format != COAMING_TEXT ? json_plan(out, style.format, ship, answer, error)
                                        : text_plan(out, style_fit(style), ship, answer, error);
}
