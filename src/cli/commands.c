#include "commands.h"

#include <string.h>

#include "options.h"

/* What stands behind the file. */
static const completion closures = {.ids = COAMING_IDS_CLOSURES};
static const completion spaces = {.ids = COAMING_IDS_SPACES, .listed = true};
static const completion recorded = {.ids = COAMING_IDS_LOGGED};
static const completion entries = {.words = words_of_entry};
static const completion parts = {.files = "", .needs = OPT_MERGE};

const command commands[] = {
    {"check", "SHIP.xml", "is the file sound: all faults and warnings, with lines", help_check,
     OPT_COMMON, IN_TEXT | IN_JSON | IN_CSV, cmd_check, NULL, NULL},
    {"expose", "SHIP.xml CLOSURE... | --all",
     "if a closure failed, which spaces flood or get bad air", help_expose,
     OPT_COMMON | OPT_SEEN | OPT_LOADING | OPT_HAZARD | OPT_LEVEL | OPT_ALL,
     IN_TEXT | IN_JSON | IN_CSV, cmd_expose, &closures, &closures},
    {"rank", "SHIP.xml [--merge PART...]",
     "what to make good first, and which closures matter most", help_rank,
     OPT_COMMON | OPT_SEEN | OPT_LOADING | OPT_HAZARD | OPT_LEVEL | OPT_MEASURE | OPT_TOP |
         OPT_SAMPLING | OPT_SHARE | OPT_MERGE | OPT_EXPLAIN | OPT_BY_RISK | OPT_STANDING |
         OPT_WORDS,
     IN_TEXT | IN_JSON | IN_CSV, cmd_rank, &parts, &parts},
    {"plan", "SHIP.xml --hours H", "which repairs to make in the hours given", help_plan,
     OPT_COMMON | OPT_SEEN | OPT_LOADING | OPT_HAZARD | OPT_LEVEL | OPT_PLANNED | OPT_SAMPLING |
         OPT_HOURS,
     IN_TEXT | IN_JSON | IN_CSV, cmd_plan, NULL, NULL},
    {"export", "SHIP.xml", "the whole model as JSON or as a graph, or a list as CSV", help_export,
     OPT_COMMON | OPT_SEEN | OPT_LOADING | OPT_HAZARD | OPT_LEVEL | OPT_MEASURE | OPT_SAMPLING |
         OPT_TABLE,
     IN_JSON | IN_CSV | IN_GRAPHML | IN_DOT, cmd_export, NULL, NULL},
    {"float", "SHIP.xml", "how she floats with these spaces open to the sea", help_float,
     OPT_COMMON | OPT_SEEN | OPT_LOADING | OPT_FLOODED | OPT_SPREAD, IN_TEXT | IN_JSON | IN_CSV,
     cmd_float, NULL, NULL},
    {"flood", "SHIP.xml --breach A:AREA[@Z],...",
     "water in time: what it reaches when, and what can still be done", help_flood,
     OPT_COMMON | OPT_LOADING | OPT_LET_IN | OPT_FLOOD | OPT_SEED,
     IN_TEXT | IN_JSON | IN_CSV | IN_SVG, cmd_flood, NULL, NULL},
    {"survival", "SHIP.xml [--merge PART...]",
     "damage to her side: the index as built and as her closures are", help_survival,
     OPT_COMMON | OPT_SEEN | OPT_LOADING | OPT_CASES | OPT_TOP | OPT_LEFT_OPEN | OPT_SHARE |
         OPT_MERGE | OPT_WORDS,
     IN_TEXT | IN_JSON | IN_CSV, cmd_survival, &parts, &parts},
    {"hold", "SHIP.xml --source PLACE,...",
     "which line of closures to hold, and what stands behind it", help_hold,
     OPT_COMMON | OPT_SEEN | OPT_LOADING | OPT_HAZARD | OPT_LEVEL | OPT_SOURCES | OPT_PROTECT,
     IN_TEXT | IN_JSON | IN_CSV, cmd_hold, NULL, NULL},
    {"boundary", "SHIP.xml SPACE...", "what must be shut, and from which side, to seal spaces off",
     help_boundary,
     OPT_COMMON | OPT_SEEN | OPT_LOADING | OPT_HAZARD | OPT_LEVEL | OPT_START | OPT_INSIDE |
         OPT_WORDS,
     IN_TEXT | IN_JSON | IN_CSV, cmd_boundary, &spaces, &spaces},
    {"casualty", "SHIP.xml --source PLACE,...",
     "holed or on fire here: what to shut at once, which line to hold", help_casualty,
     OPT_COMMON | OPT_SEEN | OPT_LOADING | OPT_HAZARD | OPT_LEVEL | OPT_SOURCES | OPT_SUMMED |
         OPT_FOLLOW,
     IN_TEXT | IN_JSON | IN_CSV | IN_HTML, cmd_casualty, NULL, NULL},
    {"air", "SHIP.xml --source A:RATE[:AGENT],...",
     "smoke or gas in time, how a shelter is kept clean, a drop of pressure", help_air,
     OPT_COMMON | OPT_GIVEN_OFF | OPT_AIR | OPT_DROP, IN_TEXT | IN_JSON | IN_CSV | IN_SVG, cmd_air,
     NULL, NULL},
    {"draw", "SHIP.xml", "deck plans and profile as SVG, with an answer laid over", help_draw,
     OPT_COMMON | OPT_SEEN | OPT_LOADING | OPT_DECK | OPT_PROFILE | OPT_OVERLAY | OPT_CLOSURE |
         OPT_SOURCE | OPT_PROTECT | OPT_HAZARD | OPT_LEVEL | OPT_MEASURE | OPT_TOP | OPT_WITHIN |
         OPT_WIDTH | OPT_COMPACT,
     IN_SVG, cmd_draw, NULL, NULL},
    {"report", "SHIP.xml", "the state of the ship as one page for screen and paper", help_report,
     OPT_COMMON | OPT_SEEN | OPT_LOADING | OPT_HAZARD | OPT_LEVEL | OPT_MEASURE | OPT_RISK_RUN |
         OPT_SINCE | OPT_WITHIN | OPT_TOP | OPT_LET_IN | OPT_GIVEN_OFF | OPT_FOLLOWED,
     IN_HTML, cmd_report, NULL, NULL},
    {"record", "LOG.xml CLOSURE WORD... | --sheet FILE.csv", "put a test or a repair into the log",
     help_record,
     OPT_FORMAT | OPT_OUTPUT | OPT_ENTRY | OPT_SHEET | OPT_DATE_FORMAT | OPT_SHIP | OPT_AGAIN |
         OPT_WORDS,
     IN_TEXT | IN_JSON | IN_CSV, cmd_record, &recorded, &entries},
    {"due", "SHIP.xml", "which tests are due by when", help_due,
     OPT_TESTS | OPT_CONDITION | OPT_LOADING | OPT_HAZARD | OPT_LEVEL | OPT_MEASURE | OPT_ALL |
         OPT_WITHIN | OPT_BY_CONSEQUENCE,
     IN_TEXT | IN_JSON | IN_CSV | IN_ICAL, cmd_due, NULL, NULL},
    {"round", "SHIP.xml [CLOSURE...]", "a walking order for the tests that are due, with a sheet",
     help_round,
     OPT_TESTS | OPT_CONDITION | OPT_LOADING | OPT_HAZARD | OPT_LEVEL | OPT_MEASURE | OPT_WITHIN |
         OPT_BY_CONSEQUENCE | OPT_TOP | OPT_START | OPT_INSIDE | OPT_WORDS,
     IN_TEXT | IN_JSON | IN_CSV, cmd_round, &closures, &closures},
    {"adjust", "SHIP.xml [CLOSURE...]", "what the chalk prints ask for: dogs, gaskets, frames",
     help_adjust, OPT_TESTS | OPT_WORDS, IN_TEXT | IN_JSON | IN_CSV, cmd_adjust, &closures,
     &closures},
    {"history", "SHIP.xml CLOSURE", "one closure through the years", help_history,
     OPT_TESTS | OPT_WORDS, IN_TEXT | IN_JSON | IN_CSV, cmd_history, &closures, NULL},
    {"import", "--spaces LIST.csv --closures LIST.csv ...",
     "an arrangement from lists of spaces and closures", help_import,
     OPT_NO_SHIP | OPT_OUTPUT | OPT_AS_OF | OPT_IMPORT | OPT_DATE_FORMAT, 0, cmd_import, NULL,
     NULL},
    {.name = NULL}};

const command *command_find(const char *name)
{
    for (const command *c = commands; c->name; c++)
        if (!strcmp(c->name, name))
            return c;
    return NULL;
}
