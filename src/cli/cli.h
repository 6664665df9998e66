/*
 * cli/cli.h - the command line: one table of commands, one of options; a client of the public
 * headers only.
 */
#ifndef CLI_CLI_H
#define CLI_CLI_H

#include <stdbool.h>
#include <stdio.h>

#include "coaming/coaming.h"

/* Options; a command names those that it takes. */
enum {
    OPT_FORMAT = 1 << 0,
    OPT_OUTPUT = 1 << 1,
    OPT_LOG = 1 << 2,
    OPT_CONDITION = 1 << 3,
    OPT_AS_OF = 1 << 4,
    OPT_HAZARD = 1 << 5,
    OPT_LEVEL = 1 << 6,
    OPT_ALL = 1 << 7,
    OPT_MEASURE = 1 << 8,
    OPT_TOP = 1 << 9,
    OPT_FLOODED = 1 << 10,
    OPT_ALL_BREACHES = 1 << 11,
    /* bits 12 to 25: kept for the test log and the rounds */
    OPT_TABLE = 1 << 26,
    OPT_IMPORT = 1 << 27,  /* all options that only import has */
    OPT_NO_SHIP = 1 << 28, /* the command is given no ship's file */
    OPT_COMMON = OPT_FORMAT | OPT_OUTPUT | OPT_LOG | OPT_CONDITION | OPT_AS_OF
};

/* Formats, as bits of a command's `formats`. */
enum {
    IN_TEXT = 1 << COAMING_TEXT,
    IN_JSON = 1 << COAMING_JSON,
    IN_CSV = 1 << COAMING_CSV,
    IN_ICAL = 1 << COAMING_ICAL
};

typedef struct command command;

typedef struct {
    const command *command;
    coaming_format format;
    const char *output;
    const char **logs; /* owned: free */
    size_t log_count;
    const char **flooded; /* owned: free */
    size_t flooded_count;
    const char *condition;
    coaming_date as_of, today;
    bool level_given;
    coaming_query query; /* condition is filled by load_asked */
    coaming_measure measure;
    size_t top;
    bool all, all_breaches;
    int table;        /* a coaming_table; -1: not given */
    const char *ship; /* NULL: the command takes none */
    char **arguments;
    int argument_count;
} options;

struct command {
    const char *name, *arguments, *purpose, *help;
    unsigned takes;   /* OPT_... */
    unsigned formats; /* IN_...; without --format the first of them, in the order of the codes */
    int (*run)(options *o);
};

extern const command commands[]; /* ends with a NULL name */

/* The statuses of the program that are not those of a coaming_status. */
enum { EXIT_DONE = 0, EXIT_USAGE = 2, EXIT_INPUT = 3, EXIT_MACHINE = 4 };

/* Parses the words after the command. Returns -1 to go on, else the exit status. */
int options_parse(options *o, int argc, char **argv);
/* Prints the options that a command takes. */
void options_help(FILE *out, const command *c);

/* One line on standard error: "coaming: message". */
void complain(const char *format, ...) __attribute__((format(printf, 1, 2)));
/* The same for an error of the library; returns its exit status. */
int complain_of(const coaming_error *error);

/* Loads the ship and the logs and finds the condition that was asked for. Errors go to standard
 * error one by one, of warnings only how many there are. Returns -1 to go on, else the exit status;
 * *ship is to be freed either way. */
int load_asked(options *o, coaming_ship **ship);

/* Where the answer goes: standard output, or a file that appears whole or not at all. */
typedef struct {
    FILE *stream;
    char *temporary; /* NULL: written in place */
    char *target;
    const char *shown; /* as the user named it */
    coaming_style style;
} output;

/* -1 to go on, else the exit status. */
int output_open(output *out, const options *o);
/* Ends writing. `status` is what the writing returned: unless it is COAMING_OK nothing is kept.
 * Returns the exit status. */
int output_close(output *out, coaming_status status, const coaming_error *error);

/* A line on standard error, if that is a terminal, from the second second of work on. */
void progress_start(const char *what);
void progress_stop(void);

#endif
