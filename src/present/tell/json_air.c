#include <math.h>

#include "base/memory.h"
#include "coaming/present.h"
#include "csv/table.h"
#include "present/tell/air_words.h"
#include "present/tell/json_parts.h"
#include "present/tell/views.h"

static void put_sources(json_document *d, const coaming_ship *ship, const coaming_air_options *o)
{
    json_list_open(d, "sources");
    for (size_t i = 0; i < o->source_count; i++) {
        const coaming_air_source *s = &o->sources[i];
        cJSON *row = json_object(d);
        bool outside = s->place == COAMING_WEATHER;
        json_add(d, row, "place", json_place(ship, s->place));
        json_add(d, row, "agent", json_text(coaming_agent_word(s->agent)));
        json_add(d, row, "rate", json_number(outside ? NAN : s->rate * COAMING_MOLAR_VOLUME));
        json_add(d, row, "concentration", json_number(outside ? 1e6 * s->rate : NAN));
        json_item(d, row);
    }
    json_list_close(d);
}

static void put_changes(json_document *d, const coaming_ship *ship, const coaming_air_options *o)
{
    json_list_open(d, "changes");
    for (size_t i = 0; i < o->change_count; i++) {
        const coaming_air_change *c = &o->changes[i];
        bool fan = c->kind == COAMING_AIR_CHANGE_FAN_ON || c->kind == COAMING_AIR_CHANGE_FAN_OFF;
        bool end = c->kind == COAMING_AIR_CHANGE_END;
        const char *of = air_changed(ship, c);
        cJSON *row = json_object(d);
        json_add(d, row, "t", json_number(c->t));
        json_add(d, row, "what", json_text(coaming_air_change_word(c->kind)));
        json_add(d, row, "closure", json_text(fan || end ? NULL : of));
        json_add(d, row, "fan", json_text(fan ? of : NULL));
        json_add(d, row, "place", json_text(end ? of : NULL));
        json_item(d, row);
    }
    json_list_close(d);
}

static void put_courses(json_document *d, const coaming_ship *ship, const coaming_air_answer *a)
{
    json_member(d, "times", json_numbers(d, a->times, a->time_count, 1));
    json_list_open(d, "spaces");
    for (size_t i = 0; i < a->course_count; i++) {
        const coaming_air_course *c = &a->courses[i];
        cJSON *row = json_object(d);
        json_add(d, row, "space", json_text(ship->spaces[c->space].id));
        json_add(d, row, "agent", json_text(coaming_agent_word(c->agent)));
        json_add(d, row, "concentration", json_numbers(d, c->share, a->time_count, 1e6));
        json_add(d, row, "dose", json_numbers(d, c->dose, a->time_count, 1e6 / 60));
        json_item(d, row);
    }
    json_list_close(d);
    json_list_open(d, "effects");
    for (size_t i = 0; i < a->harm_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "space", json_text(ship->spaces[a->harms[i].space].id));
        json_add(d, row, "fed", json_numbers(d, a->harms[i].fed, a->time_count, 1));
        json_item(d, row);
    }
    json_list_close(d);
}

static void put_events(json_document *d, const coaming_ship *ship, const coaming_air_answer *a)
{
    json_list_open(d, "events");
    for (size_t i = 0; i < a->event_count; i++) {
        const coaming_air_event *e = &a->events[i];
        cJSON *row = json_object(d);
        json_add(d, row, "t", json_number(e->t));
        json_add(d, row, "what", json_text("limit"));
        json_add(d, row, "space", json_text(ship->spaces[e->space].id));
        json_add(d, row, "limit", json_text(e->limit->name));
        json_add(d, row, "published", json_text(e->limit->source));
        json_add(d, row, "by", json_text(e->by < 0 ? NULL : ship->links[e->by].id));
        json_add(d, row, "state", json_text(e->by < 0 ? NULL : coaming_air_state_word(e->state)));
        json_item(d, row);
    }
    json_list_close(d);
}

static void put_shuttings(json_document *d, const coaming_ship *ship, const coaming_air_answer *a)
{
    json_list_open(d, "shut_now");
    for (size_t i = 0; i < a->shutting_count; i++) {
        const coaming_air_shutting *s = &a->shuttings[i];
        cJSON *row = json_object(d);
        json_add(d, row, "closure", json_text(ship->links[s->closure].id));
        json_add(d, row, "space", json_text(ship->spaces[s->space].id));
        json_add(d, row, "before", json_number(s->before));
        json_add(d, row, "after", json_number(s->after));
        json_add(d, row, "kept", json_space_ids(d, ship, s->kept, s->kept_count));
        json_add(d, row, "worse", json_space_ids(d, ship, s->worse, s->worse_count));
        json_add(d, row, "latest",
                 s->latest ? json_numbers(d, s->latest, s->kept_count, 1) : json_text(NULL));
        json_item(d, row);
    }
    json_list_close(d);
}

static cJSON *pressure_row(json_document *d, const coaming_ship *ship, size_t space,
                           const coaming_air_space *of)
{
    cJSON *row = json_object(d);
    json_add(d, row, "space", json_text(ship->spaces[space].id));
    json_add(d, row, "volume", json_number(of->volume));
    json_add(d, row, "pressure", json_number(of->pressure));
    json_add(d, row, "changes_per_hour", json_number(of->changes));
    json_add(d, row, "sealed", json_bool(of->sealed));
    return row;
}

static cJSON *way_row(json_document *d, const coaming_ship *ship, const coaming_air_way *w)
{
    cJSON *row = json_object(d);
    json_add(d, row, "link", json_text(ship->links[w->link].id));
    json_add(d, row, "from", json_place(ship, ship->links[w->link].a));
    json_add(d, row, "to", json_place(ship, ship->links[w->link].b));
    json_add(d, row, "state", json_text(coaming_air_state_word(w->state)));
    json_add(d, row, "area", json_number(w->area));
    json_add(d, row, "size_assumed", json_bool(w->size_assumed));
    json_add(d, row, "leak_assumed", json_bool(w->leak_assumed));
    json_add(d, row, "drop", json_number(w->drop));
    json_add(d, row, "forth", json_number(w->forth));
    json_add(d, row, "back", json_number(w->back));
    return row;
}

static void put_ways(json_document *d, const coaming_ship *ship, const coaming_air_answer *a)
{
    json_list_open(d, "pressures");
    for (size_t s = 0; s < ship->space_count; s++)
        json_item(d, pressure_row(d, ship, s, &a->spaces[s]));
    json_list_close(d);
    json_list_open(d, "links");
    for (size_t i = 0; i < a->way_count; i++)
        json_item(d, way_row(d, ship, &a->ways[i]));
    json_list_close(d);
}

static void put_later(json_document *d, const coaming_ship *ship, const coaming_air_answer *a)
{
    json_list_open(d, "later");
    for (size_t i = 1; i < a->stretch_count; i++) {
        const coaming_air_stretch *then = &a->stretches[i];
        cJSON *row = json_object(d), *pressures = json_array(d), *links = json_array(d);
        for (size_t s = 0; s < ship->space_count; s++)
            json_append(d, pressures, pressure_row(d, ship, s, &then->spaces[s]));
        for (size_t k = 0; k < a->way_count; k++)
            json_append(d, links, way_row(d, ship, &then->ways[k]));
        json_add(d, row, "t", json_number(then->from));
        json_add(d, row, "pressures", pressures);
        json_add(d, row, "links", links);
        json_item(d, row);
    }
    json_list_close(d);
}

static cJSON *cost_rows(json_document *d, const coaming_ship *ship, const coaming_air_shelter *s)
{
    cJSON *costs = json_array(d);
    for (size_t i = 0; i < s->cost_count; i++) {
        cJSON *cost = json_object(d);
        json_add(d, cost, "link", json_text(ship->links[s->costs[i].link].id));
        json_add(d, cost, "flow", json_number(s->costs[i].flow));
        json_add(d, cost, "sound", json_number(s->costs[i].sound));
        json_append(d, costs, cost);
    }
    return costs;
}

static void put_shelters(json_document *d, const coaming_ship *ship, const coaming_air_answer *a)
{
    json_list_open(d, "shelters");
    for (size_t i = 0; i < a->shelter_count; i++) {
        const coaming_air_shelter *s = &a->shelters[i];
        cJSON *row = json_object(d);
        json_add(d, row, "spaces", json_space_ids(d, ship, s->spaces, s->space_count));
        json_add(d, row, "fan_flow", json_number(s->fan));
        json_add(d, row, "pressure", json_number(s->pressure));
        json_add(d, row, "later", json_numbers(d, s->later, a->stretch_count - 1, 1));
        json_add(d, row, "needed_flow", json_number(s->needed));
        json_add(d, row, "clean_pressure", json_number(s->clean));
        json_add(d, row, "clean_flow", json_number(s->clean_flow));
        json_add(d, row, "costs", cost_rows(d, ship, s));
        json_item(d, row);
    }
    json_list_close(d);
}

coaming_status json_air(FILE *out, const coaming_air *air, coaming_error *error)
{
    const coaming_ship *ship = coaming_air_ship(air);
    const coaming_air_options *o = coaming_air_asked(air);
    const coaming_air_answer *a = coaming_air_get(air);
    coaming_query query = coaming_query_default();
    json_document d;
    query.condition = o->condition;
    json_open(&d, out);
    json_head(&d, "air", ship, &query);
    json_member(&d, "caution", json_text(coaming_air_caution()));
    json_member(&d, "wind", json_number(o->wind));
    json_member(&d, "wind_from", json_number(o->wind_from));
    json_member(&d, "outside", json_number(o->outside));
    json_member(&d, "inside", json_number(o->inside));
    json_member(&d, "overpressure", json_number(o->overpressure));
    json_member(&d, "filtered", json_bool(o->filtered));
    json_member(&d, "activity", json_text(coaming_activity_word(o->activity)));
    put_sources(&d, ship, o);
    put_changes(&d, ship, o);
    put_courses(&d, ship, a);
    put_events(&d, ship, a);
    put_shuttings(&d, ship, a);
    put_ways(&d, ship, a);
    put_later(&d, ship, a);
    put_shelters(&d, ship, a);
    json_member(&d, "unbalanced", json_number(a->unbalanced));
    return json_close(&d, error);
}

static double fed_of(const coaming_air_answer *a, int space, size_t moment)
{
    for (size_t i = 0; i < a->harm_count; i++)
        if (a->harms[i].space == space)
            return a->harms[i].fed[moment];
    return NAN;
}

coaming_status csv_air(FILE *out, const coaming_air *air)
{
    const coaming_ship *ship = coaming_air_ship(air);
    const coaming_air_answer *a = coaming_air_get(air);
    static const char *const heads[] = {"t", "space", "agent", "concentration", "dose", "fed"};
    csv_writer w = {out, false};
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++)
        csv_text(&w, heads[i]);
    csv_end_row(&w);
    for (size_t t = 0; t < a->time_count; t++)
        for (size_t i = 0; i < a->course_count; i++) {
            const coaming_air_course *c = &a->courses[i];
            csv_number(&w, a->times[t]);
            csv_text(&w, ship->spaces[c->space].id);
            csv_text(&w, coaming_agent_word(c->agent));
            csv_number(&w, 1e6 * c->share[t]);
            csv_number(&w, 1e6 / 60 * c->dose[t]);
            csv_number(&w, fed_of(a, c->space, t));
            csv_end_row(&w);
        }
    return COAMING_OK;
}

coaming_status json_tightness(FILE *out, const coaming_tightness_answer *a, coaming_error *error)
{
    json_document d;
    json_open(&d, out);
    json_head(&d, "air-drop", a->ship, NULL);
    json_member(&d, "caution", json_text(coaming_test_caution()));
    json_member(&d, "space", json_text(a->ship->spaces[a->space].id));
    json_member(&d, "volume", json_number(a->drop.volume));
    json_member(&d, "from", json_number(a->drop.from));
    json_member(&d, "to", json_number(a->drop.to));
    json_member(&d, "seconds", json_number(a->drop.seconds));
    json_member(&d, "c", json_number(a->leak.c));
    json_member(&d, "n", json_number(a->leak.n));
    json_member(&d, "area", json_number(a->leak.c / COAMING_ORIFICE));
    json_member(&d, "flow_at_50", json_number(coaming_leak_flow(a->leak, 50)));
    return json_close(&d, error);
}
