#include "ship/standing.h"

#include "coaming/likelihood.h"

/* In the order of METHODS. */
#define QUALITY(word, sensitivity, specificity) {sensitivity, specificity},
static const struct {
    double sensitivity, specificity;
} assumed_quality[METHOD_COUNT] = {COAMING_ASSUMED_METHODS(QUALITY)};
#undef QUALITY

method_quality standing_quality(const coaming_ship *ship, test_method method, bool *assumed)
{
    for (size_t i = 0; i < ship->method_count; i++)
        if (ship->methods[i].method == method)
            return ship->methods[i];
    if (assumed)
        *assumed = true;
    /* that looking proves nothing is common practice, no source: what holds is shown by a print, a
     * jet, a pressure, a sound, a light or smoke */
    return (method_quality){assumed_quality[method].sensitivity,
                            assumed_quality[method].specificity, method, method != VISUAL};
}

static double sensitivity(const coaming_ship *ship, const ship_event *e)
{
    return standing_quality(ship, e->method, NULL).sensitivity;
}

static void clear_failures(const coaming_ship *ship, standing *s, const method_quality *pass)
{
    for (int m = 0; m < METHOD_COUNT; m++) {
        const ship_event *failed = s->failures[m];
        if (failed && (pass->proves || m == VISUAL) &&
            pass->sensitivity >= sensitivity(ship, failed))
            s->failures[m] = NULL;
    }
}

void standing_add(const coaming_ship *ship, standing *s, const ship_event *event)
{
    if (event->kind != EVENT_TEST)
        return;
    if (event->method == VISUAL)
        s->looked = event;
    if (event->result == COAMING_FAIL) {
        s->failures[event->method] = event;
        s->proof = NULL;
        return;
    }
    method_quality quality = standing_quality(ship, event->method, NULL);
    clear_failures(ship, s, &quality);
    if (quality.proves)
        s->proof = event;
}

/* Does a take more to clear than b, or as much and is later? Only a visual failure may be cleared
 * by what does not prove. */
static bool weighs_more(const coaming_ship *ship, const ship_event *a, const ship_event *b)
{
    double more = sensitivity(ship, a) - sensitivity(ship, b);
    if (more != 0)
        return more > 0;
    if ((a->method == VISUAL) != (b->method == VISUAL))
        return b->method == VISUAL;
    return a > b; /* of one list, by date */
}

const ship_event *standing_decided(const coaming_ship *ship, const standing *s)
{
    const ship_event *most = NULL;
    for (int m = 0; m < METHOD_COUNT; m++)
        if (s->failures[m] && (!most || weighs_more(ship, s->failures[m], most)))
            most = s->failures[m];
    return most ? most : s->proof;
}

/* Of failures that stand the latest whose gaps are noted; else the test that decides. */
static const ship_event *print_to_read(const standing *s, const ship_event *decided)
{
    const ship_event *noted = NULL;
    for (int m = 0; m < METHOD_COUNT; m++) {
        const ship_event *failed = s->failures[m];
        if (failed && failed->gap_count && (!noted || failed > noted))
            noted = failed;
    }
    return noted ? noted : decided;
}

/* The latest entry that a repair must come after to be untried: a look tries nothing where a test
 * decides. */
static const ship_event *last_trial(const ship_link *l, const standing *s)
{
    const ship_event *last = NULL;
    if (!l->decided)
        return l->last_test;
    for (int m = 0; m < METHOD_COUNT; m++)
        if (s->failures[m] && (!last || s->failures[m] > last))
            last = s->failures[m];
    return last ? last : l->decided;
}

const ship_event *standing_settle(const coaming_ship *ship, ship_link *closure)
{
    standing s = {{NULL}, NULL, NULL};
    for (size_t i = 0; i < closure->event_count; i++) {
        if (closure->events[i].kind == EVENT_TEST)
            closure->last_test = &closure->events[i];
        standing_add(ship, &s, &closure->events[i]);
    }
    closure->decided = standing_decided(ship, &s);
    closure->result = closure->decided ? closure->decided->result : COAMING_UNTESTED;
    closure->looked = s.looked;
    closure->print = closure->decided ? print_to_read(&s, closure->decided) : closure->last_test;
    const ship_event *trial = last_trial(closure, &s);
    for (size_t i = 0; i < closure->event_count; i++) {
        const ship_event *e = &closure->events[i];
        if (e->kind != EVENT_REPAIR || (trial && e < trial))
            continue;
        closure->repair_from = closure->repair_from ? closure->repair_from : e;
        closure->repair_since = e;
    }
    return trial;
}
