/*
 * present/tell/place_words.h - where a stretch of her lies, as people on board find it; once for text
 * and drawings.
 */
#ifndef PRESENT_PLACE_WORDS_H
#define PRESENT_PLACE_WORDS_H

#include "present/form/style.h"
#include "ship/ship.h"

/* "frames 12 to 20.5", or where she has none "x 7.25 to 12 m". from, to: m along her. Returns the
 * buffer. */
const char *stretch_words(char buffer[SHOWN], const coaming_ship *ship, double from, double to);

/* "frame 12, port", "x 7.25 m, on the centreline": where the opening of a link is; "" where the
 * arrangement does not say. Returns the buffer. */
const char *spot_words(char buffer[SHOWN], const coaming_ship *ship, const ship_link *l);

#endif
