#include <stdlib.h>
#include <string.h>

#include "commands.h"
#include "memory_out.h"

const char help_record[] =
    "\nPuts a test or a repair into the test log, without ever losing one. After the\n"
    "closure, words in the order of the work: pass, fail, gaps as AT:LENGTH along the\n"
    "gasket in the ship's unit (seen there: AT:LENGTH:paint, :joint, :damage, or\n"
    ":edge, a print outside the middle three fifths of the gasket), the method, and\n"
    "repairs: dogs, gasket, knife-edge, hinge or replaced.\n"
    "  coaming record log.xml D4 chalk fail 2.10:0.18 dogs pass\n"
    "With --ship the method may be left out where one is usual for the kind of\n"
    "closure; it also checks closure and gaps, and says what the print asks for.\n";

static const char COMMAND_LINE[] = "command line";

static bool is_one_of(const char *word, const char *const *list)
{
    for (; *list; list++)
        if (!strcmp(*list, word))
            return true;
    return false;
}

/* The entries of the command line, one after the other. */
typedef struct {
    options *o;
    coaming_record *record;
    coaming_faults *faults;
    coaming_entry entry; /* at hand; a test without result has not begun */
    bool begun;
    char *gaps; /* of the entry at hand; owned, growing */
    size_t gaps_used, gaps_room;
    size_t taken;     /* of --gap */
    char drop[3][64]; /* --drop taken apart */
    coaming_status worst;
    coaming_error error;
} words;

static void end_entry(words *w)
{
    if (w->begun && w->worst != COAMING_USAGE) { /* which is told once */
        w->entry.gaps = w->gaps;
        coaming_status status =
            coaming_record_add(w->record, &w->entry, COMMAND_LINE, 0, w->faults, &w->error);
        w->worst = w->worst == COAMING_OK ? status : w->worst;
    }
    free(w->gaps);
    w->gaps = NULL;
    w->gaps_used = w->gaps_room = 0;
    w->begun = false;
}

static void begin_entry(words *w, coaming_entry_kind kind)
{
    end_entry(w);
    w->entry = coaming_entry_default();
    w->entry.kind = kind;
    w->entry.closure = w->o->arguments[0];
    w->entry.date = w->o->date;
    w->entry.method = w->o->method;
    w->entry.by = w->o->by;
    w->entry.note = w->o->note;
    w->begun = true;
}

static bool add_gap(words *w, const char *gap)
{
    size_t size = strlen(gap) + 2, old = w->gaps_used;
    if (!w->begun || w->entry.kind != COAMING_ENTRY_TEST) {
        complain("the gap %s must follow the result of a test: fail %s", gap, gap);
        return false;
    }
    if (w->gaps_room - old < size) {
        char *all = realloc(w->gaps, 2 * w->gaps_room + size);
        if (!all) {
            complain_of_memory();
            w->worst = COAMING_MEMORY;
            return false;
        }
        w->gaps = all;
        w->gaps_room = 2 * w->gaps_room + size;
    }
    w->gaps_used += (size_t)snprintf(w->gaps + old, size, "%s%s", old ? " " : "", gap);
    return true;
}

/* START:END:SECONDS into three texts; what they say is for the library to judge. */
static bool take_drop(words *w)
{
    const char *at = w->o->drop;
    int part = 0;
    w->entry.space = w->o->tested_space;
    w->entry.volume = w->o->tested_volume;
    w->o->tested_space = w->o->tested_volume = NULL;
    while (at && part < 3) {
        size_t length = strcspn(at, ":");
        if (!length || length >= sizeof w->drop[0])
            break;
        snprintf(w->drop[part++], sizeof w->drop[0], "%.*s", (int)length, at);
        at += length + (part < 3 && at[length]);
    }
    if (at && (part < 3 || *at))
        return refuse("drop", w->o->drop,
                      "a drop of pressure such as 2000:1500:600, from 2000 to 1500 Pa in 600 s");
    if (at) {
        w->entry.start_pressure = w->drop[0];
        w->entry.end_pressure = w->drop[1];
        w->entry.duration = w->drop[2];
        w->o->drop = NULL;
    }
    return true;
}

/* Gaps and measures of options belong to the first test. */
static bool take_gaps(words *w)
{
    bool good = take_drop(w);
    w->entry.set = w->o->set;
    w->entry.hinge_play = w->o->hinge_play;
    w->o->set = w->o->hinge_play = NULL;
    while (w->taken < w->o->gaps.count && good)
        good = add_gap(w, w->o->gaps.texts[w->taken++]);
    return good;
}

static bool take_word(words *w, const char *word)
{
    if (is_one_of(word, coaming_result_words())) {
        begin_entry(w, COAMING_ENTRY_TEST);
        w->entry.result = word;
        return take_gaps(w);
    } else if (is_one_of(word, coaming_action_words())) {
        begin_entry(w, COAMING_ENTRY_REPAIR);
        w->entry.action = word;
    } else if (!strcmp(word, "undo")) {
        begin_entry(w, COAMING_ENTRY_UNDO);
    } else if (is_one_of(word, coaming_method_words())) {
        w->o->method = word;
        if (w->begun && w->entry.kind == COAMING_ENTRY_TEST)
            w->entry.method = word;
    } else if (strchr(word, ':')) {
        return add_gap(w, word);
    } else {
        complain("'%s' is no result, method, repair, undo or gap; see 'coaming record --help'",
                 word);
        return false;
    }
    return true;
}

/* Options first, in the order of the work, then the words. */
static bool take_all(words *w)
{
    options *o = w->o;
    bool good = true;
    if (o->result) {
        begin_entry(w, COAMING_ENTRY_TEST);
        w->entry.result = o->result;
        good = take_gaps(w);
    }
    if (o->repair) {
        begin_entry(w, COAMING_ENTRY_REPAIR);
        w->entry.action = o->repair;
    }
    if (o->undo)
        begin_entry(w, COAMING_ENTRY_UNDO);
    for (int i = 1; i < o->argument_count && good; i++)
        good = take_word(w, o->arguments[i]);
    const char *left = o->set                                           ? "set"
                       : o->hinge_play                                  ? "hinge-play"
                       : o->drop || o->tested_space || o->tested_volume ? "drop"
                                                                        : NULL;
    if (good && left) {
        complain("--%s goes with the result of a test: pass or fail", left);
        good = false;
    }
    if (good && o->gaps.count > w->taken)
        good = add_gap(w, o->gaps.texts[0]); /* says that there is no test for it */
    if (good)
        end_entry(w);
    free(w->gaps);
    return good;
}

static int print_faults(const coaming_faults *faults)
{
    progress_stop();
    for (size_t i = 0; i < coaming_faults_count(faults); i++)
        coaming_print_fault(stderr, coaming_faults_get(faults, i));
    return EXIT_INPUT;
}

/* The ship to check against. */
static int load_beside(const options *o, coaming_ship **ship)
{
    options with = *o;
    with.ship = o->beside;
    with.logs.count = 0;
    with.condition = NULL;
    return o->beside ? load_asked(&with, ship) : -1;
}

/* -1 to go on: all is in the log. */
static int write_log(options *o, coaming_record *record, const coaming_ship *ship,
                     coaming_faults *faults)
{
    coaming_error error = {COAMING_OK, ""};
    coaming_status status = coaming_record_write(record, o->ship, ship, o->again, faults, &error);
    memory_out_after(status == COAMING_OK ? o->ship : NULL);
    if (coaming_faults_count(faults))
        print_faults(faults); /* warnings too */
    if (status == COAMING_OK)
        return -1;
    return coaming_faults_error_count(faults) ? EXIT_INPUT : complain_of(&error);
}

/* Reads the prints of the closures that were recorded, each once. */
static coaming_status read_recorded(const coaming_record *record, const coaming_ship *ship,
                                    coaming_readings **readings, coaming_error *error)
{
    size_t count = 0, entries = coaming_record_count(record);
    int *closures = calloc(entries + 1, sizeof *closures);
    if (!closures) {
        *error = (coaming_error){COAMING_MEMORY, "out of memory"};
        return COAMING_MEMORY;
    }
    for (size_t i = 0; i < entries; i++) {
        bool before = false;
        int c = -1;
        coaming_error unknown; /* not of this ship: it has no print */
        if (coaming_find_closure(ship, coaming_record_get(record, i)->closure, &c, &unknown) !=
            COAMING_OK)
            continue;
        for (size_t j = 0; j < count; j++)
            before = before || closures[j] == c;
        if (!before)
            closures[count++] = c;
    }
    coaming_status status = coaming_readings_new(ship, closures, count, readings, error);
    free(closures);
    return status;
}

/* What was recorded, and with the ship what it asks for. The log is written by now: whatever fails
 * must not look as if it were not. */
static int print_record(options *o, coaming_record *record, size_t skipped, output *out)
{
    coaming_ship *ship = NULL;
    coaming_readings *readings = NULL;
    coaming_faults *faults = coaming_faults_new(); /* they were told when the ship was checked */
    coaming_error error = {COAMING_MEMORY, "out of memory"};
    coaming_status status = faults ? COAMING_OK : COAMING_MEMORY;
    if (status == COAMING_OK && o->beside)
        status = coaming_record_load(record, o->beside, faults, &ship, &error);
    if (status == COAMING_INPUT) { /* it was sound without the log */
        complain("%s: has been written, but has other faulty entries; 'coaming check %s --log %s' "
                 "tells them",
                 o->ship, o->beside, o->ship);
        status = COAMING_OK;
    }
    if (status == COAMING_OK && ship)
        status = read_recorded(record, ship, &readings, &error);
    if (status == COAMING_OK)
        status = coaming_print_record(out->stream, out->style, o->ship, record, skipped, readings,
                                      &error);
    int result = output_close(out, status, &error);
    if (result != EXIT_DONE)
        complain(LOG_WRITTEN, o->ship);
    memory_out_after(NULL);
    coaming_readings_free(readings);
    coaming_faults_free(faults);
    coaming_ship_free(ship);
    return result;
}

/* The answer's place is made sure of before the log is touched. */
static int write_and_print(options *o, coaming_record *record, const coaming_ship *ship,
                           coaming_faults *faults, size_t skipped)
{
    output out;
    int result = output_open(&out, o);
    if (result >= 0)
        return result;
    result = write_log(o, record, ship, faults);
    if (result < 0)
        return print_record(o, record, skipped, &out);
    output_drop(&out);
    return result;
}

/* Faults of a sheet are told all at once: those of the rows that could be read too. */
static void check_rest(const options *o, coaming_record *record, const coaming_ship *ship,
                       coaming_faults *faults)
{
    coaming_error error;
    if (coaming_record_count(record))
        coaming_record_check(record, o->ship, ship, o->again, faults, &error);
}

static coaming_status gather_sheet(const options *o, coaming_record *record,
                                   const coaming_ship *ship, coaming_faults *faults,
                                   size_t *skipped, coaming_error *error)
{
    coaming_sheet sheet = coaming_sheet_default();
    sheet.path = o->sheet;
    sheet.date = o->date;
    sheet.by = o->by;
    sheet.method = o->method;
    sheet.dates = o->dates;
    coaming_status status = coaming_record_sheet(record, &sheet, skipped, faults, error);
    if (status == COAMING_INPUT)
        check_rest(o, record, ship, faults);
    return status;
}

/* -1 to go on, else the exit status. */
static int gather(options *o, coaming_record *record, const coaming_ship *ship,
                  coaming_faults *faults, size_t *skipped)
{
    coaming_error error = {COAMING_OK, ""};
    coaming_status status;
    if (o->sheet) {
        status = gather_sheet(o, record, ship, faults, skipped, &error);
    } else {
        words w = {.o = o, .record = record, .faults = faults};
        if (!take_all(&w))
            return w.worst == COAMING_MEMORY ? EXIT_MACHINE : EXIT_USAGE;
        status = w.worst;
        error = w.error;
    }
    if (status != COAMING_OK) {
        if (!coaming_faults_error_count(faults))
            return complain_of(&error);
        print_faults(faults);
        return status == COAMING_USAGE ? EXIT_USAGE : EXIT_INPUT;
    }
    if (coaming_record_count(record))
        return -1;
    if (o->sheet)
        complain("%s: no row has anything filled in", o->sheet);
    else
        complain("say what to record of %s, e.g. pass; see 'coaming record --help'",
                 o->arguments[0]);
    return o->sheet ? EXIT_INPUT : EXIT_USAGE;
}

static bool asked_well(const options *o)
{
    bool spoken = o->result || o->gaps.count || o->repair || o->undo || o->note || o->set ||
                  o->hinge_play || o->drop || o->tested_space || o->tested_volume;
    if (!strcmp(o->ship, "-"))
        complain("the log must be a file, for it is written to");
    else if (o->beside && !strcmp(o->beside, "-"))
        complain("the ship must be a file, for it is read twice");
    else if (o->sheet && (o->argument_count || spoken))
        complain("give a closure and what was done, or --sheet, not both");
    else if (!o->sheet && o->given & OPT_DATE_FORMAT)
        complain("--date-format is of the dates in a sheet; --date is written 2026-09-30");
    else if (!o->sheet && !o->argument_count)
        complain("the closure is missing; see 'coaming record --help'");
    else
        return true;
    return false;
}

int cmd_record(options *o)
{
    size_t skipped = 0;
    if (!asked_well(o))
        return EXIT_USAGE;
    coaming_record *record = coaming_record_new(o->today);
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *ship = NULL;
    int result = -1;
    if (!record || !faults)
        result = complain_of_memory();
    if (result < 0)
        result = load_beside(o, &ship);
    if (result < 0) {
        coaming_record_of(record, ship);
        result = gather(o, record, ship, faults, &skipped);
    }
    if (result < 0)
        result = write_and_print(o, record, ship, faults, skipped);
    coaming_ship_free(ship);
    coaming_record_free(record);
    coaming_faults_free(faults);
    return result;
}
