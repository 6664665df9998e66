#include "read/import.h"

#include <math.h>
#include <string.h>

#include "base/error.h"
#include "base/file.h"
#include "read/element.h"
#include "read/parts.h"

/* Options. */

static bool is_id(const char *text)
{
    char why[VALUES_WHY];
    return values_id(text, why) && text_is_xml(text);
}

static bool is_label(const char *text)
{
    char why[VALUES_WHY];
    return !text_is_blank(text) && text_is_xml(text) && values_name(text, why);
}

/* A number in the unit of the lists, as the loader will take it. */
static bool is_length(double value, double unit, double least)
{
    return isfinite(value) && value * unit >= least && fabs(value * unit) <= 1e6;
}

static coaming_status check_decks(const coaming_import_options *o, double unit,
                                  coaming_error *error)
{
    if (o->deck_count > COAMING_IMPORT_DECKS_MOST) /* each is compared with each */
        return error_set(error, COAMING_USAGE, "%zu decks are too many for an import; at most %d",
                         o->deck_count, COAMING_IMPORT_DECKS_MOST);
    for (size_t i = 0; i < o->deck_count; i++) {
        const coaming_import_deck *d = &o->decks[i];
        if (!is_id(d->id) || (d->name && !is_label(d->name)))
            return error_set(error, COAMING_USAGE,
                             "deck '%s': an id is one word without blanks and commas, and a name "
                             "is not empty",
                             BRIEF(d->id));
        if (!is_length(d->z, unit, -INFINITY))
            return error_set(error, COAMING_USAGE, "deck '%s': its height is not a length",
                             BRIEF(d->id));
        for (size_t j = 0; j < i; j++) {
            const coaming_import_deck *e = &o->decks[j];
            const char *what = !strcmp(d->id, e->id)                         ? "id"
                               : *d->number && !strcmp(d->number, e->number) ? "number"
                               : d->z == e->z                                ? "height"
                                                                             : NULL;
            if (what)
                return error_set(error, COAMING_USAGE, "decks '%s' and '%s' have one %s",
                                 BRIEF(e->id), BRIEF(d->id), what);
        }
    }
    return COAMING_OK;
}

static coaming_status check_maps(const coaming_import_options *o, coaming_error *error)
{
    for (size_t i = 0; i < o->map_count; i++) {
        const coaming_import_map *map = &o->maps[i];
        bool known = false;
        if (map->list == COAMING_LIST_TESTS)
            return error_set(error, COAMING_USAGE, "tests are not read from a list");
        for (int f = 0; f < field_count(map->list); f++)
            known = known || !strcmp(map->field, field_heading(map->list, f));
        if (!known)
            return error_set(error, COAMING_USAGE, "%s have no field '%s'",
                             coaming_list_word(map->list), BRIEF(map->field));
    }
    return COAMING_OK;
}

/* The file of a list; NULL: there is no such list. */
static const char *path_of(const coaming_import_options *o, int list)
{
    const char *const paths[] = {o->spaces, o->closures, o->passages, o->pumps, o->fans};
    return paths[list];
}

/* COAMING_USAGE where they cannot be right. */
static coaming_status check_options(const coaming_import_options *o, coaming_error *error)
{
    const double unit = o->feet ? 0.3048 : 1, least = 1e-3;
    const double sizes[] = {o->length, o->beam, o->depth, o->draft};
    int standard = 0;
    for (int k = 0; k < COAMING_LISTS_READ; k++)
        standard += path_of(o, k) && !strcmp(path_of(o, k), "-");
    if (standard > 1)
        return error_set(error, COAMING_USAGE, "standard input ('-') can be read only once");
    if (!o->spaces || !o->closures)
        return error_set(error, COAMING_USAGE, "a list of spaces and one of closures are needed");
    if (!o->name || !is_label(o->name))
        return error_set(error, COAMING_USAGE, "the ship's name is empty or no UTF-8 text");
    for (int i = 0; i < 4; i++)
        if (!is_length(sizes[i], unit, least))
            return error_set(error, COAMING_USAGE,
                             "length, beam, depth and draft must be lengths of 0.001 m or more");
    if (o->draft > o->depth)
        return error_set(error, COAMING_USAGE, "the draft is greater than the depth");
    if (!isnan(o->kg) && !is_length(o->kg, unit, -INFINITY))
        return error_set(error, COAMING_USAGE, "kg is not a length");
    if (o->framed && (!is_length(fabs(o->frame_spacing), unit, least) ||
                      !is_length(o->frame_zero, unit, -INFINITY)))
        return error_set(error, COAMING_USAGE,
                         "the frame spacing must be 0.001 m or more, and "
                         "frame 0 lie within 1000000 m");
    coaming_status status = check_decks(o, unit, error);
    return status == COAMING_OK ? check_maps(o, error) : status;
}

/* Making. */

static coaming_status open_lists(coaming_import *m, const coaming_import_options *o,
                                 coaming_error *error)
{
    for (int k = 0; k < COAMING_LISTS_READ; k++) {
        import_list *l = &m->lists[k];
        l->kind = (coaming_list)k;
        l->path = path_of(o, k);
        l->shown = l->path ? file_shown(l->path) : "";
        l->faults = coaming_faults_new();
        if (!l->faults)
            return error_memory(error);
    }
    return COAMING_OK;
}

/* All sheets, so that the faults of all are told at once. */
static coaming_status read_sheets(coaming_import *m, coaming_error *error)
{
    size_t errors = 0;
    for (int k = 0; k < COAMING_LISTS_READ; k++) {
        import_list *l = &m->lists[k];
        if (!l->path)
            continue;
        coaming_status status = csv_table_read(l->path, l->faults, &l->table, error);
        if (status == COAMING_OK)
            import_columns(m, l);
        else if (status != COAMING_INPUT)
            return status;
        errors += coaming_faults_error_count(l->faults);
    }
    return errors ? error_set(error, COAMING_INPUT, "%zu error%s in the lists", errors,
                              errors == 1 ? "" : "s")
                  : COAMING_OK;
}

static coaming_status read_lists(coaming_import *m, coaming_error *error)
{
    for (int k = 0; k < COAMING_LISTS_READ; k++)
        if (m->lists[k].table)
            import_rows(m, &m->lists[k]);
    if (!m->memory_lost)
        import_spaces(m);
    if (!m->memory_lost)
        import_names(m);
    if (!m->memory_lost)
        import_links(m);
    if (!m->memory_lost)
        import_pumps(m);
    if (m->memory_lost)
        return error_memory(error);
    const import_list *l = &m->lists[COAMING_LIST_SPACES];
    if (m->counts.placed[COAMING_LIST_SPACES])
        return COAMING_OK;
    faults_add(l->faults, COAMING_SEVERITY_ERROR, l->shown, 0, "spaces",
               l->count ? "not one space could be placed" : "there is no row under the headings");
    return error_set(error, COAMING_INPUT, "%s: no space could be placed", l->shown);
}

/* What has been made is loaded: only what loads is given out. */
static coaming_status load_back(coaming_import *m, coaming_error *error)
{
    coaming_load_options how = {NULL, 0, m->options->latest, m->options->latest};
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *ship = NULL;
    if (!faults)
        return error_memory(error);
    coaming_status status =
        ship_load_text(m->text, m->size, "the arrangement", &how, faults, &ship, error);
    m->counts.warnings = coaming_faults_count(faults);
    for (size_t i = 0; status == COAMING_INPUT && i < coaming_faults_count(faults); i++) {
        const coaming_fault *f = coaming_faults_get(faults, i);
        if (f->severity == COAMING_SEVERITY_ERROR) {
            status = error_set(error, COAMING_INTERNAL,
                               "the arrangement does not load (line %ld: %.100s: %.200s)", f->line,
                               f->object, f->message);
        }
    }
    coaming_ship_free(ship);
    coaming_faults_free(faults);
    return status;
}

static coaming_status hand_on_faults(const coaming_import *m, coaming_faults *faults,
                                     coaming_error *error)
{
    for (int k = 0; k < COAMING_LISTS_READ; k++) {
        coaming_faults *own = m->lists[k].faults;
        if (!own)
            continue;
        faults_sort_from(own, 0);
        for (size_t i = 0; i < coaming_faults_count(own); i++) {
            const coaming_fault *f = coaming_faults_get(own, i);
            faults_add(faults, f->severity, f->file, f->line, f->object, "%s", f->message);
        }
        if (faults_lost(own) || faults_lost(faults))
            return error_memory(error);
    }
    return COAMING_OK;
}

static coaming_status make(coaming_import *m, const coaming_import_options *o,
                           coaming_faults *faults, coaming_error *error)
{
    m->options = o;
    m->unit = o->feet ? 0.3048 : 1;
    coaming_status status = open_lists(m, o, error);
    if (status == COAMING_OK)
        status = read_sheets(m, error);
    if (status == COAMING_OK)
        status = read_lists(m, error);
    if (status == COAMING_OK)
        status = import_compose(m, error);
    if (status == COAMING_OK)
        status = load_back(m, error);
    coaming_status told = hand_on_faults(m, faults, error);
    m->options = NULL;
    return told == COAMING_OK ? status : told;
}

coaming_import_options coaming_import_options_default(void)
{
    return (coaming_import_options){
        .kg = NAN, .dates = COAMING_DATES_ISO, .latest = coaming_date_today()};
}

coaming_status coaming_import_new(const coaming_import_options *options, coaming_faults *faults,
                                  coaming_import **import, coaming_error *error)
{
    coaming_status status = check_options(options, error);
    if (status != COAMING_OK)
        return status;
    coaming_import *m = memory_new(1, sizeof *m);
    if (!m)
        return error_memory(error);
    status = make(m, options, faults, error);
    if (status == COAMING_OK)
        *import = m;
    else
        coaming_import_free(m);
    return status;
}

void coaming_import_free(coaming_import *import)
{
    if (!import)
        return;
    for (int k = 0; k < COAMING_LISTS_READ; k++) {
        csv_table_free(import->lists[k].table);
        coaming_faults_free(import->lists[k].faults);
    }
    arena_free(&import->memory);
    memory_free(import);
}

bool coaming_import_whole(const coaming_import *import)
{
    for (int k = 0; k < COAMING_LISTS_READ; k++)
        if (import->counts.placed[k] != import->counts.rows[k] || import->counts.spoilt[k] ||
            import->lists[k].tests_lost)
            return false;
    return true;
}

const coaming_import_counts *coaming_import_get_counts(const coaming_import *import)
{
    return &import->counts;
}

const char *coaming_import_taken(coaming_import_default taken)
{
#define WORDS(code, words) words,
    static const char *const list[] = {COAMING_IMPORT_DEFAULTS(WORDS)};
#undef WORDS
    return list[taken];
}

void coaming_import_write(const coaming_import *import, FILE *out)
{
    fwrite(import->text, 1, import->size, out);
}
