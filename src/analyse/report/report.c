/*
 * What a report is made of. Each question is asked here, once and of the whole ship, so that no
 * section of the page works out anew, or otherwise, what another one tells as well.
 */
#include "analyse/report/report.h"

#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "ship/ship.h"

coaming_report_options coaming_report_options_default(void)
{
    return (coaming_report_options){.query = coaming_query_default(),
                                    .risk = coaming_risk_options_default(),
                                    .top = 5,
                                    .within = 30};
}

/* --- of a day --- */

static void count_results(report_day *d)
{
    for (size_t i = 0; i < d->ship->closure_count; i++) {
        d->results[coaming_closure_result(d->ship, (int)i)]++;
        d->repaired += d->ship->links[i].repair_since != NULL;
    }
}

static coaming_status ask_ranking(report_day *d, const coaming_report_options *how,
                                  coaming_error *error)
{
    coaming_status status =
        coaming_ranking_new(d->ship, how->query, how->measure, &d->ranking, error);
    for (size_t i = 0; status == COAMING_OK && i < coaming_ranking_count(d->ranking); i++)
        d->place[coaming_ranking_get(d->ranking, i)->closure] = i;
    if (status == COAMING_OK && how->measure < COAMING_MEASURE_FREEBOARD)
        status =
            coaming_risk_new(d->ship, how->query, how->measure, NULL, &how->risk, &d->risk, error);
    return status;
}

static coaming_status ask_day(report_day *d, const coaming_ship *ship,
                              const coaming_report_options *how, coaming_error *error)
{
    d->ship = ship;
    d->leaks = memory_new(ship->closure_count, sizeof *d->leaks);
    d->place = memory_new(ship->closure_count, sizeof *d->place);
    if (!d->leaks || !d->place)
        return error_memory(error);
    count_results(d);
    coaming_likelihood_all(ship, d->leaks);
    coaming_status status = coaming_due_new(ship, &d->due, error);
    return status == COAMING_OK ? ask_ranking(d, how, error) : status;
}

static void free_day(report_day *d)
{
    coaming_ranking_free(d->ranking);
    coaming_risk_free(d->risk);
    coaming_due_free(d->due);
    memory_free(d->leaks);
    memory_free(d->place);
}

/* --- of the day of the report alone --- */

static coaming_status ask_closures(coaming_report *r, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    r->readings = memory_new(r->ship->closure_count, sizeof(coaming_reading *));
    r->likelihoods = memory_new(r->ship->closure_count, sizeof(coaming_likelihood *));
    if (!r->readings || !r->likelihoods)
        return error_memory(error);
    for (size_t i = 0; i < r->ship->closure_count && status == COAMING_OK; i++) {
        status = coaming_reading_new(r->ship, (int)i, &r->readings[i], error);
        if (status == COAMING_OK)
            status = coaming_likelihood_new(r->ship, (int)i, &r->likelihoods[i], error);
    }
    return status;
}

static coaming_status ask_exposure(coaming_report *r, coaming_error *error)
{
    const coaming_ranking *k = r->now.ranking;
    while (r->shown < coaming_ranking_count(k) && r->shown < r->how.top &&
           coaming_ranking_get(k, r->shown)->has_worst)
        r->shown++;
    if (!r->shown)
        return COAMING_OK;
    int *closures = memory_new(r->shown, sizeof *closures);
    if (!closures)
        return error_memory(error);
    for (size_t i = 0; i < r->shown; i++)
        closures[i] = coaming_ranking_get(k, i)->closure;
    coaming_status status =
        coaming_exposure_new(r->ship, r->how.query, closures, r->shown, &r->exposure, error);
    memory_free(closures);
    return status;
}

/* A ship that does not float by herself is said to be so; the rest of the report stands. */
static coaming_status ask_survival(coaming_report *r, coaming_error *error)
{
    coaming_survival_options how = coaming_survival_options_default();
    how.condition = r->how.query.condition;
    how.loading = r->how.query.loading;
    r->survival_refuse = (coaming_error){COAMING_OK, ""};
    if (!r->how.query.hazard[COAMING_WATER] || r->ship->space_count > COAMING_REPORT_SETTLED)
        return COAMING_OK;
    coaming_status status = coaming_survival_new(r->ship, &how, &r->survival, &r->survival_refuse);
    if (status == COAMING_OK || status == COAMING_INPUT || status == COAMING_USAGE)
        return COAMING_OK; /* USAGE: nobody gives her kg */
    if (error)
        *error = r->survival_refuse;
    return status;
}

/* Until when shutting helps takes many floods: not of a ship of many spaces. */
static coaming_status ask_in_time(coaming_report *r, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    if (r->how.flood)
        status = coaming_flood_new(r->ship, r->how.flood, &r->flood, error);
    if (status == COAMING_OK && r->how.flood && r->ship->space_count <= COAMING_REPORT_SETTLED)
        status = coaming_flood_deadlines_new(r->ship, r->how.flood, &r->deadlines, error);
    if (status == COAMING_OK && r->how.air)
        status = coaming_air_new(r->ship, r->how.air, &r->air, error);
    return status;
}

static bool same_ship(const coaming_ship *a, const coaming_ship *b)
{
    if (a->closure_count != b->closure_count || strcmp(a->name, b->name) || b->as_of >= a->as_of)
        return false;
    for (size_t i = 0; i < a->closure_count; i++)
        if (strcmp(a->links[i].id, b->links[i].id))
            return false;
    return true;
}

static coaming_status ask_all(coaming_report *r, coaming_error *error)
{
    const coaming_ship *before = r->how.before;
    if (before && !same_ship(r->ship, before))
        return error_set(error, COAMING_USAGE,
                         "what to compare with is not the same ship of an earlier day");
    if (r->how.air && !r->how.air->source_count)
        return error_set(error, COAMING_USAGE, "air in time has no source");
    coaming_status status = coaming_outset_new(r->ship, r->how.query, &r->outset, error);
    if (status == COAMING_OK)
        status = ask_day(&r->now, r->ship, &r->how, error);
    if (status == COAMING_OK && before)
        status = ask_day(&r->before, before, &r->how, error);
    if (status == COAMING_OK)
        status = ask_closures(r, error);
    if (status == COAMING_OK)
        status = ask_exposure(r, error);
    if (status == COAMING_OK)
        status = report_ask_lines(r, error);
    if (status == COAMING_OK)
        status = ask_in_time(r, error);
    return status == COAMING_OK ? ask_survival(r, error) : status;
}

coaming_status coaming_report_new(const coaming_ship *ship, const coaming_report_options *how,
                                  coaming_report **report, coaming_error *error)
{
    coaming_report *r = memory_new(1, sizeof *r);
    *report = NULL;
    if (!r)
        return error_memory(error);
    r->ship = ship;
    r->how = *how;
    coaming_status status = ask_all(r, error);
    if (status == COAMING_OK)
        *report = r;
    else
        coaming_report_free(r);
    return status;
}

void coaming_report_free(coaming_report *r)
{
    if (!r)
        return;
    coaming_outset_free(r->outset);
    free_day(&r->now);
    free_day(&r->before);
    for (size_t i = 0; i < r->ship->closure_count; i++) {
        coaming_reading_free(r->readings ? r->readings[i] : NULL);
        coaming_likelihood_free(r->likelihoods ? r->likelihoods[i] : NULL);
    }
    memory_free(r->readings);
    memory_free(r->likelihoods);
    coaming_exposure_free(r->exposure);
    report_free_lines(r);
    coaming_survival_free(r->survival);
    coaming_flood_free(r->flood);
    coaming_flood_deadlines_free(r->deadlines);
    coaming_air_free(r->air);
    memory_free(r);
}
