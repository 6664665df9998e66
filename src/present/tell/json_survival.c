#include <math.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/tell/json_parts.h"
#include "present/tell/standing_words.h"
#include "present/tell/survival_words.h"
#include "present/tell/views.h"

static void add_limits(json_document *d, cJSON *row, const char *const keys[3],
                       const coaming_survival_limits *l)
{
    json_add(d, row, keys[0], json_number(l->value));
    json_add(d, row, keys[1], json_number(l->low));
    json_add(d, row, keys[2], json_number(l->high));
}

static const char *const expected_keys[] = {"expected", "expected_low", "expected_high"};
static const char *const lost_keys[] = {"probability", "low", "high"};

/* By state, and the expected one. */
static cJSON *by_state(json_document *d, const double *values, const char *const keys[3],
                       const coaming_survival_limits *expected)
{
    cJSON *row = json_object(d);
    for (int state = 0; state < COAMING_ANSWERS; state++)
        json_add(d, row, survival_state_key((coaming_answer)state), json_number(values[state]));
    add_limits(d, row, keys, expected);
    return row;
}

static void add_index(json_document *d, const coaming_survival_index *index)
{
    cJSON *row = by_state(d, index->index, expected_keys, &index->expected);
    json_add(d, row, "expected_error", json_number(index->expected_error));
    json_add(d, row, "required", json_number(index->required));
    json_add(d, row, "required_each", json_number(index->required_each));
    json_add(d, row, "required_at_least", json_bool(index->at_least));
    json_member(d, "index", row);
    json_member(d, "required_as", json_text(index->passenger ? "passenger" : "cargo"));
    json_member(d, "length", json_number(index->length));
    json_member(d, "breadth", json_number(index->breadth));
    json_member(d, "lost", by_state(d, index->lost, lost_keys, &index->lost_expected));
}

static cJSON *loading_row(json_document *d, const coaming_survival_loading *l)
{
    cJSON *row = json_object(d);
    json_add(d, row, "loading", json_text(l->id));
    json_add(d, row, "share", json_number(l->share));
    json_add(d, row, "draft", json_number(l->draught));
    json_add(d, row, "loll", json_number(l->undamaged.loll ? fabs(l->undamaged.heel) : NAN));
    json_add(d, row, "index", by_state(d, l->index, expected_keys, &l->expected));
    return row;
}

static cJSON *states(json_document *d, const double *values)
{
    cJSON *row = json_object(d);
    for (int state = 0; state < COAMING_ANSWERS; state++)
        json_add(d, row, survival_state_key((coaming_answer)state), json_number(values[state]));
    return row;
}

static cJSON *zone_row(json_document *d, size_t number, const coaming_survival_zone *z)
{
    cJSON *row = json_object(d);
    json_add(d, row, "zone", json_number((double)number));
    json_add(d, row, "from", json_number(z->from));
    json_add(d, row, "to", json_number(z->to));
    json_add(d, row, "weight", json_number(z->weight));
    json_add(d, row, "lost", states(d, z->lost));
    json_add(d, row, "gone", states(d, z->gone));
    return row;
}

static const char *const turn_keys[COAMING_TURNS] = {"lost", "unsurvived"};

static cJSON *by_turn(json_document *d, const double *values)
{
    cJSON *row = json_object(d);
    for (int turn = 0; turn < COAMING_TURNS; turn++)
        json_add(d, row, turn_keys[turn], json_number(values[turn]));
    return row;
}

static cJSON *turned(json_document *d, const coaming_survival_index *index)
{
    cJSON *row = json_object(d);
    for (int turn = 0; turn < COAMING_TURNS; turn++) {
        cJSON *part = json_object(d);
        json_add(d, part, "cases", json_number((double)index->turned_cases[turn]));
        json_add(d, part, "weight", json_number(index->turned[turn]));
        json_add(d, row, turn_keys[turn], part);
    }
    return row;
}

static cJSON *closure_row(json_document *d, const coaming_ship *ship,
                          const coaming_survival_closure *c)
{
    static const char *const gain[] = {"index_gain", "index_gain_low", "index_gain_high"};
    static const char *const lost[] = {"lost_gain", "lost_gain_low", "lost_gain_high"};
    cJSON *row = json_object(d);
    json_add(d, row, "closure", json_text(ship->links[c->closure].id));
    json_standing(d, row, ship, c->closure);
    add_limits(d, row, gain, &c->index_gain);
    add_limits(d, row, lost, &c->lost_gain);
    json_add(d, row, "tested_gain", json_number(c->tested_gain));
    json_add(d, row, "turned", json_number(c->turned));
    json_add(d, row, "turned_alone", by_turn(d, c->turned_alone));
    json_add(d, row, "turned_together", by_turn(d, c->turned_together));
    return row;
}

static cJSON *zones_of(json_document *d, const coaming_survival_case *c)
{
    cJSON *pair = json_array(d);
    json_append(d, pair, json_number(c->first_zone));
    json_append(d, pair, json_number(c->last_zone));
    return pair;
}

static cJSON *grades_of(json_document *d, const coaming_survival_case *c)
{
    cJSON *row = json_object(d);
    for (int state = 0; state < COAMING_ANSWERS; state++)
        json_add(d, row, survival_state_key((coaming_answer)state),
                 json_text(coaming_grade_word(c->grade[state])));
    return row;
}

static cJSON *case_row(json_document *d, const coaming_ship *ship, const coaming_survival *v,
                       size_t which)
{
    const coaming_survival_case *c = coaming_survival_get(v, which);
    cJSON *row = json_object(d);
    json_add(d, row, "side", json_text(c->starboard ? "starboard" : "port"));
    json_add(d, row, "zones", zones_of(d, c));
    json_add(d, row, "penetration", json_number(c->penetration));
    json_add(d, row, "height", json_number(isfinite(c->height) ? c->height : NAN));
    json_add(d, row, "weight", json_number(c->weight));
    json_add(d, row, "loading", json_text(coaming_survival_loading_get(v, (size_t)c->loading)->id));
    json_add(d, row, "opened", json_space_ids(d, ship, c->opened, c->opened_count));
    json_add(d, row, "spared", json_space_ids(d, ship, c->spared, c->spared_count));
    json_add(d, row, "s", by_state(d, c->s, expected_keys, &c->expected));
    json_add(d, row, "grade", grades_of(d, c));
    json_add(d, row, "flooded_as_tested", json_space_ids(d, ship, c->flooded, c->flooded_count));
    json_add(d, row, "turned_by", json_link_ids(d, ship, c->turned_by, c->turned_by_count));
    json_add(d, row, "turned_together", json_bool(c->turned_together));
    return row;
}

static cJSON *way_row(json_document *d, const coaming_ship *ship, const coaming_survival_way *w)
{
    cJSON *row = json_object(d);
    json_add(d, row, "case", json_number((double)w->which));
    json_add(d, row, "closures", json_link_ids(d, ship, w->closures, w->closure_count));
    json_add(d, row, "flooded", json_space_ids(d, ship, w->flooded, w->flooded_count));
    json_add(d, row, "probability", json_number(w->probability));
    return row;
}

/* All from aft, or the costliest. */
static bool put_cases(json_document *d, const coaming_ship *ship, const coaming_survival_rows *rows)
{
    size_t count = coaming_survival_count(rows->survival);
    size_t *order = rows->top ? survival_by_cost(rows->survival) : NULL;
    if (rows->top && !order)
        return false;
    if (rows->top && rows->top < count)
        count = rows->top;
    json_list_open(d, "cases");
    for (size_t i = 0; i < count; i++)
        json_item(d, case_row(d, ship, rows->survival, order ? order[i] : i));
    json_list_close(d);
    memory_free(order);
    return true;
}

#define S(state)     "s_" #state
#define GRADE(state) "grade_" #state
static const char *const case_lists[] = {"cases", NULL};
static const char *const case_columns[] = {"side",
                                           "zones",
                                           "penetration",
                                           "height",
                                           "weight",
                                           "loading",
                                           "opened",
                                           "spared",
                                           S(as_built),
                                           S(as_tested),
                                           S(if_untested_leak),
                                           S(expected),
                                           S(expected_low),
                                           S(expected_high),
                                           GRADE(as_built),
                                           GRADE(as_tested),
                                           GRADE(if_untested_leak),
                                           "flooded_as_tested",
                                           "turned_by",
                                           "turned_together",
                                           NULL};
static const sheet_form case_form = {case_lists, case_columns, NULL};

coaming_status json_survival(FILE *out, coaming_format format, const coaming_survival_rows *rows,
                             coaming_error *error)
{
    const coaming_survival *v = rows->survival;
    const coaming_ship *ship = coaming_outset_ship(rows->outset);
    coaming_query query = coaming_outset_query(rows->outset);
    json_document d;
    json_open_as(&d, out, format, &case_form, names_of(ship));
    json_head(&d, "survival", ship, &query);
    json_member_let_in(&d, rows->outset);
    json_member(&d, "caution", json_text(coaming_float_caution()));
    add_index(&d, coaming_survival_get_index(v));
    json_member(&d, "turned", turned(&d, coaming_survival_get_index(v)));
    json_list_open(&d, "loadings");
    for (size_t i = 0; i < coaming_survival_loading_count(v); i++)
        json_item(&d, loading_row(&d, coaming_survival_loading_get(v, i)));
    json_list_close(&d);
    json_list_open(&d, "zones");
    for (size_t i = 0; i < coaming_survival_zone_count(v); i++)
        json_item(&d, zone_row(&d, i + 1, coaming_survival_zone_get(v, i)));
    json_list_close(&d);
    json_list_open(&d, "closures");
    for (size_t i = 0; i < coaming_survival_closure_count(v); i++)
        json_item(&d, closure_row(&d, ship, coaming_survival_closure_get(v, i)));
    json_list_close(&d);
    bool good = put_cases(&d, ship, rows);
    json_list_open(&d, "ways");
    for (size_t i = 0; i < coaming_survival_way_count(v); i++)
        json_item(&d, way_row(&d, ship, coaming_survival_way_get(v, i)));
    json_list_close(&d);
    coaming_status status = json_close(&d, error);
    return good ? status : error_memory(error);
}
