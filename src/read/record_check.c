#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/fault.h"
#include "base/text.h"
#include "read/record.h"
#include "read/said.h"

void record_fault(coaming_faults *faults, coaming_severity severity, const char *file, long line,
                  const char *closure, const char *format, ...)
{
    char object[240], message[512];
    va_list args;
    va_start(args, format);
    vsnprintf(message, sizeof message, format, args);
    va_end(args);
    if (closure)
        snprintf(object, sizeof object, "closure %s", BRIEF(closure));
    faults_add(faults, severity, file, line, closure ? object : "entry", "%s", message);
}

void record_spell_gaps(const gap *gaps, size_t count, char *text)
{
    for (size_t i = 0; i < count; i++) {
        if (i)
            *text++ = ' ';
        gap_text(text, GAP_ROOM - 1, gaps[i].at, gaps[i].length,
                 gaps[i].seen < SEEN_NOTHING ? sight_words[gaps[i].seen] : NULL);
        text += strlen(text);
    }
}

static void fault(coaming_faults *faults, const record_item *item, const char *message)
{
    record_fault(faults, COAMING_SEVERITY_ERROR, item->file, item->line, item->entry.closure, "%s",
                 message);
}

/* A gap must lie on the gasket's run, where the opening's size is known. */
static void check_gaps(const coaming_ship *ship, const ship_link *l, const record_item *item,
                       coaming_faults *faults)
{
    double unit = ship->feet ? 0.3048 : 1, run = link_gasket_run(l) / unit;
    const char *in = ship->feet ? " ft" : " m";
    char message[200];
    for (size_t i = 0; i < item->gap_count; i++) {
        const gap *g = &item->gaps[i];
        if (on_gasket_run(run, g))
            continue;
        snprintf(message, sizeof message, SAID_OFF_THE_RUN, g->length, in, g->at, in, run, in);
        fault(faults, item, message);
    }
}

const ship_link *record_closure(const coaming_ship *ship, const record_item *item,
                                coaming_faults *faults)
{
    const char *id = item->entry.closure;
    int found = id_index_find(&ship->link_ids, id);
    char message[300];
    if (found >= 0 && !ship->links[found].passage)
        return &ship->links[found];
    const char *near = found < 0 ? id_index_nearest(&ship->link_ids, id) : NULL;
    if (found >= 0)
        snprintf(message, sizeof message, SAID_PASSAGE);
    else
        snprintf(message, sizeof message, "the arrangement has no such closure%s%s",
                 near ? "; the nearest is " : "", near ? BRIEF(near) : "");
    fault(faults, item, message);
    return NULL;
}

/* A valve has a seat: nothing of it is chalked, measured as a gasket is, or dogged down. */
static void check_valve(const record_item *item, coaming_faults *faults)
{
    const coaming_entry *e = &item->entry;
    if (e->kind == COAMING_ENTRY_TEST && e->method && !strcmp(e->method, method_words[CHALK]))
        fault(faults, item,
              "is a valve, which has no gasket to take a print of; how was it tested?");
    else if (item->gap_count || item->set.given || item->hinge_play.given)
        fault(faults, item, "is a valve, which has no gasket and no hinge to measure at");
    else if (e->action && !strcmp(e->action, action_words[DOGS]))
        fault(faults, item, "is a valve, which has no dogs");
}

/* Is it known which space was under pressure, and a side of the closure? */
static void check_tested(const coaming_ship *ship, const ship_link *l, const record_item *item,
                         coaming_faults *faults)
{
    const char *id = item->entry.space;
    char message[300];
    if (!item->entry.start_pressure)
        return;
    if (!id) {
        if (l->a >= 0 && l->b >= 0)
            fault(faults, item, SAID_DROP_WHICH);
        return;
    }
    int space = id_index_find(&ship->space_ids, id);
    if (space >= 0 && (space == l->a || space == l->b))
        return;
    snprintf(message, sizeof message, SAID_DROP_SIDE, BRIEF(id));
    fault(faults, item, message);
}

static void check_against_ship(const coaming_ship *ship, const record_item *item,
                               coaming_faults *faults)
{
    const ship_link *l = record_closure(ship, item, faults);
    if (!l)
        return;
    if (l->kind == VALVE)
        check_valve(item, faults);
    else
        check_gaps(ship, l, item, faults);
    check_tested(ship, l, item, faults);
}

/* Without the ship only the log can tell a closure from a slip of the pen. */
static void check_against_log(const log_scan *scan, const record_item *item, coaming_faults *faults)
{
    int closure = log_scan_find(scan, item->entry.closure);
    if (closure < 0 || scan->last[closure] < 0)
        fault(faults, item,
              "the log has no entry of this closure yet; give --ship SHIP.xml to record its first");
}

/* Has the log, last of this closure, just what is to be recorded of it? Then it was recorded
 * before.
 */
static bool same_text(const char *a, const char *b)
{
    return !strcmp(a ? a : "", b ? b : "");
}

static bool same_entry(const coaming_entry *a, const coaming_entry *b)
{
    return a->kind == b->kind && a->date == b->date && same_text(a->method, b->method) &&
           same_text(a->result, b->result) && same_text(a->gaps, b->gaps) &&
           same_text(a->set, b->set) && same_text(a->hinge_play, b->hinge_play) &&
           same_text(a->space, b->space) && same_text(a->start_pressure, b->start_pressure) &&
           same_text(a->end_pressure, b->end_pressure) && same_text(a->duration, b->duration) &&
           same_text(a->volume, b->volume) && same_text(a->action, b->action) &&
           same_text(a->by, b->by) && same_text(a->note, b->note);
}

/* items[last] is the last of its closure: compares backwards, entry by entry. */
static bool stands_already(const coaming_record *record, size_t last, const log_scan *scan)
{
    const char *id = record->items[last].entry.closure;
    int at = scan->last[log_scan_find(scan, id)];
    for (int i = (int)last; i >= 0; i = record->items[i].earlier) {
        const record_item *item = &record->items[i];
        if (at < 0 || item->entry.kind == COAMING_ENTRY_UNDO ||
            !same_entry(&item->entry, &scan->list[at].entry))
            return false;
        at = scan->list[at].previous;
    }
    return true;
}

/* Decimals are not exact in binary: 3.3 mm are 0.0033. Nothing becomes 0 by it. */
static double into_unit(const coaming_ship *ship, double metres)
{
    double length = metres / (ship->feet ? 0.3048 : 1), rounded = round(length * 1e12) / 1e12;
    return rounded > 0 ? rounded : length;
}

static void fault_without_ship(const record_item *item, const char *text, coaming_faults *faults)
{
    char message[200];
    snprintf(message, sizeof message,
             "%s must be turned into the unit of the ship's file; give --ship SHIP.xml",
             BRIEF(text));
    fault(faults, item, message);
}

/* Gaps in metres into that unit. */
static void settle_gaps(const coaming_ship *ship, record_item *item, coaming_faults *faults)
{
    if (!item->gap_count || !item->entry.gaps_in_metres)
        return;
    if (!ship) {
        fault_without_ship(item, "gaps in metres", faults);
        return;
    }
    for (size_t i = 0; i < item->gap_count; i++) {
        item->gaps[i].at = into_unit(ship, item->gaps[i].at);
        item->gaps[i].length = into_unit(ship, item->gaps[i].length);
    }
    record_spell_gaps(item->gaps, item->gap_count, item->gaps_spelt);
    item->entry.gaps_in_metres = false; /* the checks may be made before the writing, too */
}

/* mm and inches into the unit of the ship's file, which only the ship tells. */
static void settle_measure(const coaming_ship *ship, const record_item *item, measure *m,
                           const char **text, coaming_faults *faults)
{
    if (!m->given || !(m->value.unit > 0))
        return;
    if (!ship) {
        fault_without_ship(item, *text, faults);
        return;
    }
    *text = number_format(into_unit(ship, m->value.number * m->value.unit), m->spelt);
}

/* What an undo takes back: an entry of this record before it, or else of the log. */
static void find_undone(coaming_record *record, size_t index, log_scan *scan,
                        coaming_faults *faults)
{
    record_item *undo = &record->items[index];
    for (int i = undo->earlier; i >= 0; i = record->items[i].earlier) {
        record_item *item = &record->items[i];
        if (item->undone || item->entry.kind == COAMING_ENTRY_UNDO)
            continue;
        item->undone = true;
        undo->before = item->entry;
        undo->earlier = item->earlier; /* all between are taken back, or take back */
        return;
    }
    undo->earlier = -1;
    int closure = log_scan_find(scan, undo->entry.closure);
    int latest = closure < 0 ? -1 : log_scan_take_back(scan, closure);
    if (latest < 0) {
        fault(faults, undo, "there is no entry of this closure to take back");
        return;
    }
    undo->before = scan->list[latest].entry;
}

void record_check(coaming_record *record, const coaming_ship *ship, log_scan *scan, const char *log,
                  coaming_faults *faults)
{
    if (ship && scan->ship && strcmp(scan->ship, ship->name))
        faults_add(faults, COAMING_SEVERITY_ERROR, log, 1, "test-log", SAID_OTHER_LOG,
                   BRIEF(scan->ship), BRIEF(ship->name));
    for (size_t i = 0; i < record->count; i++) {
        record_item *item = &record->items[i];
        settle_gaps(ship, item, faults);
        settle_measure(ship, item, &item->set, &item->entry.set, faults);
        settle_measure(ship, item, &item->hinge_play, &item->entry.hinge_play, faults);
        if (ship)
            check_against_ship(ship, item, faults);
        else
            check_against_log(scan, item, faults);
        if (item->entry.kind == COAMING_ENTRY_UNDO)
            find_undone(record, i, scan, faults);
        else if (!record->again && item->latest && stands_already(record, i, scan))
            fault(
                faults, item,
                "the same stands last of this closure in the log already; --again records it once "
                "more");
    }
}
