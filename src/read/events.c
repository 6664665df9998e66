#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "read/parts.h"
#include "read/said.h"
#include "ship/gasket.h"
#include "ship/standing.h"

typedef const char *(*getter)(reader *r, const xmlNode *e, const char *name);

static const char *optional(reader *r, const xmlNode *e, const char *name, getter get)
{
    const char *text = attribute(r, e, name);
    return text && *text ? get(r, e, name) : NULL;
}

/* Where the latest stands of the entries of this log that an undo of this kind and date may take back. */
static int *standing_of(reader *r, int closure, event_kind kind, coaming_date date)
{
    latest_key key = {.closure = closure, .kind = kind};
    memcpy(key.date, &date, sizeof date);
    int *latest = latest_of(&r->standing, &key);
    r->memory_lost = r->memory_lost || !latest;
    return latest;
}

static void add_event(reader *r, ship_event added)
{
    if (!MEMORY_ROOM(r->events, r->event_count, r->event_capacity)) {
        r->memory_lost = true;
        return;
    }
    added.order = (int)r->event_count;
    added.previous = -1;
    int *latest = r->in_log ? standing_of(r, added.closure, added.kind, added.date) : NULL;
    if (latest) {
        added.previous = *latest;
        *latest = added.order;
    }
    r->events[r->event_count++] = added;
}

/* Nothing can have been done to a closure before it was there. */
static bool after_fitting(reader *r, const xmlNode *e, int closure, coaming_date date)
{
    char why[VALUES_WHY];
    if (closure < 0 || values_since_fitted(date, r->ship->links[closure].fitted, why))
        return true;
    fault_at(r, e, "date %s", why);
    return false;
}

/* False: there is nothing to keep, which is said. run: of the gasket; 0: not known. */
static bool read_gap(reader *r, const xmlNode *e, double run, gap *g)
{
    static const char *const required[] = {"at", "length", NULL}, *const optional[] = {"seen",
                                                                                       NULL};
    int seen = SEEN_NOTHING;
    element_check(r, e, &(element_rule){required, optional, NULL});
    if (attribute(r, e, "seen"))
        get_word(r, e, "seen", sight_words, &seen);
    *g = (gap){.seen = (sight)seen};
    bool good = get_length(r, e, "at", 0, INFINITY, &g->at);
    good = get_length(r, e, "length", 0, INFINITY, &g->length) && good;
    if (!good)
        return false;
    if (micrometres(g->length) == 0) {
        warning_at(r, e, "a gap of length 0 is none, and is left out");
        return false;
    }
    if (!on_gasket_run(run, g))
        warning_at(r, e, SAID_OFF_THE_RUN, g->length, " m", g->at, " m", run, " m");
    return true;
}

static void read_gaps(reader *r, const xmlNode *e, ship_event *v)
{
    size_t count = element_count(e, "gap");
    gap *list = count ? reader_new(r, count, sizeof *list) : NULL;
    double run = v->closure >= 0 ? link_gasket_run(&r->ship->links[v->closure]) : 0;
    bool broken = false, edge = false;
    if (!list)
        return;
    for (xmlNode *g = element_first(e, "gap"); g; g = element_next(g, "gap")) {
        if (!read_gap(r, g, run, &list[v->gap_count]))
            continue;
        if (list[v->gap_count++].seen == SEEN_EDGE)
            edge = true;
        else
            broken = true;
    }
    v->gaps = list;
    if (v->result == COAMING_PASS && broken)
        warning_at(r, e, SAID_PASS_GAPS);
    if (v->result == COAMING_PASS && edge)
        warning_at(r, e, SAID_PASS_OFF);
}

static void read_measures(reader *r, const xmlNode *e, ship_event *v)
{
    v->set = v->hinge_play = NAN;
    get_length(r, e, "set", 0, MEASURED_MAX, &v->set);
    if (get_length(r, e, "hinge-play", 0, MEASURED_MAX, &v->hinge_play) && v->closure >= 0 &&
        !kind_hinged(r->ship->links[v->closure].kind))
        warning_at(r, e, "hinge-play of a %s, which has no hinge, counts for nothing",
                   link_kind_word(r->ship->links[v->closure].kind));
}

/* The space that was under pressure; -1, which is reported, where it is not known. */
static int read_tested(reader *r, const xmlNode *e, const ship_link *l)
{
    const char *id = attribute(r, e, "space");
    int space = read_space_of(r, e, "space");
    if (!id && l->a >= 0 && l->b >= 0)
        fault_at(r, e, SAID_DROP_WHICH);
    else if (!id)
        space = l->a >= 0 ? l->a : l->b;
    else if (space >= 0 && space != l->a && space != l->b)
        fault_at(r, e, SAID_DROP_SIDE, BRIEF(id));
    return space;
}

/* A number of a drop of pressure, as its field of closures has it. */
static bool get_of_drop(reader *r, const xmlNode *e, int column, double *value)
{
    const ship_field *f = field_of(COAMING_LIST_CLOSURES, column);
    const values_bounds bounds = values_field_bounds(f);
    return get_bounded(r, e, f->attribute, false, &bounds, value);
}

static void read_drop(reader *r, const xmlNode *e, ship_event *v)
{
    static const char *const names[] = {"start-pressure", "end-pressure", "duration", "volume",
                                        "space"};
    coaming_drop *d = &v->drop;
    int said = 0;
    *d = (coaming_drop){.start = NAN, .end = NAN, .duration = NAN, .space = -1, .volume = NAN};
    for (int i = 0; i < 5; i++)
        said += attribute(r, e, names[i]) != NULL;
    if (!said)
        return;
    if (v->method != AIR_TEST)
        fault_at(r, e, SAID_DROP_AIR);
    for (int i = 0; i < 3; i++)
        if (!attribute(r, e, names[i]))
            fault_at(r, e, SAID_DROP_PART "; without %s", names[i]);
    bool good = get_of_drop(r, e, LINK_TEST_START, &d->start);
    good = get_of_drop(r, e, LINK_TEST_END, &d->end) && good;
    if (good && d->end > d->start)
        fault_at(r, e, SAID_DROP_ROSE);
    good = get_of_drop(r, e, LINK_TEST_DURATION, &d->duration) && good;
    get_of_drop(r, e, LINK_TEST_VOLUME, &d->volume);
    d->space = v->closure >= 0 ? read_tested(r, e, &r->ship->links[v->closure]) : -1;
    v->dropped = good && d->space >= 0;
}

void read_test(reader *r, const xmlNode *e, int closure)
{
    ship_event v = {.kind = EVENT_TEST, .closure = closure, .line = xml_line(e)};
    int method = 0, result = 0;
    bool good = get_date(r, e, "date", &v.date);
    good = get_word(r, e, "method", method_words, &method) && good;
    good = get_word(r, e, "result", result_words, &result) && good;
    v.method = (test_method)method;
    v.result = result == 0 ? COAMING_PASS : COAMING_FAIL;
    v.by = optional(r, e, "by", get_name);
    v.note = optional(r, e, "note", get_note);
    read_measures(r, e, &v);
    read_drop(r, e, &v);
    read_gaps(r, e, &v);
    if (good && closure >= 0 && v.method == CHALK && r->ship->links[closure].kind == VALVE)
        warning_at(r, e, "a chalk test of a valve, which has no gasket to take a print of");
    if (good && closure >= 0 && after_fitting(r, e, closure, v.date))
        add_event(r, v);
}

static void read_repair(reader *r, const xmlNode *e, int closure)
{
    ship_event v = {.kind = EVENT_REPAIR,
                    .closure = closure,
                    .line = xml_line(e),
                    .set = NAN,
                    .hinge_play = NAN};
    int action = 0;
    bool good = get_date(r, e, "date", &v.date);
    good = get_word(r, e, "action", action_words, &action) && good;
    v.action = (repair_action)action;
    v.by = optional(r, e, "by", get_name);
    v.note = optional(r, e, "note", get_note);
    if (good && closure >= 0 && after_fitting(r, e, closure, v.date))
        add_event(r, v);
}

/* Index of the closure that an entry of a log is about; -1 after reporting why there is none. */
static int entry_closure(reader *r, const xmlNode *e)
{
    const char *id = attribute(r, e, "closure");
    if (!id)
        return -1;
    int found = id_index_find(&r->ship->link_ids, id);
    if (found >= 0 && !r->ship->links[found].passage)
        return found;
    if (found >= 0)
        fault_at(r, e, "'%s' " SAID_PASSAGE, BRIEF(id));
    else
        fault_at(r, e, "the arrangement has no closure '%s'%s", BRIEF(id),
                 NEAREST(r, &r->ship->link_ids, id));
    return -1;
}

static ship_event *take_back(reader *r, int closure, event_kind kind, coaming_date date)
{
    int *latest = standing_of(r, closure, kind, date);
    if (!latest || *latest < 0)
        return NULL;
    ship_event *e = &r->events[*latest];
    *latest = e->previous;
    return e;
}

static void read_undo(reader *r, const xmlNode *e, int closure)
{
    static const char *const sorts[] = {"test", "repair", NULL};
    coaming_date date = 0, of_date = 0;
    int sort = 0;
    bool good = get_date(r, e, "date", &date);
    good = get_word(r, e, "of", sorts, &sort) && good;
    good = get_date(r, e, "of-date", &of_date) && good;
    const char *by = optional(r, e, "by", get_name), *note = optional(r, e, "note", get_note);
    if (!good || closure < 0)
        return;
    ship_event *found = take_back(r, closure, sort == 0 ? EVENT_TEST : EVENT_REPAIR, of_date);
    if (!found) {
        fault_at(r, e, "there is no %s of %s before it in this log to take back", sorts[sort],
                 attribute(r, e, "of-date"));
        return;
    }
    found->undone = true;
    found->undone_on = date;
    found->undone_by = by;
    found->undone_note = note;
}

static void read_entry(reader *r, const xmlNode *e)
{
    static const char *const of_test[] = {"closure", "date", "method", "result", NULL};
    static const char *const of_repair[] = {"closure", "date", "action", NULL};
    static const char *const of_undo[] = {"closure", "date", "of", "of-date", NULL};
    static const char *const signature[] = {"by", "note", NULL}, *const in_test[] = {"gap", NULL};
    static const char *const measured[] = {
        "by",           "note",     "set",    "hinge-play", "start-pressure",
        "end-pressure", "duration", "volume", "space",      NULL};
    if (element_is(e, "test")) {
        element_check(r, e, &(element_rule){of_test, measured, in_test});
        read_test(r, e, entry_closure(r, e));
    } else if (element_is(e, "repair")) {
        element_check(r, e, &(element_rule){of_repair, signature, NULL});
        read_repair(r, e, entry_closure(r, e));
    } else if (element_is(e, "undo")) {
        element_check(r, e, &(element_rule){of_undo, signature, NULL});
        read_undo(r, e, entry_closure(r, e));
    }
}

bool read_log_begin(reader *r, const xmlNode *root)
{
    static const char *const of_log[] = {"arrangement", NULL};
    element_check_attributes(r, root, &(element_rule){of_log, NULL, NULL});
    const char *name = attribute(r, root, "arrangement");
    if (name && strcmp(name, r->ship->name)) {
        fault_at(r, root, SAID_OTHER_LOG, BRIEF(name), BRIEF(r->ship->name));
        return false;
    }
    r->in_log = true;
    return true;
}

void read_log_part(reader *r, const xmlNode *root)
{
    static const char *const in_log[] = {"test", "repair", "undo", NULL};
    element_check_children(r, root, &(element_rule){NULL, NULL, in_log});
    for (xmlNode *e = element_first(root, NULL); e; e = element_next(e, NULL))
        read_entry(r, e);
}

void read_log_end(reader *r)
{
    latest_free(&r->standing);
    r->in_log = false;
}

static int by_closure_and_date(const void *left, const void *right)
{
    const ship_event *a = left, *b = right;
    if (a->closure != b->closure)
        return a->closure < b->closure ? -1 : 1;
    if (a->date != b->date)
        return a->date < b->date ? -1 : 1;
    return (a->order > b->order) - (a->order < b->order);
}

/* The arrangement may tell of a gasket that was fitted after the tests so far: a repair without an
 * entry, that no test has tried. */
static void imply_renewal(reader *r, ship_link *l, const ship_event *trial)
{
    coaming_date fitted = gasket_fitted(r->ship, l);
    if (!trial || fitted == COAMING_NO_DATE || fitted <= trial->date ||
        (l->repair_from && l->repair_from->date <= fitted && l->repair_since->date >= fitted))
        return;
    ship_event *renewal = reader_new(r, 1, sizeof *renewal);
    if (!renewal)
        return;
    *renewal = (ship_event){.kind = EVENT_REPAIR,
                            .closure = trial->closure,
                            .date = fitted,
                            .action = GASKET,
                            .line = l->line,
                            .previous = -1};
    if (!l->repair_from || l->repair_from->date > fitted)
        l->repair_from = renewal;
    if (!l->repair_since || l->repair_since->date < fitted)
        l->repair_since = renewal;
}

static void give_events(reader *r, ship_link *l, const ship_event *list, size_t count)
{
    l->events = list;
    l->event_count = count;
    imply_renewal(r, l, standing_settle(r->ship, l));
}

/* Was it taken back by the as-of date? Before that it still stood. */
static bool taken_back(const reader *r, const ship_event *e)
{
    return e->undone && e->undone_on <= r->ship->as_of;
}

/* What was taken back stands apart: it counts for nothing but the history. */
static void settle_undone(reader *r)
{
    size_t count = 0, kept = 0;
    for (size_t i = 0; i < r->event_count; i++)
        count += taken_back(r, &r->events[i]);
    ship_event *list = count ? reader_new(r, count, sizeof *list) : NULL;
    if (!list)
        return;
    for (size_t i = 0; i < r->event_count; i++)
        if (taken_back(r, &r->events[i]))
            list[kept++] = r->events[i];
    qsort(list, kept, sizeof *list, by_closure_and_date);
    for (size_t i = 0; i < kept; i++) {
        ship_link *l = &r->ship->links[list[i].closure];
        l->undone = l->undone ? l->undone : &list[i];
        l->undone_count++;
    }
}

void settle_events(reader *r)
{
    coaming_ship *s = r->ship;
    size_t kept = 0, later = 0;
    ship_event *list = reader_new(r, r->event_count, sizeof *list);
    if (!list)
        return;
    for (size_t i = 0; i < r->event_count; i++) {
        if (taken_back(r, &r->events[i]))
            continue;
        if (r->events[i].date <= s->as_of)
            list[kept++] = r->events[i];
        else
            later++;
    }
    s->later_events = later;
    qsort(list, kept, sizeof *list, by_closure_and_date);
    for (size_t i = 0, end; i < kept; i = end) {
        for (end = i + 1; end < kept && list[end].closure == list[i].closure; end++)
            ;
        give_events(r, &s->links[list[i].closure], list + i, end - i);
    }
    settle_undone(r);
}
