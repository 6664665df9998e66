#include "ship/ship.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/text.h"

#define WORD(code, word) word,
const char *const closure_kind_words[] = {CLOSURE_KINDS(WORD) NULL};
const char *const passage_kind_words[] = {PASSAGE_KINDS(WORD) NULL};
const char *const rating_words[] = {RATINGS(WORD) NULL};
const char *const attitude_words[] = {ATTITUDES(WORD) NULL};
const char *const method_words[] = {METHODS(WORD) NULL};
const char *const result_words[] = {RESULTS(WORD) NULL};
const char *const action_words[] = {ACTIONS(WORD) NULL};
const char *const sight_words[] = {SIGHTS(WORD) NULL};
const char *const index_role_words[] = {INDEX_ROLES(WORD) NULL};

const char *link_kind_word(link_kind kind)
{
    static const char *const words[] = {CLOSURE_KINDS(WORD) PASSAGE_KINDS(WORD) NULL};
    return words[kind];
}
#undef WORD

void coaming_ship_free(coaming_ship *ship)
{
    if (!ship)
        return;
    arena memory = ship->memory;
    arena_free(&memory);
    memory_free(ship);
}

const char *coaming_ship_name(const coaming_ship *ship)
{
    return ship->name;
}

coaming_date coaming_ship_as_of(const coaming_ship *ship)
{
    return ship->as_of;
}

size_t coaming_space_count(const coaming_ship *ship)
{
    return ship->space_count;
}

size_t coaming_closure_count(const coaming_ship *ship)
{
    return ship->closure_count;
}

size_t coaming_passage_count(const coaming_ship *ship)
{
    return ship->link_count - ship->closure_count;
}

size_t coaming_deck_count(const coaming_ship *ship)
{
    return ship->deck_count;
}

size_t coaming_condition_count(const coaming_ship *ship)
{
    return ship->condition_count;
}

size_t coaming_loading_count(const coaming_ship *ship)
{
    return ship->loading_count;
}

size_t coaming_space_derived_count(const coaming_ship *ship)
{
    size_t count = 0;
    for (size_t i = 0; i < ship->space_count; i++)
        count += ship->spaces[i].derived;
    return count;
}

bool coaming_ship_floats(const coaming_ship *ship, int loading)
{
    return loading >= 0 || !isnan(ship->kg);
}

const char *coaming_space_id(const coaming_ship *ship, int space)
{
    return ship->spaces[space].id;
}

const char *coaming_space_name(const coaming_ship *ship, int space)
{
    return ship->spaces[space].name;
}

double coaming_space_volume(const coaming_ship *ship, int space)
{
    return ship->spaces[space].volume;
}

const char *coaming_deck_id(const coaming_ship *ship, int deck)
{
    return ship->decks[deck].id;
}

const char *coaming_deck_name(const coaming_ship *ship, int deck)
{
    return ship->decks[deck].name;
}

const char *coaming_condition_id(const coaming_ship *ship, int condition)
{
    return ship->conditions[condition].id;
}

const char *coaming_condition_name(const coaming_ship *ship, int condition)
{
    return ship->conditions[condition].name;
}

const char *coaming_loading_id(const coaming_ship *ship, int loading)
{
    return ship->loadings[loading].id;
}

const char *coaming_loading_name(const coaming_ship *ship, int loading)
{
    return ship->loadings[loading].name;
}

coaming_index_role coaming_loading_role(const coaming_ship *ship, int loading)
{
    return ship->loadings[loading].role;
}

size_t coaming_pump_count(const coaming_ship *ship)
{
    return ship->pump_count;
}

const char *coaming_pump_id(const coaming_ship *ship, int pump)
{
    return ship->pumps[pump].id;
}

const char *coaming_pump_name(const coaming_ship *ship, int pump)
{
    return ship->pumps[pump].name;
}

int coaming_pump_space(const coaming_ship *ship, int pump)
{
    return ship->pumps[pump].space;
}

double coaming_pump_capacity(const coaming_ship *ship, int pump)
{
    return ship->pumps[pump].capacity / 3600;
}

size_t coaming_pump_serve_count(const coaming_ship *ship, int pump)
{
    return ship->pumps[pump].serve_count;
}

int coaming_pump_serves(const coaming_ship *ship, int pump, size_t index)
{
    return ship->pumps[pump].serves[index];
}

int coaming_pump_power(const coaming_ship *ship, int pump)
{
    return ship->pumps[pump].power;
}

int coaming_pump_control(const coaming_ship *ship, int pump)
{
    return ship->pumps[pump].control;
}

size_t coaming_fan_count(const coaming_ship *ship)
{
    return ship->fan_count;
}

const char *coaming_fan_id(const coaming_ship *ship, int fan)
{
    return ship->fans[fan].id;
}

const char *coaming_fan_name(const coaming_ship *ship, int fan)
{
    return ship->fans[fan].name;
}

int coaming_fan_supplies(const coaming_ship *ship, int fan)
{
    return ship->fans[fan].supplies;
}

double coaming_fan_flow(const coaming_ship *ship, int fan)
{
    return ship->fans[fan].flow;
}

/* Negative stands for a number that the file does not give. */
static double given(double number)
{
    return number < 0 ? NAN : number;
}

double coaming_fan_pressure(const coaming_ship *ship, int fan)
{
    return given(ship->fans[fan].pressure);
}

double coaming_closure_collapse_head(const coaming_ship *ship, int closure)
{
    return given(ship->links[closure].collapse_head);
}

size_t coaming_closure_drop_count(const coaming_ship *ship, int closure)
{
    const ship_link *l = &ship->links[closure];
    size_t count = 0;
    for (size_t i = 0; i < l->event_count; i++)
        count += l->events[i].dropped;
    return count;
}

coaming_drop event_drop(const coaming_ship *ship, const ship_event *e)
{
    coaming_drop drop = e->drop;
    drop.date = e->date;
    if (isnan(drop.volume))
        drop.volume = ship->spaces[drop.space].volume;
    return drop;
}

coaming_drop coaming_closure_drop(const coaming_ship *ship, int closure, size_t index)
{
    const ship_event *e = ship->links[closure].events;
    while (!e->dropped || index-- > 0)
        e++;
    return event_drop(ship, e);
}

double coaming_closure_leak_area(const coaming_ship *ship, int closure)
{
    return given(ship->links[closure].leak_area);
}

bool coaming_closure_remote(const coaming_ship *ship, int closure)
{
    return ship->links[closure].remote;
}

int coaming_closure_power(const coaming_ship *ship, int closure)
{
    return ship->links[closure].power;
}

int coaming_closure_control(const coaming_ship *ship, int closure)
{
    return ship->links[closure].control;
}

const char *coaming_passage_id(const coaming_ship *ship, int passage)
{
    return coaming_link_id(ship, (int)ship->closure_count + passage);
}

const char *coaming_passage_name(const coaming_ship *ship, int passage)
{
    return coaming_link_name(ship, (int)ship->closure_count + passage);
}

const char *coaming_link_id(const coaming_ship *ship, int link)
{
    return ship->links[link].id;
}

const char *coaming_link_name(const coaming_ship *ship, int link)
{
    return ship->links[link].name;
}

const char *coaming_closure_id(const coaming_ship *ship, int closure)
{
    return ship->links[closure].id;
}

const char *coaming_closure_name(const coaming_ship *ship, int closure)
{
    return ship->links[closure].name;
}

coaming_result coaming_closure_result(const coaming_ship *ship, int closure)
{
    return ship->links[closure].result;
}

coaming_date coaming_closure_tested(const coaming_ship *ship, int closure)
{
    const ship_event *decided = ship->links[closure].decided;
    return decided ? decided->date : COAMING_NO_DATE;
}

const char *coaming_closure_method(const coaming_ship *ship, int closure)
{
    const ship_event *decided = ship->links[closure].decided;
    return decided ? method_words[decided->method] : NULL;
}

coaming_date coaming_closure_looked_at(const coaming_ship *ship, int closure)
{
    const ship_event *looked = ship->links[closure].looked;
    return looked ? looked->date : COAMING_NO_DATE;
}

const char *coaming_place_id(const coaming_ship *ship, coaming_place place)
{
    if (place == COAMING_SEA)
        return "sea";
    return place == COAMING_WEATHER ? "weather" : ship->spaces[place].id;
}

coaming_place outside_named(const char *id)
{
    return !strcmp(id, "sea") ? COAMING_SEA : !strcmp(id, "weather") ? COAMING_WEATHER : 0;
}

bool space_is_machinery_or_vital(const ship_space *s)
{
    return s->vital || (s->use && !strcmp(s->use, "machinery"));
}

bool ship_takes_passengers(const coaming_ship *ship)
{
    return ship->persons >= 13; /* not if it is NaN */
}

coaming_place link_other_side(const ship_link *l, coaming_place side)
{
    return l->a == side ? l->b : l->a;
}

/* Looking up. */

typedef struct {
    const char *id;
    int index;
} named;

static int by_id(const void *left, const void *right)
{
    const named *a = left, *b = right;
    int order = strcmp(a->id, b->id);
    return order ? order : (a->index > b->index) - (a->index < b->index);
}

bool id_index_make(id_index *index, arena *memory, size_t count, text_of_id text, const void *list)
{
    named *sorted = memory_new(count, sizeof *sorted);
    index->ids = arena_new(memory, count, sizeof *index->ids);
    index->index = arena_new(memory, count, sizeof *index->index);
    if (!sorted || !index->ids || !index->index) {
        memory_free(sorted);
        return false;
    }
    for (size_t i = 0; i < count; i++)
        sorted[i] = (named){text(list, i), (int)i};
    qsort(sorted, count, sizeof *sorted, by_id);
    for (size_t i = 0; i < count; i++) {
        index->ids[i] = sorted[i].id;
        index->index[i] = sorted[i].index;
    }
    index->count = count;
    memory_free(sorted);
    return true;
}

int id_index_find(const id_index *index, const char *id)
{
    size_t low = 0, high = index->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (strcmp(index->ids[middle], id) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low < index->count && !strcmp(index->ids[low], id) ? index->index[low] : -1;
}

static const char *nth_id(const void *from, size_t i)
{
    return ((const id_index *)from)->ids[i];
}

const char *id_index_nearest(const id_index *index, const char *id)
{
    return text_nearest(id, nth_id, index, index->count);
}

static coaming_status find(const coaming_ship *ship, const id_index *index, const char *what,
                           const char *id, int *found, coaming_error *error)
{
    int i = id_index_find(index, id);
    if (i >= 0) {
        *found = i;
        return COAMING_OK;
    }
    const char *near = id_index_nearest(index, id);
    return error_set(error, COAMING_UNKNOWN, "%s: %s %s: there is none%s%s", ship->path, what,
                     BRIEF(id), near ? "; the nearest is " : "", near ? BRIEF(near) : "");
}

coaming_status coaming_find_space(const coaming_ship *ship, const char *id, int *space,
                                  coaming_error *error)
{
    return find(ship, &ship->space_ids, "space", id, space, error);
}

coaming_status coaming_find_closure(const coaming_ship *ship, const char *id, int *closure,
                                    coaming_error *error)
{
    int i = id_index_find(&ship->link_ids, id);
    if (i >= 0 && ship->links[i].passage)
        return error_set(error, COAMING_UNKNOWN,
                         "%s: closure %s: that is a passage, which cannot be shut", ship->path,
                         BRIEF(id));
    if (i < 0 && id_index_find(&ship->space_ids, id) >= 0)
        return error_set(error, COAMING_UNKNOWN, "%s: closure %s: that is a space", ship->path,
                         BRIEF(id));
    return find(ship, &ship->link_ids, "closure", id, closure, error);
}

coaming_status coaming_find_deck(const coaming_ship *ship, const char *id, int *deck,
                                 coaming_error *error)
{
    return find(ship, &ship->deck_ids, "deck", id, deck, error);
}

coaming_status coaming_find_condition(const coaming_ship *ship, const char *id, int *condition,
                                      coaming_error *error)
{
    return find(ship, &ship->condition_ids, "condition", id, condition, error);
}

coaming_status coaming_find_loading(const coaming_ship *ship, const char *id, int *loading,
                                    coaming_error *error)
{
    return find(ship, &ship->loading_ids, "loading", id, loading, error);
}

coaming_status coaming_find_pump(const coaming_ship *ship, const char *id, int *pump,
                                 coaming_error *error)
{
    return find(ship, &ship->pump_ids, "pump", id, pump, error);
}

coaming_status coaming_find_fan(const coaming_ship *ship, const char *id, int *fan,
                                coaming_error *error)
{
    return find(ship, &ship->fan_ids, "fan", id, fan, error);
}

bool ship_connect(coaming_ship *ship)
{
    size_t n = ship->space_count;
    int *first = arena_new(&ship->memory, n + 1, sizeof *first);
    int *incident = arena_new(&ship->memory, 2 * ship->link_count, sizeof *incident);
    int *fill = memory_new(n + 1, sizeof *fill);
    if (!first || !incident || !fill) {
        memory_free(fill);
        return false;
    }
    for (size_t l = 0; l < ship->link_count; l++) {
        const coaming_place ends[] = {ship->links[l].a, ship->links[l].b};
        for (int e = 0; e < 2; e++)
            if (ends[e] >= 0)
                first[ends[e] + 1]++;
    }
    for (size_t s = 0; s < n; s++)
        first[s + 1] += first[s];
    memcpy(fill, first, (n + 1) * sizeof *fill);
    for (size_t l = 0; l < ship->link_count; l++) {
        const coaming_place ends[] = {ship->links[l].a, ship->links[l].b};
        for (int e = 0; e < 2; e++)
            if (ends[e] >= 0)
                incident[fill[ends[e]]++] = (int)l;
    }
    memory_free(fill);
    ship->first = first;
    ship->incident = incident;
    return true;
}

double link_gasket_run(const ship_link *l)
{
    if (!l->clear.given || !(l->clear.width > 0) || !(l->clear.height > 0))
        return 0;
    return 2 * (l->clear.width + l->clear.height);
}

bool kind_hinged(link_kind kind)
{
    return kind == DOOR || kind == HATCH || kind == SCUTTLE || kind == SIDESCUTTLE;
}

static int by_value(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

double link_shortest_piece(const ship_link *l)
{
    double at[JOINTS_MAX], run = link_gasket_run(l), least = run;
    size_t count = l->gasket_joint_count;
    if (count < 2 || count > JOINTS_MAX || !(run > 0))
        return NAN;
    for (size_t i = 0; i < count; i++)
        at[i] = fmod(l->gasket_joints[i], run);
    qsort(at, count, sizeof *at, by_value);
    for (size_t i = 0; i < count; i++)
        least = fmin(least, i + 1 < count ? at[i + 1] - at[i] : at[0] + run - at[i]);
    return least;
}

long long micrometres(double metres)
{
    return llround(metres * 1e6);
}

bool on_gasket_run(double run, const gap *g)
{
    static const double SLACK = 1.02;
    return !(run > 0) || (g->at <= run * SLACK && g->length <= run * SLACK);
}
