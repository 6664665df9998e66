#include <errno.h>
#include <getopt.h>
#include <limits.h>
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
    {OPT_DATE, "date", "DATE", "day of the test or repair (default: today)"},
    {OPT_METHOD, "method", "WORD",
     "chalk (default), hose, air, ultrasonic, light, smoke or visual"},
    {OPT_RESULT, "result", "pass|fail", "of a test (the same as the word pass or fail)"},
    {OPT_GAP, "gap", "AT:LENGTH", "a gap in the print of that test; may be given again"},
    {OPT_REPAIR, "repair", "WORD", "dogs, gasket, knife-edge, hinge or replaced"},
    {OPT_BY, "by", "WHO", "initials of who did it"},
    {OPT_NOTE, "note", "TEXT", "a remark"},
    {OPT_UNDO, "undo", NULL, "take back the latest entry of the closure"},
    {OPT_SHEET, "sheet", "FILE.csv", "all that is filled in on a sheet, or nothing"},
    {OPT_SHIP, "ship", "SHIP.xml", "check against the ship; needed to begin a log"},
    {OPT_AGAIN, "again", NULL, "record also what stands last in the log already"},
    {OPT_WITHIN, "within", "DAYS", "also what falls due in so many days"},
    {OPT_BY_CONSEQUENCE, "by-consequence", NULL, "what its failure would cost decides the order"},
    {OPT_START, "start", "SPACE", "where the walk begins and ends (default: open deck)"},
    {OPT_INSIDE, "inside", NULL, "keep off the open deck"},
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

bool refuse(const char *option, const char *value, const char *right)
{
    complain("--%s '%s' is not known; it must be %s", option, value, right);
    return false;
}

static bool parse_height(const char *text, double *height)
{
    char *end;
    size_t digits = strspn(text, "+-.0123456789eE");
    double value = digits ? strtod(text, &end) : NAN;
    if (!digits || end != text + digits || !isfinite(value))
        return false;
    if (!strcmp(end, "ft"))
        value *= 0.3048;
    else if (*end && strcmp(end, "m"))
        return false;
    *height = value;
    return fabs(value) <= 1e6;
}

static bool take_level(options *o, const char *value)
{
    o->level_given = true;
    if (!strcmp(value, "still"))
        o->query.level.kind = COAMING_LEVEL_STILL;
    else if (!strcmp(value, "full"))
        o->query.level.kind = COAMING_LEVEL_FULL;
    else if (!strcmp(value, "equilibrium"))
        o->query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    else if (parse_height(value, &o->query.level.height))
        o->query.level.kind = COAMING_LEVEL_AT;
    else
        return refuse("level", value, "equilibrium, still, full or a height such as 3.5 or 12ft");
    return true;
}

static bool take_hazard(options *o, const char *value)
{
    bool both = !strcmp(value, "both");
    o->query.hazard[COAMING_WATER] = both || !strcmp(value, "water");
    o->query.hazard[COAMING_AIR] = both || !strcmp(value, "air");
    if (!o->query.hazard[COAMING_WATER] && !o->query.hazard[COAMING_AIR])
        return refuse("hazard", value, "water, air or both");
    return true;
}

static bool take_measure(options *o, const char *value, bool summed)
{
    int count = summed ? COAMING_MEASURE_FREEBOARD : COAMING_MEASURES;
    for (int m = 0; m < count; m++) {
        if (!strcmp(value, coaming_measure_word((coaming_measure)m))) {
            o->measure = (coaming_measure)m;
            return true;
        }
    }
    return refuse("measure", value,
                  summed ? "worth, volume, people or spaces"
                         : "worth, volume, people, spaces, freeboard or gm");
}

static bool take_top(options *o, const char *value)
{
    char *end;
    long top = strtol(value, &end, 10);
    if (end == value || *end || top < 1 || top == LONG_MAX)
        return refuse("top", value, "a whole number of 1 or more");
    o->top = (size_t)top;
    return true;
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

static bool take_table(options *o, const char *value)
{
    for (o->table = 0; o->table < COAMING_LISTS; o->table++)
        if (!strcmp(value, coaming_list_word((coaming_list)o->table)))
            return true;
    return refuse("table", value, "spaces, closures, passages or tests");
}

static bool take_day(const char *option, const char *value, coaming_date *date)
{
    return coaming_date_parse(value, date) || refuse(option, value, "a date such as 2026-09-30");
}

static bool take_within(options *o, const char *value)
{
    char *end;
    long days = strtol(value, &end, 10);
    if (end == value || *end || days < 0 || days > 36525)
        return refuse("within", value, "a whole number of days, 0 or more");
    o->within = (int)days;
    return true;
}

static bool take_overlay(options *o, const char *value)
{
    for (int i = COAMING_OVERLAY_NONE + 1; i < COAMING_OVERLAYS; i++) {
        if (!strcmp(value, coaming_overlay_word((coaming_overlay)i))) {
            o->overlay = (coaming_overlay)i;
            return true;
        }
    }
    return refuse("overlay", value, "expose, rank, due or hold");
}

static bool take_width(options *o, const char *value)
{
    return (parse_plain_number(value, &o->width) && o->width >= 80 && o->width <= 2000) ||
           refuse("width", value, "millimetres, 80 to 2000");
}

/* A number of a given greatest value, all of the text. */
static bool parse_whole(const char *text, uint64_t most, uint64_t *value)
{
    char *end;
    if (!*text || text[strspn(text, "0123456789")] || strlen(text) > 20)
        return false;
    errno = 0;
    unsigned long long parsed = strtoull(text, &end, 10);
    *value = parsed;
    return !errno && !*end && parsed <= most;
}

static bool take_share(options *o, const char *value)
{
    char share[32];
    uint64_t k = 0, n = 0;
    size_t length = strcspn(value, "/");
    if (value[length] == '/' && length < sizeof share) {
        memcpy(share, value, length);
        share[length] = '\0';
        if (parse_whole(share, 1000000, &k) && parse_whole(value + length + 1, 1000000, &n) &&
            k >= 1 && k <= n) {
            o->share = (unsigned)k;
            o->shares = (unsigned)n;
            return true;
        }
    }
    return refuse("share", value, "K/N, such as 2/8: the second of eight shares");
}

/* A number with an ending; false where it is none. */
static bool parse_positive(const char *text, const char *ending, double *value)
{
    char *end;
    size_t digits = strspn(text, ".0123456789");
    if (!digits)
        return false;
    *value = strtod(text, &end);
    return end == text + digits && !strcmp(end, ending) && isfinite(*value) && *value > 0;
}

static bool take_risk(options *o, option_set bit, const char *value)
{
    static const char *const methods[] = {"auto", "exact", "sampled"};
    switch (bit) {
    case OPT_SEED:
        return parse_whole(value, UINT64_MAX, &o->seed) ||
               refuse("seed", value, "a whole number, 0 or more");
    case OPT_SAMPLES:
        return (parse_whole(value, COAMING_RISK_SAMPLES_MOST, &o->samples) &&
                o->samples >= COAMING_RISK_SAMPLES_LEAST) ||
               refuse("samples", value, "a whole number, 100 to 16777216");
    case OPT_ACCURACY:
        if (!parse_positive(value, "%", &o->accuracy) || o->accuracy > 100)
            return refuse("within", value, "a share such as 1%, above 0 and up to 100%");
        o->accuracy /= 100;
        return true;
    case OPT_HOURS:
        return parse_positive(value, "", &o->hours) || refuse("hours", value, "a number above 0");
    case OPT_SHARE:
        return take_share(o, value);
    default:
        for (int m = 0; m < 3; m++) {
            if (!strcmp(value, methods[m])) {
                o->risk_method = (coaming_risk_method)m;
                return true;
            }
        }
        return refuse("risk", value, "auto, exact or sampled");
    }
}

/* Options that are kept as they are, for the library to judge; NULL: none of those. */
static const char **kept_as_is(options *o, option_set bit)
{
    switch (bit) {
    case OPT_METHOD:
        return &o->method;
    case OPT_RESULT:
        return &o->result;
    case OPT_GAP:
        return &o->gaps[o->gap_count++];
    case OPT_REPAIR:
        return &o->repair;
    case OPT_BY:
        return &o->by;
    case OPT_NOTE:
        return &o->note;
    case OPT_SHEET:
        return &o->sheet;
    case OPT_SHIP:
        return &o->beside;
    case OPT_START:
        return &o->start;
    case OPT_EXPLAIN:
        return &o->explain;
    case OPT_SOURCE:
        return &o->source;
    case OPT_CLOSURE:
        return &o->closure;
    case OPT_DECK:
        return &o->drawn[o->drawn_count++];
    case OPT_PROTECT:
        return &o->protect[o->protect_count++];
    default:
        return NULL;
    }
}

/* Options without a value; NULL: none of those. */
static bool *flag(options *o, option_set bit)
{
    switch (bit) {
    case OPT_ALL:
        return &o->all;
    case OPT_ALL_BREACHES:
        return &o->all_breaches;
    case OPT_UNDO:
        return &o->undo;
    case OPT_AGAIN:
        return &o->again;
    case OPT_BY_CONSEQUENCE:
        return &o->by_consequence;
    case OPT_INSIDE:
        return &o->inside;
    case OPT_MERGE:
        return &o->merge;
    case OPT_BY_RISK:
        return &o->by_risk;
    case OPT_PROFILE:
        return &o->profile;
    case OPT_COMPACT:
        return &o->compact;
    default:
        return NULL;
    }
}

static bool take(options *o, option_set bit, const char *name, const char *value)
{
    const char **text = kept_as_is(o, bit);
    bool *yes = flag(o, bit);
    if (text)
        *text = value;
    if (yes)
        *yes = true;
    if (text || yes)
        return true;
    if (bit & (OPT_SAMPLING | OPT_SHARE | OPT_HOURS))
        return take_risk(o, bit, value);
    switch (bit) {
    case OPT_FORMAT:
        return take_format(o, value);
    case OPT_OUTPUT:
        o->output = value;
        return *value || refuse("output", value, "the name of a file");
    case OPT_LOG:
        o->logs[o->log_count++] = value;
        return true;
    case OPT_AS_OF:
        return take_day("as-of", value, &o->as_of);
    case OPT_DATE:
        return take_day("date", value, &o->date);
    case OPT_SINCE:
        return take_day("since", value, &o->since);
    case OPT_WITHIN:
        return take_within(o, value);
    case OPT_FLOODED:
        o->flooded[o->flooded_count++] = value;
        return true;
    case OPT_OVERLAY:
        return take_overlay(o, value);
    case OPT_WIDTH:
        return take_width(o, value);
    case OPT_CONDITION:
        o->condition = value;
        return true;
    case OPT_HAZARD:
        return take_hazard(o, value);
    case OPT_LEVEL:
        return take_level(o, value);
    case OPT_MEASURE:
    case OPT_SUMMED:
        return take_measure(o, value, bit == OPT_SUMMED);
    case OPT_TABLE:
        return take_table(o, value);
    case OPT_IMPORT:
        return take_import(o, name, value);
    default:
        return take_top(o, value);
    }
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
        if (!take(o, r ? r->bit : OPT_OUTPUT, r ? r->name : "output", optarg))
            return EXIT_USAGE;
    }
    return take_words(o, argc, argv);
}
