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

static const char *const cases_lists[] = {"cases", NULL};
static const char *const cases_columns[] = {"breached",
                                            "as_built_afloat",
                                            "as_built_draught",
                                            "as_built_draught_aft",
                                            "as_built_draught_fwd",
                                            "as_built_trim",
                                            "as_built_heel",
                                            "as_built_gm",
                                            "as_built_displacement",
                                            "as_built_freeboard",
                                            "as_built_flooded_volume",
                                            "as_built_range",
                                            "as_built_greatest_arm",
                                            "as_built_s",
                                            "as_tested_afloat",
                                            "as_tested_draught",
                                            "as_tested_draught_aft",
                                            "as_tested_draught_fwd",
                                            "as_tested_trim",
                                            "as_tested_heel",
                                            "as_tested_gm",
                                            "as_tested_displacement",
                                            "as_tested_freeboard",
                                            "as_tested_flooded_volume",
                                            "as_tested_range",
                                            "as_tested_greatest_arm",
                                            "as_tested_s",
                                            "untested_leak_afloat",
                                            "untested_leak_draught",
                                            "untested_leak_draught_aft",
                                            "untested_leak_draught_fwd",
                                            "untested_leak_trim",
                                            "untested_leak_heel",
                                            "untested_leak_gm",
                                            "untested_leak_displacement",
                                            "untested_leak_freeboard",
                                            "untested_leak_flooded_volume",
                                            "untested_leak_range",
                                            "untested_leak_greatest_arm",
                                            "untested_leak_s",
                                            NULL};
static const sheet_form cases_form = {cases_lists, cases_columns, NULL};

coaming_status json_survival(FILE *out, coaming_format format, const coaming_ship *ship,
                             int condition, const coaming_survival *v, coaming_error *error)
{
    json_document d;
    json_open_as(&d, out, format, &cases_form, ship);
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
