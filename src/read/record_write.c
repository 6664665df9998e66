#include <libxml/xmlwriter.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/fault.h"
#include "base/file.h"
#include "base/replace.h"
#include "base/text.h"
#include "read/log_scan.h"
#include "read/record.h"

typedef struct {
    xmlTextWriterPtr out;
    const char *prefix;
    bool good;
} writer;

static void open_element(writer *w, const char *name)
{
    char full[160];
    snprintf(full, sizeof full, "%s%s%s", w->prefix, *w->prefix ? ":" : "", name);
    w->good = w->good && xmlTextWriterStartElement(w->out, (const xmlChar *)full) >= 0;
}

static void close_element(writer *w)
{
    w->good = w->good && xmlTextWriterEndElement(w->out) >= 0;
}

static void put(writer *w, const char *name, const char *value)
{
    if (value)
        w->good = w->good && xmlTextWriterWriteAttribute(w->out, (const xmlChar *)name,
                                                         (const xmlChar *)value) >= 0;
}

static void put_text(writer *w, const char *text)
{
    w->good = w->good && xmlTextWriterWriteRaw(w->out, (const xmlChar *)text) >= 0;
}

/* From the one spelling of gaps: AT:LENGTH[:SEEN], with blanks between. */
static void put_gaps(writer *w, const char *gaps)
{
    static const char *const names[] = {"at", "length", "seen"};
    char value[64];
    for (const char *at = gaps; *at; at += *at == ' ') {
        put_text(w, "\n    ");
        open_element(w, "gap");
        for (int part = 0; part < 3 && *at && *at != ' '; part++) {
            size_t length = strcspn(at, ": ");
            snprintf(value, sizeof value, "%.*s", (int)length, at);
            put(w, names[part], value);
            at += length + (at[length] == ':');
        }
        close_element(w);
    }
    put_text(w, "\n  ");
}

/* undone: what an undo takes back. */
static void put_entry(writer *w, const coaming_entry *e, const coaming_entry *undone)
{
    static const char *const names[] = {"test", "repair", "undo"};
    char date[COAMING_DATE_TEXT], of_date[COAMING_DATE_TEXT];
    put_text(w, "  ");
    open_element(w, names[e->kind]);
    put(w, "closure", e->closure);
    put(w, "date", coaming_date_format(e->date, date));
    if (e->kind == COAMING_ENTRY_UNDO) {
        put(w, "of", names[undone->kind]);
        put(w, "of-date", coaming_date_format(undone->date, of_date));
    }
    put(w, "method", e->method);
    put(w, "result", e->result);
    put(w, "set", e->set);
    put(w, "hinge-play", e->hinge_play);
    put(w, "space", e->space);
    put(w, "start-pressure", e->start_pressure);
    put(w, "end-pressure", e->end_pressure);
    put(w, "duration", e->duration);
    put(w, "volume", e->volume);
    put(w, "action", e->action);
    put(w, "by", e->by);
    put(w, "note", e->note);
    if (e->gaps)
        put_gaps(w, e->gaps);
    close_element(w);
    put_text(w, "\n");
}

static bool open_writer(writer *w, xmlBufferPtr *buffer, const char *prefix)
{
    *buffer = xmlBufferCreate();
    *w = (writer){*buffer ? xmlNewTextWriterMemory(*buffer, 0) : NULL, prefix, true};
    w->good = w->out != NULL;
    return w->good;
}

/* Ends writing; the buffer is freed and NULL when something was lost. */
static void close_writer(writer *w, xmlBufferPtr *buffer)
{
    xmlFreeTextWriter(w->out); /* writes out what it holds back */
    if (w->good)
        return;
    xmlBufferFree(*buffer);
    *buffer = NULL;
}

/* The entries as text; NULL when out of memory. */
static xmlBufferPtr entries_text(const coaming_record *record, const char *prefix)
{
    writer w;
    xmlBufferPtr buffer;
    open_writer(&w, &buffer, prefix);
    for (size_t i = 0; i < record->count && w.good; i++)
        put_entry(&w, &record->items[i].entry, &record->items[i].before);
    close_writer(&w, &buffer);
    return buffer;
}

static void open_log(writer *w, const char *ship)
{
    w->good = w->good && xmlTextWriterStartDocument(w->out, NULL, "UTF-8", NULL) >= 0;
    open_element(w, "test-log");
    put(w, "xmlns", TEST_LOG_NS);
    put(w, "arrangement", ship);
}

static void close_log(writer *w)
{
    w->good = w->good && xmlTextWriterEndDocument(w->out) >= 0;
}

/* A log that does not exist yet: its frame, with the ship's name. */
static xmlBufferPtr new_log_text(const char *ship)
{
    writer w;
    xmlBufferPtr buffer;
    open_writer(&w, &buffer, "");
    open_log(&w, ship);
    close_log(&w);
    close_writer(&w, &buffer);
    return buffer;
}

/* Keeps what counts of the closures at hand, before and now, as a small log of its own. */
static coaming_status keep_known(coaming_record *record, const log_scan *scan, coaming_error *error)
{
    writer w;
    xmlBufferPtr buffer;
    open_writer(&w, &buffer, "");
    open_log(&w, scan->ship);
    for (size_t i = 0; i < scan->count && w.good; i++)
        if (!scan->list[i].undone && scan->list[i].entry.kind != COAMING_ENTRY_UNDO)
            put_entry(&w, &scan->list[i].entry, NULL);
    for (size_t i = 0; i < record->count && w.good; i++)
        if (!record->items[i].undone && record->items[i].entry.kind != COAMING_ENTRY_UNDO)
            put_entry(&w, &record->items[i].entry, NULL);
    close_log(&w);
    close_writer(&w, &buffer);
    record->known =
        buffer ? arena_text(&record->memory, (const char *)xmlBufferContent(buffer)) : NULL;
    xmlBufferFree(buffer);
    return record->known ? COAMING_OK : error_memory(error);
}

/* The old text up to the end of the root, the entries, and the rest. */
static coaming_status splice(replacement *r, const coaming_record *record, const log_scan *scan,
                             const char *text, size_t size, bool *again, coaming_error *error)
{
    xmlBufferPtr entries = entries_text(record, scan->prefix);
    if (!entries)
        return error_memory(error);
    char end[200] = "";
    if (scan->empty_root)
        snprintf(end, sizeof end, "</%.100s%stest-log>%s", scan->prefix, *scan->prefix ? ":" : "",
                 scan->resume == size ? "\n" : "");
    bool fresh_line = !scan->empty_root && scan->insert > 0 && text[scan->insert - 1] == '\n';
    const char *before = scan->empty_root ? ">\n" : fresh_line ? "" : "\n";
    const text_piece pieces[] = {
        {text, scan->insert},
        {before, strlen(before)},
        {(const char *)xmlBufferContent(entries), (size_t)xmlBufferLength(entries)},
        {end, strlen(end)},
        {text + scan->resume, size - scan->resume}};
    coaming_status status = replace_write(r, pieces, sizeof pieces / sizeof *pieces, again, error);
    xmlBufferFree(entries);
    return status;
}

/* Once, under the lock. */
static coaming_status write_locked(coaming_record *record, replacement *r, log_scan *scan,
                                   const char *log, const coaming_ship *ship, const char *text,
                                   size_t size, bool *again, coaming_faults *faults,
                                   coaming_error *error)
{
    size_t before = coaming_faults_error_count(faults);
    coaming_status status = log_scan_text(scan, text, size, log, faults, error);
    if (status != COAMING_OK)
        return status;
    record_check(record, ship, scan, log, faults);
    if (faults_lost(faults))
        return error_memory(error);
    if (coaming_faults_error_count(faults) > before)
        return error_set(error, COAMING_INPUT, "%s: nothing was recorded", log);
    if (!again) /* only to be checked */
        return COAMING_OK;
    status = keep_known(record, scan, error);
    if (status == COAMING_OK)
        status = splice(r, record, scan, text, size, again, error);
    record->ship = scan->ship;
    record->log_entries = scan->entries + record->count;
    return status;
}

static int by_text(const void *left, const void *right)
{
    return strcmp(*(const char *const *)left, *(const char *const *)right);
}

/* Which entries of the record are of one closure. */
static coaming_status link_items(coaming_record *record, const log_scan *scan, coaming_error *error)
{
    int *latest = arena_new(&record->memory, scan->closure_count, sizeof *latest);
    if (!latest)
        return error_memory(error);
    for (size_t i = 0; i < scan->closure_count; i++)
        latest[i] = -1;
    for (size_t i = 0; i < record->count; i++) {
        record_item *item = &record->items[i];
        int *at = &latest[log_scan_find(scan, item->entry.closure)];
        item->earlier = *at;
        *at = (int)i;
        item->latest = false;
    }
    for (size_t i = 0; i < scan->closure_count; i++)
        record->items[latest[i]].latest = true;
    return COAMING_OK;
}

/* The closures at hand, sorted, each once. */
static coaming_status list_closures(coaming_record *record, log_scan *scan, coaming_error *error)
{
    const char **list = arena_new(&record->memory, record->count, sizeof *list);
    if (!list)
        return error_memory(error);
    for (size_t i = 0; i < record->count; i++) {
        list[i] = record->items[i].entry.closure;
        record->items[i].undone = false;
    }
    qsort(list, record->count, sizeof *list, by_text);
    scan->closures = list;
    for (size_t i = 0; i < record->count; i++)
        if (i == 0 || strcmp(list[i], list[scan->closure_count - 1]))
            list[scan->closure_count++] = list[i];
    return link_items(record, scan, error);
}

/* again NULL: only to be checked. */
static coaming_status write_once(coaming_record *record, const char *log, const coaming_ship *ship,
                                 bool *again, coaming_faults *faults, coaming_error *error)
{
    replacement r;
    log_scan scan = {.memory = &record->memory};
    bool exists = false;
    char *text = NULL;
    xmlBufferPtr fresh = NULL;
    size_t size = 0;
    coaming_status status = replace_begin(&r, log, &exists, error);
    if (status == COAMING_OK && !exists && !ship)
        status = error_set(error, COAMING_NO_FILE,
                           "%s: there is no such log; give --ship SHIP.xml to begin one", log);
    if (status == COAMING_OK)
        status = list_closures(record, &scan, error);
    if (status == COAMING_OK && exists) {
        status = file_read(r.target, faults, &text, &size, error);
    } else if (status == COAMING_OK && ship) {
        fresh = new_log_text(ship->name);
        status = fresh ? COAMING_OK : error_memory(error);
    }
    if (status == COAMING_OK)
        status = write_locked(record, &r, &scan, log, ship,
                              fresh ? (const char *)xmlBufferContent(fresh) : text,
                              fresh ? (size_t)xmlBufferLength(fresh) : size, again, faults, error);
    log_scan_free(&scan);
    memory_free(text);
    xmlBufferFree(fresh);
    replace_end(&r);
    return status;
}

coaming_status coaming_record_write(coaming_record *record, const char *log,
                                    const coaming_ship *ship, bool again, coaming_faults *faults,
                                    coaming_error *error)
{
    enum { TRIES = 10 }; /* two who begin the same log at once meet in the first */
    if (!record->count)
        return error_set(error, COAMING_USAGE, "there is nothing to record");
    record->again = again;
    for (int i = 0; i < TRIES; i++) {
        bool raced = false;
        coaming_status status = write_once(record, log, ship, &raced, faults, error);
        if (!raced)
            return status;
    }
    return error_set(error, COAMING_WRITE, "%s: cannot be written: others keep making it", log);
}

coaming_status coaming_record_check(coaming_record *record, const char *log,
                                    const coaming_ship *ship, bool again, coaming_faults *faults,
                                    coaming_error *error)
{
    record->again = again;
    return write_once(record, log, ship, NULL, faults, error);
}
