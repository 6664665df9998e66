#include <getopt.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"

typedef struct {
    option_set bit;
    const char *name, *value, *help; /* value: NULL if it takes none */
} option_row;

static const option_row rows[] = {
    {OPT_FORMAT, "format", "WORD", NULL}, /* what the command offers: see format_help */
    {OPT_OUTPUT, "output", "FILE", "write to FILE, whole or not at all (also -o FILE)"},
    {OPT_LOG, "log", "LOG.xml", "count in a test log; may be given more than once"},
    {OPT_AS_OF, "as-of", "DATE", "what was known on DATE, YYYY-MM-DD (default: today)"},
    {OPT_CONDITION, "condition", "ID", "readiness condition (default: all shut that can be)"},
    {OPT_HAZARD, "hazard", "water|air|both", "which hazard (default: both)"},
    {OPT_LEVEL, "level", "LEVEL",
     "how high the water stands: equilibrium, where she settles (default if the ship has kg); "
     "still, the waterline at rest (default else); full, the top of its source; or Z m (Zft) above "
     "the baseline"},
    {OPT_ALL, "all", NULL, "every one"},
    {OPT_MEASURE, "measure", "WORD",
     "worth (default), volume, people or spaces; at equilibrium also freeboard or gm"},
    {OPT_SUMMED, "measure", "WORD", "worth (default), volume, people or spaces"},
    {OPT_TOP, "top", "N", "the first N only"},
    {OPT_FLOODED, "flooded", "A,B...", "spaces open to the sea; may be given more than once"},
    {OPT_ALL_BREACHES, "all-breaches", NULL,
     "every shell space and every pair of neighbours along the side in turn"},
    {OPT_SPREAD, "spread", NULL, "water goes on from them as the doors are, and she settles"},
    {OPT_DATE, "date", "DATE", "day of the test or repair (default: today)"},
    {OPT_METHOD, "method", "WORD",
     "chalk, hose, air, ultrasonic, light, smoke or visual (default: with --ship, by its kind)"},
    {OPT_RESULT, "result", "pass|fail", "of a test (the same as the word pass or fail)"},
    {OPT_GAP, "gap", "AT:LENGTH", "a gap in the print of that test; may be given again"},
    {OPT_SET, "set", "LENGTH",
     "permanent set of the gasket at that test, such as 3.5mm; without unit: in the ship's"},
    {OPT_HINGE_PLAY, "hinge-play", "LENGTH", "play of the hinge at that test, written alike"},
    {OPT_REPAIR, "repair", "WORD", "dogs, gasket, knife-edge, hinge or replaced"},
    {OPT_BY, "by", "WHO", "initials of who did it"},
    {OPT_NOTE, "note", "TEXT", "a remark"},
    {OPT_UNDO, "undo", NULL, "take back the latest entry of the closure"},
    {OPT_SHEET, "sheet", "FILE.csv", "all that is filled in on a sheet, or nothing"},
    {OPT_DATE_FORMAT, "date-format", "WORD",
     "how sheets write dates, beside 2026-09-30: D.M.Y, D/M/Y, M/D/Y or Y-M-D"},
    {OPT_SHIP, "ship", "SHIP.xml", "check against the ship; needed to begin a log"},
    {OPT_AGAIN, "again", NULL, "record also what stands last in the log already"},
    {OPT_WITHIN, "within", "DAYS", "also what falls due in so many days"},
    {OPT_BY_CONSEQUENCE, "by-consequence", NULL, "what its failure would cost decides the order"},
    {OPT_START, "start", "SPACE", "where the walk begins and ends (default: open deck)"},
    {OPT_INSIDE, "inside", NULL, "keep off the open deck"},
    {OPT_STANDING, "standing", "WORD,...",
     "one list, of those that stand so: failed, untested or passed; or all"},
    {OPT_BY_RISK, "by-risk", NULL, "greatest gain of a repair first, not greatest consequence"},
    {OPT_EXPLAIN, "explain", "CLOSURE", "how likely it leaks, step by step, and its importance"},
    {OPT_RISK, "risk", "WORD",
     "exact, sampled, or auto (default): exact if its tables fit into 64 MiB"},
    {OPT_SEED, "seed", "N", "of the samples (default: 1)"},
    {OPT_SAMPLES, "samples", "N", "how many, at least 100 (default: by --within)"},
    {OPT_ACCURACY, "within", "P%",
     "standard error wanted of the expected loss and of the ten greatest risks (default: 5%)"},
    {OPT_SHARE, "share", "K/N",
     "work out share K of N of the samples and write it as a part, in JSON"},
    {OPT_MERGE, "merge", NULL, "put the parts together that are named after the ship"},
    {OPT_HOURS, "hours", "H", "hours of work that there are"},
    {OPT_TABLE, "table", "WORD", "with csv: which list: spaces, closures, passages or tests"},
    {OPT_SOURCE, "source", "PLACE", "where it is already: a space, sea or weather"},
    {OPT_PROTECT, "protect", "B,C...",
     "spaces that are to stay clean; may be given more than once (default: the vital ones)"},
    {OPT_OVERLAY, "overlay", "WORD", "what is laid over: expose, rank, due or hold"},
    {OPT_CLOSURE, "closure", "CLOSURE", "with expose: the closure that fails"},
    {OPT_DECK, "deck", "D,E...", "only the plans of these decks; may be given more than once"},
    {OPT_PROFILE, "profile", NULL, "only the profile, or with --deck the profile too"},
    {OPT_WIDTH, "width", "MM", "of the page, 80 to 2000 (default: 297)"},
    {OPT_SINCE, "since", "DATE", "also what changed since DATE, YYYY-MM-DD"},
    {OPT_COMPACT, "compact", NULL, "ids in place of names, for small pages"},
    {OPT_IMPORT, "spaces", "LIST.csv", "the list of spaces"},
    {OPT_IMPORT, "closures", "LIST.csv", "the list of closures"},
    {OPT_IMPORT, "passages", "LIST.csv", "the list of passages, if there is one"},
    {OPT_IMPORT, "name", "NAME", "of the ship"},
    {OPT_IMPORT, "size", "LxBxD", "length, beam and depth, such as 58x11.2x6.4"},
    {OPT_IMPORT, "draft", "T", "at which she floats undamaged"},
    {OPT_IMPORT, "kg", "KG", "height of her centre of gravity, if it is known"},
    {OPT_IMPORT, "units", "m|ft", "of these numbers and of the lists (default: m)"},
    {OPT_IMPORT, "frames", "SPACING[:X0]",
     "frame spacing and x of frame 0 (default: 0); less than 0: frames count from forward"},
    {OPT_IMPORT, "deck", "NO:ID:Z[:NAME]",
     "a deck: its number in compartment numbers (may be empty), id, height; once for each deck"},
    {OPT_IMPORT, "number-frame", "fore|aft", "which end the frame of a number is (default: fore)"},
    {OPT_IMPORT, "map", "LIST.FIELD=COL",
     "which column holds a field, such as spaces.id='Comp. No'; none: the field is not read"},
    {0, NULL, NULL, NULL}};

static const struct {
    coaming_format format;
    const char *word, *meaning;
} formats[] = {{COAMING_TEXT, "text", "for people"},
               {COAMING_JSON, "json", "for programs"},
               {COAMING_CSV, "csv", "for spreadsheets"},
               {COAMING_ICAL, "ical", "for calendars"},
               {COAMING_GRAPHML, "graphml", "for graph programs"},
               {COAMING_DOT, "dot", "for Graphviz"},
               {COAMING_SVG, "svg", "for screens and paper"},
               {COAMING_HTML, "html", "for browsers and paper"}};
enum { FORMATS = sizeof formats / sizeof *formats };

/* "text or json": what a command offers. */
static void name_formats(const command *c, char *text, size_t size)
{
    int named = 0, last = 0;
    for (int i = 0; i < FORMATS; i++)
        if (c->formats & 1u << formats[i].format)
            last = i;
    *text = '\0';
    for (int i = 0; i < FORMATS; i++) {
        if (!(c->formats & 1u << formats[i].format))
            continue;
        size_t used = strlen(text);
        snprintf(text + used, size - used, "%s%s",
                 !named++    ? ""
                 : i == last ? " or "
                             : ", ",
                 formats[i].word);
    }
}

/* "text for people (default), json for programs" */
static void format_help(const command *c, char *text, size_t size)
{
    *text = '\0';
    for (int i = 0; i < FORMATS; i++) {
        if (!(c->formats & 1u << formats[i].format))
            continue;
        size_t used = strlen(text);
        snprintf(text + used, size - used, "%s%s %s%s", used ? ", " : "", formats[i].word,
                 formats[i].meaning, used ? "" : " (default)");
    }
}

/* What an option does, in lines that begin where the first does. */
static void put_wrapped(FILE *out, const char *text)
{
    enum { FROM = 27, COLUMNS = 80 };
    int at = FROM;
    for (const char *word = text; *word;) {
        int length = (int)strcspn(word, " ");
        if (at > FROM && at + 1 + length > COLUMNS) {
            fprintf(out, "\n%*s", FROM, "");
            at = FROM;
        } else if (word != text) {
            fputc(' ', out);
            at++;
        }
        fprintf(out, "%.*s", length, word);
        at += length;
        word += length + (word[length] == ' ');
    }
    fputc('\n', out);
}

void options_help(FILE *out, const command *c)
{
    char offered[160];
    format_help(c, offered, sizeof offered);
    for (const option_row *r = rows; r->bit; r++) {
        char left[40];
        if (!(c->takes & r->bit))
            continue;
        snprintf(left, sizeof left, "--%s%s%s", r->name, r->value ? "=" : "",
                 r->value ? r->value : "");
        fprintf(out, "  %-24s ", left);
        put_wrapped(out, r->bit == OPT_FORMAT ? offered : r->help);
    }
    fprintf(out, "  %-24s %s\n", "--help", "this text");
}

static bool take_format(options *o, const char *value)
{
    char offered[80];
    for (int i = 0; i < FORMATS; i++) {
        if (!strcmp(value, formats[i].word) && o->command->formats & 1u << formats[i].format) {
            o->format = formats[i].format;
            return true;
        }
    }
    name_formats(o->command, offered, sizeof offered);
    complain("--format '%s' is not what 'coaming %s' writes; it must be %s", value,
             o->command->name, offered);
    return false;
}

/* Without --format. */
static coaming_format first_format(const command *c)
{
    for (int i = 0; i < FORMATS; i++)
        if (c->formats & 1u << formats[i].format)
            return formats[i].format;
    return COAMING_TEXT;
}

enum { ROWS = sizeof rows / sizeof *rows, FIRST = 1000 };

static void refuse_word(const options *o, char **argv, int result)
{
    char letter[] = {'-', (char)optopt, '\0'};
    bool one_letter = optopt > 0 && optopt < FIRST;
    const char *word = one_letter ? letter : argv[optind - 1];
    if (result == ':')
        complain("%s needs a value; see 'coaming %s --help'", word, o->command->name);
    else
        complain("'coaming %s' has no option '%s'; see 'coaming %s --help'", o->command->name, word,
                 o->command->name);
}

static bool prepare(options *o, int argc)
{
    const char ***const lists[] = {&o->logs,  &o->flooded, &o->protect, &o->gaps,
                                   &o->decks, &o->maps,    &o->drawn};
    bool good = true;
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
        *lists[i] = calloc((size_t)argc, sizeof **lists[i]);
        good = good && *lists[i];
    }
    o->within = -1;
    o->today = o->as_of = o->date = coaming_date_today();
    o->query = coaming_query_default();
    o->format = first_format(o->command);
    o->table = -1;
    o->import.kg = o->import.draft = NAN;
    return good;
}

/* What stands after the options: the ship's file, unless the command takes none, and arguments. */
static int take_words(options *o, int argc, char **argv)
{
    int at = optind;
    if (!(o->command->takes & OPT_NO_SHIP)) {
        if (at >= argc) {
            complain("the file is missing (%s); see 'coaming %s --help'", o->command->arguments,
                     o->command->name);
            return EXIT_USAGE;
        }
        o->ship = argv[at++];
    }
    o->arguments = argv + at;
    o->argument_count = argc - at;
    if (o->argument_count && !(o->command->takes & (OPT_ALL | OPT_WORDS))) {
        complain("'%s' is one word too many; see 'coaming %s --help'", o->arguments[0],
                 o->command->name);
        return EXIT_USAGE;
    }
    return -1;
}

int options_parse(options *o, int argc, char **argv)
{
    struct option list[ROWS];
    int count = 0;
    for (int i = 0; rows[i].bit; i++)
        if (o->command->takes & rows[i].bit)
            list[count++] = (struct option){
                rows[i].name, rows[i].value ? required_argument : no_argument, NULL, FIRST + i};
    list[count] = (struct option){NULL, 0, NULL, 0};
    if (!prepare(o, argc)) {
        complain("out of memory");
        return EXIT_MACHINE;
    }
    opterr = 0;
    for (int result; (result = getopt_long(argc, argv, ":o:", list, NULL)) != -1;) {
        if (result == '?' || result == ':') {
            refuse_word(o, argv, result);
            return EXIT_USAGE;
        }
        const option_row *r = result == 'o' ? NULL : &rows[result - FIRST];
        o->given |= r ? r->bit : OPT_OUTPUT;
        bool good = r && r->bit == OPT_FORMAT
                        ? take_format(o, optarg)
                        : option_value(o, r ? r->bit : OPT_OUTPUT, r ? r->name : "output", optarg);
        if (!good)
            return EXIT_USAGE;
    }
    return take_words(o, argc, argv);
}
