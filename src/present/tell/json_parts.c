#include "present/tell/json_parts.h"

#include "present/tell/seen_words.h"

static const char *closure_name(const void *of, const char *closure)
{
    const coaming_ship *ship = of;
    int link = id_index_find(&ship->link_ids, closure);
    return link >= 0 ? ship->links[link].name : NULL;
}

sheet_names names_of(const coaming_ship *ship)
{
    return ship ? (sheet_names){closure_name, ship} : (sheet_names){NULL, NULL};
}

typedef struct {
    const coaming_ship *ship;
    const int *list;
} listed;

static const char *space_id_at(const void *of, size_t i)
{
    const listed *l = of;
    return l->ship->spaces[l->list[i]].id;
}

static const char *link_id_at(const void *of, size_t i)
{
    const listed *l = of;
    return l->list[i] < 0 ? NULL : l->ship->links[l->list[i]].id;
}

cJSON *json_space_ids(json_document *d, const coaming_ship *ship, const int *spaces, size_t count)
{
    return json_texts(d, space_id_at, &(listed){ship, spaces}, count);
}

cJSON *json_numbers(json_document *d, const double *values, size_t count, double worth)
{
    cJSON *list = json_array(d);
    for (size_t i = 0; i < count; i++)
        json_append(d, list, json_number(worth * values[i]));
    return list;
}

cJSON *json_place(const coaming_ship *ship, coaming_place place)
{
    return json_text(coaming_place_id(ship, place));
}

cJSON *json_link_ids(json_document *d, const coaming_ship *ship, const int *links, size_t count)
{
    return json_texts(d, link_id_at, &(listed){ship, links}, count);
}

void json_head(json_document *d, const char *command, const coaming_ship *ship,
               const coaming_query *query)
{
    int condition = query ? query->condition : COAMING_NO_CONDITION;
    int loading = query ? query->loading : COAMING_NO_LOADING;
    char format[64];
    snprintf(format, sizeof format, "coaming/%s/1", command);
    json_member(d, "format", json_text(format));
    json_member(d, "ship", json_text(ship ? ship->name : NULL));
    json_member(d, "condition",
                json_text(condition >= 0 && ship ? ship->conditions[condition].id : NULL));
    json_member(d, "loading", json_text(loading >= 0 && ship ? ship->loadings[loading].id : NULL));
    json_member(d, "as_of", json_date(ship ? ship->as_of : COAMING_NO_DATE));
    json_member_seen(d, ship);
}

static const char *level_word(coaming_level level)
{
    return level.kind == COAMING_LEVEL_FULL          ? "full"
           : level.kind == COAMING_LEVEL_EQUILIBRIUM ? "equilibrium"
                                                     : "still";
}

cJSON *json_level(coaming_level level)
{
    return level.kind == COAMING_LEVEL_AT ? json_number(level.height)
                                          : json_text(level_word(level));
}

cJSON *json_entries(json_document *d, const coaming_ship *ship, const char *by,
                    const coaming_inflow *entries, size_t count)
{
    cJSON *list = json_array(d);
    for (size_t i = 0; i < count; i++) {
        cJSON *row = json_object(d);
        const char *link = entries[i].link >= 0 ? ship->links[entries[i].link].id : NULL;
        json_add(d, row, by, json_text(link));
        json_add(d, row, "to", json_text(ship->spaces[entries[i].space].id));
        json_append(d, list, row);
    }
    return list;
}

void json_member_let_in(json_document *d, const coaming_outset *outset)
{
    const coaming_ship *ship = coaming_outset_ship(outset);
    const coaming_rest *rest = coaming_outset_rest(outset);
    size_t count = 0;
    const coaming_inflow *entries = coaming_outset_let_in(outset, &count);
    cJSON *list = json_array(d);
    for (size_t i = 0; i < count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "space", json_text(ship->spaces[entries[i].space].id));
        json_add(d, row, "by", json_text(ship->links[entries[i].link].id));
        json_append(d, list, row);
    }
    json_member(d, "let_in", list);
    json_member(d, "let_in_grade",
                json_text(rest ? coaming_grade_word(rest->stability.grade) : NULL));
}

void json_member_level(json_document *d, coaming_level level)
{
    json_member(d, "level", json_level(level));
}

void json_head_at(json_document *d, const char *command, const coaming_query *query,
                  const coaming_outset *outset)
{
    json_head(d, command, coaming_outset_ship(outset), query);
    json_member_level(d, query->level);
    json_member_let_in(d, outset);
}
