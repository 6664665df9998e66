/*
 * present/tell/walk_words.h - a walk through her, said once for every page that sends somebody.
 */
#ifndef PRESENT_WALK_WORDS_H
#define PRESENT_WALK_WORDS_H

#include "coaming/round.h"
#include "present/form/style.h"
#include "ship/ship.h"

/* The name of a space, or "the open deck". */
const char *walk_place(char buffer[SHOWN], const coaming_ship *ship, coaming_place place);

/* "1 h 05 min", "12 min", "40 s". */
const char *walk_time(char buffer[SHOWN], double seconds);

/* "walk 12 m by D3, ST1" */
void say_way(FILE *out, const coaming_ship *ship, const coaming_round_stop *s);

/* Names with commas between. */
void list_spaces(FILE *out, const coaming_ship *ship, const int *spaces, size_t count);

/* "Enclosed: Void, forward. Test the air and get a permit before going in."; nothing where no such
 * space is entered. False when out of memory. */
bool print_entry(FILE *out, coaming_style style, const coaming_ship *ship,
                 const coaming_round_stop *s);

/* Of what a walk does not get to. */
#define NO_WAY_ON_FOOT "No way on foot leads there"

/* What a walk takes for granted: its title and its words. */
#define WALK_ASSUMED "Assumed: "
const char *walk_assumed(char buffer[SHOWN], const coaming_round_options *o);

#endif
