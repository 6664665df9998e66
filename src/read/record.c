#include "read/record.h"

#include <string.h>

#include "base/error.h"
#include "base/fault.h"
#include "base/text.h"
#include "read/log_scan.h"
#include "read/said.h"
#include "read/values.h"
#include "ship/rules.h"

coaming_record *coaming_record_new(coaming_date today)
{
    coaming_record *record = memory_new(1, sizeof *record);
    if (record)
        record->today = today;
    return record;
}

coaming_entry coaming_entry_default(void)
{
    return (coaming_entry){.kind = COAMING_ENTRY_TEST, .date = COAMING_NO_DATE};
}

coaming_sheet coaming_sheet_default(void)
{
    return (coaming_sheet){.date = COAMING_NO_DATE, .dates = COAMING_DATES_ISO};
}

void coaming_record_of(coaming_record *record, const coaming_ship *ship)
{
    record->of = ship;
}

void coaming_record_free(coaming_record *record)
{
    if (!record)
        return;
    arena_free(&record->memory);
    memory_free(record->items);
    memory_free(record);
}

/* What an entry is checked with. */
typedef struct {
    coaming_record *record;
    record_item *item;
    coaming_faults *faults;
    bool unsaid; /* a method that nobody says */
    bool memory_lost;
} checker;

#define FAULT(c, ...)                                                                              \
    record_fault((c)->faults, COAMING_SEVERITY_ERROR, (c)->item->file, (c)->item->line,            \
                 (c)->item->entry.closure, __VA_ARGS__)

/* Control characters (but for a line's end) cannot stand in XML, and text must be UTF-8. */
static const char *keep(checker *c, const char *what, const char *text)
{
    if (!text || !*text)
        return NULL;
    if (!text_is_xml(text))
        FAULT(c, "%s must be UTF-8 text without control characters", what);
    char *copy = arena_text(&c->record->memory, text);
    c->memory_lost = c->memory_lost || !copy;
    return copy;
}

/* What a reader of the log will take. */
static const char *keep_fit(checker *c, const char *what, const char *text,
                            bool (*fits)(const char *text, char why[VALUES_WHY]))
{
    char why[VALUES_WHY];
    if (text && *text && !fits(text, why))
        FAULT(c, "%s %s", what, why);
    return keep(c, what, text);
}

static const char *keep_word(checker *c, const char *what, const char *text,
                             const char *const *words)
{
    static const values_reading exact = {.exact = true};
    char all[VALUES_LIST], why[VALUES_WHY];
    if (!text || !*text) {
        FAULT(c, "%s is missing; it must be %s", what, values_list(all, words));
        return NULL;
    }
    int known = values_one_of(&exact, text, words, why);
    if (known < 0)
        FAULT(c, "%s %s", what, why);
    return known < 0 ? NULL : words[known];
}

/* By which method, where nobody says: what is usual for the closure's kind. */
static const char *kinds_method(checker *c)
{
    const coaming_ship *ship = c->record->of;
    const char *closure = c->item->entry.closure;
    char all[VALUES_LIST];
    test_method method;
    if (!closure)
        return NULL; /* which has been told */
    const ship_link *l = ship ? record_closure(ship, c->item, c->faults) : NULL;
    if (l && usual_method(ship, l, &method))
        return method_words[method];
    c->unsaid = !ship || l;
    values_list(all, method_words);
    if (!ship)
        FAULT(
            c,
            "by which method it was tested is not said, and without --ship its kind is not known; "
            "say it: %s",
            all);
    else if (l)
        FAULT(c,
              "by which method it was tested is not said, and for a %s %s no test is usual that "
              "would "
              "prove that it holds; say it: %s",
              rating_words[l->rating], link_kind_word(l->kind), all);
    return NULL;
}

/* The list of gaps, and the same in one spelling. */
static void keep_gaps(checker *c, const char *text)
{
    const char *const between = values_between_gaps;
    size_t most = text ? strlen(text) / 2 + 1 : 0;
    record_item *item = c->item;
    if (!text || !text[strspn(text, between)])
        return;
    item->gaps = arena_new(&c->record->memory, most, sizeof *item->gaps);
    char *spelt = arena_new(&c->record->memory, most, GAP_ROOM), why[VALUES_WHY];
    if (!item->gaps || !spelt) {
        c->memory_lost = true;
        return;
    }
    for (const char *at = text + strspn(text, between); *at; at += strspn(at, between)) {
        size_t length = strcspn(at, between);
        gap *g = &item->gaps[item->gap_count];
        if (!values_gap(at, length, g, why)) {
            FAULT(c, "%s", why);
            return;
        }
        item->gap_count++;
        at += length;
    }
    record_spell_gaps(item->gaps, item->gap_count, spelt);
    item->entry.gaps = item->gaps_spelt = spelt;
}

/* NULL, or the text as it was given, in one spelling where it has no unit. */
static const char *keep_measure(checker *c, const char *what, const char *text, measure *m)
{
    char why[VALUES_WHY], spelt[NUMBER_TEXT];
    if (!text || !*text)
        return NULL;
    m->given = values_measure(text, &m->value, why);
    if (!m->given) {
        FAULT(c, "%s %s", what, why);
        return NULL;
    }
    m->spelt = arena_new(&c->record->memory, NUMBER_TEXT, 1);
    c->memory_lost = c->memory_lost || !m->spelt;
    return keep(c, what, m->value.unit > 0 ? text : number_format(m->value.number, spelt));
}

/* NULL, or the number of a field of closures in its one spelling. */
static const char *keep_number(checker *c, int column, const char *text, double *value)
{
    const ship_field *f = field_of(COAMING_LIST_CLOSURES, column);
    const values_bounds bounds = values_field_bounds(f);
    char why[VALUES_WHY], spelt[NUMBER_TEXT];
    if (!text || !*text)
        return NULL;
    if (values_number(text, &bounds, value, why))
        return keep(c, f->attribute, number_format(*value, spelt));
    FAULT(c, "%s %s", f->attribute, why);
    return NULL;
}

/* The drop of pressure of a test by air: three numbers that belong together. */
static void keep_drop(checker *c, const coaming_entry *asked)
{
    const char *const said[] = {asked->start_pressure, asked->end_pressure, asked->duration,
                                asked->space, asked->volume};
    coaming_entry *e = &c->item->entry;
    double start = 0, end = 0, other;
    int count = 0, needed = 0;
    for (int i = 0; i < 5; i++) {
        count += said[i] && *said[i];
        needed += i < 3 && said[i] && *said[i];
    }
    if (!count)
        return;
    if (e->method && strcmp(e->method, method_words[AIR_TEST]))
        FAULT(c, SAID_DROP_AIR);
    if (needed < 3)
        FAULT(c, SAID_DROP_PART);
    e->start_pressure = keep_number(c, LINK_TEST_START, said[0], &start);
    e->end_pressure = keep_number(c, LINK_TEST_END, said[1], &end);
    e->duration = keep_number(c, LINK_TEST_DURATION, said[2], &other);
    e->space = keep_fit(c, "space", said[3], values_id);
    e->volume = keep_number(c, LINK_TEST_VOLUME, said[4], &other);
    if (e->start_pressure && e->end_pressure && end > start)
        FAULT(c, SAID_DROP_ROSE);
}

static void warn_of_pass(checker *c)
{
    bool broken = false, edge = false;
    for (size_t i = 0; i < c->item->gap_count; i++) {
        edge = edge || c->item->gaps[i].seen == SEEN_EDGE;
        broken = broken || c->item->gaps[i].seen != SEEN_EDGE;
    }
    if (broken)
        record_fault(c->faults, COAMING_SEVERITY_WARNING, c->item->file, c->item->line,
                     c->item->entry.closure, SAID_PASS_GAPS);
    if (edge)
        record_fault(c->faults, COAMING_SEVERITY_WARNING, c->item->file, c->item->line,
                     c->item->entry.closure, SAID_PASS_OFF);
}

static void keep_entry(checker *c, const coaming_entry *asked)
{
    coaming_entry *e = &c->item->entry;
    char why[VALUES_WHY];
    e->kind = asked->kind;
    e->date = asked->date;
    e->closure = asked->closure && *asked->closure ? keep(c, "closure", asked->closure) : NULL;
    if (!e->closure)
        FAULT(c, "the closure is missing");
    if (asked->date == COAMING_NO_DATE)
        FAULT(c, "the date is missing");
    if (!values_come(asked->date, c->record->today, why))
        FAULT(c, "date %s", why);
    e->by = keep_fit(c, "by", asked->by, values_name);
    e->note = keep_fit(c, "note", asked->note, values_note);
    if (asked->kind == COAMING_ENTRY_TEST) {
        e->method =
            asked->method ? keep_word(c, "method", asked->method, method_words) : kinds_method(c);
        e->result = keep_word(c, "result", asked->result, result_words);
        e->set = keep_measure(c, "set", asked->set, &c->item->set);
        e->hinge_play = keep_measure(c, "hinge play", asked->hinge_play, &c->item->hinge_play);
        keep_drop(c, asked);
        keep_gaps(c, asked->gaps);
        e->gaps_in_metres = asked->gaps_in_metres;
        if (e->result && !strcmp(e->result, "pass"))
            warn_of_pass(c);
    } else if (asked->kind == COAMING_ENTRY_REPAIR) {
        e->action = keep_word(c, "action", asked->action, action_words);
    }
}

coaming_status coaming_record_add(coaming_record *record, const coaming_entry *entry,
                                  const char *file, long line, coaming_faults *faults,
                                  coaming_error *error)
{
    size_t before = coaming_faults_error_count(faults);
    if (!MEMORY_ROOM(record->items, record->count, record->capacity))
        return error_memory(error);
    record_item *item = &record->items[record->count];
    *item = (record_item){.file = arena_text(&record->memory, file), .line = line};
    checker c = {record, item, faults, false, !item->file};
    if (item->file)
        keep_entry(&c, entry);
    if (c.memory_lost || faults_lost(faults))
        return error_memory(error);
    size_t errors = coaming_faults_error_count(faults) - before;
    if (errors)
        return error_set(error, errors == 1 && c.unsaid ? COAMING_USAGE : COAMING_INPUT,
                         "%s: the entry is faulty", file);
    record->count++;
    return COAMING_OK;
}

const char *const *coaming_method_words(void)
{
    return method_words;
}

const char *const *coaming_result_words(void)
{
    return result_words;
}

const char *const *coaming_action_words(void)
{
    return action_words;
}

size_t coaming_record_count(const coaming_record *record)
{
    return record->count;
}

const coaming_entry *coaming_record_get(const coaming_record *record, size_t index)
{
    return &record->items[index].entry;
}

const coaming_entry *coaming_record_undone(const coaming_record *record, size_t index)
{
    return &record->items[index].before;
}

const char *coaming_record_ship(const coaming_record *record)
{
    return record->ship;
}

size_t coaming_record_log_entry_count(const coaming_record *record)
{
    return record->log_entries;
}
