#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"
#include "commands.h"

const command commands[] = {
    {"check", "SHIP.xml", "is the file sound: all faults and warnings, with lines", help_check,
     OPT_COMMON, IN_TEXT | IN_JSON | IN_CSV, cmd_check},
    {"expose", "SHIP.xml CLOSURE... | --all",
     "if a closure failed, which spaces flood or get bad air", help_expose,
     OPT_COMMON | OPT_HAZARD | OPT_LEVEL | OPT_ALL, IN_TEXT | IN_JSON | IN_CSV, cmd_expose},
    {"rank", "SHIP.xml [--merge PART...]",
     "what to make good first, and which closures matter most", help_rank,
     OPT_COMMON | OPT_HAZARD | OPT_LEVEL | OPT_MEASURE | OPT_TOP | OPT_SAMPLING | OPT_SHARE |
         OPT_MERGE | OPT_EXPLAIN | OPT_BY_RISK | OPT_STANDING | OPT_WORDS,
     IN_TEXT | IN_JSON | IN_CSV, cmd_rank},
    {"plan", "SHIP.xml --hours H", "which repairs to make in the hours given", help_plan,
     OPT_COMMON | OPT_HAZARD | OPT_LEVEL | OPT_SUMMED | OPT_SAMPLING | OPT_HOURS,
     IN_TEXT | IN_JSON | IN_CSV, cmd_plan},
    {"export", "SHIP.xml", "the whole model as JSON or as a graph, or a list as CSV", help_export,
     OPT_COMMON | OPT_HAZARD | OPT_LEVEL | OPT_MEASURE | OPT_TABLE,
     IN_JSON | IN_CSV | IN_GRAPHML | IN_DOT, cmd_export},
    {"float", "SHIP.xml", "how she floats with these spaces open to the sea", help_float,
     OPT_COMMON | OPT_FLOODED | OPT_SPREAD | OPT_ALL_BREACHES, IN_TEXT | IN_JSON | IN_CSV,
     cmd_float},
    {"hold", "SHIP.xml --source PLACE",
     "which line of closures is most likely to hold, and where not", help_hold,
     OPT_COMMON | OPT_HAZARD | OPT_LEVEL | OPT_SOURCE | OPT_PROTECT, IN_TEXT | IN_JSON | IN_CSV,
     cmd_hold},
    {"draw", "SHIP.xml", "deck plans and profile as SVG, with an answer laid over", help_draw,
     OPT_COMMON | OPT_DECK | OPT_PROFILE | OPT_OVERLAY | OPT_CLOSURE | OPT_SOURCE | OPT_PROTECT |
         OPT_HAZARD | OPT_LEVEL | OPT_MEASURE | OPT_TOP | OPT_WITHIN | OPT_WIDTH | OPT_COMPACT,
     IN_SVG, cmd_draw},
    {"report", "SHIP.xml", "the state of the ship as one page for screen and paper", help_report,
     OPT_COMMON | OPT_HAZARD | OPT_LEVEL | OPT_MEASURE | OPT_SINCE | OPT_WITHIN | OPT_TOP, IN_HTML,
     cmd_report},
    {"record", "LOG.xml CLOSURE WORD... | --sheet FILE.csv", "put a test or a repair into the log",
     help_record,
     OPT_FORMAT | OPT_OUTPUT | OPT_ENTRY | OPT_SHEET | OPT_DATE_FORMAT | OPT_SHIP | OPT_AGAIN |
         OPT_WORDS,
     IN_TEXT | IN_JSON | IN_CSV, cmd_record},
    {"due", "SHIP.xml", "which tests are due by when", help_due,
     OPT_TESTS | OPT_CONDITION | OPT_HAZARD | OPT_LEVEL | OPT_MEASURE | OPT_ALL | OPT_WITHIN |
         OPT_BY_CONSEQUENCE,
     IN_TEXT | IN_JSON | IN_CSV | IN_ICAL, cmd_due},
    {"round", "SHIP.xml [CLOSURE...]", "a walking order for the tests that are due, with a sheet",
     help_round,
     OPT_TESTS | OPT_CONDITION | OPT_HAZARD | OPT_LEVEL | OPT_MEASURE | OPT_WITHIN |
         OPT_BY_CONSEQUENCE | OPT_TOP | OPT_START | OPT_INSIDE | OPT_WORDS,
     IN_TEXT | IN_JSON | IN_CSV, cmd_round},
    {"adjust", "SHIP.xml [CLOSURE...]", "what the chalk prints ask for: dogs, gaskets, frames",
     help_adjust, OPT_TESTS | OPT_WORDS, IN_TEXT | IN_JSON | IN_CSV, cmd_adjust},
    {"history", "SHIP.xml CLOSURE", "one closure through the years", help_history,
     OPT_TESTS | OPT_WORDS, IN_TEXT | IN_JSON | IN_CSV, cmd_history},
    {"import", "--spaces LIST.csv --closures LIST.csv ...",
     "an arrangement from lists of spaces and closures", help_import,
     OPT_NO_SHIP | OPT_OUTPUT | OPT_AS_OF | OPT_IMPORT | OPT_DATE_FORMAT, 0, cmd_import},
    {NULL, NULL, NULL, NULL, 0, 0, NULL}};

void complain(const char *format, ...)
{
    char message[2048];
    va_list args;
    va_start(args, format);
    vsnprintf(message, sizeof message, format, args);
    va_end(args);
    progress_stop();
    fputs("coaming: ", stderr);
    coaming_print_clean(stderr, message);
    fputc('\n', stderr);
}

int complain_of(const coaming_error *error)
{
    complain("%s", error->message);
    return coaming_status_exit(error->status);
}

static void help(FILE *out)
{
    fputs("Usage: coaming COMMAND [OPTION]... SHIP.xml [ARGUMENT]...\n"
          "Which spaces of a ship flood or get bad air if a closure fails, which to repair\n"
          "first, and which tests are due.\n\nCommands:\n",
          out);
    for (const command *c = commands; c->name; c++)
        fprintf(out, "  %-8s %s\n", c->name, c->purpose);
    fputs("\n'coaming COMMAND --help' tells more of one, and so does 'man coaming-COMMAND'.\n"
          "Exit status: 0 done; 1 found what the command's page says; 2 usage; 3 bad input;\n"
          "4 the machine failed (memory, disk).\n",
          out);
}

static void help_command(FILE *out, const command *c)
{
    fprintf(out, "Usage: coaming %s [OPTION]... %s\n%s\nOptions:\n", c->name, c->arguments,
            c->help);
    options_help(out, c);
}

static const command *find_command(const char *name)
{
    for (const command *c = commands; c->name; c++)
        if (!strcmp(c->name, name))
            return c;
    return NULL;
}

/* Standard output was written to: a full disk must not pass for success. */
static int close_stdout(void)
{
    if (fflush(stdout) == 0 && !ferror(stdout))
        return EXIT_DONE;
    complain("standard output: cannot be written");
    return EXIT_MACHINE;
}

static int run_command(const command *c, int argc, char **argv)
{
    for (int i = 1; i < argc && strcmp(argv[i], "--"); i++) {
        if (!strcmp(argv[i], "--help") || !strcmp(argv[i], "-h")) {
            help_command(stdout, c);
            return close_stdout();
        }
    }
    options o = {.command = c};
    int status = options_parse(&o, argc, argv);
    if (status < 0) {
        progress_start(c->name);
        status = c->run(&o);
        progress_stop();
    }
    free(o.logs);
    free(o.flooded);
    free(o.protect);
    free(o.gaps);
    free(o.decks);
    free(o.maps);
    free(o.drawn);
    return status;
}

static int unknown_command(const char *name)
{
    complain("there is no command '%s'; 'coaming --help' lists them", name);
    return EXIT_USAGE;
}

int main(int argc, char **argv)
{
    setvbuf(stderr, NULL, _IOLBF, BUFSIZ); /* a line at a time, not a sign at a time */
    if (argc < 2) {
        complain("a command is missing; 'coaming --help' lists them");
        return EXIT_USAGE;
    }
    const char *word = argv[1];
    if (!strcmp(word, "--version") || !strcmp(word, "-V")) {
        puts("coaming " COAMING_VERSION);
        return close_stdout();
    }
    if (!strcmp(word, "--help") || !strcmp(word, "-h") || !strcmp(word, "help")) {
        const command *about = argc > 2 ? find_command(argv[2]) : NULL;
        if (argc > 2 && !about)
            return unknown_command(argv[2]);
        if (about)
            help_command(stdout, about);
        else
            help(stdout);
        return close_stdout();
    }
    const command *c = find_command(word);
    return c ? run_command(c, argc - 1, argv + 1) : unknown_command(word);
}
