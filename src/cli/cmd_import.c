#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "commands.h"

const char help_import[] =
    "\nMakes an arrangement of a list of spaces and a list of closures, each a sheet of\n"
    "comma separated values with a line of headings. Spaces without a box get one\n"
    "from their numbers (deck-frame-side-use), which is marked as derived. Whatever\n"
    "could not be placed or read is told with its line, and so is all that was taken\n"
    "or changed.\n"
    "Exit status 1 if a row was not placed, or without all that it says. --spaces,\n"
    "--closures, --name, --size and --draft are needed.\n";

/* Cuts *text at the next of these signs; NULL at the end. */
static char *next_part(char **text, char sign)
{
    char *part = *text, *end = part ? strchr(part, sign) : NULL;
    if (end)
        *end = '\0';
    *text = end ? end + 1 : NULL;
    return part;
}

/* NUMBER:ID:Z[:NAME]; the name may have colons of its own. */
static bool read_deck(char *words, coaming_import_deck *deck)
{
    char *rest = words;
    deck->number = next_part(&rest, ':');
    deck->id = next_part(&rest, ':');
    const char *height = next_part(&rest, ':');
    deck->name = rest;
    return height && *deck->id && parse_number(height, "", &deck->z);
}

/* LIST.FIELD=COLUMN */
static bool read_map(char *words, coaming_import_map *map)
{
    char *column = words, *field = next_part(&column, '=');
    const char *list = next_part(&field, '.');
    map->field = field;
    map->column = column;
    for (int l = 0; l < COAMING_LISTS && field && column; l++) {
        map->list = (coaming_list)l;
        if (!strcmp(list, coaming_list_word(map->list)))
            return true;
    }
    return false;
}

/* The words of --deck and --map taken apart; the texts lie in one piece, cut up. */
typedef struct {
    char *texts;
    coaming_import_deck *decks;
    coaming_import_map *maps;
} words;

static void words_free(words *w)
{
    free(w->texts);
    free(w->decks);
    free(w->maps);
}

static bool words_new(words *w, const options *o)
{
    size_t size = 1;
    for (size_t i = 0; i < o->decks.count; i++)
        size += strlen(o->decks.texts[i]) + 1;
    for (size_t i = 0; i < o->maps.count; i++)
        size += strlen(o->maps.texts[i]) + 1;
    w->texts = malloc(size);
    w->decks = calloc(o->decks.count + 1, sizeof *w->decks);
    w->maps = calloc(o->maps.count + 1, sizeof *w->maps);
    return w->texts && w->decks && w->maps;
}

/* -1 to go on, else the exit status. */
static int read_words(options *o, words *w)
{
    if (!words_new(w, o)) {
        return complain_of_memory();
    }
    char *at = w->texts;
    for (size_t i = 0; i < o->decks.count + o->maps.count; i++) {
        bool deck = i < o->decks.count;
        const char *word = deck ? o->decks.texts[i] : o->maps.texts[i - o->decks.count];
        char *copy = memcpy(at, word, strlen(word) + 1);
        at += strlen(word) + 1;
        if (deck ? !read_deck(copy, &w->decks[i]) : !read_map(copy, &w->maps[i - o->decks.count])) {
            refuse(deck ? "deck" : "map", word,
                   deck ? "a number (or none), an id and a height, such as 2:lower:3.7 or "
                          "2:lower:3.7:Lower deck"
                        : "a list and a field, and which column it is, such as "
                          "spaces.id='Compartment no.'");
            return EXIT_USAGE;
        }
    }
    o->import.decks = w->decks;
    o->import.deck_count = o->decks.count;
    o->import.maps = w->maps;
    o->import.map_count = o->maps.count;
    return -1;
}

static int missing(const options *o)
{
    const coaming_import_options *i = &o->import;
    const char *lacks = !i->spaces        ? "spaces"
                        : !i->closures    ? "closures"
                        : !i->name        ? "name"
                        : !o->sized       ? "size"
                        : isnan(i->draft) ? "draft"
                                          : NULL;
    if (!lacks)
        return -1;
    complain("--%s is missing; see 'coaming import --help'", lacks);
    return EXIT_USAGE;
}

static void tell_faults(const coaming_faults *faults)
{
    progress_stop();
    for (size_t i = 0; i < coaming_faults_count(faults); i++)
        coaming_print_fault(stderr, coaming_faults_get(faults, i));
}

/* What the arrangement does not have of the lists. */
static void tell_lost(const coaming_import_counts *c)
{
    size_t links = 0, spoilt = 0;
    for (int l = 0; l < COAMING_LISTS_READ; l++)
        spoilt += c->spoilt[l];
    for (int l = COAMING_LIST_CLOSURES; l <= COAMING_LIST_PASSAGES; l++)
        links += c->rows[l] - c->placed[l];
    if (spoilt)
        complain("%zu row%s placed without something that could not be read, told above", spoilt,
                 spoilt == 1 ? " was" : "s were");
    if (links)
        complain(
            "%zu closure%s or passage%s not placed: the arrangement has an unbroken bulkhead or "
            "deck there",
            links, links == 1 ? "" : "s", links == 1 ? " was" : "s were");
}

/* How much was placed, and what was taken where the lists say nothing. */
static void tell_counts(const coaming_import *import)
{
    const coaming_import_counts *c = coaming_import_get_counts(import);
    char taken[1000] = "";
    char plant[120] = "";
    for (int l = COAMING_LIST_PUMPS; l <= COAMING_LIST_FANS; l++)
        if (c->rows[l])
            snprintf(plant + strlen(plant), sizeof plant - strlen(plant), ", %zu of %zu %s",
                     c->placed[l], c->rows[l], coaming_list_word((coaming_list)l));
    complain("placed %zu of %zu spaces (%zu with boxes worked out from numbers), %zu of %zu "
             "closures, %zu of %zu passages%s",
             c->placed[COAMING_LIST_SPACES], c->rows[COAMING_LIST_SPACES], c->derived,
             c->placed[COAMING_LIST_CLOSURES], c->rows[COAMING_LIST_CLOSURES],
             c->placed[COAMING_LIST_PASSAGES], c->rows[COAMING_LIST_PASSAGES], plant);
    tell_lost(c);
    for (int t = 0; t < COAMING_TAKEN; t++) {
        size_t used = strlen(taken);
        if (c->taken[t])
            snprintf(taken + used, sizeof taken - used, "%s%s %zu", used ? ", " : "",
                     coaming_import_taken((coaming_import_default)t), c->taken[t]);
    }
    if (*taken)
        complain("taken where the lists say nothing: %s", taken);
    if (c->warnings)
        complain("the arrangement has %zu warning%s; 'coaming check' shows %s", c->warnings,
                 c->warnings == 1 ? "" : "s", c->warnings == 1 ? "it" : "them");
}

static int write_out(const options *o, const coaming_import *import)
{
    output out;
    coaming_error error;
    int result = output_open(&out, o);
    if (result >= 0)
        return result;
    coaming_import_write(import, out.stream);
    result = output_close(&out, COAMING_OK, &error);
    if (result != EXIT_DONE)
        return result;
    tell_counts(import);
    return coaming_import_whole(import) ? EXIT_DONE : EXIT_FOUND;
}

static int import_lists(options *o, coaming_faults *faults)
{
    coaming_import *import = NULL;
    coaming_error error;
    o->import.dates = o->dates;
    o->import.latest = o->as_of > o->today ? o->as_of : o->today;
    coaming_status status = coaming_import_new(&o->import, faults, &import, &error);
    tell_faults(faults);
    int result;
    if (status == COAMING_OK)
        result = write_out(o, import);
    else if (status == COAMING_INPUT && coaming_faults_error_count(faults))
        result = EXIT_INPUT; /* which has been told */
    else
        result = complain_of(&error);
    coaming_import_free(import);
    return result;
}

int cmd_import(options *o)
{
    words w = {NULL, NULL, NULL};
    int result = missing(o);
    if (result < 0)
        result = read_words(o, &w);
    coaming_faults *faults = result < 0 ? coaming_faults_new() : NULL;
    if (result < 0)
        result = faults ? import_lists(o, faults) : complain_of_memory();
    coaming_faults_free(faults);
    words_free(&w);
    return result;
}
