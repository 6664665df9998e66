/*
 * cli/words.h - the words that may stand for a value: the library's own where it has them.
 *
 * A word_list gives the word of each code, from the one that it begins with; NULL behind the last.
 */
#ifndef CLI_WORDS_H
#define CLI_WORDS_H

#include "cli.h"

typedef const char *word_list(const command *c, int code);

word_list words_of_format;   /* those that the command writes, one after the other */
word_list words_of_measure;  /* coaming_measure */
word_list words_of_summed;   /* of those, what is added up by space */
word_list words_of_planned;  /* the same, and survival */
word_list words_of_overlay;  /* coaming_overlay, from COAMING_OVERLAY_NONE + 1 */
word_list words_of_risk;     /* coaming_risk_method */
word_list words_of_list;     /* coaming_list */
word_list words_of_dates;    /* coaming_date_order, from COAMING_DATES_ISO + 1 */
word_list words_of_hazard;   /* coaming_hazard, and both */
word_list words_of_level;    /* coaming_level_kind, but for heights */
word_list words_of_standing; /* coaming_result, and all */
word_list words_of_activity; /* coaming_activity */
word_list words_of_method;   /* of tests, as all that follow: of record */
word_list words_of_result;
word_list words_of_action;
word_list words_of_entry; /* what stands behind the closure */
word_list words_of_unit, words_of_end, words_of_start, words_of_source;

/* The format behind a word of words_of_format. */
coaming_format format_at(const command *c, int code);
/* The kind of level behind a word of words_of_level. */
coaming_level_kind level_kind_at(int code);
/* "text for people (default), json for programs" */
void format_help(const command *c, char *text, size_t size);

/* The code of a word of that length; -1: none of them. */
int word_find(word_list *words, const command *c, int first, const char *word, size_t length);
/* "text, json or csv" */
void words_joined(word_list *words, const command *c, int first, char *text, size_t size);

#endif
