#include <stdlib.h>
#include <string.h>

#include "cli.h"

bool is_standard_input(const char *path)
{
    return !strcmp(path, "-");
}

bool reads_standard_input(const options *o)
{
    bool reads = is_standard_input(o->ship);
    for (size_t i = 0; i < o->logs.count; i++)
        reads = reads || is_standard_input(o->logs.texts[i]);
    return reads;
}

const char *input_shown(const char *path)
{
    return is_standard_input(path) ? "standard input" : path;
}

static int load_ship(const options *o, coaming_date as_of, bool quiet, coaming_ship **ship)
{
    coaming_faults *faults = coaming_faults_new();
    coaming_error error = {COAMING_OK, ""};
    if (!faults) {
        return complain_of_memory();
    }
    coaming_load_options how = {o->logs.texts, o->logs.count, as_of, o->today};
    coaming_status status = coaming_ship_load(o->ship, &how, faults, ship, &error);
    size_t count = coaming_faults_count(faults), errors = coaming_faults_error_count(faults);
    int result = -1;
    if (errors && status == COAMING_INPUT) {
        progress_stop();
        for (size_t i = 0; i < count; i++)
            if (coaming_faults_get(faults, i)->severity == COAMING_SEVERITY_ERROR)
                coaming_print_fault(stderr, coaming_faults_get(faults, i));
        result = EXIT_INPUT;
    } else if (status != COAMING_OK) {
        result = complain_of(&error);
    } else if (count && !quiet) {
        complain("%s: %zu warning%s; 'coaming check' shows %s", input_shown(o->ship), count,
                 count == 1 ? "" : "s", count == 1 ? "it" : "them");
    }
    coaming_faults_free(faults);
    return result;
}

/* Are lists given that name nothing? Then that is complained of. */
static bool empty(const text_list *lists, const id_list *ids, const char *option, const char *what)
{
    bool none = lists->count && !ids->count;
    if (none)
        complain("--%s names no %s", option, what);
    return none;
}

/* What is to happen at a time of its own is not seen now. */
static void drop_timed(id_list *list)
{
    size_t kept = 0;
    for (size_t i = 0; i < list->count; i++)
        if (!strchr(list->ids[i], '@'))
            list->ids[kept++] = list->ids[i];
    list->count = kept;
}

/* Puts what is seen over condition and log. */
static int see(const options *o, coaming_ship *ship)
{
    id_list lists[COAMING_SEEN_KINDS] = {{NULL, NULL, 0}};
    coaming_seen seen = {{NULL}, {0}};
    coaming_error error;
    int result = -1;
    for (int k = 0; k < COAMING_SEEN_KINDS && result < 0; k++) {
        if (!id_list_make(&o->seen[k], &lists[k]))
            result = complain_of_memory();
        else if (empty(&o->seen[k], &lists[k], coaming_seen_word((coaming_seen_kind)k), "closure"))
            result = EXIT_USAGE;
        if (o->command->takes & OPT_TIMED)
            drop_timed(&lists[k]);
        seen.closures[k] = lists[k].ids;
        seen.count[k] = lists[k].count;
    }
    if (result < 0 && coaming_ship_see(ship, &seen, &error) != COAMING_OK)
        result = complain_of(&error);
    for (int k = 0; k < COAMING_SEEN_KINDS; k++)
        id_list_free(&lists[k]);
    return result;
}

int load_asked(options *o, coaming_ship **ship)
{
    coaming_error error;
    int result = load_ship(o, o->as_of, false, ship);
    if (result < 0 && o->condition &&
        coaming_find_condition(*ship, o->condition, &o->query.condition, &error) != COAMING_OK)
        return complain_of(&error);
    if (result < 0 && o->loading &&
        coaming_find_loading(*ship, o->loading, &o->query.loading, &error) != COAMING_OK)
        return complain_of(&error);
    if (result < 0 && o->given & (OPT_SEEN | OPT_TIMED))
        result = see(o, *ship);
    if (result < 0 && !(o->given & OPT_LEVEL) && coaming_ship_floats(*ship, o->query.loading))
        o->query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    return result;
}

int load_earlier(const options *o, coaming_date as_of, coaming_ship **ship)
{
    return load_ship(o, as_of, true, ship);
}

int find_space(const coaming_ship *ship, const char *id, int *space)
{
    coaming_error error;
    return coaming_find_space(ship, id, space, &error) == COAMING_OK ? -1 : complain_of(&error);
}

int find_place(const coaming_ship *ship, const char *id, coaming_place *place)
{
    if (!strcmp(id, "sea"))
        *place = COAMING_SEA;
    else if (!strcmp(id, "weather"))
        *place = COAMING_WEATHER;
    else
        return find_space(ship, id, place);
    return -1;
}

/* Is the one at `count` one of those before it? */
static bool among(const int *list, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (list[i] == list[count])
            return true;
    return false;
}

/* How one of a list is looked up: -1, else the exit status with the error told. */
typedef int find_one(const coaming_ship *ship, const char *id, int *found);

static int find_listed(const coaming_ship *ship, const char *option, const text_list *lists,
                       find_one *find, int **found, size_t *count)
{
    id_list ids;
    int result = -1;
    *found = NULL;
    if (!id_list_make(lists, &ids) || !(*found = calloc(ids.count + 1, sizeof **found)))
        result = complain_of_memory();
    for (size_t i = 0; i < ids.count && *found && result < 0; i++) {
        result = find(ship, ids.ids[i], &(*found)[*count]);
        if (result < 0 && !among(*found, *count))
            ++*count;
    }
    if (result < 0 && option && empty(lists, &ids, option, find == find_space ? "space" : "place"))
        result = EXIT_USAGE;
    id_list_free(&ids);
    return result;
}

int find_spaces(const coaming_ship *ship, const char *option, const text_list *lists, int **spaces,
                size_t *count)
{
    return find_listed(ship, option, lists, find_space, spaces, count);
}

int find_places(const coaming_ship *ship, const char *option, const text_list *lists,
                coaming_place **places, size_t *count)
{
    return find_listed(ship, option, lists, find_place, places, count);
}

int find_closures(const options *o, const coaming_ship *ship, int **closures, size_t *count)
{
    coaming_error error;
    size_t most = (size_t)o->argument_count;
    *closures = calloc(most ? most : 1, sizeof **closures);
    *count = 0;
    if (!*closures) {
        return complain_of_memory();
    }
    int result = -1;
    for (size_t i = 0; i < most; i++) {
        if (coaming_find_closure(ship, o->arguments[i], &(*closures)[*count], &error) != COAMING_OK)
            result = complain_of(&error);
        else if (!among(*closures, *count))
            ++*count;
    }
    return result;
}
