/*
 * present/tell/remedy_words.h - what a reading asks for, in sentences; for text, sheets and the report.
 */
#ifndef PRESENT_REMEDY_WORDS_H
#define PRESENT_REMEDY_WORDS_H

#include <stdio.h>

#include "coaming/chalk.h"
#include "ship/ship.h"

/* A reading is told in lines: of each finding, then of each gap. */
size_t reading_lines(const coaming_reading *r);
/* One of them, a sentence with its end. */
void say_line(FILE *out, const coaming_ship *ship, const coaming_reading *r, size_t line);
/* Has its only line said all that say_advice would? */
bool said_by_line(const coaming_reading *r);

/* What comes first for the closure as a whole, without its end. */
void say_advice(FILE *out, const coaming_ship *ship, const coaming_reading *r);

#endif
