#include "base/error.h"
#include "coaming/present.h"
#include "present/tell/json_parts.h"
#include "present/tell/views.h"

static const char *const answers[COAMING_ANSWERS] = {"as_built", "as_tested", "untested_leak"};

static cJSON *answer_row(json_document *d, const coaming_ship *ship,
                         const coaming_breaches_answer *a)
{
    cJSON *row = json_object(d), *turned = json_array(d);
    json_float_members(d, row, &a->at);
    json_grade_members(d, row, ship, &a->at, &a->stability);
    json_add(d, row, "range", json_number(a->range));
    json_add(d, row, "greatest_arm", json_number(a->greatest));
    json_add(d, row, "s", json_number(a->s));
    json_add(d, row, "floods", json_entries(d, ship, "by", a->flooded, a->flooded_count));
    for (size_t i = 0; i < a->turned_by_count; i++)
        json_append(d, turned, json_text(ship->links[a->turned_by[i]].id));
    json_add(d, row, "turned_by", turned);
    return row;
}

static cJSON *case_row(json_document *d, const coaming_ship *ship, const coaming_breaches_case *c)
{
    cJSON *row = json_object(d);
    json_add(d, row, "breached", json_space_ids(d, ship, c->space, c->space[1] < 0 ? 1 : 2));
    for (int a = 0; a < COAMING_ANSWERS; a++)
        json_add(d, row, answers[a], answer_row(d, ship, &c->answer[a]));
    return row;
}

#define OF_ANSWER(a)                                                                               \
#a "_afloat", #a "_grade", #a "_limits", #a "_draught", #a "_draught_aft", #a "_draught_fwd",  \
        #a "_trim", #a "_heel", #a "_gm", #a "_displacement", #a "_freeboard",                     \
        #a "_flooded_volume", #a "_flooding_angle", #a "_flooding_opening", #a "_loll",            \
        #a "_either_side", #a "_range", #a "_greatest_arm", #a "_s", #a "_floods", #a "_turned_by"

static const char *const cases_lists[] = {"cases", NULL};
static const char *const cases_columns[] = {"breached", OF_ANSWER(as_built), OF_ANSWER(as_tested),
                                            OF_ANSWER(untested_leak), NULL};
static const sheet_form cases_form = {cases_lists, cases_columns, NULL};

static cJSON *grade_counts(json_document *d, const coaming_breaches *v, coaming_answer answer)
{
    cJSON *row = json_object(d);
    for (int grade = 0; grade < COAMING_GRADES; grade++)
        json_add(
            d, row, coaming_grade_word((coaming_grade)grade),
            json_number((double)coaming_breaches_grade_count(v, answer, (coaming_grade)grade)));
    return row;
}

coaming_status json_breaches(FILE *out, coaming_format format, const coaming_outset *outset,
                             const coaming_breaches *v, coaming_error *error)
{
    const coaming_ship *ship = coaming_outset_ship(outset);
    coaming_query query = coaming_outset_query(outset);
    json_document d;
    json_open_as(&d, out, format, &cases_form, names_of(ship));
    json_head(&d, "float", ship, &query);
    json_member_let_in(&d, outset);
    json_member(&d, "caution", json_text(coaming_float_caution()));
    cJSON *shares = json_object(&d), *grades = json_object(&d);
    for (int a = 0; a < COAMING_ANSWERS; a++) {
        json_add(&d, shares, answers[a], json_number(coaming_breaches_share(v, (coaming_answer)a)));
        json_add(&d, grades, answers[a], grade_counts(&d, v, (coaming_answer)a));
    }
    json_member(&d, "survived", shares);
    json_member(&d, "grades", grades);
    json_list_open(&d, "cases");
    for (size_t i = 0; i < coaming_breaches_count(v); i++)
        json_item(&d, case_row(&d, ship, coaming_breaches_get(v, i)));
    json_list_close(&d);
    return json_close(&d, error);
}
