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

static void put_number(writer *w, const char *name, double value)
{
    char number[NUMBER_TEXT];
    put(w, name, number_format(value, number));
}

static void put_text(writer *w, const char *text)
{
    w->good = w->good && xmlTextWriterWriteRaw(w->out, (const xmlChar *)text) >= 0;
}

static void put_gaps(writer *w, const record_item *item)
{
    for (size_t i = 0; i < item->gap_count; i++) {
        put_text(w, "\n    ");
        open_element(w, "gap");
        put_number(w, "at", item->gaps[i].at);
        put_number(w, "length", item->gaps[i].length);
        put(w, "seen", item->gaps[i].seen < SEEN_NOTHING ? sight_words[item->gaps[i].seen] : NULL);
        close_element(w);
    }
    if (item->gap_count)
        put_text(w, "\n  ");
}

static void put_entry(writer *w, const record_item *item)
{
    static const char *const names[] = {"test", "repair", "undo"};
    const coaming_entry *e = &item->entry;
    char date[COAMING_DATE_TEXT], of_date[COAMING_DATE_TEXT];
    put_text(w, "  ");
    open_element(w, names[e->kind]);
    put(w, "closure", e->closure);
    put(w, "date", coaming_date_format(e->date, date));
    if (e->kind == COAMING_ENTRY_UNDO) {
        put(w, "of", names[item->before.kind]);
        put(w, "of-date", coaming_date_format(item->before.date, of_date));
    }
    put(w, "method", e->method);
    put(w, "result", e->result);
    put(w, "action", e->action);
    put(w, "by", e->by);
    put(w, "note", e->note);
    put_gaps(w, item);
    close_element(w);
    put_text(w, "\n");
}

/* The entries as text; NULL when out of memory. */
static xmlBufferPtr entries_text(const coaming_record *record, const char *prefix)
{
    xmlBufferPtr buffer = xmlBufferCreate();
    writer w = {buffer ? xmlNewTextWriterMemory(buffer, 0) : NULL, prefix, true};
    w.good = w.out != NULL;
    for (size_t i = 0; i < record->count && w.good; i++)
        put_entry(&w, &record->items[i]);
    xmlFreeTextWriter(w.out);
    if (w.good)
        return buffer;
    xmlBufferFree(buffer);
    return NULL;
}

/* A log that does not exist yet: its frame, with the ship's name. */
static xmlBufferPtr new_log_text(const char *ship)
{
    xmlBufferPtr buffer = xmlBufferCreate();
    writer w = {buffer ? xmlNewTextWriterMemory(buffer, 0) : NULL, "", true};
    w.good = w.out && xmlTextWriterStartDocument(w.out, NULL, "UTF-8", NULL) >= 0;
    open_element(&w, "test-log");
    put(&w, "xmlns", TEST_LOG_NS);
    put(&w, "arrangement", ship);
    close_element(&w);
    if (w.out)
        xmlTextWriterEndDocument(w.out);
    xmlFreeTextWriter(w.out);
    if (w.good)
        return buffer;
    xmlBufferFree(buffer);
    return NULL;
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
        snprintf(end, sizeof end, "</%.100s%stest-log>", scan->prefix, *scan->prefix ? ":" : "");
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
    size_t before = coaming_faults_errors(faults);
    coaming_status status = log_scan_text(scan, text, size, log, faults, error);
    if (status != COAMING_OK)
        return status;
    record_check(record, ship, scan, log, faults);
    if (faults_lost(faults))
        return error_memory(error);
    if (coaming_faults_errors(faults) > before)
        return error_set(error, COAMING_INPUT, "%s: nothing was recorded", log);
    status = splice(r, record, scan, text, size, again, error);
    record->ship = scan->ship;
    record->log_entries = scan->entries + record->count;
    return status;
}

static int by_text(const void *left, const void *right)
{
    return strcmp(*(const char *const *)left, *(const char *const *)right);
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
    return COAMING_OK;
}

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
    } else if (status == COAMING_OK) {
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
