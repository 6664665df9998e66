#include "complete.h"

#include <stdlib.h>
#include <string.h>

#include "commands.h"
#include "options.h"

/* The command line up to the cursor. */
typedef struct {
    FILE *out;
    const command *command;
    const char *typed;         /* the word at the cursor, or what of it is to be completed */
    const char *before;        /* the same word from its beginning */
    const option_row *pending; /* its value is at the cursor; NULL: none is */
    const char *file;          /* the ship or log; NULL: still to come */
    const char *ship;          /* of --ship; NULL: not given */
    option_set given;
    size_t behind; /* words between the file and the cursor */
    bool ended;    /* a -- stands before the cursor */
} line;

static const completion nothing = {.words = NULL};

static bool begins(const char *text, const char *with)
{
    return !strncmp(text, with, strlen(with));
}

/* Signs that would end a line of the answer, do something to a terminal or not be seen on it: a word
 * with such is not offered, for the shell needs it as it is. Nor is any when out of memory. */
static bool deceives(const char *text)
{
    char *shown = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&shown, &size);
    if (out)
        coaming_print_clean(out, text);
    bool same = out && !fclose(out) && !strcmp(shown, text);
    free(shown);
    return !same;
}

static void offer(const line *l, const char *word, const char *ending, const char *meaning)
{
    if (!begins(word, l->typed) || deceives(word))
        return;
    fprintf(l->out, "%.*s%s%s%s%s\n", (int)(l->typed - l->before), l->before, word, ending,
            meaning ? "\t" : "", meaning ? meaning : "");
}

/* Is the word one of the comma list that ends at `end`? */
static bool listed(const char *list, const char *end, const char *word)
{
    while (list < end) {
        size_t length = strcspn(list, ",");
        if (length == strlen(word) && !strncmp(list, word, length))
            return true;
        list += length + 1;
    }
    return false;
}

typedef struct {
    const line *l;
    const char *list; /* where the comma list at the cursor begins; NULL: it is none */
    char **found;     /* kept to be put in order, else offered at once; owned */
    size_t count, room;
    bool kept;
} taker;

static void take_id(const char *id, void *data)
{
    taker *t = data;
    if (t->list && listed(t->list, t->l->typed, id))
        return;
    if (!t->kept) {
        offer(t->l, id, "", NULL);
        return;
    }
    if (t->count == t->room) {
        size_t room = t->room ? 2 * t->room : 256;
        char **more = realloc(t->found, room * sizeof *more);
        if (!more)
            return; /* fewer are offered */
        t->found = more;
        t->room = room;
    }
    t->found[t->count] = strdup(id);
    t->count += t->found[t->count] != NULL;
}

static int by_text(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* A path as the shell would have it: of ~/ it makes the home folder, which nobody else does here. */
static void scan(const char *path, coaming_ids which, taker *t)
{
    coaming_error error;
    const char *home = begins(path, "~/") ? getenv("HOME") : NULL;
    size_t size = strlen(path) + (home ? strlen(home) : 0) + 1;
    char *whole = malloc(size);
    if (whole) {
        snprintf(whole, size, "%s%s", home ? home : "", home ? path + 1 : path);
        coaming_ids_scan(whole, which, take_id, t, &error);
    }
    free(whole);
}

/* Those of a log stand in it as often as they were tested: each once, in order. */
static void offer_ids(const line *l, coaming_ids which, const char *list)
{
    taker t = {.l = l, .list = list};
    const char *path = l->file;
    if (l->ship) { /* beside a log */
        which = which == COAMING_IDS_LOGGED ? COAMING_IDS_CLOSURES : which;
        path = l->ship;
    }
    t.kept = which == COAMING_IDS_LOGGED;
    if (path)
        scan(path, which, &t);
    if (t.count)
        qsort(t.found, t.count, sizeof *t.found, by_text);
    for (size_t i = 0; i < t.count; i++)
        if (!i || strcmp(t.found[i], t.found[i - 1]) != 0)
            offer(l, t.found[i], "", NULL);
    for (size_t i = 0; i < t.count; i++)
        free(t.found[i]);
    free(t.found);
}

static void offer_files(const line *l, const char *ending)
{
    fprintf(l->out, "files%s%s\n%.*s\n", *ending ? " " : "", ending, (int)(l->typed - l->before),
            l->before);
}

/* A value: of a comma list what stands behind its last comma. */
static void offer_value(line *l, const completion *by)
{
    const char *list = by->listed ? l->typed : NULL;
    const char *comma = list ? strrchr(list, ',') : NULL;
    if (by->needs & ~l->given)
        by = &nothing;
    if (by->files) {
        offer_files(l, by->files);
        return;
    }
    fputs(by->listed ? "part\n" : "words\n", l->out);
    if (comma)
        l->typed = comma + 1;
    const char *word;
    for (int code = by->from; by->words && (word = by->words(l->command, code)); code++)
        if (!comma || (!listed(list, l->typed, word) && (!by->whole || strcmp(word, by->whole))))
            offer(l, word, "", NULL);
    if (by->ids != COAMING_IDS_NONE)
        offer_ids(l, by->ids, comma ? list : NULL);
}

static void offer_options(const line *l)
{
    fputs("words\n", l->out);
    for (const option_row *r = option_rows; r->name; r++) {
        char name[40], meaning[160];
        if (!(l->command->takes & r->bit))
            continue;
        snprintf(name, sizeof name, "--%s", r->name);
        format_help(l->command, meaning, sizeof meaning);
        offer(l, name, r->value ? "=" : "", *r->help ? r->help : meaning);
    }
    offer(l, "--help", "", "this text");
}

static void offer_commands(const line *l)
{
    for (const command *c = commands; c->name; c++)
        offer(l, c->name, "", c->purpose);
}

/* An option before the cursor, with its value or with that still to come. */
static void pass_option(line *l, const char *word)
{
    size_t length = strcspn(word, "=");
    const option_row *r = !strcmp(word, "-o")  ? option_find(l->command, "output", strlen("output"))
                          : begins(word, "--") ? option_find(l->command, word + 2, length - 2)
                                               : NULL;
    if (!r)
        return;
    l->given |= r->bit;
    if (r->value && !word[length])
        l->pending = r;
    else if (r->bit == OPT_SHIP)
        l->ship = word + length + 1;
}

static void pass(line *l, const char *word)
{
    if (l->pending) {
        if (l->pending->bit == OPT_SHIP)
            l->ship = word;
        l->pending = NULL;
    } else if (!l->ended && !strcmp(word, "--")) {
        l->ended = true;
    } else if (!l->ended && word[0] == '-' && word[1]) {
        pass_option(l, word);
    } else if (l->file || l->command->takes & OPT_NO_SHIP) {
        l->behind++;
    } else {
        l->file = word;
    }
}

static void offer_behind(line *l)
{
    static const completion ships = {.files = ".xml"};
    const completion *by = l->behind ? l->command->later : l->command->first;
    if (l->command->takes & OPT_NO_SHIP)
        by = NULL;
    else if (!l->file)
        by = &ships;
    offer_value(l, by ? by : &nothing);
}

static void complete_at(line *l)
{
    const char *equals = strchr(l->typed, '=');
    if (l->pending) {
        offer_value(l, &l->pending->by);
    } else if (l->ended || *l->typed != '-') {
        offer_behind(l);
    } else if (begins(l->typed, "--") && equals) {
        const option_row *r =
            option_find(l->command, l->typed + 2, (size_t)(equals - l->typed) - 2);
        l->typed = equals + 1;
        offer_value(l, r && r->value ? &r->by : &nothing);
    } else {
        offer_options(l);
    }
}

void complete(FILE *out, int count, const char *const *words)
{
    const char *typed = count ? words[count - 1] : "";
    line l = {.out = out, .typed = typed, .before = typed};
    if (count > 1)
        l.command = command_find(words[0]);
    if (l.command) {
        for (int i = 1; i + 1 < count; i++)
            pass(&l, words[i]);
        complete_at(&l);
        return;
    }
    fputs("words\n", out);
    if (count <= 1 || (count == 2 && !strcmp(words[0], "help")))
        offer_commands(&l);
    if (count == 2 && !strcmp(words[0], "--version"))
        offer(&l, "--verbose", "", "and the libraries in it");
    if (count <= 1) {
        offer(&l, "help", "", "help for a command");
        offer(&l, "--help", "", "what there is");
        offer(&l, "--version", "", "which version this is");
    }
}
