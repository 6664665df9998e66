/*
 * cli/options.h - the table of options: parsing, help and completion all go by its rows.
 */
#ifndef CLI_OPTIONS_H
#define CLI_OPTIONS_H

#include <stddef.h>

#include "words.h"

/* What may be offered for a value, or for a word behind the file. Any of words, ids and files. */
struct completion {
    word_list *words;  /* NULL: none */
    int from;          /* code of the first word */
    const char *whole; /* of the words, one that stands for a whole list; NULL: none */
    const char *files; /* NULL: no file; "": any; else how its name ends, and folders */
    coaming_ids ids;   /* of the file of the command line; COAMING_IDS_NONE: none */
    bool listed;       /* may be several, with commas */
    option_set needs;  /* only if this is on the command line; 0: always */
};

typedef struct option_row option_row;

/* Takes what was given to an option (NULL to one without value). false: told what is wrong. */
typedef bool option_take(options *o, const option_row *r, const char *value);

struct option_row {
    option_set bit;
    const char *name, *value, *help; /* value: what it is called in the help; NULL: takes none */
    option_take *take;
    size_t to;                  /* where in `options` it goes: of the type that `take` fills */
    const char *right;          /* what a value must be; NULL: as the words say */
    uint64_t least, most;       /* of whole numbers */
    double lower, upper, parts; /* of numbers; parts: kept as a share of so many, 0: of 1 */
    const char *ending;         /* of numbers; NULL: none */
    completion by;
};

extern const option_row option_rows[]; /* ends with a NULL name */

/* Numbers, days and words: `to` is a uint64_t, double, coaming_date, and an enumeration or bool. */
option_take take_flag, take_text, take_texts, take_path, take_day, take_whole, take_number,
    take_time, take_word, take_either;
/* Values of their own. */
option_take take_format, take_level, take_hazard, take_standing, take_share, take_size, take_frames;

/* The row of that name (not ended by a sign after `length`) that the command takes; NULL: none. */
const option_row *option_find(const command *c, const char *name, size_t length);

/* Parses the words after the command. Returns -1 to go on, else the exit status. options_free is
 * called either way. */
int options_parse(options *o, int argc, char **argv);
void options_free(options *o);
/* Prints the options that a command takes. */
void options_help(FILE *out, const command *c);

#endif
