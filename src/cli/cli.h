/*
 * cli/cli.h - the command line: one table of commands (commands.c), one of options (options.c); a
 * client of the public headers only.
 */
#ifndef CLI_CLI_H
#define CLI_CLI_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

#include "coaming/coaming.h"

/* Options; a command names those that it takes. */
typedef uint64_t option_set;
#define OPT(n)             ((option_set)1 << (n))
#define OPT_FORMAT         OPT(0)
#define OPT_OUTPUT         OPT(1)
#define OPT_LOG            OPT(2)
#define OPT_CONDITION      OPT(3)
#define OPT_AS_OF          OPT(4)
#define OPT_HAZARD         OPT(5)
#define OPT_LEVEL          OPT(6)
#define OPT_ALL            OPT(7)
#define OPT_MEASURE        OPT(8)
#define OPT_TOP            OPT(9)
#define OPT_FLOODED        OPT(10)
#define OPT_LET_IN         OPT(13) /* --breach and --inflow */
#define OPT_GIVEN_OFF      OPT(14) /* --source with a rate, and --limit */
#define OPT_FOLLOWED       OPT(15) /* --until, of both */
#define OPT_RECORDED       OPT(12) /* all options of an entry that only record has */
#define OPT_SHEET          OPT(20)
#define OPT_SHIP           OPT(21)
#define OPT_AGAIN          OPT(22)
#define OPT_WITHIN         OPT(23)
#define OPT_BY_CONSEQUENCE OPT(24)
#define OPT_START          OPT(25)
#define OPT_TABLE          OPT(26)
#define OPT_IMPORT         OPT(27)               /* all options that only import has */
#define OPT_NO_SHIP        OPT(28)               /* the command is given no ship's file */
#define OPT_FLOOD          OPT(39)               /* all options that only flood has */
#define OPT_AIR            OPT(41)               /* all options that only air has */
#define OPT_TIMED          (OPT_FLOOD | OPT_AIR) /* those that both have: what is done when */
#define OPT_INSIDE         OPT(29)
#define OPT_WORDS          OPT(30) /* words may follow the file */
#define OPT_SEED           OPT(43)
#define OPT_SAMPLES        OPT(44)
#define OPT_ACCURACY       OPT(45) /* --within, of samples */
#define OPT_RISK           OPT(46)
#define OPT_SHARE          OPT(47)
#define OPT_MERGE          OPT(48)
#define OPT_EXPLAIN        OPT(49)
#define OPT_BY_RISK        OPT(50)
#define OPT_HOURS          OPT(51)
#define OPT_SUMMED         OPT(52) /* --measure, of those that are added up by space */
#define OPT_PLANNED        OPT(11) /* the same, and survival */
#define OPT_DROP           OPT(42) /* --drop, --space and --volume of a test by air */
enum { RISK_NONE = COAMING_RISK_METHODS };
/* Of a plan, in place of a measure that is not added up by space. */
enum { MEASURE_SURVIVAL = COAMING_MEASURE_FREEBOARD };
#define OPT_RISK_RUN    (OPT_RISK | OPT_SEED | OPT_SAMPLES)
#define OPT_SAMPLING    (OPT_RISK_RUN | OPT_ACCURACY)
#define OPT_SOURCE      OPT(31)
#define OPT_SOURCES     OPT(63) /* --source, several */
#define OPT_PROTECT     OPT(32)
#define OPT_OVERLAY     OPT(33)
#define OPT_WIDTH       OPT(34)
#define OPT_DECK        OPT(35)
#define OPT_PROFILE     OPT(36)
#define OPT_CLOSURE     OPT(37)
#define OPT_COMPACT     OPT(38)
#define OPT_SINCE       OPT(40)
#define OPT_STANDING    OPT(60)
#define OPT_DATE_FORMAT OPT(61)
#define OPT_SPREAD      OPT(53)
#define OPT_SEEN        OPT(54) /* --open, --shut and --failed */
#define OPT_CASES       OPT(57)
#define OPT_FOLLOW      OPT(58)
#define OPT_LOADING     OPT(59)
#define OPT_LEFT_OPEN   OPT(62) /* --within, of chance */
#define OPT_COMMON      (OPT_FORMAT | OPT_OUTPUT | OPT_LOG | OPT_CONDITION | OPT_AS_OF)
#define OPT_TESTS       (OPT_FORMAT | OPT_OUTPUT | OPT_LOG | OPT_AS_OF)
#define OPT_ENTRY       (OPT_RECORDED | OPT_DROP)

/* Formats, as bits of a command's `formats`. */
enum {
    IN_TEXT = 1 << COAMING_TEXT,
    IN_JSON = 1 << COAMING_JSON,
    IN_CSV = 1 << COAMING_CSV,
    IN_ICAL = 1 << COAMING_ICAL,
    IN_GRAPHML = 1 << COAMING_GRAPHML,
    IN_DOT = 1 << COAMING_DOT,
    IN_SVG = 1 << COAMING_SVG,
    IN_HTML = 1 << COAMING_HTML
};

typedef struct command command;
typedef struct completion completion; /* options.h */

/* What was given to an option that may be given again. */
typedef struct {
    const char **texts; /* the list is owned, the texts are not */
    size_t count;
} text_list;

/* Pointers and wide numbers first, so that nothing is padded. */
typedef struct {
    const command *command;
    option_set given; /* which options were on the command line */
    const char *output;
    text_list logs, flooded;
    text_list seen
        [COAMING_SEEN_KINDS]; /* comma lists of closures; of flood and air some with @ and a time */
    const char *condition, *loading;
    const char *ship; /* NULL: the command takes none */
    char **arguments;
    uint64_t top, within; /* within: days */
    /* hold */
    const char *source;
    text_list protect, sources;
    const char *follow; /* casualty */
    /* draw */
    text_list drawn; /* comma lists of decks */
    const char *closure;
    double width; /* mm */
    /* record */
    const char *method, *result, *repair, *by, *note, *sheet;
    const char *set, *hinge_play, *drop, *tested_space, *tested_volume;
    const char *beside; /* --ship */
    text_list gaps;
    /* round, rank, plan */
    const char *start, *explain;
    uint64_t seed, samples;
    double accuracy, left_open, hours;
    /* flood */
    text_list breaches, inflows, pumps;
    double every, until; /* s; 0: not given */
    uint64_t likely;
    /* air */
    text_list given_off, limits, warmths, fans, stopped, ended;
    const char *wind, *outside;
    double overpressure;
    /* import */
    text_list decks, maps;
    coaming_import_options import; /* decks and maps are filled by cmd_import */

    coaming_query query; /* condition and loading are filled by load_asked */
    coaming_format format;
    coaming_date as_of, today, date, since;
    coaming_measure measure; /* or MEASURE_SURVIVAL */
    coaming_overlay overlay;
    coaming_risk_method risk_method; /* or RISK_NONE */
    coaming_date_order dates;        /* of sheets */
    unsigned share, shares;
    unsigned standing; /* COAMING_STANDS(...) of each that is asked for; 0: not given */
    coaming_list table;
    coaming_activity activity;
    int argument_count;
    bool all, undo, again, by_consequence, inside, merge, by_risk, spread, profile, compact, cases,
        by_when, filtered;
    bool sized; /* has --size been given? */
} options;

struct command {
    const char *name, *arguments, *purpose, *help;
    option_set takes; /* OPT_... */
    unsigned formats; /* IN_...; without --format the first of them, in the order of the codes */
    int (*run)(options *o);
    /* what completes the words behind the file: the first of them, and those after it; NULL: there
     * are none, or nothing is known of them */
    const completion *first, *later;
};

/* The statuses of the program that are not those of a coaming_status. */
enum { EXIT_DONE = 0, EXIT_FOUND = 1, EXIT_USAGE = 2, EXIT_INPUT = 3, EXIT_MACHINE = 4 };

/* One line on standard error: "coaming: message". */
void complain(const char *format, ...) __attribute__((format(printf, 1, 2)));
/* The same for an error of the library; returns its exit status. */
int complain_of(const coaming_error *error);
/* That memory ran out; returns the exit status of that. */
int complain_of_memory(void);
/* What was given to an option, and what it must be. Returns false. */
bool refuse(const char *option, const char *value, const char *right);
/* The same; returns EXIT_USAGE. */
int refuse_usage(const char *option, const char *value, const char *right);

/* A finite number and this ending ("": no more). */
bool parse_number(const char *text, const char *ending, double *number);
/* A finite number and one of these units, whose list ends with a NULL name ("": without unit), times
 * what it is worth. */
typedef struct {
    const char *name;
    double worth;
} number_unit;
bool parse_in(const char *text, const number_unit *units, double *number);
/* A time as people write it: 90, 90s, 10min or 1.5h; in seconds. */
bool parse_time(const char *text, double *seconds);
/* A height in metres: 3.5, 3.5m or 12ft; within 1000 km. */
bool parse_height(const char *text, double *height);
/* Digits only, within bounds that are allowed too. */
bool parse_whole(const char *text, uint64_t least, uint64_t most, uint64_t *value);
/* So many numbers with a sign between them. */
bool split_numbers(const char *text, char between, double *numbers, int count);

/* Comma lists taken apart, the words one after the other. */
typedef struct {
    char *words;
    const char **ids; /* in words */
    size_t count;
} id_list;
/* More than there are words, and bytes of them with their ends. */
size_t id_list_room(const text_list *lists);
/* Freed either way; false when out of memory. */
bool id_list_make(const text_list *lists, id_list *made);
void id_list_free(id_list *list);

/* Is it "-"? */
bool is_standard_input(const char *path);
/* Is the ship, or a log, read from there? */
bool reads_standard_input(const options *o);
/* How a path is shown. */
const char *input_shown(const char *path);

/* Loads the ship and the logs, finds condition and loading that were asked for, and puts over them
 * what is seen. Errors go to standard error one by one, of warnings only how many there are.
 * Returns -1 to go on, else the exit status; *ship is to be freed either way. */
int load_asked(options *o, coaming_ship **ship);
/* The same files as of another day, after load_asked: nothing is said of warnings again. */
int load_earlier(const options *o, coaming_date as_of, coaming_ship **ship);

/* Takes comma lists of the ids of spaces apart; option: by which they were given, of which none may
 * name nothing; NULL: they stand behind the file. -1 to go on with
 * *spaces (each once; to be freed either way), else the exit status. */
int find_spaces(const coaming_ship *ship, const char *option, const text_list *lists, int **spaces,
                size_t *count);

/* The closures named after the file (each once; to be freed either way); every unknown one is told.
 * -1 to go on, else the exit status. */
int find_closures(const options *o, const coaming_ship *ship, int **closures, size_t *count);
/* A space. -1 to go on, else the exit status. */
int find_space(const coaming_ship *ship, const char *id, int *space);
/* A space, "sea" or "weather"; as find_space. */
int find_place(const coaming_ship *ship, const char *id, coaming_place *place);
/* Takes comma lists of such apart, as find_spaces. */
int find_places(const coaming_ship *ship, const char *option, const text_list *lists,
                coaming_place **places, size_t *count);

/* Where the answer goes: standard output, or a file that appears whole or not at all. */
typedef struct {
    FILE *stream;
    char *temporary; /* NULL: written in place */
    char *held;      /* the answer to a terminal, until it is whole; owned */
    size_t held_size;
    char *target;
    const char *shown; /* as the user named it */
    coaming_style style;
} output;

/* -1 to go on, else the exit status. */
int output_open(output *out, const options *o);
/* Ends writing. `status` is what the writing returned: unless it is COAMING_OK nothing is kept.
 * Returns the exit status. */
int output_close(output *out, coaming_status status, const coaming_error *error);
/* Ends without an answer: nothing is kept, nothing said. */
void output_drop(output *out);
/* Writes out what was put into a stream; 0, or the errno of what could not be written. */
int output_flush(FILE *stream);
/* Removes the file that is not finished, if there is one. Only what a signal handler may do. */
void output_take_back(void);

/* A line on standard error, if that is a terminal, from the second second of work on. */
void progress_start(const char *what);
void progress_stop(void);
/* The same where the program ends at once. Only what a signal handler may do. */
void progress_cut(void);

#endif
