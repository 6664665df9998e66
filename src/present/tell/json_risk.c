#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/fault.h"
#include "base/file.h"
#include "base/memory.h"
#include "base/text.h"
#include "coaming/present.h"
#include "present/tell/chance_words.h"
#include "present/tell/json_parts.h"
#include "present/tell/level_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

/* Likelihood. */

static cJSON *step_row(json_document *d, const coaming_step *s)
{
    static const char *const kinds[] = {"fitted", "test", "repair", "now", "given", "seen"};
    bool test = s->kind == COAMING_STEP_TEST;
    bool repaired = s->kind == COAMING_STEP_REPAIR || s->kind == COAMING_STEP_FITTED;
    cJSON *row = json_object(d);
    json_add(d, row, "step", json_text(kinds[s->kind]));
    json_add(d, row, "date", json_date(s->date));
    json_add(d, row, "method", json_text(test ? s->what : NULL));
    json_add(d, row, "result", json_text(test ? result_word(s->result) : NULL));
    json_add(d, row, "action", json_text(s->kind == COAMING_STEP_REPAIR ? s->what : NULL));
    json_add(d, row, "age", json_number(s->age));
    json_add(d, row, "before", json_number(s->before));
    json_add(d, row, "after", json_number(s->after));
    json_add(d, row, "sensitivity", json_number(test ? s->sensitivity : NAN));
    json_add(d, row, "specificity", json_number(test ? s->specificity : NAN));
    json_add(d, row, "success", json_number(repaired ? s->success : NAN));
    return row;
}

static const char *const steps_lists[] = {"steps", NULL};
static const char *const steps_columns[] = {"step",        "date",        "method",  "result",
                                            "action",      "age",         "before",  "after",
                                            "sensitivity", "specificity", "success", NULL};
static const sheet_form steps_form = {steps_lists, steps_columns, NULL};

coaming_status json_likelihood(FILE *out, coaming_format format, const coaming_ship *ship,
                               int closure, const coaming_likelihood *l,
                               const coaming_rank_options *rank, coaming_error *error)
{
    coaming_query query = rank->query;
    const coaming_risk *risk = rank->risk;
    json_document d;
    bool worked_out = by_history(l);
    json_open_as(&d, out, format, &steps_form, names_of(ship));
    json_head_at(&d, "rank-explain", &query, rank->outset);
    json_member(&d, "measure", json_text(coaming_measure_word(rank->measure)));
    json_member(&d, "caution", json_text(coaming_caution_at(query.level)));
    json_member(&d, "closure", json_text(ship->links[closure].id));
    json_member_standing(&d, ship, closure);
    json_member(&d, "eta_years", json_number(worked_out ? l->eta_years : NAN));
    json_member(&d, "beta", json_number(worked_out ? l->beta : NAN));
    json_member(&d, "ageing_assumed", json_bool(l->ageing_assumed));
    json_member(&d, "methods_assumed", json_bool(l->methods_assumed));
    json_member(&d, "repairs_assumed", json_bool(l->repairs_assumed));
    json_member(&d, "age_assumed", json_bool(l->age_assumed));
    json_member(&d, "supposed_age", json_number(l->supposed_age));
    json_member(&d, "known_ages",
                json_number(isnan(l->supposed_age) ? NAN : (double)l->known_age_count));
    json_list_open(&d, "steps");
    for (size_t i = 0; i < l->step_count; i++)
        json_item(&d, step_row(&d, &l->steps[i]));
    json_list_close(&d);
    json_risk_head(&d, risk, query.level);
    cJSON *importance = json_object(&d);
    json_risk_members(&d, importance, risk, closure, l->probability);
    json_member(&d, "importance", importance);
    return json_close(&d, error);
}

/* Plan. */

/* What each row begins with. */
static cJSON *standing_row(json_document *d, const coaming_ship *ship, int closure)
{
    cJSON *row = json_object(d);
    json_add(d, row, "closure", json_text(ship->links[closure].id));
    json_standing(d, row, ship, closure);
    return row;
}

static cJSON *repair_row(json_document *d, const coaming_ship *ship, const coaming_plan_repair *r)
{
    cJSON *row = standing_row(d, ship, r->closure);
    json_add(d, row, "hours", json_number(r->hours));
    json_add(d, row, "leak_probability", json_number(r->probability));
    json_add(d, row, "repair_success", json_number(r->success));
    json_add(d, row, "gain", json_number(r->gain));
    json_add(d, row, "alone", json_number(r->alone));
    return row;
}

static cJSON *test_row(json_document *d, const coaming_ship *ship, const coaming_plan_test *t)
{
    cJSON *row = standing_row(d, ship, t->closure);
    json_add(d, row, "method", json_text(t->method));
    json_add(d, row, "leak_probability", json_number(t->probability));
    json_add(d, row, "fails", json_number(t->fails));
    json_add(d, row, "value", json_number(t->value));
    return row;
}

static cJSON *date_row(json_document *d, const coaming_ship *ship, const coaming_plan_date *a)
{
    cJSON *row = standing_row(d, ship, a->closure);
    json_add(d, row, "leak_probability", json_number(a->probability));
    json_add(d, row, "youngest", json_number(a->youngest));
    json_add(d, row, "oldest", json_number(a->oldest));
    json_add(d, row, "leaks_youngest", json_number(a->leaks_youngest));
    json_add(d, row, "leaks_oldest", json_number(a->leaks_oldest));
    json_add(d, row, "expected_youngest", json_number(a->expected_youngest));
    json_add(d, row, "expected_oldest", json_number(a->expected_oldest));
    return row;
}

/* What may cost the ship and is not in the plan; null: not asked, for she has too many spaces. */
static void list_lost(json_document *d, const coaming_ship *ship, const coaming_plan_answer *a)
{
    size_t count = a->ranking ? coaming_ranking_count(a->ranking) : 0;
    if (!a->ranking && settles_with_her(a->query)) {
        json_member(d, "not_afloat", json_text(NULL));
        return;
    }
    json_list_open(d, "not_afloat");
    for (size_t i = 0; i < count; i++) {
        const coaming_rank *r = coaming_ranking_get(a->ranking, i);
        double hours = ship->links[r->closure].hours;
        if (!plan_leaves_to_be_lost(ship, a->plan, r))
            continue;
        cJSON *row = json_object(d);
        json_add(d, row, "closure", json_text(ship->links[r->closure].id));
        json_standing(d, row, ship, r->closure);
        json_add(d, row, "hours", json_number(hours >= 0 ? hours : NAN));
        json_item(d, row);
    }
    json_list_close(d);
}

/* What stands failed and is not in the plan; null: not by survival. */
static void list_left_out(json_document *d, const coaming_ship *ship, const coaming_plan *p)
{
    if (!p->index) {
        json_member(d, "left_out", json_text(NULL));
        return;
    }
    json_list_open(d, "left_out");
    for (int i = 0; i < (int)ship->closure_count; i++)
        if (plan_leaves_failed(ship, p, i))
            json_item(d, json_text(ship->links[i].id));
    json_list_close(d);
}

static const char *const plan_lists[] = {"repairs", "not_afloat", "tests", "dates", NULL};
static const char *const plan_columns[] = {"table",
                                           "closure",
                                           "name",
                                           STANDING_COLUMNS,
                                           "method",
                                           "hours",
                                           "leak_probability",
                                           "repair_success",
                                           "gain",
                                           "alone",
                                           "fails",
                                           "value",
                                           "youngest",
                                           "oldest",
                                           "leaks_youngest",
                                           "leaks_oldest",
                                           "expected_youngest",
                                           "expected_oldest",
                                           NULL};
static const sheet_form plan_form = {plan_lists, plan_columns, NULL};

/* Of equilibrium, which is not one plane, that at rest. */
static cJSON *plan_level(coaming_level asked)
{
    if (asked.kind == COAMING_LEVEL_EQUILIBRIUM)
        asked.kind = COAMING_LEVEL_STILL;
    return json_level(asked);
}

static cJSON *index_object(json_document *d, const coaming_plan_index *x)
{
    cJSON *object = json_object(d);
    json_add(d, object, "expected", json_number(x->now.value));
    json_add(d, object, "expected_low", json_number(x->now.low));
    json_add(d, object, "expected_high", json_number(x->now.high));
    json_add(d, object, "expected_error", json_number(x->now_error));
    json_add(d, object, "after", json_number(x->after.value));
    json_add(d, object, "after_low", json_number(x->after.low));
    json_add(d, object, "after_high", json_number(x->after.high));
    json_add(d, object, "gain_error", json_number(x->gain_error));
    json_add(d, object, "told", json_number((double)x->told));
    json_add(d, object, "rest_gain", json_number(x->rest_gain));
    json_add(d, object, "rest_error", json_number(x->rest_error));
    return object;
}

static void put_totals(json_document *d, const coaming_plan_answer *a)
{
    const coaming_plan *p = a->plan;
    json_member(d, "hours", json_number(a->hours));
    json_member(d, "hours_used", json_number(p->hours));
    json_member(d, "risk_level",
                p->index ? json_level(a->query.level) : plan_level(a->query.level));
    json_member(d, "expected_loss", json_number(p->expected));
    json_member(d, "expected_after", json_number(p->after));
    json_member(d, "method", json_text(p->exact ? "exact" : "sampled"));
    json_member(d, "standard_error", json_number(p->error));
    json_member(d, "expected_loss_limit", json_number(p->limit));
    json_member(d, "exhaustive", json_bool(p->exhaustive));
    json_member(d, "bound", json_number(p->bound));
    json_member(d, "gain",
                json_number(p->index ? p->expected - p->after : fmax(0, p->expected - p->after)));
    json_member(d, "gain_limit", json_number(p->gain_limit));
    json_member(d, "index", p->index ? index_object(d, p->index) : json_text(NULL));
}

coaming_status json_plan(FILE *out, coaming_format format, const coaming_ship *ship,
                         const coaming_plan_answer *a, coaming_error *error)
{
    json_document d;
    const coaming_plan *p = a->plan;
    json_open_as(&d, out, format, &plan_form, names_of(ship));
    json_head_at(&d, "plan", &a->query, a->outset);
    json_member(&d, "measure",
                json_text(p->index ? COAMING_PLAN_SURVIVAL : coaming_measure_word(a->measure)));
    json_member(&d, "caution", json_text(coaming_caution_at(a->query.level)));
    put_totals(&d, a);
    json_member(&d, "repairs_assumed", json_bool(p->repairs_assumed));
    json_list_open(&d, "repairs");
    for (size_t i = 0; i < p->repair_count; i++)
        json_item(&d, repair_row(&d, ship, &p->repairs[i]));
    json_list_close(&d);
    list_lost(&d, ship, a);
    list_left_out(&d, ship, p);
    json_list_open(&d, "tests");
    for (size_t i = 0; i < p->test_count; i++)
        json_item(&d, test_row(&d, ship, &p->tests[i]));
    json_list_close(&d);
    json_member(&d, "ages_assumed", json_number((double)p->assumed_age_count));
    json_list_open(&d, "dates");
    for (size_t i = 0; i < p->date_count; i++)
        json_item(&d, date_row(&d, ship, &p->dates[i]));
    json_list_close(&d);
    cJSON *left_out = json_array(&d);
    for (size_t i = 0; i < p->without_hours_count; i++)
        json_append(&d, left_out, json_text(ship->links[p->without_hours[i]].id));
    json_member(&d, "without_hours", left_out);
    return json_close(&d, error);
}
