#include "flood_asked.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A word of a list taken apart. Without a ship only the numbers are read. */
typedef struct {
    const options *o;
    const coaming_ship *ship; /* NULL: not yet */
    flood_asked *made;
    const char *option;
    coaming_flood_change_kind kind;
} asking;

/* Takes one word of a list; -1 to go on. */
typedef int take_one(asking *a, char *word);

/* What stands behind the last of these signs, which is taken out; NULL: there is none. */
static char *cut_at(char *word, char sign)
{
    char *at = strrchr(word, sign);
    if (at)
        *at++ = '\0';
    return at;
}

static int find_in(const asking *a, const char *id, int *space)
{
    return a->ship ? find_space(a->ship, id, space) : -1;
}

/* "engine:0.05@1.2" */
static int take_breach(asking *a, char *word)
{
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
static int take_inflow(asking *a, char *word)
{
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

/* The closure or the pump that a change is about. */
static int find_changed(const asking *a, const char *id, int *which)
{
    coaming_error error;
    coaming_status status = COAMING_OK;
    if (a->ship)
        status = a->kind == COAMING_FLOOD_PUMP_ON
                     ? coaming_find_pump(a->ship, id, which, &error)
                     : coaming_find_closure(a->ship, id, which, &error);
    return status == COAMING_OK ? -1 : complain_of(&error);
}

/* Is that to be changed otherwise at that moment? */
static bool contradicted(const flood_asked *made, const coaming_flood_change *c)
{
    for (size_t i = 0; i < made->ask.change_count; i++) {
        const coaming_flood_change *other = &made->changes[i];
        bool pumps = c->kind == COAMING_FLOOD_PUMP_ON;
        if (other->t == c->t && other->which == c->which && other->kind != c->kind &&
            (other->kind == COAMING_FLOOD_PUMP_ON) == pumps && c->kind != COAMING_FLOOD_FAIL &&
            other->kind != COAMING_FLOOD_FAIL)
            return true;
    }
    return false;
}

/* "D3@120"; without a time a closure is seen so, and a pump runs from the start. */
static int take_change(asking *a, char *word)
{
    char whole[256];
    coaming_flood_change c = {0, a->kind, 0};
    snprintf(whole, sizeof whole, "%s", word);
    char *time = cut_at(word, '@');
    if (!time && a->kind != COAMING_FLOOD_PUMP_ON)
        return -1;
    if (!*word || (time && (!parse_time(time, &c.t) || c.t < 0)))
        return refuse_usage(a->option, whole,
                            "ID@TIME with a time of 0 or more, such as D3@90, D3@10min "
                            "or D3@1.5h");
    if (c.t > until_of(a->o)) {
        complain("--%s %s is after the end; --until says how long it is followed (here %g s)",
                 a->option, whole, until_of(a->o));
        return EXIT_USAGE;
    }
    int result = find_changed(a, word, &c.which);
    if (result >= 0 || !a->ship)
        return result;
    if (contradicted(a->made, &c)) {
        complain("--%s %s: another option changes %s at the same moment", a->option, whole, word);
        return EXIT_USAGE;
    }
    a->made->changes[a->made->ask.change_count++] = c;
    return -1;
}

static int take_list(asking *a, const text_list *texts, take_one *take)
{
    id_list list;
    int result = id_list_make(texts, &list) ? -1 : complain_of_memory();
    for (size_t i = 0; i < list.count && result < 0; i++)
        result = take(a, list.words + (list.ids[i] - list.words));
    if (result < 0 && texts->count && !list.count) {
        complain("--%s names nothing", a->option);
        result = EXIT_USAGE;
    }
    id_list_free(&list);
    return result;
}

static int take_all(asking *a)
{
    static const struct {
        const char *option;
        coaming_flood_change_kind kind;
        coaming_seen_kind seen;
    } kinds[] = {{"open", COAMING_FLOOD_OPEN, COAMING_SEEN_OPEN},
                 {"shut", COAMING_FLOOD_SHUT, COAMING_SEEN_SHUT},
                 {"fail", COAMING_FLOOD_FAIL, COAMING_SEEN_FAILED}};
    a->option = "breach";
    int result = take_list(a, &a->o->breaches, take_breach);
    a->option = "inflow";
    if (result < 0)
        result = take_list(a, &a->o->inflows, take_inflow);
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds && result < 0; k++) {
        a->option = kinds[k].option;
        a->kind = kinds[k].kind;
        result = take_list(a, &a->o->seen[kinds[k].seen], take_change);
    }
    a->option = "pump";
    a->kind = COAMING_FLOOD_PUMP_ON;
    return result < 0 ? take_list(a, &a->o->pumps, take_change) : result;
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
    size_t most = id_list_room(&o->pumps);
    for (int k = 0; k < COAMING_SEEN_KINDS; k++)
        most += id_list_room(&o->seen[k]);
    *made = (flood_asked){.ask = coaming_flood_ask_default()};
    made->breaches = calloc(id_list_room(&o->breaches), sizeof *made->breaches);
    made->inflows = calloc(id_list_room(&o->inflows), sizeof *made->inflows);
    made->changes = calloc(most, sizeof *made->changes);
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
