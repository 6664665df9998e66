/*
 * present/tell/late_words.h - when a test is due and how late it is, once for text, sheets to carry,
 * calendars, drawings and the report. A test is named by its method, and these words stand beside it.
 */
#ifndef PRESENT_LATE_WORDS_H
#define PRESENT_LATE_WORDS_H

#include "coaming/due.h"
#include "present/form/style.h"

/* Of where an interval comes from. */
#define MAY_NOT_BIND "which may not bind this ship"
#define WHERE_NONE   "where the arrangement gives none"

/* "40 d over", "never done", "today", "in 12 d". Returns the buffer. */
const char *late_words(char buffer[SHOWN], const coaming_due_row *row);
/* The same where nothing beside it names the method: "chalk never done". */
const char *late_alone_words(char buffer[SHOWN], const coaming_due_row *row);
/* "retest after failure", "retest after repair"; "": its interval asks for it. */
const char *retest_words(const coaming_due_row *row);
/* "1 test overdue, 4 due after that": of all rows. */
const char *due_count_words(char buffer[SHOWN], const coaming_due *due);

#endif
