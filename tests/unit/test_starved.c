/*
 * Every place of the program that asks for memory is refused it in turn, pieces of arenas too, at its
 * first call, at its last and at some between: each analysis says so, and leaves nothing behind
 * (the full tier runs this under sanitizers). test_memory and others refuse one of so many
 * allocations, and all that come after it; this finds those that are one of thousands, that a block of an
 * arena hides, and whose want is passed over in silence.
 */
#include <math.h>
#include <stdlib.h>

#include "analyse/plan/planner.h"
#include "graph/graph.h"
#include "runner.h"
#include "ships.h"
#include "starved.h"

/* --- who asks --- */

enum { ASKED_MOST = 1 << 20 };

static const void *places[ASKED_MOST];
static size_t refused; /* this one */
static bool and_after; /* and all after it */
static bool spared;    /* it can be gone without */

static bool note(size_t number, const void *place)
{
    if (number <= ASKED_MOST)
        places[number - 1] = place;
    return false;
}

static bool refuse(size_t number, const void *place)
{
    if (number == refused)
        spared = !place;
    return number == refused || (and_after && number > refused);
}

static int by_place(const void *left, const void *right)
{
    size_t a = *(const size_t *)left, b = *(const size_t *)right;
    if (places[a] != places[b])
        return (uintptr_t)places[a] < (uintptr_t)places[b] ? -1 : 1;
    return a < b ? -1 : a > b;
}

/* Of the calls of one place the first, the last and so many between; how many are left. */
static size_t thin_out(size_t *numbers, size_t count)
{
    const char *asked = getenv("COAMING_STARVED_BETWEEN");
    size_t kept = 0, most = 2 + (asked ? strtoul(asked, NULL, 10) : 1);
    for (size_t from = 0, to; from < count; from = to) {
        for (to = from; to < count && places[numbers[to]] == places[numbers[from]];)
            to++;
        size_t wanted = to - from < most ? to - from : most, last = to - from - 1;
        for (size_t i = 0; i < wanted; i++)
            numbers[kept++] = numbers[from + (wanted > 1 ? i * last / (wanted - 1) : 0)];
    }
    return kept;
}

typedef coaming_status (*question)(coaming_ship *ship);

/* The numbers of those that are to be refused. */
static size_t *choose(coaming_ship *ship, question ask, size_t *count)
{
    memory_watch(note);
    memory_fail_at(0);
    ck_assert_int_eq(ask(ship), COAMING_OK);
    size_t all = memory_asked();
    memory_watch(NULL);
    CLAIM(all > 10 && all <= ASKED_MOST, "%zu allocations", all);
    size_t *numbers = calloc(all, sizeof *numbers);
    for (size_t i = 0; i < all; i++)
        numbers[i] = i;
    qsort(numbers, all, sizeof *numbers, by_place);
    *count = thin_out(numbers, all);
    return numbers;
}

/* Each of them refused alone: what is not told then is taken for an answer. Who can go without does. */
static void starve(coaming_ship *ship, question ask)
{
    size_t count;
    size_t *numbers = choose(ship, ask, &count);
    for (size_t i = 0; i < count; i++) {
        refused = numbers[i] + 1;
        spared = false;
        memory_watch(refuse);
        memory_fail_at(0);
        coaming_status status = ask(ship);
        memory_watch(NULL);
        CLAIM(spared && !and_after ? status == COAMING_OK : told(status, refused),
              "allocation %zu: %d", refused, (int)status);
        CLAIM(graph_left_over() == 0, "allocation %zu leaves a graph", refused);
    }
    free(numbers);
}

/* --- the questions --- */

static coaming_status exposures(coaming_ship *ship, coaming_query query)
{
    coaming_exposure *e = NULL;
    coaming_error error;
    coaming_exposure_row row;
    const coaming_border *border;
    size_t chosen, count;
    coaming_status status = coaming_exposure_new(ship, query, NULL, 0, &e, &error);
    size_t rows = status == COAMING_OK ? coaming_exposure_row_count(e) : 0;
    for (size_t i = 0; i < rows && status == COAMING_OK; i++) {
        status = coaming_exposure_row_get(e, i, &row, &error);
        if (status == COAMING_OK)
            status = coaming_exposure_border(e, &border, &count, &error);
    }
    if (status == COAMING_OK)
        status = coaming_exposure_choose(e, 0, NULL, &chosen, &error);
    coaming_exposure_free(e);
    return status;
}

static coaming_status ask_exposures(coaming_ship *ship)
{
    coaming_status status = exposures(ship, coaming_query_default());
    return status == COAMING_OK ? exposures(ship, at_equilibrium()) : status;
}

static coaming_status rank(coaming_ship *ship, coaming_query query, coaming_measure measure)
{
    coaming_ranking *ranking = NULL;
    coaming_error error;
    coaming_status status = coaming_ranking_new(ship, query, measure, &ranking, &error);
    coaming_ranking_free(ranking);
    return status;
}

static coaming_status ask_ranking(coaming_ship *ship)
{
    coaming_status status = rank(ship, coaming_query_default(), COAMING_MEASURE_WORTH);
    return status == COAMING_OK ? rank(ship, at_equilibrium(), COAMING_MEASURE_GM) : status;
}

static coaming_status risk(coaming_ship *ship, coaming_query query, coaming_risk_method method)
{
    coaming_risk *risk = NULL;
    coaming_error error;
    coaming_risk_options how = coaming_risk_options_default();
    how.method = method;
    how.samples = 500;
    how.settlings = 10;
    coaming_status status =
        coaming_risk_new(ship, query, COAMING_MEASURE_WORTH, NULL, &how, &risk, &error);
    coaming_risk_free(risk);
    return status;
}

static coaming_status ask_risk(coaming_ship *ship)
{
    coaming_status status = COAMING_OK;
    for (int m = 0; m < COAMING_RISK_METHODS && status == COAMING_OK; m++)
        status = risk(ship, coaming_query_default(), (coaming_risk_method)m);
    return status;
}

static coaming_status ask_settled_risk(coaming_ship *ship)
{
    return risk(ship, at_equilibrium(), coaming_risk_options_default().method);
}

static coaming_status plan(coaming_ship *ship, int exhaustive)
{
    coaming_plan *plan = NULL;
    coaming_error error;
    coaming_status status = plan_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH, 8, NULL,
                                     exhaustive, &plan, &error);
    coaming_plan_free(plan);
    return status;
}

static coaming_status ask_plan(coaming_ship *ship)
{
    coaming_status status = plan(ship, COAMING_PLAN_EXHAUSTIVE);
    return status == COAMING_OK ? plan(ship, -1) : status;
}

/* One thread, so that the same allocations are asked for each time. */
static coaming_status ask_plan_by_index(coaming_ship *ship)
{
    coaming_survival_options how = coaming_survival_options_default();
    coaming_error error;
    coaming_status status = COAMING_OK;
    how.work = 60;
    for (int way = 0; way < 2 && status == COAMING_OK; way++) {
        coaming_plan *plan = NULL;
        status = plan_survival(ship, &how, 9, way ? -1 : COAMING_PLAN_EXHAUSTIVE, 1, &plan, &error);
        coaming_plan_free(plan);
    }
    return status;
}

static coaming_status ask_survival(coaming_ship *ship)
{
    coaming_survival *survival = NULL;
    coaming_survival_options how = coaming_survival_options_default();
    coaming_error error;
    how.work = 60;
    coaming_status status = coaming_survival_new(ship, &how, &survival, &error);
    coaming_survival_free(survival);
    return status;
}

/* In two shares, put together. */
static coaming_status ask_survival_in_parts(coaming_ship *ship)
{
    coaming_survival *shares[2] = {NULL}, *all = NULL;
    coaming_survival_part parts[2];
    coaming_survival_options how = coaming_survival_options_default();
    coaming_error error;
    coaming_status status = COAMING_OK;
    how.expected = false;
    for (unsigned i = 0; i < 2 && status == COAMING_OK; i++) {
        status = coaming_survival_new_share(ship, &how, i + 1, 2, &shares[i], &error);
        if (status == COAMING_OK)
            parts[i] = coaming_survival_get_part(shares[i]);
    }
    if (status == COAMING_OK)
        status = coaming_survival_new_from_parts(ship, &how, parts, 2, &all, &error);
    for (int i = 0; i < 2; i++)
        coaming_survival_free(shares[i]);
    coaming_survival_free(all);
    return status;
}

static coaming_status ask_breaches(coaming_ship *ship)
{
    coaming_breaches *breaches = NULL;
    coaming_error error;
    coaming_status status = coaming_breaches_new(ship, at_equilibrium(), &breaches, &error);
    coaming_breaches_free(breaches);
    return status;
}

static coaming_status ask_report(coaming_ship *ship)
{
    coaming_report *report = NULL;
    coaming_report_options how = coaming_report_options_default();
    coaming_error error;
    coaming_status status = coaming_report_new(ship, &how, &report, &error);
    coaming_report_free(report);
    return status;
}

static coaming_status hold(coaming_ship *ship, coaming_query query, bool nested)
{
    coaming_hold *hold = NULL;
    coaming_error error;
    coaming_status status = nested ? coaming_hold_nested_new(ship, query, 2, &hold, &error)
                                   : coaming_hold_new(ship, query, 2, NULL, 0, &hold, &error);
    coaming_hold_free(hold);
    return status;
}

static coaming_status ask_hold(coaming_ship *ship)
{
    coaming_status status = COAMING_OK;
    for (int way = 0; way < 4 && status == COAMING_OK; way++)
        status = hold(ship, way & 1 ? at_equilibrium() : coaming_query_default(), way & 2);
    return status;
}

static coaming_status ask_casualty(coaming_ship *ship)
{
    const coaming_place sources[] = {1, 2};
    coaming_casualty *casualty = NULL;
    coaming_error error;
    coaming_status status = COAMING_OK;
    for (int settled = 0; settled < 2 && status == COAMING_OK; settled++) {
        coaming_query query = settled ? at_equilibrium() : coaming_query_default();
        status = coaming_casualty_new(ship, query, COAMING_MEASURE_VOLUME, sources, 2, &casualty,
                                      &error);
        coaming_casualty_free(casualty);
        casualty = NULL;
    }
    return status;
}

static coaming_status ask_boundary(coaming_ship *ship)
{
    const int spaces[] = {1, 2};
    coaming_boundary *boundary = NULL;
    coaming_round_options walk = coaming_round_options_default();
    coaming_error error;
    coaming_status status = COAMING_OK;
    for (int settled = 0; settled < 2 && status == COAMING_OK; settled++) {
        coaming_query query = settled ? at_equilibrium() : coaming_query_default();
        status = coaming_boundary_new(ship, query, spaces, 2, &walk, &boundary, &error);
        coaming_boundary_free(boundary);
        boundary = NULL;
    }
    return status;
}

static coaming_status ask_flood(coaming_ship *ship)
{
    const coaming_flood_breach hole = {2, 0.05, NAN};
    const coaming_flood_inflow main = {1, 0.01};
    const coaming_flood_change changes[] = {
        {30, COAMING_FLOOD_SHUT, 1}, {40, COAMING_FLOOD_OPEN, 4}, {50, COAMING_FLOOD_PUMP_ON, 0}};
    coaming_flood_ask ask = coaming_flood_ask_default();
    coaming_flood *flood = NULL;
    coaming_error error;
    ask.breaches = &hole;
    ask.inflows = &main;
    ask.breach_count = ask.inflow_count = 1;
    ask.changes = changes;
    ask.change_count = 3;
    ask.until = 120;
    ask.every = 30;
    coaming_status status = coaming_flood_new(ship, &ask, &flood, &error);
    coaming_flood_free(flood);
    return status;
}

static coaming_status ask_deadlines(coaming_ship *ship)
{
    const coaming_flood_breach hole = {2, 1, NAN};
    const coaming_flood_change change = {2, COAMING_FLOOD_OPEN, 1};
    coaming_flood_ask ask = coaming_flood_ask_default();
    coaming_flood_deadlines *deadlines = NULL;
    coaming_flood_likely *likely = NULL;
    coaming_error error;
    ask.breaches = &hole;
    ask.changes = &change;
    ask.breach_count = ask.change_count = 1;
    ask.until = 20;
    ask.grades = false;
    coaming_status status = coaming_flood_deadlines_new(ship, &ask, &deadlines, &error);
    if (status == COAMING_OK)
        status = coaming_flood_likely_new(ship, &ask, 3, 1, &likely, &error);
    coaming_flood_likely_free(likely);
    coaming_flood_deadlines_free(deadlines);
    return status;
}

static coaming_status ask_air(coaming_ship *ship)
{
    const coaming_air_source source = {1, COAMING_AGENT_CO, 0.5};
    const coaming_air_change change = {60, COAMING_AIR_CHANGE_OPEN, 1};
    coaming_air_options how = coaming_air_options_default();
    coaming_air *air = NULL;
    coaming_error error;
    how.sources = &source;
    how.changes = &change;
    how.source_count = how.change_count = 1;
    how.by_when = true;
    how.until = 600;
    how.every = 300;
    coaming_status status = coaming_air_new(ship, &how, &air, &error);
    coaming_air_free(air);
    return status;
}

static coaming_status ask_round(coaming_ship *ship)
{
    const int some[] = {0, 1, 4};
    coaming_round_options walk = coaming_round_options_default();
    coaming_round *round = NULL;
    coaming_due *due = NULL;
    coaming_readings *readings = NULL;
    coaming_history *history = NULL;
    coaming_error error;
    coaming_status status = coaming_due_new(ship, &due, &error);
    if (status == COAMING_OK)
        status = coaming_due_weigh(due, coaming_query_default(), COAMING_MEASURE_WORTH, &error);
    if (status == COAMING_OK)
        status = coaming_round_new(ship, &walk, some, 3, &round, &error);
    if (status == COAMING_OK)
        status = coaming_readings_new(ship, NULL, 0, &readings, &error);
    if (status == COAMING_OK)
        status = coaming_history_new(ship, 0, &history, &error);
    coaming_history_free(history);
    coaming_readings_free(readings);
    coaming_round_free(round);
    coaming_due_free(due);
    return status;
}

static const question questions[] = {ask_exposures,
                                     ask_ranking,
                                     ask_risk,
                                     ask_settled_risk,
                                     ask_plan,
                                     ask_hold,
                                     ask_casualty,
                                     ask_boundary,
                                     ask_flood,
                                     ask_deadlines,
                                     ask_air,
                                     ask_survival,
                                     ask_survival_in_parts,
                                     ask_breaches,
                                     ask_plan_by_index,
                                     ask_round,
                                     ask_report};

START_TEST(a_place_that_gets_no_memory_is_told)
{
    coaming_ship *ship = ship_from_tree("examples/barge.xml");
    and_after = getenv("COAMING_STARVED_AFTER");
    starve(ship, questions[_i]);
    coaming_ship_free(ship);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("starved");
    TCase *all = tcase_create("all");
    tcase_add_loop_test(all, a_place_that_gets_no_memory_is_told, 0,
                        sizeof questions / sizeof *questions);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
