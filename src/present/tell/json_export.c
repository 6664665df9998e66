#include <math.h>

#include "analyse/ranking/scenarios.h"
#include "base/error.h"
#include "coaming/present.h"
#include "present/tell/drop_words.h"
#include "present/tell/heading.h"
#include "present/tell/json_parts.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"
#include "ship/fields.h"
#include "ship/state.h"

static cJSON *loading_row(json_document *d, const coaming_ship *s, const ship_loading *l)
{
    cJSON *row = json_object(d), *contents = json_array(d);
    json_add(d, row, "id", json_text(l->id));
    json_add(d, row, "name", json_text(l->name));
    json_add(d, row, "draft", json_number(l->draught));
    json_add(d, row, "trim", json_number(l->trim));
    json_add(d, row, "kg", json_number(l->kg));
    json_add(d, row, "lcg", json_number(l->lcg));
    json_add(d, row, "tcg", json_number(l->tcg));
    json_add(d, row, "index",
             json_text(l->role < COAMING_INDEX_NONE ? index_role_words[l->role] : NULL));
    for (size_t i = 0; i < l->content_count; i++) {
        cJSON *content = json_object(d);
        json_add(d, content, "space", json_text(s->spaces[l->contents[i].space].id));
        json_add(d, content, "fill", json_number(l->contents[i].fill));
        json_add(d, content, "density", json_number(l->contents[i].density));
        json_append(d, contents, content);
    }
    json_add(d, row, "contents", contents);
    return row;
}

cJSON *json_principal(json_document *d, const coaming_ship *s)
{
    cJSON *row = json_object(d);
    json_add(d, row, "length", json_number(s->length));
    json_add(d, row, "beam", json_number(s->beam));
    json_add(d, row, "depth", json_number(s->depth));
    json_add(d, row, "draft", json_number(s->draught));
    json_add(d, row, "density", json_number(s->density));
    json_add(d, row, "kg", json_number(s->kg));
    json_add(d, row, "lcg", json_number(s->lcg));
    json_add(d, row, "tcg", json_number(s->tcg));
    json_add(d, row, "bulkhead_deck",
             json_text(s->bulkhead_deck >= 0 ? s->decks[s->bulkhead_deck].id : NULL));
    json_add(d, row, "persons", json_number(s->persons));
    return row;
}

static cJSON *pairs(json_document *d, const double *numbers, size_t count)
{
    cJSON *list = json_array(d);
    for (size_t i = 0; i < count; i++) {
        cJSON *pair = json_array(d);
        json_append(d, pair, json_number(numbers[2 * i]));
        json_append(d, pair, json_number(numbers[2 * i + 1]));
        json_append(d, list, pair);
    }
    return list;
}

static void export_principal(json_document *d, const coaming_ship *s)
{
    json_member(d, "principal", json_principal(d, s));
    if (s->frames.given) {
        cJSON *f = json_object(d);
        json_add(d, f, "spacing", json_number(s->frames.spacing));
        json_add(d, f, "zero", json_number(s->frames.zero));
        json_member(d, "frames", f);
    }
    json_list_open(d, "hull");
    for (size_t i = 0; i < s->section_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "x", json_number(s->sections[i].x));
        json_add(d, row, "offsets", pairs(d, s->sections[i].offsets, s->sections[i].offset_count));
        json_item(d, row);
    }
    json_list_close(d);
    json_list_open(d, "decks");
    for (size_t i = 0; i < s->deck_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "id", json_text(s->decks[i].id));
        json_add(d, row, "name", json_text(s->decks[i].name));
        json_add(d, row, "z", json_number(s->decks[i].z));
        json_item(d, row);
    }
    json_list_close(d);
    json_list_open(d, "conditions");
    for (size_t i = 0; i < s->condition_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "id", json_text(s->conditions[i].id));
        json_add(d, row, "name", json_text(s->conditions[i].name));
        json_item(d, row);
    }
    json_list_close(d);
    json_list_open(d, "loadings");
    for (size_t i = 0; i < s->loading_count; i++)
        json_item(d, loading_row(d, s, &s->loadings[i]));
    json_list_close(d);
}

static cJSON *solids(json_document *d, const ship_space *s)
{
    cJSON *list = json_array(d);
    for (size_t i = 0; i < s->solid_count; i++) {
        const solid *part = &s->solids[i];
        cJSON *row = json_object(d), *z = json_array(d);
        json_append(d, z, json_number(part->z0));
        json_append(d, z, json_number(part->z1));
        json_add(d, row, "z", z);
        json_add(d, row, "outline", pairs(d, part->outline, part->corners));
        json_add(d, row, "derived", json_bool(part->derived));
        json_append(d, list, row);
    }
    return list;
}

static cJSON *field_value(const ship_field *f, const void *item)
{
    switch (f->kind) {
    case FIELD_NUMBER:
    case FIELD_LENGTH:
        return json_number(field_number(f, item));
    case FIELD_YES_NO:
        return json_bool(field_yes(f, item));
    case FIELD_DATE:
        return json_date(field_date(f, item));
    default:
        return json_text(field_text(f, item));
    }
}

/* The columns first to last, all of them plain fields. */
static void add_fields(json_document *d, cJSON *row, coaming_list list, int first, int last,
                       const void *item)
{
    for (int c = first; c <= last; c++)
        json_add(d, row, field_of(list, c)->key, field_value(field_of(list, c), item));
}

cJSON *json_space_row(json_document *d, const coaming_ship *s, size_t space)
{
    const ship_space *p = &s->spaces[space];
    cJSON *row = json_object(d);
    add_fields(d, row, COAMING_LIST_SPACES, SPACE_ID, SPACE_NUMBER, p);
    json_add(d, row, "deck", json_text(p->deck >= 0 ? s->decks[p->deck].id : NULL));
    add_fields(d, row, COAMING_LIST_SPACES, SPACE_USE, SPACE_WALKABLE, p);
    json_add(d, row, "volume", json_number(p->volume));
    json_add(d, row, "outside", json_number(p->outside));
    json_add(d, row, "derived", json_bool(p->derived));
    json_add(d, row, "solids", solids(d, p));
    return row;
}

static void export_spaces(json_document *d, const coaming_ship *s)
{
    json_list_open(d, "spaces");
    for (size_t i = 0; i < s->space_count; i++)
        json_item(d, json_space_row(d, s, i));
    json_list_close(d);
}

static cJSON *clear_row(json_document *d, const opening *o)
{
    cJSON *row = json_object(d);
    json_add(d, row, "x", json_number(o->given ? o->x : NAN));
    json_add(d, row, "y", json_number(o->given ? o->y : NAN));
    json_add(d, row, "z", json_number(o->z));
    json_add(d, row, "width", json_number(o->given ? o->width : NAN));
    json_add(d, row, "height", json_number(o->given ? o->height : NAN));
    json_add(d, row, "lies", json_text(o->given ? attitude_words[o->lies] : NULL));
    return row;
}

static cJSON *event_row(json_document *d, const coaming_ship *s, const ship_event *e)
{
    cJSON *row = json_object(d);
    coaming_drop drop = e->dropped ? event_drop(s, e) : (coaming_drop){0};
    bool test = e->kind == EVENT_TEST;
    json_add(d, row, "event", json_text(test ? "test" : "repair"));
    json_add(d, row, "date", json_date(e->date));
    if (test) {
        json_add(d, row, "method", json_text(method_words[e->method]));
        json_add(d, row, "result", json_text(result_word(e->result)));
        cJSON *gaps = json_array(d);
        for (size_t i = 0; i < e->gap_count; i++) {
            cJSON *g = json_object(d);
            json_add(d, g, "at", json_number(e->gaps[i].at));
            json_add(d, g, "length", json_number(e->gaps[i].length));
            json_add(
                d, g, "seen",
                json_text(e->gaps[i].seen < SEEN_NOTHING ? sight_words[e->gaps[i].seen] : NULL));
            json_append(d, gaps, g);
        }
        json_add(d, row, "gaps", gaps);
        json_add(d, row, "set", json_number(e->set));
        json_add(d, row, "hinge_play", json_number(e->hinge_play));
        json_drop(d, row, s, e->dropped ? &drop : NULL);
    } else {
        json_add(d, row, "action", json_text(action_words[e->action]));
    }
    json_add(d, row, "by", json_text(e->by));
    json_add(d, row, "note", json_text(e->note));
    return row;
}

cJSON *json_link_row(json_document *d, const coaming_ship *s, size_t link)
{
    const ship_link *l = &s->links[link];
    cJSON *row = json_object(d), *between = json_array(d);
    json_append(d, between, json_place(s, l->a));
    json_append(d, between, json_place(s, l->b));
    add_fields(d, row, COAMING_LIST_CLOSURES, LINK_ID, LINK_NAME, l);
    json_add(d, row, "kind", json_text(link_kind_word(l->kind)));
    json_add(d, row, "between", between);
    json_add(d, row, "clear", clear_row(d, &l->clear));
    return row;
}

static cJSON *space_id(const coaming_ship *s, int space)
{
    return json_text(space >= 0 ? s->spaces[space].id : NULL);
}

/* The spaces that it hangs on. */
static void add_hanging(json_document *d, cJSON *row, const coaming_ship *s, int power, int control)
{
    json_add(d, row, "power", space_id(s, power));
    json_add(d, row, "control", space_id(s, control));
}

/* null: shut in every condition; else the list of those in which it is shut. */
static cJSON *shut_in(json_document *d, const coaming_ship *s, const ship_link *l)
{
    if (l->always)
        return cJSON_CreateNull();
    cJSON *list = json_array(d);
    for (size_t c = 0; c < s->condition_count; c++)
        if (l->shut_in[c])
            json_append(d, list, json_text(s->conditions[c].id));
    return list;
}

static cJSON *given_numbers(json_document *d, const double *values, size_t count)
{
    return values ? json_numbers(d, values, count, 1) : cJSON_CreateNull();
}

cJSON *json_closure_row(json_document *d, const coaming_ship *s, size_t i, int condition)
{
    const ship_link *l = &s->links[i];
    cJSON *row = json_link_row(d, s, i), *events = json_array(d);
    add_fields(d, row, COAMING_LIST_CLOSURES, LINK_RATING, LINK_RATING, l);
    json_add(d, row, "from", json_text(l->one_sided ? coaming_place_id(s, l->from) : "both"));
    json_add(d, row, "shut_in", shut_in(d, s, l));
    json_add(d, row, "shut", json_bool(link_shut(l, condition)));
    add_fields(d, row, COAMING_LIST_CLOSURES, LINK_PROTECTED, LINK_FITTED, l);
    add_hanging(d, row, s, l->power, l->control);
    add_fields(d, row, COAMING_LIST_CLOSURES, LINK_HOURS, LINK_PROTECTED - 1, l);
    add_fields(d, row, COAMING_LIST_CLOSURES, LINK_GASKET_FITTED, LINK_GASKET_SECTION, l);
    json_add(d, row, "gasket_joints", given_numbers(d, l->gasket_joints, l->gasket_joint_count));
    json_add(d, row, "dog_count", json_number((double)l->dog_count));
    json_add(d, row, "dogs", given_numbers(d, l->dogs, l->dog_count));
    json_standing(d, row, s, (int)i);
    json_add(d, row, "tested", json_date(coaming_closure_tested(s, (int)i)));
    for (size_t e = 0; e < l->event_count; e++)
        json_append(d, events, event_row(d, s, &l->events[e]));
    json_add(d, row, "events", events);
    return row;
}

static void export_links(json_document *d, const coaming_ship *s, int condition)
{
    json_list_open(d, "closures");
    for (size_t i = 0; i < s->closure_count; i++)
        json_item(d, json_closure_row(d, s, i, condition));
    json_list_close(d);
    json_list_open(d, "passages");
    for (size_t i = s->closure_count; i < s->link_count; i++)
        json_item(d, json_link_row(d, s, i));
    json_list_close(d);
}

static void export_pumps(json_document *d, const coaming_ship *s)
{
    json_list_open(d, "pumps");
    for (const ship_pump *p = s->pumps; p < s->pumps + s->pump_count; p++) {
        cJSON *row = json_object(d);
        add_fields(d, row, COAMING_LIST_PUMPS, PUMP_ID, PUMP_NAME, p);
        json_add(d, row, "space", space_id(s, p->space));
        add_fields(d, row, COAMING_LIST_PUMPS, PUMP_CAPACITY, PUMP_CAPACITY, p);
        json_add(d, row, "serves", json_space_ids(d, s, p->serves, p->serve_count));
        add_hanging(d, row, s, p->power, p->control);
        json_item(d, row);
    }
    json_list_close(d);
}

static void export_fans(json_document *d, const coaming_ship *s)
{
    json_list_open(d, "fans");
    for (const ship_fan *f = s->fans; f < s->fans + s->fan_count; f++) {
        cJSON *row = json_object(d);
        add_fields(d, row, COAMING_LIST_FANS, FAN_ID, FAN_NAME, f);
        json_add(d, row, "supplies", space_id(s, f->supplies));
        add_fields(d, row, COAMING_LIST_FANS, FAN_FLOW, FAN_PRESSURE, f);
        json_item(d, row);
    }
    json_list_close(d);
}

static coaming_status export_scenarios(json_document *d, const coaming_ship *s,
                                       coaming_error *error)
{
    scenario *list = memory_new(scenarios_room(s), sizeof *list);
    if (!list)
        return error_memory(error);
    json_list_open(d, "scenarios");
    for (int h = 0; h < COAMING_HAZARDS; h++) {
        size_t count = scenarios_for(s, (coaming_hazard)h, list);
        for (size_t i = 0; i < count; i++) {
            cJSON *row = json_object(d);
            json_add(d, row, "hazard", json_text(coaming_hazard_word(list[i].hazard)));
            json_add(d, row, "source", json_place(s, list[i].source));
            json_add(d, row, "weight", json_number(list[i].weight));
            json_item(d, row);
        }
    }
    json_list_close(d);
    memory_free(list);
    return COAMING_OK;
}

static void export_estimates(json_document *d, const coaming_ship *s)
{
    json_list_open(d, "ageing");
    for (size_t i = 0; i < s->ageing_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "kind", json_text(link_kind_word(s->ageings[i].kind)));
        json_add(d, row, "eta_years", json_number(s->ageings[i].eta_years));
        json_add(d, row, "beta", json_number(s->ageings[i].beta));
        json_item(d, row);
    }
    json_list_close(d);
    json_list_open(d, "methods");
    for (size_t i = 0; i < s->method_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "name", json_text(method_words[s->methods[i].method]));
        json_add(d, row, "sensitivity", json_number(s->methods[i].sensitivity));
        json_add(d, row, "specificity", json_number(s->methods[i].specificity));
        json_add(d, row, "proves", json_bool(s->methods[i].proves));
        json_item(d, row);
    }
    json_list_close(d);
    json_list_open(d, "repairing");
    for (size_t i = 0; i < s->repairing_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "action", json_text(action_words[s->repairings[i].action]));
        json_add(d, row, "success", json_number(s->repairings[i].success));
        json_item(d, row);
    }
    json_list_close(d);
    json_list_open(d, "intervals");
    for (size_t i = 0; i < s->interval_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "kind", json_text(link_kind_word(s->intervals[i].kind)));
        json_add(d, row, "method", json_text(method_words[s->intervals[i].method]));
        json_add(d, row, "days", json_number(s->intervals[i].days));
        json_add(d, row, "minutes",
                 json_number(s->intervals[i].minutes >= 0 ? s->intervals[i].minutes : NAN));
        json_item(d, row);
    }
    json_list_close(d);
    json_list_open(d, "zones");
    for (size_t i = 0; i < s->zone_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "from", json_number(s->zones[i].from));
        json_add(d, row, "to", json_number(s->zones[i].to));
        json_item(d, row);
    }
    json_list_close(d);
}

coaming_status coaming_print_export(FILE *out, const coaming_ship *ship, coaming_exposure *exposure,
                                    const coaming_rank_options *rank, coaming_error *error)
{
    coaming_rank_options all = *rank;
    json_document d;
    if (!rank->outset)
        return outset_missing(error);
    all.top = 0;
    all.standing = 0;
    json_open(&d, out);
    json_head_at(&d, "export", &rank->query, rank->outset);
    json_member(&d, "measure", json_text(coaming_measure_word(rank->measure)));
    json_member(&d, "caution", json_text(coaming_caution_at(rank->query.level)));
    export_principal(&d, ship);
    export_spaces(&d, ship);
    export_links(&d, ship, rank->query.condition);
    export_pumps(&d, ship);
    export_fans(&d, ship);
    export_estimates(&d, ship);
    json_risk_head(&d, rank->risk, rank->query.level);
    coaming_status status = export_scenarios(&d, ship, error);
    if (status == COAMING_OK)
        status = json_expose_rows(&d, "expose", ship, exposure, error);
    if (status == COAMING_OK)
        status = json_rank_rows(&d, "rank", ship, &all, error);
    coaming_status closed = json_close(&d, error);
    return status == COAMING_OK ? closed : status;
}
