#include "read/log_scan.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/text.h"
#include "coaming/date.h"
#include "read/values.h"

const char TEST_LOG_NS[] = "urn:coaming:test-log:1";

/* No value of a sound log is longer; others are kept as none: they are only compared. */
enum { VALUE_ROOM = NOTE_SIZE };

void gap_text(char *buffer, size_t size, double at, double length, const char *seen)
{
    char one[NUMBER_TEXT], two[NUMBER_TEXT];
    snprintf(buffer, size, "%s:%s%s%s", number_format(at, one), number_format(length, two),
             seen ? ":" : "", seen ? seen : "");
}

int log_scan_find(const log_scan *scan, const char *closure)
{
    size_t low = 0, high = scan->closure_count;
    while (low < high) {
        size_t middle = (low + high) / 2;
        int order = strcmp(closure, scan->closures[middle]);
        if (order == 0)
            return (int)middle;
        if (order < 0)
            high = middle;
        else
            low = middle + 1;
    }
    return -1;
}

int log_scan_take_back(log_scan *scan, int closure)
{
    int at = scan->stands[closure];
    while (at >= 0 && scan->list[at].undone)
        at = scan->list[at].before;
    scan->stands[closure] = at;
    if (at >= 0)
        scan->list[at].undone = true;
    return at;
}

static const char *kept(log_scan *scan, const xml_start *e, const char *name)
{
    char value[VALUE_ROOM];
    if (!xml_scanned(e, name, value, sizeof value))
        return NULL;
    char *copy = arena_text(scan->memory, value);
    scan->memory_lost = scan->memory_lost || !copy;
    return copy;
}

/* A length in the one spelling of numbers. */
static const char *kept_number(log_scan *scan, const xml_start *e, const char *name)
{
    char value[64], spelt[NUMBER_TEXT];
    double number;
    if (!xml_scanned(e, name, value, sizeof value) || number_parse(value, &number) != NUMBER_OK)
        return NULL;
    char *copy = arena_text(scan->memory, number_format(number, spelt));
    scan->memory_lost = scan->memory_lost || !copy;
    return copy;
}

static void scan_root(log_scan *scan, const xml_start *e)
{
    if (strcmp(e->name, "test-log") || !e->space || strcmp(e->space, TEST_LOG_NS))
        return; /* scan->ship stays NULL */
    scan->ship = arena_new(scan->memory, VALUE_ROOM, 1);
    scan->prefix = arena_text(scan->memory, e->prefix ? e->prefix : "");
    if (!scan->ship || !scan->prefix)
        scan->memory_lost = true;
    else if (!xml_scanned(e, "arrangement", scan->ship, VALUE_ROOM))
        scan->ship = NULL;
}

/* Where the latest stands of those that an undo of this kind and date may take back. */
static int *standing_of(log_scan *scan, int closure, coaming_entry_kind kind, const char *date)
{
    latest_key key = {.closure = closure, .kind = kind};
    snprintf(key.date, sizeof key.date, "%s", date);
    int *latest = latest_of(&scan->standing, &key);
    scan->memory_lost = scan->memory_lost || !latest;
    return latest;
}

/* An undo in the log takes back what the loader would take back. */
static void apply_undo(log_scan *scan, int closure, const logged *undo)
{
    coaming_entry_kind kind = undo->of_repair ? COAMING_ENTRY_REPAIR : COAMING_ENTRY_TEST;
    int *latest = standing_of(scan, closure, kind, undo->of_date);
    if (!latest || *latest < 0)
        return;
    logged *l = &scan->list[*latest];
    l->undone = true;
    *latest = l->like;
}

static void add_standing(log_scan *scan, int closure, logged *l)
{
    int *latest = standing_of(scan, closure, l->entry.kind, l->date), number = (int)scan->count;
    if (!latest)
        return;
    l->like = *latest;
    *latest = number;
    l->before = scan->stands[closure];
    scan->stands[closure] = number;
}

static void scan_entry(log_scan *scan, const xml_start *e)
{
    char id[VALUE_ROOM], of[16] = "";
    scan->entries++;
    int closure = xml_scanned(e, "closure", id, sizeof id) ? log_scan_find(scan, id) : -1;
    if (closure < 0)
        return;
    if (!MEMORY_ROOM(scan->list, scan->count, scan->capacity)) {
        scan->memory_lost = true;
        return;
    }
    logged *l = &scan->list[scan->count];
    *l = (logged){.line = e->line, .previous = scan->last[closure]};
    l->entry.closure = scan->closures[closure];
    l->entry.kind = !strcmp(e->name, "test")     ? COAMING_ENTRY_TEST
                    : !strcmp(e->name, "repair") ? COAMING_ENTRY_REPAIR
                                                 : COAMING_ENTRY_UNDO;
    if (xml_scanned(e, "date", l->date, sizeof l->date))
        coaming_date_parse(l->date, &l->entry.date);
    l->entry.method = kept(scan, e, "method");
    l->entry.result = kept(scan, e, "result");
    l->entry.set = kept_number(scan, e, "set");
    l->entry.hinge_play = kept_number(scan, e, "hinge-play");
    l->entry.space = kept(scan, e, "space");
    l->entry.start_pressure = kept_number(scan, e, "start-pressure");
    l->entry.end_pressure = kept_number(scan, e, "end-pressure");
    l->entry.duration = kept_number(scan, e, "duration");
    l->entry.volume = kept_number(scan, e, "volume");
    l->entry.action = kept(scan, e, "action");
    l->entry.by = kept(scan, e, "by");
    l->entry.note = kept(scan, e, "note");
    xml_scanned(e, "of", of, sizeof of);
    xml_scanned(e, "of-date", l->of_date, sizeof l->of_date);
    l->of_repair = !strcmp(of, "repair");
    if (l->entry.kind == COAMING_ENTRY_UNDO)
        apply_undo(scan, closure, l);
    else
        add_standing(scan, closure, l);
    scan->last[closure] = (int)scan->count++;
}

/* Room for so many bytes more of gaps. */
static bool room_for_gaps(log_scan *scan, size_t more)
{
    if (scan->gaps_room - scan->gaps_used >= more)
        return true;
    size_t room = 2 * scan->gaps_room + more;
    char *gaps = memory_resize(scan->gaps, room, 1);
    if (!gaps)
        return false;
    scan->gaps = gaps;
    scan->gaps_room = room;
    return true;
}

/* A gap of the entry at hand, if that is one of a closure at hand. */
static void scan_gap(log_scan *scan, const xml_start *e)
{
    char at[64], length[64], seen[64], spelt[3 * 64];
    double from, long_ = 0;
    if (!xml_scanned(e, "at", at, sizeof at) || !xml_scanned(e, "length", length, sizeof length) ||
        number_parse(at, &from) != NUMBER_OK || number_parse(length, &long_) != NUMBER_OK)
        return;
    gap_text(spelt, sizeof spelt, from, long_,
             xml_scanned(e, "seen", seen, sizeof seen) ? seen : NULL);
    size_t size = strlen(spelt);
    if (!room_for_gaps(scan, size + 1)) {
        scan->memory_lost = true;
        return;
    }
    memcpy(scan->gaps + scan->gaps_used, spelt, size);
    scan->gaps[scan->gaps_used + size] = ' ';
    scan->gaps_used += size + 1;
}

/* The gaps of an entry are put together once, when it ends: there may be thousands. */
static void keep_gaps(log_scan *scan, logged *l)
{
    if (!scan->gaps_used)
        return;
    scan->gaps[scan->gaps_used - 1] = '\0'; /* the last blank */
    l->entry.gaps = arena_text(scan->memory, scan->gaps);
    scan->memory_lost = scan->memory_lost || !l->entry.gaps;
    scan->gaps_used = 0;
}

typedef struct {
    log_scan *scan;
    int entry; /* at hand; -1: of no closure at hand */
} walker;

static void on_start(const xml_start *e, void *data)
{
    walker *w = data;
    log_scan *scan = w->scan;
    if (e->depth == 0) {
        scan_root(scan, e);
    } else if (e->depth == 1) {
        size_t before = scan->count;
        scan_entry(scan, e);
        w->entry = scan->count > before ? (int)before : -1;
    } else if (e->depth == 2 && w->entry >= 0 && !strcmp(e->name, "gap")) {
        scan_gap(scan, e);
    }
}

static void on_end(const char *name, int depth, long end, void *data)
{
    (void)name;
    walker *w = data;
    if (depth == 1 && w->entry >= 0)
        keep_gaps(w->scan, &w->scan->list[w->entry]);
    if (depth == 0)
        w->scan->resume = end > 0 ? (size_t)end : 0;
}

/* From behind the root's end back to where its end tag begins. */
static bool find_insert(log_scan *scan, const char *text, size_t size)
{
    size_t end = scan->resume;
    if (end < 3 || end > size || text[end - 1] != '>')
        return false;
    scan->empty_root = text[end - 2] == '/';
    if (scan->empty_root) {
        scan->insert = end - 2;
        return true;
    }
    size_t at = end - 1;
    while (at > 0 && text[at] != '<')
        at--;
    scan->insert = scan->resume = at;
    return text[at] == '<' && text[at + 1] == '/';
}

coaming_status log_scan_text(log_scan *scan, const char *text, size_t size, const char *shown,
                             coaming_faults *faults, coaming_error *error)
{
    walker w = {scan, -1};
    xml_scanner scanner = {on_start, on_end, &w};
    scan->last = arena_new(scan->memory, scan->closure_count, sizeof *scan->last);
    scan->stands = arena_new(scan->memory, scan->closure_count, sizeof *scan->stands);
    if (!scan->last || !scan->stands)
        return error_memory(error);
    for (size_t i = 0; i < scan->closure_count; i++)
        scan->last[i] = scan->stands[i] = -1;
    coaming_status status = xml_scan(text, size, shown, faults, &scanner, error);
    if (status != COAMING_OK)
        return status;
    if (scan->memory_lost)
        return error_memory(error);
    if (!scan->ship)
        faults_add(faults, COAMING_SEVERITY_ERROR, shown, 1, "file",
                   "is no test log: <test-log xmlns=\"%s\" arrangement=> is expected", TEST_LOG_NS);
    else if (!find_insert(scan, text, size))
        faults_add(faults, COAMING_SEVERITY_ERROR, shown, 1, "file",
                   "is not UTF-8; write the log in UTF-8 to record into it");
    else
        return COAMING_OK;
    return error_set(error, COAMING_INPUT, "%s: cannot be recorded into", shown);
}

void log_scan_free(log_scan *scan)
{
    memory_free(scan->list);
    memory_free(scan->gaps);
    latest_free(&scan->standing);
    scan->list = NULL;
    scan->gaps = NULL;
}
