#include "coaming/due.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "ship/rules.h"
#include "ship/ship.h"

struct coaming_due {
    const coaming_ship *ship;
    coaming_due_row *rows; /* growing */
    size_t count, capacity;
    bool memory_lost;
    bool weighed;
    coaming_query query; /* it was weighed by */
    coaming_measure measure;
};

const char *coaming_due_reason_word(coaming_due_reason reason)
{
    static const char *const words[] = {"interval", "never", "failed", "repaired"};
    return words[reason];
}

const char *coaming_due_basis_word(coaming_due_basis basis)
{
    static const char *const words[] = {"arrangement", "SOLAS II-1/21", "assumption", "retest"};
    return words[basis];
}

/* Does a test by `method` count for a rule? */
static bool counts(const test_rule *r, test_method method)
{
    if (r->method == VISUAL || method == r->method)
        return true;
    return r->basis == COAMING_BASIS_ASSUMED && r->method == CHALK && method != VISUAL;
}

/* Minutes that a test takes where the arrangement does not say: assumptions, no source. */
static double usual_minutes(test_method method)
{
    static const double minutes[] = {15, 30, 30, 10, 10, 30, 2}; /* in the order of METHODS */
    return minutes[method];
}

/* Rows. */

static const ship_event *last_by(const ship_link *l, const test_rule *r)
{
    for (size_t i = l->event_count; i-- > 0;)
        if (l->events[i].kind == EVENT_TEST && counts(r, l->events[i].method))
            return &l->events[i];
    return NULL;
}

static void add_row(coaming_due *d, int closure, const test_rule *r, coaming_due_row row)
{
    if (!MEMORY_ROOM(d->rows, d->count, d->capacity)) {
        d->memory_lost = true;
        return;
    }
    row.closure = closure;
    row.method = method_words[r->method];
    row.days = r->days;
    row.basis = r->basis;
    row.minutes_given = r->minutes >= 0;
    row.minutes = row.minutes_given ? r->minutes : usual_minutes(r->method);
    row.overdue = row.due == COAMING_NO_DATE || row.due < d->ship->as_of;
    row.late = row.due == COAMING_NO_DATE ? 0 : d->ship->as_of - row.due;
    row.consequence = row.urgency = NAN;
    d->rows[d->count++] = row;
}

static void add_interval(coaming_due *d, int closure, const test_rule *r)
{
    const ship_event *last = last_by(&d->ship->links[closure], r);
    coaming_due_row row = {
        .reason = COAMING_DUE_NEVER, .last = COAMING_NO_DATE, .due = COAMING_NO_DATE};
    if (last) {
        row.reason = COAMING_DUE_INTERVAL;
        row.last = last->date;
        row.due = last->date + r->days;
    }
    add_row(d, closure, r, row);
}

/* After a failure or a repair: by the method of the test that decides how it stands, else of its
 * last test, else by what is usual for its kind. True if there is one. */
static bool add_retest(coaming_due *d, int closure, const test_rule *rules, size_t count,
                       test_method *method)
{
    const ship_link *l = &d->ship->links[closure];
    const ship_event *test = l->decided ? l->decided : l->last_test;
    if (l->result != COAMING_FAIL && !l->repair_since)
        return false;
    const ship_event *from = l->repair_from ? l->repair_from : test;
    bool seen = l->seen[COAMING_SEEN_FAILED]; /* no test, so that today is all that is known */
    test_rule r = {rules->method, 0, COAMING_BASIS_RETEST, -1};
    if (test)
        r.method = test->method;
    else
        usual_method(d->ship, l, &r.method);
    for (size_t i = 0; i < count; i++)
        if (rules[i].method == r.method)
            r.minutes = rules[i].minutes;
    coaming_due_row row = {.reason = l->repair_since ? COAMING_DUE_REPAIRED : COAMING_DUE_FAILED,
                           .last = test ? test->date : COAMING_NO_DATE,
                           .due = seen   ? d->ship->as_of
                                  : from ? from->date
                                         : COAMING_NO_DATE};
    add_row(d, closure, &r, row);
    *method = r.method;
    return true;
}

static void add_closure(coaming_due *d, int closure)
{
    const ship_link *l = &d->ship->links[closure];
    test_rule rules[TEST_RULES_MOST];
    test_method retest = CHALK;
    size_t count = test_rules(d->ship, l, rules);
    if (!count)
        return;
    bool again = add_retest(d, closure, rules, count, &retest);
    for (size_t i = 0; i < count; i++)
        if (!again || rules[i].method != retest)
            add_interval(d, closure, &rules[i]);
}

/* Order. */

static int by_date(const void *left, const void *right)
{
    const coaming_due_row *a = left, *b = right;
    if (a->due != b->due)
        return a->due < b->due ? -1 : 1; /* COAMING_NO_DATE is the least: never tested */
    if (a->closure != b->closure)
        return a->closure < b->closure ? -1 : 1;
    return strcmp(a->method, b->method);
}

static int by_urgency(const void *left, const void *right)
{
    const coaming_due_row *a = left, *b = right;
    if (a->overdue != b->overdue)
        return a->overdue ? -1 : 1;
    if (a->urgency != b->urgency)
        return a->urgency > b->urgency ? -1 : 1;
    return by_date(left, right);
}

coaming_status coaming_due_new(const coaming_ship *ship, coaming_due **due, coaming_error *error)
{
    coaming_due *d = memory_new(1, sizeof *d);
    if (!d)
        return error_memory(error);
    d->ship = ship;
    for (size_t i = 0; i < ship->closure_count; i++)
        add_closure(d, (int)i);
    if (d->memory_lost) {
        coaming_due_free(d);
        return error_memory(error);
    }
    if (d->count)
        qsort(d->rows, d->count, sizeof *d->rows, by_date);
    *due = d;
    return COAMING_OK;
}

void coaming_due_free(coaming_due *due)
{
    if (!due)
        return;
    memory_free(due->rows);
    memory_free(due);
}

bool coaming_due_unproved(const coaming_due *due, int closure)
{
    const ship_link *l = &due->ship->links[closure];
    test_method method;
    return l->rating != NONTIGHT && l->result == COAMING_UNTESTED &&
           !usual_method(due->ship, l, &method);
}

/* Intervals gone by since the last test. */
static double gone_by(const coaming_due *d, const coaming_due_row *row)
{
    static const double UNKNOWN = 2; /* assumption, no source */
    if (row->reason != COAMING_DUE_INTERVAL)
        return UNKNOWN;
    return (double)(d->ship->as_of - row->last) / row->days;
}

coaming_status coaming_due_weigh(coaming_due *due, coaming_query query, coaming_measure measure,
                                 coaming_error *error)
{
    coaming_ranking *k = NULL;
    double *consequence = memory_new(due->ship->closure_count, sizeof *consequence);
    if (!consequence)
        return error_memory(error);
    coaming_status status = coaming_ranking_new(due->ship, query, measure, &k, error);
    if (status == COAMING_OK) {
        for (size_t i = 0; i < coaming_ranking_count(k); i++) {
            const coaming_rank *r = coaming_ranking_get(k, i);
            consequence[r->closure] = r->consequence;
        }
        for (size_t i = 0; i < due->count; i++) {
            coaming_due_row *row = &due->rows[i];
            row->consequence = consequence[row->closure];
            row->urgency = row->consequence * gone_by(due, row);
        }
        if (due->count)
            qsort(due->rows, due->count, sizeof *due->rows, by_urgency);
    }
    coaming_ranking_free(k);
    memory_free(consequence);
    if (status == COAMING_OK) {
        due->weighed = true;
        due->query = query;
        due->measure = measure;
    }
    return status;
}

bool coaming_due_weighed(const coaming_due *due, coaming_query *query, coaming_measure *measure)
{
    *query = due->query;
    *measure = due->measure;
    return due->weighed;
}

void coaming_due_within(coaming_due *due, int days)
{
    size_t kept = 0;
    for (size_t i = 0; i < due->count; i++)
        if (due->rows[i].overdue || due->rows[i].due - due->ship->as_of <= days)
            due->rows[kept++] = due->rows[i];
    due->count = kept;
}

size_t coaming_due_count(const coaming_due *due)
{
    return due->count;
}

const coaming_due_row *coaming_due_get(const coaming_due *due, size_t index)
{
    return &due->rows[index];
}

size_t coaming_due_overdue_count(const coaming_due *due)
{
    size_t overdue = 0;
    for (size_t i = 0; i < due->count; i++)
        overdue += due->rows[i].overdue;
    return overdue;
}
