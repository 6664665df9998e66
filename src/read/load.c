#include <libxml/parser.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/file.h"
#include "read/parts.h"
#include "read/record.h"
#include "read/schema.h"
#include "ship/gasket.h"
#include "ship/inside.h"
#include "ship/survey.h"

const char ARRANGEMENT_NS[] = "urn:coaming:arrangement:1";

static bool check_root(reader *r, const xmlNode *root, const char *name, const char *ns)
{
    bool named = element_is(root, name);
    if (named && root->ns && !strcmp((const char *)root->ns->href, ns))
        return true;
    if (named)
        fault_at(r, root, "<%s> must be in the namespace: xmlns=\"%s\"", name, ns);
    else
        fault_at(r, root, "<%s> is not what this file must hold: <%s xmlns=\"%s\">",
                 BRIEF(root->name), name, ns);
    return false;
}

/* from: the first fault of this file. */
static void read_parts(reader *r, const xmlNode *root, size_t from)
{
    read_arrangement_root(r, root);
    read_principal(r, root);
    read_spaces(r, root);
    if (faults_errors_from(r->faults, from) == 0 && !r->memory_lost)
        r->memory_lost = !ship_cut(r->ship, r->faults);
    if (faults_errors_from(r->faults, from) == 0 && !r->memory_lost)
        check_zones(r);
    read_links(r, root); /* a floor is that of what there is of a space */
    read_loadings(r, root);
    read_pumps(r, root);
    read_scenarios(r, root);
}

/* Reads the arrangement: by the loader and, if that finds no error, by the schema. */
static coaming_status read_arrangement(reader *r, const char *path, coaming_error *error)
{
    size_t from = coaming_faults_count(r->faults);
    xmlDocPtr doc = NULL;
    coaming_status status = r->text
                                ? xml_read_text(r->text, r->text_size, path, r->faults, &doc, error)
                                : xml_read(path, r->faults, &doc, error);
    if (status != COAMING_OK)
        return status;
    r->ship->path = r->file = arena_text(&r->ship->memory, file_shown(path));
    const xmlNode *root = xmlDocGetRootElement(doc);
    if (!r->file) {
        status = error_memory(error);
    } else if (check_root(r, root, "arrangement", ARRANGEMENT_NS)) {
        read_parts(r, root, from);
        if (faults_errors_from(r->faults, from) == 0) {
            schema *s = schema_new(SCHEMA_ARRANGEMENT);
            status = schema_check(s, doc, r->file, r->faults, error);
            schema_free(s);
        }
    }
    xmlFreeDoc(doc);
    faults_sort_from(r->faults, from);
    return status;
}

/* A log as its parts come in. */
typedef struct {
    reader *reader;
    schema *schema;
    size_t from; /* faults before this one are of other files */
    coaming_status status;
    coaming_error *error;
} log_reader;

static bool read_part(xmlNode *root, bool first, void *data)
{
    log_reader *l = data;
    reader *r = l->reader;
    if (first && (!check_root(r, root, "test-log", TEST_LOG_NS) || !read_log_begin(r, root)))
        return false;
    read_log_part(r, root);
    if (faults_errors_from(r->faults, l->from) == 0)
        l->status = schema_check(l->schema, root->doc, r->file, r->faults, l->error);
    return l->status == COAMING_OK;
}

/* Reads a log as the arrangement is read. */
static coaming_status read_log(reader *r, const char *text, size_t size, const char *shown,
                               coaming_error *error)
{
    size_t from = coaming_faults_count(r->faults);
    log_reader l = {r, schema_new(SCHEMA_TEST_LOG), from, COAMING_OK, error};
    r->file = arena_text(&r->ship->memory, shown);
    coaming_status status =
        r->file ? xml_read_parts(text, size, r->file, r->faults, read_part, &l, error)
                : error_memory(error);
    read_log_end(r);
    schema_free(l.schema);
    faults_sort_from(r->faults, from);
    return l.status != COAMING_OK ? l.status : status;
}

static coaming_status read_log_file(reader *r, const char *path, coaming_error *error)
{
    char *text = NULL;
    size_t size = 0;
    coaming_status status = file_read(path, r->faults, &text, &size, error);
    if (status == COAMING_OK)
        status = read_log(r, text, size, file_shown(path), error);
    memory_free(text);
    return status;
}

static coaming_status verdict(const reader *r, coaming_error *error)
{
    if (r->memory_lost || faults_lost(r->faults))
        return error_memory(error);
    size_t errors = coaming_faults_error_count(r->faults);
    if (errors)
        return error_set(error, COAMING_INPUT, "%zu error%s in the input", errors,
                         errors == 1 ? "" : "s");
    return COAMING_OK;
}

/* The arrangement with its survey, so that all its faults stand together, by line. */
static coaming_status read_ship(reader *r, const char *path, coaming_error *error)
{
    coaming_status status = read_arrangement(r, path, error);
    if (status == COAMING_OK)
        status = verdict(r, error);
    if (status != COAMING_OK)
        return status;
    if (!ship_connect(r->ship) || !ship_survey(r->ship, r->faults))
        return error_memory(error);
    faults_sort_from(r->faults, 0);
    return COAMING_OK;
}

/* Logs are read only against a sound arrangement: without its ids none could be told from a wrong
 * one. */
static coaming_status read_all(reader *r, const char *path, const coaming_load_options *options,
                               coaming_error *error)
{
    coaming_status status = read_ship(r, path, error);
    if (status != COAMING_OK)
        return status;
    for (size_t i = 0; i < options->log_count; i++) {
        coaming_status one = read_log_file(r, options->logs[i], error);
        if (one != COAMING_OK && one != COAMING_INPUT)
            return one;
    }
    if (r->log_text)
        status = read_log(r, r->log_text, r->log_size, "log", error);
    if (status != COAMING_OK && status != COAMING_INPUT)
        return status;
    settle_events(r);
    gaskets_count(r->ship);
    return verdict(r, error);
}

/* Texts that are read instead of files; NULL: none. */
typedef struct {
    const char *arrangement;
    size_t arrangement_size;
    const char *log; /* one more log */
    size_t log_size;
} load_texts;

static coaming_status load(const char *path, const load_texts *texts,
                           const coaming_load_options *options, coaming_faults *faults,
                           coaming_ship **ship, coaming_error *error)
{
    coaming_ship *s = memory_new(1, sizeof *s);
    if (!s)
        return error_memory(error);
    s->as_of = options->as_of;
    reader r = {.ship = s,
                .faults = faults,
                .unit = 1,
                .text = texts->arrangement,
                .text_size = texts->arrangement_size,
                .log_text = texts->log,
                .log_size = texts->log_size};
    r.latest = options->today > options->as_of ? options->today : options->as_of;
    coaming_status status = read_all(&r, path, options, error);
    memory_free(r.events);
    if (status != COAMING_OK)
        coaming_ship_free(s);
    else
        *ship = s;
    return status;
}

coaming_load_options coaming_load_options_default(void)
{
    coaming_date today = coaming_date_today();
    return (coaming_load_options){.as_of = today, .today = today};
}

typedef struct {
    file_identity file;
    const char *path;
} named_log;

static int by_file(const void *left, const void *right)
{
    const file_identity *a = &((const named_log *)left)->file,
                        *b = &((const named_log *)right)->file;
    if (a->device != b->device)
        return a->device < b->device ? -1 : 1;
    return (a->node > b->node) - (a->node < b->node);
}

/* A log given twice would have each test count twice. */
static coaming_status logs_differ(const coaming_load_options *options, coaming_error *error)
{
    named_log *logs = memory_new(options->log_count, sizeof *logs);
    if (!logs)
        return error_memory(error);
    size_t count = 0;
    for (size_t i = 0; i < options->log_count; i++) {
        logs[count].path = options->logs[i];
        count += file_identify(options->logs[i], &logs[count].file);
    }
    if (count)
        qsort(logs, count, sizeof *logs, by_file);
    coaming_status status = COAMING_OK;
    for (size_t i = 1; i < count && status == COAMING_OK; i++)
        if (!by_file(&logs[i - 1], &logs[i]))
            status = error_set(error, COAMING_USAGE,
                               "%s: is given as a log more than once; each test would count again",
                               file_shown(logs[i].path));
    memory_free(logs);
    return status;
}

static coaming_status inputs_differ(const char *path, const coaming_load_options *options,
                                    coaming_error *error)
{
    size_t standard = !strcmp(path, "-");
    for (size_t i = 0; i < options->log_count; i++)
        standard += !strcmp(options->logs[i], "-");
    if (standard > 1)
        return error_set(error, COAMING_USAGE, "standard input ('-') can be read only once");
    return logs_differ(options, error);
}

coaming_status coaming_ship_load(const char *path, const coaming_load_options *options,
                                 coaming_faults *faults, coaming_ship **ship, coaming_error *error)
{
    coaming_status status = inputs_differ(path, options, error);
    if (status != COAMING_OK)
        return status;
    return load(path, &(load_texts){.arrangement = NULL}, options, faults, ship, error);
}

coaming_status ship_load_text(const char *text, size_t size, const char *shown,
                              const coaming_load_options *options, coaming_faults *faults,
                              coaming_ship **ship, coaming_error *error)
{
    load_texts texts = {.arrangement = text, .arrangement_size = size};
    return load(shown, &texts, options, faults, ship, error);
}

coaming_status coaming_record_load(const coaming_record *record, const char *path,
                                   coaming_faults *faults, coaming_ship **ship,
                                   coaming_error *error)
{
    coaming_load_options options = {NULL, 0, record->today, record->today};
    load_texts texts = {.log = record->known, .log_size = strlen(record->known)};
    return load(path, &texts, &options, faults, ship, error);
}
