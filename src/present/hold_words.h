/* present/hold_words.h - words and order that lines of hold have in text and drawings alike. */
#ifndef PRESENT_HOLD_WORDS_H
#define PRESENT_HOLD_WORDS_H

#include "coaming/hold.h"
#include "present/style.h"
#include "ship/ship.h"

/* A chance in percent; never so rounded that it reads as certain. Returns the buffer. */
const char *hold_chance(char buffer[SHOWN], double value);
/* Why a link on a way cannot be held. */
const char *hold_why_open(const ship_link *l, coaming_hazard hazard);
/* For qsort of coaming_hold_closure: what must be shut first, then what is likeliest to leak. */
int hold_by_need(const void *left, const void *right);

#endif
