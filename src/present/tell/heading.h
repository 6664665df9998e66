/*
 * present/tell/heading.h - the head of every page: the ship, what was asked of her, the day, the
 * condition, what is seen and the loading, to which level water is counted, and what the sea is let
 * into already.
 */
#ifndef PRESENT_HEADING_H
#define PRESENT_HEADING_H

#include "coaming/spread.h"
#include "present/form/style.h"
#include "ship/ship.h"

/* The ship and what is asked of her, alone. */
bool print_title(FILE *out, coaming_style style, const coaming_ship *ship, const char *what);

/* The ship and what is asked of her, the date and the condition, and for water the level. */
bool print_heading(FILE *out, coaming_style style, const coaming_outset *outset, const char *what);
/* The same but for its first line. */
bool print_scope(FILE *out, coaming_style style, const coaming_outset *outset);
/* Its parts: date, condition, what is seen and loading; and what the sea is let into already,
 * nothing if it is not. */
bool print_state(FILE *out, coaming_style style, const coaming_outset *outset);
bool print_let_in(FILE *out, coaming_style style, const coaming_outset *outset);

/* Of a page that was given nothing to start from. */
coaming_status outset_missing(coaming_error *error);

#endif
