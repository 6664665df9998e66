#include "base/error.h"
#include "coaming/present.h"
#include "present/json.h"
#include "present/views.h"

static const char *const answers[COAMING_ANSWERS] = {"as_built", "as_tested", "untested_leak"};

static cJSON *case_row(json_document *d, const coaming_ship *ship, const coaming_survival_case *c)
{
    cJSON *row = json_object(d);
    json_add(d, row, "breached", json_space_ids(d, ship, c->space, c->space[1] < 0 ? 1 : 2));
    for (int a = 0; a < COAMING_ANSWERS; a++) {
        const coaming_survival_answer *answer = &c->answer[a];
        cJSON *one = json_object(d);
        json_float_members(d, one, &answer->at);
        json_add(d, one, "range", json_number(answer->range));
        json_add(d, one, "greatest_arm", json_number(answer->greatest));
        json_add(d, one, "s", json_number(answer->s));
        json_add(d, row, answers[a], one);
    }
    return row;
}

coaming_status json_survival(FILE *out, const coaming_ship *ship, int condition,
                             const coaming_survival *v, coaming_error *error)
{
    json_document d;
    json_open(&d, out);
    json_head(&d, "float", ship, condition);
    json_member(&d, "caution", json_text(coaming_float_caution()));
    cJSON *shares = json_object(&d);
    for (int a = 0; a < COAMING_ANSWERS; a++)
        json_add(&d, shares, answers[a], json_number(coaming_survival_share(v, a)));
    json_member(&d, "survived", shares);
    json_list_open(&d, "cases");
    for (size_t i = 0; i < coaming_survival_count(v); i++)
        json_item(&d, case_row(&d, ship, coaming_survival_get(v, i)));
    json_list_close(&d);
    return json_close(&d, error);
}
