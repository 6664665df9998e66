/* present/tell/until_words.h - until when a sheet that hangs on a door is true. */
#ifndef PRESENT_UNTIL_WORDS_H
#define PRESENT_UNTIL_WORDS_H

#include "coaming/casualty_sheet.h"

/* "True as recorded until 2026-11-22, when D4's test (chalk) falls due, or until the next entry in the
 * log."; NULL when out of memory. Freed by the caller. */
char *until_words(const coaming_casualty_sheet *sheet);

#endif
