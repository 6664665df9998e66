#include <math.h>

#include "coaming/present.h"
#include "present/tell/json_parts.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

static cJSON *bounded(double value)
{
    return json_number(isfinite(value) ? value : NAN);
}

void json_risk_members(json_document *d, cJSON *row, const coaming_risk *risk, int closure,
                       double probability)
{
    static const coaming_risk_row none = {0,   NAN, NAN, NAN, NAN, NAN, NAN,
                                          NAN, NAN, NAN, NAN, NAN, NAN};
    const coaming_risk_row *r = risk ? coaming_risk_get(risk, closure) : &none;
    json_add(d, row, "leak_probability", json_number(probability));
    json_add(d, row, "pass_probability", json_number(r->probability));
    json_add(d, row, "birnbaum", json_number(r->birnbaum));
    json_add(d, row, "criticality", json_number(r->criticality));
    json_add(d, row, "fussell_vesely", json_number(r->fussell_vesely));
    json_add(d, row, "achievement", bounded(r->achievement));
    json_add(d, row, "reduction", bounded(r->reduction));
    json_add(d, row, "risk", json_number(r->risk));
    json_add(d, row, "repair_gain", json_number(r->repair_gain));
    json_add(d, row, "risk_error", json_number(r->risk_error));
    json_add(d, row, "fussell_vesely_error", json_number(r->fussell_vesely_error));
    json_add(d, row, "risk_limit", json_number(r->risk_limit));
    json_add(d, row, "fussell_vesely_limit", json_number(r->fussell_vesely_limit));
}

void json_risk_head(json_document *d, const coaming_risk *risk, coaming_level level)
{
    double low = NAN, high = NAN;
    if (risk)
        coaming_risk_bounds(risk, &low, &high);
    json_member(d, "risk_level", risk ? json_level(level) : json_text(NULL));
    json_member(d, "expected_loss", json_number(risk ? coaming_risk_expected(risk) : NAN));
    json_member(d, "method",
                json_text(!risk                         ? NULL
                          : coaming_risk_is_exact(risk) ? "exact"
                                                        : "sampled"));
    json_member(d, "standard_error", json_number(risk ? coaming_risk_error(risk) : NAN));
    json_member(d, "expected_loss_limit", json_number(risk ? coaming_risk_limit(risk) : NAN));
    json_member(d, "expected_loss_low", json_number(low));
    json_member(d, "expected_loss_high", json_number(high));
    json_member(d, "samples", json_number(risk ? (double)coaming_risk_sample_count(risk) : NAN));
}

static cJSON *rank_row(json_document *d, const coaming_ship *ship, const coaming_rank *r,
                       size_t place, const int *spaces, size_t count)
{
    cJSON *row = json_object(d);
    json_add(d, row, "rank", json_number((double)place));
    json_add(d, row, "closure", json_text(ship->links[r->closure].id));
    json_standing(d, row, ship, r->closure);
    json_add(d, row, "tested", json_date(coaming_closure_tested(ship, r->closure)));
    json_add(d, row, "consequence", json_number(r->consequence));
    json_add(d, row, "water", json_number(r->part[COAMING_WATER]));
    json_add(d, row, "air", json_number(r->part[COAMING_AIR]));
    json_add(d, row, "worst_source",
             json_text(r->has_worst ? coaming_place_id(ship, r->worst_source) : NULL));
    json_add(d, row, "worst_hazard",
             json_text(r->has_worst ? coaming_hazard_word(r->worst_hazard) : NULL));
    if (r->lost)
        json_add(d, row, "afloat", json_bool(false));
    json_add(d, row, "exposes", json_space_ids(d, ship, spaces, count));
    double hours = ship->links[r->closure].hours;
    json_add(d, row, "hours", json_number(hours >= 0 ? hours : NAN));
    return row;
}

coaming_status json_rank_row(json_document *d, const coaming_ship *ship,
                             const coaming_rank_options *how, size_t i, cJSON **row,
                             coaming_error *error)
{
    const int *spaces = NULL;
    size_t count = 0;
    coaming_status status = coaming_ranking_exposes(how->ranking, i, &spaces, &count, error);
    if (status != COAMING_OK)
        return status;
    const coaming_rank *r = coaming_ranking_get(how->ranking, i);
    *row = rank_row(d, ship, r, i + 1, spaces, count);
    json_risk_members(d, *row, how->risk, r->closure, how->leaks[r->closure]);
    return COAMING_OK;
}

/* The rows of the closures that stand so, as many as are asked for; 0: all. */
coaming_status json_rank_rows(json_document *d, const char *key, const coaming_ship *ship,
                              const coaming_rank_options *how, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    size_t rows = 0, all = coaming_ranking_count(how->ranking), most = how->top ? how->top : all;
    json_list_open(d, key);
    for (size_t i = 0; i < all && rows < most && status == COAMING_OK; i++) {
        int closure = coaming_ranking_get(how->ranking, i)->closure;
        cJSON *row = NULL;
        if (how->standing &&
            !(how->standing & COAMING_STANDS(coaming_closure_result(ship, closure))))
            continue;
        rows++;
        status = json_rank_row(d, ship, how, i, &row, error);
        if (status == COAMING_OK)
            json_item(d, row);
    }
    json_list_close(d);
    return status;
}

static const char *const rank_lists[] = {"closures", NULL};
static const char *const rank_columns[] = {"rank",
                                           "closure",
                                           "name",
                                           STANDING_COLUMNS,
                                           "tested",
                                           "consequence",
                                           "water",
                                           "air",
                                           "worst_source",
                                           "worst_hazard",
                                           "afloat",
                                           "exposes",
                                           "leak_probability",
                                           "pass_probability",
                                           "birnbaum",
                                           "criticality",
                                           "fussell_vesely",
                                           "achievement",
                                           "reduction",
                                           "risk",
                                           "repair_gain",
                                           "risk_error",
                                           "fussell_vesely_error",
                                           "risk_limit",
                                           "fussell_vesely_limit",
                                           "hours",
                                           NULL};
static const sheet_form rank_form = {rank_lists, rank_columns, NULL};

static const struct {
    coaming_result result;
    const char *word;
} standings[] = {
    {COAMING_FAIL, "failed"}, {COAMING_UNTESTED, "untested"}, {COAMING_PASS, "passed"}};
enum { STANDINGS = sizeof standings / sizeof *standings };

/* Which closures are shown; null: all. */
static cJSON *chosen_standings(json_document *d, unsigned standing)
{
    cJSON *words = standing ? json_array(d) : NULL;
    for (int i = 0; i < STANDINGS && standing; i++)
        if (standing & COAMING_STANDS(standings[i].result))
            json_append(d, words, json_text(standings[i].word));
    return standing ? words : json_text(NULL);
}

/* What is to be made good or tested, whatever is shown of it below, and its hours. */
static void put_open_work(json_document *d, const coaming_ship *ship, const coaming_ranking *k)
{
    cJSON *ids = json_array(d), *work = json_object(d);
    for (size_t i = 0; i < coaming_ranking_count(k); i++) {
        int closure = coaming_ranking_get(k, i)->closure;
        if (coaming_ranking_is_work(k, closure))
            json_append(d, ids, json_text(ship->links[closure].id));
    }
    json_member(d, "repair_first", ids);
    for (int i = 0; standings[i].result != COAMING_PASS; i++) {
        coaming_work w = coaming_ranking_work(k, standings[i].result);
        cJSON *sum = json_object(d);
        json_add(d, sum, "closures", json_number((double)w.closure_count));
        json_add(d, sum, "hours", json_number(w.hours));
        json_add(d, sum, "without_hours", json_number((double)w.without_hours_count));
        json_add(d, work, standings[i].word, sum);
    }
    json_member(d, "repair_work", work);
}

coaming_status json_rank(FILE *out, coaming_format format, const coaming_ship *ship,
                         const coaming_rank_options *how, coaming_error *error)
{
    json_document d;
    json_open_as(&d, out, format, &rank_form, names_of(ship));
    json_head_at(&d, "rank", &how->query, how->outset);
    json_member(&d, "measure", json_text(coaming_measure_word(how->measure)));
    json_member(&d, "standing", chosen_standings(&d, how->standing));
    json_member(&d, "caution", json_text(coaming_caution_at(how->query.level)));
    json_risk_head(&d, how->risk, how->query.level);
    put_open_work(&d, ship, how->ranking);
    coaming_status status = json_rank_rows(&d, "closures", ship, how, error);
    coaming_status closed = json_close(&d, error);
    return status == COAMING_OK ? closed : status;
}
