/* present/tell/standing_words.h - how a closure stands, in words and in JSON; said nowhere else. */
#ifndef PRESENT_STANDING_WORDS_H
#define PRESENT_STANDING_WORDS_H

#include "present/form/style.h"
#include "present/tell/json_parts.h"
#include "present/tell/seen_words.h"
#include "ship/ship.h"

/* "FAILED (as seen)", "FAILED 2026-03-09 by chalk; looked at 2026-03-10", "pass 2026-03-09 by
 * hose", "untested; looked at 2026-03-10", "untested". */
const char *standing_words(char buffer[SHOWN], const coaming_ship *ship, int closure);

/* "pass", "fail" or "untested". */
const char *result_word(coaming_result result);
ink result_ink(coaming_result result);

/* The two parts, for a table: "FAILED 2026-03-09", "pass 2026-03-09", "untested"; and "by chalk;
 * looked at 2026-03-10", "". */
enum { STANDING_BRIEF = 17 }; /* columns at most */
const char *standing_brief(char buffer[SHOWN], const coaming_ship *ship, int closure);
const char *standing_manner(char buffer[SHOWN], const coaming_ship *ship, int closure);

/* "As last tested by 2026-11-10; in harbour". */
const char *tested_words(char buffer[SHOWN], const coaming_ship *ship, int condition);
/* Of a closure that stands open: by the condition, or as it is seen; and what the sign for all such
 * means. */
#define OPEN_BY_CONDITION "not shut in this condition"
const char *open_words(const ship_link *l);
const char *open_sign_words(const coaming_ship *ship);
/* "repaired 2026-03-11 (dogs), not tested since"; "" if it was not. */
const char *repaired_words(char buffer[SHOWN], const coaming_ship *ship, int closure);

/* The name of a condition; of COAMING_NO_CONDITION how closures are taken to stand then. */
const char *condition_words(const coaming_ship *ship, int condition);

/* result, result_date, result_method and looked_at of a row; of the document itself. */
#define STANDING_COLUMNS "result", "result_date", "result_method", "looked_at"
void json_standing(json_document *d, cJSON *row, const coaming_ship *ship, int closure);
void json_member_standing(json_document *d, const coaming_ship *ship, int closure);

#endif
