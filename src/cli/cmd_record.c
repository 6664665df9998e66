#include <stdlib.h>
#include <string.h>

#include "commands.h"

const char help_record[] =
    "\nPuts a test or a repair into the test log, without ever losing one. After the\n"
    "closure, words in the order of the work: pass, fail, gaps as AT:LENGTH in metres\n"
    "along the gasket (seen there: AT:LENGTH:paint, :joint, :damage), a method if it\n"
    "is not chalk, and repairs: dogs, gasket, knife-edge, hinge, replaced.\n"
    "  coaming record log.xml D4 fail 2.10:0.18 dogs pass\n"
    "With --ship it also checks closure and gaps, and says what the print asks for.\n";

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
    char *gaps; /* of the entry at hand; owned */
    coaming_status worst;
    coaming_error error;
} words;

static void end_entry(words *w)
{
    if (w->begun) {
        w->entry.gaps = w->gaps;
        coaming_status status =
            coaming_record_add(w->record, &w->entry, COMMAND_LINE, 0, w->faults, &w->error);
        w->worst = w->worst == COAMING_OK ? status : w->worst;
    }
    free(w->gaps);
    w->gaps = NULL;
    w->begun = false;
}

static void begin_entry(words *w, coaming_entry_kind kind)
{
    end_entry(w);
    w->entry = (coaming_entry){.kind = kind,
                               .closure = w->o->arguments[0],
                               .date = w->o->date,
                               .method = w->o->method,
                               .by = w->o->by,
                               .note = w->o->note};
    w->begun = true;
}

static bool add_gap(words *w, const char *gap)
{
    size_t old = w->gaps ? strlen(w->gaps) : 0, size = old + strlen(gap) + 2;
    if (!w->begun || w->entry.kind != COAMING_ENTRY_TEST) {
        complain("the gap %s must follow the result of a test: fail %s", gap, gap);
        return false;
    }
    char *all = realloc(w->gaps, size);
    if (!all) {
        complain("out of memory");
        return false;
    }
    snprintf(all + old, size - old, "%s%s", old ? " " : "", gap);
    w->gaps = all;
    return true;
}

static bool take_word(words *w, const char *word)
{
    if (is_one_of(word, coaming_result_words())) {
        begin_entry(w, COAMING_ENTRY_TEST);
        w->entry.result = word;
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
    }
    for (size_t i = 0; i < o->gap_count && good; i++)
        good = add_gap(w, o->gaps[i]);
    if (o->repair) {
        begin_entry(w, COAMING_ENTRY_REPAIR);
        w->entry.action = o->repair;
    }
    if (o->undo)
        begin_entry(w, COAMING_ENTRY_UNDO);
    for (int i = 1; i < o->argument_count && good; i++)
        good = take_word(w, o->arguments[i]);
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

/* -1 to go on, else the exit status. */
static int gather(options *o, coaming_record *record, coaming_faults *faults, size_t *skipped)
{
    coaming_error error = {COAMING_OK, ""};
    coaming_status status;
    if (o->sheet) {
        status = coaming_record_sheet(record, o->sheet, o->date, o->by, skipped, faults, &error);
        if (status == COAMING_OK && !coaming_record_count(record)) {
            complain("%s: no row has anything filled in", o->sheet);
            return EXIT_INPUT;
        }
    } else {
        words w = {.o = o, .record = record, .faults = faults};
        if (!take_all(&w))
            return EXIT_USAGE;
        status = w.worst;
        error = w.error;
        if (status == COAMING_OK && !coaming_record_count(record)) {
            complain("say what to record of %s, e.g. pass; see 'coaming record --help'",
                     o->arguments[0]);
            return EXIT_USAGE;
        }
    }
    if (status == COAMING_OK)
        return -1;
    return coaming_faults_errors(faults) ? print_faults(faults) : complain_of(&error);
}

/* The ship to check against. */
static int load_beside(const options *o, coaming_ship **ship)
{
    options with = *o;
    with.ship = o->beside;
    with.log_count = 0;
    with.condition = NULL;
    return load_asked(&with, ship);
}

/* -1 to go on: all is in the log. */
static int write_log(options *o, coaming_record *record, coaming_faults *faults)
{
    coaming_ship *ship = NULL;
    coaming_error error = {COAMING_OK, ""};
    int result = o->beside ? load_beside(o, &ship) : -1;
    if (result < 0) {
        coaming_status status =
            coaming_record_write(record, o->ship, ship, o->again, faults, &error);
        if (coaming_faults_count(faults))
            print_faults(faults); /* warnings too */
        if (status != COAMING_OK)
            result = coaming_faults_errors(faults) ? EXIT_INPUT : complain_of(&error);
    }
    coaming_ship_free(ship);
    return result;
}

/* What was recorded, and with the ship what it asks for. */
static int print_record(options *o, coaming_record *record, size_t skipped)
{
    coaming_ship *ship = NULL;
    coaming_faults *faults = coaming_faults_new(); /* they were told when the ship was checked */
    coaming_error error = {COAMING_OK, ""};
    output out;
    int result = -1;
    if (!faults) {
        complain("out of memory");
        return EXIT_MACHINE;
    }
    if (o->beside && coaming_record_load(record, o->beside, faults, &ship, &error) != COAMING_OK)
        result = complain_of(&error);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status =
            coaming_print_record(out.stream, out.style, o->ship, record, skipped, ship, &error);
        result = output_close(&out, status, &error);
    }
    coaming_faults_free(faults);
    coaming_ship_free(ship);
    return result;
}

static bool asked_well(const options *o)
{
    bool spoken = o->result || o->gap_count || o->repair || o->undo || o->method || o->note;
    if (!strcmp(o->ship, "-"))
        complain("the log must be a file, for it is written to");
    else if (o->beside && !strcmp(o->beside, "-"))
        complain("the ship must be a file, for it is read twice");
    else if (o->sheet && (o->argument_count || spoken))
        complain("give a closure and what was done, or --sheet, not both");
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
    int result = -1;
    if (!record || !faults) {
        complain("out of memory");
        result = EXIT_MACHINE;
    }
    if (result < 0)
        result = gather(o, record, faults, &skipped);
    if (result < 0)
        result = write_log(o, record, faults);
    if (result < 0)
        result = print_record(o, record, skipped);
    coaming_record_free(record);
    coaming_faults_free(faults);
    return result;
}
