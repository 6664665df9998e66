#include "present/tell/standing_words.h"

#include "present/tell/views.h"
#include "ship/seen.h"

const char *result_word(coaming_result result)
{
    return result == COAMING_UNTESTED ? "untested" : result == COAMING_FAIL ? "fail" : "pass";
}

ink result_ink(coaming_result result)
{
    return result == COAMING_FAIL ? INK_BAD : result == COAMING_UNTESTED ? INK_DOUBT : INK_PLAIN;
}

const char *tested_words(char buffer[SHOWN], const coaming_ship *ship, int condition)
{
    char date[COAMING_DATE_TEXT], words[SHOWN];
    snprintf(buffer, SHOWN, "As last tested by %s; %.180s", coaming_date_format(ship->as_of, date),
             shown(words, condition_words(ship, condition), 40));
    return buffer;
}

const char *standing_brief(char buffer[SHOWN], const coaming_ship *ship, int closure)
{
    char date[COAMING_DATE_TEXT];
    coaming_result result = coaming_closure_result(ship, closure);
    if (ship->links[closure].seen[COAMING_SEEN_FAILED])
        snprintf(buffer, SHOWN, "FAILED (" AS_SEEN ")");
    else if (result == COAMING_UNTESTED)
        snprintf(buffer, SHOWN, "untested");
    else
        snprintf(buffer, SHOWN, "%s %s", result == COAMING_FAIL ? "FAILED" : "pass",
                 coaming_date_format(coaming_closure_tested(ship, closure), date));
    return buffer;
}

/* A look counts beside the test that decides only if it came after it. */
const char *standing_manner(char buffer[SHOWN], const coaming_ship *ship, int closure)
{
    char date[COAMING_DATE_TEXT], looked[40] = "";
    const ship_link *l = &ship->links[closure];
    const char *method = coaming_closure_method(ship, closure);
    bool after = l->looked && (!l->decided || l->looked > l->decided);
    if (after && !l->seen[COAMING_SEEN_FAILED])
        snprintf(looked, sizeof looked, "looked at %s", coaming_date_format(l->looked->date, date));
    snprintf(buffer, SHOWN, "%s%s%s%s", method ? "by " : "", method ? method : "",
             method && *looked ? "; " : "", looked);
    return buffer;
}

const char *standing_words(char buffer[SHOWN], const coaming_ship *ship, int closure)
{
    char brief[SHOWN], manner[SHOWN];
    bool tested = coaming_closure_result(ship, closure) != COAMING_UNTESTED;
    standing_brief(brief, ship, closure);
    standing_manner(manner, ship, closure);
    snprintf(buffer, SHOWN, "%.40s%s%.180s", brief, !*manner ? "" : tested ? " " : "; ", manner);
    return buffer;
}

const char *repaired_words(char buffer[SHOWN], const coaming_ship *ship, int closure)
{
    char date[COAMING_DATE_TEXT];
    const ship_event *repair = ship->links[closure].repair_since;
    *buffer = '\0';
    if (repair)
        snprintf(buffer, SHOWN, "repaired %s (%s), not tested since",
                 coaming_date_format(repair->date, date), action_words[repair->action]);
    return buffer;
}

const char *open_words(const ship_link *l)
{
    return l->seen[COAMING_SEEN_OPEN] ? "open (" AS_SEEN ")" : OPEN_BY_CONDITION;
}

const char *open_sign_words(const coaming_ship *ship)
{
    return seen_count(ship, COAMING_SEEN_OPEN) ? "not shut, by condition or " AS_SEEN
                                               : OPEN_BY_CONDITION;
}

const char *condition_words(const coaming_ship *ship, int condition)
{
    return condition >= 0 ? ship->conditions[condition].name : "every closure shut that can be";
}

typedef void put_value(json_document *d, cJSON *row, const char *key, cJSON *value);

static void put_member(json_document *d, cJSON *row, const char *key, cJSON *value)
{
    (void)row;
    json_member(d, key, value);
}

static void put_standing(json_document *d, cJSON *row, const coaming_ship *ship, int closure,
                         put_value *put)
{
    put(d, row, "result", json_text(result_word(coaming_closure_result(ship, closure))));
    put(d, row, "result_date", json_date(coaming_closure_tested(ship, closure)));
    put(d, row, "result_method", json_text(coaming_closure_method(ship, closure)));
    put(d, row, "looked_at", json_date(coaming_closure_looked_at(ship, closure)));
}

void json_standing(json_document *d, cJSON *row, const coaming_ship *ship, int closure)
{
    put_standing(d, row, ship, closure, json_add);
}

void json_member_standing(json_document *d, const coaming_ship *ship, int closure)
{
    put_standing(d, NULL, ship, closure, put_member);
}
