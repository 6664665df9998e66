/*
 * present/tell/survival_words.h - what is said of damage to her side, once for text, drawings and
 * report.
 *
 * Sentences are made into memory that the caller gives to free(); NULL when out of memory.
 */
#ifndef PRESENT_SURVIVAL_WORDS_H
#define PRESENT_SURVIVAL_WORDS_H

#include "coaming/survival.h"
#include "present/form/style.h"

/* What a survival answers. */
#define SURVIVAL_ASKS "survival of damage to her side"

/* "as built", "as last tested", "if untested closures leak". */
const char *survival_state(coaming_answer state);
#define SURVIVAL_EXPECTED "as likely as the history of her closures says"
/* The same as keys of documents: "as_built". */
const char *survival_state_key(coaming_answer state);

/* An index or a factor s: four decimals without zeros at the end. Returns the buffer. */
const char *index_words(char buffer[SHOWN], double value);

/* "0.4921 is required of a cargo ship 100 m long (SOLAS II-1/6)", or that nothing is. */
char *required_words(const coaming_survival_index *index);

/* "trials, ballast: not counted, for the index is made of ..."; "": no loading is left out that was
 * not, `asked` being the one that was asked for. */
char *left_out_words(const coaming_ship *ship, const coaming_survival *survival, int asked);

/* "Undamaged, in loading full she is ...; unstable upright, she lolls at 12.6 degrees to either side";
 * "" if she does not. */
char *loll_words(const coaming_ship *ship, const coaming_survival_loading *loading);

/* "sound, it alone gives back 0.1092", of the index as last tested; or nothing, or less. Returns the
 * buffer. */
const char *gain_words(char buffer[SHOWN], const coaming_survival_closure *c);

/* Damage to a side, or to either. */
typedef enum { SIDE_ITS_OWN, SIDE_EITHER } sides;
/* "zones 3 to 4 (frames 20 to 52)", numbered from aft, from 1. Returns the buffer. */
const char *zones_words(char buffer[SHOWN], const coaming_ship *ship,
                        const coaming_survival *survival, int first, int last);
/* "port, zones 3 to 4 (frames 20 to 52)". Returns the buffer. */
const char *zone_words(char buffer[SHOWN], const coaming_ship *ship,
                       const coaming_survival *survival, const coaming_survival_case *c,
                       sides which);
/* "port, zones 3 to 4 (x 7 to 18 m), 2.1 m deep, up to 6.4 m"; with the loading where there is more
 * than one. */
char *case_words(const coaming_ship *ship, const coaming_survival *survival,
                 const coaming_survival_case *c, sides which);

/* Is there damage that she fares otherwise in as last tested than as built? */
bool tested_differs(const coaming_survival *survival);
/* "As last tested her closures cost her 0.1962 of the index as built"; that in some cases she fares
 * worse, though the index is not less; or that she does in none. */
char *tested_cost_words(const coaming_survival *survival);

/* " (for sure between 0.25 and 0.86; sampled between them, standard error 0.02)"; "" where what is
 * shown of them does not differ. error: 0: not sampled. Returns the buffer. */
const char *limit_words(char buffer[SHOWN], const coaming_survival_limits *limits, double error);

/* Does the index as last tested hang on the closure? */
bool tested_hangs_on(const coaming_survival_closure *c);
/* Those that win anything of the expected index that can be shown, if they are sure to hold, greatest
 * first; NULL when out of memory, else to be freed with memory_free. */
const coaming_survival_closure **survival_by_gain(const coaming_survival *survival, size_t *count);
/* Head of their list. Returns the buffer. */
const char *gains_words(char buffer[SHOWN], const coaming_survival_index *index);
/* Those that would cost her some of the expected index, surely, if they held: "... if it alone were sure
 * to hold: X1 0.0513; ..."; "" if there are none. */
char *costing_words(const coaming_ship *ship, const coaming_survival *survival);
#define LIKELIEST_WAYS "The likeliest ways she is lost by what leaks after damage"

/* "; lost by it alone: 12.4 % of damage; lost by it with others, all to be made good: 1 % of damage";
 * "" where nothing is. Returns the buffer. */
const char *turned_words(char buffer[SHOWN], const coaming_survival_closure *c);

/* Is she lost as last tested and not as built, or is that no longer survived that was as built? */
bool turned_as_tested(const coaming_survival_case *c);
/* Only the latter? */
bool unsurvived_as_tested_only(const coaming_survival_case *c);
/* "; survived as built, and afloat with s 0 as last tested: 6 cases, 2 % of damage", to be added to
 * the words on what is lost; "": no such case; *cases: how many. Returns the buffer. */
const char *unsurvived_words(char buffer[SHOWN], const coaming_survival *survival, size_t *cases);

/* Is she lost as last tested, and not as built? */
bool lost_as_tested_only(const coaming_survival_case *c);
/* "Lost as last tested and not as built: 230 of 3270 cases, 14.1 % of damage", or that she is so in
 * none; *cases: in how many. */
char *lost_as_tested_words(const coaming_survival *survival, size_t *cases);

/* Is nothing marked that divides her into zones? */
bool is_one_zone(const coaming_ship *ship);
#define IS_ONE_ZONE                                                                                \
    "Neither shell spaces nor zones are marked, so she is one zone from end to end: "              \
    "damage anywhere opens her over her whole length."

/* What index and cases leave out. */
#define IS_NOT_STATUTORY "This is not the statutory calculation"
#define NOT_STATUTORY                                                                              \
    IS_NOT_STATUTORY                                                                               \
    ": permeabilities are the arrangement's own, and moments of wind and people and intermediate " \
    "stages of flooding are not counted."

/* Cases in the order of what they cost the index as last tested, greatest first; NULL when out of
 * memory, else to be freed with memory_free. */
size_t *survival_by_cost(const coaming_survival *survival);

#endif
