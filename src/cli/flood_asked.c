#include "flood_asked.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "timed.h"

/* A word of a list taken apart. Without a ship only the numbers are read. */
typedef struct {
    const options *o;
    const coaming_ship *ship; /* NULL: not yet */
    flood_asked *made;
    const char *option;
} asking;

static int find_in(const asking *a, const char *id, int *space)
{
    return a->ship ? find_space(a->ship, id, space) : -1;
}

/* "engine:0.05@1.2" */
static int take_breach(void *data, char *word)
{
    asking *a = data;
    static const number_unit units[] = {
        {"", 1}, {"m2", 1}, {"cm2", 1e-4}, {"ft2", 0.09290304}, {NULL, 0}};
    static const char right[] = "SPACE:AREA or SPACE:AREA@HEIGHT with an area above 0, such as "
                                "engine:0.05, engine:500cm2 or engine:0.05@1.2";
    coaming_flood_breach b = {0, 0, NAN};
    char whole[256];
    snprintf(whole, sizeof whole, "%s", word);
    char *value = cut_at(word, ':'), *height = value ? cut_at(value, '@') : NULL;
    if (!value || !*word || !parse_in(value, units, &b.area) || !(b.area > 0) ||
        (height && !parse_height(height, &b.height)))
        return refuse_usage(a->option, whole, right);
    int result = find_in(a, word, &b.space);
    if (result < 0 && a->ship)
        a->made->breaches[a->made->ask.breach_count++] = b;
    return result;
}

/* "engine:60m3/h" */
static int take_inflow(void *data, char *word)
{
    asking *a = data;
    static const number_unit units[] = {
        {"m3/h", 1 / 3600.0}, {"m3/s", 1}, {"l/s", 1e-3}, {"l/min", 1e-3 / 60}, {NULL, 0}};
    static const char right[] = "SPACE:RATE with a rate above 0 and its unit, such as "
                                "engine:60m3/h, engine:20l/s or engine:500l/min";
    coaming_flood_inflow i = {0, 0};
    char whole[256];
    snprintf(whole, sizeof whole, "%s", word);
    char *value = cut_at(word, ':');
    if (!value || !*word || !parse_in(value, units, &i.rate) || !(i.rate > 0))
        return refuse_usage(a->option, whole, right);
    int result = find_in(a, word, &i.space);
    if (result < 0 && a->ship)
        a->made->inflows[a->made->ask.inflow_count++] = i;
    return result;
}

static double until_of(const options *o)
{
    return o->until > 0 ? o->until : coaming_flood_ask_default().until;
}

enum { CHANGERS = 4 };

static void list_changers(const options *o, timed_option list[CHANGERS])
{
    const timed_option all[CHANGERS] = {
        {"open", &o->seen[COAMING_SEEN_OPEN], TIMED_CLOSURE, COAMING_FLOOD_OPEN, false},
        {"shut", &o->seen[COAMING_SEEN_SHUT], TIMED_CLOSURE, COAMING_FLOOD_SHUT, false},
        {"fail", &o->seen[COAMING_SEEN_FAILED], TIMED_CLOSURE, COAMING_FLOOD_FAIL, true},
        {"pump", &o->pumps, TIMED_PUMP, COAMING_FLOOD_PUMP_ON, false}};
    memcpy(list, all, sizeof all);
}

/* By time; those of one moment as they were given. */
static void add_change(flood_asked *made, coaming_flood_change c)
{
    size_t at = made->ask.change_count++;
    for (; at > 0 && made->changes[at - 1].t > c.t; at--)
        made->changes[at] = made->changes[at - 1];
    made->changes[at] = c;
}

/* Into the list of changes, which has room for all. */
static int take_changes(asking *a)
{
    timed_option list[CHANGERS];
    size_t count = 0;
    list_changers(a->o, list);
    timed_change *timed = calloc(timed_room(list, CHANGERS), sizeof *timed);
    int result = timed ? timed_take(list, CHANGERS, a->ship, until_of(a->o), timed, &count)
                       : complain_of_memory();
    for (size_t i = 0; i < count && result < 0; i++)
        add_change(a->made,
                   (coaming_flood_change){timed[i].t, (coaming_flood_change_kind)timed[i].of->kind,
                                          timed[i].which});
    free(timed);
    return result;
}

static int take_all(asking *a)
{
    a->option = "breach";
    int result = each_word(&a->o->breaches, a->option, take_breach, a);
    a->option = "inflow";
    if (result < 0)
        result = each_word(&a->o->inflows, a->option, take_inflow, a);
    return result < 0 ? take_changes(a) : result;
}

int flood_said_well(const options *o)
{
    enum { ROWS_MOST = 10000 };
    asking a = {.o = o};
    int result = take_all(&a);
    if (result < 0 && o->every > 0 && until_of(o) / o->every > ROWS_MOST) {
        complain("--every %g s is too often: %g s have more than %d rows", o->every, until_of(o),
                 ROWS_MOST);
        result = EXIT_USAGE;
    }
    return result;
}

int flood_asked_make(const options *o, const coaming_ship *ship, flood_asked *made)
{
    asking a = {.o = o, .ship = ship, .made = made};
    timed_option list[CHANGERS];
    list_changers(o, list);
    *made = (flood_asked){.ask = coaming_flood_ask_default()};
    made->breaches = calloc(id_list_room(&o->breaches), sizeof *made->breaches);
    made->inflows = calloc(id_list_room(&o->inflows), sizeof *made->inflows);
    made->changes = calloc(timed_room(list, CHANGERS), sizeof *made->changes);
    if (!made->breaches || !made->inflows || !made->changes)
        return complain_of_memory();
    made->ask.breaches = made->breaches;
    made->ask.inflows = made->inflows;
    made->ask.changes = made->changes;
    made->ask.condition = o->query.condition;
    made->ask.loading = o->query.loading;
    made->ask.until = until_of(o);
    made->ask.every = o->every > 0 ? o->every : made->ask.until / 60;
    return take_all(&a);
}

void flood_asked_free(flood_asked *made)
{
    free(made->breaches);
    free(made->inflows);
    free(made->changes);
}
