/*
 * coaming/import.h - an arrangement from the lists that most ships have: spaces, closures and, if
 * there are any, passages, pumps and fans, each a sheet of comma separated values with a line of headings.
 *
 * Nothing is guessed in silence. A row that cannot be placed is left out, and every reason is a
 * warning with the row's line that begins "not placed: ". What is wrong but not needed for its
 * place (a day of a test, a number of dogs) is lost alone, for a missing door is a bulkhead; that
 * is a warning that begins "without its ". What was changed or taken on the way (an id made fit, a
 * space found by its name) is a warning too. A sheet that cannot be read, or that lacks a column
 * that it must have, is an error.
 *
 * A space without a box gets one from its number deck-frame-side-use, as compartments are counted
 * in many ships (common practice, no source), and that box is marked as worked out and not
 * measured:
 * - along, from its frame to the next frame of a compartment of the same deck on the same side,
 *   where the centre line (side 0) counts as every side; else to the ship's end;
 * - across, side 0 is the whole beam. Abreast of others (same deck and frame) it is a strip about
 *   the centre line; the strip is as wide as the beam divided by one more than twice the number of
 *   spaces of the fuller side, and what is left on each side is parted equally among the spaces
 *   there, odd numbers to starboard, even ones to port, growing outboard. A side on which there is
 *   none belongs to the centre one. Without a centre one each half of the beam is parted so;
 * - upwards, from its deck to the next one above, and below the ship's depth no higher than that.
 * All numbers of the list count for this, those of spaces with boxes of their own too.
 *
 * Lifetime: a coaming_import is made by coaming_import_new and freed by coaming_import_free
 * (free(NULL) is fine). It borrows nothing from the options.
 * Units: of the options and of the lists alike, metres or feet.
 */
#ifndef COAMING_IMPORT_H
#define COAMING_IMPORT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "coaming/date.h"
#include "coaming/fault.h"
#include "coaming/list.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct {
    const char *number; /* as the numbers of compartments begin; "": none begins so */
    const char *id;
    const char *name; /* NULL: the id */
    double z;
} coaming_import_deck;
enum { COAMING_IMPORT_DECKS_MOST = 1000 };

/* Which column of a list holds a field, where its heading does not say so. */
typedef struct {
    coaming_list list;
    const char *field;  /* a heading that coaming_print_table writes, or "between" */
    const char *column; /* its heading in the sheet; "": the field is not read */
} coaming_import_map;

typedef struct {
    const char *spaces, *closures;       /* paths; one may be "-": standard input */
    const char *passages, *pumps, *fans; /* NULL: there is none */
    const char *name;                    /* of the ship */
    double length, beam, depth, draft;
    double kg; /* NaN: not known */
    bool feet;
    bool framed;                      /* are spacing and zero given? */
    double frame_spacing, frame_zero; /* spacing < 0: frames count from forward */
    bool frame_aft; /* the frame of a number is the after end of the space, not the forward end */
    const coaming_import_deck *decks;
    size_t deck_count; /* COAMING_IMPORT_DECKS_MOST at most */
    const coaming_import_map *maps;
    size_t map_count;
    coaming_date latest;      /* no date may come after it */
    coaming_date_order dates; /* how the lists write them */
} coaming_import_options;

/* No lists yet and no sizes of the ship, which must be set; metres, no kg, frames or decks, dates
 * as ISO 8601 has them, and none after today. */
COAMING_API coaming_import_options coaming_import_options_default(void);

/* What is taken where a row says nothing. */
#define COAMING_IMPORT_DEFAULTS(X)                                                                 \
    X(ID, "id from number")                                                                        \
    X(NAME, "name from id")                                                                        \
    X(PERMEABILITY_USE, "permeability by use")                                                     \
    X(PERMEABILITY_ELSE, "permeability 0.95 without a known use")                                  \
    X(SHELL, "shell no")                                                                           \
    X(PEOPLE, "people 0")                                                                          \
    X(WORTH, "worth 1")                                                                            \
    X(VITAL, "vital no")                                                                           \
    X(OPENING, "lowest edge of an opening at the higher floor")                                    \
    X(SHUT_IN, "shut in every condition")
#define COAMING_IMPORT_CODE(code, words) COAMING_TAKEN_##code,
typedef enum { COAMING_IMPORT_DEFAULTS(COAMING_IMPORT_CODE) COAMING_TAKEN } coaming_import_default;
#undef COAMING_IMPORT_CODE

typedef struct {
    /* by coaming_list; equal if every row was placed */
    size_t rows[COAMING_LISTS_READ], placed[COAMING_LISTS_READ];
    size_t spoilt[COAMING_LISTS_READ]; /* placed without something that could not be read */
    size_t derived;                    /* spaces placed by their numbers */
    size_t taken[COAMING_TAKEN];
    size_t warnings; /* that the arrangement gives when it is loaded */
} coaming_import_counts;

typedef struct coaming_import coaming_import;

/*
 * Reads the lists and makes the arrangement, which has been loaded once to see that it loads.
 * Everything to be told is added to `faults` (required). COAMING_USAGE: the options cannot be right
 * (no length, two decks of one height...). COAMING_INPUT: a sheet cannot be read, lacks a column,
 * or no space could be placed. COAMING_NO_FILE, COAMING_READ, COAMING_MEMORY; COAMING_INTERNAL if
 * what was made does not load. Cost: n log n in the rows.
 */
COAMING_API coaming_status coaming_import_new(const coaming_import_options *options,
                                              coaming_faults *faults, coaming_import **import,
                                              coaming_error *error);
COAMING_API void coaming_import_free(coaming_import *import);

/* Was every row of every list placed, and nothing of it lost? */
COAMING_API bool coaming_import_whole(const coaming_import *import);
COAMING_API const coaming_import_counts *coaming_import_get_counts(const coaming_import *import);
/* The words of the table above. */
COAMING_API const char *coaming_import_taken(coaming_import_default taken);

/* Writes the arrangement; errors of writing are left to ferror(out). */
COAMING_API void coaming_import_write(const coaming_import *import, FILE *out);

#ifdef __cplusplus
}
#endif

#endif
