/* The table of options, and how a command line is parsed by it. */
#include <float.h>
#include <getopt.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "options.h"

/* Where a value goes; does not compile unless it is of the type that is filled.
 * NOLINTNEXTLINE(bugprone-macro-parentheses): a type takes none */
#define AT(type, member) _Generic(&((options *)0)->member, type * : offsetof(options, member))

/* How a value is taken, and what fills it. */
#define HOW_TEXT(member)  .take = take_text, .to = AT(const char *, member)
#define HOW_TEXTS(member) .take = take_texts, .to = AT(text_list, member)
#define HOW_PATH(member)  .take = take_path, .to = AT(const char *, member)
#define HOW_DAY(member)   .take = take_day, .to = AT(coaming_date, member)
#define HOW_WHOLE(member, from, up_to)                                                             \
    .take = take_whole, .to = AT(uint64_t, member), .least = (from), .most = (up_to)
#define HOW_NUMBER(member, from, up_to)                                                            \
    .take = take_number, .to = AT(double, member), .lower = (from), .upper = (up_to)
#define HOW_PERCENT(member, from, up_to)                                                           \
    HOW_NUMBER(member, from, up_to), .ending = "%", .parts = 100
#define HOW_TIME(member, from, up_to)                                                              \
    .take = take_time, .to = AT(double, member), .lower = (from), .upper = (up_to)
#define HOW_EITHER(member) .take = take_either, .to = AT(bool, member)
#define HOW_OWN(function)  .take = (function)

/* What is offered for it. */
#define BY_NOTHING                  .words = NULL
#define BY_WORDS(list)              .words = (list)
#define BY_LIST_OF_WORDS(list, all) .words = (list), .whole = (all), .listed = true
#define BY_FILES(end)               .files = (end)
#define BY_IDS(kind)                .ids = COAMING_IDS_##kind
#define BY_LIST_OF_IDS(kind)        .ids = COAMING_IDS_##kind, .listed = true
#define BY_LIST_OF_PLACES(list)     .words = (list), .ids = COAMING_IDS_SPACES, .listed = true
#define BY_PLACES(list)             .words = (list), .ids = COAMING_IDS_SPACES

/* The rows: without value; one of words, into an enumeration; and any other, which says by one word
 * each how a value is taken and by what it is completed. Nothing of a row can be left out: a row
 * without a function that takes its value does not compile, nor does one that is given a value and
 * is called without (a name beside "" must be a literal). */
#define FLAG(bit, called, does, member)                                                            \
    {                                                                                              \
        OPT_##bit, "" called, NULL, "" does, .take = take_flag, .to = AT(bool, member)             \
    }
#define WORD(bit, called, what, does, type, member, list, first, must_be)                          \
    {                                                                                              \
        OPT_##bit, "" called, "" what, "" does,                                                    \
            .right = (must_be), .take = take_word,                                                 \
            .to = AT(type, member) + 0 * sizeof(char[sizeof(type) == sizeof(int) ? 1 : -1]),       \
            .by = {                                                                                \
                .words = (list),                                                                   \
                .from = (first)                                                                    \
            }                                                                                      \
    }
#define ROW(bit, called, what, does, how, must_be, by_what)                                        \
    {                                                                                              \
        OPT_##bit, "" called, "" what, "" does, HOW_##how, .right = (must_be), .by = {             \
            BY_##by_what                                                                           \
        }                                                                                          \
    }

/* In the order of the help. */
const option_row option_rows[] = {
    ROW(FORMAT, "format", "WORD", "", OWN(take_format), NULL, WORDS(words_of_format)),
    ROW(OUTPUT, "output", "FILE", "write to FILE, whole or not at all (also -o FILE)", PATH(output),
        "the name of a file", FILES("")),
    ROW(LOG, "log", "LOG.xml", "count in a test log; may be given more than once", TEXTS(logs),
        NULL, FILES(".xml")),
    ROW(AS_OF, "as-of", "DATE", "what was known on DATE, YYYY-MM-DD (default: today)", DAY(as_of),
        NULL, NOTHING),
    ROW(CONDITION, "condition", "ID", "readiness condition (default: all shut that can be)",
        TEXT(condition), NULL, IDS(CONDITIONS)),
    ROW(SEEN, "open", "C,D...",
        "closures seen open now, whatever the condition says; may be given more than once",
        TEXTS(seen[COAMING_SEEN_OPEN]), NULL, LIST_OF_IDS(CLOSURES)),
    ROW(SEEN, "shut", "C,D...", "seen shut, or shut now; also what no condition shuts",
        TEXTS(seen[COAMING_SEEN_SHUT]), NULL, LIST_OF_IDS(CLOSURES)),
    ROW(SEEN, "failed", "C,D...", "seen not to hold: sure to leak, whatever the log says",
        TEXTS(seen[COAMING_SEEN_FAILED]), NULL, LIST_OF_IDS(CLOSURES)),
    ROW(LET_IN, "breach", "A:AREA[@Z],...",
        "a hole in the shell of space A: AREA in m2 (or cm2, ft2), its middle Z m (Zft) above the "
        "baseline (default: the lowest place of the space); may be given more than once",
        TEXTS(breaches), NULL, LIST_OF_IDS(SPACES)),
    ROW(LET_IN, "inflow", "A:RATE,...",
        "water let into space A in another way, a burst main or hoses: RATE with its unit, such as "
        "60m3/h, 20l/s or 500l/min; may be given more than once",
        TEXTS(inflows), NULL, LIST_OF_IDS(SPACES)),
    ROW(TIMED, "open", "C[@T],...",
        "closures opened at time T (90, 90s, 10min or 1.5h); without @T: seen open now",
        TEXTS(seen[COAMING_SEEN_OPEN]), NULL, LIST_OF_IDS(CLOSURES)),
    ROW(TIMED, "shut", "C[@T],...",
        "shut at time T, or seen shut now; also what no condition shuts",
        TEXTS(seen[COAMING_SEEN_SHUT]), NULL, LIST_OF_IDS(CLOSURES)),
    ROW(TIMED, "fail", "C[@T],...",
        "give way or begin to leak at time T; without @T: seen not to hold",
        TEXTS(seen[COAMING_SEEN_FAILED]), NULL, LIST_OF_IDS(CLOSURES)),
    ROW(TIMED, "failed", "C[@T],...", "the same, as other commands call it",
        TEXTS(seen[COAMING_SEEN_FAILED]), NULL, LIST_OF_IDS(CLOSURES)),
    ROW(FLOOD, "pump", "P[@T],...", "pumps started at time T, or running from the start",
        TEXTS(pumps), NULL, LIST_OF_IDS(PUMPS)),
    FLAG(FLOOD, "by-when",
         "the latest moment at which shutting each closure still keeps a space dry or her afloat",
         by_when),
    ROW(FLOOD, "likely", "N",
        "how sure are the times: N states of the closures, drawn by how likely each leaks",
        WHOLE(likely, 2, 10000), "a whole number, 2 to 10000", NOTHING),
    ROW(FLOOD, "every", "T", "a table with a row for each so long a time", TIME(every, 1e-3, 1e7),
        "a time above 0, such as 30s, 10min or 1h", NOTHING),
    ROW(FLOOD, "until", "T", "how long it is followed at most (default: 1h)",
        TIME(until, 1e-3, 2592000), "a time above 0 and up to 720h, such as 90s, 10min or 1.5h",
        NOTHING),
    ROW(LOADING, "loading", "ID",
        "how she is loaded (default: as <ship> says, no liquid moves; of survival: each that the "
        "index is made of)",
        TEXT(loading), NULL, IDS(LOADINGS)),
    ROW(HAZARD, "hazard", "water|air|both", "which hazard (default: both)", OWN(take_hazard), NULL,
        WORDS(words_of_hazard)),
    ROW(LEVEL, "level", "LEVEL",
        "how high the water stands: equilibrium, where she settles (default if the ship has kg); "
        "still, the waterline at rest (default else); full, the top of its source; or Z m (Zft) "
        "above the baseline",
        OWN(take_level), "equilibrium, still, full or a height such as 3.5 or 12ft",
        WORDS(words_of_level)),
    FLAG(ALL, "all", "every one", all),
    WORD(MEASURE, "measure", "WORD",
         "worth (default), volume, people or spaces; at equilibrium also freeboard or gm",
         coaming_measure, measure, words_of_measure, 0, NULL),
    WORD(SUMMED, "measure", "WORD", "worth (default), volume, people or spaces", coaming_measure,
         measure, words_of_summed, 0, NULL),
    WORD(PLANNED, "measure", "WORD", "worth (default), volume, people or spaces; or survival",
         coaming_measure, measure, words_of_planned, 0, NULL),
    ROW(TOP, "top", "N", "the first N only", WHOLE(top, 1, LONG_MAX - 1),
        "a whole number of 1 or more", NOTHING),
    ROW(FLOODED, "flooded", "A,B...", "spaces open to the sea; may be given more than once",
        TEXTS(flooded), NULL, LIST_OF_IDS(SPACES)),
    FLAG(SPREAD, "spread", "water goes on from them as the doors are, and she settles", spread),
    ROW(RECORDED, "date", "DATE", "day of the test or repair (default: today)", DAY(date), NULL,
        NOTHING),
    ROW(RECORDED, "method", "WORD",
        "chalk, hose, air, ultrasonic, light, smoke or visual (default: with --ship, by its kind)",
        TEXT(method), NULL, WORDS(words_of_method)),
    ROW(RECORDED, "result", "pass|fail", "of a test (the same as the word pass or fail)",
        TEXT(result), NULL, WORDS(words_of_result)),
    ROW(RECORDED, "gap", "AT:LENGTH", "a gap in the print of that test; may be given again",
        TEXTS(gaps), NULL, NOTHING),
    ROW(RECORDED, "set", "LENGTH",
        "permanent set of the gasket at that test, such as 3.5mm; without unit: in the ship's",
        TEXT(set), NULL, NOTHING),
    ROW(RECORDED, "hinge-play", "LENGTH", "play of the hinge at that test, written alike",
        TEXT(hinge_play), NULL, NOTHING),
    ROW(DROP, "drop", "START:END:S",
        "drop of pressure at that test by air, such as 2000:1500:600: Pa, Pa, seconds", TEXT(drop),
        NULL, NOTHING),
    ROW(DROP, "space", "SPACE", "the space that was under pressure, where it lies between two",
        TEXT(tested_space), NULL, IDS(SPACES)),
    ROW(DROP, "volume", "M3", "air in it, m3 (default: the volume of the space)",
        TEXT(tested_volume), NULL, NOTHING),
    ROW(RECORDED, "repair", "WORD", "dogs, gasket, knife-edge, hinge or replaced", TEXT(repair),
        NULL, WORDS(words_of_action)),
    ROW(RECORDED, "by", "WHO", "initials of who did it", TEXT(by), NULL, NOTHING),
    ROW(RECORDED, "note", "TEXT", "a remark", TEXT(note), NULL, NOTHING),
    FLAG(RECORDED, "undo", "take back the latest entry of the closure", undo),
    ROW(SHEET, "sheet", "FILE.csv", "all that is filled in on a sheet, or nothing", TEXT(sheet),
        NULL, FILES("")),
    WORD(DATE_FORMAT, "date-format", "WORD",
         "how sheets write dates, beside 2026-09-30: D.M.Y, D/M/Y, M/D/Y or Y-M-D",
         coaming_date_order, dates, words_of_dates, COAMING_DATES_ISO + 1,
         "D.M.Y, D/M/Y, M/D/Y or Y-M-D"),
    ROW(SHIP, "ship", "SHIP.xml", "check against the ship; needed to begin a log", TEXT(beside),
        NULL, FILES(".xml")),
    FLAG(AGAIN, "again", "record also what stands last in the log already", again),
    ROW(WITHIN, "within", "DAYS", "also what falls due in so many days", WHOLE(within, 0, 36525),
        "a whole number of days, 0 or more", NOTHING),
    FLAG(BY_CONSEQUENCE, "by-consequence", "what its failure would cost decides the order",
         by_consequence),
    ROW(START, "start", "SPACE",
        "where the walk begins and ends: a space or weather, the open deck (default)", TEXT(start),
        NULL, PLACES(words_of_start)),
    FLAG(INSIDE, "inside", "keep off the open deck", inside),
    ROW(STANDING, "standing", "WORD,...",
        "one list, of those that stand so: failed, untested or passed; or all", OWN(take_standing),
        "failed, untested or passed, with commas, or all", LIST_OF_WORDS(words_of_standing, "all")),
    FLAG(BY_RISK, "by-risk", "greatest gain of a repair first, not greatest consequence", by_risk),
    ROW(EXPLAIN, "explain", "CLOSURE", "how likely it leaks, step by step, and its importance",
        TEXT(explain), NULL, IDS(CLOSURES)),
    WORD(
        RISK, "risk", "WORD",
        "exact, sampled, or auto (default): exact if its tables fit into 64 MiB; of rank also none",
        coaming_risk_method, risk_method, words_of_risk, 0, NULL),
    ROW(SEED, "seed", "N", "of the samples (default: 1)", WHOLE(seed, 0, UINT64_MAX),
        "a whole number, 0 or more", NOTHING),
    ROW(SAMPLES, "samples", "N",
        "how many, at least 100 (default: as many as the error wanted takes)",
        WHOLE(samples, COAMING_RISK_SAMPLES_LEAST, COAMING_RISK_SAMPLES_MOST),
        "a whole number, 100 to 16777216", NOTHING),
    ROW(ACCURACY, "within", "P%",
        "standard error wanted of the expected loss and of the ten greatest risks (default: 5%)",
        PERCENT(accuracy, DBL_MIN, 100), "a share such as 1%, above 0 and up to 100%", NOTHING),
    ROW(LEFT_OPEN, "within", "P%",
        "chance that may be left open in each case; takes what work it takes (without: 0.1%, or "
        "as much as is found in reasonable time)",
        PERCENT(left_open, DBL_MIN, 100), "a share such as 1%, above 0 and up to 100%", NOTHING),
    ROW(SHARE, "share", "K/N",
        "work out share K of N (of samples, or cases) and write it as a part, in JSON",
        OWN(take_share), "K/N, such as 2/8: the second of eight shares, of 1000000 at most",
        NOTHING),
    FLAG(MERGE, "merge", "put the parts together that are named after the ship", merge),
    ROW(HOURS, "hours", "H", "hours of work that there are", NUMBER(hours, DBL_MIN, DBL_MAX),
        "a number above 0", NOTHING),
    WORD(TABLE, "table", "WORD",
         "with csv: which list: spaces, closures, passages, pumps, fans or tests", coaming_list,
         table, words_of_list, 0, NULL),
    ROW(SOURCE, "source", "PLACE", "where it is already: a space, sea or weather", TEXT(source),
        NULL, PLACES(words_of_source)),
    ROW(SOURCES, "source", "PLACE,...",
        "where it is: spaces, sea or weather; may be given more than once", TEXTS(sources), NULL,
        LIST_OF_PLACES(words_of_source)),
    ROW(FOLLOW, "follow", "FILE",
        "answer each line of JSON that is reported there, in a line; - is standard input",
        PATH(follow), "the name of a file", FILES("")),
    ROW(GIVEN_OFF, "source", "A:RATE[:AGENT]",
        "what gets into the air of A and how fast, such as engine:2g/s:co or engine:0.5m3/s (of "
        "smoke); "
        "weather:500ppm:co: the air outside; may be given more than once",
        TEXTS(given_off), NULL, PLACES(words_of_start)),
    ROW(GIVEN_OFF, "limit", "LIMIT",
        "when it is passed: a published one by its name, such as co-idlh, or a number with its "
        "unit, "
        "such as co:200ppm; may be given more than once (default: the published ones of what there "
        "is)",
        TEXTS(limits), NULL, NOTHING),
    ROW(FOLLOWED, "until", "T",
        "how long water and air are followed at most: 90, 90s, 10min or 1.5h (default: 1h)",
        TIME(until, 1e-3, COAMING_AIR_LONGEST),
        "a time above 0 and up to 720h, such as 90s, 10min or 1.5h", NOTHING),
    ROW(AIR, "until", "T", "how long the air is followed: 90, 90s, 10min or 1.5h (default: 1h)",
        TIME(until, 1e-3, COAMING_AIR_LONGEST),
        "a time above 0 and up to 720h, such as 90s, 10min or 1.5h", NOTHING),
    ROW(AIR, "every", "T",
        "how far apart are the moments of the tables (default: a sixtieth of it)",
        TIME(every, 1e-3, COAMING_AIR_LONGEST), "a time above 0, such as 30s, 10min or 1h",
        NOTHING),
    ROW(AIR, "wind", "SPEED[@DIR]",
        "m/s, or with kn; from DIR degrees right of ahead (default: 0, from ahead)", TEXT(wind),
        NULL, NOTHING),
    ROW(AIR, "outside", "TEMP", "degrees Celsius outside (default: 20)", TEXT(outside), NULL,
        NOTHING),
    ROW(AIR, "inside", "[A:]TEMP",
        "degrees inside, or in space A alone (default: 20); may be given more than once",
        TEXTS(warmths), NULL, NOTHING),
    ROW(AIR, "overpressure", "PA", "that a shelter is wanted to have (default: 50)",
        NUMBER(overpressure, DBL_MIN, 2000), "a number of Pa above 0, up to 2000", NOTHING),
    ROW(AIR, "fan", "F[@T],...", "fans started at time T, or running from the start", TEXTS(fans),
        NULL, LIST_OF_IDS(FANS)),
    ROW(AIR, "stop", "F[@T],...", "fans stopped at time T, or not running from the start",
        TEXTS(stopped), NULL, LIST_OF_IDS(FANS)),
    ROW(AIR, "end", "A@T,...",
        "what is given off in A ends at time T: the fire is out; weather: the air outside is clean",
        TEXTS(ended), NULL, LIST_OF_PLACES(words_of_start)),
    FLAG(AIR, "by-when",
         "the latest moment at which shutting each closure that brings a limit somewhere still "
         "keeps it from there",
         by_when),
    FLAG(AIR, "filtered", "what fans blow in is clean (default: it is the air outside)", filtered),
    WORD(AIR, "activity", "WORD", "how hard people breathe: rest, light (default) or heavy",
         coaming_activity, activity, words_of_activity, 0, NULL),
    ROW(PROTECT, "protect", "B,C...",
        "spaces that are to stay clean; may be given more than once (default: lines near to far)",
        TEXTS(protect), NULL, LIST_OF_IDS(SPACES)),
    WORD(OVERLAY, "overlay", "WORD", "what is laid over: expose, rank, due, hold or survival",
         coaming_overlay, overlay, words_of_overlay, COAMING_OVERLAY_NONE + 1, NULL),
    ROW(CLOSURE, "closure", "CLOSURE", "with expose: the closure that fails", TEXT(closure), NULL,
        IDS(CLOSURES)),
    ROW(DECK, "deck", "D,E...", "only the plans of these decks; may be given more than once",
        TEXTS(drawn), NULL, LIST_OF_IDS(DECKS)),
    FLAG(PROFILE, "profile", "only the profile, or with --deck the profile too", profile),
    ROW(WIDTH, "width", "MM", "of the page, 80 to 2000 (default: 297)", NUMBER(width, 80, 2000),
        "millimetres, 80 to 2000", NOTHING),
    ROW(SINCE, "since", "DATE", "also what changed since DATE, YYYY-MM-DD", DAY(since), NULL,
        NOTHING),
    FLAG(CASES, "cases", "every case, from aft", cases),
    FLAG(COMPACT, "compact", "ids in place of names, for small pages", compact),
    ROW(IMPORT, "spaces", "LIST.csv", "the list of spaces", TEXT(import.spaces), NULL,
        FILES(".csv")),
    ROW(IMPORT, "closures", "LIST.csv", "the list of closures", TEXT(import.closures), NULL,
        FILES(".csv")),
    ROW(IMPORT, "passages", "LIST.csv", "the list of passages, if there is one",
        TEXT(import.passages), NULL, FILES(".csv")),
    ROW(IMPORT, "pumps", "LIST.csv", "the list of pumps, if there is one", TEXT(import.pumps), NULL,
        FILES(".csv")),
    ROW(IMPORT, "fans", "LIST.csv", "the list of fans, if there is one", TEXT(import.fans), NULL,
        FILES(".csv")),
    ROW(IMPORT, "name", "NAME", "of the ship", TEXT(import.name), NULL, NOTHING),
    ROW(IMPORT, "size", "LxBxD", "length, beam and depth, such as 58x11.2x6.4", OWN(take_size),
        "length, beam and depth, such as 58x11.2x6.4", NOTHING),
    ROW(IMPORT, "draft", "T", "at which she floats undamaged",
        NUMBER(import.draft, -DBL_MAX, DBL_MAX), "a number such as 3.2", NOTHING),
    ROW(IMPORT, "kg", "KG", "height of her centre of gravity, if it is known",
        NUMBER(import.kg, -DBL_MAX, DBL_MAX), "a number such as 3.2", NOTHING),
    ROW(IMPORT, "units", "m|ft", "of these numbers and of the lists (default: m)",
        EITHER(import.feet), NULL, WORDS(words_of_unit)),
    ROW(IMPORT, "frames", "SPACING[:X0]",
        "frame spacing and x of frame 0 (default: 0); less than 0: frames count from forward",
        OWN(take_frames), "a spacing, and perhaps x of frame 0, such as 0.6:0", NOTHING),
    ROW(IMPORT, "deck", "NO:ID:Z[:NAME]",
        "a deck: its number in compartment numbers (may be empty), id, height; once for each deck",
        TEXTS(decks), NULL, NOTHING),
    ROW(IMPORT, "number-frame", "fore|aft", "which end the frame of a number is (default: fore)",
        EITHER(import.frame_aft), NULL, WORDS(words_of_end)),
    ROW(IMPORT, "map", "LIST.FIELD=COL",
        "which column holds a field, such as spaces.id='Comp. No'; none: the field is not read",
        TEXTS(maps), NULL, NOTHING),
    {.name = NULL}};

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
    for (const option_row *r = option_rows; r->name; r++) {
        char left[40];
        if (!(c->takes & r->bit))
            continue;
        snprintf(left, sizeof left, "--%s%s%s", r->name, r->value ? "=" : "",
                 r->value ? r->value : "");
        fprintf(out, "  %-24s ", left);
        put_wrapped(out, *r->help ? r->help : offered); /* of the formats: what it offers */
    }
    fprintf(out, "  %-24s %s\n", "--help", "this text");
}

const option_row *option_find(const command *c, const char *name, size_t length)
{
    for (const option_row *r = option_rows; r->name; r++)
        if (c->takes & r->bit && strlen(r->name) == length && !strncmp(r->name, name, length))
            return r;
    return NULL;
}

enum { ROWS = sizeof option_rows / sizeof *option_rows, FIRST = 1000 };

/* Options that a command had once, and who answers that now. */
static const struct {
    const char *command, *option, *now;
} former[] = {{"float", "--all-breaches", "survival"}};

static const char *answered_by(const options *o, const char *word)
{
    for (size_t i = 0; i < sizeof former / sizeof *former; i++)
        if (!strcmp(former[i].command, o->command->name) && !strcmp(former[i].option, word))
            return former[i].now;
    return NULL;
}

/* The word with an option that is no letter of ASCII: while bytes of it are left getopt stands at it,
 * else behind. */
static const char *word_of_bytes(char **argv)
{
    const char *at = argv[optind];
    return optopt < 0 && at && *at == '-' && strchr(at, optopt) ? at : argv[optind - 1];
}

static void refuse_word(const options *o, char **argv, int result)
{
    char letter[] = {'-', (char)optopt, '\0'};
    bool one_letter = optopt > 0 && optopt < FIRST;
    const char *word = one_letter ? letter : word_of_bytes(argv), *now = answered_by(o, word);
    if (result == ':')
        complain("%s needs a value; see 'coaming %s --help'", word, o->command->name);
    else if (now)
        complain(
            "'coaming %s' has no option '%s' any more: 'coaming %s' answers that, with how likely "
            "each damage is",
            o->command->name, word, now);
    else
        complain("'coaming %s' has no option '%s'; see 'coaming %s --help'", o->command->name, word,
                 o->command->name);
}

/* The list that a row fills; NULL: it fills none. */
static text_list *list_of(options *o, const option_row *r)
{
    return r->take == take_texts ? (void *)((char *)o + r->to) : NULL;
}

/* The lists of all rows that have one. */
static bool prepare(options *o, int argc)
{
    bool good = true;
    for (const option_row *r = option_rows; r->name; r++) {
        text_list *list = list_of(o, r);
        if (!list || list->texts || !(o->command->takes & r->bit))
            continue;
        list->texts = calloc((size_t)argc, sizeof *list->texts);
        good = good && list->texts;
    }
    o->today = o->as_of = o->date = coaming_date_today();
    o->query = coaming_query_default();
    o->format = format_at(o->command, 0);
    o->import = coaming_import_options_default();
    o->import.draft = NAN;
    o->activity = COAMING_ACTIVITY_LIGHT;
    return good;
}

void options_free(options *o)
{
    for (const option_row *r = option_rows; r->name; r++) {
        text_list *list = list_of(o, r);
        if (!list)
            continue;
        free(list->texts);
        *list = (text_list){NULL, 0}; /* more than one row may fill it */
    }
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
    for (int i = 0; option_rows[i].name; i++)
        if (o->command->takes & option_rows[i].bit)
            list[count++] = (struct option){option_rows[i].name,
                                            option_rows[i].value ? required_argument : no_argument,
                                            NULL, FIRST + i};
    list[count] = (struct option){NULL, 0, NULL, 0};
    if (!prepare(o, argc))
        return complain_of_memory();
    const option_row *o_row = option_find(o->command, "output", strlen("output"));
    opterr = 0;
    for (int result; (result = getopt_long(argc, argv, o_row ? ":o:" : ":", list, NULL)) != -1;) {
        if (result == '?' || result == ':') {
            refuse_word(o, argv, result);
            return EXIT_USAGE;
        }
        const option_row *r = result == 'o' && o_row ? o_row : &option_rows[result - FIRST];
        if (o->given & r->bit & OPT_SOURCE) {
            complain("--source is given once; '%s' is one too many", optarg);
            return EXIT_USAGE;
        }
        o->given |= r->bit;
        if (!r->take(o, r, optarg))
            return EXIT_USAGE;
    }
    return take_words(o, argc, argv);
}
